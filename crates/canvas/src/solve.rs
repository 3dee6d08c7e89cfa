//! Solves the plane.
use crate::error::CanvasError;
use crate::photo_cards::{PhotoCards, SolveOptions};
use crate::plane::PlaneSolve;
/// Solves the plane.
///
/// # Errors
/// No photos.
pub fn solve(_photos: &[PhotoCards], _options: &SolveOptions) -> Result<PlaneSolve, CanvasError> {
    Err(CanvasError::NoPhotos)
}
