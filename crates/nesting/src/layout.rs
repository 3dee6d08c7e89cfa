//! The answer: which sheets are used and where every copy lies.

use kurbo::{Point, Vec2};

use crate::turn::sin_cos_deg;

/// One sheet in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct SheetUsed {
    /// Index of the stock kind in the request.
    pub stock: usize,
    /// Which one of that kind, from 0.
    pub nth: u32,
}

/// Where one copy of a piece lies. There is no field for turning it over, on purpose.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placement {
    /// Index of the piece in the request.
    pub piece: usize,
    /// Which copy, from 0.
    pub copy: u32,
    /// Index into [`Layout::sheets`].
    pub sheet: usize,
    /// Turn, degrees counter-clockwise about the piece's own origin.
    pub turn_deg: f64,
    /// Shift after the turn, mm in the sheet's frame.
    pub at: Vec2,
}

impl Placement {
    /// A point of the piece in the sheet's frame.
    pub fn apply(&self, p: Point) -> Point {
        let (s, c) = sin_cos_deg(self.turn_deg);
        Point::new(c * p.x - s * p.y + self.at.x, s * p.x + c * p.y + self.at.y)
    }
}

/// A copy that found no place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Left {
    /// Index of the piece in the request.
    pub piece: usize,
    /// Which copy, from 0.
    pub copy: u32,
}

/// Sheets in use and the copies on them, in the order of the request's pieces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Layout {
    /// Sheets in use; owned before bought, within a kind by number.
    pub sheets: Vec<SheetUsed>,
    /// Every copy that lies on a sheet.
    pub placements: Vec<Placement>,
    /// Copies without a place, for want of stock.
    pub left: Vec<Left>,
}
