//! The outline drawn: edges with their carried ends, ticks with their ellipses, names and sizes.

use coldwright_job::{EdgeId, Wall};
use egui::{Align2, Pos2, Rect, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::board::Board;
use crate::outline_board::Spot;
use crate::ruler::{cross, dashed, dimension, tag};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::{Selected, View};

/// What "Fit" shows of the flat outline.
pub(crate) fn flat_bounds(view: &View) -> kurbo::Rect {
    let mut points = view
        .lines
        .lines
        .iter()
        .flat_map(|l| l.sure.iter().chain(&l.carried[0]).chain(&l.carried[1]))
        .chain(view.lines.marks.iter().map(|m| &m.at));
    let Some(first) = points.next() else { return kurbo::Rect::new(0.0, 0.0, 1000.0, 600.0) };
    let all = points.fold(kurbo::Rect::from_points(*first, *first), |r, p| r.union_pt(*p));
    all.inset(all.width().max(all.height()).max(50.0) * 0.08)
}

/// Edges, holes, ticks and names; gives where the names stand.
pub(crate) fn draw(
    ui: &Ui,
    board: &Board,
    wall: &Wall,
    spots: &[Spot],
    view: &View,
) -> Vec<(Selected, Rect)> {
    let p = Palette::at(ui);
    let painter = &board.painter;
    let chosen = view.edge().or_else(|| {
        view.tick()
            .and_then(|t| wall.template.edges.iter().rev().find(|e| e.ticks.contains(&t)).map(|e| e.id))
    });
    let traced = |id: EdgeId| view.lines.lines.iter().find(|l| l.edge == id.0);
    let mut names = Vec::new();
    for edge in &wall.template.edges {
        let here = chosen == Some(edge.id);
        let colour = if here { p.hand } else { p.ink };
        match traced(edge.id) {
            Some(line) => {
                let points = board.line(&line.sure);
                painter.line(points.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.55)));
                painter.line(points, Stroke::new(if here { 2.0 } else { 1.5 }, colour));
                for carried in &line.carried {
                    let points = board.line(carried);
                    painter.line(points.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.55)));
                    dashed(painter, &points, Stroke::new(1.5, p.quiet), 6.0, 4.0);
                }
            }
            None => {
                let points: Vec<Pos2> = edge
                    .ticks
                    .iter()
                    .filter_map(|id| spots.iter().find(|s| s.id == *id))
                    .map(|s| s.on)
                    .collect();
                if points.len() > 1 {
                    painter.line(points.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.55)));
                    painter.line(points, Stroke::new(1.0, colour));
                }
            }
        }
        if let Some((at, anchor)) = name_place(board, edge, spots, traced(edge.id)) {
            let mut words = edge.name.clone();
            let base = match wall.stands {
                coldwright_job::Stands::Upright => "bottom",
                _ => "after",
            };
            if wall.template.base == Some(edge.id) && !words.to_lowercase().contains(base) {
                words = format!("{words}, {base}");
            }
            names.push((Selected::Edge(edge.id), tag(painter, at, anchor, &words, colour, p.board)));
        }
    }
    holes(board, wall, view, &p, &mut names);
    for mark in &view.lines.marks {
        let ring = board.line(&mark.ellipse);
        painter.line(ring, Stroke::new(1.0, p.hand));
    }
    for spot in spots {
        let here = view.tick() == Some(spot.id);
        let r = if here { 7.0 } else { 5.0 };
        cross(painter, spot.on, r, Stroke::new(4.0, p.board.gamma_multiply(0.8)));
        cross(
            painter,
            spot.on,
            r,
            Stroke::new(if here { 2.5 } else { 1.5 }, if here { p.hand } else { p.ink }),
        );
        let label = spot.on + Vec2::new(8.0, -8.0);
        tag(
            painter,
            label,
            Align2::LEFT_BOTTOM,
            &spot.number.to_string(),
            if here { p.hand } else { p.ink },
            p.board,
        );
    }
    names
}

