//! How much work to spend, and how it is told and stopped.

use crate::error::NestingError;
use crate::layout::Layout;

/// How long to search. The same seed, threads and moves give the same layout on any machine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Start of the random numbers.
    pub seed: u64,
    /// Moves (one piece looked a better place for) per thread and material; `None`: until the seconds are over.
    pub moves: Option<u64>,
    /// Seconds by the clock on the wall; `None`: until the moves are made.
    pub seconds: Option<f64>,
    /// Searches side by side, each with its own random numbers; the best counts. At least 1.
    pub threads: usize,
}

impl Default for Effort {
    /// Seed 1, ten seconds, one thread.
    fn default() -> Effort {
        Effort { seed: 1, moves: None, seconds: Some(10.0), threads: 1 }
    }
}

impl Effort {
    /// Refuses an effort without an end or without a beginning.
    pub(crate) fn checked(&self) -> Result<Effort, NestingError> {
        let no = |what: &str| Err(NestingError::NoEffort { what: what.to_owned() });
        if self.threads == 0 || self.threads > 64 {
            return no("the search runs on 1 to 64 threads");
        }
        if self.moves.is_none() && self.seconds.is_none() {
            return no("neither moves nor seconds are given");
        }
        if self.seconds.is_some_and(|s| !s.is_finite() || s < 0.0) {
            return Err(NestingError::NotUsable { what: "the number of seconds".to_owned() });
        }
        Ok(*self)
    }
}

/// What is told while the search runs.
#[derive(Debug, Clone)]
pub struct Progress {
    /// Moves per thread so far.
    pub moves: u64,
    /// Seconds since the start.
    pub seconds: f64,
    /// The best layout so far, when it is new since the last telling.
    pub better: Option<Layout>,
}
