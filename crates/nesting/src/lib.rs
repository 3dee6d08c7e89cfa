//! Pieces and stock sheets to a layout: fewest bought sheets, nothing mirrored, every layout checked.
//!
//! ```
//! use std::sync::atomic::AtomicBool;
//! use coldwright_nesting::{Effort, Piece, Request, Stock, Stuff, Turns, Verdict, check, nest};
//! use kurbo::Point;
//!
//! let rect = |w: f64, h: f64| vec![Point::ZERO, Point::new(w, 0.0), Point::new(w, h), Point::new(0.0, h)];
//! let foam = Stuff::new("XPS", 25.4);
//! let request = Request {
//!     name: "lid".into(),
//!     kerf: 3.2,
//!     pieces: vec![Piece { id: "Lid 1".into(), quantity: 6, outline: rect(400.0, 300.0), turns: Turns::Any, stuff: foam.clone() }],
//!     stock: vec![Stock { id: "half sheet".into(), outline: rect(1219.2, 1219.2), blocked: vec![], available: Some(1), cost: 0.0, stuff: foam }],
//!     ..Request::default()
//! };
//! let effort = Effort { seed: 7, moves: Some(50), seconds: None, threads: 1 };
//! let outcome = nest(&request, &effort, &AtomicBool::new(false), &mut |_| ())?;
//! assert!(check(&request, &outcome.layout).is_empty());
//! assert_eq!(outcome.answers[0].verdict, Verdict::Enough);
//! # Ok::<(), coldwright_nesting::NestingError>(())
//! ```

mod answer;
mod breakdown;
mod check;
mod effort;
mod error;
mod file_run;
mod layout;
mod nest;
mod neutral;
mod offcut;
mod prepare;
mod random;
mod region;
mod request;
mod ring;
mod run;
mod search;
mod strip;
mod turn;

pub use answer::{Answer, Count, Verdict};
pub use breakdown::{Cut, breakdown};
pub use check::{Fault, TOLERANCE, check};
pub use effort::{Effort, Progress};
pub use error::NestingError;
pub use file_run::{FileResult, FileRun, nest_file};
pub use layout::{Layout, Left, Placement, SheetUsed};
pub use nest::{Outcome, first_layout, left_by_piece, nest};
pub use neutral::{Made, Wanted, read_pieces, write_layout};
pub use offcut::{Offcut, offcuts};
pub use prepare::check_outline;
pub use request::{Lock, Piece, Request, Stock, Stuff, Turns};
pub use strip::{StripOutcome, StripRequest, nest_strip};
