//! Which foam owns each corner, and where seams run.
//!
//! Where walls meet their layers cross in cells, layer i of one with layer j of the other. A cell is a wall's when its layer
//! ends in front of it; layers and cells are worked out from one rule, `Joint::ends_at`.

use super::joint::{Half, Joint, joined};
use super::wall::BoxWall;
use crate::GeometryError;

/// Whose foam a cell is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CellOwner {
    /// The joint's first wall.
    A,
    /// The joint's second wall.
    B,
    /// Both, parted along the bisecting plane.
    Halved,
    /// Nobody: a hollow.
    Nobody,
    /// Both whole: foam twice.
    Twice,
}

/// Where a layer of one wall crosses a layer of the other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct CornerCell {
    /// Layer of the joint's first wall, 1 = outermost.
    pub a: usize,
    /// Layer of the second.
    pub b: usize,
    /// Whose foam it is.
    pub owner: CellOwner,
}

/// All cells of a joint.
///
/// # Errors
/// [`GeometryError::BadJoint`] as for [`super::joined_layers`], or for a joint that is not there.
pub fn corner_cells(
    walls: &[BoxWall],
    joints: &[Joint],
    joint: usize,
) -> Result<Vec<CornerCell>, GeometryError> {
    joined(walls, joints)?;
    let Some(this) = joints.get(joint) else {
        return Err(GeometryError::BadJoint { joint: joint + 1, what: "is not there".to_owned() });
    };
    let [a, b] = Half::BOTH.map(|h| &walls[this.half(h).wall].shape.thicknesses);
    let mut out = Vec::new();
    for (i, from_a) in (1..=a.len()).zip(starts(a)) {
        for (k, from_b) in (1..=b.len()).zip(starts(b)) {
            // The middle of a cell decides for all of it, unless the bisecting plane runs through.
            let middle = (from_a + 0.5 * a[i - 1], from_b + 0.5 * b[k - 1]);
            let mitre_parts =
                this.runs(Half::A, 1).is_none() && from_a < from_b + b[k - 1] && from_b < from_a + a[i - 1];
            let owner = if mitre_parts {
                CellOwner::Halved
            } else {
                match Half::BOTH.map(|h| owns(this, h, walls, middle)) {
                    [true, false] => CellOwner::A,
                    [false, true] => CellOwner::B,
                    [true, true] => CellOwner::Twice,
                    [false, false] => CellOwner::Nobody,
                }
            };
            out.push(CornerCell { a: i, b: k, owner });
        }
    }
    Ok(out)
}

fn starts(thicknesses: &[f64]) -> impl Iterator<Item = f64> + '_ {
    thicknesses.iter().scan(0.0, |z, t| {
        let from = *z;
        *z += t;
        Some(from)
    })
}

/// Layer at a depth, 1 = outermost; None past the foam.
fn layer_at(thicknesses: &[f64], z: f64) -> Option<usize> {
    starts(thicknesses).zip(thicknesses).position(|(from, t)| z < from + t).map(|i| i + 1)
}

/// Whether this half's wall has foam at depths (in A, in B), as far as this joint goes.
fn owns(joint: &Joint, half: Half, walls: &[BoxWall], (za, zb): (f64, f64)) -> bool {
    let (own, other) = if half == Half::A { (za, zb) } else { (zb, za) };
    let thick = |h: Half| &walls[joint.half(h).wall].shape.thicknesses;
    let Some(layer) = layer_at(thick(half), own) else { return false };
    let end = joint.ends_at(half, layer, thick(half.other()));
    match (end, joint.points_in()) {
        (Some(end), false) => other >= end,
        (Some(end), true) => other < end,
        (None, false) => other >= own,
        (None, true) => other < own,
    }
}

/// A seam that goes straight through all layers of a corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct StraightSeam {
    /// Place of the joint in the list.
    pub joint: usize,
    /// Whether weaving would break it: both walls have two layers or more.
    pub weave: bool,
}

/// The joints whose seam is one plane from the outer face to the box. By nature every one that is not woven; to be told, with
/// the advice to weave where that is possible.
#[must_use]
pub fn straight_seams(walls: &[BoxWall], joints: &[Joint]) -> Vec<StraightSeam> {
    let mut out = Vec::new();
    for (number, joint) in joints.iter().enumerate() {
        let layers = |h: Half| walls.get(joint.half(h).wall).map_or(&[][..], |w| &w.shape.thicknesses);
        let straight = |h: Half| {
            let ends: Vec<_> =
                (1..=layers(h).len()).map(|k| joint.ends_at(h, k, layers(h.other()))).collect();
            ends.windows(2).all(|w| w[0] == w[1])
        };
        if Half::BOTH.iter().any(|h| straight(*h)) {
            let weave = Half::BOTH.iter().all(|h| layers(*h).len() > 1);
            out.push(StraightSeam { joint: number, weave });
        }
    }
    out
}
