//! The window as a whole: nothing on it, at rest, keys, messages, themes.

mod common;

use coldwright_job::{Edit, Job, Severity, Step};
use coldwright_screen::{Action, Busy, Message};
use common::{Desk, text_box, type_over};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{By, NodeT as _, Queryable as _};

#[test]
fn an_empty_job_says_what_to_do_first() {
    let mut h = Desk::with(Job::default()).open(1100.0, 700.0);
    h.run();
    h.get_by_label("Lay printed cards round your stick template and take a photo from above.");
    h.get_by_label("Choose photo…").click();
    h.run();
    h.get_by_label("Open a sample").click();
    h.run();
    assert_eq!(h.state().asked, [Action::AddPhoto { wall: None, path: None }, Action::OpenSample(0)]);
}

#[test]
fn without_a_photo_a_wall_is_begun() {
    let mut h = Desk::with(Job::default()).open(1100.0, 700.0);
    h.run();
    h.get_by_label("Start without a photo").click();
    h.run();
    assert_eq!(h.state().asked, [Action::Edit(Edit::AddWall { name: "Wall A".into() }, None)]);
    assert_eq!(h.state().view.step, Step::Outline);
    assert!(h.state().view.wall.is_some());
}

#[test]
fn at_rest_nothing_is_asked_and_nothing_repainted() {
    for step in [Step::Photo, Step::Outline, Step::Layers, Step::Papers] {
        let mut desk = Desk::sample("hull-side.coldwright");
        desk.view.step = step;
        let mut h = desk.open(1100.0, 700.0);
        h.run();
        h.run_steps(3);
        assert!(h.state().asked.is_empty(), "{step:?}: {:?}", h.state().asked);
        let delay = h.output().viewport_output.values().map(|v| v.repaint_delay).min();
        assert!(
            delay.is_none_or(|d| d > std::time::Duration::from_secs(60)),
            "{step:?} repaints after {delay:?}"
        );
    }
}

#[test]
fn every_step_is_reached_by_its_link_and_says_how_it_stands() {
    let mut h = Desk::sample("hull-side.coldwright").open(1100.0, 700.0);
    h.run();
    for (word, step) in [
        ("Outline", Step::Outline),
        ("Layers", Step::Layers),
        ("Papers", Step::Papers),
        ("Photo", Step::Photo),
    ] {
        h.get_by_label_contains(&format!("{word}: ")).click();
        h.run();
        assert_eq!(h.state().view.step, step);
    }
    h.get_by_label("Photo: ready");
    h.state_mut().busy.push(Busy { step: Step::Layers, words: "working the layers out".into() });
    h.state_mut().stale = true;
    h.run();
    h.get_by_label("Layers: at work");
    h.get_by_label("Photo: out of date");
    h.get_by_label("Stop this").click();
    h.run();
    assert_eq!(h.state().asked.last(), Some(&Action::Cancel));
}

#[test]
fn keys_do_what_the_table_says() {
    let mut h = Desk::with(common::typed_job()).open(1100.0, 700.0);
    h.run();
    for (modifiers, key) in [
        (Modifiers::COMMAND, Key::O),
        (Modifiers::COMMAND, Key::S),
        (Modifiers::COMMAND | Modifiers::SHIFT, Key::S),
    ] {
        h.key_press_modifiers(modifiers, key);
        h.run();
    }
    assert_eq!(h.state().asked, [Action::OpenJob(None), Action::SaveJob, Action::SaveJobAs(None)]);
}

#[test]
fn undo_and_redo_follow_what_can_be_done() {
    let mut h = Desk::with(common::typed_job()).open(1100.0, 700.0);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    assert!(h.state().asked.is_empty(), "there was nothing to undo");
    h.get_by_label_contains("Job New job").click();
    h.run();
    h.get_by_label("Add wall").click();
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    h.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    h.run();
    assert_eq!(h.state().asked[1..], [Action::Undo, Action::Redo]);
    assert_eq!(h.state().job().walls.len(), 2);
}

