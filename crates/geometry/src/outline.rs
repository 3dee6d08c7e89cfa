//! A closed ring of edges.

use kurbo::{BezPath, Point, Rect};

use crate::curve::Curve;
use crate::section::{bounds, ring_length, signed_area};
use crate::{Cutout, Edge, GeometryError, Notice, Spread};

/// A closed ring of edges, counter-clockwise seen from inside the box, plus cut-outs.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    sides: Vec<Side>,
    corners: Vec<Corner>,
    cutouts: Vec<Cutout>,
    runs: Vec<Run>,
}

/// An edge as it runs from corner to corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// The edge it was made from.
    pub edge: Edge,
    /// From its start corner to its end corner, mm.
    pub path: BezPath,
    /// How far it was carried before its first tick.
    pub start_carry: Carry,
    /// How far it was carried past its last tick.
    pub end_carry: Carry,
    /// Length from corner to corner, mm.
    pub length: f64,
}

/// An edge carried past a tick to its corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Carry {
    /// Length carried, mm; 0 when the tick is the corner.
    pub length: f64,
    /// Standard uncertainty of the edge, square to itself, at the corner, mm.
    pub sd: f64,
}

/// Where two edges meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Place, mm.
    pub at: Point,
    /// Ids of the edge that ends here and the edge that starts here.
    pub between: (u32, u32),
    /// Whether a tick marks it; otherwise it is where the carried edges cross.
    pub measured: bool,
    /// How well it is known.
    pub spread: Spread,
}

/// A side's curve between its corners.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    pub curve: Curve,
    /// Parameters at the start and end corner.
    pub from: f64,
    pub to: f64,
    pub length: f64,
}

impl Run {
    /// Polyline through the curve within `tolerance` of it.
    pub fn points(&self, tolerance: f64) -> Vec<Point> {
        if self.curve.is_line() {
            return vec![self.curve.at(self.from).p, self.curve.at(self.to).p];
        }
        let mut out = Vec::new();
        for w in self.curve.breaks(self.from, self.to).windows(2) {
            let [a, b] = w else { continue };
            // Chord error κ·l²/8: the pieces follow from the greatest curvature met at nine places.
            let bend = (0..=8)
                .map(|k| self.curve.at(a + (b - a) * f64::from(k) / 8.0).curvature().abs())
                .fold(0.0, f64::max);
            let pieces = (self.curve.length(*a, *b) * (bend / (8.0 * tolerance)).sqrt() * 1.05)
                .ceil()
                .clamp(1.0, 20_000.0);
            out.extend((0..pieces as u32).map(|k| self.curve.at(a + (b - a) * f64::from(k) / pieces).p));
        }
        out.push(self.curve.at(self.to).p);
        out
    }
}

impl Outline {
    /// Makes an outline from edges in ring order and cut-outs.
    ///
    /// Neighbouring edges that share a tick (last of one, first of the next) have a measured corner there; otherwise the
    /// corner is where the two carried curves cross. Edges given clockwise are turned round and a notice says so.
    ///
    /// # Errors
    /// [`GeometryError`] naming the edge or the place, and what to do.
    pub fn new(edges: Vec<Edge>, cutouts: Vec<Cutout>) -> Result<(Self, Vec<Notice>), GeometryError> {
        crate::build::build(edges, cutouts)
    }

    pub(crate) fn from_parts(
        sides: Vec<Side>,
        corners: Vec<Corner>,
        cutouts: Vec<Cutout>,
        runs: Vec<Run>,
    ) -> Self {
        Self { sides, corners, cutouts, runs }
    }

    pub(crate) fn runs(&self) -> &[Run] {
        &self.runs
    }

    /// The sides in ring order, counter-clockwise.
    #[must_use]
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The corners; the first lies at the end of the first side.
    #[must_use]
    pub fn corners(&self) -> &[Corner] {
        &self.corners
    }

    /// The cut-outs.
    #[must_use]
    pub fn cutouts(&self) -> &[Cutout] {
        &self.cutouts
    }

    /// Counter-clockwise polyline within `tolerance_mm` (at least 0.0001) of the outline, the first point not repeated.
    #[must_use]
    pub fn polyline(&self, tolerance_mm: f64) -> Vec<Point> {
        self.runs
            .iter()
            .flat_map(|r| {
                let mut points = r.points(tolerance_mm.max(1e-4));
                points.pop();
                points
            })
            .collect()
    }

    /// The outline as one closed path, mm.
    #[must_use]
    pub fn path(&self) -> BezPath {
        let mut out = BezPath::new();
        for (i, side) in self.sides.iter().enumerate() {
            out.extend(side.path.elements().iter().skip(usize::from(i > 0)).copied());
        }
        out.close_path();
        out
    }

    /// Area within the edges, without cut-outs taken off, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        signed_area(&self.polyline(0.001))
    }

    /// Length round the edges, mm.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        ring_length(&self.polyline(0.001))
    }

    /// Smallest upright rectangle round it.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        bounds(&self.polyline(0.001))
    }
}
