//! One layer, flat: the line to cut, the other face, and the bevel at each station.

use std::sync::Arc;

use coldwright_geometry::{Layer, LayerSet, Proud, Ring, Section};
use coldwright_job::CutStyle;
use egui::{Align2, Color32, Pos2, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Command;
use crate::board::{Board, EyeKey};
use crate::edit_box::degrees;
use crate::parts::{choices, command, hint};
use crate::ruler::{dashed, dimension, tag};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

pub(crate) fn strip(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let count = shown.wall(view).map_or(0, coldwright_job::Wall::layer_count);
    let labels: Vec<(usize, String)> = (0..count).map(|i| (i, (i + 1).to_string())).collect();
    let options: Vec<(usize, &str)> = labels.iter().map(|(i, s)| (*i, s.as_str())).collect();
    hint(ui, "layer");
    if let Some(layer) = choices(ui, view.layer, &options) {
        view.layer = layer;
    }
    if command(ui, Command::Fit, shown, view, false).clicked() {
        for eye in view.eyes.values_mut() {
            eye.fit = true;
        }
    }
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, layers: &Arc<LayerSet>, view: &mut View) {
    let (Some(wall), Some(layer)) = (shown.wall(view), layers.layers.get(view.layer)) else { return };
    let bounds = bounds(layer);
    let name = format!("Plan of layer {}", layer.number);
    let mut board = Board::open(
        ui,
        &name,
        EyeKey::Plan(wall.id),
        bounds.inset(bounds.width().max(bounds.height()) * 0.10),
        true,
        view,
    );
    board.pan(ui, view);
    let p = Palette::at(ui);
    board.grid(&p, shown.job.units);
    draw_layer(&board, layer, wall.cut, &p);
    let mut taken = marks(&board, layer, &p);
    let [a, b] = [Point::new(bounds.x0, bounds.y0), Point::new(bounds.x1, bounds.y0)].map(|q| board.put(q));
    dimension(&board.painter, a, b, -44.0, &crate::parts::mm(shown, bounds.width()), p.quiet);
    let [a, b] = [Point::new(bounds.x0, bounds.y0), Point::new(bounds.x0, bounds.y1)].map(|q| board.put(q));
    dimension(&board.painter, a, b, 44.0, &crate::parts::mm(shown, bounds.height()), p.quiet);
    let low = board.put(bounds.center()).x;
    let foot = board.put(Point::new(bounds.x0, bounds.y0)).y;
    taken.push(egui::Rect::from_min_max(
        Pos2::new(low - 60.0, foot + 20.0),
        Pos2::new(low + 60.0, foot + 52.0),
    ));
    gap(&board, shown, layer, wall.cut, &taken, &p);
    legend(&board, wall.cut, &p);
}

/// Everything of a layer, mm.
pub(crate) fn bounds(layer: &Layer) -> kurbo::Rect {
    let rings = layer.outer.rings.iter().chain(&layer.inner.rings);
    let mut points = rings.flat_map(|r| &r.outer);
    let Some(first) = points.next() else { return kurbo::Rect::new(0.0, 0.0, 1000.0, 600.0) };
    points.fold(kurbo::Rect::from_points(*first, *first), |r, p| r.union_pt(*p))
}

/// The lines of a layer as its pattern has them.
pub(crate) fn draw_layer(board: &Board, layer: &Layer, cut: CutStyle, p: &Palette) {
    match cut {
        CutStyle::Bevelled => {
            section(board, &layer.outer, p.hull, true);
            section(board, &layer.inner, p.cold, false);
        }
        CutStyle::SquareFits | CutStyle::SquareFills => {
            section(board, &layer.outer, p.hull.gamma_multiply(0.7), true);
            section(board, &layer.inner, p.cold.gamma_multiply(0.7), false);
            for ring in if cut == CutStyle::SquareFits { &layer.fits } else { &layer.fills } {
                lines(board, ring, Stroke::new(2.0, p.ink), false);
            }
        }
    }
}

fn section(board: &Board, section: &Section, colour: Color32, dash: bool) {
    for ring in &section.rings {
        lines(board, ring, Stroke::new(if dash { 1.5 } else { 2.0 }, colour), dash);
    }
}

fn lines(board: &Board, ring: &Ring, stroke: Stroke, dash: bool) {
    for points in std::iter::once(&ring.outer).chain(&ring.holes) {
        let mut put = thinned(board, points);
        if dash {
            if let Some(first) = put.first().copied() {
                put.push(first);
            }
            dashed(&board.painter, &put, stroke, 9.0, 5.0);
        } else {
            board.painter.add(Shape::closed_line(put, stroke));
        }
    }
}

/// A closed line on the screen without points nearer than half a screen point: lines flattened to a micrometre are
/// finer than any screen.
pub(crate) fn thinned(board: &Board, points: &[Point]) -> Vec<Pos2> {
    let mut out: Vec<Pos2> = Vec::with_capacity(points.len().min(512));
    for p in points {
        let at = board.put(*p);
        if out.last().is_none_or(|l| l.distance_sq(at) > 0.25) {
            out.push(at);
        }
    }
    if out.len() > 3 && out.first().zip(out.last()).is_some_and(|(a, b)| a.distance_sq(*b) < 0.25) {
        out.pop();
    }
    out
}

/// The bevel at its stations, in words inside the piece; gives where the words stand.
fn marks(board: &Board, layer: &Layer, p: &Palette) -> Vec<egui::Rect> {
    let mut taken: Vec<egui::Rect> = Vec::new();
    for mark in &layer.bevels {
        let (word, colour) = match mark.proud {
            Proud::HullFace => ("hull face proud", p.hull),
            Proud::BoxFace => ("box face proud", p.cold),
            Proud::Square => ("square", p.quiet),
        };
        let at = board.put(mark.at);
        let out = Vec2::new(mark.outward.x as f32, -mark.outward.y as f32);
        board.painter.line_segment([at - out * 4.0, at + out * 8.0], Stroke::new(1.5, colour));
        let words = match mark.proud {
            Proud::Square => word.to_owned(),
            _ => format!("{} {word}", degrees(mark.angle.to_degrees().abs())),
        };
        // Words stand inside the piece, where a pattern has them, and never one over the other.
        let anchor = anchor(out);
        let place = at - out * 10.0;
        let size = board.painter.layout_no_wrap(words.clone(), crate::theme::words(), colour).size()
            + Vec2::new(8.0, 2.0);
        let rect = anchor.anchor_size(place, size);
        if board.rect.contains_rect(rect) && !taken.iter().any(|t| t.intersects(rect)) {
            taken.push(tag(&board.painter, place, anchor, &words, colour, p.board.gamma_multiply(0.85)));
        }
    }
    taken
}

/// Where a square cut leaves the largest gap, ringed, with its width.
fn gap(board: &Board, shown: &Shown<'_>, layer: &Layer, cut: CutStyle, taken: &[egui::Rect], p: &Palette) {
    /// Less than this no square cut shows, mm.
    const LEAST: f64 = 0.05;
    if layer.largest_gap < LEAST {
        return;
    }
    let at = board.put(layer.largest_gap_at);
    board.painter.circle_stroke(at, 7.0, Stroke::new(1.5, p.look));
    let when = if cut == CutStyle::Bevelled { "largest gap if cut square" } else { "largest gap" };
    let words = format!("{when} {}", crate::parts::mm(shown, layer.largest_gap));
    let size = board.painter.layout_no_wrap(words.clone(), crate::theme::words(), p.look).size()
        + Vec2::new(8.0, 2.0);
    let hits = lines_in(board, layer);
    let middle = board.put(bounds(layer).center()) - at;
    // Where no other words and no line stand; words farther off hang on a short line. Else where no words stand.
    let mut ways = [
        (0.0, -1.0),
        (0.0, 1.0),
        (-1.0, 0.0),
        (1.0, 0.0),
        (-1.0, -1.0),
        (1.0, -1.0),
        (-1.0, 1.0),
        (1.0, 1.0),
    ]
    .map(|(x, y)| Vec2::new(x, y));
    // Inside the piece first: outside stand the sizes.
    ways.sort_by(|a, b| b.normalized().dot(middle).total_cmp(&a.normalized().dot(middle)));
    let places = ways
        .into_iter()
        .flat_map(|way| [10.0, 34.0].map(|off| (at + way.normalized() * off, anchor(-way), off)));
    let blocked = |to: Pos2| (0..=10).any(|k| taken.iter().any(|t| t.contains(at.lerp(to, k as f32 / 10.0))));
    // A line through other words is left out; the words then stand beyond them.
    let free: Vec<(Pos2, Align2, bool, usize)> = places
        .filter_map(|(place, anchor, off)| {
            let rect = anchor.anchor_size(place, size);
            let clear = board.rect.contains_rect(rect) && !taken.iter().any(|t| t.intersects(rect));
            let (far, beyond) = (off > 20.0, off > 20.0 && blocked(place));
            let hit = hits.iter().filter(|h| rect.contains(**h)).count() + usize::from(beyond);
            clear.then_some((place, anchor, far && !beyond, hit))
        })
        .collect();
    if let Some((place, anchor, line, _)) = free.iter().min_by_key(|f| f.3).copied() {
        if line {
            let way = (place - at).normalized();
            board.painter.line_segment([at + way * 7.0, place], Stroke::new(1.0, p.look));
        }
        tag(&board.painter, place, anchor, &words, p.look, p.board.gamma_multiply(0.85));
    }
}

/// Places along all lines of a layer, a few screen points apart.
fn lines_in(board: &Board, layer: &Layer) -> Vec<Pos2> {
    let rings = layer.outer.rings.iter().chain(&layer.inner.rings).chain(&layer.fits);
    let mut out = Vec::new();
    for points in rings.flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)) {
        let put = thinned(board, points);
        for (a, b) in put.iter().zip(put.iter().cycle().skip(1)) {
            let pieces = (a.distance(*b) / 5.0).ceil().clamp(1.0, 1000.0);
            out.extend((0..pieces as u32).map(|k| a.lerp(*b, k as f32 / pieces)));
        }
    }
    out
}

