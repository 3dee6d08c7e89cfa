//! Shared by the tests that measure in whole photographs.

use std::path::PathBuf;

use coldwright_canvas::{
    CardKind, Click, Limits, PhotoCards, Picture, PlaneSolve, Point, SolveOptions, find_cards, solve,
};
use serde_json::Value;

/// Folder of shared test data: named by COLDWRIGHT_SHARED, or `shared` beside the workspace. Says so when there is none.
pub fn shared() -> Option<PathBuf> {
    let beside = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared");
    let found =
        std::env::var_os("COLDWRIGHT_SHARED").map(PathBuf::from).or(Some(beside)).filter(|p| p.is_dir());
    if found.is_none() {
        println!("skipped: needs shared test data");
    }
    found
}

pub fn number(v: &Value) -> f64 {
    v.as_f64().unwrap_or_else(|| panic!("not a number: {v}"))
}

pub fn point(v: &Value) -> Point {
    Point::new(number(&v[0]), number(&v[1]))
}

/// Opens a photo and solves it.
pub fn measure(path: &std::path::Path, kind: CardKind) -> (Picture, PlaneSolve) {
    let bytes = std::fs::read(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let picture = Picture::decode(&bytes, &Limits::default()).unwrap();
    let found = find_cards(&picture, kind);
    let solved = solve(&[PhotoCards::new(&picture, &found)], &SolveOptions::default()).unwrap();
    (picture, solved)
}

/// Exact clicks and true places of the stick tips in a full truth file.
pub fn tips(truth: &Value) -> (Vec<Click>, Vec<Point>) {
    let mut clicks = Vec::new();
    let mut places = Vec::new();
    for tip in truth["template"]["tips"].as_array().unwrap() {
        for p in tip["points"].as_array().unwrap() {
            clicks.push(exact(0, point(&p["px_top"]), number(&p["z_top_mm"])));
            places.push(point(&p["xy_mm"]));
        }
    }
    (clicks, places)
}

pub fn exact(photo: usize, px: Point, height_mm: f64) -> Click {
    Click { photo, px, height_mm, sd_px: 0.0, height_sd_mm: 0.0 }
}

/// Errors of all distances between pairs of points, and how they compare with what was predicted.
pub struct Distances {
    pub rms: f64,
    pub max: f64,
    /// Root mean square of error over predicted standard uncertainty.
    pub ratio: f64,
    /// Share within the predicted 95 %.
    pub inside: f64,
    pub pairs: usize,
}

pub fn distances(solved: &PlaneSolve, clicks: &[Click], places: &[Point]) -> Distances {
    let placed = solved.place(clicks).unwrap();
    let mut d = Distances { rms: 0.0, max: 0.0, ratio: 0.0, inside: 0.0, pairs: 0 };
    for i in 0..places.len() {
        for j in 0..i {
            let truth = places[i].distance(places[j]);
            if truth < 1.0 {
                continue;
            }
            let error = placed.points[i].distance(placed.points[j]) - truth;
            let sd = placed.distance_sd(i, j).unwrap();
            d.rms += error * error;
            d.max = d.max.max(error.abs());
            d.ratio += (error / sd).powi(2);
            d.inside += f64::from(u8::from(error.abs() <= 1.96 * sd));
            d.pairs += 1;
        }
    }
    let n = d.pairs as f64;
    d.rms = (d.rms / n).sqrt();
    d.ratio = (d.ratio / n).sqrt();
    d.inside /= n;
    d
}
