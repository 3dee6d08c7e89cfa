//! Words that several commands take.

use std::path::PathBuf;

use clap::Args;
use coldwright_nesting::Effort;

/// A job to be told of.
#[derive(Debug, Args)]
pub(super) struct OfJob {
    /// The job file.
    pub(super) job: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    pub(super) json: bool,
}

/// How long a layout is searched for.
#[derive(Debug, Args)]
pub(super) struct Search {
    /// Start of the random numbers: the same seed, threads and moves give the same layout on any machine.
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub(super) seed: u64,
    /// Stop after so many moves per thread.
    #[arg(long, value_name = "M")]
    moves: Option<u64>,
    /// Stop after so many seconds; without moves and seconds, after ten seconds.
    #[arg(long, value_name = "S")]
    seconds: Option<f64>,
    /// Searches side by side.
    #[arg(long, value_name = "K", default_value_t = 1)]
    pub(super) threads: usize,
}

impl Search {
    pub(super) fn effort(&self) -> Effort {
        let seconds = self.seconds.or(if self.moves.is_none() { Some(10.0) } else { None });
        Effort { seed: self.seed, moves: self.moves, seconds, threads: self.threads }
    }
}
