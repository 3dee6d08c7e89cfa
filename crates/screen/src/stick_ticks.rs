//! Ticks proposed from the sticks seen in the photo: hollow crosses that a person takes or drops, never an answer of
//! their own.

use std::sync::{Arc, Mutex};

use coldwright_canvas::{Picture, StickOptions, StickTick, find_sticks};
use coldwright_job::{EdgeId, Edit, Height, PhotoId, Place, Wall, WallEdit};
use egui::{Align2, Pos2, Stroke, Ui, Vec2};

use crate::actions::Action;
use crate::board::Board;
use crate::parts::{button, hint_line, wide_button};
use crate::ruler::{cross, tag};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

/// How near the pointer is to a proposal it means, screen points.
const NEAR: f32 = 10.0;
/// A proposal this near to a tick that is there is not made, photo pixels.
const THERE: f64 = 6.0;
/// Room for the longer of the words on the button, points.
const WIDE: f32 = 92.0;

type Slot = Arc<Mutex<Option<Result<Vec<StickTick>, String>>>>;

/// What was sought in which photo, and what came of it.
#[derive(Debug, Default)]
pub(crate) struct Sought {
    of: Option<PhotoId>,
    slot: Option<Slot>,
    ticks: Vec<StickTick>,
    said: Option<String>,
}

/// The button that looks for sticks.
pub(crate) fn find_button(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View) {
    arrived(wall, view);
    let plane = shown.wall_plan(view).and_then(|w| w.solve.clone());
    let index = crate::column::photo_index(shown, view);
    let picture = view.photo.and_then(|id| shown.pictures.get(&id).cloned());
    let at_work = view.sought.slot.is_some();
    let word = if at_work { "Looking…" } else { "Find sticks" };
    let able = plane.is_some() && index.is_some() && picture.is_some() && !at_work;
    let hover = "Proposes ticks where sticks end; you take or drop each.";
    if wide_button(ui, word, WIDE, able).on_hover_text(hover).clicked()
        && let (Some(plane), Some(index), Some(picture)) = (plane, index, picture)
    {
        let options = StickOptions { thickness_mm: wall.template.stick.mm(), ..StickOptions::default() };
        let seek = move |picture: &Picture| {
            find_sticks(picture, &plane, index, &options, &mut |_| true)
                .map(|s| s.ticks)
                .map_err(|e| coldwright_job::sentence_case(&e.to_string()))
        };
        begin(ui, view, picture, seek);
    }
}

/// What can be done with all proposals at once, or why there are none. Gives whether there was anything to say.
pub(crate) fn choices(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    view: &mut View,
    queue: &mut Vec<Action>,
) -> bool {
    let count = here(view).len();
    if count > 0 {
        if button(ui, &format!("Take all {count}"), true).clicked() {
            take_all(shown, wall, view, queue);
        }
        if button(ui, "Drop all", false).clicked() {
            view.sought.ticks.clear();
        }
        hint_line(ui, "A click takes one, a right click drops it.");
        return true;
    }
    match (&view.sought.said, view.sought.of == view.photo) {
        (Some(said), true) => {
            hint_line(ui, said);
            true
        }
        _ => false,
    }
}

fn begin(
    ui: &Ui,
    view: &mut View,
    picture: Arc<Picture>,
    seek: impl FnOnce(&Picture) -> Result<Vec<StickTick>, String> + Send + 'static,
) {
    let slot = Slot::default();
    let (put, ctx) = (slot.clone(), ui.ctx().clone());
    let begun = std::thread::Builder::new().name("sticks".to_owned()).spawn(move || {
        let found = seek(&picture);
        if let Ok(mut slot) = put.lock() {
            *slot = Some(found);
        }
        ctx.request_repaint();
    });
    let of = view.photo;
    view.sought = match begun {
        Ok(_) => Sought { of, slot: Some(slot), ..Sought::default() },
        Err(e) => Sought { of, said: Some(format!("That could not be begun: {e}.")), ..Sought::default() },
    };
}

