//! The one error of nesting: what cannot be laid out, and a way out.

/// Why a request cannot be laid out at all. Each message is one sentence in lower case; lengths are mm.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NestingError {
    /// A coordinate, gap, margin, turn or price is not a number, infinite, negative where it may not be, or beyond 1 km.
    #[error("{what} is not a usable number; type or measure it again")]
    NotUsable {
        /// The thing, e.g. `point 3 of piece "Hull 3 b"`.
        what: String,
    },
    /// An outline has fewer than three different points or no area.
    #[error("the outline of {what} encloses nothing; give it at least three points that are not in line")]
    Empty {
        /// The thing.
        what: String,
    },
    /// An outline crosses itself.
    #[error(
        "the outline of {what} crosses itself near ({x:.1}, {y:.1}); give its points in the order of its edge"
    )]
    SelfCrossing {
        /// The thing.
        what: String,
        /// Where, mm.
        x: f64,
        /// Where, mm.
        y: f64,
    },
    /// Two pieces or two kinds of stock have the same id.
    #[error("two {kind} are called \"{id}\"; give each its own name")]
    Repeated {
        /// `pieces` or `kinds of stock`.
        kind: &'static str,
        /// The name used twice.
        id: String,
    },
    /// A list of allowed turns is empty.
    #[error("piece \"{id}\" allows no turn at all; allow 0 degrees at least")]
    NoTurn {
        /// The piece.
        id: String,
    },
    /// There are no pieces to lay out.
    #[error("there are no pieces to lay out; add pieces first")]
    NoPieces,
    /// There is no stock at all.
    #[error("there is no stock to lay the pieces on; add a sheet that is owned or can be bought")]
    NoStock,
    /// Pieces of a material and thickness without any stock of it.
    #[error(
        "no stock of {stuff} is listed, but {pieces} piece(s) need it, the first \"{id}\"; add such a sheet or change the pieces"
    )]
    NoStockOf {
        /// Material and thickness in words.
        stuff: String,
        /// Copies that need it.
        pieces: u32,
        /// The first of them.
        id: String,
    },
    /// A piece fits on no sheet in any allowed turn.
    #[error(
        "piece \"{id}\" ({width:.0} x {height:.0} mm) fits on no sheet of {stuff} in any turn it allows, the largest is {sheet_width:.0} x {sheet_height:.0} mm with {margin} mm kept free at its edges; split the piece or add a larger sheet"
    )]
    TooLarge {
        /// The piece.
        id: String,
        /// Its width as drawn, mm.
        width: f64,
        /// Its height as drawn, mm.
        height: f64,
        /// Material and thickness in words.
        stuff: String,
        /// Width of the largest sheet, mm.
        sheet_width: f64,
        /// Height of the largest sheet, mm.
        sheet_height: f64,
        /// Margin, mm.
        margin: f64,
    },
    /// More copies than one search can handle.
    #[error(
        "{count} pieces of {stuff} are asked for, at most {limit} can be laid out at once; lay them out in parts"
    )]
    TooMany {
        /// Material and thickness in words.
        stuff: String,
        /// Copies asked for.
        count: u64,
        /// The limit.
        limit: u64,
    },
    /// A lock names a piece, stock or sheet that is not there, or more copies than asked for.
    #[error("the lock on piece \"{id}\" {why}; release it or correct it")]
    BadLock {
        /// The piece, or its number when there is no such piece.
        id: String,
        /// What is wrong, in words.
        why: String,
    },
    /// The strip's width is not a usable length, or a piece is wider than it in every allowed turn.
    #[error(
        "the strip is {width} wide, piece \"{id}\" does not fit across it in any allowed turn; use a wider strip"
    )]
    StripTooNarrow {
        /// The piece.
        id: String,
        /// Width of the strip.
        width: f64,
    },
    /// The effort asked for cannot be kept (no moves, no seconds, no threads).
    #[error("{what}; ask for at least one")]
    NoEffort {
        /// What is missing.
        what: String,
    },
    /// A request file could not be understood.
    #[error("the pieces could not be read: {why}")]
    Unreadable {
        /// What the reader says.
        why: String,
    },
    /// A step of the work broke its own rule; the layout is withheld.
    #[error("the layout found did not pass its own check ({why}); please report this with the pieces")]
    Unsound {
        /// The first fault.
        why: String,
    },
}
