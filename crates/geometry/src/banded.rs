//! Symmetric positive definite systems with a narrow band.

/// A symmetric matrix with `W` diagonals below the main one. Row `i` holds entries `(i, i)`, `(i, i-1)`, … `(i, i-W)`.
#[derive(Debug, Clone)]
pub(crate) struct Banded<const W: usize> {
    rows: Vec<[f64; 8]>,
}

impl<const W: usize> Banded<W> {
    pub fn zero(n: usize) -> Self {
        const { assert!(W < 8, "at most seven side diagonals") };
        Self { rows: vec![[0.0; 8]; n] }
    }

    /// Entry `(i, j)`; 0 outside the band.
    pub fn get(&self, i: usize, j: usize) -> f64 {
        let (i, j) = (i.max(j), i.min(j));
        if i - j > W { 0.0 } else { self.rows.get(i).map_or(0.0, |r| r[i - j]) }
    }

    /// Adds to entry `(i, j)` and its mirror; outside the band nothing happens.
    pub fn add(&mut self, i: usize, j: usize, v: f64) {
        let (i, j) = (i.max(j), i.min(j));
        if i - j <= W
            && let Some(r) = self.rows.get_mut(i)
        {
            r[i - j] += v;
        }
    }

    /// `self·a + other·b`, both of one size.
    pub fn blend(&self, a: f64, other: &Self, b: f64) -> Self {
        let rows = self
            .rows
            .iter()
            .zip(&other.rows)
            .map(|(x, y)| std::array::from_fn(|k| a * x[k] + b * y[k]))
            .collect();
        Self { rows }
    }

    /// Lower triangle L with L·Lᵀ = self; None when not positive definite.
    pub fn cholesky(&self) -> Option<Self> {
        let n = self.rows.len();
        let mut l = Self::zero(n);
        for i in 0..n {
            for j in i.saturating_sub(W)..=i {
                let mut s = self.get(i, j);
                for k in i.saturating_sub(W)..j {
                    s -= l.get(i, k) * l.get(j, k);
                }
                if i == j {
                    if !(s > 0.0 && s.is_finite()) {
                        return None;
                    }
                    l.add(i, i, s.sqrt());
                } else {
                    l.add(i, j, s / l.get(j, j));
                }
            }
        }
        Some(l)
    }

    /// Solves L·y = b for a lower triangle.
    pub fn forward(&self, b: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = Vec::with_capacity(b.len());
        for (i, v) in b.iter().enumerate() {
            let from = i.saturating_sub(W);
            let s: f64 = y.iter().enumerate().skip(from).map(|(k, yk)| self.get(i, k) * yk).sum();
            y.push((v - s) / self.get(i, i));
        }
        y
    }

    /// Solves L·Lᵀ·x = b for a lower triangle.
    pub fn solve(&self, b: &[f64]) -> Vec<f64> {
        let mut x = self.forward(b);
        for i in (0..x.len()).rev() {
            let below: f64 =
                x.iter().enumerate().skip(i + 1).take(W).map(|(k, xk)| self.get(k, i) * xk).sum();
            x[i] = (x[i] - below) / self.get(i, i);
        }
        x
    }

    /// Twice the sum of the logs of the diagonal: log det(L·Lᵀ).
    pub fn log_det(&self) -> f64 {
        2.0 * self.rows.iter().map(|r| r[0].ln()).sum::<f64>()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn solves_what_it_multiplies() {
        let n = 9;
        let mut m = Banded::<3>::zero(n);
        for i in 0..n {
            m.add(i, i, 6.0 + i as f64);
            for k in 1..=3 {
                m.add(i, i.saturating_sub(k).min(i), if i >= k { -1.0 / k as f64 } else { 0.0 });
            }
        }
        let x: Vec<f64> = (0..n).map(|i| (i as f64 * 1.7).sin()).collect();
        let b: Vec<f64> = (0..n).map(|i| (0..n).map(|j| m.get(i, j) * x[j]).sum()).collect();
        let got = m.cholesky().expect("positive").solve(&b);
        for (g, w) in got.iter().zip(&x) {
            assert!((g - w).abs() < 1e-12);
        }
    }
}
