//! The printed cards that lie round a template in its photo.
//!
//! One full-size card fills a sheet lying on its long side; two half-size cards stand above one another on an upright
//! sheet. Where each part of a card lies is the card's own frame: mm, origin in its middle, x right, y up.

use coldwright_canvas::{SQUARE_MM, TAG_MM, tag_cells};
use coldwright_export::{Anchor, Drawing, Layer, Paper, PdfOptions, PdfPage, Pen, Text, pdf};
use kurbo::{Affine, BezPath, Point, Rect, Shape};

use crate::error::PapersError;

/// Numbers of full-size and of half-size cards.
const FULL: (u32, u32) = (1, 99);
const HALF: (u32, u32) = (101, 199);
/// Outer edges of the checkers on a full-size card, mm from the card's middle.
const OUTER_X: f64 = 122.5;
const OUTER_Y: f64 = 90.0;
/// Squares across and down in one checker.
const SQUARES: (usize, usize) = (3, 9);
/// The check line of a full-size card: height and half its length, mm.
const CHECK_Y: f64 = -78.0;
const CHECK_HALF: f64 = 50.0;
/// Where the words above the tag may be, mm.
const WORDS_Y: (f64, f64) = (66.0, 88.0);
/// Least type on paper, points.
const SMALL_PT: f64 = 9.0;

/// Which cards are printed, and on what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CardOptions {
    /// A4 or Letter.
    pub paper: Paper,
    /// Half size, two on a page, for templates under 400 mm.
    pub half: bool,
    /// Number of the first card: 1 to 99, or 101 to 199 at half size.
    pub first: u32,
    /// How many cards.
    pub count: u32,
}

impl Default for CardOptions {
    fn default() -> CardOptions {
        CardOptions { paper: Paper::A4, half: false, first: 1, count: 6 }
    }
}

/// The cards as a PDF, one full-size card or two half-size cards on a page, in the order of their numbers.
///
/// Nothing is corrected for a printer: a person measures the checkers' outer edges and says what they measured.
///
/// # Examples
/// ```
/// use coldwright_papers::{CardOptions, cards};
/// let bytes = cards(&CardOptions { count: 4, ..CardOptions::default() })?;
/// assert!(bytes.starts_with(b"%PDF"));
/// assert!(cards(&CardOptions { first: 98, count: 4, ..CardOptions::default() }).is_err());
/// # Ok::<(), coldwright_papers::PapersError>(())
/// ```
///
/// # Errors
/// [`PapersError::CardPaper`] for other paper, [`PapersError::NoCards`], [`PapersError::CardNumber`] for a number no
/// card of that size carries.
pub fn cards(options: &CardOptions) -> Result<Vec<u8>, PapersError> {
    let pages = card_pages(options)?;
    let last = options.first.saturating_add(options.count - 1);
    let title = format!("Cards {} to {last}{}", options.first, if options.half { ", half size" } else { "" });
    pdf(&pages, &PdfOptions { title, ..PdfOptions::default() })
        .map_err(|why| PapersError::Export { what: "the cards".to_owned(), why })
}

fn card_pages(options: &CardOptions) -> Result<Vec<PdfPage>, PapersError> {
    let (width, height) = match options.paper {
        Paper::A4 => (210.0, 297.0),
        Paper::Letter => (215.9, 279.4),
        other => return Err(PapersError::CardPaper { paper: other.plain_name() }),
    };
    if options.count == 0 {
        return Err(PapersError::NoCards);
    }
    let (low, high) = if options.half { HALF } else { FULL };
    let last = u64::from(options.first) + u64::from(options.count) - 1;
    let wrong = [u64::from(options.first), last]
        .into_iter()
        .find(|n| !(u64::from(low)..=u64::from(high)).contains(n));
    if let Some(number) = wrong {
        return Err(PapersError::CardNumber { number, half: options.half, low, high });
    }
    let numbers: Vec<u32> = (options.first..options.first + options.count).collect();
    let pages = if options.half {
        numbers.chunks(2).map(|pair| half_page(pair, (width, height))).collect()
    } else {
        numbers.iter().map(|n| full_page(*n, (height, width))).collect()
    };
    Ok(pages)
}

fn full_page(number: u32, size_mm: (f64, f64)) -> PdfPage {
    let bounds = Rect::new(0.0, 0.0, size_mm.0, size_mm.1);
    let mut drawing = Drawing::new(format!("Card {number}"), bounds);
    card(&mut drawing, number, bounds.center(), 1.0);
    PdfPage { size_mm, drawing }
}

