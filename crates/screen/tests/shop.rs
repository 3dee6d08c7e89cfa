//! The steps Box, Pieces and Sheets.

mod common;

use coldwright_geometry::Length;
use coldwright_job::{Edit, JointKind, KeptLayout, Opening, OpeningShape, Step};
use coldwright_screen::{Action, Busy};
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

fn edits<'a>(h: &'a Harness<'static, Desk>) -> Vec<&'a Edit> {
    let asked = h.state().asked.iter();
    asked.filter_map(|a| if let Action::Edit(edit, _) = a { Some(edit) } else { None }).collect()
}

#[test]
fn pieces_are_laid_out_at_a_click_and_the_search_can_be_stopped() {
    let mut h = open(Desk::with(two_walls()), Step::Sheets);
    h.get_by_label_contains("Nothing laid out yet");
    h.get_by_label("Lay out pieces").click();
    h.run();
    assert_eq!(h.state().asked, [Action::LayOut]);
    h.state_mut().busy.push(Busy { step: Step::Sheets, words: "Laying out: 3 sheets so far".into() });
    h.run();
    h.get_by_label("Laying out: 3 sheets so far…");
    h.get_by_label("Lay out pieces").click();
    h.run();
    assert_eq!(h.state().asked.len(), 1, "one search at a time");
    h.get_by_label("Stop, keep the best").click();
    h.run();
    assert_eq!(h.state().asked.last(), Some(&Action::StopLaying));
}

#[test]
fn sheets_are_added_changed_and_removed() {
    let mut h = open(Desk::with(two_walls()), Step::Sheets);
    h.get_by_label("Add sheet").click();
    h.run();
    assert_eq!(h.state().job().stock.len(), 2);
    type_over(&mut h, "Sheets owned", "3");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(h.state().job().stock[1].owned, Some(3));
    type_over(&mut h, "Sheet width", "24 in");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label("Remove this sheet").click();
    h.run();
    assert_eq!(h.state().job().stock.len(), 1);
    assert!(h.state().refused.is_empty());
}

