//! The photo on the board, with the cards found on it and a loupe.

use std::sync::Arc;

use coldwright_canvas::{CardSeen, Picture, PlaneSolve, PrintScale};
use coldwright_job::{Photo, Sighting};
use egui::{Align2, Pos2, Rect, Stroke, StrokeKind, Ui, Vec2};
use kurbo::Point;

use crate::actions::Action;
use crate::board::{Board, EyeKey};
use crate::parts::button;
use crate::ruler::{dashed, tag};
use crate::shown::Shown;
use crate::start::middle;
use crate::theme::Palette;
use crate::view::View;

/// Side of the loupe, screen points.
const LOUPE: f32 = 168.0;
/// Screen points that one pixel of a card point's miss is drawn long.
const MISS: f64 = 100.0;
/// Zoom from which single points of a card are drawn, screen points to a pixel.
const FINE: f64 = 0.12;

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some((photo, sighting, picture)) = current(shown, view) else {
        without(ui, shown, view, queue);
        return;
    };
    let size = (f64::from(sighting.size.0), f64::from(sighting.size.1));
    let bounds = kurbo::Rect::new(-0.5, -0.5, size.0 - 0.5, size.1 - 0.5);
    let mut board =
        Board::open(ui, &format!("Photo {}", photo.name), EyeKey::Photo(photo.id), bounds, false, view);
    board.pan(ui, view);
    draw_picture(&board, view, picture);
    draw_cards(ui, &board, shown, view, sighting);
    if let Some(wall) = shown.wall(view) {
        crate::asked_clicks::draw(ui, &board, wall, view);
        crate::asked_clicks::take(ui, &board, wall, view, queue);
    }
    loupe(ui, &board, view, picture, None);
}

/// The photo shown, with what was seen in it and its pixels.
pub(crate) fn current<'a>(
    shown: &Shown<'a>,
    view: &View,
) -> Option<(&'a Photo, &'a Sighting, Option<&'a Arc<Picture>>)> {
    let id = view.photo?;
    let photo = shown.job.photo(id)?;
    let s = shown.wall(view)?.template.sightings.as_ref()?;
    let sighting = s.photos.iter().find(|p| p.photo == id)?;
    Some((photo, sighting, shown.pictures.get(&id)))
}

fn without(ui: &mut Ui, shown: &Shown<'_>, view: &View, queue: &mut Vec<Action>) {
    let name = shown.wall(view).map_or("", |w| w.name.as_str());
    middle(
        ui,
        &format!("{name} has no photo yet."),
        "Lay printed cards flat round the template, and take it from above with all of it in the picture. A shape measured with a tape needs none: go on to Outline.",
        |ui| {
            if button(ui, "Choose photo…", true).clicked() {
                queue.push(Action::AddPhoto { wall: view.wall, path: None });
            }
        },
    );
}

/// Draws the pixels; says so where they are not there.
pub(crate) fn draw_picture(board: &Board, view: &mut View, picture: Option<&Arc<Picture>>) {
    let p = Palette::of(view.dark);
    match picture {
        Some(picture) => {
            view.tiles.draw(&board.painter, picture, board.eye.scale, board.seen(), |q| board.put(q));
        }
        None => {
            let words = "The picture itself is not here yet. What was measured in it still stands.";
            tag(
                &board.painter,
                board.rect.center_top() + Vec2::new(0.0, 16.0),
                Align2::CENTER_TOP,
                words,
                p.quiet,
                p.board,
            );
        }
    }
}

fn draw_cards(ui: &Ui, board: &Board, shown: &Shown<'_>, view: &View, sighting: &Sighting) {
    let p = Palette::at(ui);
    let plane = shown.wall_plan(view).and_then(|w| w.solve.clone());
    let left_out: &[u32] =
        shown.wall(view).and_then(|w| w.template.sightings.as_ref()).map_or(&[], |s| s.left_out.as_slice());
    for card in &sighting.cards {
        let out = left_out.contains(&card.number);
        let placed = plane.as_ref().and_then(|s| s.cards().iter().find(|c| c.number == card.number));
        let bad = plane.as_ref().is_some_and(|s| s.bad_cards().iter().any(|b| b.number == card.number));
        let colour = match (out, bad) {
            (true, _) => p.quiet,
            (_, true) => p.look,
            _ => p.good,
        };
        card_frame(board, card, colour, p.board, out);
        for crossing in &card.crossings {
            let at = board.put(crossing.px);
            if board.rect.contains(at) && board.eye.scale > FINE {
                board.painter.circle_stroke(at, 2.5, Stroke::new(1.0, colour));
            }
        }
        let [a, b, c, d] = card.corners_px;
        let room = board.put(a).distance(board.put(c));
        let words = match (out, placed) {
            _ if room < 80.0 => card.number.to_string(),
            (true, _) => format!("{} left out", card.number),
            (_, Some(c)) if bad => format!("{} look here, {:.2} px", card.number, c.residual_px),
            (_, Some(c)) => format!("{}, {:.2} px", card.number, c.residual_px),
            (_, None) => card.number.to_string(),
        };
        let centre = Point::new((a.x + b.x + c.x + d.x) / 4.0, (a.y + b.y + c.y + d.y) / 4.0);
        tag(&board.painter, board.put(centre), Align2::CENTER_CENTER, &words, colour, p.board);
    }
    if let (Some(plane), Some(index)) = (&plane, crate::column::photo_index(shown, view)) {
        draw_misses(board, plane, index, sighting, &p);
    }
}

