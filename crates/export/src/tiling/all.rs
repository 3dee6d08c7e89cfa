//! Several drawings in one document: page and seam numbers run through, one check square on the first page.

use super::{CheckSquare, PageGrid, Prepared, TileOptions, Tiling};
use crate::drawing::Drawing;
use crate::error::ExportError;
use crate::pdf_file::PdfPage;

/// One piece of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct TilePiece<'a> {
    /// Its name, for the foot of its pages.
    pub name: &'a str,
    /// What is on it.
    pub drawing: &'a Drawing,
    /// Its pages where they are laid out already, as in [`TileOptions::grid`].
    pub grid: Option<PageGrid>,
}

/// The pages of several pieces, each given by its name and its drawing, as one document. Pages are numbered through
/// from `options.first_page`, no two seams of the document share a label, the check square is on the first page (or on one
/// before it) as `options.check_square` says. `options.piece_name`, `options.grid` and `options.pages_in_all` are set for each
/// piece here.
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
/// [`ExportError::NoPages`] without a piece; for the first piece that is refused, what [`super::tile_with_plan`] says.
pub fn tile_all<S: AsRef<str>>(
    pieces: &[(S, Drawing)],
    options: &TileOptions,
) -> Result<Vec<PdfPage>, ExportError> {
    let pieces: Vec<TilePiece<'_>> =
        pieces.iter().map(|(name, drawing)| TilePiece { name: name.as_ref(), drawing, grid: None }).collect();
    tile_pieces(&pieces, options).map_err(|(_, why)| why)
}

/// As [`tile_all`], each piece with its pages laid out beforehand if it has them.
///
/// # Errors
/// As [`tile_all`], with the place of the offending piece in the list, from 0.
pub fn tile_pieces(
    pieces: &[TilePiece<'_>],
    options: &TileOptions,
) -> Result<Vec<PdfPage>, (usize, ExportError)> {
    // The number of pages stands on the first, so all are laid out before any is drawn.
    let mut own = options.clone();
    let (mut laid_out, mut count) = (Vec::with_capacity(pieces.len()), 0);
    for (at, piece) in pieces.iter().enumerate() {
        own.grid.clone_from(&piece.grid);
        let prepared = Prepared::of(piece.drawing, &own).map_err(|why| (at, why))?;
        count += prepared.count();
        own.first_seam = prepared.next_seam(own.first_seam);
        own.check_square = CheckSquare::Left;
        laid_out.push(prepared);
    }
    if count == 0 {
        return Err((0, ExportError::NoPages));
    }
    let in_all = options.first_page.saturating_sub(1) + count;
    let mut out = Vec::with_capacity(count);
    for (piece, prepared) in pieces.iter().zip(laid_out) {
        piece.name.clone_into(&mut own.piece_name);
        let Tiling { read_me, pages, .. } = prepared.pages(&own, options.first_page + out.len(), in_all);
        out.extend(read_me);
        out.extend(pages.into_iter().map(|page| page.page));
    }
    Ok(out)
}
