//! The photo being traced: where its pixels stand on the screen, and clicks on it.
#![allow(
    dead_code,
    clippy::allow_attributes,
    clippy::panic,
    clippy::unwrap_used,
    reason = "a rig for tests, of which each test file uses its own part"
)]

use coldwright_job::{Place, Step};
use egui::{Pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kurbo::Point;

use super::Desk;

/// The first sample on the step Outline.
pub fn tracing() -> Harness<'static, Desk> {
    let mut desk = Desk::sample("hull-side.coldwright");
    desk.view.step = Step::Outline;
    let mut h = desk.open(1400.0, 900.0);
    h.run();
    h
}

/// The pixel of a clicked tick.
pub fn pixel(place: &Place) -> Point {
    match place {
        Place::Pixel { px, .. } => *px,
        Place::Typed { .. } | Place::Taped { .. } => panic!("a clicked tick was expected"),
    }
}

/// Where a photo pixel stands on the screen while all of the photo is shown: the photo is fitted with 32 points of
/// room, its pixel centres at whole numbers.
pub fn on_screen(h: &Harness<'static, Desk>, px: Point) -> Pos2 {
    let board = h.get_by_label("Tracing on the photo").rect();
    let (w, v) = h.state().job().walls[0].template.sightings.as_ref().unwrap().photos[0].size;
    let room = board.shrink(32.0);
    let scale = (room.width() / w as f32).min(room.height() / v as f32);
    let middle = Point::new(f64::from(w) / 2.0 - 0.5, f64::from(v) / 2.0 - 0.5);
    let off = (px - middle) * f64::from(scale);
    board.center() + vec2(off.x as f32, off.y as f32)
}

/// One click.
pub fn click_at(h: &mut Harness<'static, Desk>, at: Pos2) {
    h.hover_at(at);
    h.run();
    h.drag_at(at);
    h.run();
    h.drop_at(at);
    h.run();
}
