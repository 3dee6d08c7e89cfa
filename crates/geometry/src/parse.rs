//! Lengths and angles as people write them. Never guesses: what can be read two ways is refused with a way to write it.

use crate::reader::Reader;
use crate::scan::{Kind, Token, scan};
use crate::{Length, LengthError, Show, show_length};

/// The unit of a number written without one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Unit {
    /// Millimetre.
    #[default]
    Mm,
    /// Centimetre.
    Cm,
    /// Metre.
    M,
    /// Inch.
    Inch,
    /// Foot.
    Foot,
}

/// How the text is to be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Writing {
    /// Numbers with units or without.
    #[default]
    Plain,
    /// A table of offsets: `2-3-4` is 2 ft 3 4/8 in, `+` a sixteenth more. Values with units are read as well.
    FeetInchesEighths,
}

/// A note kept with a value: the true one is a little more or less.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ValueNote {
    /// A little more.
    Strong,
    /// A little more.
    Heavy,
    /// A little less.
    Light,
    /// A little less.
    Shy,
}

/// A length as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reading {
    /// The length.
    pub length: Length,
    /// A note that followed it.
    pub note: Option<ValueNote>,
    /// How it was understood, to show beside the field: `2 ft 3 9/16 in = 700.1 mm`.
    pub words: String,
}

/// Reads a length. `bare` is the unit of a number without one.
///
/// # Errors
/// [`LengthError`] with a way to write it, when it is no length or can be read in more than one way.
///
/// # Examples
/// ```
/// use coldwright_geometry::{Length, Unit, Writing, parse_length};
/// let r = parse_length("40 9/16 strong", Unit::Inch, Writing::Plain)?;
/// assert_eq!(r.length, Length::from_64ths(40 * 64 + 36));
/// assert!(parse_length("1,234", Unit::Mm, Writing::Plain).is_err());
/// # Ok::<(), coldwright_geometry::LengthError>(())
/// ```
pub fn parse_length(text: &str, bare: Unit, writing: Writing) -> Result<Reading, LengthError> {
    let written = text.trim().to_owned();
    let mut tokens = scan(text)?;
    if tokens.is_empty() {
        return Err(LengthError::Empty);
    }
    let note = take_note(&mut tokens);
    let minus = matches!(tokens.first(), Some(Token { kind: Kind::Dash, .. }));
    let signed = minus || matches!(tokens.first(), Some(Token { kind: Kind::Plus, .. }));
    let tokens = tokens.get(usize::from(signed)..).unwrap_or_default();
    if tokens.is_empty() {
        return Err(LengthError::NotANumber { text: written });
    }
    let size = match writing {
        Writing::FeetInchesEighths if !tokens.iter().any(|t| matches!(t.kind, Kind::Word(..))) => {
            offsets(tokens, &written)?
        }
        _ => Reader { tokens, at: 0, text: &written }.read(bare)?,
    };
    let length = if minus { -size } else { size };
    if length.mm().abs() > 1e6 {
        return Err(LengthError::TooLong { text: written });
    }
    Ok(Reading { length, note, words: echo(length) })
}

/// Reads an angle in degrees, to radians: `12`, `12.5°`, `12,5 deg`, `-8`.
///
/// # Errors
/// [`LengthError`] when it is no angle or beyond a full turn.
pub fn parse_angle(text: &str) -> Result<f64, LengthError> {
    let written = text.trim().to_owned();
    let tokens = scan(text)?;
    if tokens.is_empty() {
        return Err(LengthError::Empty);
    }
    let bad = || LengthError::NotAnAngle { text: written.clone() };
    let (sign, rest) = match tokens.split_first() {
        Some((Token { kind: Kind::Dash, .. }, rest)) => (-1.0, rest),
        Some((Token { kind: Kind::Plus, .. }, rest)) => (1.0, rest),
        _ => (1.0, tokens.as_slice()),
    };
    let (number, tail) = rest.split_first().ok_or_else(bad)?;
    let Kind::Number(digits) = &number.kind else { return Err(bad()) };
    let fits = match tail {
        [] => true,
        [unit] => {
            matches!(&unit.kind, Kind::Degree)
                || matches!(&unit.kind, Kind::Word(w, false) if matches!(w.as_str(), "deg" | "degs" | "degree" | "degrees"))
        }
        _ => false,
    };
    if !fits || digits.matches(['.', ',']).count() > 1 {
        return Err(bad());
    }
    // No thousands here: nobody writes 1,234 degrees, and a turn ends at 360.
    let degrees: f64 = digits.replace(',', ".").parse().map_err(|_| bad())?;
    if !degrees.is_finite() || degrees > 360.0 {
        return Err(LengthError::AngleTooLarge { text: written });
    }
    Ok(sign * degrees.to_radians())
}

/// The echo: inches to a 64th and millimetres.
fn echo(length: Length) -> String {
    let inches = if length.abs() >= Length::from_64ths(12 * 64) {
        Show::FeetInches { denominator: 64 }
    } else {
        Show::Inches { denominator: 64 }
    };
    let decimals = match length.exact_micrometres() {
        Some(um) if um % 1000 == 0 => 0,
        _ => 1,
    };
    let about = if length.exact_64ths().is_some() { "" } else { "about " };
    format!("{about}{} = {}", show_length(length, inches), show_length(length, Show::Mm { decimals }))
}

fn take_note(tokens: &mut Vec<Token>) -> Option<ValueNote> {
    let note = match &tokens.last()?.kind {
        Kind::Word(w, false) => match w.as_str() {
            "strong" => ValueNote::Strong,
            "heavy" => ValueNote::Heavy,
            "light" => ValueNote::Light,
            "shy" => ValueNote::Shy,
            _ => return None,
        },
        _ => return None,
    };
    tokens.pop();
    Some(note)
}

/// `feet-inches-eighths`, `+` a sixteenth more.
fn offsets(tokens: &[Token], text: &str) -> Result<Length, LengthError> {
    let bad = || LengthError::NotOffsets { text: text.to_owned() };
    let (plus, parts) = match tokens.split_last() {
        Some((Token { kind: Kind::Plus, .. }, rest)) => (1, rest),
        _ => (0, tokens),
    };
    let [a, d1, b, d2, c] = parts else { return Err(bad()) };
    if d1.kind != Kind::Dash || d2.kind != Kind::Dash {
        return Err(bad());
    }
    let whole = |t: &Token| match &t.kind {
        Kind::Number(n) if n.len() <= 4 && n.chars().all(|c| c.is_ascii_digit()) => {
            n.parse::<i64>().map_err(|_| bad())
        }
        _ => Err(bad()),
    };
    let (feet, inches, eighths) = (whole(a)?, whole(b)?, whole(c)?);
    if inches > 11 || eighths > 7 {
        return Err(bad());
    }
    Ok(Length::from_64ths((feet * 12 + inches) * 64 + eighths * 8 + plus * 4))
}
