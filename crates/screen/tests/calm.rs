//! Tracing without alarm: nothing moves under the pointer, corners close the ring, sticks propose ticks.

mod common;

use coldwright_geometry::EdgeKind;
use coldwright_job::{Step, WallEdit};
use coldwright_screen::Action;
use common::tracing::{click_at, on_screen, pixel, tracing};
use common::{Desk, text_box, type_over};
use egui::{Key, Modifiers, Pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kurbo::Point;

/// Every control of the column by name, with where it stands.
fn places(h: &Harness<'static, Desk>) -> std::collections::BTreeMap<String, egui::Rect> {
    use egui::Role;
    let touched = [Role::Button, Role::TextInput, Role::CheckBox, Role::RadioButton];
    let nodes = h.root().children_recursive();
    let mut out = std::collections::BTreeMap::new();
    for node in nodes.filter(|n| touched.contains(&n.accesskit_node().role())) {
        let (rect, name) = (node.rect(), node.accesskit_node().label().unwrap_or_default());
        if rect.max.x <= 320.0 && rect.min.y > 56.0 {
            out.entry(name).or_insert(rect);
        }
    }
    out
}

#[test]
fn problems_and_readings_move_no_control() {
    // The same wall with a tick dragged off its edge, and with the outline not there at all.
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 900.0);
    h.run();
    let t = h.state().job().walls[0].template.clone();
    for select in 0..3 {
        match select {
            0 => {}
            1 => h.state_mut().view.select_edge(t.edges[1].id),
            _ => h.state_mut().view.select_tick(t.ticks[2].id),
        }
        h.run();
        let quiet = places(&h);
        assert!(quiet.len() > 4, "{quiet:?}");
        let crossed = Desk::with(common::crossed_job());
        let (was, plan) = (h.state_mut().history.take(), std::mem::take(&mut h.state_mut().plan));
        h.state_mut().history = crossed.history;
        h.state_mut().plan = crossed.plan;
        h.run();
        let stopped = places(&h);
        h.get_by_label_contains("to put right");
        let mut compared = 0;
        for (name, at) in quiet.iter().filter(|(name, _)| !name.starts_with("Tick ")) {
            let Some(now) = stopped.get(name) else { continue };
            assert!(at.min.distance(now.min) < 0.1, "{name} moved from {at:?} to {now:?}");
            compared += 1;
        }
        assert!(compared > 4, "{compared}");
        h.state_mut().history = was;
        h.state_mut().plan = plan;
        h.run();
    }
}

#[test]
fn the_next_click_says_its_edge_and_moves_nothing() {
    let mut h = tracing();
    let before = places(&h);
    h.get_by_label("It goes on with After end.");
    h.key_press(Key::N);
    h.run();
    h.get_by_label("It begins a new edge.");
    let after = places(&h);
    for (name, at) in &before {
        assert_eq!(after.get(name), Some(at), "{name}");
    }
    let board = h.get_by_label("Tracing on the photo").rect();
    h.key_press(Key::N);
    h.state_mut().busy.push(coldwright_screen::Busy { step: Step::Layers, words: "at it".into() });
    h.run();
    h.get_by_label("Stop this");
    assert_eq!(h.get_by_label("Tracing on the photo").rect(), board, "the photo stays under the pointer");
}

#[test]
fn what_is_typed_is_echoed_without_moving_what_is_below() {
    let mut h = tracing();
    let id = h.state().job().walls[0].template.edges[1].id;
    h.state_mut().view.select_edge(id);
    h.run();
    let below = text_box(&h, "Gap").rect();
    type_over(&mut h, "Bevel", "9.5");
    h.get_by_label_contains("9.5° open");
    assert_eq!(text_box(&h, "Gap").rect(), below);
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(text_box(&h, "Gap").rect(), below);
}

#[test]
fn boxes_hold_what_the_document_holds() {
    let mut h = tracing();
    let wall = h.state().job().walls[0].id;
    assert_eq!(h.state().job().units, coldwright_job::Units::Inches);
    let stick = WallEdit::Stick(coldwright_geometry::Length::from_micrometres(4_600));
    let history = h.state_mut().history.as_mut().unwrap();
    history.edit(&coldwright_job::Edit::Wall(wall, stick), None).unwrap();
    h.state_mut().replan();
    h.state_mut().view.step = Step::Photo;
    h.run();
    let said = |h: &Harness<'static, Desk>| text_box(h, "Stick thickness").value().unwrap();
    assert_eq!(said(&h), "4.6 mm", "no rounding to a sixteenth");
    // Typed over with the same words, or with nothing, it is not changed.
    type_over(&mut h, "Stick thickness", "4.6 mm");
    h.key_press(Key::Enter);
    h.run();
    text_box(&h, "Stick thickness").focus();
    h.run();
    h.key_press(Key::Tab);
    h.run();
    assert!(h.state().asked.is_empty(), "{:?}", h.state().asked);
    type_over(&mut h, "Stick thickness", "3/16");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(said(&h), "3/16 in");
}

