//! The `coldwright` program: its window and its headless commands, both thin.
//!
//! Here files are opened and saved and the person is asked; sums and drawing are done below.

pub mod commands;
mod error;
pub mod files;
pub mod import;
pub mod recovery;
mod say;
pub mod window;

pub use error::AppError;
