//! Dimension lines and ticks on the board.

use egui::{Align2, Color32, Painter, Pos2, Shape, Stroke, Vec2};

use crate::theme::words;

/// Ground beside and above a tag's words.
const TAG_RIM: Vec2 = Vec2::new(4.0, 1.0);

/// A dimension line between two places, moved square to itself by `aside` screen points, with its words.
pub(crate) fn dimension(painter: &Painter, a: Pos2, b: Pos2, aside: f32, text: &str, colour: Color32) {
    let along = (b - a).normalized();
    let off = Vec2::new(along.y, -along.x) * aside;
    let (a2, b2) = (a + off, b + off);
    let thin = Stroke::new(1.0, colour);
    let beyond = off.normalized() * 4.0;
    painter.line_segment([a + beyond, a2 + beyond], thin);
    painter.line_segment([b + beyond, b2 + beyond], thin);
    painter.line_segment([a2, b2], thin);
    for (end, way) in [(a2, along), (b2, -along)] {
        let side = Vec2::new(-way.y, way.x);
        painter.line_segment([end - (way + side) * 3.0, end + (way + side) * 3.0], Stroke::new(1.5, colour));
    }
    let middle = a2 + (b2 - a2) * 0.5;
    let galley = painter.layout_no_wrap(text.to_owned(), words(), colour);
    if along.x.abs() >= along.y.abs() {
        let at = Align2::CENTER_BOTTOM.anchor_size(middle + Vec2::new(0.0, -2.0), galley.size()).min;
        painter.galley(at, galley, colour);
    } else {
        // Read from the right, along the line.
        let size = galley.size();
        let at = middle + Vec2::new(-2.0 - size.y, size.x / 2.0);
        let mut shape = egui::epaint::TextShape::new(at, galley, colour);
        shape.angle = -std::f32::consts::FRAC_PI_2;
        painter.add(shape);
    }
}

/// A small cross: one measured point.
pub(crate) fn cross(painter: &Painter, at: Pos2, radius: f32, stroke: Stroke) {
    let d = Vec2::new(radius, radius);
    let e = Vec2::new(radius, -radius);
    painter.line_segment([at - d, at + d], stroke);
    painter.line_segment([at - e, at + e], stroke);
}

/// A dashed polyline.
pub(crate) fn dashed(painter: &Painter, points: &[Pos2], stroke: Stroke, dash: f32, gap: f32) {
    painter.extend(Shape::dashed_line(points, stroke, dash, gap));
}

/// Words on a small ground of the board's colour, so that they can be read over a photo.
pub(crate) fn tag(
    painter: &Painter,
    at: Pos2,
    anchor: Align2,
    text: &str,
    ink: Color32,
    ground: Color32,
) -> egui::Rect {
    let rect = anchor.anchor_size(at, tag_size(painter, text));
    tag_in(painter, rect, text, ink, ground);
    rect
}

/// How large a [`tag`] is.
pub(crate) fn tag_size(painter: &Painter, text: &str) -> Vec2 {
    painter.layout_no_wrap(text.to_owned(), words(), Color32::PLACEHOLDER).size() + 2.0 * TAG_RIM
}

/// A [`tag`] in a place of its size that was found for it.
pub(crate) fn tag_in(painter: &Painter, rect: egui::Rect, text: &str, ink: Color32, ground: Color32) {
    painter.rect_filled(rect, 2.0, ground);
    painter.galley(rect.min + TAG_RIM, painter.layout_no_wrap(text.to_owned(), words(), ink), ink);
}
