//! Numbers as text: a point, never a comma, never an exponent, never "-0".

/// The number with at most `places` decimals, trailing zeros dropped. The caller has checked that it is finite.
pub(crate) fn decimal(value: f64, places: usize) -> String {
    let mut text = format!("{value:.places$}");
    if text.contains('.') {
        let kept = text.trim_end_matches('0').trim_end_matches('.').len();
        text.truncate(kept);
    }
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::decimal;

    #[test]
    fn plain_and_short() {
        for (value, places, text) in [
            (0.0, 4, "0"),
            (-0.0, 4, "0"),
            (-0.000_01, 4, "0"),
            (100.0, 4, "100"),
            (1200.0, 0, "1200"),
            (1.25, 4, "1.25"),
            (-7.123_46, 4, "-7.1235"),
            (1e-9, 4, "0"),
            (123_456_789.0, 4, "123456789"),
        ] {
            assert_eq!(decimal(value, places), text);
        }
    }
}
