//! Which pages there are: the choice of sheet, direction and start that needs the fewest.

use std::cmp::Ordering;
use std::collections::BTreeSet;

use kurbo::{Point, Rect, Vec2};

use super::TileOptions;
use super::ink::{Ink, Segment};
use super::sheet::{Sheet, choices};
use crate::error::ExportError;

/// Most pages a person would tape together; more is a mistake in the unit.
const MOST_PAGES: usize = 600;
/// Starts tried along each axis. Eight steps of a page find nearly every saving; more cost time only.
const STARTS: usize = 9;

/// Pages laid over the drawing in rows (from the top) and columns (from the left).
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    pub sheet: Sheet,
    pub overlap: f64,
    pub rows: usize,
    pub columns: usize,
    /// Lower left corner of the lowest left window, in drawing mm.
    start: Point,
    /// (row, column) of the pages that are made.
    pub pages: BTreeSet<(usize, usize)>,
}

impl Grid {
    /// The best centred of the grids with the fewest pages for this ink and, among these, the smallest area of paper; and
    /// the others. Of many pages only those others are given that push the drawing to an edge, as they leave room beside it.
    pub fn choose(ink: &Ink, options: &TileOptions, title: &str) -> Result<(Grid, Vec<Grid>), ExportError> {
        let size = ink.bounds.size().to_vec2();
        let mut best: Vec<(usize, f64, f64, Grid)> = Vec::new();
        let mut fewest_refused = usize::MAX;
        for sheet in choices(options, size) {
            let (columns, rows) =
                (count(size.x, sheet.window().x, options), count(size.y, sheet.window().y, options));
            let cells = columns.saturating_mul(rows);
            if cells > 25 * MOST_PAGES {
                fewest_refused = fewest_refused.min(cells);
                continue;
            }
            for (i, j) in (0..STARTS).flat_map(|i| (0..STARTS).map(move |j| (i, j))) {
                let turn = Vec2::new(i as f64, j as f64) / (STARTS - 1) as f64;
                let mut grid = Grid::at(sheet, options.overlap_mm, rows, columns, ink.bounds, turn);
                grid.occupy(&ink.segments);
                let pages = grid.pages.len();
                if pages > MOST_PAGES {
                    fewest_refused = fewest_refused.min(pages);
                    continue;
                }
                let area = pages as f64 * sheet.paper.x * sheet.paper.y;
                match best.first().map(|(p, a, ..)| pages.cmp(p).then(area.total_cmp(a))) {
                    Some(Ordering::Greater) => continue,
                    Some(Ordering::Less) => best.clear(),
                    Some(Ordering::Equal) | None => {}
                }
                best.push((pages, area, (turn - Vec2::new(0.5, 0.5)).hypot(), grid));
            }
        }
        // The order of equals is the order they were tried in, so the same drawing always gives the same pages.
        best.sort_by(|a, b| a.2.total_cmp(&b.2));
        let mut best = best.into_iter();
        let Some((.., centred)) = best.next() else { return Err(too_many(title, fewest_refused)) };
        // On many pages a small shift hardly makes room, and each start tried costs time.
        let worth = |(pages, _, off, _): &(usize, f64, f64, Grid)| *pages <= 4 || *off >= 0.5;
        Ok((centred, best.filter(worth).map(|(.., grid)| grid).collect()))
    }

    /// The same grid, its seams where they are, made larger where ink runs out of it and with the pages of this ink.
    pub fn stretched(&self, ink: &Ink, title: &str) -> Result<Grid, ExportError> {
        let mut grid = self.clone();
        let pitch = grid.pitch();
        let more = |beyond: f64, pitch: f64| {
            // A thousandth of a millimetre of slack, so that rounding does not cost a page.
            if beyond > 0.001 { (beyond / pitch).ceil().min(1.0e4) as usize } else { 0 }
        };
        let whole = grid.whole();
        let (left, below) =
            (more(whole.x0 - ink.bounds.x0, pitch.x), more(whole.y0 - ink.bounds.y0, pitch.y));
        grid.start -= Vec2::new(left as f64 * pitch.x, below as f64 * pitch.y);
        grid.columns += left + more(ink.bounds.x1 - whole.x1, pitch.x);
        grid.rows += below + more(ink.bounds.y1 - whole.y1, pitch.y);
        if grid.rows.saturating_mul(grid.columns) > 25 * MOST_PAGES {
            return Err(too_many(title, grid.rows.saturating_mul(grid.columns)));
        }
        grid.occupy(&ink.segments);
        if grid.pages.len() > MOST_PAGES { Err(too_many(title, grid.pages.len())) } else { Ok(grid) }
    }

    /// All that all windows show, in drawing mm.
    pub fn whole(&self) -> Rect {
        let pitch = self.pitch();
        let size = Vec2::new(self.columns as f64 * pitch.x, self.rows as f64 * pitch.y)
            + Vec2::new(self.overlap, self.overlap);
        Rect::from_origin_size(self.start, size.to_size())
    }

    fn at(sheet: Sheet, overlap: f64, rows: usize, columns: usize, ink: Rect, turn: Vec2) -> Grid {
        let mut grid = Grid { sheet, overlap, rows, columns, start: Point::ZERO, pages: BTreeSet::new() };
        let pitch = grid.pitch();
        let slack = |count: usize, pitch: f64, ink: f64| (count as f64 * pitch + overlap - ink).max(0.0);
        grid.start = Point::new(
            ink.x0 - slack(columns, pitch.x, ink.width()) * turn.x,
            ink.y0 - slack(rows, pitch.y, ink.height()) * turn.y,
        );
        grid
    }

