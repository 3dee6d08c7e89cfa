//! The foot of each page: page name, a line to measure, title line, map.

use kurbo::{Point, Rect, Shape};

use super::grid::{Grid, page_name};
use super::sheet::{FOOT_MM, Sheet};
use crate::drawing::{Anchor, Drawing, Text};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// Type size of the foot in points.
const FOOT_PT: f64 = 9.0;
/// Type size of the page's name in points.
const NAME_PT: f64 = 24.0;
/// Room for the page's name at the left, in mm.
const NAME_MM: f64 = 24.0;
/// Largest size of the map at the right, in mm.
const MAP_MM: (f64, f64) = (40.0, 14.0);

/// What the foot says.
#[derive(Debug, Clone, Copy)]
pub(super) struct Foot<'a> {
    pub job: &'a str,
    pub piece: &'a str,
    pub number: usize,
    pub of: usize,
}

/// Draws the foot; `place` is this page's row and column, `None` for a page that is not part of the map.
pub(super) fn foot(
    drawing: &mut Drawing,
    sheet: &Sheet,
    grid: &Grid,
    foot: &Foot<'_>,
    place: Option<(usize, usize)>,
) {
    let margins = sheet.margins();
    let (left, right, bottom) = (margins.x, sheet.size().x - margins.x, margins.y + 2.2);
    let words = |x: f64, y: f64, words: String, height_pt: f64, anchor: Anchor, layer: Layer| Text {
        at: Point::new(x, y),
        words,
        height_pt,
        angle: 0.0,
        anchor,
        bold: height_pt > FOOT_PT,
        layer,
    };

    let mut line_end = right;
    if let Some((row, column)) = place {
        drawing.text(words(left, bottom, page_name(row, column), NAME_PT, Anchor::Start, Layer::Joining));
        let room = Rect::new(right - MAP_MM.0, bottom, right, bottom + MAP_MM.1);
        line_end = map(drawing, grid, room, place, Names::Left).x0 - 4.0;
    }
    let start = left + if place.is_some() { NAME_MM } else { 0.0 };
    let pages = format!("page {} of {}", foot.number, foot.of);
    let title = title(foot.job, foot.piece, &pages, line_end - start);
    drawing.text(words(start, bottom, title, FOOT_PT, Anchor::Start, Layer::Words));

    let y = bottom + 7.0;
    drawing.straight((start, y), (start + 100.0, y), Pen::MARK, Layer::Check);
    for x in [start, start + 100.0] {
        drawing.straight((x, y - 1.5), (x, y + 1.5), Pen::MARK_END, Layer::Check);
    }
    let label = "measure me: 100 mm".to_owned();
    drawing.text(words(start + 50.0, y + 1.6, label, FOOT_PT, Anchor::Middle, Layer::Check));
    debug_assert!(y + 5.0 < margins.y + FOOT_MM, "the foot fits its height");
}

/// Job, piece and page on one line, the names shortened until it fits.
fn title(job: &str, piece: &str, pages: &str, room: f64) -> String {
    let (mut job, mut piece) = (job.trim().to_owned(), piece.trim().to_owned());
    let all = |job: &str, piece: &str| {
        [job, piece, pages].into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" · ")
    };
    // The longer name gives way first; each turn takes one character, so it ends.
    while font::text_width_mm(&all(&job, &piece), FOOT_PT, false) > room {
        let longer = if job.chars().count() >= piece.chars().count() { &mut job } else { &mut piece };
        let kept = longer.trim_end_matches('…').chars().count();
        if kept < 2 {
            break;
        }
        *longer = longer.chars().take(kept - 1).chain(['…']).collect();
    }
    all(&job, &piece)
}

/// Whether a map has the pages' names in it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Names {
    /// Written in each page.
    Written,
    /// Left out.
    Left,
}

/// Draws the map as large as fits at the lower right of `room`; this page is black. Gives the map's own box.
pub(super) fn map(
    drawing: &mut Drawing,
    grid: &Grid,
    room: Rect,
    here: Option<(usize, usize)>,
    names: Names,
) -> Rect {
    let window = grid.window(0, 0);
    let (columns, rows) = (grid.columns as f64, grid.rows as f64);
    let scale = (room.width() / (columns * window.width())).min(room.height() / (rows * window.height()));
    // One lone page in a large room would look like a poster.
    let scale = scale.min(40.0 / window.width().max(window.height()));
    let (width, height) = (window.width() * scale, window.height() * scale);
    let whole = Rect::new(room.x1 - columns * width, room.y0, room.x1, room.y0 + rows * height);
    let gap = (0.06 * width.min(height)).min(0.5);
    for page @ (row, column) in grid.pages.iter().copied() {
        let corner = Point::new(whole.x0 + column as f64 * width, whole.y1 - (row + 1) as f64 * height);
        let cell = Rect::from_origin_size(corner, (width, height)).inset(-gap);
        if here == Some(page) {
            drawing.fill(cell.to_path(0.1), 0.0, Layer::Joining);
        } else {
            drawing.line(cell.to_path(0.1), Pen::MARK, Layer::Joining);
        }
        let name = page_name(row, column);
        let fits = font::text_width_mm(&name, FOOT_PT, false) < width - 1.0 && height > 4.5;
        if names == Names::Written && fits {
            drawing.text(Text {
                at: cell.center() - kurbo::Vec2::new(0.0, font::em_mm(FOOT_PT) * font::CAP_EM / 2.0),
                words: name,
                height_pt: FOOT_PT,
                angle: 0.0,
                anchor: Anchor::Middle,
                bold: false,
                layer: Layer::Joining,
            });
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_names_give_way_and_the_page_stays() {
        let line = title(&"Boat ".repeat(40), &"Hull 3 b".repeat(9), "page 3 of 12", 110.0);
        assert!(font::text_width_mm(&line, FOOT_PT, false) <= 110.0, "{line}");
        assert!(line.ends_with(" · page 3 of 12") && line.contains("… · "), "{line}");
        assert_eq!(title("", "Hull 3", "page 1 of 1", 110.0), "Hull 3 · page 1 of 1");
    }
}
