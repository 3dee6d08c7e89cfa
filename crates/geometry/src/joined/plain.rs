//! A plain box typed before any template exists.

use super::faceted::{Facet, faceted_box};
use super::joint::{Joint, JointKind};
use super::space::Xyz;
use super::wall::{BoxWall, Stand};
use crate::GeometryError;

/// What a person types: the empty cavity of a four-sided box with one leaning side.
#[derive(Debug, Clone, PartialEq)]
pub struct PlainBox {
    /// Fore and aft, mm.
    pub length: f64,
    /// Athwart at the bottom, mm.
    pub width: f64,
    /// Height, mm.
    pub depth: f64,
    /// How far the hull side leans out going up, from upright, radians (−60°..=60°).
    pub lean: f64,
    /// Layers of every wall, mm, outer to inner.
    pub thicknesses: Vec<f64>,
    /// With a wall on top (a counter that gets foam); otherwise open.
    pub top: bool,
    /// How every joint is made.
    pub kind: JointKind,
    /// How well the typed numbers are known, mm.
    pub sd: f64,
}

impl Default for PlainBox {
    /// 900 × 500 × 550 mm, upright, four layers of 25.4 mm, woven, open.
    fn default() -> Self {
        Self {
            length: 900.0,
            width: 500.0,
            depth: 550.0,
            lean: 0.0,
            thicknesses: vec![25.4; 4],
            top: false,
            kind: JointKind::Woven { a_first: true },
            sd: 1.0,
        }
    }
}

/// Walls and joints of a plain box: floor, hull side (to port), inboard side, aft end, forward end and, when asked for, top.
///
/// # Errors
/// [`GeometryError::PlainBox`] for a size that cannot be; else as [`faceted_box`].
pub fn plain_box(typed: &PlainBox) -> Result<(Vec<BoxWall>, Vec<Joint>), GeometryError> {
    let bad = |what: String| Err(GeometryError::PlainBox { what });
    for (name, mm) in [("length", typed.length), ("width", typed.width), ("depth", typed.depth)] {
        if !(mm.is_finite() && (50.0..=20_000.0).contains(&mm)) {
            return bad(format!("{name} of {mm} mm must be between 50 and 20000 mm"));
        }
    }
    let most = 60_f64.to_radians() + 1e-12;
    if !(typed.lean.is_finite() && typed.lean.abs() <= most) {
        return bad(format!("lean of {:.1}° must be between -60° and 60°", typed.lean.to_degrees()));
    }
    if !(typed.sd.is_finite() && (0.0..=100.0).contains(&typed.sd)) {
        return bad(format!("uncertainty of {} mm must be between 0 and 100 mm", typed.sd));
    }
    let (l, w, d) = (typed.length, typed.width, typed.depth);
    let upper = w + d * typed.lean.tan();
    if upper < 50.0 {
        return bad(format!("hull side leans in so far that only {upper:.0} mm are left at the top"));
    }
    // Numbered from aft inboard round by forward to port, below and above.
    let corner = |x: f64, y: f64, z: f64| Xyz::new(x, y, z);
    let corners = [
        corner(0., 0., 0.),
        corner(l, 0., 0.),
        corner(l, w, 0.),
        corner(0., w, 0.),
        corner(0., 0., d),
        corner(l, 0., d),
        corner(l, upper, d),
        corner(0., upper, d),
    ];
    let facet = |name: &str, stand, corners: [usize; 4]| Facet {
        name: name.to_owned(),
        stand,
        corners: corners.to_vec(),
        thicknesses: typed.thicknesses.clone(),
    };
    let mut facets = vec![
        facet("floor", Stand::Floor, [0, 1, 2, 3]),
        facet("hull side", Stand::Side, [3, 2, 6, 7]),
        facet("inboard side", Stand::Side, [1, 0, 4, 5]),
        facet("aft end", Stand::Side, [0, 3, 7, 4]),
        facet("forward end", Stand::Side, [2, 1, 5, 6]),
    ];
    if typed.top {
        facets.push(facet("top", Stand::Top, [7, 6, 5, 4]));
    }
    faceted_box(&corners, &facets, typed.sd, |_, _| typed.kind)
}
