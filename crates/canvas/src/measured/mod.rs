//! Points measured without a photo: offsets from a line, ties with two tapes, tick-stick marks, tables of x and y.
//!
//! Text is typed, pasted or comma-separated; every length is read by the geometry crate's reader, nothing is guessed, and what is refused names its line
//! and cell. Coordinates are millimetres, x right, y up.

mod marks;
mod network;
mod offsets;
mod table;
mod tied;

use coldwright_geometry::{Spread, Unit, Writing};
use kurbo::Point;

use crate::error::CanvasError;

pub use marks::{FaceUp, TickStick, points_from_table, stick_tips};
pub use network::{Measure, Misfit, Network, TieSide, adjust, read_lengths, read_ties};
pub use offsets::{Baseline, Corrections, points_from_offsets};
pub use table::{Cell, Row, read_rows};
pub use tied::{LengthCheck, Suspect, TapedLength, Tied, tie};

/// Beyond this many standard deviations a measurement is suspected: 1 of 1000 good ones.
const SUSPICIOUS: f64 = 3.29;

/// A taped distance and its standard uncertainty, mm, are lengths above zero.
pub(crate) fn check_tape(length_mm: f64, sd_mm: f64) -> Result<(), CanvasError> {
    for (what, value) in [("taped distance", length_mm), ("uncertainty of the tape", sd_mm)] {
        if !(value.is_finite() && value > 0.0) {
            return Err(CanvasError::BadNumber { what, rule: "above zero", value });
        }
    }
    Ok(())
}

/// How the lengths of a table are written.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Style {
    /// Unit of a number without one.
    pub bare: Unit,
    /// Plain, or feet-inches-eighths.
    pub writing: Writing,
    /// Standard uncertainty of one length, mm.
    pub sd_mm: f64,
}

/// A point measured without a photo.
#[derive(Debug, Clone, PartialEq)]
pub struct MeasuredPoint {
    /// Its name or number in the table.
    pub name: String,
    /// Place, mm.
    pub at: Point,
    /// How well the place is known.
    pub spread: Spread,
}
