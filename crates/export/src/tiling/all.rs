//! Several drawings in one document: page and seam numbers run through, one check square on the first page.

use super::{CheckSquare, TileOptions, Tiling, tile_with_plan};
use crate::drawing::Drawing;
use crate::error::ExportError;
use crate::pdf_file::PdfPage;

/// The pages of several pieces, each given by its name and its drawing, as one document. Pages are numbered through
/// from `options.first_page`, no two seams of the document share a label, the check square is on the first page (or on one
/// before it) as `options.check_square` says. `options.piece_name` and `options.pages_in_all` are set for each piece here.
///
/// ```
/// use coldwright_export::{Drawing, Layer, Pen, TileOptions, tile_all};
/// use kurbo::{Rect, Shape};
/// let piece = |side: f64| {
///     let mut drawing = Drawing::new("piece", Rect::new(0.0, 0.0, side, side));
///     drawing.line(drawing.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
///     drawing
/// };
/// let pages = tile_all(&[("Hull 1", piece(150.0)), ("Hull 2", piece(160.0))], &TileOptions::default())?;
/// assert_eq!(pages.len(), 3, "one page each, and the square's");
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// [`ExportError::NoPages`] without a piece; for the first piece that is refused, what [`tile_with_plan`] says.
pub fn tile_all<S: AsRef<str>>(
    pieces: &[(S, Drawing)],
    options: &TileOptions,
) -> Result<Vec<PdfPage>, ExportError> {
    // The number of pages stands on the first, so they are laid out once to be counted.
    let count = lay_out(pieces, options, None)?.len();
    if count == 0 {
        return Err(ExportError::NoPages);
    }
    lay_out(pieces, options, Some(options.first_page.saturating_sub(1) + count))
}

fn lay_out<S: AsRef<str>>(
    pieces: &[(S, Drawing)],
    options: &TileOptions,
    pages_in_all: Option<usize>,
) -> Result<Vec<PdfPage>, ExportError> {
    let mut own = TileOptions { pages_in_all, ..options.clone() };
    let mut out = Vec::new();
    for (name, drawing) in pieces {
        name.as_ref().clone_into(&mut own.piece_name);
        let Tiling { read_me, pages, next_seam, .. } = tile_with_plan(drawing, &own)?;
        out.extend(read_me);
        out.extend(pages.into_iter().map(|page| page.page));
        own.first_seam = next_seam;
        own.first_page = options.first_page + out.len();
        own.check_square = CheckSquare::Left;
    }
    Ok(out)
}
