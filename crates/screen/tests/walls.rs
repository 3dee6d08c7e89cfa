//! What a wall has besides one template and plain layers: holes, spaces, a liner, trims, further templates.

mod common;

use coldwright_geometry::Length;
use coldwright_job::{
    Edit, Further, HoleShape, Job, Lies, Lining, LiningEdge, Place, Step, TakenAt, TickId, WallEdit, WallId,
};
use coldwright_screen::Action;
use common::{Desk, edited, text_box, type_over, typed_job};
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

fn at(job: Job, step: Step) -> Harness<'static, Desk> {
    let mut desk = Desk::with(job);
    desk.view.step = step;
    let mut h = desk.open(1200.0, 1900.0);
    h.run();
    h
}

fn typed(h: &mut Harness<'static, Desk>, name: &str, words: &str) {
    type_over(h, name, words);
    h.key_press(Key::Enter);
    h.run();
}

fn click(h: &mut Harness<'static, Desk>, name: &str) {
    h.get_by_label(name).click();
    h.run();
}

/// The same wall with a second template at its box face, 60 mm wider and higher.
fn two_templates() -> Job {
    let job = typed_job();
    let wall = job.walls[0].id;
    let mut further = Further { lies: Lies::AsFirst, ..Further::default() };
    further.template.taken_at = TakenAt::FromInner(Length::default());
    let job = edited(job, &[Edit::Wall(wall, WallEdit::Further(vec![further]))]);
    let (mut ticks, mut edges) = (job.walls[0].template.ticks.clone(), job.walls[0].template.edges.clone());
    for tick in &mut ticks {
        tick.id.0 += 1000;
        if let Place::Typed { at, .. } = &mut tick.place {
            (at.x, at.y) = (at.x * 1.06, at.y * 1.1);
        }
    }
    for edge in &mut edges {
        edge.id.0 += 1000;
        edge.ticks.iter_mut().for_each(|t| t.0 += 1000);
    }
    let trace = Edit::Wall(wall, WallEdit::Trace(ticks, edges));
    edited(job, &[Edit::InTemplate { wall, template: 1, edit: Box::new(trace) }])
}

#[test]
fn a_hole_is_added_shaped_placed_leant_and_taken_away() {
    let mut h = at(typed_job(), Step::Outline);
    click(&mut h, "Add hole");
    let hole = |h: &Harness<'static, Desk>| h.state().job().walls[0].template.holes[0].clone();
    typed(&mut h, "Hole name", "Drain");
    typed(&mut h, "Across it", "38 mm");
    typed(&mut h, "Its middle, across", "220 mm");
    typed(&mut h, "Its middle, up", "90 mm");
    typed(&mut h, "It leans right", "12");
    assert_eq!(hole(&h).name, "Drain");
    assert!(matches!(hole(&h).shape, HoleShape::Round { diameter } if (diameter.mm() - 38.0).abs() < 1e-9));
    assert!((hole(&h).at.0.mm() - 220.0).abs() < 1e-9 && (hole(&h).lean_deg.0 - 12.0).abs() < 1e-9);
    click(&mut h, "rectangle");
    typed(&mut h, "Its width", "100 mm");
    typed(&mut h, "It is turned", "30");
    let HoleShape::Rectangle { width, height, turn_deg, .. } = hole(&h).shape else { panic!("no rectangle") };
    assert!((width.mm() - 100.0).abs() < 1e-9 && (height.mm() - 38.0).abs() < 1e-9);
    assert!((turn_deg - 30.0).abs() < 1e-9);
    // Through all layers, and gone with one undo each way.
    let layers = h.state().plan.walls[0].layers.clone().unwrap();
    assert!(layers.layers.iter().all(|l| l.outer.rings[0].holes.len() == 1));
    typed(&mut h, "Its width", "0 mm");
    h.get_by_label_contains("needs a width and a height");
    typed(&mut h, "Its width", "90 mm");
    click(&mut h, "Remove hole");
    assert!(h.state().job().walls[0].template.holes.is_empty());
    h.state_mut().asked.clear();
    h.key_press_modifiers(egui::Modifiers::COMMAND, Key::Z);
    h.run();
    assert_eq!(h.state().asked, [Action::Undo]);
    assert_eq!(h.state().job().walls[0].template.holes.len(), 1);
}

#[test]
fn a_hole_is_chosen_on_the_board() {
    let mut h = at(typed_job(), Step::Outline);
    click(&mut h, "Add hole");
    click(&mut h, "Whole outline");
    let board = h.get_by_label("Outline, flat").rect();
    // It was put in the middle of the outline, and the board shows the outline in its own middle.
    h.hover_at(board.center());
    h.run();
    h.drag_at(board.center());
    h.run();
    h.drop_at(board.center());
    h.run();
    assert_eq!(text_box(&h, "Hole name").value().as_deref(), Some("Hose"));
}

