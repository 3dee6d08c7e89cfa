//! Ticks, edges and cut-outs: what was measured, before it becomes an outline.

use kurbo::{Point, Vec2};

use crate::{Bevel, Spread};

/// One measured point on the boundary (a stick's tip).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tick {
    /// The tick's number; the same number on two neighbouring edges is their corner.
    pub id: u32,
    /// Place in the wall's frame, mm.
    pub at: Point,
    /// How well the place is known.
    pub spread: Spread,
}

/// How the boundary runs between the ticks of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum EdgeKind {
    /// A straight line.
    #[default]
    Straight,
    /// A batten bent through the ticks.
    Fair,
}

/// The boundary between two corners, as measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Edge {
    /// Number of the edge, its own within the outline.
    pub id: u32,
    /// Name shown to the person.
    pub name: String,
    /// Straight or fair.
    pub kind: EdgeKind,
    /// Ticks in ring order.
    pub ticks: Vec<Tick>,
    /// Lean of the surface it meets.
    pub bevel: Bevel,
    /// Clearance for bonding foam, mm, in the layer's plane (0..=100).
    pub gap: f64,
    /// How far the fair curve may leave its ticks, mm (0..=2).
    pub smoothing: f64,
}

/// A hole through all layers (hose, drain, stringer).
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cutout {
    /// Name shown to the person.
    pub name: String,
    /// Its corners in order at the template's depth, mm, either way round.
    pub ring: Vec<Point>,
    /// Lean of its sides, radians, open positive as for edges: the foam grows from outer to inner face, so that the hole
    /// narrows. 0 is square.
    pub bevel: f64,
}

impl Cutout {
    /// The hole of a round hose or pipe `diameter` mm thick about `centre`, square to its own axis, which moves `lean` in the
    /// layer's plane per depth (see [`crate::Outline::leaning`]): an ellipse, longer along the lean by 1/cos. Its corners lie
    /// on it, chords within 0.005 mm.
    #[must_use]
    pub fn round(name: &str, centre: Point, diameter: f64, lean: Vec2) -> Self {
        let r = 0.5 * diameter.abs();
        let (slope, along) = match lean.hypot() {
            l if l > 1e-12 => (l, lean / l),
            _ => (0.0, Vec2::new(1.0, 0.0)),
        };
        let long = r * slope.hypot(1.0);
        // An ellipse bends most at its long end, by long/r²; there the step of the angle moves r.
        let step = (8.0 * 0.005 / long.max(1e-9)).sqrt();
        let n = (std::f64::consts::TAU / step).ceil().clamp(12.0, 2000.0) as u32;
        let ring = (0..n)
            .map(|k| {
                let (s, c) = (std::f64::consts::TAU * f64::from(k) / f64::from(n)).sin_cos();
                centre + along * (long * c) + Vec2::new(-along.y, along.x) * (r * s)
            })
            .collect();
        Self { name: name.to_owned(), ring, bevel: 0.0 }
    }
}

/// The edge walked the other way: ticks and stations reversed, bevel signs kept.
#[must_use]
pub(crate) fn reversed(edge: &Edge) -> Edge {
    Edge { ticks: edge.ticks.iter().rev().copied().collect(), bevel: edge.bevel.reversed(), ..edge.clone() }
}

/// The edges as seen from the other side: x → −x, ring order and station order reversed, bevel signs kept.
///
/// Mirroring twice gives the same ring, starting at the same edge.
#[must_use]
pub fn mirror_edges(edges: &[Edge]) -> Vec<Edge> {
    edges
        .iter()
        .rev()
        .map(|edge| {
            let mut m = reversed(edge);
            for t in &mut m.ticks {
                t.at.x = -t.at.x;
                t.spread = t.spread.mirrored();
            }
            m
        })
        .collect()
}

/// A cut-out as seen from the other side: x → −x.
#[must_use]
pub fn mirror_cutout(cutout: &Cutout) -> Cutout {
    Cutout {
        name: cutout.name.clone(),
        ring: cutout.ring.iter().rev().map(|p| Point::new(-p.x, p.y)).collect(),
        bevel: cutout.bevel,
    }
}
