//! The steps Layers and Papers.
#![allow(
    clippy::unwrap_used,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::Paper;
use coldwright_geometry::FixedFace;
use coldwright_job::{CutStyle, Edit, Step, TakenAt, WallEdit};
use coldwright_screen::{Action, Made};
use common::{Desk, text_box, type_over};
use egui::Key;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

fn at(step: Step, height: f32) -> Harness<'static, Desk> {
    let mut desk = Desk::sample("floor.coldwright");
    desk.view.step = step;
    let mut h = desk.open(1200.0, height);
    h.run();
    h
}

#[test]
fn a_thickness_is_typed_in_any_writing() {
    let mut h = at(Step::Layers, 900.0);
    type_over(&mut h, "Thickness of layer 2", "1 1/2 in");
    h.get_by_label_contains("38.1 mm");
    h.key_press(Key::Enter);
    h.run();
    let Some(WallEdit::Layers(layers)) = h.state().wall_edits().last().copied() else { panic!() };
    assert!((layers[1].thickness.mm() - 38.1).abs() < 1e-9);
    assert_eq!(layers.len(), h.state().job().walls[0].layers.len());
}

#[test]
fn a_thickness_of_nothing_is_refused_with_the_jobs_sentence() {
    let mut h = at(Step::Layers, 900.0);
    type_over(&mut h, "Thickness of layer 1", "-25 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("cannot be -25 mm thick");
    assert_eq!(text_box(&h, "Thickness of layer 1").value().as_deref(), Some("-25 mm"));
    assert!(h.state().asked.is_empty());
}

#[test]
fn layers_come_and_go_down_to_one() {
    let mut h = at(Step::Layers, 900.0);
    let count = h.state().job().walls[0].layers.len();
    h.get_by_label("Add layer").click();
    h.run();
    assert_eq!(h.state().job().walls[0].layers.len(), count + 1);
    for _ in 0..count {
        h.get_by_label("Remove layer 1").click();
        h.run();
    }
    assert_eq!(h.state().job().walls[0].layers.len(), 1);
    let before = h.state().asked.len();
    h.get_by_label("Remove layer 1").click();
    h.run();
    assert_eq!(h.state().asked.len(), before, "the last layer stays");
    assert!(h.state().refused.is_empty());
}

#[test]
fn the_wall_is_set_up_by_plain_choices() {
    let mut h = at(Step::Layers, 1000.0);
    let was = h.state().job().walls[0].clone();
    let (face, other) = match was.fixed {
        FixedFace::Outer => ("box face", FixedFace::Inner),
        FixedFace::Inner => ("hull face", FixedFace::Outer),
    };
    h.get_all_by_label(face).next().unwrap().click();
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::Fixed(other)));
    h.get_by_label("square, to fit: the wedge is filled").click();
    h.run();
    assert_eq!(h.state().wall_edits().last(), Some(&&WallEdit::Cut(CutStyle::SquareFits)));
    h.get_by_label("out from the box face").click();
    h.run();
    assert!(matches!(h.state().wall_edits().last(), Some(WallEdit::TakenAt(TakenAt::FromInner(_)))));
}

#[test]
fn plan_and_section_are_named_boards() {
    let mut h = at(Step::Layers, 800.0);
    h.get_by_label("Stack of layers");
    h.get_by_label("plan").click();
    h.run();
    h.get_by_label("Plan of layer 1");
    h.get_by_label("Layer 3").click();
    h.run();
    h.get_by_label("Plan of layer 3");
    h.get_by_label("section").click();
    h.run();
    h.get_by_label("Section");
    assert!(h.state().asked.is_empty(), "looking changes nothing");
}

#[test]
fn the_stack_turns_and_nothing_is_asked() {
    let mut h = at(Step::Layers, 800.0);
    let middle = h.get_by_label("Stack of layers").rect().center();
    h.hover_at(middle);
    h.run();
    h.drag_at(middle);
    h.run();
    h.hover_at(middle + egui::vec2(60.0, 20.0));
    h.run();
    h.drop_at(middle + egui::vec2(60.0, 20.0));
    h.run();
    assert!(h.state().asked.is_empty());
}

#[test]
fn papers_are_chosen_and_made() {
    let mut h = at(Step::Papers, 900.0);
    let other = if h.state().job().paper == Paper::A4 { ("A3", Paper::A3) } else { ("A4", Paper::A4) };
    h.get_by_label(other.0).click();
    h.run();
    assert_eq!(h.state().asked, [Action::Edit(Edit::SetPaper(other.1), None)]);
    h.get_by_label("Make papers…").click();
    h.run();
    assert_eq!(h.state().asked.last(), Some(&Action::MakePapers { folder: None }));
    type_over(&mut h, "Folder for the papers", "galley/papers");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label("Make papers").click();
    h.run();
    assert_eq!(h.state().asked.last(), Some(&Action::MakePapers { folder: Some("galley/papers".into()) }));
}

#[test]
fn a_roll_has_a_width_within_reason() {
    let mut h = at(Step::Papers, 900.0);
    h.get_by_label("a roll").click();
    h.run();
    type_over(&mut h, "Roll width", "24 in");
    h.key_press(Key::Enter);
    h.run();
    assert!(matches!(h.state().job().paper, Paper::Roll { width_mm } if (width_mm - 609.6).abs() < 1e-9));
    type_over(&mut h, "Roll width", "5 mm");
    h.key_press(Key::Enter);
    h.run();
    assert_eq!(text_box(&h, "Roll width").value().as_deref(), Some("5 mm"));
    assert!(matches!(h.state().job().paper, Paper::Roll { width_mm } if (width_mm - 609.6).abs() < 1e-9));
}

