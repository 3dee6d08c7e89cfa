//! Sine and cosine that come out the same on every machine.
//!
//! The system's own functions differ in the last bit from one system to the next, which would send a search with the
//! same seed another way. Only the four basic operations are used here, which IEEE 754 fixes.

use std::f64::consts::PI;

/// Sine and cosine of an angle in degrees, right to 2 units in the last place; exact at multiples of 90°.
pub(crate) fn sin_cos_deg(deg: f64) -> (f64, f64) {
    let t = deg.rem_euclid(360.0);
    let quarter = (t / 90.0).round();
    let x = (t - 90.0 * quarter) * (PI / 180.0);
    // Taylor series to x^17 and x^16: the rest is below 1e-17 on |x| <= π/4.
    let q = x * x;
    let mut s = 0.0;
    for k in (1..=8).rev() {
        let k = f64::from(k);
        s = -(1.0 + s) * q / (2.0 * k * (2.0 * k + 1.0));
    }
    let mut c = 0.0;
    for k in (1..=8).rev() {
        let k = f64::from(k);
        c = -(1.0 + c) * q / (2.0 * k * (2.0 * k - 1.0));
    }
    let (s, c) = (x + x * s, 1.0 + c);
    match quarter as i64 % 4 {
        0 => (s, c),
        1 => (c, -s),
        2 => (-s, -c),
        _ => (-c, s),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_systems_functions() {
        for k in -2000..2000 {
            let d = f64::from(k) * 0.37;
            let (s, c) = sin_cos_deg(d);
            let (s0, c0) = d.to_radians().sin_cos();
            assert!((s - s0).abs() < 2e-15 && (c - c0).abs() < 2e-15, "{d}: {s} {s0} {c} {c0}");
        }
        assert_eq!(sin_cos_deg(90.0), (1.0, 0.0));
        assert_eq!(sin_cos_deg(-90.0), (-1.0, 0.0));
        assert_eq!(sin_cos_deg(540.0), (0.0, -1.0));
    }
}
