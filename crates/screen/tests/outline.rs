//! The step Outline: tracing on the photo, edges, bevels, typed points.

#![expect(clippy::panic, clippy::unwrap_used, reason = "helpers of tests")]

mod common;

use coldwright_geometry::EdgeKind;
use coldwright_job::{BevelAt, EdgeId, Height, Place, Stands, Step, TickId, WallEdit};
use coldwright_screen::Action;
use common::{Desk, text_box, type_over};
use egui::{Key, Modifiers, Pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use kurbo::Point;

fn tracing() -> Harness<'static, Desk> {
    let mut desk = Desk::sample("hull-side.coldwright");
    desk.view.step = Step::Outline;
    let mut h = desk.open(1400.0, 900.0);
    h.run();
    h
}

fn pixel(place: &Place) -> Point {
    match place {
        Place::Pixel { px, .. } => *px,
        Place::Typed { .. } => panic!("a clicked tick was expected"),
    }
}

/// Where a photo pixel stands on the screen while all of the photo is shown: the photo is fitted with 32 points of
/// room, its pixel centres at whole numbers.
fn on_screen(h: &Harness<'static, Desk>, px: Point) -> Pos2 {
    let board = h.get_by_label("Tracing on the photo").rect();
    let (w, v) = h.state().job().walls[0].template.sightings.as_ref().unwrap().photos[0].size;
    let room = board.shrink(32.0);
    let scale = (room.width() / w as f32).min(room.height() / v as f32);
    let middle = Point::new(f64::from(w) / 2.0 - 0.5, f64::from(v) / 2.0 - 0.5);
    let off = (px - middle) * f64::from(scale);
    board.center() + vec2(off.x as f32, off.y as f32)
}

fn click_at(h: &mut Harness<'static, Desk>, at: Pos2) {
    h.hover_at(at);
    h.run();
    h.drag_at(at);
    h.run();
    h.drop_at(at);
    h.run();
}

#[test]
fn a_click_adds_a_tick_to_the_edge_selected() {
    let mut h = tracing();
    let edge = h.state().job().walls[0].template.edges[1].clone();
    h.state_mut().view.select_edge(edge.id);
    h.run();
    let to = Point::new(1500.0, 200.0);
    let at = on_screen(&h, to);
    click_at(&mut h, at);
    let edits = h.state().wall_edits();
    let [WallEdit::AddTick { edge: on, before: None, place }] = edits.as_slice() else { panic!("{edits:?}") };
    assert_eq!(*on, Some(edge.id));
    assert!(pixel(place).distance(to) < 1.0, "{place:?}");
    // One click is one undo step, and the new tick is in hand.
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    assert_eq!(h.state().job().walls[0].template.edge(edge.id).unwrap().ticks, edge.ticks);
}

#[test]
fn a_click_between_two_ticks_goes_between_them() {
    let mut h = tracing();
    let t = &h.state().job().walls[0].template;
    let edge = t.edges[0].clone();
    let ends: Vec<Point> = edge.ticks.iter().map(|id| pixel(&t.tick(*id).unwrap().place)).collect();
    h.state_mut().view.select_edge(edge.id);
    h.run();
    let at = on_screen(&h, ends[0].lerp(ends[1], 0.3));
    click_at(&mut h, at);
    let edits = h.state().wall_edits();
    assert!(matches!(edits.as_slice(), [WallEdit::AddTick { before: Some(1), .. }]), "{edits:?}");
}

#[test]
fn new_edge_begins_with_the_next_click() {
    let mut h = tracing();
    h.get_all_by_label("New edge").next().unwrap().click();
    h.run();
    let at = on_screen(&h, Point::new(1500.0, 150.0));
    click_at(&mut h, at);
    assert!(matches!(h.state().wall_edits().as_slice(), [WallEdit::AddTick { edge: None, .. }]));
}

#[test]
fn dragging_moves_a_tick_by_as_much_as_the_pointer_in_one_step() {
    let mut h = tracing();
    let tick = h.state().job().walls[0].template.ticks[6].clone();
    let from = on_screen(&h, pixel(&tick.place));
    let grab = from + vec2(4.0, -3.0);
    h.hover_at(grab);
    h.run();
    h.drag_at(grab);
    h.run();
    for i in 1..=5 {
        h.hover_at(grab + vec2(8.0, -4.0) * i as f32);
        h.run();
    }
    h.drop_at(grab + vec2(40.0, -20.0));
    h.run();
    assert_eq!(h.state().view.tick(), Some(tick.id));
    let moved = pixel(&h.state().job().walls[0].template.tick(tick.id).unwrap().place);
    let expected = from + vec2(40.0, -20.0);
    let now = on_screen(&h, moved);
    assert!(now.distance(expected) < 0.6, "{now:?} and {expected:?}");
    assert_eq!(h.state().asked.last(), Some(&Action::EndGesture));
    h.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    h.run();
    assert_eq!(
        h.state().job().walls[0].template.tick(tick.id).unwrap(),
        &tick,
        "one step takes the drag back"
    );
}

