//! Following an edge that the photo shows, from the tick in hand to the next click: a path to be seen first, then few ticks.

use std::sync::{Arc, Mutex};

use coldwright_canvas::{FollowOptions, Followed, Picture, follow_edge};
use coldwright_geometry::EdgeKind;
use coldwright_job::{EdgeId, Edit, PhotoId, Place, Step, TickId, Wall, WallEdit};
use egui::{Align2, Pos2, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Action;
use crate::board::Board;
use crate::keys::click_closes;
use crate::ruler::{cross, tag};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::{Grab, Selected, View};

/// From where to where, in which photo.
type Way = (PhotoId, Point, Point);
type Slot = Arc<Mutex<Option<Result<Followed, String>>>>;

/// The edge being followed.
#[derive(Debug, Default)]
pub(crate) struct Following {
    /// Clicks follow the edge.
    pub(crate) on: bool,
    /// The tick that the first click set: it may still be moved onto the edge.
    begun: Option<TickId>,
    /// The way last worked out, and what came of it.
    found: Option<(Way, Result<Followed, String>)>,
    at_work: Option<(Way, Slot)>,
}

/// Where following begins: the tick in hand, where it was clicked in the photo shown.
fn start(wall: &Wall, view: &View) -> Option<(TickId, PhotoId, Point)> {
    let id = view.tick()?;
    match wall.template.tick(id).map(|t| &t.place) {
        Some(Place::Pixel { photo, px, .. }) if Some(*photo) == view.photo => Some((id, *photo, *px)),
        _ => None,
    }
}

/// Works out and draws the way to the pointer.
pub(crate) fn preview(
    ui: &Ui,
    board: &Board,
    wall: &Wall,
    picture: Option<&Arc<Picture>>,
    shown: &Shown<'_>,
    view: &mut View,
) {
    if !view.following.on {
        return;
    }
    arrived(view);
    let pointer = ui.input(|i| i.pointer.hover_pos()).filter(|_| board.response.contains_pointer());
    let (Some(at), Some((_, photo, from)), Some(picture)) = (pointer, start(wall, view), picture) else {
        return;
    };
    if view.grab != Grab::Nothing || !shown.plan_is_current {
        return;
    }
    let to = board.at(at);
    // Half a pixel's move asks for nothing new.
    let way = (photo, from, Point::new(to.x.round(), to.y.round()));
    let known = view.following.found.as_ref().is_some_and(|f| f.0 == way);
    if !known && view.following.at_work.is_none() && inside(picture, way.2) {
        begin(ui, view, way, picture.clone());
    }
    let p = Palette::at(ui);
    match &view.following.found {
        Some(((same, begun, _), Ok(found))) if (*same, *begun) == (photo, from) => {
            let line = board.line(&found.path_px);
            board.painter.line(line.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.7)));
            board.painter.line(line, Stroke::new(1.5, p.hand));
            for tick in found.ticks_px.iter().skip(1) {
                cross(&board.painter, board.put(*tick), 5.0, Stroke::new(1.5, p.hand));
            }
        }
        Some(((same, begun, _), Err(why))) if (*same, *begun) == (photo, from) => {
            tag(&board.painter, at + Vec2::new(12.0, 20.0), Align2::LEFT_TOP, why, p.look, p.board);
        }
        _ => {}
    }
}

fn inside(picture: &Picture, p: Point) -> bool {
    (0.0..f64::from(picture.width()) - 1.0).contains(&p.x)
        && (0.0..f64::from(picture.height()) - 1.0).contains(&p.y)
}

fn follow(picture: &Picture, (_, from, to): Way) -> Result<Followed, String> {
    follow_edge(picture, from, to, &FollowOptions::default())
        .map_err(|e| coldwright_job::sentence_case(&e.to_string()))
}

fn begin(ui: &Ui, view: &mut View, way: Way, picture: Arc<Picture>) {
    let slot = Slot::default();
    let (put, ctx) = (slot.clone(), ui.ctx().clone());
    let begun = std::thread::Builder::new().name("edge".to_owned()).spawn(move || {
        let found = follow(&picture, way);
        if let Ok(mut slot) = put.lock() {
            *slot = Some(found);
        }
        ctx.request_repaint();
    });
    match begun {
        Ok(_) => view.following.at_work = Some((way, slot)),
        Err(e) => view.following.found = Some((way, Err(format!("That could not be begun: {e}.")))),
    }
}

