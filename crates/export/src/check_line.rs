//! The labelled line of known length that goes below a drawing for a cutter, on a layer of its own.

use kurbo::{Point, Rect};

use crate::drawing::{Anchor, Drawing, Text};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// Type size of the label in points.
const LABEL_PT: f64 = 9.0;
/// Clear space between the drawing and the check line, in mm.
const CLEAR_MM: f64 = 10.0;

/// The line's length, in the unit the reader of the file thinks in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum CheckLine {
    Mm100,
    Inches4,
}

impl CheckLine {
    fn length_mm(self) -> f64 {
        match self {
            CheckLine::Mm100 => 100.0,
            CheckLine::Inches4 => 101.6,
        }
    }

    fn label(self) -> &'static str {
        match self {
            CheckLine::Mm100 => "100 mm: check the size, do not cut",
            CheckLine::Inches4 => "4 in: check the size, do not cut",
        }
    }
}

/// The drawing with a check line below its lower left corner; unchanged when it has something on that layer already.
/// The line is one straight stroke, end to end exactly the length said; its short end ticks are strokes of their own.
pub(crate) fn with_check_line(drawing: &Drawing, line: CheckLine) -> Drawing {
    let mut out = drawing.clone();
    if out.items.iter().any(|item| item.layer() == Layer::Check) {
        return out;
    }
    let low = out.ink().map_or(out.bounds.y0, |ink| ink.y0.min(out.bounds.y0));
    let (x, y) = (out.bounds.x0, low - CLEAR_MM);
    let length = line.length_mm();
    out.straight((x, y), (x + length, y), Pen::MARK, Layer::Check);
    for end in [x, x + length] {
        out.straight((end, y - 2.0), (end, y + 2.0), Pen::MARK_END, Layer::Check);
    }
    let label = y - 2.0 - font::em_mm(LABEL_PT);
    out.text(Text {
        at: Point::new(x, label),
        words: line.label().to_owned(),
        height_pt: LABEL_PT,
        angle: 0.0,
        anchor: Anchor::Start,
        bold: false,
        layer: Layer::Check,
    });
    let wide = length.max(font::text_width_mm(line.label(), LABEL_PT, false));
    // Half a pen of room on each side, so that the ends are not cropped.
    out.bounds = out.bounds.union(Rect::new(x, label - 2.0, x + wide, y));
    out
}
