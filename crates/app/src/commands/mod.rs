//! The headless commands. Each reads, calls one function below, and says the answer in words or as JSON.

use std::path::{Path, PathBuf};

use clap::{Parser, Subcommand};
use coldwright_job::{Job, from_bytes};

use crate::error::AppError;
use crate::files;

mod cards;
mod check;
mod common;
mod drawing;
mod layers;
pub mod make;
mod measure;
mod nest;
mod pieces;
mod sheets;

/// From a photo of a stick template to foam layers you can cut.
///
/// Without a command the window opens.
#[derive(Debug, Parser)]
#[command(name = "coldwright", version, about, long_about = None)]
pub struct Words {
    /// A job to open in the window.
    pub job: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

#[derive(Debug, Subcommand)]
enum Command {
    /// Make all papers of a job: patterns, drawing files, tables.
    Make(make::Words),
    /// Find cards in photos and turn pixels into millimetres.
    Measure(measure::Words),
    /// Every layer's depths, outlines, areas and bevels.
    Layers(common::OfJob),
    /// Put the outline of an SVG or DXF file into a job as a wall's template.
    Drawing(drawing::Words),
    /// Cards to print and lay round a template.
    Cards(cards::Words),
    /// Every piece, whether it passes the opening, and the order they go in.
    Pieces(common::OfJob),
    /// Lay a job's pieces out on its sheets: enough, or what to buy.
    Sheets(sheets::Words),
    /// Lay pieces of a file out on sheets.
    Nest(nest::Words),
    /// Everything that would stop or spoil the work.
    Check(common::OfJob),
}

/// Runs the command in the words; `Ok(false)` when there is none and the window is wanted.
///
/// # Errors
/// One sentence for the person.
pub fn run(words: &Words) -> Result<bool, AppError> {
    match &words.command {
        None => return Ok(false),
        Some(Command::Make(w)) => make::run(w)?,
        Some(Command::Measure(w)) => measure::run(w)?,
        Some(Command::Layers(w)) => layers::run(w)?,
        Some(Command::Drawing(w)) => drawing::run(w)?,
        Some(Command::Cards(w)) => cards::run(w)?,
        Some(Command::Pieces(w)) => pieces::run(w)?,
        Some(Command::Sheets(w)) => sheets::run(w)?,
        Some(Command::Nest(w)) => nest::run(w)?,
        Some(Command::Check(w)) => check::run(w)?,
    }
    Ok(true)
}

/// Opens a job file.
///
/// # Errors
/// When it cannot be read, is damaged, foreign or newer: one sentence, naming the file.
pub fn open(path: &Path) -> Result<Job, AppError> {
    let bytes = files::read(path)?;
    from_bytes(&bytes).map_err(|why| AppError::JobFile { path: path.to_owned(), why })
}

/// A length from the command line, in mm; bare numbers are millimetres.
fn length_mm(text: &str) -> Result<f64, String> {
    coldwright_geometry::parse_length(
        text,
        coldwright_geometry::Unit::Mm,
        coldwright_geometry::Writing::Plain,
    )
    .map(|reading| reading.length.mm())
    .map_err(|e| e.to_string())
}

/// Says an error on standard error.
pub fn complain(error: &AppError) {
    crate::say::error(&error.to_string());
}