#[test]
fn the_printer_is_corrected_by_a_measured_hundred() {
    let mut h = at(Step::Papers, 900.0);
    type_over(&mut h, "Printed 100 mm across", "99.2 mm");
    h.key_press(Key::Enter);
    h.run();
    let printed = h.state().job().printed_100_mm.expect("it was measured");
    assert!((printed.0.mm() - 99.2).abs() < 1e-9 && (printed.1.mm() - 100.0).abs() < 1e-9);
    type_over(&mut h, "Printed 100 mm up", "80 mm");
    h.key_press(Key::Enter);
    h.run();
    h.get_by_label_contains("more than 5 % off");
}

#[test]
fn what_was_made_is_listed_and_cautions_stand_below() {
    let mut desk = Desk::sample("floor.coldwright");
    desk.view.step = Step::Papers;
    desk.made = Some(Made { folder: "galley/papers".into(), files: vec![("Floor 1.pdf".into(), 81_000)] });
    let mut h = desk.open(1200.0, 1400.0);
    h.run();
    h.get_by_label("Floor 1.pdf");
    h.get_by_label("81 kB");
    h.get_by_label_contains("Foam dust harms lungs");
    h.get_by_label_contains("ask a licensed person");
    h.get_by_label("Show the folder").click();
    h.run();
    assert_eq!(h.state().asked, [Action::ShowFolder("galley/papers".into())]);
}

/// The number of pages a PDF says it has.
fn pdf_pages(bytes: &[u8]) -> usize {
    let text = String::from_utf8_lossy(bytes);
    let counts = text.split("/Count ").skip(1);
    counts.filter_map(|t| t.split(|c: char| !c.is_ascii_digit()).next()?.parse().ok()).max().unwrap_or(0)
}

/// What the column says of the pages of the pattern shown.
fn pages_said(h: &Harness<'_, Desk>) -> usize {
    let says = h
        .get_all_by_label_contains(" page")
        .filter_map(|n| n.value())
        .find(|says| says.starts_with(|c: char| c.is_ascii_digit()))
        .unwrap();
    says.split_whitespace().next().unwrap().parse().unwrap()
}

/// Pages made and pages shown, over every layer, part and face.
fn pages_made_and_shown(mut desk: Desk) -> (usize, usize) {
    let options = coldwright_papers::MakeOptions {
        kinds: vec![coldwright_papers::Kind::Pdf],
        ..coldwright_papers::MakeOptions::default()
    };
    let files = coldwright_papers::make(desk.job(), &desk.plan, &options).unwrap();
    let made = files.iter().find(|f| f.name == "patterns.pdf").map(|f| pdf_pages(&f.bytes)).unwrap();
    desk.view.step = Step::Papers;
    let count = desk.job().walls[0].layers.len();
    assert_eq!(desk.job().walls.len(), 1);
    let mut h = desk.open(1200.0, 1000.0);
    let mut shown = 0;
    for layer in 1..=count {
        h.run();
        h.get_by_label(&format!("Layer {layer}")).click();
        h.run();
        let parts: Vec<String> = (b'a'..=b'z')
            .map(|c| format!("Part {}", char::from(c)))
            .filter(|part| h.query_by_label(part).is_some())
            .collect();
        for part in parts.iter().map(Some).chain(parts.is_empty().then_some(None)) {
            if let Some(part) = part {
                h.get_by_label(part).click();
                h.run();
            }
            if h.query_by_label("Box side up").is_some() {
                h.get_by_label("Box side up").click();
                h.run();
            }
            shown += pages_said(&h);
            if h.query_by_label("Hull face up, mirrored").is_some() {
                h.get_by_label("Hull face up, mirrored").click();
                h.run();
                shown += pages_said(&h);
            }
        }
    }
    (made, shown)
}

#[test]
fn the_pages_shown_are_the_pages_made() {
    for sample in ["hull-side.coldwright", "floor.coldwright"] {
        for paper in [Paper::A4, Paper::Letter, Paper::A3, Paper::Roll { width_mm: 610.0 }] {
            let mut desk = Desk::sample(sample);
            desk.history.as_mut().unwrap().edit(&Edit::SetPaper(paper), None).unwrap();
            desk.replan();
            let (made, shown) = pages_made_and_shown(desk);
            assert_eq!(shown + 1, made, "{sample} on {paper:?}, one page to read first");
        }
    }
}

#[test]
fn parts_and_second_patterns_are_shown_as_they_are_made() {
    let mut desk = Desk::sample("hull-side.coldwright");
    let long = coldwright_geometry::Length::from_micrometres;
    let opening = coldwright_job::Opening {
        shape: coldwright_job::OpeningShape::Rectangle {
            width: long(300_000),
            height: long(200_000),
            corner: long(0),
        },
        behind: None,
        place: None,
    };
    // A table that tilts one way only: edges that lean the other way are on a second pattern.
    let cutting = coldwright_job::Cutting { tilt: (45, 5), ..desk.job().cutting };
    for edit in [Edit::SetOpening(Some(opening)), Edit::SetCutting(cutting)] {
        desk.history.as_mut().unwrap().edit(&edit, None).unwrap();
    }
    desk.replan();
    assert!(desk.plan.pieces.iter().any(|p| p.parts > 1), "the opening cuts layers");
    let second = |p: &coldwright_job::PlannedPiece| {
        coldwright_papers::has_second_pattern(desk.job(), &desk.plan, p.id)
    };
    assert!(desk.plan.pieces.iter().any(second), "the saw needs second patterns");
    let (made, shown) = pages_made_and_shown(desk);
    assert_eq!(shown + 1, made);
}