#[test]
fn saving_takes_a_half_typed_text_first() {
    let mut h = Desk::with(common::typed_job()).open(1100.0, 700.0);
    h.run();
    h.get_by_label_contains("Job New job").click();
    h.run();
    type_over(&mut h, "Job name", "Box of the Tern");
    assert!(h.state().asked.is_empty(), "nothing is taken while typing");
    h.key_press_modifiers(Modifiers::COMMAND, Key::S);
    h.run_steps(4);
    let asked = &h.state().asked;
    assert!(matches!(&asked[0], Action::Edit(Edit::NameJob(n), _) if n == "Box of the Tern"), "{asked:?}");
    assert_eq!(asked[1], Action::SaveJob);
}

#[test]
fn messages_stay_until_dismissed() {
    let mut desk = Desk::with(Job::default());
    desk.messages =
        vec![Message { id: 7, severity: Severity::Stop, sentence: "The file is no photo.".into() }];
    desk.recovered = Some("Work from this morning can be taken up again.".into());
    let mut h = desk.open(1100.0, 700.0);
    h.run();
    h.get_by_label("The file is no photo.");
    h.get_by_label("Dismiss").click();
    h.run();
    h.get_by_label("Take it up").click();
    h.run();
    assert_eq!(h.state().asked, [Action::Dismiss(7), Action::TakeUpRecovered]);
}

#[test]
fn light_and_dark() {
    let mut h = Desk::with(Job::default()).open(1100.0, 700.0);
    h.run();
    assert!(!h.ctx.global_style().visuals.dark_mode);
    h.get_by_label("Dark").click();
    h.run();
    assert!(h.state().view.dark && h.ctx.global_style().visuals.dark_mode);
    h.get_by_label("Light");
    assert!(h.state().asked.is_empty(), "the theme is no matter of the job");
}

#[test]
fn walls_are_chosen_named_and_removed() {
    let mut h = Desk::with(common::typed_job()).open(1100.0, 800.0);
    h.run();
    h.get_by_label_contains("Job New job").click();
    h.run();
    h.get_by_label("Add wall").click();
    h.run();
    let second = h.state().job().walls[1].id;
    let name = h.state().job().walls[1].name.clone();
    h.get_by_label(&name).click();
    h.run();
    assert_eq!(h.state().view.wall, Some(second));
    // A name that is taken is refused; the words stay.
    type_over(&mut h, "Wall name", "forward");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("There is already a wall called forward");
    assert_eq!(text_box(&h, "Wall name").value().as_deref(), Some("forward"));
    h.get_by_label(&format!("Remove wall {name}")).click();
    h.run();
    assert_eq!(h.state().job().walls.len(), 1);
    assert_ne!(h.state().view.wall, Some(second), "the view lets go of a wall that is gone");
}

#[test]
fn tab_goes_through_the_window_in_reading_order() {
    let mut h = Desk::with(Job::default()).open(1100.0, 700.0);
    h.run();
    let mut seen = Vec::new();
    for _ in 0..9 {
        h.key_press(Key::Tab);
        h.run();
        let focused = h.get_all(By::new().predicate(|n| n.is_focused() && n.label().is_some()));
        seen.extend(focused.filter_map(|n| n.accesskit_node().label()).take(1));
    }
    let at = |word: &str| {
        seen.iter().position(|s| s.starts_with(word)).unwrap_or_else(|| panic!("{word}: {seen:?}"))
    };
    assert!(
        at("Job ") < at("Photo") && at("Photo") < at("Outline") && at("Outline") < at("Open"),
        "{seen:?}"
    );
}

#[test]
fn a_click_counts_however_slow_the_frames_are() {
    // A photo that is decoded and put on the graphics card beside it: frames of a second and a half.
    let mut desk = Desk::sample("hull-side.coldwright");
    desk.busy.push(Busy { step: Step::Photo, words: "opening the photo".into() });
    let mut h = egui_kittest::Harness::builder()
        .with_size(egui::vec2(1100.0, 700.0))
        .with_step_dt(1.5)
        .with_context_setup(coldwright_screen::install)
        .build_ui_state(|ui, desk: &mut Desk| desk.frame(ui), desk);
    let at = h.get_by_label_contains("Job ").rect().center();
    h.hover_at(at);
    h.step();
    h.drag_at(at);
    h.step();
    h.drop_at(at);
    h.step();
    h.step();
    h.get_by_label("Job and walls");
}
