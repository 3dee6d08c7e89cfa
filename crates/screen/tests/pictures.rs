//! The window as it looks: a few small pictures, light and dark. They need a software renderer; where there is none
//! they are skipped, or fail under `COLDWRIGHT_TEST_ALL=1`.

#![expect(clippy::print_stdout, reason = "a skipped test says so")]

mod common;

use std::panic::catch_unwind;
use std::sync::OnceLock;

use coldwright_job::{Job, Step};
use coldwright_screen::{Icon, Palette};
use common::Desk;
use egui::{Rect, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

/// Whether pictures can be made here; says so where they cannot.
fn can_draw() -> bool {
    static CAN: OnceLock<bool> = OnceLock::new();
    let can = *CAN.get_or_init(|| {
        catch_unwind(|| {
            Harness::builder().with_size(vec2(32.0, 32.0)).wgpu().build_ui(|_| {}).render().is_ok()
        })
        .unwrap_or(false)
    });
    if !can {
        assert!(
            std::env::var("COLDWRIGHT_TEST_ALL").as_deref() != Ok("1"),
            "no software renderer (mesa-vulkan-drivers)"
        );
        println!("skipped: needs a software renderer (mesa-vulkan-drivers)");
    }
    can
}

fn picture(desk: Desk, dark: bool, name: &str, act: impl FnOnce(&mut Harness<'static, Desk>)) {
    sized(desk, dark, name, vec2(1024.0, 640.0), act);
}

fn sized(
    mut desk: Desk,
    dark: bool,
    name: &str,
    size: egui::Vec2,
    act: impl FnOnce(&mut Harness<'static, Desk>),
) {
    if !can_draw() {
        return;
    }
    desk.view.dark = dark;
    let mut h = desk.open_for_pictures(size.x, size.y);
    h.run();
    act(&mut h);
    h.run();
    h.remove_cursor();
    h.run();
    h.snapshot(name);
}

/// A laptop's window, at full size.
fn tall(desk: Desk, dark: bool, name: &str) {
    sized(desk, dark, name, vec2(1400.0, 820.0), |_| {});
}

#[test]
fn start_light() {
    picture(Desk::with(Job::default()), false, "start_light", |_| {});
}

#[test]
fn outline_dark() {
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Outline;
    picture(desk, true, "outline_dark", |h| {
        let id = h.state().job().walls[0].template.edges[1].id;
        h.state_mut().view.select_edge(id);
    });
}

#[test]
fn stack_light() {
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Layers;
    picture(desk, false, "stack_light", |_| {});
}

#[test]
fn plan_dark() {
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Layers;
    picture(desk, true, "plan_dark", |h| h.get_by_label("plan").click());
}

#[test]
fn sheets_light() {
    let mut desk = common::laid_desk();
    desk.view.step = Step::Sheets;
    let id = desk.plan.pieces[1].id;
    desk.view.select_piece(id);
    sized(desk, false, "sheets_light", vec2(1100.0, 1460.0), |_| {});
}

#[test]
fn sheets_dark() {
    let mut desk = common::laid_desk();
    desk.view.step = Step::Sheets;
    picture(desk, true, "sheets_dark", |_| {});
}

#[test]
fn sheets_out_of_date() {
    let mut desk = common::laid_desk();
    let mut layers = desk.job().walls[0].layers.clone();
    layers.push(layers[0].clone());
    desk.edit(coldwright_job::WallEdit::Layers(layers));
    desk.view.step = Step::Sheets;
    picture(desk, false, "sheets_out_of_date", |_| {});
}

#[test]
fn sheets_empty() {
    let mut desk = Desk::with(common::two_walls());
    desk.view.step = Step::Sheets;
    picture(desk, false, "sheets_empty", |_| {});
}

#[test]
fn pieces_light() {
    let mut desk = Desk::with(common::small_opening());
    desk.view.step = Step::Pieces;
    tall(desk, false, "pieces_light");
}

#[test]
fn pieces_dark() {
    let mut desk = Desk::with(common::small_opening());
    desk.view.step = Step::Pieces;
    picture(desk, true, "pieces_dark", |_| {});
}

#[test]
fn box_light() {
    let mut desk = Desk::with(common::typed_box());
    desk.view.step = Step::Box;
    tall(desk, false, "box_light");
}

#[test]
fn box_dark() {
    let mut desk = Desk::with(common::typed_box());
    desk.view.step = Step::Box;
    picture(desk, true, "box_dark", |_| {});
}

#[test]
fn icons() {
    if !can_draw() {
        return;
    }
    let all = [
        Icon::Photo,
        Icon::Outline,
        Icon::Layers,
        Icon::Box,
        Icon::Pieces,
        Icon::Sheets,
        Icon::Papers,
        Icon::Undo,
        Icon::Redo,
        Icon::Open,
        Icon::Save,
        Icon::Light,
        Icon::Dark,
        Icon::More,
        Icon::Fit,
        Icon::Work,
        Icon::Note,
        Icon::Look,
        Icon::Stop,
    ];
    let mut h = Harness::builder().with_size(vec2(400.0, 420.0)).wgpu().build_ui(move |ui| {
        let painter = ui.ctx().layer_painter(egui::LayerId::background());
        for (half, palette) in [(0.0, Palette::LIGHT), (210.0, Palette::DARK)] {
            painter.rect_filled(
                Rect::from_min_size(pos2(0.0, half), vec2(400.0, 210.0)),
                0.0,
                palette.column,
            );
            for (index, icon) in all.into_iter().enumerate() {
                let (column, row) = (index % 8, index / 8);
                let at = pos2(20.0 + column as f32 * 46.0, half + 24.0 + row as f32 * 58.0);
                icon.paint(&painter, Rect::from_min_size(at, vec2(40.0, 40.0)), palette.ink);
            }
        }
    });
    h.run();
    h.snapshot("icons");
}
