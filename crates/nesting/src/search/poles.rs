//! Circles that fill a shape, the largest first: a rough picture of it that says how deep two shapes overlap.
//!
//! Method: the pole of inaccessibility by best-first search over square cells, then again among what the circles found
//! so far leave free; used for nesting by Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to reboot 2D
//! nesting research" (arXiv:2509.13329, 2025), section on the overlap proxy.

use std::collections::BinaryHeap;

use kurbo::Point;

use crate::ring::{bounds, inside, signed_area, to_line};

/// A circle inside a shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pole {
    pub(crate) at: Point,
    pub(crate) radius: f64,
}

#[derive(PartialEq)]
struct Cell {
    most: f64,
    at: Point,
    half: f64,
}
impl Eq for Cell {}
impl PartialOrd for Cell {
    fn partial_cmp(&self, other: &Cell) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}
impl Ord for Cell {
    fn cmp(&self, other: &Cell) -> std::cmp::Ordering {
        self.most
            .total_cmp(&other.most)
            .then(self.at.x.total_cmp(&other.at.x))
            .then(self.at.y.total_cmp(&other.at.y))
    }
}

/// The largest circle inside the ring and outside the circles there are, to within a hundredth of the box.
fn next(ring: &[Point], poles: &[Pole]) -> Option<Pole> {
    let room = |p: Point| {
        let edge = to_line(ring, p);
        let edge = if inside(ring, p) { edge } else { -edge };
        poles.iter().fold(edge, |d, c| d.min(c.at.distance(p) - c.radius))
    };
    let b = bounds(ring);
    let size = b.width().min(b.height());
    let half = size / 4.0;
    if half <= 0.0 {
        return None;
    }
    let cell = |at: Point, half: f64| Cell { most: room(at) + half * std::f64::consts::SQRT_2, at, half };
    let mut heap = BinaryHeap::new();
    let (nx, ny) = ((b.width() / (2.0 * half)).ceil() as usize, (b.height() / (2.0 * half)).ceil() as usize);
    for i in 0..nx.min(200) {
        for j in 0..ny.min(200) {
            let at = Point::new(b.x0 + half * (2 * i + 1) as f64, b.y0 + half * (2 * j + 1) as f64);
            heap.push(cell(at, half));
        }
    }
    let mut best: Option<Pole> = None;
    // Bounded: each step splits one cell; a few hundred are usual.
    for _ in 0..20_000 {
        let Some(c) = heap.pop() else { break };
        let known = best.map_or(0.0, |p| p.radius);
        if c.most <= known + size * 0.01 {
            break;
        }
        let r = room(c.at);
        if r > known {
            best = Some(Pole { at: c.at, radius: r });
        }
        let h = c.half / 2.0;
        for (dx, dy) in [(-h, -h), (h, -h), (-h, h), (h, h)] {
            heap.push(cell(Point::new(c.at.x + dx, c.at.y + dy), h));
        }
    }
    best
}

/// Circles that fill a simple ring: until eight or more cover nine tenths of it, or sixteen or
/// more four fifths, or there are forty-eight.
pub(crate) fn poles(ring: &[Point]) -> Vec<Pole> {
    let area = signed_area(ring).abs();
    let mut out: Vec<Pole> = Vec::new();
    let mut covered = 0.0;
    while let Some(p) = next(ring, &out) {
        if out.first().is_some_and(|f| p.radius < f.radius * 0.02) {
            break;
        }
        covered += std::f64::consts::PI * p.radius * p.radius;
        out.push(p);
        let share = covered / area;
        if (share > 0.9 && out.len() >= 8) || (share > 0.8 && out.len() >= 16) || out.len() >= 48 {
            break;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn first_pole_of_a_rectangle_is_its_inscribed_circle() {
        let ring = [(0., 0.), (300., 0.), (300., 100.), (0., 100.)].map(Point::from);
        let all = poles(&ring);
        assert!((all[0].radius - 50.0).abs() < 1.0, "{:?}", all[0]);
        for (i, p) in all.iter().enumerate() {
            assert!(to_line(&ring, p.at) >= p.radius - 1e-9);
            for q in &all[..i] {
                assert!(p.at.distance(q.at) >= p.radius + q.radius - 1e-9);
            }
        }
        assert!(all.len() >= 5);
    }
}
