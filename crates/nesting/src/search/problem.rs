//! One stuff's pieces and sheets in the form the search works on.

use crate::search::shape::Shape;

/// A copy to be placed.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Item {
    /// Index into [`Problem::shapes`].
    pub(crate) shape: usize,
    /// Index of the piece in the request.
    pub(crate) piece: usize,
    /// Which copy.
    pub(crate) copy: u32,
}

/// A kind of sheet: a rectangle for the shapes' boxes, and what in it cannot be used.
#[derive(Debug, Clone)]
pub(crate) struct Ground {
    /// x0, y0, x1, y1 a widened shape must keep to, mm.
    pub(crate) rect: [f64; 4],
    /// Shapes that lie in the rectangle and cannot be used, at turn 0 about their own centres.
    pub(crate) obstacles: Vec<usize>,
    /// Area that can be used, mm².
    pub(crate) usable: f64,
    /// Index of the stock in the request.
    pub(crate) stock: usize,
    /// Price of one.
    pub(crate) cost: f64,
    /// How many there are.
    pub(crate) available: Option<u32>,
    /// Not there at all: stands for sheets somebody must get before the pieces on them can be cut.
    pub(crate) missing: bool,
}

/// A copy held in place.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Held {
    pub(crate) item: Item,
    pub(crate) ground: usize,
    pub(crate) nth: u32,
    pub(crate) pose: Pose,
}

/// A sheet in use.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct Board {
    /// Index into [`Problem::grounds`].
    pub(crate) ground: usize,
    /// Which one of the kind.
    pub(crate) nth: u32,
}

/// Where a shape lies: board, turn in degrees, centre.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(crate) struct Pose {
    /// Index into the list of boards.
    pub(crate) board: usize,
    pub(crate) deg: f64,
    pub(crate) x: f64,
    pub(crate) y: f64,
}

/// Everything of one stuff.
#[derive(Debug, Clone, Default)]
pub(crate) struct Problem {
    pub(crate) shapes: Vec<Shape>,
    pub(crate) items: Vec<Item>,
    pub(crate) grounds: Vec<Ground>,
    pub(crate) held: Vec<Held>,
}

/// Boards and where every item lies on them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Arrangement {
    pub(crate) boards: Vec<Board>,
    pub(crate) poses: Vec<Pose>,
}

impl Problem {
    /// Whether a board carries a held copy and so cannot be given up.
    pub(crate) fn is_held(&self, board: Board) -> bool {
        self.held.iter().any(|h| h.ground == board.ground && h.nth == board.nth)
    }

    /// Area of all movable items, mm².
    pub(crate) fn area(&self) -> f64 {
        self.items.iter().map(|i| self.shapes[i.shape].area).sum()
    }

    /// Area of a board that held copies leave free, mm².
    pub(crate) fn free(&self, board: Board) -> f64 {
        let held: f64 = self
            .held
            .iter()
            .filter(|h| h.ground == board.ground && h.nth == board.nth)
            .map(|h| self.shapes[h.item.shape].area)
            .sum();
        self.grounds[board.ground].usable - held
    }
}
