//! Whether a ring crosses or touches itself.

use kurbo::{Point, Vec2};

use crate::section::span;

/// One segment of a ring with the edge it belongs to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Piece {
    pub a: Point,
    pub b: Point,
    pub edge: usize,
}

/// Direction along which pieces are looked at, and across it. Turned off the axes, so that the many pieces of an upright or
/// level side do not all begin at one place.
const ALONG: Vec2 = Vec2::new(0.8, 0.6);
const ACROSS: Vec2 = Vec2::new(-0.6, 0.8);

/// What is looked at of a piece: its range along and across.
#[derive(Clone, Copy)]
struct Reach {
    piece: usize,
    along: (f64, f64),
    across: (f64, f64),
}

/// The first place where two pieces of a closed ring cross or touch, other than neighbours at their common end.
///
/// Pieces are looked at in order along one direction, so that time grows with the pieces that overlap there, not with their
/// square.
pub(crate) fn self_crossing(ring: &[Piece]) -> Option<(usize, usize, Point)> {
    look(ring, &[])
}

/// Whether the ring neither crosses nor touches itself, nor enters one of the triangles. Its pieces at a triangle's first
/// point do not count for that triangle.
pub(crate) fn is_clear(ring: &[Point], triangles: &[[Point; 3]]) -> bool {
    look(&pieces(ring), triangles).is_none()
}

fn look(ring: &[Piece], triangles: &[[Point; 3]]) -> Option<(usize, usize, Point)> {
    let n = ring.len();
    let range = |points: &[Point], d: Vec2| span(points.iter().map(|p| p.to_vec2().dot(d)));
    let reach =
        |piece, points: &[Point]| Reach { piece, along: range(points, ALONG), across: range(points, ACROSS) };
    let mut order: Vec<Reach> = ring.iter().enumerate().map(|(i, p)| reach(i, &[p.a, p.b])).collect();
    order.extend(triangles.iter().enumerate().map(|(i, t)| reach(n + i, t)));
    order.sort_unstable_by(|p, q| p.along.0.total_cmp(&q.along.0));
    // A touch by a nanometre counts; ranges are widened by that much.
    const NEAR: f64 = 2e-6;
    let mut live: Vec<Reach> = Vec::new();
    for r in order {
        let mut k = 0;
        while let Some(l) = live.get(k).copied() {
            if l.along.1 + NEAR < r.along.0 {
                live.swap_remove(k);
                continue;
            }
            k += 1;
            if r.across.0 > l.across.1 + NEAR || l.across.0 > r.across.1 + NEAR {
                continue;
            }
            let (i, j) = (r.piece.min(l.piece), r.piece.max(l.piece));
            if let Some(t) = j.checked_sub(n).and_then(|k| triangles.get(k)) {
                if let Some(p) = ring.get(i)
                    && enters(p, t)
                {
                    return Some((p.edge, p.edge, t[0]));
                }
                continue;
            }
            let (p, q) = (&ring[i], &ring[j]);
            let (next, before) = ((i + 1) % n == j, (j + 1) % n == i);
            let found = if next || before {
                folds(if next { p } else { q }, if next { q } else { p })
            } else {
                touch(p, q)
            };
            if let Some(at) = found {
                return Some((ring[i.min(j)].edge, ring[i.max(j)].edge, at));
            }
        }
        live.push(r);
    }
    None
}

/// Whether a piece crosses or touches a triangle's sides, unless it ends at the first corner.
fn enters(p: &Piece, t: &[Point; 3]) -> bool {
    /// What may have been merged with that corner, mm.
    const AT: f64 = 3e-4;
    if p.a.distance(t[0]) < AT || p.b.distance(t[0]) < AT {
        return false;
    }
    let side = |a, b| touch(p, &Piece { a, b, edge: 0 }).is_some();
    side(t[0], t[1]) || side(t[1], t[2]) || side(t[2], t[0])
}

/// Whether `q`, which starts where `p` ends, runs back over it.
fn folds(p: &Piece, q: &Piece) -> Option<Point> {
    let (u, v) = (p.b - p.a, q.b - q.a);
    let (lu, lv) = (u.hypot(), v.hypot());
    // Within a micrometre of running back along itself.
    (lu > 0.0 && lv > 0.0 && u.dot(v) < 0.0 && u.cross(v).abs() / lu.max(lv) < 1e-3 * lu.min(lv).min(1.0))
        .then_some(p.b)
}

/// A common point of two segments, ends included.
fn touch(p: &Piece, q: &Piece) -> Option<Point> {
    let (u, v) = (p.b - p.a, q.b - q.a);
    let side = |o: Point, d: Vec2, x: Point| {
        let c = d.cross(x - o);
        // Closer than a nanometre counts as on the line.
        if c.abs() <= 1e-6 * d.hypot() { 0.0 } else { c.signum() }
    };
    let (s1, s2) = (side(p.a, u, q.a), side(p.a, u, q.b));
    let (s3, s4) = (side(q.a, v, p.a), side(q.a, v, p.b));
    if s1 * s2 > 0.0 || s3 * s4 > 0.0 {
        return None;
    }
    let den = u.cross(v);
    if den.abs() > 1e-12 * u.hypot() * v.hypot() {
        let t = ((q.a - p.a).cross(v) / den).clamp(0.0, 1.0);
        return Some(p.a + u * t);
    }
    // On one line: do they overlap?
    let l = u.hypot2();
    if l <= 0.0 {
        return None;
    }
    let (t1, t2) = ((q.a - p.a).dot(u) / l, (q.b - p.a).dot(u) / l);
    let (lo, hi) = (t1.min(t2), t1.max(t2));
    (lo <= 1.0 && hi >= 0.0).then(|| p.a + u * lo.clamp(0.0, 1.0))
}

/// The pieces of a ring of points, all of edge 0.
pub(crate) fn pieces(ring: &[Point]) -> Vec<Piece> {
    crate::section::segments(ring).map(|(a, b)| Piece { a, b, edge: 0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(ring: &[(f64, f64)], crosses: bool) {
        let ring: Vec<Point> = ring.iter().map(|p| Point::new(p.0, p.1)).collect();
        assert_eq!(self_crossing(&pieces(&ring)).is_some(), crosses, "{ring:?}");
    }

    #[test]
    fn crossings_and_touches_are_found() {
        check(&[(0., 0.), (100., 0.), (100., 80.), (0., 80.)], false);
        check(&[(0., 0.), (100., 80.), (100., 0.), (0., 80.)], true);
        check(&[(0., 0.), (100., 0.), (100., 80.), (50., 0.), (0., 80.)], true);
        check(&[(0., 0.), (100., 0.), (60., 0.), (100., 0.), (100., 80.), (0., 80.)], true);
        check(&[(0., 0.), (50., 0.), (100., 0.), (100., 80.), (0., 80.)], false);
        check(&[(0., 0.), (300., 0.), (0., 12.)], false);
    }
}
