//! Lengths within sentences, in the units of the job.

use kurbo::Point;

use crate::{Length, Show, show_length};

/// A length in the asked units: a decimal of a millimetre, or the fraction asked for; never less than the finest step when
/// there is something to say.
pub(crate) fn said(mm: f64, show: Show) -> String {
    let finest = match show {
        Show::Mm { decimals } => 10_f64.powi(-i32::from(decimals.min(5))),
        Show::Inches { denominator } | Show::FeetInches { denominator } => {
            25.4 / f64::from(denominator.max(1))
        }
        Show::FeetInchesEighths => 25.4 / 16.0,
    };
    match Length::from_mm(mm) {
        Ok(length) if mm <= 0.0 || mm >= 0.5 * finest => show_length(length, show),
        Ok(_) => match Length::from_mm(finest) {
            Ok(least) => format!("less than {}", show_length(least, show)),
            Err(e) => e.to_string(),
        },
        // Beyond a kilometre, or no number at all.
        Err(e) => e.to_string(),
    }
}

/// The same units without parts of a millimetre, for places and long lengths.
pub(crate) fn rough(show: Show) -> Show {
    match show {
        Show::Mm { .. } => Show::Mm { decimals: 0 },
        other => other,
    }
}

/// A place, as `120 right, 40 up` would be read: the two coordinates in the asked units.
pub(crate) fn place(at: Point, show: Show) -> String {
    let one = |mm: f64| match Length::from_mm(mm) {
        Ok(length) => show_length(length, rough(show)),
        Err(e) => e.to_string(),
    };
    match show {
        Show::Mm { .. } => format!("({:.0}, {:.0}) mm", at.x, at.y),
        _ => format!("({}, {})", one(at.x), one(at.y)),
    }
}

/// A sentence whose lengths and places stand in millimetres (`12.5 mm`, `(120.0, 40.0) mm`) with these in the asked units.
pub(crate) fn in_units(sentence: &str, show: Show) -> String {
    if matches!(show, Show::Mm { .. }) {
        return sentence.to_owned();
    }
    let mut out = String::with_capacity(sentence.len());
    let mut rest = sentence;
    while let Some(at) = rest.find(" mm") {
        let (before, after) = (&rest[..at], &rest[at + 3..]);
        // Squares, cubes and words that begin so are no lengths.
        let whole = !after.starts_with(|c: char| c.is_alphanumeric() || matches!(c, '²' | '³'));
        match written(before).filter(|_| whole) {
            Some((kept, Written::Length(mm))) => {
                out.push_str(kept);
                out.push_str(&said(mm, show));
            }
            Some((kept, Written::Place(p))) => {
                out.push_str(kept);
                out.push_str(&place(p, show));
            }
            None => out.push_str(&rest[..at + 3]),
        }
        rest = after;
    }
    out.push_str(rest);
    out
}

/// What stands before a unit.
enum Written {
    Length(f64),
    Place(Point),
}

/// The number or pair of numbers that ends a text, and the text before it.
fn written(text: &str) -> Option<(&str, Written)> {
    if let Some(inner) = text.strip_suffix(')') {
        let open = inner.rfind('(')?;
        let (x, y) = inner[open + 1..].split_once(", ")?;
        let at = Point::new(x.parse().ok()?, y.parse().ok()?);
        return at.is_finite().then_some((&text[..open], Written::Place(at)));
    }
    let from = text.rfind([' ', '(']).map_or(0, |i| i + 1);
    let mm: f64 = text[from..].parse().ok()?;
    mm.is_finite().then_some((&text[..from], Written::Length(mm)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_and_places_in_a_sentence_take_the_units_of_the_job() {
        let inches = Show::Inches { denominator: 16 };
        for (mm, want) in [
            ("layer 2 is 1500 mm thick, at most 1000 mm", "layer 2 is 59 1/16 in thick, at most 39 3/8 in"),
            ("meet near (120.4, -39.8) mm; add", "meet near (4 3/4 in, -1 9/16 in); add"),
            ("of -25.4 mm (25.4 mm)", "of -1 in (1 in)"),
            ("takes 12 mm² and 7 mm\u{b3}, NaN mm, no mm", "takes 12 mm² and 7 mm³, NaN mm, no mm"),
        ] {
            assert_eq!(in_units(mm, inches), want);
            assert_eq!(in_units(mm, Show::Mm { decimals: 1 }), mm);
        }
    }
}
