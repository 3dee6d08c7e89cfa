//! How far a batten may run from its ticks' curve: the uncertainty of the fairing between and beyond ticks.
//!
//! Model: the third derivative of the true boundary is white noise of unknown strength, which makes the natural quintic
//! spline the best guess and gives its variance (G. Wahba, Spline Models for Observational Data, 1990, ch. 1).
//! The strength is weighed over a grid by the likelihood of the third differences the ticks show, with a mild prior: the
//! curvature of a hull changes slowly along an edge. Both numbers of the prior are calibrated in `tests/fair.rs` on circles,
//! ellipses, superellipses, polynomials, turns of a bilge and clothoids, so that 95 % stated holds and is no wider than need be.

use crate::banded::Banded;
use crate::natural::Thirds;

/// Degrees of freedom of the prior for the strength: it counts as so many third differences. With 1 three ticks would say
/// 3 times more than is true, with 4 the ticks of a five-tick edge are hardly heard.
const PRIOR_DOF: f64 = 2.0;

/// Expected strength of the third derivative's noise, seen `y` with variances `noise` at places `x`, typical value `prior`.
pub(crate) fn strength(x: &[f64], y: &[f64], noise: &[f64], prior: f64) -> f64 {
    let thirds = Thirds::new(x);
    let seen = thirds.apply(y);
    let from_ticks = thirds.noise(noise);
    let (mut sum, mut total, mut top) = (0.0, 0.0, f64::NEG_INFINITY);
    // Factors of 1.6 over 1e-4 to 1e4: finer changes nothing in the mean.
    for k in -20..=20 {
        let s2 = prior * 1.6_f64.powi(k);
        let c: Banded<3> = thirds.gram.blend(s2, &from_ticks, 1.0);
        let Some(l) = c.cholesky() else { continue };
        let chi2: f64 = l.forward(&seen).iter().map(|v| v * v).sum();
        let log = -0.5 * (l.log_det() + chi2) - 0.5 * PRIOR_DOF * (s2.ln() + prior / s2);
        if log > top {
            let shrink = (top - log).exp();
            (sum, total, top) = (sum * shrink, total * shrink, log);
        }
        let w = (log - top).exp();
        sum += w * s2;
        total += w;
    }
    if total > 0.0 { sum / total } else { prior }
}

/// The spline's value at `at` as weights on the heights at `x`, and its variance per unit strength.
///
/// None when `at` falls on a place of `x`, or there are fewer than three.
pub(crate) fn predictor(x: &[f64], at: f64) -> Option<(Vec<f64>, f64)> {
    if x.len() < 3 || x.iter().any(|v| (v - at).abs() < 1e-9) {
        return None;
    }
    let slot = x.partition_point(|v| *v < at);
    let mut all = x.to_vec();
    all.insert(slot, at);
    let thirds = Thirds::new(&all);
    let mut unit = vec![0.0; all.len()];
    *unit.get_mut(slot)? = 1.0;
    let column = thirds.apply(&unit);
    let solved = thirds.gram.cholesky()?.solve(&column);
    let information: f64 = column.iter().zip(&solved).map(|(a, b)| a * b).sum();
    if !(information > 0.0 && information.is_finite()) {
        return None;
    }
    let mut weights = thirds.transpose(&solved);
    weights.remove(slot);
    for w in &mut weights {
        *w /= -information;
    }
    Some((weights, 1.0 / information))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_predictor_is_the_spline() {
        let x = [0.0, 1.0, 2.2, 3.0, 4.0, 5.5];
        let y: Vec<f64> = x.iter().map(|v: &f64| (0.8 * v).sin()).collect();
        let spans = crate::natural::natural(&x, &y, None).expect("fits");
        for at in [0.4, 1.7, 2.9, 5.0] {
            let (w, v) = predictor(&x, at).expect("predicts");
            let got: f64 = w.iter().zip(&y).map(|(a, b)| a * b).sum();
            let i = x.partition_point(|v| *v <= at) - 1;
            let want = spans[i].iter().rev().fold(0.0, |s, c| s * (at - x[i]) + c);
            assert!((got - want).abs() < 1e-10 && v > 0.0, "{at}: {got} {want}");
        }
        let near = predictor(&x, 5.6).expect("predicts").1;
        let far = predictor(&x, 7.0).expect("predicts").1;
        assert!(far > 10.0 * near, "grows past the end: {near} {far}");
    }
}