fn half_page(numbers: &[u32], size_mm: (f64, f64)) -> PdfPage {
    let bounds = Rect::new(0.0, 0.0, size_mm.0, size_mm.1);
    let mut drawing = Drawing::new("Half-size cards", bounds);
    for (number, share) in numbers.iter().zip([0.75, 0.25]) {
        card(&mut drawing, *number, Point::new(size_mm.0 / 2.0, size_mm.1 * share), 0.5);
    }
    let middle = size_mm.1 / 2.0;
    let dashed = Pen { dash_mm: Some((3.0, 3.0)), ..Pen::MARK };
    drawing.straight((15.0, middle), (size_mm.0 - 15.0, middle), dashed, Layer::Marks);
    PdfPage { size_mm, drawing }
}

/// One card, its middle at `middle`, everything times `scale` but the type.
fn card(drawing: &mut Drawing, number: u32, middle: Point, scale: f64) {
    let place = Affine::translate(middle.to_vec2()) * Affine::scale(scale);
    for ink in [checker(-OUTER_X), checker(OUTER_X - SQUARES.0 as f64 * SQUARE_MM), tag(number)] {
        drawing.fill(place * ink, 0.0, Layer::Marks);
    }

    let ends = [-CHECK_HALF, CHECK_HALF].map(|x| place * Point::new(x, CHECK_Y));
    drawing.straight(ends[0], ends[1], Pen::MARK, Layer::Check);
    for end in ends {
        let tick = 2.5 * scale;
        drawing.straight((end.x, end.y - tick), (end.x, end.y + tick), Pen::MARK_END, Layer::Check);
    }

    let half = scale < 1.0;
    let size = if half { "half size" } else { "full size" };
    let mut words = |y: f64, words: String, height_pt: f64, bold: bool, layer: Layer| {
        let at = Point::new(middle.x, middle.y + y);
        drawing.text(Text { at, words, height_pt, angle: 0.0, anchor: Anchor::Middle, bold, layer });
    };
    let (title_pt, title_y, hint_y) = if half { (14.0, 39.4, 34.4) } else { (24.0, 78.5, 71.0) };
    words(title_y, format!("Card {number}, {size}"), title_pt, true, Layer::Words);
    words(hint_y, "Print at 100 %, never fitted to the page.".to_owned(), SMALL_PT, false, Layer::Words);
    if !half {
        words(
            WORDS_Y.0 + 0.5,
            "Lay it flat, right way up, beside the template.".to_owned(),
            SMALL_PT,
            false,
            Layer::Words,
        );
    }
    let span = format!("{:.1} wide, {:.1} high", 2.0 * OUTER_X * scale, 2.0 * OUTER_Y * scale);
    let line = format!("{:.1} mm", 2.0 * CHECK_HALF * scale);
    let checkers = "checkers, outer edge to outer edge:";
    if half {
        words(-34.3, checkers.to_owned(), SMALL_PT, false, Layer::Words);
        words(-37.7, span, SMALL_PT, false, Layer::Words);
        words(-43.6, line, SMALL_PT, false, Layer::Check);
    } else {
        words(-72.0, format!("{checkers} {span}"), SMALL_PT, false, Layer::Words);
        words(-84.5, line, SMALL_PT, false, Layer::Check);
    }
}

/// The black squares of one checker, its left edge at `left`; the top-left one is black.
fn checker(left: f64) -> BezPath {
    let mut path = BezPath::new();
    for row in 0..SQUARES.1 {
        for column in (0..SQUARES.0).filter(|column| (row + column) % 2 == 0) {
            let (x, y) = (left + column as f64 * SQUARE_MM, OUTER_Y - row as f64 * SQUARE_MM);
            path.extend(Rect::new(x, y - SQUARE_MM, x + SQUARE_MM, y).path_elements(0.1));
        }
    }
    path
}

