//! How often honest measurements look as bad as these.

/// Normal deviate exceeded, on either side, with probability `p` (0 < p < 1).
///
/// M. Abramowitz and I. Stegun, Handbook of Mathematical Functions, 1964, 26.2.23: right to 0.00045.
pub(crate) fn deviate(p: f64) -> f64 {
    let t = (-2.0 * (0.5 * p).ln()).sqrt();
    let over = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let under = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    t - over / under
}

/// A sum of squares of `freedom` normal deviates as one normal deviate.
///
/// Wilson and Hilferty's cube root: Abramowitz and Stegun 26.4.17.
pub(crate) fn as_deviate(sum: f64, freedom: usize) -> f64 {
    if freedom == 0 {
        return 0.0;
    }
    let n = freedom as f64;
    let part = 2.0 / (9.0 * n);
    ((sum / n).max(0.0).cbrt() - (1.0 - part)) / part.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn table_values() {
        // Two-sided 5 %, 1 % and 0.1 % points of the normal distribution, in any statistics table.
        for (p, want) in [(0.05, 1.959_964), (0.01, 2.575_829), (0.001, 3.290_527)] {
            assert!((deviate(p) - want).abs() < 5e-4, "{p}");
        }
        // Upper 5 % point of chi-squared with 10 degrees of freedom: 18.307, a one-sided deviate of 1.645.
        assert!((as_deviate(18.307, 10) - 1.645).abs() < 0.01);
    }
}