#[test]
fn arrow_keys_nudge_and_delete_removes() {
    let mut h = tracing();
    let tick = h.state().job().walls[0].template.ticks[2].clone();
    let at = on_screen(&h, pixel(&tick.place));
    click_at(&mut h, at);
    assert_eq!(h.state().view.tick(), Some(tick.id), "{:?}", h.state().asked);
    h.key_press(Key::ArrowRight);
    h.run();
    h.key_press_modifiers(Modifiers::SHIFT, Key::ArrowUp);
    h.run();
    let moved = pixel(&h.state().job().walls[0].template.tick(tick.id).unwrap().place);
    let by = moved - pixel(&tick.place);
    assert!((by.x - 0.2).abs() < 1e-9 && (by.y + 1.0).abs() < 1e-9, "{by:?}");
    h.key_press(Key::Delete);
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::RemoveTick(tick.id)));
    assert_eq!(h.state().view.tick(), None, "what is gone is let go");
}

#[test]
fn keys_leave_a_tick_alone_that_is_not_in_sight() {
    let mut h = tracing();
    let tick = h.state().job().walls[0].template.ticks[2].id;
    h.state_mut().view.select_tick(tick);
    h.state_mut().view.step = Step::Layers;
    h.run();
    h.key_press(Key::Delete);
    h.run();
    h.key_press(Key::C);
    h.run();
    assert!(h.state().asked.is_empty(), "{:?}", h.state().asked);
}

#[test]
fn a_tick_becomes_a_corner_and_no_corner_again() {
    let mut h = tracing();
    let t = &h.state().job().walls[0].template;
    let fair = t.edges.iter().find(|e| e.ticks.len() > 3).unwrap().clone();
    let tick = fair.ticks[2];
    h.state_mut().view.select_tick(tick);
    h.run();
    h.get_all_by_label("Corner here").next().unwrap().click();
    h.run();
    assert_eq!(h.state().wall_edits(), [&WallEdit::MakeCorner(tick)]);
    h.key_press(Key::C);
    h.run();
    assert_eq!(h.state().wall_edits()[1], &WallEdit::JoinAt(tick));
    assert_eq!(h.state().job().walls[0].template.edge(fair.id).unwrap().ticks, fair.ticks);
}

#[test]
fn the_height_of_a_tick_is_laps_or_typed() {
    let mut h = tracing();
    let tick = h.state().job().walls[0].template.ticks[2].clone();
    h.state_mut().view.select_tick(tick.id);
    h.run();
    h.get_by_label("3").click();
    h.run();
    let height =
        |h: &Harness<'static, Desk>| match &h.state().job().walls[0].template.tick(tick.id).unwrap().place {
            Place::Pixel { height, .. } => *height,
            Place::Typed { .. } => panic!(),
        };
    assert_eq!(height(&h), Height::Laps(3));
    type_over(&mut h, "Height of this tick", "7 mm");
    h.key_press(Key::Enter);
    h.run();
    assert!(matches!(height(&h), Height::Stated(l) if (l.mm() - 7.0).abs() < 1e-9));
}

#[test]
fn an_edge_has_kind_bevel_gap_and_base() {
    let mut h = tracing();
    let id = h.state().job().walls[0].template.edges[1].id;
    h.state_mut().view.select_edge(id);
    h.run();
    h.get_by_label("fair").click();
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::EdgeKind(id, EdgeKind::Fair)));
    h.get_by_label("This edge is the bottom").click();
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::Base(id)));
    type_over(&mut h, "Bevel", "-9.5");
    h.get_by_label_contains("9.5° closed: smaller on the box side");
    h.key_press(Key::Enter);
    h.run();
    let Some(WallEdit::Bevel(_, list)) = h.state().wall_edits().last().copied() else { panic!() };
    assert!((list[0].degrees + 9.5).abs() < 1e-9);
    // Past what a saw can do: kept in the box, with the job's sentence.
    let before = h.state().asked.len();
    type_over(&mut h, "Bevel", "80");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("between -75° and 75°");
    assert_eq!(text_box(&h, "Bevel").value().as_deref(), Some("80"));
    assert_eq!(h.state().asked.len(), before);
    type_over(&mut h, "Gap", "4 mm");
    h.key_press(Key::Tab);
    h.run();
    assert!(
        matches!(h.state().wall_edits().last(), Some(WallEdit::Gap(e, l)) if *e == id && (l.mm() - 4.0).abs() < 1e-9)
    );
}

#[test]
fn a_bevel_may_have_stations() {
    let mut h = tracing();
    let id = h.state().job().walls[0].template.edges[1].id;
    h.state_mut().view.select_edge(id);
    h.run();
    for _ in 0..2 {
        h.get_by_label("Add a station").click();
        h.run();
    }
    let bevel = h.state().job().walls[0].template.edge(id).unwrap().bevel.clone();
    assert_eq!(bevel.iter().map(|b: &BevelAt| b.at).collect::<Vec<_>>(), [0.0, 0.5, 1.0]);
    type_over(&mut h, "Bevel at station 2", "12");
    h.key_press(Key::Enter);
    h.run();
    type_over(&mut h, "Station 2 along", "40 %");
    h.key_press(Key::Enter);
    h.run();
    let bevel = h.state().job().walls[0].template.edge(id).unwrap().bevel.clone();
    assert!((bevel[1].at - 0.4).abs() < 1e-9 && (bevel[1].degrees - 12.0).abs() < 1e-9, "{bevel:?}");
}

