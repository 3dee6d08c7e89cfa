//! A pieces file in, a layout file out: all a command needs.

use std::sync::atomic::AtomicBool;

use crate::effort::{Effort, Progress};
use crate::error::NestingError;
use crate::nest::{Outcome, nest};
use crate::neutral::{Made, Wanted, read_pieces, write_layout};
use crate::request::Request;
use crate::strip::{StripOutcome, nest_strip};

/// A finished run on a file.
#[derive(Debug, Clone, PartialEq)]
pub struct FileRun {
    /// The layout file's text.
    pub layout_json: String,
    /// What it holds.
    pub result: FileResult,
}

/// The result, by kind of file.
#[derive(Debug, Clone, PartialEq)]
pub enum FileResult {
    /// On sheets, with the request read.
    Sheets(Request, Outcome),
    /// On a strip.
    Strip(StripOutcome),
}

impl FileRun {
    /// Moves per thread that repeat the run.
    pub fn moves(&self) -> u64 {
        match &self.result {
            FileResult::Sheets(_, o) => o.moves,
            FileResult::Strip(o) => o.moves,
        }
    }
}

/// Lays out the pieces of a file in the neutral form.
///
/// # Errors
///
/// As [`read_pieces`], [`nest`] and [`nest_strip`].
pub fn nest_file(
    json: &str,
    effort: &Effort,
    cancel: &AtomicBool,
    tell: &mut dyn FnMut(&Progress),
) -> Result<FileRun, NestingError> {
    let made = |moves, length| Made { seed: effort.seed, threads: effort.threads, moves, length };
    match read_pieces(json)? {
        Wanted::Sheets(request) => {
            let outcome = nest(&request, effort, cancel, tell)?;
            let layout_json = write_layout(&request, &outcome.layout, &made(outcome.moves, None))?;
            Ok(FileRun { layout_json, result: FileResult::Sheets(request, outcome) })
        }
        Wanted::Strip(strip) => {
            let outcome = nest_strip(&strip, effort, cancel, tell)?;
            let request = strip.on_sheet(outcome.length);
            let layout_json =
                write_layout(&request, &outcome.layout, &made(outcome.moves, Some(outcome.length)))?;
            Ok(FileRun { layout_json, result: FileResult::Strip(outcome) })
        }
    }
}
