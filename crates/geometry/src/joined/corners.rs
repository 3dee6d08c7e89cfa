//! Who owns the foam where three walls meet.
//!
//! Near such a corner the walls' layers divide the space into cells, one for each layer of each of the three. By its two joints
//! there a layer takes or leaves each cell it runs through; every cell must be taken. Walls that run past each other in a
//! circle leave the corner hollow, although each of the three joints alone is sound.

use std::f64::consts::FRAC_PI_2;

use super::joint::{Half, Joined, Joint, JointKind, joined};
use super::wall::BoxWall;
use crate::GeometryError;

/// A corner of three walls whose joints do not agree.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CornerClash {
    /// Places of the three walls in the list of walls.
    pub walls: [usize; 3],
    /// Places of their joints in the list of joints: first with second, first with third, second with third.
    pub joints: [usize; 3],
    /// Volume no wall's foam takes, mm³.
    pub hollow: f64,
}

impl CornerClash {
    /// The sentence to show.
    #[must_use]
    pub fn words(&self, walls: &[BoxWall]) -> String {
        let name = |k: usize| walls.get(self.walls[k]).map_or("wall", |w| w.name.as_str());
        format!(
            "the {}, the {} and the {} leave a hollow where they meet; let one of the three run past both others",
            name(0),
            name(1),
            name(2)
        )
    }
}

/// Corners of three walls that leave a hollow.
///
/// No corner claims foam twice: of two walls' layers one gives way at every joint.
/// Exact for flat walls that meet in corners pointing out of the box; corners at a mitre or one that points into the box are not
/// looked at: [`super::Inside::left_over`] counts those in.
///
/// # Errors
/// [`GeometryError::BadJoint`] as for [`super::joined_layers`].
pub fn corner_clashes(walls: &[BoxWall], joints: &[Joint]) -> Result<Vec<CornerClash>, GeometryError> {
    let joined = joined(walls, joints)?;
    let mut out = Vec::new();
    for first in 0..walls.len() {
        let n = joined[first].len();
        for side in 0..n {
            let (Some(before), Some(after)) = (joined[first][side], joined[first][(side + 1) % n]) else {
                continue;
            };
            let at = |(joint, half): (usize, Half)| joints[joint].half(half.other()).wall;
            let (second, third) = (at(before), at(after));
            // Each corner once, from the wall that comes first.
            if first > second || first > third || second == third {
                continue;
            }
            let Some(last) = between(&joined, joints, second, third, before.0, after.0) else { continue };
            let three = [before.0, after.0, last].map(|j| &joints[j]);
            if three.iter().any(|j| j.kind == JointKind::Mitred || j.points_in()) {
                continue;
            }
            let hollow = hollow(walls, [first, second, third], three);
            if hollow > 0.0 {
                let (walls, joints) = ([first, second, third], [before.0, after.0, last]);
                out.push(CornerClash { walls, joints, hollow });
            }
        }
    }
    Ok(out)
}

/// The joint of the second with the third wall at the corner where `before` and `after` meet.
fn between(
    joined: &Joined,
    joints: &[Joint],
    second: usize,
    third: usize,
    before: usize,
    after: usize,
) -> Option<usize> {
    let next_to = |wall: usize, one: usize, other: usize| {
        let sides = &joined[wall];
        let n = sides.len();
        let is = |k: usize, j: usize| sides[k % n].is_some_and(|(at, _)| at == j);
        (0..n).any(|k| is(k, one) && is(k + 1, other) || is(k, other) && is(k + 1, one))
    };
    (0..joints.len()).find(|j| {
        let (a, b) = (joints[*j].a.wall, joints[*j].b.wall);
        ((a, b) == (second, third) || (b, a) == (second, third))
            && next_to(second, before, *j)
            && next_to(third, after, *j)
    })
}

/// Volume of a corner's cells that no layer takes, mm³. `joints` as in [`CornerClash`].
fn hollow(walls: &[BoxWall], three: [usize; 3], joints: [&Joint; 3]) -> f64 {
    let layers = three.map(|w| walls[w].shape.thicknesses.as_slice());
    let joint = |a: usize, b: usize| joints[a + b - 1];
    // Whether layer i of one of the three takes the cells in layer j of another.
    let takes = |a: usize, i: usize, b: usize, j: usize| {
        let joint = joint(a, b);
        let half = if joint.a.wall == three[a] { Half::A } else { Half::B };
        let upto: f64 = layers[b][..j].iter().sum();
        joint.ends_at(half, i + 1, layers[b]).is_some_and(|end| end <= upto + 1e-9)
    };
    // A cell is a slanted block: its heights over the volume of the block of three directions of length 1.
    let cos = |a: usize, b: usize| {
        let joint = joint(a, b);
        let of = |half: Half| {
            let at = joint.half(half);
            let side = walls[at.wall].side(at.edge).and_then(|s| walls[at.wall].shape.outline.sides().get(s));
            side.map_or(0.0, |s| s.edge.bevel.at(0.5))
        };
        joint.angle.unwrap_or_else(|| FRAC_PI_2 + 0.5 * (of(Half::A) + of(Half::B))).cos()
    };
    let (p, q, r) = (cos(0, 1), cos(0, 2), cos(1, 2));
    let slant = (1.0 - p * p - q * q - r * r - 2.0 * p * q * r).max(1e-6).sqrt();
    let mut hollow = 0.0;
    for i in 0..layers[0].len() {
        for j in 0..layers[1].len() {
            for k in 0..layers[2].len() {
                let at = [i, j, k];
                let taken = [(0, 1, 2), (1, 0, 2), (2, 0, 1)]
                    .into_iter()
                    .any(|(a, b, c)| takes(a, at[a], b, at[b]) && takes(a, at[a], c, at[c]));
                if !taken {
                    hollow += layers[0][i] * layers[1][j] * layers[2][k] / slant;
                }
            }
        }
    }
    hollow
}
