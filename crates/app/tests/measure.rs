//! `coldwright measure` where cards disagree and where two photos give a height.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use coldwright_canvas::{CardKind, Homography, Limits, Picture, Point, find_cards};
use common::{folder, root};
use serde_json::Value;

fn out(words: &[&str]) -> String {
    let out = Command::new(env!("CARGO_BIN_EXE_coldwright")).arg("measure").args(words).output().unwrap();
    assert!(out.status.success(), "{words:?}: {}", String::from_utf8_lossy(&out.stderr));
    String::from_utf8(out.stdout).unwrap()
}

fn answer(words: &[&str]) -> Value {
    serde_json::from_str(&out(&[words, &["--json"]].concat())).unwrap()
}

fn number(v: &Value) -> f64 {
    v.as_f64().unwrap()
}

/// Distance of the first two points of an answer, mm.
fn distance(a: &Value) -> f64 {
    let at = |i: usize| {
        let mm = &a["points"][i]["mm"];
        Point::new(number(&mm[0]), number(&mm[1]))
    };
    at(0).distance(at(1))
}

/// Half a card's paper that is drawn anew, mm.
const HALF: (f64, f64) = (135.0, 98.0);

/// The sample photo with one card drawn at 99.5 % of its size.
fn one_card_smaller(number: u32, to: &Path) {
    let bytes = fs::read(root().join("samples/photos/demo-hull-side.jpg")).unwrap();
    let picture = Picture::decode(&bytes, &Limits::default()).unwrap();
    let found = find_cards(&picture, CardKind::Printed);
    let card = found.cards.iter().find(|c| c.number == number).unwrap();
    let pairs: Vec<_> = card.crossings.iter().map(|c| (c.card_mm, c.px)).collect();
    let map = Homography::fit(&pairs).unwrap();
    let back = map.inverse().unwrap();
    let (w, h) = (picture.width(), picture.height());
    let mut rgb = picture.rgb().to_vec();
    for y in 0..h {
        for x in 0..w {
            let Some(p) = back.apply(Point::new(x.into(), y.into())) else { continue };
            if p.x.abs() > HALF.0 || p.y.abs() > HALF.1 {
                continue;
            }
            let q = map.apply(Point::new(p.x / 0.995, p.y / 0.995)).unwrap();
            let (u, v) = (q.x.fract(), q.y.fract());
            for c in 0..3 {
                let at = |dx: usize, dy: usize| {
                    let i = 3 * ((q.y as usize + dy) * w as usize + q.x as usize + dx) + c;
                    f64::from(picture.rgb()[i])
                };
                let value = (at(0, 0) * (1.0 - u) + at(1, 0) * u) * (1.0 - v)
                    + (at(0, 1) * (1.0 - u) + at(1, 1) * u) * v;
                rgb[3 * (y as usize * w as usize + x as usize) + c] = value.round() as u8;
            }
        }
    }
    image::RgbImage::from_raw(w, h, rgb).unwrap().save(to).unwrap();
}

