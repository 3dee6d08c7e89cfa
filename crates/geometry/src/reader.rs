//! A written length, number by number with its fractions and units.

use crate::scan::{Kind, Token};
use crate::{Length, LengthError, Unit};

/// One number of a written length, with its unit.
struct Part {
    /// Value as a fraction: top over bottom.
    top: i128,
    low: i128,
    whole: bool,
    unit: Option<Unit>,
}

/// Goes through the tokens of one written length.
pub(crate) struct Reader<'a> {
    pub(crate) tokens: &'a [Token],
    pub(crate) at: usize,
    pub(crate) text: &'a str,
}

impl Reader<'_> {
    fn peek(&self, ahead: usize) -> Option<&Token> {
        self.tokens.get(self.at + ahead)
    }

    fn kind(&self, ahead: usize) -> Option<&Kind> {
        self.peek(ahead).map(|t| &t.kind)
    }

    fn text(&self) -> String {
        self.text.to_owned()
    }

    /// The whole of it as one length; `bare` is the unit of a number without one.
    pub(crate) fn read(mut self, bare: Unit) -> Result<Length, LengthError> {
        let mut parts = Vec::new();
        while self.at < self.tokens.len() {
            // A dash after feet joins the inches on.
            if self.kind(0) == Some(&Kind::Dash) {
                let after_feet = matches!(parts.last(), Some(Part { unit: Some(Unit::Foot), .. }));
                if !after_feet || parts.len() > 1 {
                    return Err(self.dash());
                }
                self.at += 1;
            }
            let part = self.part()?;
            parts.push(part);
            if parts.len() > 3 {
                return Err(LengthError::UnitOrder { text: self.text() });
            }
        }
        self.add(&parts, bare)
    }

    /// What to say of a dash in the middle.
    fn dash(&self) -> LengthError {
        let dashes = self.tokens.iter().filter(|t| t.kind == Kind::Dash).count();
        if dashes >= 2 && !self.tokens.iter().any(|t| matches!(t.kind, Kind::Word(..))) {
            LengthError::OffsetsOutsideTable { text: self.text() }
        } else {
            LengthError::StrayDash { text: self.text() }
        }
    }

    fn part(&mut self) -> Result<Part, LengthError> {
        let (mut top, mut low, mut whole) = match self.peek(0).map(|t| t.kind.clone()) {
            Some(Kind::Glyph(a, b)) => {
                self.at += 1;
                (i128::from(a), i128::from(b), false)
            }
            Some(Kind::Number(n)) if self.kind(1) == Some(&Kind::Slash) => {
                let below = match self.kind(2) {
                    Some(Kind::Number(d)) => d.clone(),
                    _ => return Err(self.left_over(1)),
                };
                self.at += 3;
                let (a, b) = self.fraction(&n, &below)?;
                (a, b, false)
            }
            Some(Kind::Number(n)) => {
                self.at += 1;
                self.number(&n)?
            }
            Some(_) => return Err(self.left_over(0)),
            None => return Err(LengthError::StrayDash { text: self.text() }),
        };
        if whole && let Some((a, b)) = self.following_fraction()? {
            if a >= b {
                return Err(LengthError::ImproperFraction { text: format!("{a}/{b}") });
            }
            (top, low, whole) = (top * b + a, b, false);
        }
        if self.fraction_ahead() {
            return Err(
                if low == 1
                    || !self
                        .tokens
                        .iter()
                        .any(|t| matches!(&t.kind, Kind::Number(n) if n.contains(['.', ','])))
                {
                    LengthError::TwoFractions { text: self.text() }
                } else {
                    LengthError::DecimalAndFraction { text: self.text() }
                },
            );
        }
        let unit = self.unit()?;
        Ok(Part { top, low, whole, unit })
    }

    fn fraction_ahead(&self) -> bool {
        matches!(self.kind(0), Some(Kind::Glyph(..) | Kind::Slash))
            || matches!(self.kind(0), Some(Kind::Number(_))) && self.kind(1) == Some(&Kind::Slash)
    }

    /// The fraction after a whole number: `1/2`, `-1/2` (no spaces round the dash) or a glyph.
    fn following_fraction(&mut self) -> Result<Option<(i128, i128)>, LengthError> {
        let dash = self.kind(0) == Some(&Kind::Dash);
        let skip = usize::from(dash);
        let joined =
            !dash || self.peek(0).is_some_and(|t| !t.spaced) && self.peek(1).is_some_and(|t| !t.spaced);
        match (self.kind(skip).cloned(), self.kind(skip + 1), self.kind(skip + 2).cloned()) {
            (Some(Kind::Glyph(a, b)), ..) if joined => {
                self.at += skip + 1;
                Ok(Some((i128::from(a), i128::from(b))))
            }
            (Some(Kind::Number(n)), Some(Kind::Slash), Some(Kind::Number(d))) => {
                if !joined {
                    return Err(LengthError::StrayDash { text: self.text() });
                }
                self.at += skip + 3;
                self.fraction(&n, &d).map(Some)
            }
            _ => Ok(None),
        }
    }

    fn fraction(&self, top: &str, low: &str) -> Result<(i128, i128), LengthError> {
        if top.contains(['.', ',']) || low.contains(['.', ',']) {
            return Err(LengthError::DecimalAndFraction { text: self.text() });
        }
        let whole = |n: &str| match n.parse::<i128>() {
            Ok(v) if n.len() <= 6 => Ok(v),
            _ => Err(LengthError::TooLong { text: self.text() }),
        };
        let (a, b) = (whole(top)?, whole(low)?);
        if b == 0 {
            return Err(LengthError::ZeroBelow { text: format!("{top}/{low}") });
        }
        Ok((a, b))
    }

    /// A number as a fraction and whether it was written whole.
    fn number(&self, n: &str) -> Result<(i128, i128, bool), LengthError> {
        let marks = n.matches(['.', ',']).count();
        if marks > 1 {
            return Err(LengthError::TwoSeparators { text: n.to_owned() });
        }
        let (before, after) = n.split_once(['.', ',']).unwrap_or((n, ""));
        if n.contains(',') && after.len() == 3 && (1..=3).contains(&before.len()) && !before.starts_with('0')
        {
            return Err(LengthError::ThousandsOrDecimal {
                text: n.to_owned(),
                whole: format!("{before}{after}"),
                decimal: format!("{before}.{after}"),
            });
        }
        if before.len() > 12 || after.len() > 12 {
            return Err(LengthError::TooLong { text: n.to_owned() });
        }
        let digits = format!("{before}{after}");
        let top = digits.parse::<i128>().map_err(|_| LengthError::NotANumber { text: n.to_owned() })?;
        Ok((top, 10_i128.pow(after.len() as u32), marks == 0))
    }

    fn unit(&mut self) -> Result<Option<Unit>, LengthError> {
        let Some(Kind::Word(word, mark)) = self.kind(0).cloned() else { return Ok(None) };
        let unit = match word.as_str() {
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Unit::Mm,
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Unit::Cm,
            "m" | "metre" | "metres" | "meter" | "meters" => Unit::M,
            "in" | "inch" | "inches" => Unit::Inch,
            "ft" | "foot" | "feet" => Unit::Foot,
            _ => return Err(LengthError::UnknownWord { word }),
        };
        self.at += 1;
        // 1'000: an apostrophe between thousands, in some countries.
        if mark
            && unit == Unit::Foot
            && let Some(Token { kind: Kind::Number(n), spaced: false }) = self.peek(0)
            && n.len() == 3
            && n.chars().all(|c| c.is_ascii_digit())
        {
            let feet = self.text.split('\'').next().unwrap_or_default().trim();
            return Err(LengthError::ThousandsOrDecimal {
                text: self.text(),
                whole: format!("{feet}{n}"),
                decimal: format!("{feet} ft {n} in"),
            });
        }
        Ok(Some(unit))
    }

    fn left_over(&self, ahead: usize) -> LengthError {
        let rest = match self.kind(ahead) {
            Some(Kind::Number(n)) => n.clone(),
            Some(Kind::Glyph(a, b)) => format!("{a}/{b}"),
            Some(Kind::Slash) => "/".to_owned(),
            Some(Kind::Dash) => return self.dash(),
            Some(Kind::Plus) => "+".to_owned(),
            Some(Kind::Degree) => "°".to_owned(),
            Some(Kind::Word(w, _)) => {
                return if self.at == 0 {
                    LengthError::NotANumber { text: self.text() }
                } else {
                    LengthError::LeftOver { text: self.text(), rest: w.clone() }
                };
            }
            Some(Kind::Other(c)) => c.to_string(),
            None => String::new(),
        };
        LengthError::LeftOver { text: self.text(), rest }
    }

    fn add(&self, parts: &[Part], bare: Unit) -> Result<Length, LengthError> {
        let mut sum: i128 = 0;
        let mut before: Option<&Part> = None;
        let bare_count = parts.iter().filter(|p| p.unit.is_none()).count();
        for (i, part) in parts.iter().enumerate() {
            let unit = match (part.unit, before.and_then(|b| b.unit)) {
                (Some(u), _) => u,
                (None, None) if parts.len() == 1 => bare,
                // 3' 4 1/2: the inches after feet may go without a mark.
                (None, Some(Unit::Foot)) if i == 1 && parts.len() == 2 && bare_count == 1 => Unit::Inch,
                _ => return Err(LengthError::NumbersWithoutUnits { text: self.text() }),
            };
            if let Some(b) = before {
                let limit = match (b.unit, unit) {
                    (Some(Unit::Foot), Unit::Inch) => 12,
                    (Some(Unit::M), Unit::Cm) => 100,
                    (Some(Unit::M), Unit::Mm) => 1000,
                    (Some(Unit::Cm), Unit::Mm) => 10,
                    (None, _) => return Err(LengthError::NumbersWithoutUnits { text: self.text() }),
                    _ => return Err(LengthError::UnitOrder { text: self.text() }),
                };
                if !b.whole {
                    return Err(LengthError::UnitOrder { text: self.text() });
                }
                if part.top >= limit * part.low {
                    return Err(LengthError::PartTooLarge { text: self.text() });
                }
            }
            let per: i128 = match unit {
                Unit::Mm => 360_000,
                Unit::Cm => 3_600_000,
                Unit::M => 360_000_000,
                Unit::Inch => 9_144_000,
                Unit::Foot => 109_728_000,
            };
            sum += (2 * part.top * per + part.low) / (2 * part.low);
            before = Some(part);
        }
        i64::try_from(sum).map(Length::from_units).map_err(|_| LengthError::TooLong { text: self.text() })
    }
}
