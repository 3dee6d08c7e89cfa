//! The PDF writer.

use crate::drawing::Drawing;
use crate::error::ExportError;

/// One page: its size, and a drawing whose origin is the page's lower left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfPage {
    /// Width and height in mm, each at most 5080 (200 in).
    pub size_mm: (f64, f64),
    /// What is on it, in mm from the lower left corner, y up.
    pub drawing: Drawing,
}

/// How a PDF is written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PdfOptions {
    /// The document's title.
    pub title: String,
    /// The date written into the file; `None` writes none, so that the same drawing gives the same bytes.
    pub date: Option<PdfDate>,
    /// Whether the page contents are compressed.
    pub streams: Streams,
}

/// Whether the page contents are compressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Streams {
    /// Compressed.
    #[default]
    Compressed,
    /// Readable, for golden files and for looking inside.
    Plain,
}

/// A date and time in universal time, as the caller's clock has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PdfDate {
    /// Year, such as 2026.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
}

/// The pages as one PDF.
///
/// # Errors
/// What [`Drawing::check`] refuses, [`ExportError::NoPages`], [`ExportError::PageSize`].
pub fn pdf(pages: &[PdfPage], options: &PdfOptions) -> Result<Vec<u8>, ExportError> {
    let _ = (pages, options);
    Err(ExportError::NoPages)
}
