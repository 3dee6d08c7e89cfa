//! The DXF writer.

use crate::drawing::Drawing;
use crate::error::ExportError;

/// The version of the DXF file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DxfVersion {
    /// AC1015: LWPOLYLINE, with a unit header.
    #[default]
    R2000,
    /// AC1009: POLYLINE, for old programs; has no unit header, so the unit stands in a text.
    R12,
}

/// The unit of the numbers in the DXF file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DxfUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches of exactly 25.4 mm.
    Inch,
}

/// How a DXF is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DxfOptions {
    /// The version of the file.
    pub version: DxfVersion,
    /// The unit of its numbers.
    pub unit: DxfUnit,
    /// Farthest a straight piece may lie from the curve, in mm, 0.0001 to 1.
    pub flatten_mm: f64,
}

impl Default for DxfOptions {
    fn default() -> DxfOptions {
        DxfOptions { version: DxfVersion::default(), unit: DxfUnit::default(), flatten_mm: 0.005 }
    }
}

/// The drawing as DXF.
///
/// # Errors
/// What [`Drawing::check`] refuses, and [`ExportError::Flatten`].
pub fn dxf(drawing: &Drawing, options: &DxfOptions) -> Result<String, ExportError> {
    drawing.check()?;
    crate::flat::check_tolerance(options.flatten_mm)?;
    Err(ExportError::NoPages)
}
