//! The step Outline: tracing on the photo, edges, bevels, typed points.

mod common;

use coldwright_geometry::EdgeKind;
use coldwright_job::{BevelAt, EdgeId, Height, Place, Stands, Step, TickId, WallEdit};
use coldwright_screen::Action;
use common::tracing::{click_at, on_screen, pixel, tracing};
use common::{Desk, text_box, type_over};
use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use kurbo::Point;

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
            Place::Typed { .. } | Place::Taped { .. } => panic!(),
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
