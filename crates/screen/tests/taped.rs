//! The step Outline without cards: tables typed or pasted, diagonals checked by tape, edges followed, rectangles clicked.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::sync::Arc;

use coldwright_canvas::{CardKind, PhotoFacts, Picture};
use coldwright_geometry::EdgeKind;
use coldwright_job::{Edit, Job, PhotoId, Place, Severity, Sighting, Step, TapedWay, WallEdit};
use coldwright_screen::Action;
use common::tracing::{click_at, on_screen};
use common::{Desk, edited, text_box, type_over};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kurbo::Point;

/// Types a table into a box of lines and takes it.
fn type_lines(h: &mut Harness<'static, Desk>, name: &str, words: &str) {
    let of =
        |h: &Harness<'static, Desk>| h.get_by_role_and_label(egui::Role::MultilineTextInput, name).rect();
    let _ = of(h);
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name).focus();
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::A);
    h.get_by_role_and_label(egui::Role::MultilineTextInput, name).type_text(words);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::Enter);
    h.run();
}

fn bare() -> Harness<'static, Desk> {
    let job = edited(Job::default(), &[Edit::AddWall { name: "Forward".into() }]);
    let mut desk = Desk::with(job);
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 1500.0);
    h.run();
    h
}

#[test]
fn ties_are_typed_and_the_blunder_is_named() {
    let mut h = bare();
    h.get_by_label("ties from two nails").click();
    h.run();
    let taped = h.state().job().walls[0].template.taped.clone().unwrap();
    assert!(matches!(taped.way, TapedWay::Ties { .. }));
    type_lines(&mut h, "Nails", "P; 0; -100\nQ; 1000; -100");
    type_lines(
        &mut h,
        "Table of measured points",
        "1; 111.8; 955.25\n2; 955.25; 111.8\n3; 1180; 701.8\n4; 701.8; 1180",
    );
    assert!(h.state().refused.is_empty(), "{:?}", h.state().refused);
    let plan = &h.state().plan.walls[0];
    assert!(plan.outline.is_some(), "{:?}", plan.problems);
    type_lines(&mut h, "Lengths to check by", "1; 3; 1081.7\n2; 4; 1081.7\n1; 2; 900");
    h.get_by_label_contains("more measurements than needed agree");
    h.get_by_label("What they miss by");
    type_lines(&mut h, "Lengths to check by", "1; 3; 1081.7\n2; 4; 1098\n1; 2; 900\n3; 4; 900\n2; 3; 600");
    h.get_by_label_contains("measure the length from 2 to 4 again first");
    h.get_by_label("2 to 4, look here");
    // What cannot be read stays, with its line and cell.
    type_lines(&mut h, "Table of measured points", "1; 111.8; x");
    h.get_by_label_contains("Line 1, cell 3");
    assert_eq!(h.state().job().walls[0].template.ticks.len(), 4, "nothing is lost");
}

#[test]
fn a_table_comes_from_a_file_by_a_wish() {
    let mut h = bare();
    h.get_by_label("offsets from a line").click();
    h.run();
    h.get_by_label("Table from a file…").click();
    h.run();
    let wall = h.state().job().walls[0].id;
    assert_eq!(h.state().asked.last(), Some(&Action::ReadTable { wall, path: None }));
    // Back to point by point: one step, and undo brings the table back.
    h.get_by_label("point by point").click();
    h.run();
    assert!(h.state().job().walls[0].template.taped.is_none());
    text_box(&h, "Next point, across and up");
}

#[test]
fn a_diagonal_is_taped_compared_and_counts_when_told() {
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 2200.0);
    h.run();
    h.get_by_label("Check with a tape");
    let diagonals = h.state().plan.walls[0].measured.diagonals.clone();
    assert_eq!(diagonals.len(), 3);
    let number = |h: &Harness<'static, Desk>, id| {
        h.state().plan.walls[0].ticks.iter().find(|t| t.id == id).unwrap().number.to_string()
    };
    let (from, to) = (number(&h, diagonals[0].from), number(&h, diagonals[0].to));
    let name = format!("Taped from {from} to {to}");
    type_over(&mut h, &name, &format!("{:.1} mm", diagonals[0].mm + 0.4));
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("They agree");
    type_over(&mut h, &name, &format!("{:.1} mm", diagonals[0].mm + 9.0));
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("Look here: 9.0 mm longer");
    assert!(h.state().plan.walls[0].problems.iter().any(|p| p.severity == Severity::Look));
    h.get_by_label("counts too").click();
    h.run();
    assert!(h.state().job().walls[0].template.distances[0].counts);
    assert!(h.state().plan.walls[0].measured.distances[0].left < 8.0, "the tape has its say");
}

