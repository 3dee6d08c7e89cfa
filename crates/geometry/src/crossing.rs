//! Where two curves, carried past their ends, cross.

use kurbo::Point;

use crate::curve::Curve;

/// Parameters on both curves and the place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Meeting {
    pub first: f64,
    pub second: f64,
    pub at: Point,
}

/// Where the end half of `first` and the start half of `second`, both carried on, meet with least carrying.
pub(crate) fn meet(first: &Curve, second: &Curve) -> Option<Meeting> {
    let (a0, a1) = first.ends();
    let (b0, b1) = second.ends();
    let (la, lb) = (first.length(a0, a1), second.length(b0, b1));
    let reach = 1.5 * la.max(lb).max(first.at(a1).p.distance(second.at(b0).p));
    let speed = |c: &Curve, t: f64| c.at(t).d1.hypot().max(1e-9);
    let a = steps(0.5 * (a0 + a1), a1, reach / speed(first, a1));
    let b: Vec<f64> = steps(-0.5 * (b0 + b1), -b0, reach / speed(second, b0)).iter().map(|t| -t).collect();
    let pa: Vec<Point> = a.iter().map(|t| first.at(*t).p).collect();
    let pb: Vec<Point> = b.iter().map(|t| second.at(*t).p).collect();
    let mut best: Option<(f64, Meeting)> = None;
    for (i, wa) in pa.windows(2).enumerate() {
        for (k, wb) in pb.windows(2).enumerate() {
            let ([p, q], [r, s]) = (wa, wb) else { continue };
            let (u, v) = (*q - *p, *s - *r);
            let den = u.cross(v);
            if den.abs() < 1e-300 {
                continue;
            }
            let (x, y) = ((*r - *p).cross(v) / den, (*r - *p).cross(u) / den);
            let slack = -0.01..=1.01;
            if !slack.contains(&x) || !slack.contains(&y) {
                continue;
            }
            let (ta, tb) = (a[i] + x * (a[i + 1] - a[i]), b[k] + y * (b[k + 1] - b[k]));
            let Some(m) = polish(first, second, ta, tb) else { continue };
            let carried = (m.first - a1).abs() * speed(first, a1) + (m.second - b0).abs() * speed(second, b0);
            if best.is_none_or(|(c, _)| carried < c - 1e-9) {
                best = Some((carried, m));
            }
        }
    }
    best.map(|(_, m)| m)
}

/// From the middle to the end in even steps, then on in growing ones.
fn steps(middle: f64, end: f64, reach: f64) -> Vec<f64> {
    let mut out: Vec<f64> = (0..=24).map(|k| middle + (end - middle) * f64::from(k) / 24.0).collect();
    out.extend((1..=24).map(|k| end + reach * (f64::from(k) / 24.0).powi(2)));
    out
}

/// Newton's method on both parameters; None when it does not settle.
pub(crate) fn polish(first: &Curve, second: &Curve, mut ta: f64, mut tb: f64) -> Option<Meeting> {
    for _ in 0..30 {
        let (a, b) = (first.at(ta), second.at(tb));
        let gap = b.p - a.p;
        let den = a.d1.cross(b.d1);
        if den.abs() < 1e-9 * a.d1.hypot() * b.d1.hypot() {
            return None;
        }
        let (sa, sb) = (gap.cross(b.d1) / den, gap.cross(a.d1) / den);
        ta += sa;
        tb += sb;
        if !(ta.is_finite() && tb.is_finite()) {
            return None;
        }
        if sa.abs() * a.d1.hypot() + sb.abs() * b.d1.hypot() < 1e-11 * (1.0 + gap.hypot()) {
            break;
        }
    }
    let (a, b) = (first.at(ta), second.at(tb));
    (a.p.distance(b.p) < 1e-6).then_some(Meeting { first: ta, second: tb, at: a.p.midpoint(b.p) })
}
