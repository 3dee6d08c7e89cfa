//! Labels to cut out and stick on the pieces, one for each.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_job::Job;
use kurbo::{Point, Rect, Shape};

use super::sheet::{fitting, shortened, wrapped};
use crate::make::Walled;
use crate::tables;
use crate::wording::{self, Face};

/// Size of a label, mm: two stand side by side on A4.
const SIZE_MM: (f64, f64) = (84.0, 38.0);
const INSET_MM: f64 = 4.0;
/// Sizes of a mark, the last also on two lines, and of the rows under it, points.
const MARK_PT: [f64; 4] = [20.0, 17.0, 15.0, 13.0];
const ROW_PT: f64 = 9.0;

/// A label for every piece, in the order of the walls, from the hull inwards.
pub(super) fn labels(job: &Job, walls: &[Walled<'_>]) -> Vec<Drawing> {
    let mut out = Vec::new();
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        let (count, arrow) = (w.set.layers.len(), w.wall.stands.arrow_word());
        for piece in w.pieces {
            let foam_words = format!("{} {}", job.show_mm(piece.thickness), piece.material.trim());
            let (mark, size) = (wording::piece_mark(&name, piece), tables::size(w.wall, piece));
            let over_all = format!("{} × {} over all", job.show_mm(size.width()), job.show_mm(size.height()));
            out.push(label(
                &mark,
                &[
                    &format!("on the {}", Face::Box.side()),
                    &format!("the top of this label points {arrow}"),
                    &format!("layer {} of {count}, counted from the hull", piece.id.layer),
                    &format!("{}; {over_all}", foam_words.trim_end()),
                    &format!("job {}", job.name),
                ],
            ));
        }
    }
    out
}

/// A mark as large as it fits, on two lines where one is too small to read across a bench; rows under it.
fn label(mark: &str, rows: &[&str]) -> Drawing {
    let bounds = Rect::new(0.0, 0.0, SIZE_MM.0, SIZE_MM.1);
    let width = SIZE_MM.0 - 2.0 * INSET_MM;
    let mut drawing = Drawing::new("", bounds);
    let dashed = Pen { dash_mm: Some((1.6, 1.2)), ..Pen::MARK };
    drawing.line(bounds.to_path(0.1), dashed, Layer::Marks);
    let pt = fitting(mark, true, width, &MARK_PT);
    let lines = wrapped(mark, pt, true, width);
    let marks = lines.iter().take(2).map(|line| (line.as_str(), pt, true));
    let mut y = bounds.y1 - INSET_MM;
    for (words, height_pt, bold) in marks.chain(rows.iter().map(|row| (*row, ROW_PT, false))) {
        y -= font::em_mm(height_pt) * 1.15;
        drawing.text(Text {
            at: Point::new(INSET_MM, y + font::em_mm(height_pt) * 0.2),
            words: shortened(words, height_pt, bold, width),
            height_pt,
            angle: 0.0,
            anchor: Anchor::Start,
            bold,
            layer: Layer::Words,
        });
        y -= if bold { 0.6 } else { 0.3 };
    }
    drawing
}
