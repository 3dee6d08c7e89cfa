//! What is asked: pieces, stock and the spaces a cutter needs.
//!
//! Everything is millimetres with y up; a piece's frame is its own, a sheet's frame is the sheet's own.

use kurbo::{Point, Vec2};

/// A material at one thickness: pieces are only laid on stock of the same stuff.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Stuff {
    /// Name of the material as the person wrote it; empty where only one is in play.
    pub material: String,
    /// Measured thickness in micrometres, so that equal thicknesses are equal; 0 where only one is in play.
    pub thickness_um: i64,
}

impl Stuff {
    /// A material at a thickness in mm, rounded to the micrometre. Not a number counts as 0.
    pub fn new(material: impl Into<String>, thickness_mm: f64) -> Stuff {
        Stuff { material: material.into(), thickness_um: (thickness_mm * 1000.0).round() as i64 }
    }

    /// Thickness in mm.
    pub fn thickness_mm(&self) -> f64 {
        self.thickness_um as f64 / 1000.0
    }
}

impl std::fmt::Display for Stuff {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match (self.material.as_str(), self.thickness_um) {
            ("", 0) => write!(f, "the stock"),
            ("", _) => write!(f, "{} mm stock", self.thickness_mm()),
            (m, 0) => write!(f, "{m}"),
            (m, _) => write!(f, "{m}, {} mm", self.thickness_mm()),
        }
    }
}

/// How a piece may be turned on the sheet. Never turned over: a bevelled piece fits from one side only.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Turns {
    /// Any angle.
    #[default]
    Any,
    /// Only these angles, degrees counter-clockwise (grain, a facing with a direction). Not empty.
    Only(Vec<f64>),
}

/// A shape to be cut, as often as `quantity` says.
#[derive(Debug, Clone, PartialEq)]
pub struct Piece {
    /// The mark on the piece, unique in a request.
    pub id: String,
    /// Copies wanted; 0 is allowed and asks for nothing.
    pub quantity: u32,
    /// Cut outline, simple, first point not repeated. Either direction; it is read counter-clockwise.
    pub outline: Vec<Point>,
    /// Turns allowed.
    pub turns: Turns,
    /// What it is cut from.
    pub stuff: Stuff,
}

/// A kind of sheet: full sheets on sale, sheets owned, off-cuts.
#[derive(Debug, Clone, PartialEq)]
pub struct Stock {
    /// Name, unique in a request.
    pub id: String,
    /// Outline, simple; either direction. A waist is no harm.
    pub outline: Vec<Point>,
    /// Regions already cut away or damaged.
    pub blocked: Vec<Vec<Point>>,
    /// How many there are; `None`: any number can be had.
    pub available: Option<u32>,
    /// Price of one, in any unit; 0 for what is owned already.
    pub cost: f64,
    /// What it is.
    pub stuff: Stuff,
}

/// A copy of a piece held where a person put it.
#[derive(Debug, Clone, PartialEq)]
pub struct Lock {
    /// Index of the piece in the request.
    pub piece: usize,
    /// Index of the stock kind in the request.
    pub stock: usize,
    /// Which sheet of that kind, from 0.
    pub nth: u32,
    /// Turn, degrees counter-clockwise about the piece's own origin.
    pub turn_deg: f64,
    /// Shift after the turn, mm in the sheet's frame.
    pub at: Vec2,
}

/// Pieces, stock and spaces.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Request {
    /// Name, for the layout file.
    pub name: String,
    /// Smallest distance wanted between two pieces, mm.
    pub gap: f64,
    /// Width the cutter takes away, mm. Two pieces keep the larger of `gap` and `kerf` apart.
    pub kerf: f64,
    /// Smallest distance from a piece to the sheet's edge or to a blocked region, mm.
    pub margin: f64,
    /// The pieces.
    pub pieces: Vec<Piece>,
    /// The stock.
    pub stock: Vec<Stock>,
    /// Copies held in place. Each takes one of its piece's quantity.
    pub locks: Vec<Lock>,
}

impl Request {
    /// Distance two pieces must keep, mm.
    pub fn spacing(&self) -> f64 {
        self.gap.max(self.kerf)
    }
}
