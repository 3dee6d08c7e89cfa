//! The step Photo: what the cards say, what the person may say about them.

mod common;

use coldwright_job::{Edit, Job, SeenFrom, WallEdit};
use coldwright_screen::Action;
use common::{Desk, text_box, type_over};
use egui::Key;
use egui_kittest::kittest::Queryable as _;

#[test]
fn the_cards_found_and_their_fit_are_said() {
    let mut h = Desk::sample("hull-side.coldwright").open(1400.0, 900.0);
    h.run();
    h.get_by_label("demo-hull-side.jpg");
    let plane = h.state().plan.walls[0].solve.clone().expect("the sample has a plane");
    let missing = format!("{:.2} px = ", plane.residual_px());
    h.get_by_label_contains(&missing);
    for card in plane.cards() {
        h.get_by_label(&format!("Card {}", card.number));
    }
}

#[test]
fn a_card_is_left_out_and_taken_back() {
    let mut h = Desk::sample("hull-side.coldwright").open(1400.0, 900.0);
    h.run();
    h.get_by_label("Card 3").click();
    h.run();
    assert_eq!(h.state().wall_edits(), [&WallEdit::LeaveOut(vec![3])]);
    h.get_by_label("Card 3").click();
    h.run();
    assert_eq!(h.state().wall_edits()[1], &WallEdit::LeaveOut(vec![]));
}

#[test]
fn the_side_that_faced_the_camera_is_one_of_two() {
    let mut h = Desk::sample("hull-side.coldwright").open(1400.0, 900.0);
    h.run();
    h.get_by_label("towards the box").click();
    h.run();
    assert!(h.state().asked.is_empty(), "it is already so");
    h.get_by_label("towards the hull").click();
    h.run();
    assert_eq!(h.state().wall_edits(), [&WallEdit::SeenFrom(SeenFrom::HullSide)]);
}

#[test]
fn a_length_is_echoed_taken_or_kept_with_a_sentence() {
    let mut h = Desk::sample("hull-side.coldwright").open(1400.0, 900.0);
    h.run();
    type_over(&mut h, "Stick thickness", "5.5 mm");
    h.get_by_label_contains("5.5 mm");
    h.key_press(Key::Enter);
    h.run();
    let Some(WallEdit::Stick(length)) = h.state().wall_edits().last().copied() else {
        panic!("{:?}", h.state().asked)
    };
    assert!((length.mm() - 5.5).abs() < 1e-9);

    // Words that are no length stay where they are, with a sentence; nothing is asked.
    let before = h.state().asked.len();
    type_over(&mut h, "Stick thickness", "about so");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(text_box(&h, "Stick thickness").value().as_deref(), Some("about so"));
    assert_eq!(h.state().asked.len(), before);

    // A length that the job refuses stays too, with the job's own sentence.
    type_over(&mut h, "Stick thickness", "500 mm");
    h.key_press(Key::Tab);
    h.run();
    assert_eq!(text_box(&h, "Stick thickness").value().as_deref(), Some("500 mm"));
    h.get_by_label_contains("Sticks cannot be 500 mm thick");
    assert_eq!(h.state().asked.len(), before);
}

#[test]
fn the_printed_check_lengths_go_in_together() {
    let mut h = Desk::sample("hull-side.coldwright").open(1400.0, 1200.0);
    h.run();
    type_over(&mut h, "Printed width", "244.6 mm");
    h.key_press(Key::Enter);
    h.run();
    let Some(WallEdit::Printed(Some((w, v)))) = h.state().wall_edits().last().copied() else {
        panic!("{:?}", h.state().asked)
    };
    assert!((w.mm() - 244.6).abs() < 1e-9 && (v.mm() - 180.0).abs() < 1e-9);
}

#[test]
fn a_photo_is_taken_from_a_typed_or_dropped_path() {
    let mut desk = Desk::with(common::edited(Job::default(), &[Edit::AddWall { name: "Lid".into() }]));
    desk.view.point_to_path_field();
    let mut h = desk.open(1100.0, 700.0);
    h.run();
    assert!(text_box(&h, "Path of a photo").is_focused(), "the cursor waits in the path field");
    text_box(&h, "Path of a photo").type_text("galley/lid.jpg");
    h.run();
    h.key_press(Key::Enter);
    h.run();
    let wall = h.state().job().walls[0].id;
    let typed = Action::AddPhoto { wall: Some(wall), path: Some("galley/lid.jpg".into()) };
    assert_eq!(h.state().asked, [typed]);
}

#[test]
fn the_cursor_goes_to_the_field_for_what_was_asked() {
    let mut desk = Desk::with(Job::default());
    desk.view.point_to_path_field();
    let mut h = desk.open(1100.0, 700.0);
    h.run();
    assert!(text_box(&h, "Path of a photo").is_focused(), "the first thing asked for is a photo");
    text_box(&h, "Path of a photo").type_text("~/box.coldwright");
    h.run();
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(
        h.state().asked,
        [Action::OpenJob(Some("~/box.coldwright".into()))],
        "a job's ending opens the job"
    );
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::S);
    h.run();
    h.state_mut().view.point_to_path_field();
    h.run();
    assert!(text_box(&h, "Path to save the job to").is_focused());
    // The path typed is where it is saved, and again by Enter alone.
    text_box(&h, "Path to save the job to").type_text("galley/box");
    h.run();
    h.key_press(Key::Enter);
    h.run();
    let saved = Action::SaveJobAs(Some("galley/box".into()));
    assert_eq!(h.state().asked.last(), Some(&saved));
    let before = h.state().asked.len();
    text_box(&h, "Path to save the job to").focus();
    h.run();
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(h.state().asked[before..], [saved]);
    // Asked to open, the same field opens.
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::O);
    h.run();
    h.state_mut().view.point_to_path_field();
    h.run();
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(h.state().asked.last(), Some(&Action::OpenJob(Some("galley/box".into()))));
}
