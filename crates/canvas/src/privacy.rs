//! Drops private data.
use crate::error::CanvasError;
/// Drops private data.
///
/// # Errors
/// Not a photo.
pub fn without_private_data(_bytes: &[u8]) -> Result<Vec<u8>, CanvasError> {
    Err(CanvasError::Empty)
}