#[test]
fn corner_by_corner_the_first_tick_closes_the_ring() {
    let mut desk = Desk::sample("hull-side.coldwright");
    desk.view.step = Step::Outline;
    // A wall with this photo and no outline yet.
    let wall = desk.job().walls[0].id;
    let clear = coldwright_job::Edit::Wall(wall, WallEdit::Trace(vec![], vec![]));
    desk.history.as_mut().unwrap().edit(&clear, None).unwrap();
    desk.replan();
    let mut h = desk.open(1400.0, 900.0);
    h.run();
    let corners = [(900.0, 1500.0), (2200.0, 1450.0), (2300.0, 900.0), (1000.0, 950.0)];
    let at: Vec<Pos2> = corners.iter().map(|c| on_screen(&h, Point::from(*c))).collect();
    for (i, to) in at.iter().enumerate() {
        click_at(&mut h, *to);
        if i > 0 {
            h.key_press(Key::C);
            h.run();
        }
    }
    h.get_by_label("Click on: the first tick closes the ring.");
    click_at(&mut h, at[0]);
    assert!(h.state().refused.is_empty(), "{:?}", h.state().refused);
    let t = &h.state().job().walls[0].template;
    assert_eq!((t.edges.len(), t.ticks.len()), (4, 4));
    assert_eq!(t.edges[3].ticks.last(), t.edges[0].ticks.first());
    assert!(h.state().plan.walls[0].outline.is_some(), "{:?}", h.state().plan.walls[0].problems);
    // Clicked once more it is only selected; the word beside it takes the corner away again.
    let before = h.state().asked.len();
    click_at(&mut h, at[0]);
    assert_eq!(h.state().asked.len(), before);
    h.get_all_by_label("No corner").next().unwrap();
}

#[test]
fn the_first_tick_of_carried_edges_is_closed_by_its_word_only() {
    let mut h = tracing();
    let t = h.state().job().walls[0].template.clone();
    let (first, last) = (t.edges[0].ticks[0], *t.edges.last().unwrap().ticks.last().unwrap());
    h.state_mut().view.select_tick(last);
    h.run();
    let at = on_screen(&h, pixel(&t.tick(first).unwrap().place));
    click_at(&mut h, at);
    assert_eq!(h.state().view.tick(), Some(first));
    assert!(h.state().asked.is_empty(), "selecting it changes nothing");
    h.get_all_by_label("Close the ring here").next().unwrap().click();
    h.run();
    assert_eq!(h.state().wall_edits(), [&WallEdit::MakeCorner(first)]);
    assert_eq!(h.state().job().walls[0].template.edges.last().unwrap().ticks.last(), Some(&first));
}

#[test]
fn a_bent_edge_set_straight_is_offered_to_run_fair() {
    let mut desk = Desk::with(common::bent_job());
    desk.view.step = Step::Outline;
    let edge = desk.job().walls[0].template.edges[0].id;
    let mut h = desk.open(1100.0, 900.0);
    h.run();
    h.get_all_by_label("Make it fair").next().expect("it is offered").click();
    h.run();
    assert_eq!(h.state().wall_edits(), [&WallEdit::EdgeKind(edge, EdgeKind::Fair)]);
    assert_eq!(h.query_all_by_label("Make it fair").count(), 0, "a fair edge needs no offer");
}

#[test]
fn sticks_propose_ticks_that_are_taken_or_dropped() {
    let mut desk = Desk::sample_with_photo("hull-side.coldwright");
    desk.view.step = Step::Outline;
    let wall = desk.job().walls[0].id;
    let clear = coldwright_job::Edit::Wall(wall, WallEdit::Trace(vec![], vec![]));
    desk.history.as_mut().unwrap().edit(&clear, None).unwrap();
    desk.replan();
    let mut h = desk.open(1400.0, 900.0);
    h.run();
    let board = h.get_by_label("Tracing on the photo").rect();
    h.get_by_label("Find sticks").click();
    h.run();
    for _ in 0..600 {
        if h.query_by_label("Drop all").is_some() {
            break;
        }
        std::thread::sleep(std::time::Duration::from_millis(50));
        h.run();
    }
    assert!(h.state().asked.is_empty(), "nothing is taken unasked");
    assert_eq!(h.get_by_label("Tracing on the photo").rect(), board, "the photo stays where it was");
    let says = h.get_by_label_contains("Take all").accesskit_node().label().unwrap();
    let count: usize = says.trim_start_matches("Take all ").parse().unwrap();
    assert!(count >= 8, "{says}");
    h.get_by_label_contains("Take all").click();
    h.run();
    let t = &h.state().job().walls[0].template;
    assert_eq!((t.edges.len(), t.ticks.len(), t.edges[0].ticks.len()), (1, count, count));
    assert!(h.state().refused.is_empty());
    assert!(h.query_by_label("Drop all").is_none());
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    assert!(h.state().job().walls[0].template.ticks.is_empty(), "one step takes them all back");
}

#[test]
fn a_click_snaps_to_a_sure_corner_only_when_asked() {
    let mut desk = Desk::sample_with_photo("hull-side.coldwright");
    desk.view.step = Step::Outline;
    let t = desk.job().walls[0].template.clone();
    // Beside where the ticks were, which are gone so that no click takes hold of one.
    let clear = coldwright_job::Edit::Wall(desk.job().walls[0].id, WallEdit::Trace(vec![], vec![]));
    desk.history.as_mut().unwrap().edit(&clear, None).unwrap();
    desk.replan();
    let mut h = desk.open(1400.0, 900.0);
    h.run();
    let near: Vec<Pos2> = t.ticks.iter().map(|k| on_screen(&h, pixel(&k.place)) + vec2(4.0, 3.0)).collect();
    let mut moved = 0;
    for snap in [false, true] {
        if snap {
            h.get_by_label("Snap to sticks").click();
            h.run();
        }
        for at in &near {
            let before = h.state().asked.len();
            click_at(&mut h, *at);
            let Some(Action::Edit(coldwright_job::Edit::Wall(_, WallEdit::AddTick { place, .. }), _)) =
                h.state().asked.get(before)
            else {
                continue;
            };
            let on = on_screen(&h, pixel(place));
            if on.distance(*at) > 0.5 {
                assert!(snap, "moved by {} unasked", on.distance(*at));
                assert!(on.distance(*at) < 13.0);
                moved += 1;
            }
            h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
            h.run();
        }
    }
    assert!(moved > 0, "no corner was sure");
}
