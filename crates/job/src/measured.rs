//! What follows from a template's tapes and second photos, beside its outline.

use std::sync::Arc;

use crate::distances::{CheckedDistance, Diagonal};
use crate::seen_again::FoundHeight;
use crate::taped::TapedFit;

/// What tapes and second photos say of one template.
#[derive(Clone, Debug, Default)]
pub struct Measured {
    /// What follows from numbers taped without a photo, with what each misses by.
    pub taped: Option<Arc<TapedFit>>,
    /// Distances taped between ticks, beside the outline's own.
    pub distances: Arc<[CheckedDistance]>,
    /// Heights found from two photos.
    pub heights: Arc<[FoundHeight]>,
    /// Lines across the outline that are worth a tape.
    pub diagonals: Arc<[Diagonal]>,
}