#[test]
fn a_problem_leads_to_its_edge() {
    let mut h = tracing();
    let leading =
        h.state().plan.walls[0].problems.iter().find(|p| p.step == Step::Outline && p.edge.is_some());
    let problem = leading.expect("the sample has carried corners to look at").clone();
    h.get_by_label(&problem.sentence).click();
    h.run();
    assert_eq!(h.state().view.edge(), problem.edge);
}

#[test]
fn escape_lets_go_and_f_shows_all() {
    let mut h = tracing();
    let first: TickId = h.state().job().walls[0].template.ticks[0].id;
    h.state_mut().view.select_tick(first);
    h.run();
    h.key_press(Key::Escape);
    h.run();
    assert_eq!((h.state().view.tick(), h.state().view.edge()), (None, None));
    // Zoom in, fit again: the same pixel stands where it stood.
    let px = pixel(&h.state().job().walls[0].template.ticks[4].place);
    let before = on_screen(&h, px);
    h.hover_at(before);
    h.run();
    h.event(egui::Event::MouseWheel {
        unit: egui::MouseWheelUnit::Point,
        delta: vec2(0.0, 300.0),
        phase: egui::TouchPhase::Move,
        modifiers: Modifiers::NONE,
        source: egui::MouseWheelSource::Wheel,
    });
    h.run_steps(20);
    h.key_press(Key::F);
    h.run();
    click_at(&mut h, before);
    assert_eq!(h.state().view.tick(), Some(h.state().job().walls[0].template.ticks[4].id));
}

#[test]
fn the_flat_view_shows_sizes_and_moves_no_pixel_by_a_click() {
    let mut h = tracing();
    h.get_by_label("flat").click();
    h.run();
    let board = h.get_by_label("Outline, flat").rect();
    click_at(&mut h, board.center());
    assert!(h.state().asked.is_empty());
}

#[test]
fn points_are_typed_without_a_photo() {
    let mut desk = Desk::with(common::edited(
        coldwright_job::Job::default(),
        &[coldwright_job::Edit::AddWall { name: "Forward".into() }],
    ));
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 1400.0);
    h.run();
    let name = "Next point, across and up";
    for words in ["0; 0", "24 1/2 in; 0"] {
        type_over(&mut h, name, words);
        h.key_press(Key::Enter);
        h.run();
    }
    h.get_all_by_label("New edge").next().unwrap().click();
    h.run();
    type_over(&mut h, name, "600; 400");
    h.key_press(Key::Enter);
    h.run();
    let t = &h.state().job().walls[0].template;
    assert_eq!(t.edges.iter().map(|e| e.ticks.len()).collect::<Vec<_>>(), [2, 1]);
    let Place::Typed { at, .. } = t.tick(t.edges[0].ticks[1]).unwrap().place else { panic!() };
    assert!((at.x - 24.5 * 25.4).abs() < 1e-6 && at.y == 0.0, "{at:?}");
    // One number is no point; it stays.
    type_over(&mut h, name, "600");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("Give two lengths");
    assert_eq!(text_box(&h, name).value().as_deref(), Some("600"));
}

#[test]
fn a_typed_tick_is_corrected_and_the_wall_is_a_floor() {
    let mut desk = Desk::with(common::typed_job());
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 1600.0);
    h.run();
    type_over(&mut h, "Tick 3 across", "900.5 mm");
    h.key_press(Key::Tab);
    h.run();
    let t = &h.state().job().walls[0].template;
    let Place::Typed { at, sd } = t.tick(t.edges[1].ticks[0]).unwrap().place else { panic!() };
    assert!((at.x - 900.5).abs() < 1e-9 && (sd - 0.5).abs() < 1e-12);
    h.get_by_label("a floor").click();
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::Stands(Stands::Floor)));
    let _: Option<EdgeId> = h.state().view.edge();
}

#[test]
fn what_stops_the_outline_is_said_beside_every_tick_and_edge() {
    let mut desk = Desk::with(common::crossed_job());
    desk.view.step = Step::Outline;
    let mut h = desk.open(1100.0, 900.0);
    h.run();
    h.get_by_label("Outline: cannot go on");
    let stop =
        h.state().plan.walls[0].problems.iter().find(|p| p.step == Step::Outline).unwrap().sentence.clone();
    let t = h.state().job().walls[0].template.clone();
    h.get_by_label(&stop);
    h.state_mut().view.select_tick(t.ticks[0].id);
    h.run();
    h.get_by_label(&stop);
    h.state_mut().view.select_edge(t.edges[0].id);
    h.run();
    h.get_by_label(&stop);
}

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