fn arrived(view: &mut View) {
    let Some((way, slot)) = &view.following.at_work else { return };
    let Some(found) = slot.lock().ok().and_then(|mut s| s.take()) else { return };
    view.following.found = Some((*way, found));
    view.following.at_work = None;
}

/// A click while an edge is followed: ticks along the edge up to there. Gives whether the click was used; the first one, with no tick in
/// hand, sets a tick as any click does.
#[expect(clippy::too_many_arguments, reason = "the end of one gesture; everything it may touch is named")]
pub(crate) fn click(
    board: &Board,
    wall: &Wall,
    at: Pos2,
    onto: Option<(TickId, Point)>,
    picture: Option<&Arc<Picture>>,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
) -> bool {
    let Some(picture) = picture.filter(|_| view.following.on) else { return false };
    let Some((id, photo, from)) = start(wall, view) else {
        view.following.begun = onto.is_none().then_some(TickId(shown.job.next_id));
        return false;
    };
    let to = onto.map_or_else(|| board.at(at), |o| o.1);
    if onto.is_some_and(|o| o.0 == id) || !inside(picture, to) {
        return false;
    }
    let way = (photo, from, Point::new(to.x.round(), to.y.round()));
    let found = match view.following.found.take() {
        Some((same, Ok(found))) if same == way => Ok(found),
        _ => follow(picture, (photo, from, to)),
    };
    match found {
        Ok(found) => take(wall, id, photo, &found, onto.map(|o| o.0), shown, view, queue),
        Err(why) => view.following.found = Some((way, Err(why))),
    }
    true
}

/// The ticks of a followed edge, all one step to undo.
#[expect(clippy::too_many_arguments, reason = "the end of one gesture; everything it may touch is named")]
fn take(
    wall: &Wall,
    start: TickId,
    photo: PhotoId,
    found: &Followed,
    onto: Option<TickId>,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let gesture = view.new_gesture();
    let mut put = |edit| queue.push(Action::Edit(Edit::Wall(wall.id, edit), Some(gesture)));
    // Each edit takes the next two free numbers, for a tick and for an edge.
    let mut next = shown.job.next_id;
    let height = view.height;
    let place = |px: Point| Place::Pixel { photo, px, height };
    if view.following.begun == Some(start)
        && let Some(first) = found.ticks_px.first()
    {
        put(WallEdit::MoveTick(start, place(*first)));
        next += 2;
    }
    view.following.begun = None;
    let mut edge = wall.template.edges.iter().rev().find(|e| e.ticks.contains(&start));
    let mut id = edge.map(|e| e.id);
    let mut before = edge.and_then(|e| Some(e.ticks.iter().position(|k| *k == start)? + 1));
    before = before.filter(|b| edge.is_some_and(|e| *b < e.ticks.len()));
    if view.new_edge && before.is_none() {
        put(WallEdit::MakeCorner(start));
        (id, edge) = (Some(EdgeId(next + 1)), None);
        next += 2;
    }
    let last = found.ticks_px.len() - usize::from(onto.is_some() && !found.ticks_px.is_empty());
    let ticks = found.ticks_px.get(1..last).unwrap_or(&[]);
    let mut newest = None;
    for px in ticks {
        put(WallEdit::AddTick { edge: id, before, place: place(*px) });
        newest = Some(TickId(next));
        before = before.map(|b| b + 1);
        next += 2;
    }
    // Thinned to the noise, a straight edge has no ticks between its ends.
    let bent =
        found.ticks_px.len() > 2 && edge.is_none_or(|e| e.ticks.len() < 2 && e.kind == EdgeKind::Straight);
    if let (true, Some(id)) = (bent, id) {
        put(WallEdit::EdgeKind(id, EdgeKind::Fair));
    }
    if let Some(end) = onto {
        if click_closes(wall, end, view) {
            put(WallEdit::MakeCorner(end));
        }
        newest = Some(end);
    }
    queue.push(Action::EndGesture);
    view.new_edge = false;
    if let Some(tick) = newest {
        view.selected = Selected::Tick(tick);
        view.next_step = Some(Step::Outline);
    }
}
