//! The observations of one photo that a plane is solved from, and what to assume while solving.

use crate::card::{CardSeen, CardsFound};
use crate::picture::Picture;

/// What one photo says about the cards: everything the solver needs, nothing of the picture itself.
#[derive(Debug, Clone, PartialEq)]
pub struct PhotoCards {
    /// Width of the upright picture, pixels.
    pub width: u32,
    /// Height of the upright picture, pixels.
    pub height: u32,
    /// Focal length from the photo's own record, pixels; `None` when it says nothing.
    pub focal_prior_px: Option<f64>,
    /// Cards seen, each number once.
    pub cards: Vec<CardSeen>,
}

impl PhotoCards {
    /// Joins a decoded picture and the cards found in it.
    pub fn new(picture: &Picture, found: &CardsFound) -> Self {
        Self {
            width: picture.width(),
            height: picture.height(),
            focal_prior_px: picture.facts().focal_px(),
            cards: found.cards.clone(),
        }
    }
}

/// How large the cards really came out of the printer: measured ÷ nominal, along the card's x and y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PrintScale {
    /// Scale along the card's width.
    pub x: f64,
    /// Scale along the card's height.
    pub y: f64,
    /// Standard uncertainty of each (a ratio); 0 takes both as exact.
    pub sd: f64,
}

impl Default for PrintScale {
    /// True size, taken as exact: whoever knows how the print was checked says how well.
    fn default() -> Self {
        Self { x: 1.0, y: 1.0, sd: 0.0 }
    }
}

/// What to assume while solving.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SolveOptions {
    /// True size of the prints.
    pub print: PrintScale,
    /// Card numbers the person wants left out.
    pub leave_out: Vec<u32>,
    /// Takes the lenses as free of bend, as in pictures that a program has straightened. A lens that does bend is then refused, not averaged over.
    pub straight: bool,
}