#[test]
fn a_sheet_that_cannot_be_is_refused_in_words() {
    let mut h = open(Desk::with(two_walls()), Step::Sheets);
    type_over(&mut h, "Sheet length", "2 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("needs a width and a length between 10 mm and 20 m");
    assert_eq!(text_box(&h, "Sheet length").value().as_deref(), Some("2 mm"), "the words stay");
    type_over(&mut h, "Sheets owned", "a few");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("Give a whole number up to 1000");
    type_over(&mut h, "Width of the cut", "90 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("width of the cut");
    assert!(h.state().asked.is_empty());
}

#[test]
fn a_layout_is_told_in_words_and_a_piece_is_held_in_its_place() {
    let mut h = open(laid_desk(), Step::Sheets);
    h.get_by_label_contains("buy 2 of Full sheet");
    h.get_by_label("Sheets with pieces");
    let id = h.state().plan.pieces[0].id;
    h.state_mut().view.select_piece(id);
    h.run();
    h.get_by_label("Hold it in this place").click();
    h.run();
    let held =
        |kept: &KeptLayout| kept.places.iter().filter(|p| p.locked).map(|p| p.piece).collect::<Vec<_>>();
    assert_eq!(held(h.state().job().layout.as_ref().unwrap()), [id]);
    assert!(h.state().plan.laid.as_ref().unwrap().is_sound());
}

#[test]
fn a_layout_the_pieces_have_outgrown_is_marked_out_of_date() {
    let mut desk = laid_desk();
    let mut layers = desk.job().walls[0].layers.clone();
    layers.push(layers[0].clone());
    desk.edit(coldwright_job::WallEdit::Layers(layers));
    let h = open(desk, Step::Sheets);
    h.get_by_label("Out of date: lay the pieces out again.");
    h.get_by_label_contains("Lay them out again before you cut");
    h.get_by_label("Sheets: look here");
}

#[test]
fn a_typed_opening_is_set_when_both_sides_are_known() {
    let mut h = open(Desk::with(two_walls()), Step::Pieces);
    h.get_by_label("rectangle").click();
    h.run();
    type_over(&mut h, "Opening width", "14 in");
    h.key_press(Key::Enter);
    h.run();
    assert!(h.state().asked.is_empty(), "one side is no opening");
    type_over(&mut h, "Opening height", "12 in");
    h.key_press(Key::Enter);
    h.run();
    let inches = |n: i64| Length::from_64ths(n * 64);
    let shape = OpeningShape::Rectangle { width: inches(14), height: inches(12), corner: Length::default() };
    assert_eq!(edits(&h), [&Edit::SetOpening(Some(Opening { shape, behind: None, place: None }))]);
    type_over(&mut h, "Opening corner radius", "8 in");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("too round for this opening");
    assert_eq!(text_box(&h, "Opening corner radius").value().as_deref(), Some("8 in"));
    h.get_by_label("none").click();
    h.run();
    assert_eq!(h.state().job().opening, None);
}

#[test]
fn an_opening_is_placed_in_a_wall_and_moved() {
    let mm = |v: i64| Length::from_micrometres(v * 1000);
    let shape = OpeningShape::Rectangle { width: mm(300), height: mm(200), corner: mm(0) };
    let mut job = two_walls();
    job.opening = Some(Opening { shape, behind: None, place: None });
    let wall = job.walls[0].clone();
    let mut h = open(Desk::with(job), Step::Pieces);
    h.get_by_label("Wall of the opening").click();
    h.run();
    h.get_by_label(&wall.name).click();
    h.run();
    let place = |h: &Harness<'_, Desk>| h.state().job().opening.and_then(|o| o.place);
    let first = place(&h).unwrap();
    assert_eq!(first.wall, wall.id);
    type_over(&mut h, "Its middle, across of the opening", "350");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(place(&h).map(|p| p.at), Some((mm(350), first.at.1)));
    h.get_by_label_contains("is cut through there");
    let hole = |h: &Harness<'_, Desk>| {
        h.state().plan.wall(wall.id).unwrap().layers.as_ref().unwrap().layers[0].outer.rings[0].holes.len()
    };
    assert_eq!(hole(&h), 1);
}

#[test]
fn a_bad_length_of_the_opening_is_refused_in_words() {
    let mut h = open(Desk::with(two_walls()), Step::Pieces);
    h.get_by_label("round").click();
    h.run();
    for (words, why) in [("-3 in", "opening"), ("a hand", "length")] {
        type_over(&mut h, "Opening diameter", words);
        h.key_press(Key::Enter);
        h.run();
        h.get_all_by_label_contains(why).next().unwrap();
        assert_eq!(text_box(&h, "Opening diameter").value().as_deref(), Some(words));
    }
    assert!(h.state().asked.is_empty());
}

#[test]
fn a_piece_is_moved_in_the_order_and_back() {
    let mut h = open(Desk::with(two_walls()), Step::Pieces);
    let order: Vec<_> = h.state().plan.fitting_order().iter().map(|p| p.id).collect();
    h.state_mut().view.select_piece(order[0]);
    h.run();
    h.get_by_label("Move down").click();
    h.run();
    let mut swapped = order.clone();
    swapped.swap(0, 1);
    assert_eq!(edits(&h), [&Edit::SetOrder(swapped)]);
    h.get_by_label("As worked out").click();
    h.run();
    let back: Vec<_> = h.state().plan.fitting_order().iter().map(|p| p.id).collect();
    assert_eq!(back, order);
    assert!(h.state().job().order.is_empty());
}

#[test]
fn a_seam_is_drawn_removed_and_worked_out_again() {
    let mut h = open(Desk::with(two_walls()), Step::Pieces);
    h.get_by_label("Cut here").click();
    h.run();
    let middle = h.get_by_label("Parts of Forward 1").rect().center();
    for (at, press) in [((0.0, -420.0), Some(true)), ((0.0, 0.0), None), ((0.0, 420.0), Some(false))] {
        let at = middle + egui::vec2(at.0, at.1);
        h.hover_at(at);
        h.run();
        match press {
            Some(true) => h.drag_at(at),
            Some(false) => h.drop_at(at),
            None => {}
        }
        h.run();
    }
    assert!(
        matches!(edits(&h).last(), Some(Edit::SetSeams { layer: 1, seams: Some(s), .. }) if s.len() == 1)
    );
    assert_eq!(h.state().plan.pieces.iter().filter(|p| p.id.layer == 1 && p.parts == 2).count(), 2);
    h.get_by_label("Remove seam").click();
    h.run();
    assert!(matches!(edits(&h).last(), Some(Edit::SetSeams { seams: Some(s), .. }) if s.is_empty()));
    h.get_by_label("Work out again").click();
    h.run();
    assert!(matches!(edits(&h).last(), Some(Edit::SetSeams { seams: None, .. })));
    assert!(h.state().refused.is_empty(), "{:?}", h.state().refused);
}

#[test]
fn edges_are_joined_and_the_corner_is_given_to_a_wall() {
    let mut h = open(Desk::with(two_walls()), Step::Box);
    let walls = h.state().job().walls.clone();
    for (name, wall) in [("First edge", &walls[0]), ("Second edge", &walls[1])] {
        h.get_by_label(name).click();
        h.run();
        h.get_by_label(&format!("{}, {}", wall.name, wall.template.edges[1].name)).click();
        h.run();
    }
    h.get_all_by_label("Join edges").last().unwrap().click();
    h.run();
    let joint = h.state().job().joints[0];
    assert_eq!((joint.a.wall, joint.b.wall), (walls[0].id, walls[1].id));
    h.get_by_label_contains("woven").click();
    h.run();
    h.get_by_label("Forward runs past Aft").click();
    h.run();
    assert_eq!(h.state().job().joints[0].kind, JointKind::RunsPast);
    h.get_by_label("Take this joint apart").click();
    h.run();
    assert!(h.state().job().joints.is_empty() && h.state().refused.is_empty());
}

#[test]
fn seven_links_stand_side_by_side_on_a_small_screen() {
    let mut desk = Desk::with(two_walls());
    desk.stale = true;
    for width in [900.0, 1024.0, 1400.0] {
        let mut h = std::mem::take(&mut desk).open(width, 700.0);
        h.run();
        let words = ["Photo: ", "Outline: ", "Layers: ", "Box: ", "Pieces: ", "Sheets: ", "Papers: ", "Undo"];
        let rects = words.map(|w| h.get_by_label_contains(w).rect());
        for (pair, word) in rects.windows(2).zip(words) {
            assert!(pair[0].max.x <= pair[1].min.x + 0.5, "{word} at {width}: {pair:?}");
        }
        desk = Desk::with(two_walls());
    }
}

#[test]
fn a_box_stands_on_the_board_and_tells_its_room() {
    let mut h = open(Desk::with(common::typed_box()), Step::Box);
    let middle = h.get_by_label("The box").rect().center();
    h.get_all_by_label_contains(" litres").next().unwrap();
    for at in [middle, middle + egui::vec2(80.0, 30.0)] {
        h.hover_at(at);
        h.run();
        h.drag_at(at);
        h.run();
    }
    h.drop_at(middle);
    h.run();
    h.get_by_label("near walls").click();
    h.run();
    assert!(h.state().asked.is_empty(), "looking changes nothing");
    let joint = h.state().job().joints[0];
    h.get_all_by_label_contains(" meets ").next().unwrap().click();
    h.run();
    type_over(&mut h, "Angle of the corner", "97°");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(edits(&h), [&Edit::JointAngle(joint.id, Some(97.0))]);
}

#[test]
fn a_plain_box_is_typed_and_its_walls_come_joined() {
    let mut h = open(Desk::with(two_walls()), Step::Box);
    type_over(&mut h, "Fore and aft", "800 mm");
    h.key_press(Key::Enter);
    h.run();
    type_over(&mut h, "High", "2 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("depth of 2 mm");
    assert_eq!(text_box(&h, "High").value().as_deref(), Some("2 mm"), "the words stay");
    h.key_press(Key::Escape);
    h.run();
    h.get_by_label("Add its walls").click();
    h.run();
    let job = h.state().job();
    assert_eq!((job.walls.len(), job.joints.len()), (7, 8));
    h.get_by_label("Bare space");
}

#[test]
fn a_job_without_walls_offers_a_plain_box() {
    let mut h = open(Desk::with(coldwright_job::Job::default()), Step::Photo);
    type_over(&mut h, "Hull side leans", "70°");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("must be between -60° and 60°");
    type_over(&mut h, "Hull side leans", "12°");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label("With foam on top").click();
    h.run();
    h.get_by_label("Add its walls").click();
    h.run();
    assert!(matches!(edits(&h)[..], [Edit::AddBox(b)] if b.top && (b.lean_deg - 12.0).abs() < 1e-9));
    assert_eq!(h.state().job().walls.len(), 6);
}

#[test]
fn a_second_compartment_is_begun_behind_a_wall_and_gets_its_opening() {
    let mut h = open(Desk::with(common::typed_box()), Step::Box);
    let end = h.state().job().walls.iter().find(|w| w.name == "Forward end").map(|w| w.id);
    h.state_mut().view.wall = end;
    h.run();
    type_over(&mut h, "Name of the second compartment", "Icebox");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label("Begin it behind Forward end").click();
    h.run();
    let one = h.state().job().compartments[0].clone();
    assert_eq!((one.name.as_str(), Some(one.front)), ("Icebox", end));
    type_over(&mut h, "Opening, width of Icebox", "300 mm");
    h.key_press(Key::Enter);
    h.run();
    assert!(h.state().job().compartments[0].opening.is_none(), "one side is no opening");
    type_over(&mut h, "Opening, height of Icebox", "-3 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_all_by_label_contains("opening").next().unwrap();
    type_over(&mut h, "Opening, height of Icebox", "250 mm");
    h.key_press(Key::Enter);
    h.run();
    assert!(h.state().job().compartments[0].opening.is_some());
    h.get_by_label("Nothing in the way").click();
    h.run();
    assert!(h.state().job().compartments[0].opening.is_none() && h.state().refused.is_empty());
}
