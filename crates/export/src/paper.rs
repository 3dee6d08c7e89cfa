//! Papers people have, by name.

use crate::error::ExportError;

/// Narrowest roll in mm: the page's foot with its 100 mm line and map must fit.
const NARROWEST_ROLL_MM: f64 = 210.0;
/// Widest roll in mm that plotters take.
const WIDEST_ROLL_MM: f64 = 2000.0;

/// A sheet, or a roll of stated width.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Paper {
    /// ISO 216 A4, 210 × 297 mm.
    A4,
    /// US Letter, 8 1/2 × 11 in.
    Letter,
    /// ISO 216 A3, 297 × 420 mm.
    A3,
    /// US Tabloid, 11 × 17 in.
    Tabloid,
    /// A roll of this width in mm, cut to the length the drawing needs, at most 5080 mm (200 in) a page.
    Roll {
        /// Width of the roll in mm, 210 to 2000.
        width_mm: f64,
    },
}

impl Paper {
    /// Reads "a4", "letter", "a3", "tabloid", "roll-610mm" or "roll-24in"; capitals do not matter, and a decimal
    /// point or comma may stand in the width.
    ///
    /// ```
    /// use coldwright_export::Paper;
    /// assert_eq!(Paper::parse("roll-24in"), Ok(Paper::Roll { width_mm: 609.6 }));
    /// assert!(Paper::parse("a5").is_err());
    /// ```
    ///
    /// # Errors
    /// [`ExportError::UnknownPaper`] for anything else, [`ExportError::RollWidth`] for a roll outside 210 to 2000 mm.
    pub fn parse(text: &str) -> Result<Paper, ExportError> {
        let unknown = || ExportError::UnknownPaper { text: text.to_owned() };
        let name = text.trim().to_ascii_lowercase();
        match name.as_str() {
            "a4" => return Ok(Paper::A4),
            "letter" => return Ok(Paper::Letter),
            "a3" => return Ok(Paper::A3),
            "tabloid" => return Ok(Paper::Tabloid),
            _ => {}
        }
        let width = name.strip_prefix("roll-").ok_or_else(unknown)?;
        let (number, factor) = match (width.strip_suffix("mm"), width.strip_suffix("in")) {
            (Some(number), _) => (number, 1.0),
            (_, Some(number)) => (number, 25.4),
            _ => return Err(unknown()),
        };
        let number = number.trim().replacen(',', ".", 1);
        // Only digits and one point: "1e3", "inf" and "nan" are numbers to the machine, not to a person.
        if number.is_empty() || !number.chars().all(|c| c.is_ascii_digit() || c == '.') {
            return Err(unknown());
        }
        let width_mm = number.parse::<f64>().map_err(|_| unknown())? * factor;
        // To the nanometre, so that 24 in are 609.6 mm and not a bit beside it.
        let paper = Paper::Roll { width_mm: (width_mm * 1.0e6).round() / 1.0e6 };
        paper.check()?;
        Ok(paper)
    }

    /// The sheet in mm, upright: (width, height); the height is `None` for a roll.
    pub fn size_mm(self) -> (f64, Option<f64>) {
        match self {
            Paper::A4 => (210.0, Some(297.0)),
            Paper::Letter => (215.9, Some(279.4)),
            Paper::A3 => (297.0, Some(420.0)),
            Paper::Tabloid => (279.4, Some(431.8)),
            Paper::Roll { width_mm } => (width_mm, None),
        }
    }

    /// The paper's name as a person says it: "A4", "Letter", "roll 610 mm wide".
    pub fn plain_name(self) -> String {
        match self {
            Paper::A4 => "A4".to_owned(),
            Paper::Letter => "Letter".to_owned(),
            Paper::A3 => "A3".to_owned(),
            Paper::Tabloid => "Tabloid".to_owned(),
            Paper::Roll { width_mm } => format!("roll {} mm wide", crate::number::decimal(width_mm, 1)),
        }
    }

    pub(crate) fn check(self) -> Result<(), ExportError> {
        match self {
            Paper::Roll { width_mm } if !(NARROWEST_ROLL_MM..=WIDEST_ROLL_MM).contains(&width_mm) => {
                Err(ExportError::RollWidth { width_mm })
            }
            _ => Ok(()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_those_of_the_standards() {
        // ISO 216 (A4 210 × 297, A3 297 × 420 mm); US Letter 612 × 792 pt, Tabloid 792 × 1224 pt.
        assert_eq!(Paper::A4.size_mm(), (210.0, Some(297.0)));
        assert_eq!(Paper::A3.size_mm(), (297.0, Some(420.0)));
        for (paper, w, h) in [(Paper::Letter, 612.0, 792.0), (Paper::Tabloid, 792.0, 1224.0)] {
            let (width, height) = paper.size_mm();
            assert!((width * 72.0 / 25.4 - w).abs() < 1e-9);
            assert!((height.unwrap() * 72.0 / 25.4 - h).abs() < 1e-9);
        }
    }

    #[test]
    fn names_are_read_or_refused_in_words() {
        for (text, paper) in [
            ("a4", Paper::A4),
            (" Letter ", Paper::Letter),
            ("A3", Paper::A3),
            ("tabloid", Paper::Tabloid),
            ("roll-610mm", Paper::Roll { width_mm: 610.0 }),
            ("roll-36in", Paper::Roll { width_mm: 914.4 }),
            ("roll-914,4mm", Paper::Roll { width_mm: 914.4 }),
        ] {
            match (Paper::parse(text), paper) {
                (Ok(Paper::Roll { width_mm: a }), Paper::Roll { width_mm: b }) => {
                    assert!((a - b).abs() < 1e-9);
                }
                (read, expected) => assert_eq!(read, Ok(expected), "{text}"),
            }
        }
        for text in [
            "",
            "a5",
            "roll",
            "roll-",
            "roll-mm",
            "roll-610",
            "roll--610mm",
            "roll-nanmm",
            "roll-1e3mm",
            "roll-1,2,3in",
        ] {
            assert!(matches!(Paper::parse(text), Err(ExportError::UnknownPaper { .. })), "{text}");
        }
        assert!(matches!(Paper::parse("roll-50mm"), Err(ExportError::RollWidth { .. })));
        assert!(matches!(Paper::parse("roll-9999in"), Err(ExportError::RollWidth { .. })));
    }
}
