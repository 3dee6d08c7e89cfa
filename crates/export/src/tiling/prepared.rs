//! A drawing whose pages, joining marks and check square are settled, but not drawn yet: so the pages of a whole document are
//! counted before the first is made.

use kurbo::{Point, Rect, Vec2};

use super::foot::{self, Foot};
use super::grid::{Grid, page_name};
use super::ink::Ink;
use super::{CheckSquare, Join, TileOptions, TilePage, Tiling, joining, read_me, sheet, square};
use crate::drawing::Drawing;
use crate::error::ExportError;

/// What is decided before anything is drawn.
#[derive(Debug, Clone)]
pub(super) struct Prepared {
    title: String,
    ink: Ink,
    layout: Layout,
    /// Whether the check square has a page of its own.
    own_page: bool,
}

#[derive(Debug, Clone)]
struct Layout {
    grid: Grid,
    crosses: Vec<joining::Cross>,
    hints: Vec<joining::Hint>,
    /// Lower left corner of the check square's block on the first page, in drawing mm.
    square_at: Option<Point>,
}

impl Prepared {
    /// Checks drawing and options and settles the pages.
    pub fn of(drawing: &Drawing, options: &TileOptions) -> Result<Prepared, ExportError> {
        drawing.check()?;
        super::check_options(options)?;
        let title = &drawing.title;
        let ink = Ink::of(drawing).ok_or_else(|| ExportError::NothingToDraw { title: title.clone() })?;
        let (best, others) = match &options.grid {
            Some(given) => (given.for_ink(&ink, options, title)?, Vec::new()),
            None => Grid::choose(&ink, options, title)?,
        };
        let layout = layout(best, others, &ink, options);
        let own_page = options.check_square != CheckSquare::Left && layout.square_at.is_none();
        Ok(Prepared { title: title.clone(), ink, layout, own_page })
    }

    /// How many pages there are, the check square's own among them.
    pub fn count(&self) -> usize {
        self.layout.grid.pages.len() + usize::from(self.own_page)
    }

    /// The seam number after the last used here.
    pub fn next_seam(&self, first_seam: usize) -> usize {
        // Two crosses on each seam.
        first_seam + self.layout.crosses.len() / 2
    }

    /// The pages, numbered from `first_page` of `in_all`.
    pub fn pages(&self, options: &TileOptions, first_page: usize, in_all: usize) -> Tiling {
        let Layout { grid, crosses, hints, square_at } = &self.layout;
        let first = grid.pages.first().copied().unwrap_or((0, 0));
        let mut number = first_page;
        let mut says = || {
            let foot = Foot { job: &options.job_name, piece: &options.piece_name, number, of: in_all };
            number += 1;
            foot
        };
        let read_me = self.own_page.then(|| {
            let sheet = sheet::read_me(options);
            super::finished(&read_me::read_me(&sheet, grid, options.paper, &says()), &sheet)
        });
        let mut pages = Vec::with_capacity(grid.pages.len());
        for (row, column) in grid.pages.iter().copied() {
            let window = grid.window(row, column);
            let shift = grid.sheet.window_origin() - window.origin();
            let name = page_name(row, column);
            let mut part = Drawing::new(format!("{} {name}", self.title), window);
            part.items = self.ink.inside(window);
            for cross in crosses.iter().filter(|cross| cross.pages.contains(&(row, column))) {
                cross.draw(&mut part, (row, column));
            }
            for hint in hints.iter().filter(|hint| hint.page == (row, column)) {
                hint.draw(&mut part);
            }
            super::trim_lines(&mut part, grid, row, column);
            if let (Some(corner), true) = (square_at, (row, column) == first) {
                square::square(&mut part, *corner);
            }
            let mut page = part.placed(Vec2::new(1.0, 1.0), shift);
            foot::foot(&mut page, &grid.sheet, grid, &says(), Some((row, column)));

            let on_paper = |p: Point| {
                let p = p + shift;
                Point::new(p.x * grid.sheet.factor.x, p.y * grid.sheet.factor.y)
            };
            let joins = crosses.iter().filter(|cross| cross.pages.contains(&(row, column)));
            pages.push(TilePage {
                name,
                row,
                column,
                window,
                origin: on_paper(window.origin()),
                joins: joins
                    .map(|c| Join { label: c.label.clone(), at: on_paper(c.at), in_drawing: c.at })
                    .collect(),
                page: super::finished(&page, &grid.sheet),
            });
        }
        Tiling {
            read_me,
            pages,
            map: (grid.rows, grid.columns),
            next_seam: self.next_seam(options.first_seam),
        }
    }
}

/// The best centred grid, or the first that leaves room for the check square where that is wanted.
fn layout(best: Grid, others: Vec<Grid>, ink: &Ink, options: &TileOptions) -> Layout {
    let of = |grid: Grid| {
        let (crosses, hints) = joining::joins(&grid, ink, options.first_seam);
        let first = grid.pages.first().copied().unwrap_or((0, 0));
        let square_at = match options.check_square {
            CheckSquare::FirstPage => room_for_square(grid.window(first.0, first.1), ink, &crosses, &hints),
            CheckSquare::OwnPage | CheckSquare::Left => None,
        };
        Layout { grid, crosses, hints, square_at }
    };
    let centred = of(best);
    if options.check_square != CheckSquare::FirstPage || centred.square_at.is_some() {
        return centred;
    }
    others.into_iter().map(of).find(|layout| layout.square_at.is_some()).unwrap_or(centred)
}

/// A place on the page for the check square that is clear of everything and not inside anything to cut, where it
/// would look like a cut-out.
fn room_for_square(
    window: Rect,
    ink: &Ink,
    crosses: &[joining::Cross],
    hints: &[joining::Hint],
) -> Option<Point> {
    let side = square::BLOCK_MM;
    let steps = |spare: f64| {
        let last = if spare < 0.0 { -1 } else { (spare / 4.0).floor() as i64 };
        (0..=last).map(|i| i as f64 * 4.0).collect::<Vec<_>>()
    };
    let (xs, ys) = (steps(window.width() - side), steps(window.height() - side));
    let places = ys.iter().rev().flat_map(|y| xs.iter().map(move |x| window.origin() + Vec2::new(*x, *y)));
    places.into_iter().find(|corner| {
        let block = Rect::from_origin_size(*corner, (side, side));
        ink.clear(block)
            && !ink.inside_cut(block.center())
            && !crosses.iter().any(|cross| cross.room().overlaps(block))
            && !hints.iter().any(|hint| hint.room().overlaps(block))
    })
}
