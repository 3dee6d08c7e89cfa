//! The sample jobs against what their photos were made from.
//!
//! Truth: the photos are synthetic; `data/*.truth.json` holds the cards and the outline they were rendered from.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::sync::Arc;

use coldwright_geometry::Outline;
use coldwright_job::plan;
use coldwright_papers::{MakeOptions, make};
use coldwright_tests::{Truth, root, sample};
use kurbo::{Affine, ParamCurve, ParamCurveNearest, Point};

/// Job, photo, and for each edge as traced the part of the true outline it runs along.
type Sample = (&'static str, &'static str, [(&'static str, &'static str); 4]);

const SAMPLES: [Sample; 2] = [
    (
        "hull-side.coldwright",
        "demo-hull-side",
        [("Bottom", "base"), ("Forward end", "end-1"), ("Turn of the hull", "hull"), ("After end", "end-2")],
    ),
    (
        "floor.coldwright",
        "demo-floor-panel",
        [("Engine bulkhead", "base"), ("Inboard end", "end-1"), ("Hull", "hull"), ("Outboard end", "end-2")],
    ),
];

/// A sample's outline, the way from its wall to the world, and what its photo was made from.
fn traced(file: &str, photo: &str) -> (Arc<Outline>, Affine, Truth) {
    let truth = Truth::of(photo);
    let wall = plan(&sample(file)).walls.remove(0);
    let to_world = truth.world() * wall.to_wall.inverse();
    (wall.outline.unwrap(), to_world, truth)
}

#[test]
fn between_first_and_last_tick_an_edge_is_within_a_millimetre() {
    for (file, photo, parts) in SAMPLES {
        let (outline, to_world, truth) = traced(file, photo);
        for side in outline.sides() {
            let part = parts.iter().find(|(name, _)| *name == side.edge.name).unwrap().1;
            // Places along the curve by nearest parameter: segment number plus fraction.
            let segments: Vec<_> = side.path.segments().collect();
            let along = |p: Point| {
                let near = |s: &kurbo::PathSeg| s.nearest(p, 1e-6);
                let (i, n) = segments
                    .iter()
                    .map(near)
                    .enumerate()
                    .min_by(|a, b| a.1.distance_sq.total_cmp(&b.1.distance_sq))
                    .unwrap();
                i as f64 + n.t
            };
            let ticks = &side.edge.ticks;
            let (a, b) = (along(ticks.first().unwrap().at), along(ticks.last().unwrap().at));
            let (a, b) = (a.min(b), a.max(b));
            let worst = (0..=400)
                .map(|i| a + (b - a) * f64::from(i) / 400.0)
                .map(|u| {
                    segments[(u as usize).min(segments.len() - 1)]
                        .eval((u - (u as usize).min(segments.len() - 1) as f64).clamp(0.0, 1.0))
                })
                .map(|p| truth.distance(part, to_world * p))
                .fold(0.0, f64::max);
            println!("{file} {}: {worst:.2} mm between its ticks", side.edge.name);
            assert!(worst <= 1.0, "{file} {}: {worst:.2} mm", side.edge.name);
        }
    }
}

#[test]
fn carried_corners_are_within_their_stated_95_percent() {
    for (file, photo, parts) in SAMPLES {
        let (outline, to_world, truth) = traced(file, photo);
        for corner in outline.corners() {
            // The corner between two edges is where the later of their parts begins.
            let name = |id: u32| &outline.sides().iter().find(|s| s.edge.id == id).unwrap().edge.name;
            let part = |id| parts.iter().find(|(n, _)| n == name(id)).unwrap().1;
            let candidates = [truth.corner(part(corner.between.0)), truth.corner(part(corner.between.1))];
            let at = to_world * corner.at;
            let error = candidates.iter().map(|c| c.distance(at)).fold(f64::INFINITY, f64::min);
            // 95 % radius of the corner's own ellipse: 2.448 standard deviations along its long axis (chi-square, 2).
            let stated = 2.448 * corner.spread.major_sd();
            println!(
                "{file} {} / {}: {error:.2} mm, stated {stated:.2}",
                name(corner.between.0),
                name(corner.between.1)
            );
            assert!(error <= stated, "{file} {corner:?}: {error:.2} mm, stated {stated:.2}");
        }
    }
}

#[test]
fn the_shipped_papers_are_what_make_gives_today() {
    for (file, _, _) in SAMPLES {
        let job = sample(file);
        let made = make(&job, &plan(&job), &MakeOptions::default()).unwrap();
        let folder = root().join("samples").join(format!("papers-{}", file.trim_end_matches(".coldwright")));
        let mut names: Vec<String> = made.iter().map(|f| f.name.clone()).collect();
        let mut shipped: Vec<String> = std::fs::read_dir(&folder)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().into_string().unwrap())
            .collect();
        names.sort();
        shipped.sort();
        assert_eq!(shipped, names, "make them anew: see the project's notes for developers");
        // The outlines themselves: every cut line of the shipped drawings stands in the new ones.
        for svg in made.iter().filter(|f| f.name.ends_with(".svg")) {
            let old = std::fs::read_to_string(folder.join(&svg.name)).unwrap();
            let corners = |text: &str| -> Vec<f64> {
                let paths = text.split(" d=\"").skip(1).filter_map(|t| t.split('"').next());
                paths
                    .flat_map(|d| d.split(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')))
                    .filter_map(|n| n.parse().ok())
                    .collect()
            };
            let (old, new) = (corners(&old), corners(std::str::from_utf8(&svg.bytes).unwrap()));
            assert!(old.len() > 50, "{}: {} numbers", svg.name, old.len());
            assert_eq!(old.len(), new.len(), "{}", svg.name);
            let apart = old.iter().zip(&new).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            assert!(apart < 0.01, "{}: {apart} mm", svg.name);
        }
    }
}
