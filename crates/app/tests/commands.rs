//! The headless commands as a person or a script runs them.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::fs;
use std::process::Command;

use common::{folder, root, run};
use serde_json::Value;

fn sample(name: &str) -> String {
    root().join("samples").join(name).to_str().unwrap().to_owned()
}

fn answer(words: &[&str]) -> Value {
    let out = run(words);
    assert!(out.status.success(), "{words:?}: {}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).unwrap()
}

/// Runs a command that must fail: exit code 1, a sentence on standard error, nothing on standard output.
fn refused(words: &[&str], says: &str) {
    let out = run(words);
    let error = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(1), "{words:?}: {error}");
    assert!(error.contains(says), "{words:?} says {says}: {error}");
    assert!(!error.contains("panicked"), "{error}");
    assert!(out.stdout.is_empty(), "{}", String::from_utf8_lossy(&out.stdout));
}

#[test]
fn what_is_no_photo_is_refused_in_a_sentence() {
    let dir = folder("photos");
    let whole = fs::read(root().join("samples/photos/demo-hull-side.jpg")).unwrap();
    let put = |name: &str, bytes: &[u8]| {
        let path = dir.join(name);
        fs::write(&path, bytes).unwrap();
        path.to_str().unwrap().to_owned()
    };
    refused(&["measure", &put("empty.jpg", b"")], "empty");
    refused(&["measure", &put("words.jpg", b"only words")], "photo");
    for percent in [1, 50, 90, 99] {
        let cut = put(&format!("cut{percent}.jpg"), &whole[..whole.len() * percent / 100]);
        refused(&["measure", &cut], "cut");
    }
    refused(&["measure", dir.join("none.jpg").to_str().unwrap()], "it is not there");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_photo_without_cards_says_what_to_do() {
    let dir = folder("cardless");
    let path = dir.join("grey.png");
    let mut png = image::RgbImage::new(640, 480);
    png.pixels_mut().for_each(|p| p.0 = [120, 118, 115]);
    png.save(&path).unwrap();
    refused(&["measure", path.to_str().unwrap()], "card");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn points_come_back_in_order_with_their_covariance() {
    let dir = folder("points");
    let points = dir.join("points.json");
    fs::write(&points, r#"[{"px":[2484,1111.5],"height":4.6},{"px":[510.2,1330],"height":9.2,"photo":0}]"#)
        .unwrap();
    let photo = root().join("samples/photos/demo-hull-side.jpg");
    let a = answer(&[
        "measure",
        photo.to_str().unwrap(),
        "--at",
        points.to_str().unwrap(),
        "--click",
        "0.5",
        "--json",
    ]);
    assert_eq!(a["photos"][0]["cards"].as_array().unwrap().len(), 5);
    assert_eq!(a["bad_cards"].as_array().unwrap().len(), 0);
    let cov = a["cov_mm2"].as_array().unwrap();
    assert_eq!((cov.len(), cov[0].as_array().unwrap().len()), (4, 4));
    for i in 0..2 {
        let p = &a["points"][i];
        for k in 0..2 {
            let sd = p["sd"][k].as_f64().unwrap();
            assert!((cov[2 * i + k][2 * i + k].as_f64().unwrap() - sd * sd).abs() < 1e-9);
            assert!((0.1..1.0).contains(&sd), "half a pixel is some tenths of a millimetre: {sd}");
        }
    }
    // True places of the two points, from the data the photo was rendered from: apex of one tip, a point on a lath's edge.
    let at =
        |i: usize| (a["points"][i]["mm"][0].as_f64().unwrap(), a["points"][i]["mm"][1].as_f64().unwrap());
    let (a0, a1) = (at(0), at(1));
    let distance = (a0.0 - a1.0).hypot(a0.1 - a1.1);
    assert!((500.0..1000.0).contains(&distance), "{distance}");
    for (json, says) in
        [("{}", "not a list"), (r#"[{"px":[1]}]"#, "point 1"), (r#"[{"px":[1,2],"photo":3}]"#, "photo")]
    {
        fs::write(&points, json).unwrap();
        refused(&["measure", photo.to_str().unwrap(), "--at", points.to_str().unwrap()], says);
    }
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn layers_of_a_sample_are_told_in_numbers() {
    let a = answer(&["layers", &sample("hull-side.coldwright"), "--json"]);
    let layers = a["walls"][0]["layers"].as_array().unwrap();
    assert_eq!(layers.len(), 4);
    for (i, layer) in layers.iter().enumerate() {
        assert!((layer["to_mm"].as_f64().unwrap() - 25.4 * (i + 1) as f64).abs() < 1e-9);
        assert!(layer["outer"][0]["outline_mm"].as_array().unwrap().len() > 4);
        assert!(layer["wedge_mm3"].as_f64().unwrap() > 0.0, "the edges lean, so square pieces leave a wedge");
        let steepest = layer["steepest_bevel_deg"].as_f64().unwrap();
        let edge = &layer["steepest_bevel_edge"];
        let of_edge = |m: &&Value| m["edge"] == *edge;
        let mark = layer["bevels"].as_array().unwrap().iter().find(of_edge).unwrap();
        assert!((mark["angle_deg"].as_f64().unwrap().abs() - steepest).abs() < 1e-6, "{mark}");
        assert!(layer["largest_gap_mm"].as_f64().unwrap() > 0.0 && layer["largest_gap_at_mm"][1].is_number());
        assert!(
            layer["space_before_mm"].as_f64().unwrap().abs() < 1e-9,
            "no film between the sample's layers"
        );
        for limit in layer["saw_cannot"].as_array().unwrap() {
            assert!(["tilt", "throat", "radius"].contains(&limit["limit"].as_str().unwrap()), "{limit}");
        }
        assert_eq!(layer["feather_edges"].as_array().unwrap().len(), 0, "no edge leans more than 45°");
    }
}

#[test]
fn make_writes_every_kind_and_says_so() {
    let dir = folder("make");
    let out = dir.join("papers");
    let a = answer(&["make", &sample("floor.coldwright"), "--out", out.to_str().unwrap(), "--json"]);
    let names: Vec<String> =
        a["files"].as_array().unwrap().iter().map(|f| f["name"].as_str().unwrap().to_owned()).collect();
    for kind in [".pdf", ".svg", ".dxf", ".csv"] {
        assert!(names.iter().any(|n| n.ends_with(kind)), "{kind} in {names:?}");
    }
    for name in &names {
        assert!(fs::metadata(out.join(name)).unwrap().len() > 0, "{name}");
    }
    assert_eq!(fs::read_dir(&out).unwrap().count(), names.len(), "nothing else is left there");
    fs::write(out.join("floor-9.svg"), "a layer that is no more").unwrap();
    let again = answer(&["make", &sample("floor.coldwright"), "--out", out.to_str().unwrap(), "--json"]);
    assert!(again["look"].to_string().contains("floor-9.svg"), "{}", again["look"]);
    let only = dir.join("only");
    let a = answer(&[
        "make",
        &sample("floor.coldwright"),
        "--out",
        only.to_str().unwrap(),
        "--only",
        "svg",
        "--json",
    ]);
    assert!(a["files"].as_array().unwrap().iter().all(|f| f["name"].as_str().unwrap().ends_with(".svg")));
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_spoiled_job_writes_nothing() {
    let dir = folder("spoiled");
    let whole = fs::read(sample("floor.coldwright")).unwrap();
    let path = dir.join("cut.coldwright");
    fs::write(&path, &whole[..whole.len() / 2]).unwrap();
    let out = dir.join("papers");
    refused(&["make", path.to_str().unwrap(), "--out", out.to_str().unwrap()], "damaged");
    assert!(!out.exists());
    refused(&["check", path.to_str().unwrap()], "damaged");
    refused(&["layers", root().join("README.md").to_str().unwrap()], "not a Coldwright job");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn check_of_a_sample_finds_nothing_that_spoils() {
    let a = answer(&["check", &sample("hull-side.coldwright"), "--json"]);
    assert_eq!(a["spoils"], 0);
}

#[test]
fn cards_are_written_and_absurd_wishes_are_not() {
    let dir = folder("cards");
    let path = dir.join("cards.pdf");
    let a = answer(&[
        "cards",
        "--paper",
        "letter",
        "--half",
        "--count",
        "4",
        "--out",
        path.to_str().unwrap(),
        "--json",
    ]);
    assert_eq!((a["first"].as_u64(), a["last"].as_u64()), (Some(101), Some(104)));
    assert!(fs::read(&path).unwrap().starts_with(b"%PDF-"));
    let out = run(&["cards", "--paper", "a3", "--out", path.to_str().unwrap()]);
    assert_eq!(out.status.code(), Some(2), "words that cannot be understood");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn without_a_screen_the_window_says_what_is_missing() {
    if !cfg!(target_os = "linux") {
        return;
    }
    let out = Command::new(env!("CARGO_BIN_EXE_coldwright"))
        .env_remove("DISPLAY")
        .env_remove("WAYLAND_DISPLAY")
        .env_remove("WAYLAND_SOCKET")
        .env("COLDWRIGHT_STATE", std::env::temp_dir().join("coldwright-no-screen"))
        .output()
        .unwrap();
    let error = String::from_utf8(out.stderr).unwrap();
    assert_eq!(out.status.code(), Some(1), "{error}");
    assert!(error.contains("no screen") && error.contains("coldwright --help"), "{error}");
    assert!(!error.contains("panicked") && !error.contains(".rs:"), "{error}");
}

#[test]
fn pieces_are_laid_out_and_the_run_can_be_repeated() {
    let dir = folder("nest");
    let pieces = dir.join("pieces.json");
    let file = serde_json::json!({
        "schema": "sheet-nesting/1", "name": "eight", "units": "mm", "gap_mm": 3.2, "edge_margin_mm": 0.0,
        "sheets": [{"id": "full", "outline_mm": [[0, 0], [1219.2, 0], [1219.2, 2438.4], [0, 2438.4]],
                    "blocked_mm": [], "available": null, "cost": 1.0}],
        "pieces": [{"id": "a", "quantity": 8, "outline_mm": [[0, 0], [300, 0], [300, 600], [0, 600]],
                    "rotations_deg": [0, 90], "mirror_allowed": false}],
    });
    fs::write(&pieces, file.to_string()).unwrap();
    let out = dir.join("layout.json");
    let words = [
        "nest",
        pieces.to_str().unwrap(),
        "--seed",
        "3",
        "--moves",
        "2000",
        "--out",
        out.to_str().unwrap(),
        "--json",
    ];
    let first = answer(&words);
    let text = fs::read(&out).unwrap();
    assert_eq!(first["paid_sheets"], 1, "eight of 300 × 600 lie on one sheet of 4 × 8 ft");
    assert_eq!(first, answer(&words));
    assert_eq!(text, fs::read(&out).unwrap(), "the same seed and moves give the same layout");
    refused(&["nest", pieces.to_str().unwrap(), "--seconds=-1", "--out", out.to_str().unwrap()], "seconds");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn pieces_are_listed_and_laid_out_on_sheets_and_the_layout_is_kept() {
    let dir = folder("sheets");
    let job = dir.join("floor.coldwright");
    fs::copy(sample("floor.coldwright"), &job).unwrap();
    let job = job.to_str().unwrap();
    let pieces = answer(&["pieces", job, "--json"]);
    let listed = pieces["pieces_in_fitting_order"].as_array().unwrap();
    assert_eq!(listed[0]["mark"], "Floor 1");
    let laid = answer(&["sheets", job, "--moves", "20", "--seed", "5", "--keep", "--json"]);
    assert_eq!(laid["places"].as_array().unwrap().len(), listed.len());
    assert_eq!(laid["sheets"][0]["used"], 1, "{laid}");
    let again = answer(&["sheets", job, "--moves", "20", "--seed", "5", "--json"]);
    assert_eq!(again["places"], laid["places"], "the same seed and moves lay out the same");
    assert_eq!(laid["cutting_order"].as_array().unwrap().len(), listed.len());
    assert!(laid["cutting_rule"].as_str().unwrap().starts_with("Pieces with the most bevelled edges first"));
    let foam = &laid["answers"][0];
    assert_eq!((foam["enough"].as_bool(), foam["pieces"].as_u64()), (Some(true), Some(listed.len() as u64)));
    assert!(
        foam["words"].as_str().unwrap().contains("for spoiled pieces")
            || foam["words"].as_str().unwrap().contains("of spoiled")
    );
    assert_eq!(laid["break_down"].as_array().unwrap().len(), 1);
    assert!(laid["break_down"][0]["cuts"].is_array() || laid["break_down"][0]["why_none"].is_string());
    let kept = coldwright_job::from_bytes(&fs::read(job).unwrap()).unwrap();
    assert_eq!(kept.layout.unwrap().places.len(), listed.len());
}

#[test]
fn a_shape_taped_without_a_photo_is_checked_and_made() {
    use coldwright_canvas::measured::TieSide;
    use coldwright_job::{Edit, Job, Taped, TapedWay, WallEdit, apply, to_bytes};
    let dir = folder("taped");
    let taped = |wrong: &str| Taped {
        way: TapedWay::Ties { known: "P; 0; -100\nQ; 1000; -100".into(), side: TieSide::Left },
        table: format!("1; {wrong}; 955.25\n2; 955.25; 111.8\n3; 1180; 701.8\n4; 701.8; 1180"),
        lengths: "1; 2; 900\n1; 3; 1081.7\n2; 4; 1081.7\n4; 1; 600".into(),
        ..Taped::default()
    };
    let job = apply(&Job::default(), &Edit::AddWall { name: "Aft side".into() }).unwrap();
    let wall = job.walls[0].id;
    let put = |name: &str, wrong: &str| {
        let job = apply(&job, &Edit::Wall(wall, WallEdit::Taped(Some(taped(wrong))))).unwrap();
        let path = dir.join(name);
        fs::write(&path, to_bytes(&job).unwrap()).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let good = put("good.coldwright", "111.8");
    let said = |path: &str| {
        let problems = answer(&["check", path, "--json"])["problems"].as_array().unwrap().clone();
        problems.iter().map(|p| p["sentence"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let notes = said(&good);
    assert!(notes.iter().any(|s| s.contains("4 more measurements than needed agree")), "{notes:?}");
    let papers = dir.join("papers");
    let out = run(&["make", &good, "--out", papers.to_str().unwrap()]);
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    assert!(fs::read_dir(&papers).unwrap().count() > 3);
    let looks = said(&put("wrong.coldwright", "123.8"));
    assert!(looks.iter().any(|s| s.contains("measure the length from P to 1 again first")), "{looks:?}");
}
