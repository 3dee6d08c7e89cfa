//! The region of foam at one depth.

use kurbo::{Point, Rect};

use crate::Notice;

/// The foam at one depth.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Section {
    /// Its parts, largest first; none when nothing is left.
    pub rings: Vec<Ring>,
    /// What to tell the person.
    pub notices: Vec<Notice>,
}

impl Section {
    /// Area of all parts, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        self.rings.iter().map(Ring::area).sum()
    }
}

/// One connected part: an outer boundary and its holes, flattened to 0.001 mm.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Ring {
    /// Counter-clockwise; the first point is not repeated.
    pub outer: Vec<Point>,
    /// Clockwise.
    pub holes: Vec<Vec<Point>>,
}

/// The least and the most of some values; the least is more than the most where there are none.
pub(crate) fn span(values: impl IntoIterator<Item = f64>) -> (f64, f64) {
    values.into_iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(lo, hi), v| (lo.min(v), hi.max(v)))
}

impl Ring {
    /// Area without the holes, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        signed_area(&self.outer) + self.holes.iter().map(|h| signed_area(h)).sum::<f64>()
    }

    /// Length of all boundaries, mm.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        ring_length(&self.outer) + self.holes.iter().map(|h| ring_length(h)).sum::<f64>()
    }

    /// Smallest upright rectangle round it.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        bounds(&self.outer)
    }

    /// Whether `p` lies inside (not in a hole). On the boundary either answer may come.
    #[must_use]
    pub fn contains(&self, p: Point) -> bool {
        inside(&self.outer, p) && !self.holes.iter().any(|h| inside(h, p))
    }

    /// Distance from `p` to the nearest boundary, mm; infinite for an empty ring.
    #[must_use]
    pub fn distance_to_boundary(&self, p: Point) -> f64 {
        std::iter::once(&self.outer).chain(&self.holes).map(|r| distance(r, p)).fold(f64::INFINITY, f64::min)
    }
}

/// Pairs of neighbouring points, the last with the first.
pub(crate) fn segments(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// Signed area of a closed ring, mm², positive counter-clockwise; 0 for no points.
#[must_use]
pub fn signed_area(ring: &[Point]) -> f64 {
    let Some(o) = ring.first() else { return 0.0 };
    0.5 * segments(ring).map(|(a, b)| (a - *o).cross(b - *o)).sum::<f64>()
}

pub(crate) fn ring_length(ring: &[Point]) -> f64 {
    segments(ring).map(|(a, b)| a.distance(b)).sum()
}

/// Smallest upright rectangle round points; a zero rectangle for none.
#[must_use]
pub fn bounds(ring: &[Point]) -> Rect {
    let mut points = ring.iter();
    points.next().map_or(Rect::ZERO, |p| points.fold(Rect::from_points(*p, *p), |r, p| r.union_pt(*p)))
}

/// Even-odd test.
pub(crate) fn inside(ring: &[Point], p: Point) -> bool {
    segments(ring)
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
        .count()
        % 2
        == 1
}

/// Distance to the nearest segment.
pub(crate) fn distance(ring: &[Point], p: Point) -> f64 {
    segments(ring)
        .map(|(a, b)| {
            let (d, v) = (b - a, p - a);
            let t = if d.hypot2() > 0.0 { (v.dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
            (v - d * t).hypot2()
        })
        .fold(f64::INFINITY, f64::min)
        .sqrt()
}
