//! Through the wall along a line that can be dragged: every layer to scale, hull face below, box face above.

use std::sync::Arc;

use coldwright_geometry::{LayerSet, Section};
use coldwright_job::{Along, HollowPlan};
use egui::{Align2, Pos2, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Command;
use crate::board::{Board, EyeKey};
use crate::parts::{choices, command, hint, slider};
use crate::section_hollow;
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::{Grab, View};

/// Side of the key plan in the corner, screen points.
const KEY: f32 = 176.0;

pub(crate) fn strip(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    if let Some(upright) = choices(ui, view.cut.upright, &[(false, "level cut"), (true, "upright cut")]) {
        view.cut.upright = upright;
    }
    slider(ui, &mut view.cut.share, "Where the wall is cut");
    if command(ui, Command::Fit, shown, view, false).clicked() {
        for eye in view.eyes.values_mut() {
            eye.fit = true;
        }
    }
    hint(ui, "or drag the line in the small plan");
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, layers: &Arc<LayerSet>, view: &mut View) {
    let Some(wall) = shown.wall(view) else { return };
    let Some(all) = layers.layers.iter().map(crate::plan_view::bounds).reduce(|a, b| a.union(b)) else {
        return;
    };
    let upright = view.cut.upright;
    let at =
        if upright { all.x0 + all.width() * view.cut.share } else { all.y0 + all.height() * view.cut.share };
    let (s0, s1) = if upright { (all.y0, all.y1) } else { (all.x0, all.x1) };
    let thick = layers.layers.last().map_or(0.0, |l| l.to);
    let hull = hull(shown, view, (s0, s1));
    let deep = hull.iter().map(|q| q.y).fold(0.0, f64::min);
    let bounds = kurbo::Rect::new(s0, deep, s1, thick).inset((s1 - s0) * 0.06);
    let mut board = Board::open(ui, "Section", EyeKey::Section(wall.id), bounds, true, view);
    let p = Palette::at(ui);
    board.grid(&p, shown.job.units);
    let count = layers.layers.len();
    let hollow = over(shown, view);
    for (index, layer) in layers.layers.iter().enumerate() {
        let fill = p.layer(index, count);
        if hollow.is_some_and(|h| section_hollow::draw(&board, h, layer, layer.from, (s0, s1), fill, &p)) {
            let at = hollow.and_then(|h| section_hollow::middle(h, layer));
            if let Some(at) = at.filter(|_| (layer.to - layer.from) * board.eye.scale > 16.0) {
                let words = format!("{}   {}", layer.number, crate::parts::mm(shown, layer.to - layer.from));
                let style = crate::theme::words();
                board.painter.text(board.put(at), Align2::CENTER_CENTER, words, style, p.ink);
            }
            continue;
        }
        let (low, high) = (spans(&layer.outer, at, upright), spans(&layer.inner, at, upright));
        for (a, b) in low.iter().zip(&high) {
            let corners = [
                Point::new(a.0, layer.from),
                Point::new(a.1, layer.from),
                Point::new(b.1, layer.to),
                Point::new(b.0, layer.to),
            ];
            let put: Vec<Pos2> = board.line(&corners);
            board.painter.add(Shape::convex_polygon(put, p.layer(index, count), Stroke::new(1.0, p.ink)));
            let middle = board.put(Point::new((a.0 + a.1) / 2.0, (layer.from + layer.to) / 2.0));
            let high = (layer.to - layer.from) * board.eye.scale;
            if high > 16.0 {
                let words = format!("{}   {}", layer.number, crate::parts::mm(shown, layer.to - layer.from));
                board.painter.text(middle, Align2::CENTER_CENTER, words, crate::theme::words(), p.ink);
            }
        }
    }
    for pair in layers.layers.windows(2) {
        let (from, to) = (pair[0].to, pair[1].from);
        // Words only where there is room for them.
        if (to - from) * board.eye.scale > 14.0 {
            let at = board.put(Point::new((s0 + s1) / 2.0, (from + to) / 2.0));
            let words = format!("no foam, {}", crate::parts::mm(shown, to - from));
            board.painter.text(at, Align2::CENTER_CENTER, words, crate::theme::words(), p.quiet);
        }
    }
    let line: Vec<Pos2> = board.line(&hull);
    board.painter.line(line, Stroke::new(2.0, p.hull));
    let foot = board.put(Point::new(s0, deep));
    let head = board.put(Point::new(s0, thick));
    board.painter.text(
        foot + Vec2::new(0.0, 8.0),
        Align2::LEFT_TOP,
        "hull face",
        crate::theme::words(),
        p.hull,
    );
    board.painter.text(
        head - Vec2::new(0.0, 8.0),
        Align2::LEFT_BOTTOM,
        "box face",
        crate::theme::words(),
        p.cold,
    );
    key_plan(ui, &board, layers, all, view);
    board.pan(ui, view);
}

/// The hollow measured along the cut.
fn over<'a>(shown: &Shown<'a>, view: &View) -> Option<&'a HollowPlan> {
    let along = if view.cut.upright { Along::Up } else { Along::Across };
    shown.wall_plan(view).and_then(|w| w.hollow.as_deref()).filter(|h| h.along == along)
}