/// The black of a tag as the rings round it, inside to the left: no seam can show between cells, as none is drawn.
fn tag(number: u32) -> BezPath {
    let cells = tag_cells(number).unwrap_or([[true; 8]; 8]);
    let black = |row: i32, column: i32| {
        let line = usize::try_from(row).ok().and_then(|r| cells.get(r));
        line.and_then(|line| usize::try_from(column).ok().and_then(|c| line.get(c))).copied().unwrap_or(false)
    };
    // One step along each border between black and white, in cells from the top left corner, black on its left.
    let mut steps: Vec<((i32, i32), (i32, i32))> = Vec::new();
    for (row, column) in (0..8).flat_map(|row| (0..8).map(move |column| (row, column))) {
        if !black(row, column) {
            continue;
        }
        let (left, right, top, bottom) = (column, column + 1, row, row + 1);
        let sides = [
            (black(row + 1, column), (left, bottom), (right, bottom)),
            (black(row, column + 1), (right, bottom), (right, top)),
            (black(row - 1, column), (right, top), (left, top)),
            (black(row, column - 1), (left, top), (left, bottom)),
        ];
        steps.extend(sides.into_iter().filter(|(inside, ..)| !inside).map(|(_, from, to)| (from, to)));
    }
    let (half, cell) = (TAG_MM / 2.0, TAG_MM / 8.0);
    let point = |(x, y): (i32, i32)| Point::new(f64::from(x) * cell - half, half - f64::from(y) * cell);
    let mut path = BezPath::new();
    while let Some((from, mut to)) = steps.pop() {
        path.move_to(point(from));
        while to != from {
            path.line_to(point(to));
            let Some(next) = steps.iter().position(|(start, _)| *start == to) else { break };
            to = steps.swap_remove(next).1;
        }
        path.close_path();
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_export::Item;

    #[test]
    fn numbers_no_card_carries_are_refused_in_words() {
        let check = |paper, half, first, count, want: &str| {
            let refused = card_pages(&CardOptions { paper, half, first, count }).unwrap_err().to_string();
            assert!(refused.contains(want), "{refused}");
        };
        check(Paper::A4, false, 1, 0, "at least one");
        check(Paper::A4, false, 0, 4, "card 0");
        check(Paper::A4, false, 98, 3, "card 100");
        check(Paper::A4, false, 1, u32::MAX, "card 4294967295");
        check(Paper::A4, true, 1, 4, "101 to 199");
        check(Paper::A4, true, 199, 2, "card 200");
        check(Paper::A3, false, 1, 4, "A3");
    }

    #[test]
    fn all_ink_keeps_half_an_inch_inside_either_paper() {
        for paper in [Paper::A4, Paper::Letter] {
            for (half, first, pages) in [(false, 95, 5), (true, 195, 3)] {
                let made = card_pages(&CardOptions { paper, half, first, count: 5 }).unwrap();
                assert_eq!(made.len(), pages);
                for page in made {
                    let ink = page.drawing.ink().unwrap();
                    let room = Rect::new(0.0, 0.0, page.size_mm.0, page.size_mm.1).inset(-12.7);
                    assert!(room.union(ink) == room, "{paper:?} half {half}: {ink:?}");
                }
            }
        }
    }

    #[test]
    fn words_keep_clear_of_tag_and_checkers() {
        for (half, first, scale) in [(false, 88, 1.0), (true, 188, 0.5)] {
            let page = card_pages(&CardOptions { half, first, count: 1, ..CardOptions::default() })
                .unwrap()
                .remove(0);
            let size = page.size_mm;
            let middle = Point::new(size.0 / 2.0, size.1 * if half { 0.75 } else { 0.5 });
            for item in &page.drawing.items {
                let Item::Text(text) = item else { continue };
                for corner in text.corners().map(|p| (p - middle) / scale) {
                    assert!(corner.x.abs() < 62.5, "{} is too wide", text.words);
                    assert!(corner.y.abs() > 62.5 && corner.y.abs() < 90.5, "{} at {corner:?}", text.words);
                }
            }
        }
    }

    #[test]
    fn the_tag_is_black_where_its_cells_are() {
        for number in [1, 57, 101, 199] {
            let (ink, cells) = (tag(number), tag_cells(number).unwrap());
            for (row, column) in (0..8).flat_map(|row| (0..8).map(move |column| (row, column))) {
                let at = Point::new(12.5 * column as f64 - 43.75, 43.75 - 12.5 * row as f64);
                assert_eq!(
                    ink.winding(at) != 0,
                    cells[row][column],
                    "tag {number}, row {row}, column {column}"
                );
            }
            let want = cells.iter().flatten().filter(|black| **black).count() as f64 * 12.5 * 12.5;
            assert!((ink.area() - want).abs() < 1e-6);
        }
    }
}