#[test]
fn a_space_before_a_layer_is_typed() {
    let mut h = at(typed_job(), Step::Layers);
    click(&mut h, "Layer 2");
    typed(&mut h, "Space before the layer", "6 mm");
    let job = h.state().job().clone();
    assert!((job.walls[0].layers[1].before.mm() - 6.0).abs() < 1e-9);
    let set = h.state().plan.walls[0].layers.clone().unwrap();
    assert!((set.layers[1].from - 31.4).abs() < 1e-9);
}

#[test]
fn a_liner_comes_with_its_sheet_bond_and_edges_and_goes() {
    let mut h = at(common::two_walls(), Step::Layers);
    click(&mut h, "Add liner");
    typed(&mut h, "Thickness of the liner", "4 mm");
    typed(&mut h, "Material of the liner", "Laminate sheet");
    typed(&mut h, "Bond line of the liner", "1 mm");
    typed(&mut h, "Radius of the fillet", "12 mm");
    let wall = |h: &Harness<'static, Desk>| h.state().job().walls[0].clone();
    assert_eq!(wall(&h).material(5), "Laminate sheet");
    assert!((h.state().job().cutting.fillet.mm() - 12.0).abs() < 1e-9);
    let name = wall(&h).template.edges[2].name.clone();
    for wanted in [LiningEdge::StopsShort, LiningEdge::RunsPast, LiningEdge::Free] {
        click(&mut h, &format!("The liner at {name}"));
        assert_eq!(wall(&h).liner.unwrap().said(wall(&h).template.edges[2].id), Some(wanted));
    }
    assert_eq!(h.state().plan.walls[0].layers.as_ref().unwrap().layers.len(), 5);
    click(&mut h, "Line every wall like this");
    assert!(h.state().job().walls[1].liner.as_ref().is_some_and(|l| l.material == "Laminate sheet"));
    click(&mut h, "Remove liner");
    assert_eq!(wall(&h).liner, None);
}

#[test]
fn trims_are_typed_edge_by_edge_and_at_places() {
    let mut h = at(typed_job(), Step::Layers);
    let name = h.state().job().walls[0].template.edges[1].name.clone();
    typed(&mut h, &format!("Trim at {name}"), "3 mm");
    let fitted = |h: &Harness<'static, Desk>| h.state().job().walls[0].fitted.clone();
    assert_eq!((fitted(&h).len(), fitted(&h)[0].layer), (1, 1));
    click(&mut h, &format!("Places along {name}"));
    typed(&mut h, &format!("Trim 2 at {name}"), "5 mm");
    let trims = &fitted(&h)[0].trims;
    assert!((trims[0].trim.mm() - 3.0).abs() < 1e-9 && (trims[1].trim.mm() - 5.0).abs() < 1e-9);
    click(&mut h, &format!("Add a place along {name}"));
    assert_eq!(fitted(&h)[0].trims.len(), 3);
    for _ in 0..2 {
        click(&mut h, &format!("Remove place 1 along {name}"));
    }
    typed(&mut h, &format!("Trim at {name}"), "0 mm");
    assert!(fitted(&h).is_empty() && h.state().refused.is_empty());
}

#[test]
fn what_the_saw_cannot_do_is_told_of_the_layer() {
    use coldwright_job::{BevelAt, Cutting};
    let job = typed_job();
    let edge = job.walls[0].template.edges[1].clone();
    let steep = WallEdit::Bevel(edge.id, vec![BevelAt { at: 0.0, degrees: 50.0 }]);
    let cutting = Cutting { throat: Some(Length::from_micrometres(300_000)), ..job.cutting };
    let job = edited(job, &[Edit::Wall(WallId(1), steep), Edit::SetCutting(cutting)]);
    let h = at(job, Step::Layers);
    h.get_by_label_contains(&format!("{} leans 50° and leaves a thin edge", edge.name));
    h.get_by_label_contains("more than the saw's throat");
    h.get_by_label_contains(&format!("50°, at {}", edge.name));
}

#[test]
fn a_second_template_is_begun_typed_and_does_not_touch_the_first() {
    let mut h = at(typed_job(), Step::Outline);
    let first = h.state().job().walls[0].template.clone();
    click(&mut h, "Add template");
    assert_eq!(h.state().view.template(), 1);
    for point in ["0; 0", "940; 0", "900; 600"] {
        typed(&mut h, "Next point, across and up", point);
    }
    let wall = h.state().job().walls[0].clone();
    assert_eq!((&wall.template, wall.further[0].template.ticks.len()), (&first, 3));
    // The tick just made is in hand, on its own template.
    let tick = h.state().view.tick().or(wall.further[0].template.ticks.last().map(|t| t.id)).unwrap();
    assert!(wall.further[0].template.tick(tick).is_some());
    typed(&mut h, "Template depth", "25 mm");
    assert_eq!(h.state().job().walls[0].template.taken_at, first.taken_at);
    assert_eq!(
        h.state().job().walls[0].further[0].template.taken_at,
        TakenAt::FromInner(Length::from_micrometres(25_000))
    );
    click(&mut h, "1st");
    assert_eq!(h.state().view.template(), 0);
    click(&mut h, "2nd");
    click(&mut h, "Remove this template");
    assert!(h.state().job().walls[0].further.is_empty() && h.state().refused.is_empty());
}