/// Takes in what the search has brought, less what is there already.
fn arrived(wall: &Wall, view: &mut View) {
    let Some(slot) = &view.sought.slot else { return };
    let Some(found) = slot.lock().ok().and_then(|mut s| s.take()) else { return };
    view.sought.slot = None;
    match found {
        Err(why) => view.sought.said = Some(why),
        Ok(mut ticks) => {
            let of = view.sought.of;
            ticks.retain(|t| {
                wall.template.ticks.iter().all(|k| match &k.place {
                    Place::Pixel { photo, px, .. } => Some(*photo) != of || px.distance(t.px) > THERE,
                    Place::Typed { .. } | Place::Taped { .. } => true,
                })
            });
            if ticks.is_empty() {
                view.sought.said = Some("No more stick ends were seen clearly enough.".to_owned());
            }
            view.sought.ticks = ticks;
        }
    }
}

/// The proposals of the photo shown.
fn here(view: &View) -> &[StickTick] {
    if view.sought.of == view.photo { &view.sought.ticks } else { &[] }
}

/// The proposal under the pointer.
pub(crate) fn nearest(board: &Board, view: &View, at: Pos2) -> Option<usize> {
    let far = |t: &StickTick| board.put(t.px).distance(at);
    let (index, tick) = here(view).iter().enumerate().min_by(|a, b| far(a.1).total_cmp(&far(b.1)))?;
    (far(tick) <= NEAR).then_some(index)
}

/// Takes the proposal out of the list and gives where the tick is.
pub(crate) fn take(view: &mut View, index: usize) -> Option<Place> {
    let photo = view.photo?;
    (index < here(view).len()).then(|| place(photo, &view.sought.ticks.remove(index)))
}

/// Drops the proposal.
pub(crate) fn drop_one(view: &mut View, index: usize) {
    if index < here(view).len() {
        view.sought.ticks.remove(index);
    }
}

fn place(photo: PhotoId, tick: &StickTick) -> Place {
    let laps = u8::try_from(tick.lap.clamp(1, 9)).unwrap_or(1);
    Place::Pixel { photo, px: tick.px, height: Height::Laps(laps) }
}

/// All proposals in their order round the shape, at the end of the edge in hand or as the first edge: one step to undo.
fn take_all(shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let Some(photo) = view.photo else { return };
    let in_hand = view.edge().or(wall.template.edges.last().map(|e| e.id)).filter(|_| !view.new_edge);
    let gesture = view.new_gesture();
    // An edit that begins an edge gives the new tick the next free number, and the edge the one after.
    let begun = EdgeId(shown.job.next_id + 1);
    for (i, tick) in std::mem::take(&mut view.sought.ticks).iter().enumerate() {
        let edge = in_hand.or((i > 0).then_some(begun));
        let add = WallEdit::AddTick { edge, before: None, place: place(photo, tick) };
        queue.push(Action::Edit(Edit::Wall(wall.id, add), Some(gesture)));
    }
    queue.push(Action::EndGesture);
    view.new_edge = false;
}

/// The proposals as hollow crosses, each with how well it is seen.
pub(crate) fn draw(ui: &Ui, board: &Board, view: &View) {
    let p = Palette::at(ui);
    let mut said: Vec<egui::Rect> = Vec::new();
    for tick in here(view) {
        let at = board.put(tick.px);
        if !board.rect.contains(at) {
            continue;
        }
        cross(&board.painter, at, 8.0, Stroke::new(5.0, p.hand));
        cross(&board.painter, at, 7.0, Stroke::new(2.5, p.board));
        let words = format!("{:.0} %", tick.score * 100.0);
        // Where they stand close, one word is enough until the photo is looked at nearer.
        let place = at + Vec2::new(9.0, 8.0);
        if said.iter().all(|r| !r.intersects(egui::Rect::from_min_size(place, Vec2::new(44.0, 20.0)))) {
            said.push(tag(&board.painter, place, Align2::LEFT_TOP, &words, p.quiet, p.board));
        }
    }
}
