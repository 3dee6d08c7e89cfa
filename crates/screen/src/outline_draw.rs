//! The outline drawn: edges with their carried ends, ticks with their ellipses, names and sizes.

use coldwright_job::{EdgeId, Wall};
use egui::{Align2, Pos2, Rect, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::board::Board;
use crate::labels::{Labels, round};
use crate::ruler::{cross, dashed, dimension, tag, tag_in, tag_size};
use crate::shown::Shown;
use crate::spots::Spot;
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
    }
    words(board, wall, spots, view, (chosen, &p), names)
}

/// Numbers at the ticks and names at the edges, none over another; the thing in hand chooses first.
fn words(
    board: &Board,
    wall: &Wall,
    spots: &[Spot],
    view: &View,
    (chosen, p): (Option<EdgeId>, &Palette),
    mut names: Vec<(Selected, Rect)>,
) -> Vec<(Selected, Rect)> {
    let painter = &board.painter;
    let mut labels = Labels::new(board.rect);
    for spot in spots {
        labels.keep(Rect::from_center_size(spot.on, Vec2::splat(10.0)));
    }
    let mut by_hand: Vec<&Spot> = spots.iter().collect();
    by_hand.sort_by_key(|s| view.tick() != Some(s.id));
    for spot in by_hand {
        let words = spot.number.to_string();
        if let Some(rect) = labels.place(tag_size(painter, &words), round(spot.on, 8.0)) {
            let colour = if view.tick() == Some(spot.id) { p.hand } else { p.ink };
            tag_in(painter, rect, &words, colour, p.board);
        }
    }
    for edge in &wall.template.edges {
        let mut words = edge.name.clone();
        let base = match wall.stands {
            coldwright_job::Stands::Upright => "bottom",
            _ => "after",
        };
        if wall.template.base == Some(edge.id) && !words.to_lowercase().contains(base) {
            words = format!("{words}, {base}");
        }
        let line = view.lines.lines.iter().find(|l| l.edge == edge.id.0);
        if let Some(rect) = labels.place(tag_size(painter, &words), name_places(board, edge, spots, line)) {
            let colour = if chosen == Some(edge.id) { p.hand } else { p.ink };
            tag_in(painter, rect, &words, colour, p.board);
            names.push((Selected::Edge(edge.id), rect));
        }
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

/// Where along an edge its name may stand, the middle first.
const ALONG: [f32; 5] = [0.5, 0.35, 0.65, 0.2, 0.8];

/// Where an edge's name may stand: along it a little inside, or a little outside.
fn name_places(
    board: &Board,
    edge: &coldwright_job::Edge,
    spots: &[Spot],
    line: Option<&crate::outline_cache::EdgeLine>,
) -> Vec<(Pos2, Align2)> {
    if let Some(line) = line {
        let around = spots.iter().fold(Vec2::ZERO, |s, k| s + k.on.to_vec2()) / spots.len().max(1) as f32;
        let sides = [10.0, -10.0].into_iter().flat_map(|off| ALONG.map(|share| (off, share)));
        return sides
            .filter_map(|(off, share)| {
                let index = (share * line.sure.len() as f32) as usize;
                let at = board.put(*line.sure.get(index).or(line.carried[0].last())?);
                let inward = (around.to_pos2() - at).normalized();
                let way = inward * off;
                Some((at + way, crate::plan_view::anchor(-way.normalized())))
            })
            .collect();
    }
    let ticks = edge.ticks.iter().filter_map(|id| spots.iter().find(|s| s.id == *id)).collect::<Vec<_>>();
    match ticks.as_slice() {
        [] => Vec::new(),
        [only] => [12.0, -12.0]
            .map(|off| {
                (
                    only.on + Vec2::new(0.0, off),
                    if off > 0.0 { Align2::CENTER_TOP } else { Align2::CENTER_BOTTOM },
                )
            })
            .to_vec(),
        [a, .., b] => {
            let sides = [(12.0, Align2::CENTER_TOP), (-12.0, Align2::CENTER_BOTTOM)];
            let both = sides.into_iter().flat_map(|side| ALONG.map(|share| (side, share)));
            both.map(|((off, anchor), share)| (a.on + (b.on - a.on) * share + Vec2::new(0.0, off), anchor))
                .collect()
        }
    }
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
