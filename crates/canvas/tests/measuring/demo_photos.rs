//! The two photographs shipped with the program, against what they were rendered from.

use crate::common::{distances, exact, measure, number, point};
use coldwright_canvas::CardKind;
use std::path::Path;

fn check(truth: &str) {
    let truth: serde_json::Value = serde_json::from_str(truth).unwrap();
    let name = truth["photo"].as_str().unwrap();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/photos").join(name);
    let (picture, solved) = measure(&path, CardKind::Printed);
    assert_eq!(
        (f64::from(picture.width()), f64::from(picture.height())),
        (number(&truth["width"]), number(&truth["height"]))
    );
    let expected = truth["cards"].as_array().unwrap();
    assert_eq!(solved.cards().len(), expected.len(), "{name}: every card is found");
    assert!(solved.bad_cards().is_empty(), "{name}: {:?}", solved.bad_cards());
    assert!(solved.residual_px() < 0.05, "{name}: residual {} px", solved.residual_px());

    let focal_miss = solved.lens(0).unwrap().focal_px - number(&truth["focal_px"]);
    assert!(
        focal_miss.abs() < 3.0 * solved.focal_sd_px(0).unwrap(),
        "{name}: focal length off by {focal_miss} px"
    );
    let tilt = solved.tilt(0).unwrap().to_degrees();
    assert!((tilt - number(&truth["tilt_deg"])).abs() < 0.5, "{name}: tilt {tilt}");

    // Cards lie where they lay, told in the frame of the lowest-numbered one.
    let first = expected.iter().min_by_key(|c| c["number"].as_u64()).unwrap();
    let turn = number(&first["angle_deg"]).to_radians();
    for card in solved.cards() {
        let t = expected.iter().find(|c| c["number"].as_u64() == Some(u64::from(card.number))).unwrap();
        let d = point(&t["centre_mm"]) - point(&first["centre_mm"]);
        let (s, c) = turn.sin_cos();
        let (x, y) = (c * d.x + s * d.y, -s * d.x + c * d.y);
        assert!(
            (card.centre.x - x).hypot(card.centre.y - y) < 0.3,
            "{name}: card {} lies {:?}",
            card.number,
            card.centre
        );
    }

    let points = truth["points"].as_array().unwrap();
    let clicks: Vec<_> = points.iter().map(|p| exact(0, point(&p["px"]), number(&p["height_mm"]))).collect();
    let places: Vec<_> = points.iter().map(|p| point(&p["mm"])).collect();
    let d = distances(&solved, &clicks, &places);
    println!(
        "{name}: {} distances, rms {:.3} mm, max {:.3} mm, error/stated {:.2}",
        d.pairs, d.rms, d.max, d.ratio
    );
    assert!(d.pairs > 50 && d.rms < 0.15 && d.max < 0.35, "{name}: rms {} max {}", d.rms, d.max);
    assert!(d.ratio < 2.5, "{name}: errors are {} times what is stated", d.ratio);
    for (click, place) in clicks.iter().zip(solved.place(&clicks).unwrap().points) {
        let back = solved.to_pixel(0, place, click.height_mm).unwrap();
        assert!(back.distance(click.px) < 1e-6);
    }
}

#[test]
fn hull_side_is_measured_true() {
    check(include_str!("../data/demo-hull-side.json"));
}

#[test]
fn floor_panel_is_measured_true() {
    check(include_str!("../data/demo-floor-panel.json"));
}
