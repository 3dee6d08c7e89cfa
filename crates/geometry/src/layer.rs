//! One layer of foam and what is reported about it.

use kurbo::{Point, Vec2};

use crate::{Notice, Ring, Section};

/// All layers of a wall.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerSet {
    /// From outermost to innermost.
    pub layers: Vec<Layer>,
    /// What to tell the person.
    pub notices: Vec<Notice>,
}

/// A slab between two depths.
#[derive(Debug, Clone, PartialEq)]
pub struct Layer {
    /// 1 = outermost.
    pub number: usize,
    /// Depth of its outer (hull) face, mm.
    pub from: f64,
    /// Depth of its inner (box) face, mm.
    pub to: f64,
    /// The foam at its outer face.
    pub outer: Section,
    /// The foam at its inner face.
    pub inner: Section,
    /// Square cut, common to every depth: never binds, the wedge left is filled.
    pub fits: Vec<Ring>,
    /// Square cut, everything any depth needs: trimmed after.
    pub fills: Vec<Ring>,
    /// The bevel at stations along the outer face's cut line.
    pub bevels: Vec<BevelMark>,
    /// Area at the outer face, mm².
    pub area_outer: f64,
    /// Area at the inner face, mm².
    pub area_inner: f64,
    /// Volume of the slab, mm³.
    pub volume: f64,
    /// Volume left to fill when cut "fits", mm³.
    pub wedge: f64,
    /// Volume trimmed when cut "fills", mm³.
    pub excess: f64,
    /// Widest gap at a face when cut "fits", mm, measured square to the edge in the layer's plane.
    pub largest_gap: f64,
    /// Where that gap is.
    pub largest_gap_at: Point,
    /// Size of the steepest bevel on the edges this layer still has, radians.
    pub steepest_bevel: f64,
    /// Tightest radius of a fair edge bent into the piece, at either face, mm; 0 where the edge folds to a sharp corner.
    /// None when no edge bends inward.
    pub tightest_inside_radius: Option<f64>,
}

/// A bevel to set the saw to, at one place of the cut line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BevelMark {
    /// Edge id.
    pub edge: u32,
    /// On the cut line of the outer face, mm.
    pub at: Point,
    /// Outward direction there, of length 1.
    pub outward: Vec2,
    /// The bevel, radians, open positive.
    pub angle: f64,
    /// Which face stands proud there.
    pub proud: Proud,
}

/// The face that reaches farther out at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Proud {
    /// The outer face, towards the hull (closed bevel).
    HullFace,
    /// The inner face, towards the box (open bevel).
    BoxFace,
    /// Neither: cut square.
    Square,
}

impl Proud {
    /// The face that stands proud at a bevel of `angle` radians; less than 0.05° counts as square, no saw holds that.
    #[must_use]
    pub fn of(angle: f64) -> Self {
        if angle.abs() < 0.05_f64.to_radians() {
            Self::Square
        } else if angle > 0.0 {
            Self::BoxFace
        } else {
            Self::HullFace
        }
    }
}
