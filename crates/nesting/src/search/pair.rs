//! Two bodies: whether they overlap, and how badly.
//!
//! Whether: exactly, on the outlines, in 64 bit. How badly: the overlap proxy of Gardeyn, Vanden Berghe and Wauters
//! (arXiv:2509.13329, 2025), section on quantifying collisions: the depth by which circles inside the one enter circles
//! inside the other, each pair counted by its smaller radius; it fades out smoothly instead of ending, so that a search
//! finds the way even where no circles meet.

use crate::search::shape::{Body, Circles, LANES};

/// Overlap of boxes below this counts as contact, mm: far above rounding, far below the millionth the shapes are shrunk.
const CONTACT: f64 = 1e-7;

/// Sides nearer than this touch, mm: above rounding, below the [`CLEARANCE`] of exact placing.
const TOUCH: f64 = 1e-9;
/// What pieces placed side by side leave between their shrunk shapes, mm: above contact, below what they are shrunk by.
pub(crate) const CLEARANCE: f64 = 5e-7;

/// The boxes overlap by more than contact.
pub(crate) fn boxes_meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] + CONTACT < b[2] && b[0] + CONTACT < a[2] && a[1] + CONTACT < b[3] && b[1] + CONTACT < a[3]
}

/// Whether a circle among the larger ones of `a` certainly enters one of the larger ones of `b`.
fn circles_meet(a: &Circles, b: &Circles, fade: f32) -> bool {
    // Above what 32-bit rounding can make of two circles that touch.
    let least = fade * 0.01;
    let mut deepest = [f32::NEG_INFINITY; LANES];
    let Some((bx, by, br)) = b.lanes().next() else { return false };
    for i in 0..a.count.min(4) {
        let (ax, ay, ar) = (a.x[i], a.y[i], a.r[i] - least);
        for k in 0..LANES {
            let (dx, dy, r) = (ax - bx[k], ay - by[k], ar + br[k]);
            // The sign of r² − d² is that of r − d: no root is needed. Empty circles lie too far away to count.
            deepest[k] = deepest[k].max(r * r - (dx * dx + dy * dy));
        }
    }
    deepest.iter().any(|d| *d > 0.0)
}

/// Sum over pairs of circles; stops early once it is over `enough`.
fn proxy(a: &Circles, b: &Circles, fade: f32, enough: f32) -> f32 {
    let mut total = 0.0;
    let (fade2, fade_sq) = (2.0 * fade, fade * fade);
    for i in 0..a.count {
        let mut sum = [0.0f32; LANES];
        let (ax, ay, ar) = (a.x[i], a.y[i], a.r[i]);
        for (bx, by, br) in b.lanes() {
            for k in 0..LANES {
                let (dx, dy) = (ax - bx[k], ay - by[k]);
                let deep = ar + br[k] - (dx * dx + dy * dy).sqrt();
                let shallow = fade_sq / (fade2 - deep.min(fade));
                sum[k] += deep.max(shallow) * ar.min(br[k]);
            }
        }
        total += sum.iter().sum::<f32>();
        if total > enough {
            break;
        }
    }
    total
}

/// Whether the outlines overlap or touch, by crossing or by one holding the other.
pub(crate) fn outlines_meet(a: &Body, b: &Body) -> bool {
    let (p, q) = (&a.bounds, &b.bounds);
    let x0 = p[0].max(q[0]) - CONTACT;
    let y0 = p[1].max(q[1]) - CONTACT;
    let x1 = p[2].min(q[2]) + CONTACT;
    let y1 = p[3].min(q[3]) + CONTACT;
    let outside = |s: &[f64; 2], e: &[f64; 2]| {
        (s[0] < x0 && e[0] < x0)
            || (s[0] > x1 && e[0] > x1)
            || (s[1] < y0 && e[1] < y0)
            || (s[1] > y1 && e[1] > y1)
    };
    // The sides of `b` that come into the common box, gathered once; in rounds, should there be very many.
    const ROUND: usize = 64;
    let mut near = [([0.0; 2], [0.0; 2]); ROUND];
    let mut from = 0;
    while from < b.points.len() {
        let mut n = 0;
        while from < b.points.len() && n < ROUND {
            let t = if from == 0 { b.points[b.points.len() - 1] } else { b.points[from - 1] };
            let u = b.points[from];
            if !outside(&t, &u) {
                near[n] = (t, u);
                n += 1;
            }
            from += 1;
        }
        if n == 0 {
            continue;
        }
        let Some(mut s) = a.points.last() else { return false };
        for e in &a.points {
            if !outside(s, e) && near[..n].iter().any(|(t, u)| sides_cross(s, e, t, u)) {
                return true;
            }
            s = e;
        }
    }
    holds(a, b) || holds(b, a)
}

