//! Tracing: ticks and edges over the photo, or flat in the wall's frame.

use std::sync::Arc;

use coldwright_canvas::Picture;
use coldwright_job::{Edit, Place, Step, TickId, Wall, WallEdit};
use egui::{Pos2, Rect, Ui, Vec2};
use kurbo::{Affine, Point};

use crate::actions::{Action, Command};
use crate::asked_clicks;
use crate::board::{Board, EyeKey};
use crate::edge_follow;
use crate::keys::{click_closes, corner_word};
use crate::outline_draw::{draw, draw_sizes, flat_bounds};
use crate::parts::{CORNER, choice, choices, command, hint_line, wide_button};
use crate::photo_board::{current, draw_picture, loupe};
use crate::shown::Shown;
use crate::snapping;
use crate::spots::{Spot, nearest, spots, where_to};
use crate::stick_ticks;
use crate::theme::Palette;
use crate::tick_moves::{drag, nudge};
use crate::view::{Grab, Selected, View};

pub(crate) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
    asked: &mut Vec<Command>,
) {
    let Some(wall) = shown.wall(view) else { return };
    let photo = current(shown, view);
    strip(ui, shown, wall, photo.is_some(), view, asked, queue);
    let on_photo = photo.filter(|_| !view.flat);
    let index = on_photo.and_then(|_| crate::column::photo_index(shown, view));
    if let Some(plan) = shown.wall_plan(view) {
        let mut lines = std::mem::take(&mut view.lines);
        lines.update(wall, plan, index);
        view.lines = lines;
    }
    let flat = crate::templates_draw::bounds(shown.wall_plan(view), flat_bounds(view));
    let mut board = match on_photo {
        Some((photo, sighting, _)) => {
            let bounds = kurbo::Rect::new(
                -0.5,
                -0.5,
                f64::from(sighting.size.0) - 0.5,
                f64::from(sighting.size.1) - 0.5,
            );
            Board::open(ui, "Tracing on the photo", EyeKey::Photo(photo.id), bounds, false, view)
        }
        None => Board::open(ui, "Outline, flat", EyeKey::Flat(wall.id), flat, true, view),
    };
    let spots = spots(&board, wall, view, on_photo.map(|p| p.0.id));
    let frame = Affine::IDENTITY;
    let frame = shown.wall_plan(view).map_or(frame, |w| w.to_wall);
    drag(ui, &mut board, wall, &spots, frame, view, queue);
    nudge(ui, wall, on_photo.is_some(), frame, view, queue);
    let names = match on_photo {
        Some((_, _, picture)) => {
            draw_picture(&board, view, picture);
            stick_ticks::draw(ui, &board, view);
            let names = draw(ui, &board, wall, &spots, view);
            edge_follow::preview(ui, &board, wall, picture, shown, view);
            propose(ui, &board, &spots, picture, shown, view);
            names
        }
        None => {
            board.grid(&Palette::at(ui), shown.job.units);
            if let Some(plan) = shown.wall_plan(view) {
                crate::templates_draw::draw(&board, plan, view.template(), &Palette::at(ui));
            }
            let names = draw(ui, &board, wall, &spots, view);
            draw_sizes(ui, &board, shown, view);
            names
        }
    };
    if let Some(at) = board.response.interact_pointer_pos().filter(|_| board.response.secondary_clicked())
        && on_photo.is_some()
        && let Some(index) = stick_ticks::nearest(&board, view, at)
    {
        stick_ticks::drop_one(view, index);
    }
    let snapped = on_photo.and_then(|p| snapped(ui, &board, p.2, shown, view));
    if on_photo.is_some() && asked_clicks::take(ui, &board, wall, view, queue) {
        board.pan(ui, view);
        return;
    }
    if let (Some((_, _, picture)), Some(at)) =
        (on_photo, board.response.interact_pointer_pos().filter(|_| board.response.clicked()))
    {
        let onto = nearest(&spots, at).map(|s| (s.id, s.at));
        if edge_follow::click(&board, wall, at, onto, picture, shown, view, queue) {
            board.pan(ui, view);
            return;
        }
    }
    click(&board, wall, &spots, &names, on_photo.map(|p| p.0.id), snapped, shown, view, queue);
    board.pan(ui, view);
}

/// The loupe, with what the photo proposes where the next tick would fall.
fn propose(
    ui: &Ui,
    board: &Board,
    spots: &[Spot],
    picture: Option<&Arc<Picture>>,
    shown: &Shown<'_>,
    view: &mut View,
) {
    let pointer = ui.input(|i| i.pointer.hover_pos()).filter(|_| board.response.contains_pointer());
    let free = pointer.filter(|at| view.grab == Grab::Nothing && nearest(spots, *at).is_none());
    let left = snapping::left(ui);
    let snap = free.and_then(|at| snapping::proposal(shown, view, board, picture, at));
    let mut said = snap.map(|s| (s.px, snapping::word(&s, left), snapping::sure(&s) && !left));
    if free.and_then(|at| stick_ticks::nearest(board, view, at)).is_some() {
        said = free.map(|at| (board.at(at), "click takes, right click drops", false));
    }
    if let Some((px, _, true)) = said {
        let p = Palette::at(ui);
        board.painter.circle_stroke(board.put(px), 5.0, egui::Stroke::new(3.0, p.board.gamma_multiply(0.7)));
        board.painter.circle_stroke(board.put(px), 5.0, egui::Stroke::new(1.5, p.good));
    }
    if view.grab == Grab::Nothing || matches!(view.grab, Grab::Tick { .. }) {
        loupe(ui, board, view, picture, said);
    }
}

