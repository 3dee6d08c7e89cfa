//! Processor time of a frame on our side (layout, drawing commands, triangles), without the graphics card: while the
//! stack or a box of nine walls is turned, the photo is moved, and a tick is dragged. Budget: 4 ms a frame in a release build.
//!
//! `cargo run --release -p coldwright-screen --example frame_times`

#![expect(clippy::print_stdout, reason = "a program to run by hand")]

#[path = "../tests/common/mod.rs"]
mod common;

use std::sync::OnceLock;
use std::time::{Duration, Instant};

use coldwright_job::Step;
use common::Desk;
use egui::{Event, Modifiers, PointerButton, Pos2, RawInput, Rect, pos2, vec2};

const FRAMES: usize = 200;

fn main() {
    let hull = || Desk::sample_with_photo("hull-side.coldwright");
    let at = |step| {
        let mut desk = hull();
        desk.view.step = step;
        desk
    };
    let middle = pos2(860.0, 480.0);
    measure("at rest on the photo", at(Step::Photo), None);
    measure("moving the photo", at(Step::Photo), Some(middle));
    measure("moving the traced photo", at(Step::Outline), Some(pos2(560.0, 790.0)));
    measure("turning the stack", at(Step::Layers), Some(middle));
    let boxed = |spread: f64| {
        let mut desk = Desk::sample("locker.coldwright");
        desk.view.step = Step::Box;
        desk.view.look_at_box(spread, true);
        desk
    };
    measure("turning the box", boxed(0.0), Some(middle));
    measure("turning it spread apart", boxed(1.0), Some(middle));
    measure("moving the pattern", at(Step::Papers), Some(middle));
}

/// Processor time of this thread so far, where the system tells it (in steps of a few ms); else the time that has passed.
fn spent() -> Duration {
    static BEGUN: OnceLock<Instant> = OnceLock::new();
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let ns = told.as_deref().and_then(|t| t.split(' ').next()?.parse().ok());
    ns.map_or_else(|| BEGUN.get_or_init(Instant::now).elapsed(), Duration::from_nanos)
}

/// Frames of a held drag round a point: their processor time, and by the clock with and without triangles.
fn measure(what: &str, mut desk: Desk, drag: Option<Pos2>) {
    let ctx = egui::Context::default();
    coldwright_screen::install(&ctx);
    let mut frame = |events: Vec<Event>, time: f64| {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, vec2(1400.0, 900.0))),
            time: Some(time),
            events,
            ..RawInput::default()
        };
        let begun = Instant::now();
        let mut out = ctx.run_ui(input, |ui| desk.frame(ui));
        let drawn = begun.elapsed();
        out.textures_delta.clear();
        let _ = ctx.tessellate(out.shapes, out.pixels_per_point);
        (drawn, begun.elapsed())
    };
    for i in 0..4 {
        frame(Vec::new(), f64::from(i) / 60.0);
    }
    if let Some(at) = drag {
        let button = PointerButton::Primary;
        frame(vec![Event::PointerMoved(at)], 0.1);
        frame(
            vec![Event::PointerButton { pos: at, button, pressed: true, modifiers: Modifiers::NONE }],
            0.12,
        );
    }
    let begun = spent();
    let mut all: Vec<(Duration, Duration)> = (0..FRAMES)
        .map(|i| {
            let turn = i as f32 / 20.0;
            let moved = drag.map(|at| Event::PointerMoved(at + vec2(60.0 * turn.sin(), 40.0 * turn.cos())));
            frame(moved.into_iter().collect(), 0.2 + i as f64 / 60.0)
        })
        .collect();
    let mean = spent().saturating_sub(begun) / FRAMES as u32;
    all.sort_by_key(|t| t.1);
    let ms = |d: Duration| d.as_secs_f64() * 1e3;
    let (half, most) = (all[FRAMES / 2], all[FRAMES * 95 / 100]);
    println!(
        "{what:>24}: {:5.2} ms of processor time in the mean; by the clock {:5.2} ms, {:5.2} ms of it layout, 95 of 100 under \
         {:5.2} ms",
        ms(mean),
        ms(half.1),
        ms(half.0),
        ms(most.1)
    );
}