/// The surface behind the wall: the hollow measured along the cut, else the plane of the hull face.
fn hull(shown: &Shown<'_>, view: &View, (s0, s1): (f64, f64)) -> Vec<Point> {
    /// Pieces of the curve; a hollow is a gentle one.
    const PIECES: u32 = 96;
    let Some(h) = over(shown, view) else { return vec![Point::new(s0, 0.0), Point::new(s1, 0.0)] };
    (0..=PIECES)
        .map(|k| h.hollow.length() * f64::from(k) / f64::from(PIECES))
        .map(|x| Point::new(h.from + x, -h.hollow.gap(x)))
        .collect()
}

/// Where a line crosses a face: from, to, one pair for each piece of foam it meets.
fn spans(section: &Section, at: f64, upright: bool) -> Vec<(f64, f64)> {
    let mut hits: Vec<f64> = Vec::new();
    for ring in section.rings.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)) {
        for (i, a) in ring.iter().enumerate() {
            let Some(b) = ring.get((i + 1) % ring.len()) else { continue };
            let ((a0, a1), (b0, b1)) =
                if upright { ((a.y, a.x), (b.y, b.x)) } else { ((a.x, a.y), (b.x, b.y)) };
            if (a1 > at) != (b1 > at) {
                hits.push(a0 + (b0 - a0) * (at - a1) / (b1 - a1));
            }
        }
    }
    hits.sort_by(f64::total_cmp);
    hits.chunks_exact(2).map(|c| (c[0], c[1])).collect()
}

/// A small plan in the corner with the line of the cut; the line can be dragged.
fn key_plan(ui: &Ui, board: &Board, layers: &LayerSet, all: kurbo::Rect, view: &mut View) {
    let p = Palette::at(ui);
    let room =
        egui::Rect::from_min_size(board.rect.right_top() + Vec2::new(-KEY - 16.0, 16.0), Vec2::splat(KEY));
    let scale = f64::from(KEY - 24.0) / all.width().max(all.height()).max(1.0);
    let put = |q: Point| {
        let d = (q - all.center()) * scale;
        room.center() + Vec2::new(d.x as f32, -d.y as f32)
    };
    board.painter.rect(room, 0.0, p.board, Stroke::new(1.0, p.hair), egui::StrokeKind::Inside);
    for ring in layers.layers.iter().flat_map(|l| &l.outer.rings) {
        let points: Vec<Pos2> = ring.outer.iter().map(|q| put(*q)).collect();
        board.painter.add(Shape::closed_line(points, Stroke::new(1.0, p.quiet)));
    }
    let line = if view.cut.upright {
        let x = all.x0 + all.width() * view.cut.share;
        [put(Point::new(x, all.y0)), put(Point::new(x, all.y1))].map(|q| q + Vec2::ZERO)
    } else {
        let y = all.y0 + all.height() * view.cut.share;
        [put(Point::new(all.x0, y)), put(Point::new(all.x1, y))]
    };
    board.painter.line_segment(line, Stroke::new(2.0, p.hand));
    let held = ui.input(|i| i.pointer.press_origin().zip(i.pointer.latest_pos()));
    if board.response.drag_started() && held.is_some_and(|(from, _)| room.contains(from)) {
        view.grab = Grab::Cut;
    }
    if view.grab == Grab::Cut {
        match held.filter(|_| board.response.dragged()) {
            Some((_, to)) => {
                let d = to - room.center();
                let along = if view.cut.upright {
                    f64::from(d.x) / all.width()
                } else {
                    -f64::from(d.y) / all.height()
                };
                view.cut.share = (0.5 + along / scale).clamp(0.0, 1.0);
            }
            None => view.grab = Grab::Nothing,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_geometry::Ring;

    #[test]
    fn a_hole_parts_the_span() {
        let square =
            |a: f64, b: f64| [(a, a), (b, a), (b, b), (a, b)].map(|(x, y)| Point::new(x, y)).to_vec();
        let mut hole = square(40.0, 60.0);
        hole.reverse();
        let section = Section {
            rings: vec![Ring { outer: square(0.0, 100.0), holes: vec![hole] }],
            notices: Vec::new(),
        };
        assert_eq!(spans(&section, 50.0, false), [(0.0, 40.0), (60.0, 100.0)]);
        assert_eq!(spans(&section, 10.0, true), [(0.0, 100.0)]);
        assert!(spans(&section, 200.0, true).is_empty());
    }
}