/// Whether two sides cross or come within [`TOUCH`] of each other's line where their boxes meet. Touching counts, so that
/// outlines that share corners or run along each other are never taken for free: no rule for ties is needed.
fn sides_cross(s: &[f64; 2], e: &[f64; 2], t: &[f64; 2], u: &[f64; 2]) -> bool {
    let apart = |k: usize| s[k].min(e[k]) > t[k].max(u[k]) + TOUCH || t[k].min(u[k]) > s[k].max(e[k]) + TOUCH;
    if apart(0) || apart(1) {
        return false;
    }
    let one_side = |p: &[f64; 2], q: &[f64; 2], m: &[f64; 2], n: &[f64; 2]| {
        let (dx, dy) = (q[0] - p[0], q[1] - p[1]);
        let m = dx * (m[1] - p[1]) - dy * (m[0] - p[0]);
        let n = dx * (n[1] - p[1]) - dy * (n[0] - p[0]);
        let least = TOUCH * (dx.abs() + dy.abs());
        (m > least && n > least) || (m < -least && n < -least)
    };
    !one_side(s, e, t, u) && !one_side(t, u, s, e)
}

/// Whether the first point of `b` lies inside `a`.
fn holds(a: &Body, b: &Body) -> bool {
    let Some(p) = b.points.first() else { return false };
    let r = &a.bounds;
    if p[0] < r[0] || p[0] > r[2] || p[1] < r[1] || p[1] > r[3] {
        return false;
    }
    let mut odd = false;
    let Some(mut s) = a.points.last() else { return false };
    for e in &a.points {
        if (s[1] > p[1]) != (e[1] > p[1]) && p[0] < s[0] + (p[1] - s[1]) / (e[1] - s[1]) * (e[0] - s[0]) {
            odd = !odd;
        }
        s = e;
    }
    odd
}

/// How badly two bodies overlap, mm-like; exactly 0 when they do not. `across` is the larger of their sizes, `weight`
/// the product of their weights. Above `limit` only the fact that it is above counts.
pub(crate) fn badness(a: &Body, b: &Body, across: f64, weight: f32, limit: f32) -> f32 {
    if !boxes_meet(&a.bounds, &b.bounds) {
        return 0.0;
    }
    let fade = (across * 0.01) as f32;
    if !circles_meet(&a.circles, &b.circles, fade) && !outlines_meet(a, b) {
        return 0.0;
    }
    let enough = limit / weight;
    (proxy(&a.circles, &b.circles, fade, enough * enough) + fade * fade).sqrt() * weight
}

#[cfg(test)]
mod tests {
    use kurbo::Point;

    use super::*;
    use crate::request::Turns;
    use crate::search::shape::Shape;

    fn body(ring: &[(f64, f64)], x: f64, y: f64) -> Body {
        let ring: Vec<Point> = ring.iter().map(|p| Point::new(p.0, p.1)).collect();
        let shape = Shape::new(&ring, Turns::Any).unwrap();
        let mut out = Body::default();
        shape.put(0.0, shape.centre.x + x, shape.centre.y + y, &mut out);
        out
    }

    #[test]
    fn outlines_that_share_corners_overlap_when_they_do() {
        let square = [(0.0, 0.0), (10.0, 0.0), (10.0, 10.0), (0.0, 10.0)];
        let lozenge = [(5.0, 0.0), (10.0, 5.0), (5.0, 10.0), (0.0, 5.0)];
        let a = body(&square, 0.0, 0.0);
        // The same place; half over; the corners of one on the sides of the other; a corner in a corner.
        for b in [
            body(&square, 0.0, 0.0),
            body(&square, 5.0, 0.0),
            body(&lozenge, 0.0, 0.0),
            body(&square, 9.99, 9.99),
        ] {
            assert!(outlines_meet(&a, &b) && outlines_meet(&b, &a));
        }
        for b in [
            body(&square, 10.0 + CLEARANCE, 0.0),
            body(&square, 3.0, -10.0 - CLEARANCE),
            body(&lozenge, 7.6, 7.6),
        ] {
            assert!(!outlines_meet(&a, &b) && !outlines_meet(&b, &a));
        }
    }
}
