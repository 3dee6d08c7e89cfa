//! Pages laid out before the words are placed, so that words keep clear of the seams.

use kurbo::Rect;

use super::TileOptions;
use super::grid::Grid;
use super::ink::Ink;
use crate::drawing::Drawing;
use crate::error::ExportError;
use crate::paper::Paper;

/// Where the pages of a drawing lie and their seams run.
#[derive(Debug, Clone, PartialEq)]
pub struct PageGrid {
    grid: Grid,
    made_for: MadeFor,
}

/// One page of a [`PageGrid`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PageWindow {
    /// The part of the drawing it shows, in the drawing's mm.
    pub window: Rect,
    /// Whether it has to be printed for the lines the grid was laid out for.
    pub inked: bool,
}

/// What a grid follows from besides the ink.
#[derive(Debug, Clone, Copy, PartialEq)]
struct MadeFor {
    paper: Paper,
    overlap_mm: f64,
    margin_mm: f64,
    print_correction: (f64, f64),
}

impl MadeFor {
    fn of(options: &TileOptions) -> MadeFor {
        let TileOptions { paper, overlap_mm, margin_mm, print_correction, .. } = *options;
        MadeFor { paper, overlap_mm, margin_mm, print_correction }
    }
}

/// The pages a drawing of lines needs, for [`TileOptions::grid`]: draw the lines, ask for the grid, place words off its seams,
/// then make the pages with it.
///
/// ```
/// use coldwright_export::{Drawing, Layer, Pen, TileOptions, page_grid, tile_with_plan};
/// use kurbo::{Rect, Shape};
/// let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 600.0, 400.0));
/// panel.line(panel.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
/// let grid = page_grid(&panel, &TileOptions::default())?;
/// let inked = grid.windows().into_iter().filter(|page| page.inked).count();
/// let options = TileOptions { grid: Some(grid), ..TileOptions::default() };
/// assert_eq!(tile_with_plan(&panel, &options)?.pages.len(), inked);
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// As [`super::tile_with_plan`].
pub fn page_grid(drawing: &Drawing, options: &TileOptions) -> Result<PageGrid, ExportError> {
    drawing.check()?;
    super::check_options(options)?;
    let title = &drawing.title;
    let ink = Ink::ways(drawing).ok_or_else(|| ExportError::NothingToDraw { title: title.clone() })?;
    let (grid, _) = Grid::choose(&ink, options, title)?;
    Ok(PageGrid { grid, made_for: MadeFor::of(options) })
}

impl PageGrid {
    /// All pages of the grid, row by row from the top, those without ink among them.
    pub fn windows(&self) -> Vec<PageWindow> {
        let cells =
            (0..self.grid.rows).flat_map(|row| (0..self.grid.columns).map(move |column| (row, column)));
        cells
            .map(|(row, column)| PageWindow {
                window: self.grid.window(row, column),
                inked: self.grid.pages.contains(&(row, column)),
            })
            .collect()
    }

    /// The strips where pages overlap, in the drawing's mm, as long as the grid and one page more at each end. What meets
    /// none of them is whole on one page and on no other.
    pub fn seams(&self) -> Vec<Rect> {
        let (grid, pitch) = (&self.grid, self.grid.pitch());
        let whole = grid.whole();
        let long = whole.inflate(pitch.x, pitch.y);
        let upright = (1..grid.columns).map(|k| {
            let x = whole.x0 + k as f64 * pitch.x;
            Rect::new(x, long.y0, x + grid.overlap, long.y1)
        });
        let lying = (1..grid.rows).map(|k| {
            let y = whole.y0 + k as f64 * pitch.y;
            Rect::new(long.x0, y, long.x1, y + grid.overlap)
        });
        upright.chain(lying).collect()
    }

    /// The grid for a drawing with more ink than it was laid out for.
    pub(super) fn for_ink(&self, ink: &Ink, options: &TileOptions, title: &str) -> Result<Grid, ExportError> {
        if self.made_for != MadeFor::of(options) {
            return Err(ExportError::OtherGrid { title: title.to_owned() });
        }
        self.grid.stretched(ink, title)
    }
}
