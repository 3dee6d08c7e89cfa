//! A drawing file that is asked about.
#![allow(
    clippy::unwrap_used,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use std::sync::Arc;

use coldwright_job::{DrawnFile, Edit, Job, Step};
use coldwright_screen::Action;
use common::Desk;
use egui::Key;
use egui_kittest::kittest::Queryable as _;

/// Two outlines in a file that says no unit: 30 × 20, and 6 × 4 inside it.
fn file() -> Arc<DrawnFile> {
    let text = "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"40\" height=\"30\">\
        <g id=\"wall\"><rect x=\"5\" y=\"5\" width=\"30\" height=\"20\"/></g>\
        <g id=\"hatch\"><rect x=\"15\" y=\"10\" width=\"6\" height=\"4\"/></g></svg>";
    Arc::new(DrawnFile::read("side.svg", text.as_bytes()).unwrap())
}

#[test]
fn unit_and_outline_are_asked_and_what_is_said_goes_out() {
    let mut desk = Desk::with(Job::default());
    desk.view.ask_about_drawing(None, file());
    let mut h = desk.open(1200.0, 900.0);
    h.run();
    h.get_by_label_contains("becomes the template of a new wall");
    h.get_by_label("Take this outline").click();
    h.run();
    assert!(h.state().asked.is_empty(), "nothing is taken before the unit is said");
    h.get_by_label("inches").click();
    h.run();
    h.get_by_value("762.0 × 508.0 mm");
    h.get_by_label_contains("hatch").click();
    h.run();
    h.get_by_value("152.4 × 101.6 mm");
    h.get_by_label("Take this outline").click();
    h.run();
    let [Action::TakeDrawing { wall: None, outline: 1, unit_mm, .. }] = h.state().asked.as_slice() else {
        panic!("{:?}", h.state().asked);
    };
    assert!((unit_mm - 25.4).abs() < 1e-12);
    assert!(h.query_by_label("Take this outline").is_none(), "the question is answered");
}

#[test]
fn a_bare_wall_is_named_and_escape_leaves_the_drawing() {
    let mut desk = Desk::with(Job::default());
    desk.history.as_mut().unwrap().edit(&Edit::AddWall { name: "Floor".into() }, None).unwrap();
    desk.replan();
    let wall = desk.job().walls[0].id;
    desk.view.ask_about_drawing(Some(wall), file());
    let mut h = desk.open(1200.0, 900.0);
    h.run();
    h.get_by_label_contains("becomes the template of Floor");
    h.key_press(Key::Escape);
    h.run();
    assert!(h.query_by_label("Take this outline").is_none());
    h.get_by_label("Take them from a drawing…").click();
    h.run();
    assert_eq!(h.state().asked, [Action::AddDrawing { wall: Some(wall), path: None }]);
}

#[test]
fn a_click_on_the_board_chooses_the_smallest_outline_under_it() {
    let mut desk = Desk::with(Job::default());
    desk.view.step = Step::Outline;
    desk.view.ask_about_drawing(None, file());
    let mut h = desk.open(1200.0, 900.0);
    h.run();
    h.get_by_label("mm").click();
    h.run();
    h.get_by_value("30.0 × 20.0 mm");
    // The board shows the 30 × 20 as 1000 × 667 with some room round it; the hatch's middle is 2 to the left of the middle of
    // that and 3 above it.
    let board = h.get_by_label("Outlines of the drawing").rect();
    let scale = ((board.width() - 64.0) / 1160.0).min((board.height() - 64.0) / 826.7);
    let at = board.center() + egui::vec2(-2.0, -3.0) * (1000.0 / 30.0) * scale;
    h.hover_at(at);
    h.drag_at(at);
    h.drop_at(at);
    h.run();
    h.get_by_value("6.0 × 4.0 mm");
}
