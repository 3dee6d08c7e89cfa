//! Closed rings of points: area, crossing, distance. School geometry in 64-bit.

use kurbo::{Point, Rect};

/// Twice-signed area halved: positive when counter-clockwise, mm².
pub(crate) fn signed_area(ring: &[Point]) -> f64 {
    let Some(&o) = ring.first() else { return 0.0 };
    sides(ring).map(|(a, b)| (a - o).cross(b - o)).sum::<f64>() / 2.0
}

/// The ring counter-clockwise, without repeated points.
pub(crate) fn upright(ring: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = ring.to_vec();
    out.dedup_by(|b, a| a.distance(*b) < 1e-9);
    while out.len() > 1 && matches!((out.first(), out.last()), (Some(a), Some(b)) if a.distance(*b) < 1e-9) {
        out.pop();
    }
    if signed_area(&out) < 0.0 {
        out.reverse();
    }
    out
}

/// The ring's sides, each as (from, to).
pub(crate) fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// Smallest upright rectangle round the points; a zero rectangle for none.
pub(crate) fn bounds(ring: &[Point]) -> Rect {
    let Some(&o) = ring.first() else { return Rect::ZERO };
    ring.iter().fold(Rect::from_points(o, o), |r, &p| r.union_pt(p))
}

/// Whether the point lies inside (even-odd); a point on the ring may go either way.
pub(crate) fn inside(ring: &[Point], p: Point) -> bool {
    sides(ring)
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y))
        .fold(false, |odd, (a, b)| odd != (p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)))
}

/// Distance from a point to a side, mm.
pub(crate) fn point_to_side(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let l = d.hypot2();
    let t = if l > 0.0 { ((p - a).dot(d) / l).clamp(0.0, 1.0) } else { 0.0 };
    (p - (a + d * t)).hypot2().sqrt()
}

/// Distance from a point to the ring's line, mm; infinite for an empty ring.
pub(crate) fn to_line(ring: &[Point], p: Point) -> f64 {
    sides(ring).map(|(a, b)| point_to_side(p, a, b)).fold(f64::INFINITY, f64::min)
}

/// Whether two sides cross or touch.
pub(crate) fn cross(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| (q - p).cross(r - p);
    let (d1, d2, d3, d4) = (side(c, d, a), side(c, d, b), side(a, b, c), side(a, b, d));
    if ((d1 > 0.0 && d2 < 0.0) || (d1 < 0.0 && d2 > 0.0))
        && ((d3 > 0.0 && d4 < 0.0) || (d3 < 0.0 && d4 > 0.0))
    {
        return true;
    }
    let on = |p: Point, q: Point, r: Point, s: f64| s.abs() <= 0.0 && point_to_side(r, p, q) <= 0.0;
    on(c, d, a, d1) || on(c, d, b, d2) || on(a, b, c, d3) || on(a, b, d, d4)
}

/// Distance between two sides, mm; 0 where they cross.
pub(crate) fn side_to_side(a: Point, b: Point, c: Point, d: Point) -> f64 {
    if cross(a, b, c, d) {
        return 0.0;
    }
    point_to_side(a, c, d).min(point_to_side(b, c, d)).min(point_to_side(c, a, b)).min(point_to_side(d, a, b))
}

/// Distance between the lines of two rings, mm; 0 where they cross, infinite if one is empty.
pub(crate) fn line_to_line(p: &[Point], q: &[Point]) -> f64 {
    let mut best = f64::INFINITY;
    for (a, b) in sides(p) {
        let box_ab = Rect::from_points(a, b);
        for (c, d) in sides(q) {
            let box_cd = Rect::from_points(c, d);
            let dx = (box_cd.x0 - box_ab.x1).max(box_ab.x0 - box_cd.x1);
            let dy = (box_cd.y0 - box_ab.y1).max(box_ab.y0 - box_cd.y1);
            if dx < best && dy < best {
                best = best.min(side_to_side(a, b, c, d));
            }
        }
    }
    best
}

/// A place where the ring crosses or touches itself, if any. Neighbouring sides may share their point but not fold back.
pub(crate) fn self_crossing(ring: &[Point]) -> Option<Point> {
    let n = ring.len();
    let all: Vec<(Point, Point)> = sides(ring).collect();
    for (i, &(a, b)) in all.iter().enumerate() {
        for (j, &(c, d)) in all.iter().enumerate().skip(i + 1) {
            let next = j == i + 1;
            let closing = i == 0 && j + 1 == n;
            let bad = if next && closing {
                false
            } else if next {
                (b - a).cross(d - c).abs() <= 0.0 && (b - a).dot(d - c) < 0.0
            } else if closing {
                (d - c).cross(b - a).abs() <= 0.0 && (d - c).dot(b - a) < 0.0
            } else {
                cross(a, b, c, d)
            };
            if bad {
                return Some(c.midpoint(a));
            }
        }
    }
    None
}

/// Corners of the convex hull, counter-clockwise (Andrew's monotone chain, 1979).
pub(crate) fn hull(points: &[Point]) -> Vec<Point> {
    let mut all = points.to_vec();
    all.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |run: &mut dyn Iterator<Item = &Point>| {
        let mut out: Vec<Point> = Vec::new();
        for &p in run {
            while out.len() > 1
                && (out[out.len() - 1] - out[out.len() - 2]).cross(p - out[out.len() - 1]) <= 0.0
            {
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut lower = half(&mut all.iter());
    lower.extend(half(&mut all.iter().rev()));
    lower
}
