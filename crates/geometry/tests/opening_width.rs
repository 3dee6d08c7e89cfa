//! The smallest width against a look at every side of the hull.

use coldwright_geometry::{Point, narrowest};
use proptest::prelude::*;

/// Over all lines through two points that leave every point on one side: the least greatest distance from such a line.
fn by_every_side(points: &[Point]) -> f64 {
    let mut best = f64::INFINITY;
    for a in points {
        for b in points.iter().filter(|b| a.distance(**b) > 1e-3) {
            let along = (*b - *a).normalize();
            let heights = || points.iter().map(|p| along.cross(*p - *a));
            if heights().all(|h| h > -1e-7) {
                best = best.min(heights().fold(0.0, f64::max));
            }
        }
    }
    best
}

#[test]
fn points_nearly_in_one_place_or_line_do_not_hide_the_width() {
    // Each corner of a 400 × 300 board three times within rounding, and places on its sides.
    let mut points = Vec::new();
    for (x, y) in [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)] {
        for (k, l) in [(0.0, 0.0), (1.0, -1.0), (-1.0, 2.0)] {
            points.push(Point::new(x + k * 2e-9, y + l * 3e-9));
        }
    }
    points.extend((1..40).map(|k| Point::new(10.0 * f64::from(k), 300.0 + 1e-13 * f64::from(k % 3))));
    for turn in 0..60 {
        let now = turned(&points, 0.1 * f64::from(turn));
        let width = narrowest(&now).unwrap().width;
        assert!((width - 300.0).abs() < 1e-6, "turned {turn}: {width}");
    }
}

fn turned(points: &[Point], by: f64) -> Vec<Point> {
    let (s, c) = by.sin_cos();
    points.iter().map(|p| Point::new(p.x * c - p.y * s, p.x * s + p.y * c)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn the_width_is_that_of_the_best_side(
        places in proptest::collection::vec((-600.0..600.0_f64, -600.0..600.0_f64), 3..14),
        doubled in proptest::collection::vec((0_usize..14, -9..9_i32, -9..9_i32), 0..8),
    ) {
        let mut points: Vec<Point> = places.iter().map(|p| Point::new(p.0, p.1)).collect();
        for (k, dx, dy) in doubled {
            let p = points[k % places.len()];
            points.push(Point::new(p.x + 1e-9 * f64::from(dx), p.y + 1e-9 * f64::from(dy)));
        }
        let width = narrowest(&points).unwrap().width;
        let known = by_every_side(&points);
        prop_assert!((width - known).abs() < 1e-6 * known.max(1.0), "{width} instead of {known}");
    }
}
