//! Least squares with few unknowns.

/// One weighted equation: Σ slope·(change of unknown) + residual should be 0.
#[derive(Debug, Clone, Default)]
pub(crate) struct Row {
    pub slopes: Vec<(usize, f64)>,
    pub residual: f64,
}

/// Inverse of the normal matrix.
#[derive(Debug, Clone)]
pub(crate) struct Normal {
    n: usize,
    inverse: Vec<f64>,
}

impl Normal {
    /// From equations in `n` unknowns; None when they leave something undecided.
    pub fn new(rows: &[Row], n: usize) -> Option<Self> {
        let mut m = vec![0.0; n * n];
        for row in rows {
            for (i, a) in &row.slopes {
                for (j, b) in &row.slopes {
                    m[i * n + j] += a * b;
                }
            }
        }
        // Angles and millimetres are far apart in size: each unknown is measured in its own unit, so that rounding in one
        // does not drown another.
        let unit: Vec<f64> = (0..n).map(|i| m[i * n + i].sqrt()).collect();
        if !unit.iter().all(|u| u.is_finite() && *u > 0.0) {
            return None;
        }
        for i in 0..n {
            for j in 0..n {
                m[i * n + j] /= unit[i] * unit[j];
            }
        }
        // Cholesky's L in place, then its inverse, then the product.
        for i in 0..n {
            for j in 0..=i {
                let mut s = m[i * n + j];
                for k in 0..j {
                    s -= m[i * n + k] * m[j * n + k];
                }
                if i == j {
                    if !(s > 1e-13 && s.is_finite()) {
                        return None;
                    }
                    m[i * n + i] = s.sqrt();
                } else {
                    m[i * n + j] = s / m[j * n + j];
                }
            }
        }
        let mut l = vec![0.0; n * n];
        for j in 0..n {
            l[j * n + j] = 1.0 / m[j * n + j];
            for i in j + 1..n {
                let s: f64 = (j..i).map(|k| m[i * n + k] * l[k * n + j]).sum();
                l[i * n + j] = -s / m[i * n + i];
            }
        }
        let mut inverse = vec![0.0; n * n];
        for i in 0..n {
            for j in 0..=i {
                let s: f64 = (i..n).map(|k| l[k * n + i] * l[k * n + j]).sum();
                let s = s / (unit[i] * unit[j]);
                inverse[i * n + j] = s;
                inverse[j * n + i] = s;
            }
        }
        Some(Self { n, inverse })
    }

    /// The change of the unknowns that makes the residuals least.
    pub fn step(&self, rows: &[Row]) -> Vec<f64> {
        let mut g = vec![0.0; self.n];
        for row in rows {
            for (i, a) in &row.slopes {
                g[*i] -= a * row.residual;
            }
        }
        (0..self.n).map(|i| (0..self.n).map(|j| self.inverse[i * self.n + j] * g[j]).sum()).collect()
    }

    /// Variance left in a row's residual when its equation has variance 1: its share of the redundancy, 0..=1.
    pub fn redundancy(&self, row: &Row) -> f64 {
        let taken: f64 = row
            .slopes
            .iter()
            .flat_map(|(i, a)| row.slopes.iter().map(move |(j, b)| a * b * self.inverse[i * self.n + j]))
            .sum();
        (1.0 - taken).clamp(0.0, 1.0)
    }
}