/// A job with a drawn photo: a light disc of 300 pixels' radius on a dark ground, no cards.
fn drawn() -> Harness<'static, Desk> {
    let (w, h) = (1200_u32, 900_u32);
    let mut rgb = Vec::with_capacity(3 * (w * h) as usize);
    for y in 0..h {
        for x in 0..w {
            let far = (f64::from(x) - 600.0).hypot(f64::from(y) - 450.0);
            let light = 60.0 + 130.0 * (300.5 - far).clamp(0.0, 1.0);
            rgb.extend([light as u8; 3]);
        }
    }
    let job = edited(Job::default(), &[Edit::AddWall { name: "Forward".into() }]);
    let wall = job.walls[0].id;
    let sighting = Sighting { photo: PhotoId(0), size: (w, h), focal_px: Some(1000.0), cards: Vec::new() };
    let bytes: Arc<[u8]> = b"picture".as_slice().into();
    let add = Edit::AddPhoto { wall, name: "disc.png".into(), bytes, sighting, kind: CardKind::Printed };
    let mut desk = Desk::with(edited(job, &[add]));
    let picture = Picture::from_rgb(w, h, rgb, PhotoFacts::default()).unwrap();
    desk.pictures.insert(desk.job().photos[0].id, Arc::new(picture));
    desk.view.step = Step::Outline;
    let mut h = desk.open(1400.0, 1500.0);
    h.run();
    h
}

#[test]
fn an_edge_is_followed_from_click_to_click() {
    let mut h = drawn();
    h.get_by_label("Follow the photo's edge").click();
    h.run();
    let on = |a: f64| Point::new(600.0 + 300.0 * a.cos(), 450.0 + 300.0 * a.sin());
    // The first click a little off the edge: it is set right when the edge is followed.
    let near = Point::new(600.0 + 303.0, 450.0);
    let at = on_screen(&h, near);
    click_at(&mut h, at);
    for a in [1.5, 3.0] {
        let at = on_screen(&h, on(a));
        h.hover_at(at);
        for _ in 0..40 {
            h.step();
            std::thread::sleep(std::time::Duration::from_millis(5));
        }
        click_at(&mut h, at);
    }
    let t = &h.state().job().walls[0].template;
    assert_eq!(t.edges.len(), 1, "{:?}", h.state().asked);
    assert_eq!(t.edges[0].kind, EdgeKind::Fair, "{:?} {:?}", h.state().asked, h.state().refused);
    let ticks: Vec<Point> = t.edges[0]
        .ticks
        .iter()
        .map(|id| match &t.tick(*id).unwrap().place {
            Place::Pixel { px, .. } => *px,
            other => panic!("{other:?}"),
        })
        .collect();
    assert!((8..60).contains(&ticks.len()), "{} ticks", ticks.len());
    for p in &ticks {
        let off = p.distance(Point::new(600.0, 450.0)) - 300.0;
        assert!(off.abs() < 1.2, "{p:?} is {off} off");
    }
    // In order along the edge, none twice.
    let angles: Vec<f64> = ticks.iter().map(|p| (p.y - 450.0).atan2(p.x - 600.0)).collect();
    assert!(angles.windows(2).all(|w| w[1] > w[0] - 1e-6), "{angles:?}");
    // One click is one step to undo.
    let before = ticks.len();
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    let now = h.state().job().walls[0].template.edges[0].ticks.len();
    assert!(now < before && now > 1, "{now} of {before}");
}

#[test]
fn a_rectangle_is_typed_and_its_corners_clicked() {
    let mut h = drawn();
    h.state_mut().view.step = Step::Photo;
    h.run();
    for (name, words) in [
        ("Rectangle's width", "900 mm"),
        ("Rectangle's height", "640 mm"),
        ("Diagonal from top left to bottom right", "1104.4 mm"),
        ("Diagonal from top right to bottom left", "1104.4 mm"),
    ] {
        type_over(&mut h, name, words);
        h.key_press(Key::Enter);
        h.run();
    }
    h.get_by_label("Click its four corners").click();
    h.run();
    let board = h.get_by_label("Photo disc.png").rect();
    for (x, y) in [(-200.0, -150.0), (210.0, -140.0), (260.0, 160.0), (-240.0, 150.0)] {
        click_at(&mut h, board.center() + egui::vec2(x, y));
    }
    let known = h.state().job().walls[0].template.rectangle.expect("a rectangle");
    assert!((known.width.mm() - 900.0).abs() < 1e-9 && known.corners[0].x < known.corners[1].x);
    assert!(h.state().plan.walls[0].solve.is_some(), "{:?}", h.state().plan.walls[0].problems);
    h.get_by_label("Take it away").click();
    h.run();
    assert!(matches!(h.state().wall_edits().last(), Some(WallEdit::Rectangle(None))));
    // A sketch from two points is called one.
    type_over(&mut h, "Distance of the sketch's two points", "800 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label("Click the two points").click();
    h.run();
    for x in [-200.0, 210.0] {
        click_at(&mut h, board.center() + egui::vec2(x, 0.0));
    }
    assert!(h.state().job().walls[0].template.sketch.is_some());
}