/// How words hang on a mark that faces this way on the screen, so that they stand behind it.
pub(crate) fn anchor(outward: Vec2) -> Align2 {
    Align2([side(outward.x), side(outward.y)])
}

/// Which side of the words stands at the mark, for an edge that faces that way.
fn side(outward: f32) -> egui::Align {
    if outward > 0.4 {
        egui::Align::Max
    } else if outward < -0.4 {
        egui::Align::Min
    } else {
        egui::Align::Center
    }
}

fn legend(board: &Board, cut: CutStyle, p: &Palette) {
    let mut rows = vec![("box face", p.cold, false, 2.0), ("hull face", p.hull, true, 1.5)];
    if cut != CutStyle::Bevelled {
        rows.push(("cut here, square", p.ink, false, 2.0));
    }
    let mut y = board.rect.min.y + 16.0;
    let x = board.rect.max.x - 168.0;
    for (word, colour, dash, width) in rows {
        let line = [Pos2::new(x, y), Pos2::new(x + 36.0, y)];
        if dash {
            dashed(&board.painter, &line, Stroke::new(width, colour), 9.0, 5.0);
        } else {
            board.painter.line_segment(line, Stroke::new(width, colour));
        }
        board.painter.text(Pos2::new(x + 44.0, y), Align2::LEFT_CENTER, word, crate::theme::words(), p.ink);
        y += 20.0;
    }
}
