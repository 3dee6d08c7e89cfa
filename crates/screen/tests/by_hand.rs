//! Seams and pieces moved by hand, the saw stated, off-cuts told by their corners, the order at the saw.

mod common;

use coldwright_geometry::Length;
use coldwright_job::{Edit, Step};
use common::{Desk, laid_desk, text_box, two_walls, type_over};
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

fn open(mut desk: Desk, step: Step) -> Harness<'static, Desk> {
    desk.view.step = step;
    let mut h = desk.open(1200.0, 1500.0);
    h.run();
    h
}

/// Presses at the first place, goes over the others and lets go at the last.
fn drag(h: &mut Harness<'static, Desk>, path: &[egui::Pos2]) {
    for (i, at) in path.iter().enumerate() {
        h.hover_at(*at);
        h.run();
        if i == 0 {
            h.drag_at(*at);
        } else if i + 1 == path.len() {
            h.drop_at(*at);
        }
        h.run();
    }
}

#[test]
fn a_seam_is_dragged_whole_and_by_an_end_and_lapped() {
    let mut h = open(Desk::with(two_walls()), Step::Pieces);
    h.get_by_label("Cut here").click();
    h.run();
    let middle = h.get_by_label("Parts of Forward 1").rect().center();
    let at = |x: f32, y: f32| middle + egui::vec2(x, y);
    drag(&mut h, &[at(0.0, -420.0), at(0.0, 0.0), at(0.0, 420.0)]);
    let seam = |h: &Harness<'static, Desk>| h.state().job().seams[0].seams[0];
    let drawn = seam(&h);
    drag(&mut h, &[at(0.0, 0.0), at(30.0, 0.0), at(60.0, 0.0)]);
    let moved = seam(&h);
    let by = moved.from.x - drawn.from.x;
    assert!(by > 10.0 && (moved.to.x - drawn.to.x - by).abs() < 0.05, "{drawn:?} {moved:?}");
    // Moved as a whole its ends lie on the rim of the foam: the wall's outline.
    let parts = h.state().plan.pieces.iter().filter(|p| p.id.layer == 1 && p.parts == 2).count();
    assert_eq!(parts, 2, "{:?}", h.state().plan.shared);
    // The end is where it was put, to a screen point.
    let board = h.get_by_label("Parts of Forward 1").rect().center();
    let scale = 60.0 / by as f32;
    let tip = board
        + egui::vec2(60.0, 0.0)
        + egui::vec2(0.0, (moved.from.y - moved.to.y).abs() as f32 / 2.0 * scale);
    drag(&mut h, &[tip, tip + egui::vec2(20.0, 0.0), tip + egui::vec2(40.0, 0.0)]);
    let tilted = seam(&h);
    let (a, b) = ((tilted.from.x - moved.from.x).abs(), (tilted.to.x - moved.to.x).abs());
    assert!(a.max(b) > 5.0 && a.min(b) < 0.05, "one end only: {moved:?} {tilted:?}");
    h.get_by_label("half-lapped").click();
    h.run();
    assert!(matches!(seam(&h).style, coldwright_job::SeamStyle::HalfLap(w) if (w.mm() - 20.0).abs() < 1e-9));
    type_over(&mut h, "Width of the lap", "1 in");
    h.key_press(Key::Enter);
    h.run();
    assert!(matches!(seam(&h).style, coldwright_job::SeamStyle::HalfLap(w) if (w.mm() - 25.4).abs() < 1e-9));
    h.get_by_label("square").click();
    h.run();
    assert_eq!(seam(&h).style, coldwright_job::SeamStyle::Butt);
    assert!(h.state().refused.is_empty(), "{:?}", h.state().refused);
}

#[test]
fn everything_of_the_saw_can_be_stated() {
    let mut h = open(Desk::with(two_walls()), Step::Sheets);
    for (name, words) in [
        ("Width of the cut", "2 mm"),
        ("Width of the blade", "1/4 in"),
        ("From blade to column", "14 in"),
        ("Table tilts down away from the column", "40"),
        ("Table tilts down towards the column", "5°"),
        ("Distance between pieces", "5 mm"),
        ("Margin of the sheet", "4 mm"),
        ("Spare foam, per cent", "15 %"),
        ("Distance between seams of neighbouring layers", "3 in"),
        ("Distance of seams from corners and cut-outs", "30 mm"),
        ("Litres of set foam from a can", "25 litres"),
        ("Radius of the fillet", "12 mm"),
    ] {
        type_over(&mut h, name, words);
        h.key_press(Key::Enter);
        h.run();
    }
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let said = coldwright_job::Cutting {
        kerf: mm(2.0),
        apart: mm(5.0),
        margin: mm(4.0),
        throat: Some(mm(355.6)),
        tilt: (40, 5),
        blade: mm(6.35),
        stagger: mm(76.2),
        clear: mm(30.0),
        spare: 15,
        can_litres: 25,
        fillet: mm(12.0),
    };
    assert_eq!(h.state().job().cutting, said);
    type_over(&mut h, "Table tilts down away from the column", "80");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("from 0 to 75");
    text_box(&h, "From blade to column").click();
    h.run();
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::A);
    h.run();
    h.key_press(Key::Delete);
    h.run();
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(h.state().job().cutting.throat, None, "nothing in the way");
}

