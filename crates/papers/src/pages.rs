//! How a job's patterns are cut into pages.

use coldwright_export::{CheckSquare, Paper, TileOptions, correction_from_print};
use coldwright_job::Job;

use crate::error::PapersError;

/// The options all pieces of a job share, with the printer's correction.
pub(crate) fn options(job: &Job, paper: Paper) -> Result<TileOptions, PapersError> {
    let print_correction = match job.printed_100_mm {
        None => (1.0, 1.0),
        Some((width, height)) => correction_from_print(width.mm(), height.mm())
            .map_err(|why| PapersError::Export { what: "the patterns".to_owned(), why })?,
    };
    Ok(TileOptions { print_correction, ..plain(job, paper) })
}

/// The same, uncorrected where the printer is too far off: for drawings that are shown, not printed.
pub(crate) fn options_or_plain(job: &Job, paper: Paper) -> TileOptions {
    options(job, paper).unwrap_or_else(|_| plain(job, paper))
}

fn plain(job: &Job, paper: Paper) -> TileOptions {
    TileOptions {
        paper,
        job_name: job.name.clone(),
        check_square: CheckSquare::OwnPage,
        ..TileOptions::default()
    }
}
