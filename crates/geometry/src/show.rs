//! Lengths written for people.

use crate::Length;

/// How a length is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Show {
    /// Millimetres with so many decimals (at most 5): `1 030.4 mm`.
    Mm {
        /// Digits after the point.
        decimals: u8,
    },
    /// Inches and a fraction: `40 9/16 in`. The fraction is reduced.
    Inches {
        /// Finest fraction, e.g. 16; 0 counts as 1.
        denominator: u8,
    },
    /// Feet, inches and a fraction: `3 ft 4 1/2 in`.
    FeetInches {
        /// Finest fraction, e.g. 16; 0 counts as 1.
        denominator: u8,
    },
    /// Feet-inches-eighths as in a table of offsets, `+` for a sixteenth more: `3-04-4`, `1-07-4+`.
    FeetInchesEighths,
}

/// The length in words, rounded half away from zero to what the style can hold.
///
/// Groups of three digits are parted by a narrow no-break space (U+202F) from four digits on.
#[must_use]
pub fn show_length(length: Length, show: Show) -> String {
    let units = i128::from(length.units());
    let size = units.abs();
    let (words, zero) = match show {
        Show::Mm { decimals } => {
            let d = u32::from(decimals.min(5));
            let scale = 10_i128.pow(d);
            let n = divide(size * scale, 360_000);
            let whole = grouped(n / scale);
            let text = if d == 0 {
                format!("{whole} mm")
            } else {
                format!("{whole}.{:0w$} mm", n % scale, w = d as usize)
            };
            (text, n == 0)
        }
        Show::Inches { denominator } => {
            let den = i128::from(denominator.max(1));
            let n = divide(size * den, 9_144_000);
            (format!("{} in", mixed(n, den, true)), n == 0)
        }
        Show::FeetInches { denominator } => {
            let den = i128::from(denominator.max(1));
            let n = divide(size * den, 9_144_000);
            let (feet, rest) = (n / (12 * den), n % (12 * den));
            let text = if feet == 0 {
                format!("{} in", mixed(rest, den, true))
            } else {
                format!("{} ft {} in", grouped(feet), mixed(rest, den, false))
            };
            (text, n == 0)
        }
        Show::FeetInchesEighths => {
            let n = divide(size * 16, 9_144_000);
            let (feet, rest) = (n / 192, n % 192);
            let plus = if rest % 2 == 1 { "+" } else { "" };
            (format!("{feet}-{:02}-{}{plus}", rest / 16, rest % 16 / 2), n == 0)
        }
    };
    if units < 0 && !zero { format!("-{words}") } else { words }
}

/// Division rounded half up; both positive.
fn divide(n: i128, by: i128) -> i128 {
    (2 * n + by) / (2 * by)
}

/// `n / den` as whole number and reduced fraction.
fn mixed(n: i128, den: i128, group: bool) -> String {
    let (whole, mut top, mut low) = (n / den, n % den, den);
    let (mut a, mut b) = (top, low);
    while b != 0 {
        (a, b) = (b, a % b);
    }
    if a > 1 {
        top /= a;
        low /= a;
    }
    let number = if group { grouped(whole) } else { whole.to_string() };
    match (whole, top) {
        (_, 0) => number,
        (0, _) => format!("{top}/{low}"),
        _ => format!("{number} {top}/{low}"),
    }
}

/// Whole number with groups of three from four digits on.
fn grouped(n: i128) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (i, c) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(c);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(um: i64, show: Show, want: &str) {
        assert_eq!(show_length(Length::from_micrometres(um), show), want, "{um} µm {show:?}");
    }

    #[test]
    fn written_as_people_write() {
        check(1_030_400, Show::Mm { decimals: 1 }, "1\u{202f}030.4 mm");
        check(999_960, Show::Mm { decimals: 1 }, "1\u{202f}000.0 mm");
        check(-400, Show::Mm { decimals: 0 }, "0 mm");
        check(-600, Show::Mm { decimals: 0 }, "-1 mm");
        check(1_028_700, Show::Inches { denominator: 16 }, "40 1/2 in");
        check(9_525, Show::Inches { denominator: 64 }, "3/8 in");
        check(0, Show::Inches { denominator: 64 }, "0 in");
        check(1_028_700, Show::FeetInches { denominator: 16 }, "3 ft 4 1/2 in");
        check(914_400, Show::FeetInches { denominator: 16 }, "3 ft 0 in");
        check(304_790, Show::FeetInches { denominator: 8 }, "1 ft 0 in");
        assert_eq!(show_length(Length::from_64ths(19 * 64 + 36), Show::FeetInchesEighths), "1-07-4+");
        assert_eq!(show_length(Length::from_64ths(-40 * 64), Show::FeetInchesEighths), "-3-04-0");
    }
}