/// The holes with their names, in the middle of each.
fn holes(board: &Board, wall: &Wall, view: &View, p: &Palette, names: &mut Vec<(Selected, Rect)>) {
    for (index, (hole, ring)) in wall.template.holes.iter().zip(&view.lines.holes).enumerate() {
        let here = view.selected == Selected::Hole(index);
        let colour = if here { p.hand } else { p.ink };
        let points = board.line(ring);
        board.painter.add(Shape::closed_line(points.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.55))));
        board
            .painter
            .add(Shape::closed_line(points.clone(), Stroke::new(if here { 2.0 } else { 1.5 }, colour)));
        let around = Rect::from_points(&points);
        if !around.is_finite() {
            continue;
        }
        // Inside where there is room, else beside it.
        let wide = board.painter.layout_no_wrap(hole.name.clone(), crate::theme::words(), colour).size();
        let (at, anchor) = if wide.x + 12.0 < around.width() && wide.y + 6.0 < around.height() {
            (around.center(), Align2::CENTER_CENTER)
        } else {
            (around.right_center() + Vec2::new(8.0, 0.0), Align2::LEFT_CENTER)
        };
        let place = tag(&board.painter, at, anchor, &hole.name, colour, p.board);
        names.push((Selected::Hole(index), place.union(around)));
    }
}

/// Where an edge's name stands: in its middle, a little inside.
fn name_place(
    board: &Board,
    edge: &coldwright_job::Edge,
    spots: &[Spot],
    line: Option<&crate::outline_cache::EdgeLine>,
) -> Option<(Pos2, Align2)> {
    if let Some(line) = line {
        let middle = line.sure.get(line.sure.len() / 2).or(line.carried[0].last())?;
        let around = spots.iter().fold(Vec2::ZERO, |s, k| s + k.on.to_vec2()) / spots.len().max(1) as f32;
        let at = board.put(*middle);
        let inward = (around.to_pos2() - at).normalized();
        return Some((at + inward * 10.0, crate::plan_view::anchor(-inward)));
    }
    let ticks = edge.ticks.iter().filter_map(|id| spots.iter().find(|s| s.id == *id)).collect::<Vec<_>>();
    let at = match ticks.as_slice() {
        [only] => only.on + Vec2::new(0.0, 12.0),
        [a, .., b] => a.on + (b.on - a.on) * 0.5 + Vec2::new(0.0, 12.0),
        [] => return None,
    };
    Some((at, Align2::CENTER_TOP))
}

pub(crate) fn draw_sizes(ui: &Ui, board: &Board, shown: &Shown<'_>, view: &View) {
    let Some(outline) = shown.wall_plan(view).and_then(|w| w.outline.clone()) else { return };
    let p = Palette::at(ui);
    let b = outline.bounds();
    let [left, right] = [Point::new(b.x0, b.y0), Point::new(b.x1, b.y0)].map(|q| board.put(q));
    dimension(&board.painter, left, right, -28.0, &crate::parts::mm(shown, b.width()), p.quiet);
    let [low, high] = [Point::new(b.x0, b.y0), Point::new(b.x0, b.y1)].map(|q| board.put(q));
    dimension(&board.painter, low, high, 28.0, &crate::parts::mm(shown, b.height()), p.quiet);
    let word = shown.wall(view).map_or("", |w| w.stands.arrow_word());
    let foot = board.rect.right_bottom() + Vec2::new(-40.0, -24.0);
    let tip = foot - Vec2::new(0.0, 40.0);
    board.painter.line_segment([foot, tip], Stroke::new(1.5, p.quiet));
    board
        .painter
        .line(vec![tip + Vec2::new(-5.0, 8.0), tip, tip + Vec2::new(5.0, 8.0)], Stroke::new(1.5, p.quiet));
    board.painter.text(
        tip - Vec2::new(0.0, 4.0),
        Align2::CENTER_BOTTOM,
        word,
        crate::theme::words(),
        p.quiet,
    );
}