#[test]
fn a_piece_is_dragged_on_its_sheet_held_and_turned() {
    let mut h = open(laid_desk(), Step::Sheets);
    let id = h.state().plan.pieces[0].id;
    h.state_mut().view.select_piece(id);
    h.run();
    let place =
        |h: &Harness<'static, Desk>| h.state().job().layout.as_ref().unwrap().place(id).unwrap().clone();
    let before = place(&h);
    assert!(!before.locked);
    h.get_by_label("Quarter turn").click();
    h.run();
    let turned = place(&h);
    assert!(turned.locked && (turned.turn_deg - (before.turn_deg + 90.0).rem_euclid(360.0)).abs() < 1e-9);
    type_over(&mut h, "Turn of the piece on its sheet", &format!("{}", before.turn_deg));
    h.key_press(Key::Enter);
    h.run();
    let back = place(&h);
    assert!((back.at - before.at).hypot() < 0.01, "turned about its own middle: {before:?} {back:?}");
    // Where a piece lies on the screen follows from what the board tells of itself: the selected piece's own place.
    let at = h.state().view.piece_on_screen().unwrap();
    drag(&mut h, &[at, at + egui::vec2(4.0, 3.0), at + egui::vec2(12.0, 8.0)]);
    let moved = place(&h);
    assert!(moved.locked && (moved.at - back.at).hypot() > 1.0, "{back:?} {moved:?}");
    assert!((moved.turn_deg - back.turn_deg).abs() < 1e-9);
    assert!(h.state().refused.is_empty(), "{:?}", h.state().refused);
}

#[test]
fn an_off_cut_is_told_by_its_corners() {
    let mut h = open(Desk::with(two_walls()), Step::Sheets);
    h.get_by_label("corners").click();
    h.run();
    let ring = |h: &Harness<'static, Desk>| match &h.state().job().stock[0].shape {
        coldwright_job::SheetShape::Outline(ring) => ring.clone(),
        other => unreachable!("{other:?}"),
    };
    assert_eq!(ring(&h).len(), 4);
    type_over(
        &mut h,
        "All corners, across; up / across; up",
        "0; 0 / 800 mm; 0 / 800 mm; 300 mm / 400 mm; 500 mm / 0; 20 in",
    );
    h.key_press(Key::Enter);
    h.run();
    let of = |x: f64, y: f64| kurbo::Point::new(x, y);
    assert_eq!(ring(&h), [of(0.0, 0.0), of(800.0, 0.0), of(800.0, 300.0), of(400.0, 500.0), of(0.0, 508.0)]);
    type_over(&mut h, "Corner 4 up", "450 mm");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(ring(&h)[3], of(400.0, 450.0));
    h.get_by_label("Add corner").click();
    h.run();
    assert_eq!(ring(&h)[5], of(0.0, 254.0), "half way back to the first");
    h.get_by_label("Remove the last corner").click();
    h.run();
    // A bow tie is no off-cut.
    type_over(
        &mut h,
        "All corners, across; up / across; up",
        "0; 0 / 800 mm; 300 mm / 800 mm; 0 / 0; 300 mm",
    );
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("crosses itself");
    assert_eq!(ring(&h).len(), 5);
    h.get_by_label("rectangle").click();
    h.run();
    assert!(matches!(h.state().job().stock[0].shape, coldwright_job::SheetShape::Rectangle { .. }));
}

#[test]
fn the_order_at_the_saw_and_its_rule_are_told() {
    let mut h = open(laid_desk(), Step::Sheets);
    h.get_by_label(coldwright_job::CUTTING_RULE);
    let first = h.state().plan.cutting_order()[0].clone();
    h.get_by_label(&format!("1. {}", first.mark)).click_accesskit();
    h.run();
    h.get_by_label(&format!("Piece {}", first.mark));
    let cutting =
        coldwright_job::Cutting { throat: Some(Length::from_64ths(24 * 64)), ..h.state().job().cutting };
    let job = coldwright_job::apply(h.state().job(), &Edit::SetCutting(cutting)).unwrap();
    let desk = Desk::with(job);
    let h = open(desk, Step::Sheets);
    let laid = h.state().plan.laid.clone().unwrap();
    assert_eq!(laid.break_downs.len(), laid.layout.sheets.len());
    let by_cuts = laid.break_downs.iter().any(|b| matches!(b, coldwright_job::BreakDown::Cuts(_)));
    h.get_by_label_contains(if by_cuts { "First saw right across" } else { "by straight cuts" });
}