#[test]
fn a_card_printed_smaller_is_named_and_both_answers_are_shown() {
    let dir = folder("smaller");
    let points = dir.join("points.json");
    fs::write(&points, r#"[{"px":[2484,1111.5],"height":4.6},{"px":[510.2,1330],"height":9.2}]"#).unwrap();
    let good = root().join("samples/photos/demo-hull-side.jpg");
    let (good, points) = (good.to_str().unwrap(), points.to_str().unwrap());
    let truth = answer(&[good, "--at", points, "--click", "0"]);
    assert!(truth.get("without_bad_cards").is_none(), "nothing disagrees");
    let number = truth["cards"][2]["number"].as_u64().unwrap();

    let bad = dir.join("smaller.png");
    one_card_smaller(u32::try_from(number).unwrap(), &bad);
    let bad = bad.to_str().unwrap();
    let a = answer(&[bad, "--at", points, "--click", "0"]);
    let named = a["bad_cards"].as_array().unwrap();
    assert!(named.len() == 1 && named[0]["number"] == number, "{named:?}");
    assert!(named[0]["why"].as_str().unwrap().contains("smaller"), "{named:?}");
    let (with, without) = (distance(&a), distance(&a["without_bad_cards"]));
    assert_eq!(a["without_bad_cards"]["left_out"], serde_json::json!([number]));
    println!("true {:.3}, with all cards {with:.3}, without card {number} {without:.3}", distance(&truth));
    assert!((without - distance(&truth)).abs() < 0.15 && (with - without).abs() > 0.15);

    let n = number.to_string();
    let left = answer(&[bad, "--at", points, "--click", "0", "--leave-out", &n]);
    assert!(
        (distance(&left) - without).abs() < 1e-9 && (distance(&left["with_all_cards"]) - with).abs() < 1e-9
    );
    assert!(left["bad_cards"].as_array().unwrap().is_empty());
    let words = out(&[bad, "--at", points]);
    assert!(
        words.contains(&format!("Card {number} measures")) && words.contains("Without the cards named above")
    );
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn the_print_scale_is_stated_and_can_be_taken_out() {
    let dir = folder("print");
    let points = dir.join("points.json");
    fs::write(&points, r#"[{"px":[2484,1111.5],"height":4.6},{"px":[510.2,1330],"height":9.2}]"#).unwrap();
    let photo = root().join("samples/photos/demo-hull-side.jpg");
    let words = [photo.to_str().unwrap(), "--at", points.to_str().unwrap(), "--click", "0"];
    let unmeasured = answer(&words);
    let exact = answer(&[&words[..], &["--print-sd", "0"]].concat());
    let sd = |a: &Value, key: &str| number(&a[key][3][3]).sqrt();
    assert!((number(&unmeasured["print"]["sd"]) - 0.0015).abs() < 1e-12);
    assert!(sd(&unmeasured, "cov_mm2") > 3.0 * sd(&unmeasured, "cov_print_exact_mm2"));
    assert!((sd(&exact, "cov_mm2") - sd(&unmeasured, "cov_print_exact_mm2")).abs() < 1e-9);
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn two_photos_give_the_heights_of_named_points() {
    let beside = root().join("../shared");
    let shared = std::env::var_os("COLDWRIGHT_SHARED").map_or(beside, PathBuf::from).join("photos-checker");
    if !shared.is_dir() {
        println!("skipped: needs shared test data");
        return;
    }
    let dir = folder("heights");
    let mut asked = Vec::new();
    let mut truth = Vec::new();
    for (photo, name) in ["chk-05", "chk-06"].iter().enumerate() {
        let text = fs::read_to_string(shared.join(format!("{name}.json"))).unwrap();
        let t: Value = serde_json::from_str(&text).unwrap();
        for tip in t["template"]["tips"].as_array().unwrap() {
            for (k, p) in tip["points"].as_array().unwrap().iter().enumerate() {
                let name = format!("tip {} {k}", tip["id"]);
                if photo == 0 {
                    truth.push((name.clone(), number(&p["z_top_mm"])));
                }
                asked.push(serde_json::json!({"px": p["px_top"], "photo": photo, "name": name}));
            }
        }
    }
    let points = dir.join("points.json");
    fs::write(&points, serde_json::to_string(&asked).unwrap()).unwrap();
    let photos = ["chk-05.jpg", "chk-06.jpg"].map(|p| shared.join(p).to_str().unwrap().to_owned());
    let a = answer(&[&photos[0], &photos[1], "--at", points.to_str().unwrap(), "--click", "0"]);
    let raised = a["raised"].as_array().unwrap();
    let mut worst = 0.0f64;
    for (name, height) in &truth {
        let found = raised.iter().find(|r| r["name"] == name.as_str()).unwrap();
        worst = worst.max((number(&found["height_mm"]) - height).abs());
    }
    println!("{} heights found to {worst:.3} mm", raised.len());
    assert!(raised.len() > 10 && worst < 0.5, "{worst}");
    fs::remove_dir_all(&dir).unwrap();
}

#[test]
fn a_photo_with_a_side_cut_off_is_doubted_in_words() {
    let dir = folder("cut");
    let photo = root().join("samples/photos/demo-hull-side.jpg");
    let whole = answer(&[photo.to_str().unwrap()]);
    assert_eq!(whole["photos"][0]["doubts"], serde_json::json!([]));
    let picture = Picture::decode(&fs::read(&photo).unwrap(), &Limits::default()).unwrap();
    let (w, h) = (picture.width(), picture.height());
    let all = image::RgbImage::from_raw(w, h, picture.rgb().to_vec()).unwrap();
    let gone = w / 9;
    let cut = dir.join("cut.png");
    image::imageops::crop_imm(&all, gone, 0, w - gone, h).to_image().save(&cut).unwrap();
    let doubts = answer(&[cut.to_str().unwrap()])["photos"][0]["doubts"].clone();
    let doubts: Vec<&str> = doubts.as_array().unwrap().iter().map(|d| d.as_str().unwrap()).collect();
    assert!(doubts.iter().any(|d| d.contains("a side seems cut off")), "{doubts:?}");
    assert!(doubts.iter().any(|d| d.contains("as if this photo had been cut")), "{doubts:?}");
    fs::remove_dir_all(&dir).unwrap();
}
