//! The curve of least change of curvature through given heights: the natural quintic spline.
//!
//! Of all curves through the points it has the least integral of the squared third derivative; the third derivative is a
//! sum of quadratic B-splines within the run and nought beyond, so that the curve goes on as a parabola.
//! Method: C. H. Reinsch, Smoothing by spline functions, Numerische Mathematik 10 (1967), with third instead of second
//! derivatives; basis as in C. de Boor, A Practical Guide to Splines (1978), ch. XI.

use crate::banded::Banded;

/// Third divided differences and their Gram matrix over given places.
#[derive(Debug, Clone)]
pub(crate) struct Thirds {
    /// Places, strictly rising.
    pub x: Vec<f64>,
    /// Row j: weights of y[j..j+4] in the j-th contrast, 6 times the third divided difference.
    pub rows: Vec<[f64; 4]>,
    /// Integrals of products of the quadratic B-splines.
    pub gram: Banded<3>,
}

/// Value at `x` of the j-th quadratic B-spline, of integral 1, on knots `k`.
fn bump(k: [f64; 4], x: f64) -> f64 {
    let n = if x < k[0] || x > k[3] {
        0.0
    } else if x < k[1] {
        (x - k[0]).powi(2) / ((k[2] - k[0]) * (k[1] - k[0]))
    } else if x < k[2] {
        (x - k[0]) * (k[2] - x) / ((k[2] - k[0]) * (k[2] - k[1]))
            + (k[3] - x) * (x - k[1]) / ((k[3] - k[1]) * (k[2] - k[1]))
    } else {
        (k[3] - x).powi(2) / ((k[3] - k[1]) * (k[3] - k[2]))
    };
    3.0 * n / (k[3] - k[0])
}

/// Three-point Gauss rule on −1..1, exact to degree 5.
const GAUSS3: [(f64, f64); 3] =
    [(-0.774_596_669_241_483_4, 5.0 / 9.0), (0.0, 8.0 / 9.0), (0.774_596_669_241_483_4, 5.0 / 9.0)];

impl Thirds {
    /// For places strictly rising; with fewer than four there are no contrasts.
    pub fn new(x: &[f64]) -> Self {
        let m = x.len().saturating_sub(3);
        let knots = |j: usize| -> [f64; 4] { std::array::from_fn(|k| x[j + k]) };
        let rows = (0..m)
            .map(|j| {
                let k = knots(j);
                std::array::from_fn(|a| {
                    6.0 / (0..4).filter(|b| *b != a).map(|b| k[a] - k[b]).product::<f64>()
                })
            })
            .collect();
        let mut gram = Banded::zero(m);
        for i in 0..x.len().saturating_sub(1) {
            let (mid, half) = (0.5 * (x[i] + x[i + 1]), 0.5 * (x[i + 1] - x[i]));
            let first = i.saturating_sub(2);
            for (g, w) in GAUSS3 {
                let at = mid + half * g;
                for a in first..=i.min(m.wrapping_sub(1)) {
                    if m == 0 {
                        break;
                    }
                    for b in first..=a {
                        gram.add(a, b, w * half * bump(knots(a), at) * bump(knots(b), at));
                    }
                }
            }
        }
        Self { x: x.to_vec(), rows, gram }
    }

    /// The contrasts of `y`.
    pub fn apply(&self, y: &[f64]) -> Vec<f64> {
        self.rows.iter().enumerate().map(|(j, r)| (0..4).map(|k| r[k] * y[j + k]).sum()).collect()
    }

    /// The contrasts' transpose applied to `a`.
    pub fn transpose(&self, a: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; self.x.len()];
        for (j, (r, v)) in self.rows.iter().zip(a).enumerate() {
            for k in 0..4 {
                out[j + k] += r[k] * v;
            }
        }
        out
    }

    /// Covariance of the contrasts when each height has its own variance.
    pub fn noise(&self, variance: &[f64]) -> Banded<3> {
        let mut out = Banded::zero(self.rows.len());
        for (i, ri) in self.rows.iter().enumerate() {
            for j in i.saturating_sub(3)..=i {
                let rj = &self.rows[j];
                let v = (i..j + 4).map(|p| ri[p - i] * rj[p - j] * variance[p]).sum();
                out.add(i, j, v);
            }
        }
        out
    }
}

/// Taylor coefficients of each span about its left place: y = Σ c[k]·(x − x_i)^k.
pub(crate) fn natural(x: &[f64], y: &[f64], smoothing: Option<(f64, &[f64])>) -> Option<Vec<[f64; 6]>> {
    let n = x.len();
    match n {
        0 | 1 => return None,
        2 => return Some(vec![[y[0], (y[1] - y[0]) / (x[1] - x[0]), 0.0, 0.0, 0.0, 0.0]]),
        _ => {}
    }
    let thirds = Thirds::new(x);
    let mut z = y.to_vec();
    let contrasts = thirds.apply(y);
    let weights = match smoothing {
        Some((lambda, variance)) => {
            let system = thirds.gram.blend(1.0, &thirds.noise(variance), lambda);
            let a = system.cholesky()?.solve(&contrasts);
            for ((zi, move_by), v) in z.iter_mut().zip(thirds.transpose(&a)).zip(variance) {
                *zi -= lambda * v * move_by;
            }
            a
        }
        None => thirds.gram.cholesky()?.solve(&contrasts),
    };
    spans(x, &z, &weights)
}

