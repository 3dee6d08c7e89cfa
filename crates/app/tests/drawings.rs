//! Drawing files put into a job: by the command, and by the window.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::fs;
use std::path::Path;
use std::process::Output;

use coldwright_app::window::App;
use coldwright_export::{Drawing, DxfOptions, DxfVersion, Layer, Pen, dxf, svg};
use coldwright_job::{Edit, Job, from_bytes, plan};
use coldwright_screen::Action;
use common::{folder, run, until};
use kurbo::{BezPath, Rect, Shape};
use serde_json::Value;

fn said(out: &Output) -> String {
    String::from_utf8_lossy(&out.stderr).into_owned()
}

fn put(dir: &Path, name: &str, text: &str) -> String {
    let path = dir.join(name);
    fs::write(&path, text).unwrap();
    path.to_str().unwrap().to_owned()
}

/// A side 700 × 420 mm whose top slopes up to the left, and a round hole in it, on two layers.
fn side() -> Drawing {
    let mut drawing = Drawing::new("Side", Rect::new(0.0, 0.0, 720.0, 440.0));
    let mut path = BezPath::new();
    path.move_to((10.0, 10.0));
    for p in [(710.0, 10.0), (710.0, 330.0), (10.0, 430.0)] {
        path.line_to(p);
    }
    path.close_path();
    drawing.line(path, Pen::CUT, Layer::Cut);
    drawing.line(kurbo::Circle::new((300.0, 200.0), 60.0).to_path(0.001), Pen::MARK, Layer::Marks);
    drawing
}

fn size(job: &Job) -> (f64, f64) {
    let b = plan(job).walls[0].outline.as_ref().unwrap().bounds();
    ((b.width() * 10.0).round() / 10.0, (b.height() * 10.0).round() / 10.0)
}

fn read(path: &str) -> Job {
    from_bytes(&fs::read(path).unwrap()).unwrap()
}

#[test]
fn a_drawing_begins_a_job_and_further_ones_add_walls() {
    let dir = folder("command");
    let job = dir.join("box.coldwright").to_str().unwrap().to_owned();
    let file = put(&dir, "Fore side.svg", &svg(&side(), 0.005).unwrap());
    // Two outlines: the person is asked which, and nothing is written.
    let asked = run(&["drawing", &job, &file]);
    assert!(!asked.status.success() && !Path::new(&job).exists());
    assert!(
        said(&asked).contains("choose one with --outline: 1 on \"Cut-line\" (700.0 by 420.0), 2 on"),
        "{}",
        said(&asked)
    );
    let out = run(&["drawing", &job, &file, "--outline", "1", "--json"]);
    assert!(out.status.success(), "{}", said(&out));
    let answer: Value = serde_json::from_slice(&out.stdout).unwrap();
    assert_eq!((answer["wall"].as_str(), answer["edges"].as_u64()), (Some("Fore side"), Some(4)), "{answer}");
    let made = read(&job);
    assert_eq!(made.walls[0].template.drawn_from.as_deref(), Some("Fore side.svg"));
    assert_eq!(size(&made), (700.0, 420.0));

    // R12 says no unit that programs read: it is asked for, with what each would make of it.
    let text = dxf(&side(), &DxfOptions { version: DxfVersion::R12, ..DxfOptions::default() }).unwrap();
    let old = put(&dir, "after.dxf", &text);
    let asked = run(&["drawing", &job, &old, "--outline", "1"]);
    assert!(
        said(&asked).contains("--unit") && said(&asked).contains("mm (700 by 420 mm)"),
        "{}",
        said(&asked)
    );
    let out = run(&[
        "drawing",
        &job,
        &old,
        "--outline",
        "1",
        "--unit",
        "mm",
        "--wall",
        "After side",
        "--seen-from",
        "hull",
    ]);
    assert!(out.status.success(), "{}", said(&out));
    let made = read(&job);
    assert_eq!(made.walls.iter().map(|w| w.name.as_str()).collect::<Vec<_>>(), ["Fore side", "After side"]);
    // Seen from the hull it is mirrored: its high end is on the right then.
    let high = |i: usize| {
        let outline = plan(&made).walls[i].outline.clone().unwrap();
        let points = outline.polyline(0.01);
        points.iter().max_by(|a, b| a.y.total_cmp(&b.y)).unwrap().x > outline.bounds().center().x
    };
    assert!(!high(0) && high(1));

    // A wall that has points keeps them unless it is said.
    let again = run(&["drawing", &job, &file, "--outline", "2", "--wall", "fore SIDE"]);
    assert!(said(&again).contains("--replace"), "{}", said(&again));
    let out = run(&["drawing", &job, &file, "--outline", "2", "--wall", "fore SIDE", "--replace"]);
    assert!(out.status.success(), "{}", said(&out));
    assert_eq!(read(&job).walls.len(), 2);
    assert_eq!(size(&read(&job)), (120.0, 120.0));
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn what_is_no_drawing_is_refused_in_a_sentence() {
    let dir = folder("refused");
    let job = dir.join("box.coldwright").to_str().unwrap().to_owned();
    for (name, text, says) in [
        ("a.dxf", "hello", "DXF"),
        (
            "b.svg",
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"9mm\" height=\"9mm\"><path d=\"M0 0L9 9\"/></svg>",
            "no closed outline",
        ),
        ("c.svg", "<svg", "no SVG"),
    ] {
        let out = run(&["drawing", &job, &put(&dir, name, text)]);
        assert_eq!(out.status.code(), Some(1));
        assert!(said(&out).contains(says) && said(&out).contains(name), "{}", said(&out));
    }
    assert!(!Path::new(&job).exists());
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_drawing_that_says_all_becomes_the_bare_walls_template_and_another_a_new_wall() {
    let dir = folder("window");
    let mut app = App::new(&egui::Context::default(), Some(&dir.join("state"))).unwrap();
    let mut plain = side();
    plain.items.truncate(1);
    let file = put(&dir, "My side 100%.svg", &svg(&plain, 0.005).unwrap());
    app.act(Action::Edit(Edit::AddWall { name: "Floor".to_owned() }, None));
    let floor = app.job().walls[0].id;
    // As a file manager pastes it.
    let address = format!("file://{}", file.replace('%', "%25").replace(' ', "%20"));
    app.act(Action::AddDrawing { wall: Some(floor), path: Some(address) });
    until(&mut app, "the outline arrives", |a| !a.job().walls[0].template.ticks.is_empty());
    assert_eq!(size(app.job()), (700.0, 420.0));
    app.act(Action::AddDrawing { wall: Some(floor), path: Some(file) });
    until(&mut app, "another wall", |a| a.job().walls.len() == 2);
    assert_eq!(app.job().walls[1].name, "My side 100%");
    app.act(Action::Undo);
    app.act(Action::Undo);
    assert_eq!(app.job().walls.len(), 1, "undone");
    app.close();
    fs::remove_dir_all(&dir).unwrap();
}
