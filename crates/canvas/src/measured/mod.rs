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

pub use marks::{FaceUp, TickStick, points_from_table, stick_tips};
pub use network::{Measure, Misfit, Network, TieSide, adjust, read_lengths, read_ties};
pub use offsets::{Baseline, Corrections, points_from_offsets};
pub use table::{Cell, Row, read_rows};
pub use tied::{LengthCheck, Suspect, TapedLength, Tied, tie};

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
