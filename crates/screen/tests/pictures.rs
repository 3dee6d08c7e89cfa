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
fn seam_light() {
    use coldwright_job::{Edit, Seam, SeamStyle};
    let job = common::two_walls();
    let (wall, name) = (job.walls[0].id, format!("Parts of {} 1", job.walls[0].name));
    let lap = SeamStyle::HalfLap(coldwright_geometry::Length::from_micrometres(40_000));
    let seam = |x: f64| Seam { from: (x, -200.0).into(), to: (x, 900.0).into(), style: lap };
    let seams = |layer, x| Edit::SetSeams { wall, layer, seams: Some(vec![seam(x)]) };
    let mut desk = Desk::with(common::edited(job, &[seams(1, 300.0), seams(2, 340.0)]));
    desk.view.step = Step::Pieces;
    sized(desk, false, "seam_light", vec2(1100.0, 1000.0), |h| {
        h.get_by_label("Cut here").click();
        h.run();
        let middle = h.get_by_label(&name).rect().center();
        for (i, at) in [(20.0, -420.0), (20.0, 0.0), (80.0, 420.0)].into_iter().enumerate() {
            let at = middle + vec2(at.0, at.1);
            h.hover_at(at);
            h.run();
            match i {
                0 => h.drag_at(at),
                2 => h.drop_at(at),
                _ => {}
            }
            h.run();
        }
    });
}

#[test]
fn sheets_sawn_light() {
    use coldwright_job::{Cutting, Edit, SheetShape, StockSheet};
    let mut desk = common::laid_desk();
    let throat = Some(coldwright_geometry::Length::from_64ths(30 * 64));
    let cutting = Cutting { throat, ..desk.job().cutting };
    let ring = [(0.0, 0.0), (800.0, 0.0), (800.0, 300.0), (450.0, 420.0), (0.0, 500.0)];
    let shape = SheetShape::Outline(ring.map(Into::into).to_vec());
    let left = StockSheet { name: "Left over".into(), shape, owned: Some(1), ..StockSheet::default() };
    let stock = vec![left, desk.job().stock[0].clone()];
    // Four pieces in a column on a sheet, so that straight cuts part them.
    let mut kept = desk.job().layout.clone().unwrap_or_default();
    for (i, place) in kept.places.iter_mut().enumerate() {
        let piece = desk.plan.piece(place.piece).expect("the piece is planned");
        let round = coldwright_geometry::bounds(&piece.outline);
        let (row, nth) = (i % 4, i / 4);
        (place.turn_deg, place.nth) = (0.0, nth as u32);
        place.at = (20.0 - round.x0, 10.0 + 600.0 * row as f64 - round.y0).into();
    }
    let history = desk.history.as_mut().expect("a desk has a job");
    for edit in [Edit::SetCutting(cutting), Edit::SetStock(stock), Edit::KeepLayout(Some(kept))] {
        history.edit(&edit, None).expect("the sheets can be so");
    }
    desk.replan();
    desk.view.step = Step::Sheets;
    sized(desk, false, "sheets_sawn_light", vec2(1100.0, 2400.0), |_| {});
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
fn box_typed_light() {
    let mut desk = Desk::with(common::two_walls());
    desk.view.step = Step::Box;
    sized(desk, false, "box_typed_light", vec2(1100.0, 900.0), |_| {});
}

#[test]
fn box_locker_light() {
    let mut desk = Desk::sample("locker.coldwright");
    desk.view.step = Step::Box;
    sized(desk, false, "box_locker_light", vec2(1100.0, 2300.0), |_| {});
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

/// A wall with a drain and a stringer through it, a liner, and a second template at its box face.
fn furnished() -> Desk {
    use coldwright_geometry::Length;
    use coldwright_job::{Edit, Further, Hole, HoleShape, Lies, Lining, Place, TakenAt, WallEdit};
    let mm = |v: i64| Length::from_micrometres(v * 1000);
    let job = common::typed_job();
    let wall = job.walls[0].id;
    let shape = HoleShape::Rectangle { width: mm(120), height: mm(45), corner: mm(0), turn_deg: 12.0 };
    let stringer = Hole { shape, ..Hole::round("Stringer", (mm(560), mm(330)), mm(1)) };
    let drain = Hole { lean_deg: (20.0, 0.0), ..Hole::round("Drain", (mm(220), mm(120)), mm(40)) };
    let mut further = Further { lies: Lies::AsFirst, ..Further::default() };
    further.template.taken_at = TakenAt::FromInner(Length::default());
    let (mut ticks, mut edges) = (job.walls[0].template.ticks.clone(), job.walls[0].template.edges.clone());
    for tick in &mut ticks {
        tick.id.0 += 1000;
        if let Place::Typed { at, .. } = &mut tick.place {
            (at.x, at.y) = (at.x * 1.06 - 20.0, at.y * 1.1 - 15.0);
        }
    }
    for edge in &mut edges {
        edge.id.0 += 1000;
        edge.ticks.iter_mut().for_each(|t| t.0 += 1000);
    }
    let trace = Edit::Wall(wall, WallEdit::Trace(ticks, edges));
    let edits = [
        Edit::Wall(wall, WallEdit::Holes(vec![drain, stringer])),
        Edit::Wall(wall, WallEdit::Liner(Some(Lining::default()))),
        Edit::Wall(wall, WallEdit::Further(vec![further])),
        Edit::InTemplate { wall, template: 1, edit: Box::new(trace) },
    ];
    Desk::with(common::edited(job, &edits))
}

/// A wall over a hollow with its first layer in strips, and an air gap.
#[test]
fn hollow_light() {
    use coldwright_geometry::Length;
    use coldwright_job::{FirstLayers, HollowBehind, HollowShape, WallEdit};
    let mm = |v: i64| Length::from_micrometres(v * 1000);
    let mut desk = Desk::with(common::typed_job());
    let mut layers = desk.job().walls[0].layers.clone();
    layers[2].before = mm(12);
    desk.edit(WallEdit::Layers(layers));
    let mut behind = HollowBehind::measured(mm(900), mm(70));
    behind.shape = HollowShape::Gaps { length: mm(900), gaps: vec![(mm(250), mm(52)), (mm(500), mm(70))] };
    behind.first = FirstLayers::Strips { layers: 1, gap: mm(3), widest: mm(300), square_up_to: mm(1) };
    desk.edit(WallEdit::Hollow(Some(behind)));
    desk.view.step = Step::Layers;
    sized(desk, false, "hollow_light", vec2(1200.0, 1780.0), |h| h.get_by_label("section").click());
}

#[test]
fn templates_light() {
    let mut desk = furnished();
    desk.view.step = Step::Outline;
    sized(desk, false, "templates_light", vec2(1200.0, 1120.0), |h| {
        h.get_by_label("2nd").click();
    });
}

#[test]
fn holes_light() {
    let mut desk = furnished();
    desk.view.step = Step::Outline;
    sized(desk, false, "holes_light", vec2(1200.0, 1180.0), |h| {
        let at = h.get_by_label_contains("120.0 × 45.0").rect().center();
        h.hover_at(at);
        h.run();
        h.drag_at(at);
        h.run();
        h.drop_at(at);
    });
}

#[test]
fn liner_light() {
    let mut desk = furnished();
    desk.view.step = Step::Layers;
    sized(desk, false, "liner_light", vec2(1200.0, 1620.0), |h| {
        h.get_by_label("section").click();
        h.run();
        h.get_by_label("Layer 2").click();
    });
}