/// At each crossing a line as long and in the way that it misses where the solve puts it, much enlarged, with its key.
fn draw_misses(board: &Board, plane: &PlaneSolve, index: usize, sighting: &Sighting, p: &Palette) {
    if board.eye.scale < FINE || sighting.cards.is_empty() {
        return;
    }
    // With an uncertain print the solve answers at the scale it arrived at itself.
    let print = PrintScale { sd: coldwright_job::PRINT_SD_MEASURED, ..PrintScale::default() };
    for (px, miss) in plane.misfits(index, &sighting.cards, &print) {
        let at = board.put(px);
        if board.rect.contains(at) {
            let long = (miss.hypot() * MISS).min(40.0);
            let way = miss / miss.hypot().max(1e-9) * long;
            let to = at + Vec2::new(way.x as f32, way.y as f32);
            board.painter.line_segment([at, to], Stroke::new(3.0, p.board.gamma_multiply(0.7)));
            board.painter.line_segment([at, to], Stroke::new(1.5, p.hand));
        }
    }
    let foot = board.rect.left_bottom() + Vec2::new(16.0, -10.0);
    let words = "0.1 px that a card point misses by";
    let key = tag(&board.painter, foot + Vec2::new(18.0, 0.0), Align2::LEFT_BOTTOM, words, p.quiet, p.board);
    let from = Pos2::new(foot.x, key.center().y);
    board.painter.line_segment([from, from + Vec2::new(0.1 * MISS as f32, 0.0)], Stroke::new(1.5, p.hand));
}

/// The card's frame: round its tag where only that is known, round all its points otherwise.
fn card_frame(board: &Board, card: &CardSeen, colour: egui::Color32, ground: egui::Color32, out: bool) {
    let mut ring: Vec<Pos2> = board.line(&card.corners_px);
    if let Some(first) = ring.first().copied() {
        ring.push(first);
    }
    board.painter.line(ring.clone(), Stroke::new(4.0, ground.gamma_multiply(0.7)));
    if out {
        dashed(&board.painter, &ring, Stroke::new(2.0, colour), 6.0, 4.0);
    } else {
        board.painter.line(ring, Stroke::new(2.0, colour));
    }
}

/// A piece of the photo four times larger, beside the pointer, with a cross where a click would fall, and a ring where
/// the photo proposes it to go.
pub(crate) fn loupe(
    ui: &Ui,
    board: &Board,
    view: &mut View,
    picture: Option<&Arc<Picture>>,
    proposal: Option<(Point, &str, bool)>,
) {
    let Some(picture) = picture else { return };
    let Some(pointer) = ui.input(|i| i.pointer.hover_pos()).filter(|_| board.response.contains_pointer())
    else {
        return;
    };
    if matches!(view.grab, crate::view::Grab::Board { .. }) || board.eye.scale > 6.0 {
        return;
    }
    let p = Palette::of(view.dark);
    let at = board.at(pointer);
    let inside =
        at.x >= 0.0 && at.y >= 0.0 && at.x < f64::from(picture.width()) && at.y < f64::from(picture.height());
    if !inside {
        return;
    }
    let mut corner = pointer + Vec2::new(28.0, -28.0 - LOUPE);
    if corner.x + LOUPE > board.rect.max.x {
        corner.x = pointer.x - 28.0 - LOUPE;
    }
    if corner.y < board.rect.min.y {
        corner.y = pointer.y + 28.0;
    }
    let glass = Rect::from_min_size(corner, Vec2::splat(LOUPE));
    let scale = (board.eye.scale * 4.0).clamp(1.5, 12.0);
    let middle = glass.center();
    let put = |q: Point| {
        let d = (q - at) * scale;
        middle + Vec2::new(d.x as f32, d.y as f32)
    };
    let half = f64::from(LOUPE) / 2.0 / scale;
    let seen = kurbo::Rect::new(at.x - half, at.y - half, at.x + half, at.y + half);
    let painter = ui.painter_at(glass);
    painter.rect_filled(glass, 0.0, p.board);
    view.tiles.draw(&painter, picture, scale, seen, put);
    for (a, b) in
        [(Vec2::new(-LOUPE, 0.0), Vec2::new(-6.0, 0.0)), (Vec2::new(6.0, 0.0), Vec2::new(LOUPE, 0.0))]
    {
        for turn in [false, true] {
            let t = |v: Vec2| if turn { Vec2::new(v.y, v.x) } else { v };
            painter
                .line_segment([middle + t(a), middle + t(b)], Stroke::new(3.0, p.board.gamma_multiply(0.6)));
            painter.line_segment([middle + t(a), middle + t(b)], Stroke::new(1.0, p.hand));
        }
    }
    if let Some((px, word, taken)) = proposal {
        let colour = if taken { p.good } else { p.quiet };
        if taken {
            painter.circle_stroke(put(px), 6.0, Stroke::new(3.5, p.board.gamma_multiply(0.7)));
            painter.circle_stroke(put(px), 6.0, Stroke::new(1.5, colour));
        }
        let foot = glass.left_bottom() + Vec2::new(4.0, -4.0);
        tag(&painter, foot, Align2::LEFT_BOTTOM, word, colour, p.board);
    }
    ui.painter().rect_stroke(glass, 0.0, Stroke::new(1.0, p.ink), StrokeKind::Inside);
}