/// Integrates the third derivative and adds the parabola that meets the heights.
fn spans(x: &[f64], z: &[f64], weights: &[f64]) -> Option<Vec<[f64; 6]>> {
    let n = x.len();
    let third = |i: usize, at: f64| -> f64 {
        (i.saturating_sub(2)..=i)
            .filter_map(|j| weights.get(j).map(|w| w * bump([x[j], x[j + 1], x[j + 2], x[j + 3]], at)))
            .sum()
    };
    let mut out = Vec::with_capacity(n - 1);
    let mut state = [0.0_f64; 3];
    let mut particular = vec![0.0];
    for i in 0..n - 1 {
        let h = x[i + 1] - x[i];
        // Values at quarter points, well inside the span, so that no knot's side is in doubt.
        let v: [f64; 3] = std::array::from_fn(|k| third(i, x[i] + h * 0.25 * (k as f64 + 1.0)));
        let c2 = 8.0 * (v[0] - 2.0 * v[1] + v[2]) / (h * h);
        let c1 = (v[1] - v[0]) * 4.0 / h - c2 * 0.75 * h;
        let c0 = v[0] - c1 * 0.25 * h - c2 * 0.0625 * h * h;
        let c = [state[0], state[1], 0.5 * state[2], c0 / 6.0, c1 / 24.0, c2 / 60.0];
        out.push(c);
        state = [
            ((((c[5] * h + c[4]) * h + c[3]) * h + c[2]) * h + c[1]) * h + c[0],
            (((5.0 * c[5] * h + 4.0 * c[4]) * h + 3.0 * c[3]) * h + 2.0 * c[2]) * h + c[1],
            ((20.0 * c[5] * h + 12.0 * c[4]) * h + 6.0 * c[3]) * h + 2.0 * c[2],
        ];
        particular.push(state[0]);
    }
    // The rest is a parabola exactly; first, middle and last place fix it.
    let (a, m, b) = (0, n / 2, n - 1);
    let e = |i: usize| z[i] - particular[i];
    let (s1, s2) = ((e(m) - e(a)) / (x[m] - x[a]), (e(b) - e(m)) / (x[b] - x[m]));
    let quad = (s2 - s1) / (x[b] - x[a]);
    let slope = s1 - quad * (x[m] - x[a]);
    for (i, c) in out.iter_mut().enumerate() {
        let u = x[i] - x[0];
        c[0] = z[i];
        c[1] += slope + 2.0 * quad * u;
        c[2] += quad;
    }
    out.iter().flatten().all(|v| v.is_finite()).then_some(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn eval(x: &[f64], spans: &[[f64; 6]], at: f64) -> f64 {
        let i = x.partition_point(|v| *v <= at).clamp(1, spans.len()) - 1;
        let u = at - x[i];
        spans[i].iter().rev().fold(0.0, |s, c| s * u + c)
    }

    #[test]
    fn meets_its_points_and_keeps_parabolas() {
        let x = [0.0, 0.7, 1.0, 2.5, 3.0, 4.2, 5.0];
        let parabola: Vec<f64> = x.iter().map(|v| 3.0 - 2.0 * v + 0.5 * v * v).collect();
        let s = natural(&x, &parabola, None).expect("fits");
        for k in 0..=100 {
            let at = 0.05 * f64::from(k);
            assert!((eval(&x, &s, at) - (3.0 - 2.0 * at + 0.5 * at * at)).abs() < 1e-12, "{at}");
        }
        let y: Vec<f64> = x.iter().map(|v| (1.3 * v).sin()).collect();
        let s = natural(&x, &y, None).expect("fits");
        for (i, c) in s.iter().enumerate() {
            let h = x[i + 1] - x[i];
            let end = c.iter().rev().fold(0.0, |s, c| s * h + c);
            assert!((end - y[i + 1]).abs() < 1e-11, "{i}: {end}");
        }
    }

    /// De Boor: the natural spline has the least integral of the squared third derivative of all curves through the points.
    #[test]
    fn no_other_curve_through_the_points_changes_less() {
        let x: Vec<f64> = (0..7).map(f64::from).collect();
        let y: Vec<f64> = x.iter().map(|v| (0.9 * v).cos()).collect();
        let cost = |s: &[[f64; 6]], extra: f64| -> f64 {
            let mut sum = 0.0;
            for (i, c) in s.iter().enumerate() {
                for k in 0..200 {
                    let u = (f64::from(k) + 0.5) / 200.0;
                    let third = 6.0 * c[3] + 24.0 * c[4] * u + 60.0 * c[5] * u * u;
                    // sin(πx)² sin-like bump, nought at all whole places: its third derivative by hand.
                    let w = std::f64::consts::PI;
                    let other = -extra * w.powi(3) * (w * (x[i] + u)).cos();
                    sum += (third + other).powi(2) / 200.0;
                }
            }
            sum
        };
        let s = natural(&x, &y, None).expect("fits");
        let best = cost(&s, 0.0);
        for extra in [-1e-2, -1e-3, 1e-3, 1e-2] {
            assert!(cost(&s, extra) > best, "{extra}");
        }
    }
}
