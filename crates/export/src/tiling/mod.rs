//! A drawing onto as few sheets as it needs, at true size, with marks that tell a wrong join.

mod all;
mod foot;
mod grid;
mod ink;
mod joining;
mod page_grid;
mod prepared;
mod read_me;
mod sheet;
mod square;

use kurbo::{BezPath, Point, Rect, Vec2};

use crate::drawing::Drawing;
use crate::error::ExportError;
use crate::layer::Layer;
use crate::paper::Paper;
use crate::pdf_file::PdfPage;
use crate::pen::Pen;
pub use all::{TilePiece, tile_all, tile_pieces};
use grid::Grid;
pub use page_grid::{PageGrid, PageWindow, page_grid};
use prepared::Prepared;
use sheet::Sheet;

/// Farthest a sound printer is off, as a fraction.
const WORST_PRINTER: f64 = 0.05;
/// The line a page that lies on top is trimmed along.
const TRIM: Pen = Pen { width_mm: 0.18, dash_mm: Some((0.6, 1.8)), grey: 0.0 };

/// How a drawing is cut into pages.
#[derive(Debug, Clone, PartialEq)]
pub struct TileOptions {
    /// The paper.
    pub paper: Paper,
    /// How far neighbouring pages overlap, in mm, 8 to 40.
    pub overlap_mm: f64,
    /// Distance of all ink from the sheet's edge, in mm, 12.7 to 40.
    pub margin_mm: f64,
    /// What the drawing is stretched by along x and y so that the printer's error cancels, within 5 % of 1; see
    /// [`correction_from_print`].
    pub print_correction: (f64, f64),
    /// The job's name, for the foot of each page.
    pub job_name: String,
    /// The piece's name, for the foot of each page.
    pub piece_name: String,
    /// The number of the first page made.
    pub first_page: usize,
    /// The number of pages in the whole document; `None`: those made here, counted from `first_page`.
    pub pages_in_all: Option<usize>,
    /// The number of the first seam; give the second drawing of one document the [`Tiling::next_seam`] of the first,
    /// and no two pairs of marks in the whole document have the same label.
    pub first_seam: usize,
    /// Where the check square goes.
    pub check_square: CheckSquare,
    /// Pages laid out before, so that their seams run where whoever placed the words knows them; made by [`page_grid`] for
    /// this paper, overlap, margin and correction. `None`: the pages that need the least paper.
    pub grid: Option<PageGrid>,
}

impl Default for TileOptions {
    fn default() -> TileOptions {
        TileOptions {
            paper: Paper::A4,
            overlap_mm: 12.7,
            margin_mm: 12.7,
            print_correction: (1.0, 1.0),
            job_name: String::new(),
            piece_name: String::new(),
            first_page: 1,
            pages_in_all: None,
            first_seam: 1,
            check_square: CheckSquare::default(),
            grid: None,
        }
    }
}

/// Where the 100 mm check square and the rulers go.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum CheckSquare {
    /// On the first page where it stays clear of the drawing and outside of anything to cut; else on a page of its
    /// own before the others.
    #[default]
    FirstPage,
    /// On a page of its own before the others, with how to print and join.
    OwnPage,
    /// Nowhere: for the second and later drawings of one document. Each page still says "measure me".
    Left,
}

/// Pages and how they hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Tiling {
    /// The "read me first" page, when the check square has a page of its own.
    pub read_me: Option<PdfPage>,
    /// The pages with a part of the drawing, row by row from the top.
    pub pages: Vec<TilePage>,
    /// Rows and columns of the whole map, pages left out included.
    pub map: (usize, usize),
    /// The seam number after the last used here.
    pub next_seam: usize,
}

/// One page with a part of the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct TilePage {
    /// The page.
    pub page: PdfPage,
    /// Row letter and column number: "B3".
    pub name: String,
    /// Row, from 0 at the top.
    pub row: usize,
    /// Column, from 0 at the left.
    pub column: usize,
    /// The part of the drawing on it, in the drawing's mm.
    pub window: Rect,
    /// Where the drawing's point `window.origin()` lies on the page, in page mm.
    pub origin: Point,
    /// The joining marks on it.
    pub joins: Vec<Join>,
}

/// One joining mark on one page; the page it joins has a mark of the same label.
#[derive(Debug, Clone, PartialEq)]
pub struct Join {
    /// The label, unlike that of any other pair.
    pub label: String,
    /// The crossing in page mm.
    pub at: Point,
    /// The crossing in the drawing's mm, the same on both pages.
    pub in_drawing: Point,
}

