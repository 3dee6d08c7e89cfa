//! The samples, carried in the program so that there is always something to try.

use coldwright_job::{Job, JobError, from_bytes};

const SAMPLES: [&[u8]; 2] = [
    include_bytes!("../../../../samples/hull-side.coldwright"),
    include_bytes!("../../../../samples/floor.coldwright"),
];

/// A sample by its number from 0; the last one for any number past it.
pub(super) fn open(number: usize) -> Result<Job, JobError> {
    from_bytes(SAMPLES[number.min(SAMPLES.len() - 1)])
}
