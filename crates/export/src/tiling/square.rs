//! The check square: 100 mm each way, with rulers of 100 mm and 4 in beside it both ways.

use kurbo::{Point, Rect, Shape, Vec2};

use crate::drawing::{Anchor, Drawing, Text};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// Side of the square in mm.
pub(super) const SIDE_MM: f64 = 100.0;
/// From the square to a ruler's edge, in mm.
const APART_MM: f64 = 5.0;
/// Room left of and below the square, in mm.
const BEFORE_MM: f64 = 16.0;
/// Room right of and above it, in mm.
const AFTER_MM: f64 = 16.0;
/// Side of the whole block in mm.
pub(super) const BLOCK_MM: f64 = BEFORE_MM + SIDE_MM + AFTER_MM;
const LABEL_PT: f64 = 9.0;

/// Draws the block with its lower left corner at `corner`.
pub(super) fn square(drawing: &mut Drawing, corner: Point) {
    let low = corner + Vec2::new(BEFORE_MM, BEFORE_MM);
    let side = Rect::from_origin_size(low, (SIDE_MM, SIDE_MM));
    drawing.line(side.to_path(0.01), Pen::MARK_END, Layer::Check);
    let middle = side.center();
    for (up, size, bold, line) in [
        (3.0, 14.0, true, "100 mm each way"),
        (-4.0, 9.0, false, "measure both, before you cut anything"),
        (-9.0, 9.0, false, "this square is no part of the pattern"),
    ] {
        drawing.text(label(middle + Vec2::new(0.0, up), line, Anchor::Middle, size, bold));
    }

    let (x, y) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    millimetres(drawing, low - y * APART_MM, x, -y);
    millimetres(drawing, low - x * APART_MM, y, -x);
    inches(drawing, low + y * (SIDE_MM + APART_MM), x, y);
    inches(drawing, low + x * (SIDE_MM + APART_MM), y, x);
}

/// A ruler of 100 mm from `start` along `along`, its ticks to the side of `out`.
fn millimetres(drawing: &mut Drawing, start: Point, along: Vec2, out: Vec2) {
    drawing.straight(start, start + along * 100.0, Pen::MARK, Layer::Check);
    for mm in 0..=100 {
        let length = if mm % 10 == 0 {
            3.5
        } else if mm % 5 == 0 {
            2.5
        } else {
            1.5
        };
        tick(drawing, start + along * f64::from(mm), out, length, mm % 100 == 0);
    }
    for (mm, words) in [(0.0, "0"), (50.0, "50"), (100.0, if along.x > 0.0 { "100 mm" } else { "100" })] {
        ruler_label(drawing, start + along * mm, out, words);
    }
}

/// A ruler of 4 in, in sixteenths.
fn inches(drawing: &mut Drawing, start: Point, along: Vec2, out: Vec2) {
    drawing.straight(start, start + along * 101.6, Pen::MARK, Layer::Check);
    for sixteenth in 0..=64 {
        let length = match sixteenth {
            n if n % 16 == 0 => 3.5,
            n if n % 8 == 0 => 2.8,
            n if n % 4 == 0 => 2.1,
            _ => 1.4,
        };
        tick(drawing, start + along * (f64::from(sixteenth) * 25.4 / 16.0), out, length, sixteenth % 64 == 0);
    }
    for (inch, words) in [(0.0, "0"), (1.0, "1"), (2.0, "2"), (3.0, "3"), (4.0, "4 in")] {
        ruler_label(drawing, start + along * (inch * 25.4), out, words);
    }
}

fn tick(drawing: &mut Drawing, at: Point, out: Vec2, length: f64, end: bool) {
    let pen = if end { Pen::MARK_END } else { Pen::MARK };
    drawing.straight(at, at + out * length, pen, Layer::Check);
}

fn ruler_label(drawing: &mut Drawing, at: Point, out: Vec2, words: &str) {
    let cap = font::em_mm(LABEL_PT) * font::CAP_EM;
    let at = at + out * 4.5;
    let (down, anchor) = match (out.x, out.y) {
        (x, _) if x > 0.5 => (cap / 2.0, Anchor::Start),
        (x, _) if x < -0.5 => (cap / 2.0, Anchor::End),
        (_, y) if y < 0.0 => (cap, Anchor::Middle),
        _ => (0.0, Anchor::Middle),
    };
    drawing.text(label(at - Vec2::new(0.0, down), words, anchor, LABEL_PT, false));
}

fn label(at: Point, words: &str, anchor: Anchor, height_pt: f64, bold: bool) -> Text {
    Text { at, words: words.to_owned(), height_pt, angle: 0.0, anchor, bold, layer: Layer::Check }
}
