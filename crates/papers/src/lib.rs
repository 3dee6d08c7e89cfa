//! From a plan to paper: full-size patterns, cut files, tables, a summary, and the printed cards for the photo.
mod card;
mod error;

pub use card::{CardOptions, cards};
pub use error::PapersError;
