//! Labels to cut out and stick on the pieces, one for each.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_job::Job;
use kurbo::{Point, Rect, Shape};

use super::sheet::shortened;
use crate::make::Walled;
use crate::tables;
use crate::wording::{self, Face};

/// Size of a label, mm: two stand side by side on A4.
const SIZE_MM: (f64, f64) = (84.0, 38.0);
const INSET_MM: f64 = 4.0;

/// A label for every piece, in the order of the walls, from the hull inwards.
pub(super) fn labels(job: &Job, walls: &[Walled<'_>]) -> Vec<Drawing> {
    let mut out = Vec::new();
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        let (count, arrow) = (w.set.layers.len(), w.wall.stands.arrow_word());
        for piece in w.pieces {
            let foam_words = format!("{} {}", job.show_mm(piece.thickness), piece.material.trim());
            let (mark, size) = (wording::piece_mark(&name, piece), tables::size(w.wall, piece));
            {
                let over_all =
                    format!("{} × {} over all", job.show_mm(size.width()), job.show_mm(size.height()));
                out.push(label(&[
                    (&mark, 20.0, true),
                    (
                        &format!("on the {}; the top of this label points {arrow}", Face::Box.side()),
                        9.0,
                        false,
                    ),
                    (&format!("layer {} of {count}, counted from the hull", piece.id.layer), 9.0, false),
                    (&format!("{}; {over_all}", foam_words.trim_end()), 9.0, false),
                    (&format!("job {}", job.name), 9.0, false),
                ]));
            }
        }
    }
    out
}

fn label(rows: &[(&str, f64, bool)]) -> Drawing {
    let bounds = Rect::new(0.0, 0.0, SIZE_MM.0, SIZE_MM.1);
    let mut drawing = Drawing::new("", bounds);
    let dashed = Pen { dash_mm: Some((1.6, 1.2)), ..Pen::MARK };
    drawing.line(bounds.to_path(0.1), dashed, Layer::Marks);
    let mut y = bounds.y1 - INSET_MM;
    for (words, height_pt, bold) in rows {
        y -= font::em_mm(*height_pt) * 1.15;
        drawing.text(Text {
            at: Point::new(INSET_MM, y + font::em_mm(*height_pt) * 0.2),
            words: shortened(words, *height_pt, *bold, SIZE_MM.0 - 2.0 * INSET_MM),
            height_pt: *height_pt,
            angle: 0.0,
            anchor: Anchor::Start,
            bold: *bold,
            layer: Layer::Words,
        });
        y -= if *bold { 1.0 } else { 0.4 };
    }
    drawing
}