/// Where a click of this frame is moved to by the photo, if it is.
fn snapped(
    ui: &Ui,
    board: &Board,
    picture: Option<&Arc<Picture>>,
    shown: &Shown<'_>,
    view: &mut View,
) -> Option<Point> {
    let at = board.response.interact_pointer_pos().filter(|_| board.response.clicked())?;
    let snap = snapping::proposal(shown, view, board, picture, at)?;
    (snapping::sure(&snap) && !snapping::left(ui)).then_some(snap.px)
}

fn strip(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    photo: bool,
    view: &mut View,
    asked: &mut Vec<Command>,
    queue: &mut Vec<Action>,
) {
    let words = if !photo {
        "Type points in the column; they appear here."
    } else if view.flat {
        "Seen from inside the box."
    } else if view.following.on && view.tick().is_none() {
        "Click on the photo's edge where it begins."
    } else if view.following.on {
        "Click along the edge: it is followed from the tick in hand. Esc lets go."
    } else if wall.template.ticks.is_empty() {
        "Click on the tip of a stick to set the first tick."
    } else if view.new_edge {
        "The next click begins a new edge."
    } else if first_closes(wall, view) {
        "Click on: the first tick closes the ring."
    } else {
        "Click to add a tick, drag one to move it."
    };
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 4.0;
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
            if photo && let Some(flat) = choices(ui, view.flat, &[(false, "on the photo"), (true, "flat")]) {
                view.flat = flat;
            }
            if photo && !view.flat {
                let hover = Command::NewEdge.hint(ui.ctx());
                if choice(ui, view.new_edge, "New edge").on_hover_text(hover).clicked() {
                    asked.push(Command::NewEdge);
                }
                let word = corner_word(wall, view.tick());
                let hover = Command::Corner.hint(ui.ctx());
                if wide_button(ui, word, CORNER, view.tick().is_some()).on_hover_text(hover).clicked() {
                    asked.push(Command::Corner);
                }
            }
            if photo && !view.flat {
                let hover = "A click goes to the stick's corner ringed in the loupe, where one is sure. With Alt it stays where it is.";
                if choice(ui, view.snap, "Snap to sticks").on_hover_text(hover).clicked() {
                    view.snap = !view.snap;
                }
            }
            if command(ui, Command::Fit, shown, view, false).clicked() {
                asked.push(Command::Fit);
            }
            if photo && !view.flat {
                stick_ticks::find_button(ui, shown, wall, view);
            } else {
                hint_line(ui, words);
            }
        });
        if photo && !view.flat {
            // A line of its own, always there, so that what comes into it does not move the photo.
            ui.horizontal(|ui| {
                if !stick_ticks::choices(ui, shown, wall, view, queue) {
                    hint_line(ui, words);
                }
            });
        }
    });
}

#[expect(clippy::too_many_arguments, reason = "the end of one gesture; everything it may touch is named")]
fn click(
    board: &Board,
    wall: &Wall,
    spots: &[Spot],
    names: &[(Selected, Rect)],
    photo: Option<coldwright_job::PhotoId>,
    snapped: Option<Point>,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let Some(at) = board.response.interact_pointer_pos().filter(|_| board.response.clicked()) else { return };
    if let Some(spot) = nearest(spots, at) {
        if click_closes(wall, spot.id, view) {
            queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::MakeCorner(spot.id)), None));
        }
        view.selected = Selected::Tick(spot.id);
        return;
    }
    if photo.is_some()
        && let Some(place) = stick_ticks::nearest(board, view, at).and_then(|i| stick_ticks::take(view, i))
    {
        add_tick(wall, spots, at, place, shown, view, queue);
        return;
    }
    if let Some((named, _)) = names.iter().find(|(_, r)| r.contains(at)) {
        view.selected = *named;
        return;
    }
    let Some(photo) = photo else {
        view.selected = Selected::Step;
        return;
    };
    let place = Place::Pixel { photo, px: snapped.unwrap_or_else(|| board.at(at)), height: view.height };
    add_tick(wall, spots, at, place, shown, view, queue);
}

/// A new tick on the edge in hand, or the first of a new one.
fn add_tick(
    wall: &Wall,
    spots: &[Spot],
    at: Pos2,
    place: Place,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let (edge, before) = if view.new_edge { (None, None) } else { where_to(wall, spots, at, view) };
    queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::AddTick { edge, before, place }), None));
    view.new_edge = false;
    // The edit gives the new tick the next free number.
    view.selected = Selected::Tick(TickId(shown.job.next_id));
    view.next_step = Some(Step::Outline);
}

/// Whether a click on the first tick would now close the ring.
fn first_closes(wall: &Wall, view: &View) -> bool {
    let first = wall.template.edges.first().and_then(|e| e.ticks.first());
    first.is_some_and(|t| click_closes(wall, *t, view))
}
