//! Real photographs of a chessboard of known size, taken with small lenses of strong distortion.
//!
//! Source: sample data of the OpenCV project (Apache-2.0 and BSD-3-Clause); board of 9 × 6 inner corners, squares of 25 mm by its
//! `left_intrinsics.yml`. Lens from its calibration of 13 views: k1 −0.28 (left), −0.30 (right). Skipped when the shared test data are not there.

use crate::common::{point, shared};
use coldwright_canvas::{
    CanvasError, CardSeen, Crossing, Limits, PAPER_MM, PhotoCards, Picture, Point, SolveOptions,
    measure_crossing, solve,
};

/// A corner of the board, mm: column and row of the 9 × 6, y up.
fn board(i: usize) -> Point {
    Point::new(25.0 * (i % 9) as f64, -25.0 * (i / 9) as f64)
}

/// The board's four 50 × 50 mm end blocks as if they were cards.
fn blocks(corners: &[Point]) -> Vec<CardSeen> {
    let starts = [(0, 0), (6, 0), (0, 3), (6, 3)];
    starts
        .iter()
        .enumerate()
        .map(|(n, (column, row))| {
            let mut crossings = Vec::new();
            for dr in 0..3 {
                for dc in 0..3 {
                    let at = corners[(row + dr) * 9 + column + dc];
                    let card_mm = Point::new(25.0 * dc as f64 - 25.0, 25.0 - 25.0 * dr as f64);
                    crossings.push(Crossing { card_mm, px: at, sd_px: 0.08 });
                }
            }
            CardSeen { number: n as u32 + 1, half_size: false, crossings, corners_px: [Point::ZERO; 4] }
        })
        .collect()
}

/// Root mean square misfit after the best turn and shift, no scale.
fn rigid_misfit(found: &[Point], truth: &[Point]) -> f64 {
    let n = found.len() as f64;
    let mean = |p: &[Point]| p.iter().fold(Point::ZERO, |s, q| s + q.to_vec2() / n);
    let (a, b) = (mean(found), mean(truth));
    let (mut dot, mut cross) = (0.0, 0.0);
    for (f, t) in found.iter().zip(truth) {
        dot += (*t - b).dot(*f - a);
        cross += (*t - b).cross(*f - a);
    }
    let (s, c) = cross.atan2(dot).sin_cos();
    let miss = |f: &Point, t: &Point| {
        let d = *t - b;
        (f.x - a.x - (c * d.x - s * d.y)).hypot(f.y - a.y - (s * d.x + c * d.y))
    };
    (found.iter().zip(truth).map(|(f, t)| miss(f, t).powi(2)).sum::<f64>() / n).sqrt()
}

#[test]
fn four_blocks_of_a_real_board_give_its_size() {
    let Some(shared) = shared() else { return };
    let rough: serde_json::Value = serde_json::from_str(include_str!("../data/real-corners.json")).unwrap();
    let truth: Vec<Point> = (0..54).map(board).collect();
    let mut photos = 0;
    for (name, list) in rough["photos"].as_object().unwrap() {
        let bytes = std::fs::read(shared.join("real-photos").join(name)).unwrap();
        let picture = Picture::decode(&bytes, &Limits::default()).unwrap();
        let corners: Vec<Point> = list
            .as_array()
            .unwrap()
            .iter()
            .map(|p| {
                measure_crossing(picture.luma(), point(p), 6.0)
                    .unwrap_or_else(|| panic!("{name}: no crossing at {p}"))
            })
            .collect();
        let cards = PhotoCards {
            width: picture.width(),
            height: picture.height(),
            focal_prior_px: picture.facts().focal_px(),
            cards: blocks(&corners),
        };
        let solved = solve(std::slice::from_ref(&cards), &SolveOptions::default()).unwrap();
        let found: Vec<Point> = corners.iter().map(|c| solved.to_plane(0, *c, PAPER_MM).unwrap()).collect();
        let k1 = solved.lens(0).unwrap().k1;
        let misfit = rigid_misfit(&found, &truth);
        let diagonal = 200.0f64.hypot(125.0);
        let one = found[0].distance(found[53]) / diagonal - 1.0;
        let other = found[8].distance(found[45]) / diagonal - 1.0;
        println!(
            "{name}: diagonals {:+.3} % {:+.3} %, misfit {misfit:.3} mm, k1 {k1:.3}, focal {:.1} px, residual {:.3} px",
            one * 100.0,
            other * 100.0,
            solved.lens(0).unwrap().focal_px,
            solved.residual_px()
        );
        assert!(one.abs() < 0.005 && other.abs() < 0.005, "{name}: diagonals {one} {other}");
        assert!(misfit < 0.5, "{name}: misfit {misfit} mm");
        assert!((-0.35..-0.20).contains(&k1), "{name}: k1 {k1}");
        assert!(solved.strong_lens(0), "{name}: this lens bends strongly");
        let straight = SolveOptions { straight: true, ..SolveOptions::default() };
        let refused = solve(std::slice::from_ref(&cards), &straight).unwrap_err();
        println!("{name}, lens taken as straight: {refused}");
        assert!(matches!(refused, CanvasError::NoFit { .. }), "{name}: {refused}");
        photos += 1;
    }
    assert_eq!(photos, 7);
}
