//! The layers as bodies: faces filled once for each plan, sides ready to be turned.

use std::sync::Arc;

use coldwright_geometry::{LayerSet, Ring, Section};
use kurbo::Point;

use crate::fill::{Face, filled};

/// Flattening of rings for the screen: points nearer than this on one line are dropped, mm.
const THIN: f64 = 0.3;

/// A strip of a side: two places on the outer face, the two facing them on the inner.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Strip {
    pub(crate) outer: [Point; 2],
    pub(crate) inner: [Point; 2],
}

/// One layer as a body.
#[derive(Clone, Debug, Default)]
pub(crate) struct Slab {
    pub(crate) from: f64,
    pub(crate) to: f64,
    pub(crate) outer: Face,
    pub(crate) inner: Face,
    pub(crate) sides: Vec<Strip>,
}

/// The bodies of the plan shown last.
#[derive(Debug, Default)]
pub(crate) struct StackCache {
    of: Option<Arc<LayerSet>>,
    pub(crate) slabs: Vec<Slab>,
}

impl StackCache {
    /// Brings the bodies up to the layers.
    pub(crate) fn update(&mut self, set: &Arc<LayerSet>) {
        if self.of.as_ref().is_some_and(|s| Arc::ptr_eq(s, set)) {
            return;
        }
        self.of = Some(set.clone());
        self.slabs = set
            .layers
            .iter()
            .map(|layer| {
                let (outer, inner) = (face(&layer.outer), face(&layer.inner));
                let sides = outer.rings.iter().zip(&inner.rings).flat_map(|(a, b)| strips(a, b)).collect();
                Slab { from: layer.from, to: layer.to, outer, inner, sides }
            })
            .collect();
    }
}

fn face(section: &Section) -> Face {
    let rings: Vec<Vec<Point>> = section.rings.iter().flat_map(ring_lines).collect();
    filled(rings)
}

fn ring_lines(ring: &Ring) -> impl Iterator<Item = Vec<Point>> + '_ {
    std::iter::once(&ring.outer).chain(&ring.holes).map(|r| thin(r))
}

/// Leaves out points that stand on the line of their neighbours.
fn thin(ring: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    for (i, p) in ring.iter().enumerate() {
        let (Some(last), Some(next)) = (out.last(), ring.get((i + 1) % ring.len().max(1))) else {
            out.push(*p);
            continue;
        };
        let along = *next - *last;
        let off = (*p - *last).cross(along).abs() / along.hypot().max(1e-9);
        if off > THIN * 0.1 || p.distance(*last) > 60.0 {
            out.push(*p);
        }
    }
    out
}

/// Joins two closed lines by triangles from the nearest pair of points on, always by the shorter new side.
fn strips(a: &[Point], b: &[Point]) -> Vec<Strip> {
    if a.len() < 2 || b.len() < 2 {
        return Vec::new();
    }
    let start =
        (0..b.len()).min_by(|i, j| b[*i].distance_squared(a[0]).total_cmp(&b[*j].distance_squared(a[0])));
    let b: Vec<Point> = (0..b.len()).map(|i| b[(i + start.unwrap_or(0)) % b.len()]).collect();
    let (mut i, mut j) = (0, 0);
    let mut out = Vec::with_capacity(a.len() + b.len());
    while i < a.len() || j < b.len() {
        let (here_a, here_b) = (a[i % a.len()], b[j % b.len()]);
        let by_a = a[(i + 1) % a.len()].distance_squared(here_b);
        let by_b = b[(j + 1) % b.len()].distance_squared(here_a);
        let step_a = i < a.len() && (j >= b.len() || by_a <= by_b);
        if step_a {
            i += 1;
        } else {
            j += 1;
        }
        out.push(Strip { outer: [here_a, a[i % a.len()]], inner: [here_b, b[j % b.len()]] });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side: f64) -> Vec<Point> {
        [(0.0, 0.0), (side, 0.0), (side, side), (0.0, side)].map(|(x, y)| Point::new(x, y)).to_vec()
    }

    #[test]
    fn strips_close_round_both_lines() {
        let (a, mut b) = (square(100.0), square(120.0));
        b.rotate_left(2);
        let strips = strips(&a, &b);
        assert!(strips.len() >= 4 && strips.len() <= 8);
        for pair in strips.windows(2) {
            assert_eq!(pair[0].outer[1], pair[1].outer[0]);
            assert_eq!(pair[0].inner[1], pair[1].inner[0]);
        }
        assert_eq!(strips.last().unwrap().outer[1], strips[0].outer[0]);
        assert_eq!(strips.last().unwrap().inner[1], strips[0].inner[0]);
    }

    #[test]
    fn a_face_with_a_hole_is_filled_by_its_area() {
        let mut hole = square(20.0);
        hole.iter_mut().for_each(|p| *p += kurbo::Vec2::new(30.0, 30.0));
        hole.reverse();
        let section =
            Section { rings: vec![Ring { outer: square(100.0), holes: vec![hole] }], notices: Vec::new() };
        let face = face(&section);
        let area: f64 = face
            .triangles
            .iter()
            .map(|t| {
                let [a, b, c] = t.map(|i| face.points[i as usize]);
                ((b - a).cross(c - a) / 2.0).abs()
            })
            .sum();
        assert!((area - 9600.0).abs() < 0.1, "{area}");
    }
}
