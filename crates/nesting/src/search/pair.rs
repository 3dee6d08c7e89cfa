//! Two bodies: whether they overlap, and how badly.
//!
//! Whether: exactly, on the outlines, in 64 bit. How badly: the overlap proxy of Gardeyn, Vanden Berghe and Wauters
//! (arXiv:2509.13329, 2025), section on quantifying collisions: the depth by which circles inside the one enter circles
//! inside the other, each pair counted by its smaller radius; it fades out smoothly instead of ending, so that a search
//! finds the way even where no circles meet.

use crate::search::shape::{Body, Circles, LANES};

/// Overlap of boxes below this counts as contact, mm: far above rounding, far below the millionth the shapes are shrunk.
const CONTACT: f64 = 1e-7;

/// The boxes overlap by more than contact.
pub(crate) fn boxes_meet(a: &[f64; 4], b: &[f64; 4]) -> bool {
    a[0] + CONTACT < b[2] && b[0] + CONTACT < a[2] && a[1] + CONTACT < b[3] && b[1] + CONTACT < a[3]
}

/// Sum over pairs of circles, and whether some pair is certainly in collision.
fn proxy(a: &Circles, b: &Circles, fade: f32) -> (f32, bool) {
    let mut sum = [0.0f32; LANES];
    let mut deepest = [f32::NEG_INFINITY; LANES];
    let (fade2, fade_sq) = (2.0 * fade, fade * fade);
    for i in 0..a.count {
        let (ax, ay, ar) = (a.x[i], a.y[i], a.r[i]);
        let groups = b.x.chunks_exact(LANES).zip(b.y.chunks_exact(LANES)).zip(b.r.chunks_exact(LANES));
        for ((bx, by), br) in groups {
            for k in 0..LANES {
                let (dx, dy) = (ax - bx[k], ay - by[k]);
                let deep = ar + br[k] - (dx * dx + dy * dy).sqrt();
                deepest[k] = deepest[k].max(deep);
                let shallow = fade_sq / (fade2 - deep.min(fade));
                sum[k] += deep.max(shallow) * ar.min(br[k]);
            }
        }
    }
    let total = sum.iter().sum();
    // Above what 32-bit rounding can make of two circles that touch.
    let certain = deepest.iter().fold(f32::NEG_INFINITY, |m, d| m.max(*d)) > fade * 0.01;
    (total, certain)
}

/// Whether the outlines overlap, by crossing or by one holding the other.
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
    let Some(mut s) = a.points.last() else { return false };
    for e in &a.points {
        if !outside(s, e) {
            let (dx, dy) = (e[0] - s[0], e[1] - s[1]);
            let (lx, hx) = (s[0].min(e[0]), s[0].max(e[0]));
            let (ly, hy) = (s[1].min(e[1]), s[1].max(e[1]));
            let Some(mut t) = b.points.last() else { return false };
            let mut side_t = dx * (t[1] - s[1]) - dy * (t[0] - s[0]);
            for u in &b.points {
                let side_u = dx * (u[1] - s[1]) - dy * (u[0] - s[0]);
                if (side_t > 0.0) != (side_u > 0.0)
                    && !((t[0] < lx && u[0] < lx)
                        || (t[0] > hx && u[0] > hx)
                        || (t[1] < ly && u[1] < ly)
                        || (t[1] > hy && u[1] > hy))
                {
                    let (ex, ey) = (u[0] - t[0], u[1] - t[1]);
                    let side_s = ex * (s[1] - t[1]) - ey * (s[0] - t[0]);
                    let side_e = ex * (e[1] - t[1]) - ey * (e[0] - t[0]);
                    if (side_s > 0.0) != (side_e > 0.0) {
                        return true;
                    }
                }
                t = u;
                side_t = side_u;
            }
        }
        s = e;
    }
    holds(a, b) || holds(b, a)
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
/// the product of their weights.
pub(crate) fn badness(a: &Body, b: &Body, across: f64, weight: f32) -> f32 {
    if !boxes_meet(&a.bounds, &b.bounds) {
        return 0.0;
    }
    let fade = (across * 0.01) as f32;
    let (sum, certain) = proxy(&a.circles, &b.circles, fade);
    if certain || outlines_meet(a, b) { (sum + fade * fade).sqrt() * weight } else { 0.0 }
}
