//! A closed ring of edges.

use kurbo::{BezPath, Point, Rect};

use crate::section::{bounds, ring_length, signed_area};
use crate::{Cutout, Edge, GeometryError, Notice, Spread};

/// A closed ring of edges, counter-clockwise seen from inside the box, plus cut-outs.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    sides: Vec<Side>,
    corners: Vec<Corner>,
    cutouts: Vec<Cutout>,
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

impl Outline {
    /// Makes an outline from edges in ring order.
    ///
    /// # Errors
    /// [`GeometryError`] naming the edge and what to do.
    pub fn new(edges: Vec<Edge>, cutouts: Vec<Cutout>) -> Result<(Self, Vec<Notice>), GeometryError> {
        let ring: Vec<Point> = edges.iter().flat_map(|e| e.ticks.iter().map(|t| t.at)).collect();
        if signed_area(&ring).abs() < 1.0 {
            return Err(GeometryError::NoArea);
        }
        let firsts: Vec<_> = edges.iter().filter_map(|e| e.ticks.first().map(|t| (e.id, *t))).collect();
        let mut sides = Vec::new();
        let mut corners = Vec::new();
        for (i, edge) in edges.into_iter().enumerate() {
            let mut path = BezPath::new();
            let mut points: Vec<Point> = edge.ticks.iter().map(|t| t.at).collect();
            if let (Some((id, next)), Some(last)) = (firsts.get((i + 1) % firsts.len()), edge.ticks.last()) {
                corners.push(Corner {
                    at: next.at,
                    between: (edge.id, *id),
                    measured: last.id == next.id,
                    spread: next.spread,
                });
                points.push(next.at);
            }
            for (k, p) in points.iter().enumerate() {
                if k == 0 { path.move_to(*p) } else { path.line_to(*p) }
            }
            let length = points.windows(2).map(|w| if let [a, b] = w { a.distance(*b) } else { 0.0 }).sum();
            sides.push(Side {
                edge,
                path,
                start_carry: Carry::default(),
                end_carry: Carry::default(),
                length,
            });
        }
        Ok((Self { sides, corners, cutouts }, Vec::new()))
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

    /// Counter-clockwise polyline within `tolerance_mm` of the outline, the first point not repeated.
    #[must_use]
    pub fn polyline(&self, tolerance_mm: f64) -> Vec<Point> {
        let mut out: Vec<Point> = Vec::new();
        for side in &self.sides {
            kurbo::flatten(side.path.elements().iter().copied(), tolerance_mm, |el| {
                if let Some(p) = el.end_point() {
                    out.push(p);
                }
            });
        }
        out.dedup();
        out
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
