//! Turning what is shown in the round: the hand's drag, and what the eye sees.

use std::ops::RangeInclusive;

use egui::{Response, Ui};

use crate::view::{Grab, View};

/// Radians of turn for one screen point of dragging.
const TURN: f64 = 0.008;

/// Lets a drag turn the view about the upright and tip it within bounds.
pub(crate) fn by_hand(ui: &Ui, response: &Response, view: &mut View, tip: RangeInclusive<f64>) {
    if response.drag_started() {
        view.grab = Grab::Turn { from: view.turn };
    }
    if let Grab::Turn { from } = view.grab {
        let held = ui.input(|i| i.pointer.press_origin().zip(i.pointer.latest_pos()));
        if let Some((a, b)) = held.filter(|_| response.dragged()) {
            let d = b - a;
            view.turn.0 = from.0 + f64::from(d.x) * TURN;
            view.turn.1 = (from.1 + f64::from(d.y) * TURN).clamp(*tip.start(), *tip.end());
        } else {
            view.grab = Grab::Nothing;
        }
    }
}

/// What an eye turned so sees of a place right, away and up of the middle: to the right, up on the screen, towards the eye.
pub(crate) fn seen(turn: (f64, f64), (x, y, z): (f64, f64, f64)) -> (f64, f64, f64) {
    let (sin, cos) = turn.0.sin_cos();
    let (x, y) = (x * cos - y * sin, x * sin + y * cos);
    let (down, up) = turn.1.sin_cos();
    (x, y * down + z * up, z * down - y * up)
}
