//! Picture bytes to an upright picture.
use crate::error::CanvasError;
use crate::picture::{Limits, Picture};
pub(crate) fn decode(bytes: &[u8], _limits: &Limits) -> Result<Picture, CanvasError> {
    if bytes.is_empty() {
        return Err(CanvasError::Empty);
    }
    Err(CanvasError::NotAPhoto { found: "unknown bytes".into() })
}
