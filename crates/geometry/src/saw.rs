//! What a stated saw can make of a layer.

use crate::{Layer, Proud, Ring};

/// A saw as the person states it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Saw {
    /// Farthest the table tilts down away from the column, radians.
    pub tilt: f64,
    /// Farthest it tilts down towards the column, radians (often nearly nothing).
    pub tilt_back: f64,
    /// From blade to column, mm.
    pub throat: f64,
    /// Width of the blade, mm.
    pub blade: f64,
}

/// Something a saw cannot do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SawLimit {
    /// The bevel is steeper than the table tilts with that face up; the other face up may do.
    Tilt {
        /// Edge id.
        edge: u32,
        /// The bevel, radians, open positive.
        angle: f64,
        /// Whether the same cut can be made with the box face up on the saw instead.
        turned_over: bool,
    },
    /// The piece is larger than the throat both ways: it cannot be swung past the column.
    Throat {
        /// Smaller side of the smallest upright rectangle round it, mm.
        least: f64,
    },
    /// An edge bends in more tightly than the blade turns.
    Radius {
        /// Tightest radius, mm.
        radius: f64,
        /// Least radius for that blade, mm.
        least: f64,
    },
}

/// Width of a band-saw blade and the least radius it cuts, inches.
///
/// Printed in makers' manuals for hand-fed band saws (e.g. the owner's manual of an 18 in saw, Woodstock M1113, "Cutting
/// curves"; the same figures within an eighth of an inch in others); 1/8 in by the commoner 3/16 in, 1 in from a trade guide.
const LEAST_RADII: [(f64, f64); 8] = [
    (0.125, 0.1875),
    (0.1875, 0.375),
    (0.25, 0.625),
    (0.375, 1.375),
    (0.5, 2.5),
    (0.625, 4.0),
    (0.75, 5.5),
    (1.0, 7.0),
];

/// Least radius (mm) that a band-saw blade of `blade` mm cuts; straight between the table's widths, in proportion below the
/// narrowest, infinite above the widest.
#[must_use]
pub fn least_radius(blade: f64) -> f64 {
    let w = blade / 25.4;
    let inches = match LEAST_RADII.iter().position(|(width, _)| *width >= w - 1e-9) {
        None => f64::INFINITY,
        Some(0) => LEAST_RADII[0].1 * w.max(0.0) / LEAST_RADII[0].0,
        Some(i) => {
            let ((a, ra), (b, rb)) = (LEAST_RADII[i - 1], LEAST_RADII[i]);
            ra + (rb - ra) * ((w - a) / (b - a)).min(1.0)
        }
    };
    inches * 25.4
}

impl Saw {
    /// What of `layer` this saw cannot do with the hull face up and the piece between blade and column, each edge once.
    ///
    /// On a table that is tilted down away from the column an upright blade leans, seen from the table, towards the column: of a
    /// piece between the two it leaves the lower face larger. That is an open edge (the box face stands proud, below); tilted the
    /// other way it makes a closed one. With the box face up the two change places.
    #[must_use]
    pub fn limits(&self, layer: &Layer) -> Vec<SawLimit> {
        let mut out = Vec::new();
        let slack = 1e-9;
        let mut edges: Vec<u32> = layer.bevels.iter().map(|m| m.edge).collect();
        edges.sort_unstable();
        edges.dedup();
        for edge in edges {
            let worst = |way: Proud| {
                layer
                    .bevels
                    .iter()
                    .filter(|m| m.edge == edge && Proud::of(m.angle) == way)
                    .map(|m| m.angle)
                    .max_by(|a, b| a.abs().total_cmp(&b.abs()))
            };
            for (way, limit, other) in
                [(Proud::BoxFace, self.tilt, self.tilt_back), (Proud::HullFace, self.tilt_back, self.tilt)]
            {
                if let Some(angle) = worst(way).filter(|a| a.abs() > limit + slack) {
                    out.push(SawLimit::Tilt { edge, angle, turned_over: angle.abs() <= other + slack });
                }
            }
        }
        let least =
            layer.fills.iter().map(Ring::bounds).map(|b| b.width().min(b.height())).fold(0.0, f64::max);
        if least > self.throat {
            out.push(SawLimit::Throat { least });
        }
        let blade = least_radius(self.blade);
        if let Some(radius) = layer.tightest_inside_radius.filter(|r| *r < blade) {
            out.push(SawLimit::Radius { radius, least: blade });
        }
        out
    }
}
