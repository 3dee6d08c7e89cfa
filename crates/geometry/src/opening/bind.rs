//! Pieces that must go in past outlines smaller than themselves.

use kurbo::{Point, Vec2};

use super::hull::convex_hull;
use crate::regions::without;
use crate::section::signed_area;
use crate::{Ring, Section};

/// A piece cannot be pushed straight to its place: it must be tilted in or split.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bind {
    /// Which of the outlines given is the tightest, from 0.
    pub at: usize,
    /// How far the piece stands out over it, mm, moved sideways as is best where that can be told.
    pub by: f64,
}

/// Whether a piece, kept flat, is stopped on its way to its place by outlines it must go past (walls that close in towards the box):
/// the outlines at the depths between its inner face and the inner face of the wall. None when it goes in straight.
///
/// An outline in one part, and convex to within a thousandth of its area, is passed with the best sideways shift of the piece
/// (least greatest overrun over its sides, found by nested search, right to 0.01 mm); any other without a shift.
/// Less than 0.01 mm does not bind. An outline of nothing binds by the size of the piece.
#[must_use]
pub fn binds(piece: &[Ring], later: &[Section]) -> Option<Bind> {
    let points: Vec<Point> = piece.iter().flat_map(|r| r.outer.iter().copied()).collect();
    let hull = convex_hull(&points);
    if hull.len() < 3 {
        return None;
    }
    let mut worst: Option<Bind> = None;
    for (at, section) in later.iter().enumerate() {
        let by = overrun(piece, &hull, &section.rings);
        if by > 0.01 && worst.is_none_or(|w| by > w.by) {
            worst = Some(Bind { at, by });
        }
    }
    worst
}

fn overrun(piece: &[Ring], hull: &[Point], past: &[Ring]) -> f64 {
    let here = standing_out(piece, past);
    let [one] = past else { return here };
    let round = convex_hull(&one.outer);
    let convex = one.holes.is_empty() && signed_area(&one.outer) >= 0.999 * signed_area(&round);
    if here > 0.0 && convex { shifted(hull, &round).min(here) } else { here }
}

/// Greatest distance of the piece outside, where it is.
fn standing_out(piece: &[Ring], past: &[Ring]) -> f64 {
    if past.is_empty() {
        let b = piece.iter().map(Ring::bounds).reduce(|a, b| a.union(b)).unwrap_or_default();
        return b.width().min(b.height());
    }
    let out = without(piece, past);
    let distance = |p: &Point| {
        if past.iter().any(|r| r.contains(*p)) {
            return 0.0;
        }
        past.iter().map(|r| r.distance_to_boundary(*p)).fold(f64::INFINITY, f64::min)
    };
    out.iter().flat_map(|r| r.outer.iter().chain(r.holes.iter().flatten())).map(distance).fold(0.0, f64::max)
}

/// Least over all shifts of the greatest overrun over a side of the convex `round`.
fn shifted(hull: &[Point], round: &[Point]) -> f64 {
    let n = round.len();
    let sides: Vec<(Vec2, f64)> = (0..n)
        .filter_map(|i| {
            let d = round[(i + 1) % n] - round[i];
            let l = d.hypot();
            let out = Vec2::new(d.y, -d.x) / l;
            let reach = hull.iter().map(|p| (*p - round[i]).dot(out)).fold(f64::NEG_INFINITY, f64::max);
            (l > 0.0).then_some((out, reach))
        })
        .collect();
    let over = |s: Vec2| sides.iter().map(|(n, k)| n.dot(s) + k).fold(f64::NEG_INFINITY, f64::max);
    let here = over(Vec2::ZERO).max(0.0);
    // No shift by more than the overrun times a few can help a piece of this size; the sum is convex in the shift.
    let far = 4.0 * here + 1.0;
    let down = |x: f64| least(&|y| over(Vec2::new(x, y)), far);
    least(&down, far).max(0.0)
}

/// Least value of a convex function on −`far`..=`far`.
fn least(f: &dyn Fn(f64) -> f64, far: f64) -> f64 {
    let (mut lo, mut hi) = (-far, far);
    for _ in 0..40 {
        let (p, q) = (lo + (hi - lo) / 3.0, hi - (hi - lo) / 3.0);
        if f(p) <= f(q) { hi = q } else { lo = p }
    }
    f(0.5 * (lo + hi))
}
