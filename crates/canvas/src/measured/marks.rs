//! Tables of x and y, and the tick stick's marks.

use coldwright_geometry::Spread;
use kurbo::{Point, Vec2};

use super::table::read_rows;
use super::{MeasuredPoint, Style};
use crate::error::CanvasError;

/// Points from a table of x and y, with a name before them or without (they are numbered then).
///
/// # Errors
/// A cell that is no length, a line with too few or too many cells, an empty table.
///
/// # Examples
/// ```
/// use coldwright_canvas::measured::{Style, points_from_table};
/// use coldwright_geometry::{Unit, Writing};
/// let style = Style { bare: Unit::Inch, writing: Writing::FeetInchesEighths, sd_mm: 0.5 };
/// let points = points_from_table("A\t2-3-4+\t0-0-0", &style)?;
/// assert!((points[0].at.x - (27.0 + 9.0 / 16.0) * 25.4).abs() < 1e-9);
/// # Ok::<(), coldwright_canvas::CanvasError>(())
/// ```
pub fn points_from_table(text: &str, style: &Style) -> Result<Vec<MeasuredPoint>, CanvasError> {
    let mut out = Vec::new();
    for row in read_rows(text) {
        row.must_have(2, 3)?;
        let first = row.cells.len() - 2;
        let name = if first == 1 { row.text(0).to_owned() } else { (out.len() + 1).to_string() };
        let at = Point::new(row.length(first, style)?, row.length(first + 1, style)?);
        out.push(MeasuredPoint { name, at, spread: Spread::round(style.sd_mm) });
    }
    if out.is_empty() { Err(CanvasError::EmptyTable) } else { Ok(out) }
}

/// Which face of the stick lay up when it was marked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FaceUp {
    /// The face whose shape is described.
    Marked,
    /// The other one: the stick was turned over.
    Other,
}

/// A tick stick: its tip touches the surface while two points of it, heel and notch, are marked on a board.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TickStick {
    /// From the heel to the notch, mm.
    pub notch_mm: f64,
    /// From the heel to the tip, along the line from heel to notch, mm.
    pub tip_mm: f64,
    /// How far the tip lies to the left of that line, marked face up, mm.
    pub aside_mm: f64,
}

/// Places of the tip from recorded positions: each line a name, the heel's x and y, the notch's x and y on the board, and `over` in a sixth cell when the
/// stick lay on its other face.
///
/// Also gives how far each recorded heel and notch are apart against the stick itself, mm: more than a few tenths is a wrong mark.
///
/// # Errors
/// A cell that is no length or, in the sixth, another word; heel and notch in one place; a stick without a notch; an empty table.
pub fn stick_tips(
    text: &str,
    stick: &TickStick,
    style: &Style,
) -> Result<Vec<(MeasuredPoint, FaceUp, f64)>, CanvasError> {
    if !(stick.notch_mm.is_finite() && stick.notch_mm > 0.0) {
        return Err(CanvasError::BadNumber {
            what: "distance from heel to notch",
            rule: "above zero",
            value: stick.notch_mm,
        });
    }
    crate::plane::finite("distance from heel to tip", stick.tip_mm)?;
    crate::plane::finite("tip's distance aside", stick.aside_mm)?;
    let mut out = Vec::new();
    for row in read_rows(text) {
        row.must_have(5, 6)?;
        let face = match row.text(5) {
            "" => FaceUp::Marked,
            word if word.eq_ignore_ascii_case("over") => FaceUp::Other,
            word => {
                let why = format!(
                    "\"{word}\" is not known here; write over when the stick lay on its other face, or leave it empty"
                );
                return Err(CanvasError::BadCell { line: row.line, cell: 6, why });
            }
        };
        let heel = Point::new(row.length(1, style)?, row.length(2, style)?);
        let notch = Point::new(row.length(3, style)?, row.length(4, style)?);
        let apart = heel.distance(notch);
        if apart < 1.0 {
            let why = "heel and notch lie in one place; measure both marks again".to_owned();
            return Err(CanvasError::BadCell { line: row.line, cell: 4, why });
        }
        let way = (notch - heel) / apart;
        let left = Vec2::new(-way.y, way.x) * if face == FaceUp::Marked { 1.0 } else { -1.0 };
        let at = heel + way * stick.tip_mm + left * stick.aside_mm;
        // Both marks err alike; the tip answers to each by its share of the length.
        let share = stick.tip_mm / stick.notch_mm;
        let across = style.sd_mm * ((1.0 - share).powi(2) + share.powi(2)).sqrt().max(1.0);
        out.push((
            MeasuredPoint { name: row.text(0).to_owned(), at, spread: Spread::round(across) },
            face,
            apart - stick.notch_mm,
        ));
    }
    if out.is_empty() { Err(CanvasError::EmptyTable) } else { Ok(out) }
}
