//! The printed card: where its parts are, and what is seen of it in a photo.
//!
//! Millimetres on the card: origin in the card's middle, x right, y up, as it is read. See `CardKind::Printed` for the layout.

use kurbo::Point;

/// Crossings' x on the full-size card, mm, in the order they are listed.
pub const CROSSING_X_MM: [f64; 4] = [-102.5, -82.5, 82.5, 102.5];
/// Crossings' y on the full-size card, mm, in the order they are listed.
pub const CROSSING_Y_MM: [f64; 8] = [70.0, 50.0, 30.0, 10.0, -10.0, -30.0, -50.0, -70.0];
/// Black edge of the tag on the full-size card, mm.
pub const TAG_MM: f64 = 100.0;
/// One checker square on the full-size card, mm.
pub const SQUARE_MM: f64 = 20.0;

/// Which cards lie in the photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CardKind {
    /// The program's own card: a tag 36h11 of 100 mm, and 3 × 9 checker squares of 20 mm on each side of it. Numbers 1 to 99 are
    /// full size, 101 to 199 half size.
    Printed,
    /// A tag 36h11 alone, its black square measuring `black_edge_mm` outside to outside.
    Plain {
        /// Outer edge of the black square, mm.
        black_edge_mm: f64,
    },
}

/// One point of a card found in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Its nominal place on the card, mm (print scale not applied; half-size cards already halved).
    pub card_mm: Point,
    /// Where it was measured, pixels of the upright picture, pixel centres at whole numbers.
    pub px: Point,
    /// Standard uncertainty of each coordinate, pixels.
    pub sd_px: f64,
}

/// One card seen in one photo.
#[derive(Debug, Clone, PartialEq)]
pub struct CardSeen {
    /// The number its tag says.
    pub number: u32,
    /// Printed at half size (numbers 101 to 199 of our own card).
    pub half_size: bool,
    /// Its measured points; covered or poor ones are not in the list.
    pub crossings: Vec<Crossing>,
    /// The tag's black corners for showing, top-left, top-right, bottom-right, bottom-left as printed, pixels (not for measuring).
    pub corners_px: [Point; 4],
}

/// What was found in one photo.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct CardsFound {
    /// Cards fit to measure with, by number.
    pub cards: Vec<CardSeen>,
    /// What the person should know about cards that were left out or are poor.
    pub notes: Vec<CardNote>,
}

/// A remark about one card in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CardNote {
    /// The number was found twice, so that none of the two can be trusted; both are left out.
    Doubled {
        /// Card number.
        number: u32,
    },
    /// Too few crossings could be measured; the card is left out.
    TooFewCrossings {
        /// Card number.
        number: u32,
        /// How many were measured.
        found: usize,
    },
    /// A tag without the checkers of our own card beside it: a plain tag, or all of its checkers are covered; left out.
    NoCheckers {
        /// Card number.
        number: u32,
    },
    /// Some crossings are covered, in glare or smeared; the others are used.
    PartlyCovered {
        /// Card number.
        number: u32,
        /// Crossings used.
        used: usize,
        /// Crossings on the card.
        of: usize,
    },
    /// The number belongs to no card of ours (0, 100 or above 199); left out.
    ForeignNumber {
        /// Number read from the tag.
        number: u32,
    },
}

impl std::fmt::Display for CardNote {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Doubled { number } => write!(
                f,
                "Card {number} was found twice and is left out. Print each number once, or cover one of them."
            ),
            Self::TooFewCrossings { number, found } => write!(
                f,
                "Card {number} is left out: only {found} of its points could be measured. Uncover it, or take the photo again without glare or shake."
            ),
            Self::NoCheckers { number } => write!(
                f,
                "Tag {number} is left out: it has no checkers beside it. If it is a plain tag, say how large its black square is."
            ),
            Self::PartlyCovered { number, used, of } => {
                write!(f, "Card {number}: {used} of {of} points used; the others are covered or not clear.")
            }
            Self::ForeignNumber { number } => write!(
                f,
                "A tag with the number {number} is left out: the program's cards carry 1 to 99 (full size) and 101 to 199 (half size)."
            ),
        }
    }
}

/// The nominal places of all 32 crossings of our own card, mm, by x then by falling y.
///
/// # Examples
/// ```
/// let places = coldwright_canvas::crossings_mm(false);
/// assert_eq!(places.len(), 32);
/// assert_eq!((places[0].x, places[0].y), (-102.5, 70.0));
/// ```
pub fn crossings_mm(half_size: bool) -> Vec<Point> {
    let scale = if half_size { 0.5 } else { 1.0 };
    let mut places = Vec::with_capacity(32);
    for x in CROSSING_X_MM {
        for y in CROSSING_Y_MM {
            places.push(Point::new(x * scale, y * scale));
        }
    }
    places
}