    /// From one window to the next, in mm.
    pub fn pitch(&self) -> Vec2 {
        self.sheet.window() - Vec2::new(self.overlap, self.overlap)
    }

    /// The part of the drawing on a page.
    pub fn window(&self, row: usize, column: usize) -> Rect {
        let pitch = self.pitch();
        let up = self.rows - 1 - row.min(self.rows - 1);
        let corner = self.start + Vec2::new(column as f64 * pitch.x, up as f64 * pitch.y);
        Rect::from_origin_size(corner, self.sheet.window().to_size())
    }

    /// The page a point belongs to when the seams run along the middle of the overlaps.
    fn cell(&self, p: Point) -> (usize, usize) {
        let (pitch, half) = (self.pitch(), self.overlap / 2.0);
        let place = |v: f64, pitch: f64, count: usize| {
            (((v - half) / pitch).floor().max(0.0) as usize).min(count - 1)
        };
        let (column, up) =
            (place(p.x - self.start.x, pitch.x, self.columns), place(p.y - self.start.y, pitch.y, self.rows));
        (self.rows - 1 - up, column)
    }

    /// Marks every page that ink passes through, then those needed so that all pages hang together.
    fn occupy(&mut self, segments: &[Segment]) {
        let (pitch, half) = (self.pitch(), self.overlap / 2.0);
        let mut inked = vec![false; self.rows * self.columns];
        let mut cuts = Vec::new();
        for segment in segments {
            let (a, b) = (segment.from, segment.to);
            let (first, last) = (self.cell(a), self.cell(b));
            inked[first.0 * self.columns + first.1] = true;
            inked[last.0 * self.columns + last.1] = true;
            if first == last {
                continue;
            }
            // Where the segment crosses seam lines; between two crossings it stays on one page.
            cuts.clear();
            cuts.extend([0.0, 1.0]);
            let mut crossings = |from: f64, to: f64, start: f64, pitch: f64, count: usize| {
                for k in 1..count {
                    let at = (start + half + k as f64 * pitch - from) / (to - from);
                    if at > 0.0 && at < 1.0 {
                        cuts.push(at);
                    }
                }
            };
            crossings(a.x, b.x, self.start.x, pitch.x, self.columns);
            crossings(a.y, b.y, self.start.y, pitch.y, self.rows);
            cuts.sort_by(f64::total_cmp);
            for pair in cuts.windows(2) {
                let (row, column) = self.cell(a.lerp(b, (pair[0] + pair[1]) / 2.0));
                inked[row * self.columns + column] = true;
            }
        }
        let columns = self.columns;
        let cells = (0..self.rows).flat_map(|row| (0..columns).map(move |column| (row, column)));
        self.pages = cells.zip(inked).filter(|(_, inked)| *inked).map(|(cell, _)| cell).collect();
        self.connect();
    }

    /// Adds pages without ink where a part (a hole in the middle of a large panel) would otherwise hang in the air.
    fn connect(&mut self) {
        for _ in 0..self.rows * self.columns {
            let reached = self.reached();
            let gap = |a: &(usize, usize), b: &(usize, usize)| a.0.abs_diff(b.0) + a.1.abs_diff(b.1);
            let apart = self.pages.iter().filter(|page| !reached.contains(page));
            let Some((near, far)) = apart
                .flat_map(|far| reached.iter().map(move |near| (*near, *far)))
                .min_by_key(|(a, b)| gap(a, b))
            else {
                return;
            };
            let mut at = near;
            while at != far {
                if at.1 != far.1 {
                    at.1 = if at.1 < far.1 { at.1 + 1 } else { at.1 - 1 };
                } else {
                    at.0 = if at.0 < far.0 { at.0 + 1 } else { at.0 - 1 };
                }
                self.pages.insert(at);
            }
        }
    }

    /// The pages that hang together with the first.
    fn reached(&self) -> BTreeSet<(usize, usize)> {
        let mut reached = BTreeSet::new();
        let mut waiting: Vec<_> = self.pages.first().copied().into_iter().collect();
        while let Some(page @ (row, column)) = waiting.pop() {
            if reached.insert(page) {
                let next = [
                    (row + 1, column),
                    (row.wrapping_sub(1), column),
                    (row, column + 1),
                    (row, column.wrapping_sub(1)),
                ];
                waiting.extend(next.into_iter().filter(|p| self.pages.contains(p)));
            }
        }
        reached
    }
}

fn too_many(title: &str, pages: usize) -> ExportError {
    ExportError::TooManyPages { title: title.to_owned(), pages, most: MOST_PAGES }
}

fn count(ink: f64, window: f64, options: &TileOptions) -> usize {
    // A thousandth of a millimetre of slack, so that rounding does not cost a page.
    ((ink - options.overlap_mm - 0.001) / (window - options.overlap_mm)).ceil().clamp(1.0, 1.0e6) as usize
}

/// Row letter and column number: "B3"; after Z comes AA.
pub(super) fn page_name(row: usize, column: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = row + 1;
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    letters.reverse();
    format!("{}{}", letters.into_iter().collect::<String>(), column + 1)
}

#[cfg(test)]
mod tests {
    use super::page_name;

    #[test]
    fn names() {
        for (row, column, name) in
            [(0, 0, "A1"), (1, 2, "B3"), (25, 9, "Z10"), (26, 0, "AA1"), (701, 0, "ZZ1")]
        {
            assert_eq!(page_name(row, column), name);
        }
    }
}