/// The factors for [`TileOptions::print_correction`] from what the printed 100 mm check square measures along x and y.
///
/// ```
/// use coldwright_export::correction_from_print;
/// assert_eq!(correction_from_print(100.0, 98.0)?, (1.0, 100.0 / 98.0));
/// // One inch printed as 29/32 in, nine per cent short: a viewer has shrunk the page.
/// assert!(correction_from_print(90.6, 90.6).unwrap_err().to_string().contains("switch scaling off"));
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// [`ExportError::Measured`] for something that is no length, [`ExportError::PrintCorrection`] beyond 5 %.
pub fn correction_from_print(width_mm: f64, height_mm: f64) -> Result<(f64, f64), ExportError> {
    for value in [width_mm, height_mm] {
        if !(value.is_finite() && value > 0.0) {
            return Err(ExportError::Measured { value });
        }
    }
    let factors = (100.0 / width_mm, 100.0 / height_mm);
    check_correction(factors)?;
    Ok(factors)
}

fn check_correction(factors: (f64, f64)) -> Result<(), ExportError> {
    for (axis, factor) in [("x", factors.0), ("y", factors.1)] {
        let off = 1.0 / factor - 1.0;
        if off.is_nan() || off.abs() > WORST_PRINTER + 1e-9 {
            return Err(ExportError::PrintCorrection { axis, percent: format!("{:.1}", off * 100.0) });
        }
    }
    Ok(())
}

/// The drawing's pages, the "read me first" page before them when there is one: at true size on as few sheets as it
/// needs, upright or lying, everything at least the margin inside the sheet.
///
/// Each page has its name, a map, a 100 mm line to measure, job, piece and page number at its foot. Neighbouring pages
/// overlap; on each seam two crosses carry a label no other pair has. Pages without ink are left out, except those
/// without which a part would hang in the air.
///
/// # Errors
/// As [`tile_with_plan`].
pub fn tile(drawing: &Drawing, options: &TileOptions) -> Result<Vec<PdfPage>, ExportError> {
    let tiling = tile_with_plan(drawing, options)?;
    Ok(tiling.read_me.into_iter().chain(tiling.pages.into_iter().map(|p| p.page)).collect())
}

/// The drawing's pages with their names, places and joining marks.
///
/// # Errors
/// What [`Drawing::check`] refuses; options out of range ([`ExportError::Margin`], [`ExportError::Overlap`],
/// [`ExportError::PrintCorrection`], [`ExportError::RollWidth`]); [`ExportError::NothingToDraw`];
/// [`ExportError::TooManyPages`]; [`ExportError::OtherGrid`] for a grid laid out for other paper.
pub fn tile_with_plan(drawing: &Drawing, options: &TileOptions) -> Result<Tiling, ExportError> {
    let prepared = Prepared::of(drawing, options)?;
    let in_all = options.pages_in_all.unwrap_or(options.first_page.saturating_sub(1) + prepared.count());
    Ok(prepared.pages(options, options.first_page, in_all))
}

fn check_options(options: &TileOptions) -> Result<(), ExportError> {
    options.paper.check()?;
    if !(12.7..=40.0).contains(&options.margin_mm) {
        return Err(ExportError::Margin { mm: options.margin_mm });
    }
    if !(8.0..=40.0).contains(&options.overlap_mm) {
        return Err(ExportError::Overlap { mm: options.overlap_mm });
    }
    check_correction(options.print_correction)
}

/// From true millimetres to the paper's, so that this printer's error cancels.
fn finished(page: &Drawing, sheet: &Sheet) -> PdfPage {
    let mut drawing = page.placed(sheet.factor, Vec2::ZERO);
    let (width, height) = (sheet.paper.x, sheet.paper.y);
    drawing.bounds = Rect::new(0.0, 0.0, width, height);
    PdfPage { size_mm: (width, height), drawing }
}

/// The edges along which a page is trimmed before it is laid on its left and upper neighbours.
fn trim_lines(part: &mut Drawing, grid: &Grid, row: usize, column: usize) {
    let window = grid.window(row, column);
    let mut line = |from: (f64, f64), to: (f64, f64)| {
        let mut path = BezPath::new();
        path.move_to(from);
        path.line_to(to);
        part.line(path, TRIM, Layer::Joining);
    };
    if column > 0 && grid.pages.contains(&(row, column - 1)) {
        line((window.x0, window.y0), (window.x0, window.y1));
    }
    if row > 0 && grid.pages.contains(&(row - 1, column)) {
        line((window.x0, window.y1), (window.x1, window.y1));
    }
}
