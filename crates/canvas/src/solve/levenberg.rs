//! Damped least squares over the unknowns of a solve.
//!
//! K. Levenberg, "A method for the solution of certain non-linear problems in least squares", Quarterly of Applied Mathematics 2
//! (1944); D. Marquardt, SIAM Journal 11 (1963). Points far off are held down by the loss of P. J. Huber, "Robust estimation of a
//! location parameter", Annals of Mathematical Statistics 35 (1964).

use nalgebra::{DMatrix, DVector};

use super::state::{Observation, ROW, State};

/// A soft wish: a combination of unknowns should have a value, within a standard deviation.
#[derive(Debug, Clone)]
pub(crate) struct Prior {
    /// Columns with their factors.
    pub terms: Vec<(usize, f64)>,
    /// What the combination should be.
    pub target: f64,
    pub sd: f64,
}

impl Prior {
    fn pull(&self, state: &State) -> f64 {
        (self.terms.iter().map(|(c, f)| f * state.value(*c)).sum::<f64>() - self.target) / self.sd
    }
}

/// What is minimised: observations, wishes, which unknowns may move.
#[derive(Debug, Clone)]
pub(crate) struct Problem<'a> {
    pub observations: &'a [Observation],
    pub priors: &'a [Prior],
    pub active: Vec<bool>,
    /// All stated point uncertainties are multiplied by this.
    pub inflate: f64,
    /// Huber's bend, in (inflated) standard deviations.
    pub bend: f64,
}

/// Normal equations of one linearisation.
pub(crate) struct Normal {
    pub data: DMatrix<f64>,
    pub prior: DMatrix<f64>,
    pub gradient: DVector<f64>,
    pub cost: f64,
}

fn loss(r2: f64, bend: f64) -> (f64, f64) {
    let r = r2.sqrt();
    if r <= bend { (r2, 1.0) } else { (2.0 * bend * r - bend * bend, bend / r) }
}

impl Problem<'_> {
    /// Sum of losses and squared wishes; `None` where a point falls behind the camera.
    pub(crate) fn cost(&self, state: &State) -> Option<f64> {
        let mut cost = 0.0;
        for o in self.observations {
            let r = state.residual(o)?;
            let sd = o.sd * self.inflate;
            cost += loss((r[0] * r[0] + r[1] * r[1]) / (sd * sd), self.bend).0;
        }
        cost += self.priors.iter().map(|p| p.pull(state).powi(2)).sum::<f64>();
        cost.is_finite().then_some(cost)
    }

    /// Linearises at a state.
    pub(crate) fn normal(&self, state: &State) -> Option<Normal> {
        let n = state.unknowns();
        let mut data = DMatrix::zeros(n, n);
        let mut prior = DMatrix::zeros(n, n);
        let mut gradient = DVector::zeros(n);
        let mut cost = 0.0;
        for o in self.observations {
            let row = state.row(o)?;
            let sd = o.sd * self.inflate;
            let (c, w) = loss((row.residual[0].powi(2) + row.residual[1].powi(2)) / (sd * sd), self.bend);
            cost += c;
            let weight = w / (sd * sd);
            for i in 0..ROW {
                let ci = row.columns[i];
                if !self.active.get(ci).copied().unwrap_or(false) {
                    continue;
                }
                let (ui, vi) = (row.by[0][i] * weight, row.by[1][i] * weight);
                gradient[ci] += ui * row.residual[0] + vi * row.residual[1];
                for k in 0..=i {
                    let ck = row.columns[k];
                    if !self.active.get(ck).copied().unwrap_or(false) {
                        continue;
                    }
                    let value = ui * row.by[0][k] + vi * row.by[1][k];
                    data[(ci, ck)] += value;
                    if i != k {
                        data[(ck, ci)] += value;
                    }
                }
            }
        }
        for p in self.priors {
            let pull = p.pull(state);
            cost += pull * pull;
            for (ci, fi) in &p.terms {
                if !self.active.get(*ci).copied().unwrap_or(false) {
                    continue;
                }
                gradient[*ci] -= pull * fi / p.sd;
                for (ck, fk) in &p.terms {
                    if self.active.get(*ck).copied().unwrap_or(false) {
                        prior[(*ci, *ck)] += fi * fk / (p.sd * p.sd);
                    }
                }
            }
        }
        for i in 0..n {
            if !self.active.get(i).copied().unwrap_or(false) {
                prior[(i, i)] = 1.0;
            }
        }
        cost.is_finite().then_some(Normal { data, prior, gradient, cost })
    }

    /// Goes downhill until nothing moves, at most `rounds` times. Returns the state and its cost.
    pub(crate) fn minimise(&self, start: State, rounds: usize) -> Option<(State, f64)> {
        let mut state = start;
        let mut normal = self.normal(&state)?;
        let mut damping = 1e-4;
        for _ in 0..rounds {
            let total = &normal.data + &normal.prior;
            let mut accepted = false;
            for _ in 0..12 {
                let Some(step) = damped_step(&total, &normal.gradient, damping) else {
                    damping *= 10.0;
                    continue;
                };
                let next = state.moved(step.as_slice());
                match self.cost(&next) {
                    Some(cost) if cost <= normal.cost * (1.0 + 1e-14) => {
                        let gained = normal.cost - cost;
                        state = next;
                        damping = (damping * 0.1).max(1e-12);
                        accepted = true;
                        let small = gained <= 1e-12 * (1.0 + cost);
                        normal = self.normal(&state)?;
                        if small {
                            return Some((state, normal.cost));
                        }
                        break;
                    }
                    _ => damping *= 8.0,
                }
            }
            if !accepted {
                break;
            }
        }
        Some((state, normal.cost))
    }
}

fn damped_step(total: &DMatrix<f64>, gradient: &DVector<f64>, damping: f64) -> Option<DVector<f64>> {
    let (scaled, scale) = scaled(total)?;
    let mut m = scaled;
    for i in 0..m.nrows() {
        m[(i, i)] += damping;
    }
    let g = gradient.component_mul(&scale);
    let step = m.cholesky()?.solve(&g).component_mul(&scale);
    step.iter().all(|v| v.is_finite()).then_some(step)
}

/// The matrix with ones on its diagonal, and the scales that do it: unknowns here range from 1e-4 to 1e4.
fn scaled(m: &DMatrix<f64>) -> Option<(DMatrix<f64>, DVector<f64>)> {
    let mut scale = DVector::zeros(m.nrows());
    for i in 0..m.nrows() {
        let d = m[(i, i)];
        if !(d > 0.0 && d.is_finite()) {
            return None;
        }
        scale[i] = 1.0 / d.sqrt();
    }
    let mut out = m.clone();
    for i in 0..m.nrows() {
        for j in 0..m.ncols() {
            out[(i, j)] *= scale[i] * scale[j];
        }
    }
    Some((out, scale))
}

/// Inverse of a positive definite matrix of ill-matched units; `None` when it is singular.
pub(crate) fn inverse(m: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let (s, scale) = scaled(m)?;
    let mut inv = s.cholesky()?.inverse();
    for i in 0..inv.nrows() {
        for j in 0..inv.ncols() {
            inv[(i, j)] *= scale[i] * scale[j];
        }
    }
    inv.iter().all(|v| v.is_finite()).then_some(inv)
}
