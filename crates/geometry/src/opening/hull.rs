//! Smallest width of a piece, by rotating calipers.
//!
//! M. I. Shamos, Computational Geometry (thesis), Yale 1978: the smallest width stands square to a side of the convex hull.

use kurbo::{Point, Vec2};

use crate::section::span;

/// Heights nearer than this are the same, mm: far above the rounding of places in a boat, far below anything cut.
const LEVEL: f64 = 1e-9;

/// A direction and how far a piece reaches along it and across it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extent {
    /// Unit vector of the direction in which the piece goes in.
    pub along: Vec2,
    /// Extent square to `along`, mm.
    pub width: f64,
    /// Extent along `along`, mm.
    pub length: f64,
}

/// The narrowest way through for points: the direction to move along so that their width across is least. None for no points.
///
/// # Examples
/// A 3-4-5 triangle is narrowest square to its long side: 3 · 4 / 5.
/// ```
/// use coldwright_geometry::{Point, narrowest};
/// let triangle = [(0., 0.), (40., 0.), (0., 30.)].map(|p| Point::new(p.0, p.1));
/// let n = narrowest(&triangle).expect("three points");
/// assert!((n.width - 24.0).abs() < 1e-9 && (n.length - 50.0).abs() < 1e-9);
/// ```
#[must_use]
pub fn narrowest(points: &[Point]) -> Option<Extent> {
    let hull = convex_hull(points);
    let n = hull.len();
    if n < 3 {
        return extent_of_few(&hull);
    }
    let side = |i: usize| {
        let (a, b) = (hull[i % n], hull[(i + 1) % n]);
        let along = (b - a) / (b - a).hypot();
        (along, move |p: Point| along.cross(p - a))
    };
    // For each side in turn, its farthest point runs on round the hull: once round for all sides. Points nearly in one line or one
    // place are as far as each other but for rounding, so the first is looked for among all, and it runs on over a level stretch.
    let (_, first) = side(0);
    let highest = (1..n).max_by(|a, b| first(hull[*a]).total_cmp(&first(hull[*b])));
    let mut far = highest.unwrap_or(1);
    let mut best: Option<Extent> = None;
    for i in 0..n {
        let (along, height) = side(i);
        far = far.max(i + 1);
        let mut width = height(hull[far % n]);
        while far < i + n && height(hull[(far + 1) % n]) > width - LEVEL {
            far += 1;
            width = width.max(height(hull[far % n]));
        }
        if best.is_none_or(|e| width < e.width) {
            best = Some(Extent { along, width, length: 0.0 });
        }
    }
    best.and_then(|e| extent(&hull, e.along))
        .map(|e| Extent { width: best.map_or(e.width, |b| b.width), ..e })
}

/// How far points reach along and across the unit vector `along`. None for no points.
#[must_use]
pub fn extent(points: &[Point], along: Vec2) -> Option<Extent> {
    if points.is_empty() {
        return None;
    }
    let size = |d: Vec2| {
        let (lo, hi) = span(points.iter().map(|p| p.to_vec2().dot(d)));
        hi - lo
    };
    Some(Extent { along, width: size(along.turn_90()), length: size(along) })
}

fn extent_of_few(hull: &[Point]) -> Option<Extent> {
    let (a, b) = (hull.first()?, hull.last()?);
    let l = a.distance(*b);
    let along = if l > 0.0 { (*b - *a) / l } else { Vec2::new(0.0, 1.0) };
    Some(Extent { along, width: 0.0, length: l })
}

/// Convex hull, counter-clockwise, without points on its sides (A. M. Andrew, Another efficient algorithm for convex hulls in
/// two dimensions, 1979).
pub(crate) fn convex_hull(points: &[Point]) -> Vec<Point> {
    let mut all: Vec<Point> = points.iter().copied().filter(|p| p.is_finite()).collect();
    all.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    all.dedup_by(|a, b| a.distance(*b) < 1e-9);
    if all.len() < 3 {
        return all;
    }
    let half = |it: &mut dyn Iterator<Item = &Point>| {
        let mut out: Vec<Point> = Vec::new();
        for p in it {
            while let [.., a, b] = out.as_slice()
                && (*b - *a).cross(*p - *b) <= 0.0
            {
                out.pop();
            }
            out.push(*p);
        }
        out.pop();
        out
    };
    let mut hull = half(&mut all.iter());
    hull.extend(half(&mut all.iter().rev()));
    hull
}

/// Directions worth trying for a hull: along each side of it and square to each, and all round in steps of a degree and a half.
pub(crate) fn directions(hull: &[Point]) -> Vec<Vec2> {
    let n = hull.len();
    let sides = (0..n).filter_map(|i| {
        let d = hull[(i + 1) % n] - hull[i];
        // Of finely flattened curves the long sides do.
        (d.hypot() > 2.0).then(|| d / d.hypot())
    });
    let mut out: Vec<Vec2> = sides.flat_map(|d| [d, d.turn_90()]).take(800).collect();
    out.extend((0..120).map(|k| Vec2::from_angle(std::f64::consts::PI * f64::from(k) / 120.0)));
    out
}
