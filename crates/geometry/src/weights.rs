//! How much each template counts at a depth: straight between two, a parabola through three, a cubic through four, from five
//! on a cubic spline whose first and last two spans are one cubic each.
//!
//! Not-a-knot spline: C. de Boor, A Practical Guide to Splines (1978), ch. IV.

/// Weights of values at some depths, as functions of the depth.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Weights {
    z: Vec<f64>,
    /// For each span, for each value: coefficients of 1, u, u², u³, u from the span's start. One span up to four depths.
    spans: Vec<Vec<[f64; 4]>>,
}

impl Weights {
    /// For depths strictly rising, at least two.
    pub fn new(z: &[f64]) -> Option<Self> {
        let n = z.len();
        let spans = match n {
            0 | 1 => return None,
            2..=4 => vec![lagrange(z)],
            _ => {
                let bends: Vec<Vec<f64>> = (0..n).map(|k| bends(z, k)).collect::<Option<_>>()?;
                (0..n - 1)
                    .map(|i| {
                        let h = z[i + 1] - z[i];
                        (0..n)
                            .map(|k| {
                                let at = |i: usize| if i == k { 1.0 } else { 0.0 };
                                let (m, q) = (bends[k][i], bends[k][i + 1]);
                                let slope = (at(i + 1) - at(i)) / h - h * (2.0 * m + q) / 6.0;
                                [at(i), slope, 0.5 * m, (q - m) / (6.0 * h)]
                            })
                            .collect()
                    })
                    .collect()
            }
        };
        Some(Self { z: z.to_vec(), spans })
    }

    fn span(&self, z: f64) -> (f64, &[[f64; 4]]) {
        let i = self.z.partition_point(|k| *k <= z).clamp(1, self.spans.len()) - 1;
        let start = self.z.get(i).copied().unwrap_or_default();
        (z - start, self.spans.get(i).map_or(&[], Vec::as_slice))
    }

    /// The weights at `z`; beyond the ends the outer cubic goes on.
    pub fn at(&self, z: f64) -> Vec<f64> {
        let (u, span) = self.span(z);
        span.iter().map(|c| c[0] + u * (c[1] + u * (c[2] + u * c[3]))).collect()
    }

    /// Their first derivatives, per mm.
    pub fn slopes(&self, z: f64) -> Vec<f64> {
        let (u, span) = self.span(z);
        span.iter().map(|c| c[1] + u * (2.0 * c[2] + 3.0 * u * c[3])).collect()
    }

    /// Their second derivatives, per mm².
    pub fn bends(&self, z: f64) -> Vec<f64> {
        let (u, span) = self.span(z);
        span.iter().map(|c| 2.0 * c[2] + 6.0 * u * c[3]).collect()
    }
}

/// Coefficients in z − z[0] of the polynomials that are 1 at one depth and 0 at the others.
fn lagrange(z: &[f64]) -> Vec<[f64; 4]> {
    let x: Vec<f64> = z.iter().map(|v| v - z[0]).collect();
    (0..x.len())
        .map(|k| {
            let mut c = [1.0, 0.0, 0.0, 0.0];
            for (_, xj) in x.iter().enumerate().filter(|(j, _)| *j != k) {
                let d = x[k] - xj;
                for p in (0..4).rev() {
                    let lower = if p > 0 { c[p - 1] } else { 0.0 };
                    c[p] = (lower - xj * c[p]) / d;
                }
            }
            c
        })
        .collect()
}

/// Second derivatives at all depths of the spline that is 1 at depth `k` and 0 at the others.
fn bends(z: &[f64], k: usize) -> Option<Vec<f64>> {
    let n = z.len();
    let h = |i: usize| z[i + 1] - z[i];
    let y = |i: usize| if i == k { 1.0 } else { 0.0 };
    let mut a = vec![vec![0.0; n + 1]; n];
    // The third derivative is the same in the first two spans, and in the last two.
    (a[0][0], a[0][1], a[0][2]) = (-h(1), h(0) + h(1), -h(0));
    (a[n - 1][n - 3], a[n - 1][n - 2], a[n - 1][n - 1]) = (-h(n - 2), h(n - 3) + h(n - 2), -h(n - 3));
    for i in 1..n - 1 {
        (a[i][i - 1], a[i][i], a[i][i + 1]) = (h(i - 1), 2.0 * (h(i - 1) + h(i)), h(i));
        a[i][n] = 6.0 * ((y(i + 1) - y(i)) / h(i) - (y(i) - y(i - 1)) / h(i - 1));
    }
    solve(a)
}

/// Gauss's elimination with row exchange; the last column is the right side.
fn solve(mut a: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let n = a.len();
    for c in 0..n {
        let pivot = (c..n).max_by(|p, q| a[*p][c].abs().total_cmp(&a[*q][c].abs()))?;
        if a[pivot][c].abs() < 1e-300 {
            return None;
        }
        a.swap(c, pivot);
        let row = a[c].clone();
        for (r, other) in a.iter_mut().enumerate() {
            if r != c {
                let f = other[c] / row[c];
                other.iter_mut().zip(&row).skip(c).for_each(|(v, p)| *v -= f * p);
            }
        }
    }
    Some((0..n).map(|i| a[i][n] / a[i][i]).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Weights that sum up a polynomial must give it back: degree 1, 2, 3 from two, three, four and more depths.
    #[test]
    fn polynomials_come_back() {
        for (z, degree) in [
            (vec![0.0, 80.0], 1),
            (vec![10.0, 40.0, 100.0], 2),
            (vec![0.0, 25.0, 60.0, 101.6], 3),
            (vec![0.0, 25.4, 50.8, 76.2, 101.6], 3),
            (vec![0.0, 10.0, 50.0, 60.0, 90.0, 101.6], 3),
        ] {
            let w = Weights::new(&z).expect("weights");
            let f = |x: f64| (0..=degree).map(|p| (x / 50.0).powi(p) * f64::from(p + 1)).sum::<f64>();
            for k in 0..=44 {
                let x = -5.0 + 2.5 * f64::from(k);
                let sum = |w: Vec<f64>| w.iter().zip(&z).map(|(w, z)| w * f(*z)).sum::<f64>();
                assert!((sum(w.at(x)) - f(x)).abs() < 1e-9, "{z:?} {x}");
                let e = 1e-3;
                let slope = (f(x + e) - f(x - e)) / (2.0 * e);
                assert!((sum(w.slopes(x)) - slope).abs() < 1e-6, "{z:?} {x}");
                let bend = (f(x + e) - 2.0 * f(x) + f(x - e)) / (e * e);
                assert!((sum(w.bends(x)) - bend).abs() < 1e-5, "{z:?} {x}");
            }
        }
        assert!(Weights::new(&[3.0]).is_none());
    }
}
