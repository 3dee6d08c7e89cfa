//! As fitted: trims taken while a layer went in, carried to the layers not yet cut.

use crate::{Edge, GeometryError, WallShape};

/// Trim at one place of an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrimStation {
    /// Place as a fraction 0..=1 of the edge's length from its start corner, as for bevels.
    pub at: f64,
    /// Foam taken off there, mm, square to the edge in the layer's plane; negative where the layer was that much short.
    pub trim: f64,
}

/// What fitting one layer taught about one edge: the surface it meets stands so much farther in (or out) than the template
/// said, there and at every deeper layer.
#[derive(Debug, Clone, PartialEq)]
pub struct AsFitted {
    /// The layer fitted, 1 = outermost. Layers after it are corrected.
    pub layer: usize,
    /// Edge id.
    pub edge: u32,
    /// Trims at stations, in any order; straight between, held beyond the outer ones.
    pub stations: Vec<TrimStation>,
}

/// Trims of one edge summed up: none at all, or values at rising fractions.
#[derive(Debug, Clone, PartialEq, Default)]
pub(crate) struct Trims {
    all: Vec<Vec<TrimStation>>,
}

impl Trims {
    /// Those that layer `number` has to follow on `edge`.
    pub fn of(fitted: &[AsFitted], edge: u32, number: usize) -> Self {
        let all = fitted
            .iter()
            .filter(|f| f.edge == edge && f.layer < number)
            .map(|f| {
                let mut s = f.stations.clone();
                s.sort_by(|a, b| a.at.total_cmp(&b.at));
                s
            })
            .collect();
        Self { all }
    }

    /// The same and so much more off, at `stations` in rising order.
    pub fn and(mut self, stations: Vec<TrimStation>) -> Self {
        self.all.push(stations);
        self
    }

    /// The trim at a fraction of the edge, mm.
    pub fn at(&self, at: f64) -> f64 {
        self.all
            .iter()
            .map(|s| {
                let next = s.partition_point(|s| s.at <= at);
                match (next.checked_sub(1).and_then(|i| s.get(i)), s.get(next)) {
                    (Some(a), Some(b)) => a.trim + (b.trim - a.trim) * (at - a.at) / (b.at - a.at),
                    (Some(s), None) | (None, Some(s)) => s.trim,
                    (None, None) => 0.0,
                }
            })
            .sum()
    }

    /// The same everywhere.
    pub fn is_constant(&self) -> bool {
        self.all.iter().all(|s| s.windows(2).all(|w| (w[0].trim - w[1].trim).abs() < 1e-12))
    }

    /// Fractions at which it may bend.
    pub fn places(&self) -> impl Iterator<Item = f64> + '_ {
        self.all.iter().flatten().map(|s| s.at)
    }
}

/// Whether the trims can be used on this wall.
pub(crate) fn check(wall: &WallShape, fitted: &[AsFitted]) -> Result<(), GeometryError> {
    let edges: Vec<&Edge> = wall.outline.sides().iter().map(|s| &s.edge).collect();
    check_on(wall.thicknesses.len(), &edges, fitted)
}

/// Whether the trims can be used on so many layers with these edges.
pub(crate) fn check_on(layers: usize, edges: &[&Edge], fitted: &[AsFitted]) -> Result<(), GeometryError> {
    /// Farther than this it is another wall, mm.
    const MOST: f64 = 100.0;
    let bad = |what: String| Err(GeometryError::BadTrim { what });
    for f in fitted {
        if !(1..=layers).contains(&f.layer) {
            return bad(format!("of layer {} is of no layer of this wall", f.layer));
        }
        let Some(edge) = edges.iter().find(|e| e.id == f.edge) else {
            return bad(format!("of layer {} is of edge {}, which the outline has not", f.layer, f.edge));
        };
        let name = &edge.name;
        if f.stations.is_empty() {
            return bad(format!("of layer {} on edge \"{name}\" has no station", f.layer));
        }
        for (i, s) in f.stations.iter().enumerate() {
            if !((0.0..=1.0).contains(&s.at) && s.trim.is_finite() && s.trim.abs() <= MOST) {
                return bad(format!("of {} mm at {} of edge \"{name}\" cannot be", s.trim, s.at));
            }
            if f.stations.iter().take(i).any(|o| (o.at - s.at).abs() < 1e-9) {
                return bad(format!("on edge \"{name}\" is given twice at {}", s.at));
            }
        }
    }
    Ok(())
}
