//! Offsets from a baseline: a string, a batten, a level line or a plumb line, with distances to one or both sides at stations along it.

use coldwright_geometry::Spread;
use kurbo::{Point, Vec2};

use super::table::read_rows;
use super::{MeasuredPoint, Style};
use crate::error::CanvasError;

/// The line that offsets are taken from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Baseline {
    /// Station zero.
    pub start: Point,
    /// Direction of rising stations, radians counter-clockwise from x. Offsets to the left of it are positive.
    pub angle_rad: f64,
}

impl Baseline {
    /// Along x from the origin; offsets upwards are positive.
    pub const LEVEL: Self = Self { start: Point::ORIGIN, angle_rad: 0.0 };
    /// A plumb line hanging from the origin, stations downwards; offsets to the right are positive.
    pub const PLUMB_DOWN: Self = Self { start: Point::ORIGIN, angle_rad: -std::f64::consts::FRAC_PI_2 };
    /// A plumb line measured upwards from the origin; offsets to the left are positive.
    pub const PLUMB_UP: Self = Self { start: Point::ORIGIN, angle_rad: std::f64::consts::FRAC_PI_2 };
}

/// What every reading is off by, mm.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Corrections {
    /// Added to every reading away from zero: the rule's end beyond its zero mark, when the rule was butted with its end. Negative for a worn or cut-off end.
    pub rule_end_mm: f64,
    /// Distance from the baseline to the face of the stick that the rule was butted against, on either side: half a batten's width.
    pub stick_mm: f64,
}

/// Points from a table of offsets: each line a station, the offset to the left, and, when both sides were measured, the offset to the right as a positive
/// number. An empty cell is a side not measured. The left side comes first, by rising station, then the right side by falling station: a ring.
///
/// # Errors
/// A cell that is no length, a line with too few or too many cells, an empty table, a line without any offset.
///
/// # Examples
/// ```
/// use coldwright_canvas::measured::{Baseline, Corrections, Style, points_from_offsets};
/// let text = "0; 100; 50\n200; 120; 60\n";
/// let ring = points_from_offsets(text, Baseline::LEVEL, Corrections::default(), &Style::default())?;
/// assert_eq!(ring.iter().map(|p| (p.at.x, p.at.y)).collect::<Vec<_>>(), [(0.0, 100.0), (200.0, 120.0), (200.0, -60.0), (0.0, -50.0)]);
/// # Ok::<(), coldwright_canvas::CanvasError>(())
/// ```
pub fn points_from_offsets(
    text: &str,
    baseline: Baseline,
    corrections: Corrections,
    style: &Style,
) -> Result<Vec<MeasuredPoint>, CanvasError> {
    let way = Vec2::from_angle(baseline.angle_rad);
    let aside = Vec2::new(-way.y, way.x);
    let spread = Spread::round(style.sd_mm);
    // Points with the station they were taken at.
    type Side = Vec<(f64, MeasuredPoint)>;
    let (mut left, mut right): (Side, Side) = (Vec::new(), Vec::new());
    for row in read_rows(text) {
        row.must_have(2, 3)?;
        let station = row.length(0, style)?;
        let mut any = false;
        for (cell, sign, side, name) in [(1, 1.0, &mut left, ""), (2, -1.0, &mut right, " right")] {
            if row.text(cell).is_empty() {
                continue;
            }
            any = true;
            let read = row.length(cell, style)?;
            // A corrected reading keeps its side: at zero the rule touches the stick.
            let out = if read < 0.0 { -1.0 } else { 1.0 };
            let offset = sign * (read + out * (corrections.rule_end_mm + corrections.stick_mm));
            let at = baseline.start + way * station + aside * offset;
            side.push((station, MeasuredPoint { name: format!("{}{name}", row.text(0)), at, spread }));
        }
        if !any {
            return Err(CanvasError::BadRow { line: row.line, has: 1, from: 2, to: 3 });
        }
    }
    if left.is_empty() && right.is_empty() {
        return Err(CanvasError::EmptyTable);
    }
    left.sort_by(|a, b| a.0.total_cmp(&b.0));
    right.sort_by(|a, b| b.0.total_cmp(&a.0));
    Ok(left.into_iter().chain(right).map(|p| p.1).collect())
}
