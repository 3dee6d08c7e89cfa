//! From a photo with printed cards lying round a template to true millimetres on their plane, with honest uncertainty.
//!
//! Takes picture bytes, never paths. Refuses, in words: empty, foreign, oversized and cut-short files; photos without cards; photos
//! of one layout that share no card; pixels that look past the plane.
//!
//! # Examples
//! ```
//! use coldwright_canvas::{CanvasError, Limits, Picture};
//!
//! // A text file that was given the name of a photo is refused with a sentence.
//! let refused = Picture::decode(b"just some words", &Limits::default()).unwrap_err();
//! assert!(matches!(refused, CanvasError::NotAPhoto { .. }));
//! ```

mod card;
mod decode;
mod doubt;
mod error;
mod facts;
mod fallback;
mod finder;
mod follow;
mod gradient;
mod homography;
mod lens;
pub mod measured;
mod misfit;
mod photo_cards;
mod picture;
mod place;
mod plane;
mod privacy;
mod snap;
mod solve;
mod sticks;
mod tag;
mod witness;

pub use card::{
    CROSSING_X_MM, CROSSING_Y_MM, CardKind, CardNote, CardSeen, CardsFound, Crossing, SQUARE_MM, TAG_MM,
    crossings_mm,
};
pub use doubt::PhotoDoubt;
pub use error::CanvasError;
pub use facts::{FULL_FRAME_DIAGONAL_MM, PhotoFacts, PhotoWarning};
pub use fallback::{Rectangle, rectangle, sketch_scale};
pub use finder::{FINDER_VERSION, find_cards, measure_crossing};
pub use follow::{FollowOptions, Followed, follow_edge};
pub use homography::Homography;
pub use kurbo::Point;
pub use lens::Lens;
pub use photo_cards::{PhotoCards, PrintScale, SolveOptions};
pub use picture::{Limits, LumaPlane, Picture};
pub use plane::{BadCard, BadWhy, Click, PAPER_MM, Placed, PlacedCard, PlaneSolve, Pose};
pub use privacy::without_private_data;
pub use snap::{Snap, SnapKind, snap, snap_on_plane};
pub use solve::solve;
pub use sticks::{Lath, StickKind, StickOptions, StickTick, Sticks, find_sticks};
pub use tag::tag_cells;
pub use witness::{Raised, Witness};
