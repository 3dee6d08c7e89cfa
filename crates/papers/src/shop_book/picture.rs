//! Small pictures to scale.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_geometry::{Layer as Foam, Outline, Rect};
use coldwright_job::{PlacedTick, Wall};
use kurbo::{Affine, Point};

use super::pairs::Pair;
use super::sheet::shortened;
use crate::faces::{faces, path};
use crate::room::thinned;

const PT: f64 = 9.0;
/// Narrowest picture, mm: its words have room.
const NARROWEST_MM: f64 = 28.0;
/// What a picture takes beside its outlines in a row, mm.
pub(crate) const BESIDE_MM: f64 = 2.0 * ROUND_MM + 4.0;
/// Room under a picture for its words, mm.
const CAPTION_MM: f64 = 4.5;
/// Scales people know from drawings.
const SCALES: [f64; 9] = [2.0, 2.5, 4.0, 5.0, 8.0, 10.0, 15.0, 20.0, 25.0];
/// Beyond those: steps of ten.
const COARSE: f64 = 10.0;

/// The largest usual scale (1 : n) at which a size fits a box; returns n.
pub(crate) fn scale(size: (f64, f64), box_mm: (f64, f64)) -> f64 {
    let need = (size.0 / box_mm.0).max(size.1 / box_mm.1);
    SCALES.into_iter().find(|n| *n >= need).unwrap_or_else(|| (need / COARSE).ceil() * COARSE)
}

/// One layer at 1 : n, its words under it.
pub(crate) fn layer(foam: &Foam, wall: &Wall, n: f64, frame: Rect, caption: &str) -> Drawing {
    let mut drawing = framed(frame, n, caption);
    let place = placing(frame, n);
    let lines = faces(foam, wall.cut);
    let other = Pen { width_mm: 0.18, dash_mm: Some((1.6, 0.9)), grey: 0.0 };
    for ring in lines.down.into_iter().flatten() {
        drawing.line(place * path(&thinned(ring)), other, Layer::OtherFace);
    }
    for ring in lines.up {
        drawing.line(place * path(&thinned(ring)), Pen::solid(0.3), Layer::Marks);
    }
    drawing
}

/// The template with its ticks, and the distances to tape on it.
pub(crate) fn template(
    outline: &Outline,
    ticks: &[PlacedTick],
    pairs: &[Pair<'_>],
    n: f64,
    frame: Rect,
) -> Drawing {
    let mut drawing = framed(frame, n, "the template");
    let place = placing(frame, n);
    drawing.line(place * outline.path(), Pen::solid(0.3), Layer::Marks);
    for pair in pairs {
        let dashed = Pen { dash_mm: Some((0.8, 1.2)), ..Pen::MARK };
        drawing.straight(place * pair.from.wall, place * pair.to.wall, dashed, Layer::Marks);
    }
    let named = |tick: &PlacedTick| pairs.iter().any(|p| p.from.id == tick.id || p.to.id == tick.id);
    let middle = place * outline.bounds().center();
    for tick in ticks {
        let at = place * tick.wall;
        drawing.straight((at.x - 0.9, at.y), (at.x + 0.9, at.y), Pen::MARK, Layer::Marks);
        drawing.straight((at.x, at.y - 0.9), (at.x, at.y + 0.9), Pen::MARK, Layer::Marks);
        if named(tick) {
            // Outside the outline, away from its middle.
            let right = at.x >= middle.x;
            let y = if at.y >= middle.y { at.y + 1.2 } else { at.y - 3.4 };
            let anchor = if right { Anchor::Start } else { Anchor::End };
            let x = if right { at.x + 1.2 } else { at.x - 1.2 };
            drawing.text(words(Point::new(x, y), tick.number.to_string(), anchor, true));
        }
    }
    drawing
}

/// The frame every picture of a wall shares, in the wall's mm: all outlines and ticks.
pub(crate) fn frame(rects: impl IntoIterator<Item = Rect>) -> Option<Rect> {
    rects.into_iter().filter(|r| r.width() > 0.0 || r.height() > 0.0).reduce(|a, b| a.union(b))
}

/// Room round the outline for tick numbers, mm of paper.
const ROUND_MM: f64 = 5.0;

fn placing(frame: Rect, n: f64) -> Affine {
    Affine::translate((ROUND_MM, CAPTION_MM + ROUND_MM))
        * Affine::scale(1.0 / n)
        * Affine::translate((-frame.x0, -frame.y0))
}

fn framed(frame: Rect, n: f64, caption: &str) -> Drawing {
    let size = (frame.width() / n + 2.0 * ROUND_MM, frame.height() / n + 2.0 * ROUND_MM + CAPTION_MM);
    let width = size.0.max(NARROWEST_MM);
    let mut drawing = Drawing::new("", Rect::new(0.0, 0.0, width, size.1));
    drawing.text(words(
        Point::new(ROUND_MM, 1.6),
        shortened(caption, PT, false, width - ROUND_MM),
        Anchor::Start,
        false,
    ));
    drawing
}

fn words(at: Point, words: String, anchor: Anchor, bold: bool) -> Text {
    debug_assert!(font::em_mm(PT) < CAPTION_MM, "a caption fits under its picture");
    Text { at, words, height_pt: PT, angle: 0.0, anchor, bold, layer: Layer::Words }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_are_usual_ones_and_fit() {
        for (width, want) in [(80.0, 2.0), (600.0, 15.0), (401.0, 15.0), (400.0, 10.0), (3300.0, 90.0)] {
            let n = scale((width, 1.0), (40.0, 40.0));
            assert!((n - want).abs() < 1e-9 && width / n <= 40.0 + 1e-9, "{width}: 1 : {n}");
        }
    }
}