#[test]
fn the_match_is_shown_and_can_be_turned() {
    let mut h = at(two_templates(), Step::Outline);
    click(&mut h, "2nd");
    let before = h.state().plan.walls[0].loft.clone().unwrap().matches.clone();
    click(&mut h, "One edge on");
    let after = h.state().plan.walls[0].loft.clone().map(|l| l.matches.clone());
    assert!(h.state().job().walls[0].further[0].begins.is_some());
    assert_ne!(after, Some(before.clone()));
    click(&mut h, "Nearest corners");
    assert_eq!(h.state().plan.walls[0].loft.clone().unwrap().matches, before);
    // Bevels are told, not typed.
    click(&mut h, "1st");
    let id = h.state().job().walls[0].template.edges[1].id;
    h.state_mut().view.select_edge(id);
    h.run();
    h.get_by_label_contains("comes out of this wall's templates");
    assert!(h.query_by_role_and_label(egui::Role::TextInput, "Bevel").is_none());
}

#[test]
fn a_tick_of_the_second_template_is_dragged_there() {
    let mut h = at(two_templates(), Step::Outline);
    click(&mut h, "2nd");
    let id = h.state().job().walls[0].further[0].template.ticks[0].id;
    h.state_mut().view.select_tick(id);
    h.run();
    typed(&mut h, "Tick 1 across", "101 mm");
    let wall = &h.state().job().walls[0];
    let moved = wall.further[0].template.tick(TickId(id.0)).unwrap();
    assert!(matches!(moved.place, Place::Typed { at, .. } if (at.x - 101.0).abs() < 1e-9));
    assert!(h.state().refused.is_empty());
}

#[test]
fn idle_frames_ask_for_nothing_with_everything_there() {
    let job = two_templates();
    let wall = job.walls[0].id;
    let job = edited(job, &[Edit::Wall(wall, WallEdit::Liner(Some(Lining::default())))]);
    for step in [Step::Photo, Step::Outline, Step::Layers, Step::Pieces, Step::Papers] {
        let mut h = at(job.clone(), step);
        h.state_mut().view.take_template(1);
        for _ in 0..3 {
            h.run();
        }
        assert!(h.state().asked.is_empty(), "{step:?}: {:?}", h.state().asked);
    }
}

#[test]
fn a_hollow_is_measured_and_its_first_layer_made_into_strips_or_bent() {
    use coldwright_job::{FirstLayers, HollowLayer, HollowShape};
    let mut h = at(typed_job(), Step::Layers);
    click(&mut h, "Add hollow");
    let hollow = |h: &Harness<'static, Desk>| h.state().job().walls[0].hollow.clone().unwrap();
    typed(&mut h, "It is long", "900 mm");
    typed(&mut h, "Gap 1 of the hollow", "60 mm");
    click(&mut h, "Add a gap");
    typed(&mut h, "Gap 1 of the hollow", "45 mm");
    let HollowShape::Gaps { gaps, .. } = hollow(&h).shape else { panic!("no gaps") };
    assert_eq!(gaps.len(), 2);
    assert!((gaps[0].1.mm() - 45.0).abs() < 1e-9);
    click(&mut h, "strips");
    typed(&mut h, "Gap left, up to", "3 mm");
    let plan = h.state().plan.walls[0].hollow.clone().unwrap();
    let HollowLayer::Strips { strips, .. } = &plan.layers[0] else { panic!("no strips") };
    assert!(strips.len() > 2);
    h.get_by_label_contains(&format!("Layer 1: {} strips", strips.len()));
    let pieces = h.state().plan.pieces.iter().filter(|p| p.id.layer == 1).count();
    assert_eq!(pieces, strips.len());
    click(&mut h, "bent on kerfs");
    typed(&mut h, "Left under a kerf", "4 mm");
    assert!(matches!(hollow(&h).first, FirstLayers::Kerfs { web, .. } if (web.mm() - 4.0).abs() < 1e-9));
    h.get_by_label_contains("Layer 1: bent on");
    click(&mut h, "Remove hollow");
    assert!(h.state().job().walls[0].hollow.is_none() && h.state().refused.is_empty());
}

#[test]
fn a_lid_becomes_a_plug_in_steps_and_plain_again() {
    use coldwright_job::Stands;
    let job = edited(typed_job(), &[Edit::Wall(WallId(1), WallEdit::Stands(Stands::Lid))]);
    let mut h = at(job, Step::Layers);
    click(&mut h, "Make it stepped");
    typed(&mut h, "Ledge under layer 1", "25 mm");
    typed(&mut h, "Draft of the lid", "3");
    typed(&mut h, "Room for the gasket", "4 mm");
    let lid = h.state().job().walls[0].lid.clone().unwrap();
    assert!((lid.ledge(2).mm() - 25.0).abs() < 1e-9 && (lid.draft_deg - 3.0).abs() < 1e-9);
    assert!((lid.clearance.mm() - 4.0).abs() < 1e-9);
    h.get_by_label("At layer 4");
    click(&mut h, "Make it plain");
    assert!(h.state().job().walls[0].lid.is_none() && h.state().refused.is_empty());
}
