//! The page before the pattern, when the check square finds no room on it: square, rulers, map, how to print and join.

use kurbo::{Point, Rect};

use super::foot::{Foot, Names, foot, map};
use super::grid::Grid;
use super::sheet::Sheet;
use super::square::{BLOCK_MM, square};
use crate::drawing::{Anchor, Drawing, Text};
use crate::font;
use crate::layer::Layer;
use crate::paper::Paper;

const BODY_PT: f64 = 10.0;
const LINE_MM: f64 = 4.9;
/// Longer lines are hard to follow, in mm.
const LONGEST_LINE_MM: f64 = 170.0;

/// Draws the page in true mm.
pub(super) fn read_me(sheet: &Sheet, grid: &Grid, paper: Paper, says: &Foot<'_>) -> Drawing {
    let size = sheet.size();
    let mut drawing = Drawing::new("Read me first", Rect::new(0.0, 0.0, size.x, size.y));
    foot(&mut drawing, sheet, grid, says, None);
    let margins = sheet.margins();
    let (left, right) = (margins.x, size.x - margins.x);
    let mut y = size.y - margins.y - 8.3;
    let heading = |drawing: &mut Drawing, y: f64, words: &str, height_pt: f64| {
        drawing.text(Text {
            at: Point::new(left, y),
            words: words.to_owned(),
            height_pt,
            angle: 0.0,
            anchor: Anchor::Start,
            bold: true,
            layer: Layer::Words,
        });
    };
    heading(&mut drawing, y, "Read me first", 24.0);
    y -= 6.0;

    let top = y;
    square(&mut drawing, Point::new(left, top - BLOCK_MM + 4.0));
    let column = left + BLOCK_MM + 4.0;
    let room = Rect::new(column, top - BLOCK_MM + 12.0, right.min(column + 80.0), top - 16.0);
    let shown = map(&mut drawing, grid, room, None, Names::Written);
    let count = grid.pages.len();
    let caption = format!("{count} {}, joined like this", if count == 1 { "page" } else { "pages" });
    let mut above = shown.y1 + 3.0 + LINE_MM;
    for line in wrap(&caption, room.width()) {
        drawing.text(words(Point::new(room.x1, above), line, Anchor::End));
        above -= LINE_MM;
    }

    y = top - BLOCK_MM - 1.0;
    for (title, steps) in [("Print", printing(paper)), ("Join", joining())] {
        heading(&mut drawing, y, title, 12.0);
        for step in steps {
            for (i, line) in wrap(&step, (right - left - 20.0).min(LONGEST_LINE_MM)).into_iter().enumerate() {
                if i == 0 {
                    drawing.text(words(Point::new(left + 16.0, y), "–".to_owned(), Anchor::Start));
                }
                drawing.text(words(Point::new(left + 20.0, y), line, Anchor::Start));
                y -= LINE_MM;
            }
        }
        y -= 2.5;
    }
    drawing
}

fn printing(paper: Paper) -> Vec<String> {
    vec![
        format!("On {} paper at 100\u{a0}%: no \"fit to page\", no other scaling.", paper.plain_name()),
        "Each side of the square must measure 100\u{a0}mm, each ruler 100\u{a0}mm or 4\u{a0}in. The line at the foot of every page \
         tells whether that page came out the same."
            .to_owned(),
        "A little off? Type both measured sides, width first, as the print correction and print again. More than 5\u{a0}% \
         off means that scaling is still on."
            .to_owned(),
    ]
}

fn joining() -> Vec<String> {
    vec![
        "Pages have a row letter and a column number, as in the map. Start at the upper left.".to_owned(),
        "Trim a page along its dotted lines only. Lay it on its neighbour: the trimmed edge on the thick ticks, the \
         long arm of each cross in line with its other half."
            .to_owned(),
        "The labels on both sides of a join must be the same, 7a with 7a. If they differ, it is the wrong page."
            .to_owned(),
        "Check one long distance over all pages before you cut.".to_owned(),
    ]
}

fn words(at: Point, words: String, anchor: Anchor) -> Text {
    Text { at, words, height_pt: BODY_PT, angle: 0.0, anchor, bold: false, layer: Layer::Words }
}

/// Lines no wider than `width` mm, broken at spaces.
fn wrap(text: &str, width: f64) -> Vec<String> {
    let mut lines = vec![String::new()];
    // Only at plain spaces: a number stays with its unit.
    for word in text.split(' ') {
        let line = lines.last().map_or("", String::as_str);
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if !line.is_empty() && font::text_width_mm(&longer, BODY_PT, false) > width {
            lines.push(word.to_owned());
        } else if let Some(last) = lines.last_mut() {
            *last = longer;
        }
    }
    lines
}
