//! The shipped photographs solved by OpenCV from the same crossings (`tests/data/opencv.json` says how): the two agree within what is stated.

use crate::common::{measure, number, point};
use coldwright_canvas::{CardKind, Click, PAPER_MM};
use serde_json::Value;
use std::path::Path;

#[test]
fn an_independent_solver_agrees_within_the_stated_uncertainty() {
    let kept: Value = serde_json::from_str(include_str!("../data/opencv.json")).unwrap();
    for photo in kept["photos"].as_array().unwrap() {
        let name = photo["photo"].as_str().unwrap();
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/photos").join(name);
        let (_, solved) = measure(&path, CardKind::Printed);
        let lens = solved.lens(0).unwrap();
        let focal = lens.focal_px - number(&photo["focal_px"]);
        let sd = solved.focal_sd_px(0).unwrap();
        assert!(focal.abs() < 3.0 * sd, "{name}: focal length {focal} apart, ± {sd}");
        let bend = lens.k1 - number(&photo["k1"]);
        assert!(bend.abs() < 0.01, "{name}: k1 {bend} apart");
        let eye = solved.pose(0).unwrap().place();
        let theirs = [0, 1, 2].map(|k| number(&photo["eye_mm"][k]));
        let apart = (eye.x - theirs[0]).hypot(eye.y - theirs[1]).hypot(eye.z - theirs[2]);
        // The camera's height is as unsure as its focal length.
        let most = 3.0 * sd / lens.focal_px * eye.z + 1.0;
        assert!(apart < most, "{name}: camera {apart} mm apart, at most {most}");
        let plane = photo["plane"].as_array().unwrap();
        let clicks: Vec<Click> = plane
            .iter()
            .map(|p| Click {
                photo: 0,
                px: point(&p["px"]),
                height_mm: PAPER_MM,
                sd_px: 0.0,
                height_sd_mm: 0.0,
            })
            .collect();
        let placed = solved.place(&clicks).unwrap();
        for i in 0..plane.len() {
            for k in 0..i {
                let theirs = point(&plane[i]["mm"]).distance(point(&plane[k]["mm"]));
                let d = placed.points[i].distance(placed.points[k]) - theirs;
                let sd = placed.distance_sd(i, k).unwrap();
                println!("{name}: distance {i}–{k} {d:+.4} mm apart, stated ± {:.4}", 1.96 * sd);
                assert!(d.abs() < 3.0 * sd.hypot(0.01), "{name}: {d} mm, ± {sd}");
            }
        }
        println!(
            "{name}: focal length {focal:+.2} px (± {sd:.2}), k1 {bend:+.5}, camera {apart:.2} mm apart"
        );
    }
}
