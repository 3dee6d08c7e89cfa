//! Small signs drawn on a piece.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use kurbo::{BezPath, Circle, Point, Shape};

use crate::room::Quad;

/// Size of the staff with its pennant at scale 1, mm.
const STAFF: (f64, f64) = (24.0, 40.0);

/// Room the staff takes with its word, mm.
pub(crate) fn staff_size(word: &str, scale: f64) -> (f64, f64) {
    let word = font::text_width_mm(word, word_pt(scale), true);
    ((STAFF.0 * scale).max(7.0 * scale + word + 1.0), STAFF.1 * scale)
}

/// Which way the pennant flies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Flies {
    /// As seen from inside the box.
    Right,
    /// As seen from the hull, on what is a mirror image on purpose.
    Left,
}

/// A staff whose head points along y, with a pennant that flies to the right and its word at the foot: one sign that tells
/// which way is up and whether the sheet is the right way round. Mirrored, the pennant flies to the left.
pub(crate) fn staff(drawing: &mut Drawing, quad: Quad, word: &str, scale: f64, flies: Flies) {
    let foot = quad.middle - quad.half;
    let at = |x: f64, y: f64| {
        let x = if flies == Flies::Right { x * scale } else { 2.0 * quad.half.x - x * scale };
        Point::new(foot.x + x, foot.y + y * scale)
    };
    drawing.straight(at(4.0, 0.0), at(4.0, 33.0), Pen::solid(0.5), Layer::Marks);
    for corners in [[(4.0, 40.0), (0.8, 32.0), (7.2, 32.0)], [(4.0, 29.0), (4.0, 17.0), (23.0, 23.0)]] {
        let mut path = BezPath::new();
        path.move_to(at(corners[0].0, corners[0].1));
        path.line_to(at(corners[1].0, corners[1].1));
        path.line_to(at(corners[2].0, corners[2].1));
        path.close_path();
        drawing.fill(path, 0.0, Layer::Marks);
    }
    drawing.text(Text {
        at: at(7.0, 2.0),
        words: word.to_owned(),
        height_pt: word_pt(scale),
        angle: 0.0,
        anchor: if flies == Flies::Right { Anchor::Start } else { Anchor::End },
        bold: true,
        layer: Layer::Words,
    });
}

fn word_pt(scale: f64) -> f64 {
    (14.0 * scale).max(9.0)
}

/// Half the width of a match cross, mm.
pub(crate) const CROSS_MM: f64 = 6.0;

/// A cross in a ring with its letter: the same place of the wall on every layer.
pub(crate) fn match_cross(drawing: &mut Drawing, at: Point, letter: &str) {
    drawing.straight((at.x - CROSS_MM, at.y), (at.x + CROSS_MM, at.y), Pen::MARK, Layer::Marks);
    drawing.straight((at.x, at.y - CROSS_MM), (at.x, at.y + CROSS_MM), Pen::MARK, Layer::Marks);
    drawing.line(Circle::new(at, 3.0).to_path(0.002), Pen::MARK_END, Layer::Marks);
    drawing.text(Text {
        at: Point::new(at.x + 3.2, at.y + 2.6),
        words: letter.to_owned(),
        height_pt: 10.0,
        angle: 0.0,
        anchor: Anchor::Start,
        bold: true,
        layer: Layer::Words,
    });
}
