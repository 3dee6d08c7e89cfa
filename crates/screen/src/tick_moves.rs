//! Ticks dragged and nudged on the outline's board.

use coldwright_job::{Edit, Place, TickId, Wall, WallEdit};
use egui::{Key, Ui};
use kurbo::{Affine, Point};

use crate::actions::Action;
use crate::board::Board;
use crate::spots::{Spot, nearest};
use crate::view::{Grab, Selected, View};

/// One press of an arrow key: photo pixels, or mm for a typed tick; with Shift the larger.
const NUDGE: (f64, f64) = (0.2, 1.0);

/// Takes hold of a tick, moves it with the pointer, lets it go.
pub(crate) fn drag(
    ui: &Ui,
    board: &mut Board,
    wall: &Wall,
    spots: &[Spot],
    frame: Affine,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let held = ui.input(|i| i.pointer.press_origin().zip(i.pointer.latest_pos()));
    if board.response.drag_started_by(egui::PointerButton::Primary)
        && let Some((from, _)) = held
        && let Some(spot) = nearest(spots, from)
    {
        let gesture = view.new_gesture();
        view.grab = Grab::Tick { id: spot.id, offset: spot.at - board.at(from), gesture, frame };
        view.selected = Selected::Tick(spot.id);
        board.hold(view);
    }
    let Grab::Tick { id, offset, gesture, frame } = view.grab else {
        return;
    };
    if let Some((_, to)) = held.filter(|_| board.response.dragged())
        && let Some(place) = moved(wall, id, board.at(to) + offset, frame)
    {
        queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::MoveTick(id, place)), Some(gesture)));
    }
    if board.response.drag_stopped() || !board.response.dragged() {
        view.grab = Grab::Nothing;
        queue.push(Action::EndGesture);
    }
}

/// The tick's place when it stands there on the board; `None` where this board cannot move it.
fn moved(wall: &Wall, id: TickId, to: Point, frame: Affine) -> Option<Place> {
    match &wall.template.tick(id)?.place {
        Place::Pixel { photo, height, .. } => Some(Place::Pixel { photo: *photo, px: to, height: *height }),
        Place::Typed { sd, .. } => Some(Place::Typed { at: frame.inverse() * to, sd: *sd }),
        // The table's numbers move it, not a hand.
        Place::Taped { .. } => None,
    }
}

/// Moves the tick in hand by the arrow keys.
pub(crate) fn nudge(
    ui: &Ui,
    wall: &Wall,
    on_photo: bool,
    frame: Affine,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let Some(id) = view.tick().filter(|_| !ui.ctx().text_edit_focused()) else { return };
    let focused = ui.memory(egui::Memory::focused);
    if focused.is_some() && focused != view.board_id {
        return;
    }
    let (step, big) = NUDGE;
    let (way, still) = ui.input(|i| {
        let size = if i.modifiers.shift { big } else { step };
        let count = |key| i.num_presses(key) as f64 * size;
        let way = kurbo::Vec2::new(
            count(Key::ArrowRight) - count(Key::ArrowLeft),
            count(Key::ArrowUp) - count(Key::ArrowDown),
        );
        let down =
            [Key::ArrowLeft, Key::ArrowRight, Key::ArrowUp, Key::ArrowDown].iter().any(|k| i.key_down(*k));
        (way, !down)
    });
    if way.hypot2() > 0.0 {
        let place = match wall.template.tick(id).map(|t| &t.place) {
            Some(Place::Pixel { photo, px, height }) if on_photo => Some(Place::Pixel {
                photo: *photo,
                px: *px + kurbo::Vec2::new(way.x, -way.y),
                height: *height,
            }),
            Some(Place::Typed { at, sd }) if !on_photo => {
                Some(Place::Typed { at: frame.inverse() * (frame * *at + way), sd: *sd })
            }
            _ => None,
        };
        if let Some(place) = place {
            if !view.nudging {
                view.nudging = true;
                view.new_gesture();
            }
            queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::MoveTick(id, place)), Some(view.gesture)));
        }
    }
    if view.nudging && still {
        view.nudging = false;
        queue.push(Action::EndGesture);
    }
}
