//! Edges followed from click to click on drawn pictures whose edges are known.

use crate::scene::Dice;
use coldwright_canvas::{CanvasError, FollowOptions, PhotoFacts, Picture, Point, follow_edge};

/// A picture of a rule that gives linear light at a place: averaged over each pixel, blurred, with noise, in sRGB coding.
fn drawn(w: usize, h: usize, noise: f64, rule: impl Fn(f64, f64) -> f64) -> Picture {
    let mut light = Vec::with_capacity(w * h);
    for y in 0..h {
        for x in 0..w {
            let mut sum = 0.0;
            for k in 0..16 {
                sum += rule(
                    x as f64 + (f64::from(k % 4) - 1.5) / 4.0,
                    y as f64 + (f64::from(k / 4) - 1.5) / 4.0,
                );
            }
            light.push(sum / 16.0);
        }
    }
    let kernel: Vec<f64> = (-3..=3).map(|d| (-0.5 * (f64::from(d) / 0.9).powi(2)).exp()).collect();
    let total: f64 = kernel.iter().sum();
    for (dx, dy) in [(1i64, 0i64), (0, 1)] {
        let source = light.clone();
        for y in 0..h as i64 {
            for x in 0..w as i64 {
                let mut sum = 0.0;
                for (k, weight) in kernel.iter().enumerate() {
                    let d = k as i64 - 3;
                    let (sx, sy) = ((x + d * dx).clamp(0, w as i64 - 1), (y + d * dy).clamp(0, h as i64 - 1));
                    sum += source[sy as usize * w + sx as usize] * weight / total;
                }
                light[y as usize * w + x as usize] = sum;
            }
        }
    }
    let mut dice = Dice(11);
    let rgb = light
        .iter()
        .flat_map(|l| {
            let l = l.max(0.0);
            let v = if l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 };
            [0, 1, 2].map(|_| (v * 255.0 + noise * dice.normal()).round().clamp(0.0, 255.0) as u8)
        })
        .collect();
    Picture::from_rgb(w as u32, h as u32, rgb, PhotoFacts::default()).unwrap()
}

fn to_line(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    p.distance(a + d * ((p - a).dot(d) / d.hypot2().max(1e-12)).clamp(0.0, 1.0))
}

fn to_lines(p: Point, line: &[Point]) -> f64 {
    line.windows(2).map(|w| to_line(p, w[0], w[1])).fold(f64::INFINITY, f64::min)
}

/// Follows from the first to the last of true places; how far the path and the ticks lie off: mean, worst, worst of the truth to the ticks' lines.
fn check(what: &str, picture: &Picture, truth: &[Point], limits: (f64, f64)) {
    let (from, to) = (truth[0] + (2.5, -2.0), truth[truth.len() - 1] + (-2.0, 2.5));
    let options = FollowOptions::default();
    let found = follow_edge(picture, from, to, &options).unwrap();
    // The clicks may have been moved along the edge beyond the ends of the truth.
    let ends = [truth[0], truth[truth.len() - 1]];
    let off: Vec<f64> = found
        .path_px
        .iter()
        .filter(|p| ends.iter().all(|e| p.distance(*e) > 8.0))
        .map(|p| to_lines(*p, truth))
        .collect();
    let mean = off.iter().sum::<f64>() / off.len() as f64;
    let worst = off.iter().copied().fold(0.0, f64::max);
    // The truth is covered from end to end, but for where the clicks were moved to.
    let inner = &truth[truth.len() / 40..truth.len() - truth.len() / 40];
    let missed = inner.iter().map(|p| to_lines(*p, &found.ticks_px)).fold(0.0, f64::max);
    println!(
        "{what}: path of {} points {mean:.3} px off in the mean, {worst:.2} at worst; {} ticks, the edge at most {missed:.2} px from their lines; seen {:.2}, contrast {:.2}",
        off.len(),
        found.ticks_px.len(),
        found.seen,
        found.contrast
    );
    assert!(mean < limits.0 && worst < limits.1, "{what}: {mean} {worst}");
    assert!(missed < limits.1 + options.tick_px, "{what}: {missed}");
    assert!(found.ticks_px.len() * 4 < found.path_px.len(), "{what}: {} ticks", found.ticks_px.len());
    assert!(found.seen > 0.9);
    assert_eq!(
        (found.ticks_px.first(), found.ticks_px.last()),
        (found.path_px.first(), found.path_px.last())
    );
}

fn arc(centre: (f64, f64), r: (f64, f64), from: f64, to: f64) -> Vec<Point> {
    (0..=800)
        .map(|k| {
            let (s, c) = (from + (to - from) * f64::from(k) / 800.0).sin_cos();
            Point::new(centre.0 + r.0 * c, centre.1 + r.1 * s)
        })
        .collect()
}

#[test]
fn a_round_layer_is_followed_to_a_part_of_a_pixel() {
    for (light, ground) in [(0.5, 0.1), (0.12, 0.3)] {
        let picture = drawn(640, 520, 1.5, |x, y| {
            if ((x - 320.3) / 250.0).powi(2) + ((y - 260.7) / 170.0).powi(2) < 1.0 { light } else { ground }
        });
        for (a, b) in [(0.2, 1.9), (2.2, 4.4), (4.0, 5.9)] {
            check("ellipse", &picture, &arc((320.3, 260.7), (250.0, 170.0), a, b), (0.15, 0.7));
        }
    }
}

#[test]
fn grain_and_a_stronger_edge_beside_do_not_lead_astray() {
    let edge = |x: f64| 200.0 + 40.0 * (x / 110.0).sin();
    let picture = drawn(700, 420, 2.0, |x, y| {
        let grain = 0.03 * (0.25 * x + 9.0 * (0.011 * y).sin()).sin();
        // A shadow runs along 22 pixels below, darker than the board is against the floor.
        if y < edge(x) {
            0.42 + 0.5 * grain
        } else if y < edge(x) + 22.0 {
            0.20 + grain
        } else {
            0.03
        }
    });
    let truth: Vec<Point> = (0..=600).map(|k| f64::from(k) + 50.0).map(|x| Point::new(x, edge(x))).collect();
    check("board with grain", &picture, &truth, (0.25, 1.0));
}

#[test]
fn corners_are_turned() {
    let corners = [(90.0, 380.0), (140.5, 90.2), (420.7, 60.0), (560.2, 300.4)].map(Point::from);
    let inside = |p: Point| {
        let n = corners.len();
        (0..n).all(|i| (corners[(i + 1) % n] - corners[i]).cross(p - corners[i]) > 0.0)
    };
    let picture = drawn(640, 440, 1.5, |x, y| if inside(Point::new(x, y)) { 0.6 } else { 0.15 });
    let mut truth = Vec::new();
    for (a, b) in [(0, 1), (1, 2), (2, 3)] {
        let (lo, hi) = (if a == 0 { 0.5 } else { 0.0 }, if b == 3 { 0.5 } else { 1.0 });
        truth.extend((0..=200).map(|k| corners[a].lerp(corners[b], lo + (hi - lo) * f64::from(k) / 200.0)));
    }
    // Blur and the averaging of neighbours round a corner off by a pixel or two.
    check("corners", &picture, &truth, (0.15, 2.2));
    let found = follow_edge(&picture, truth[0], truth[truth.len() - 1], &FollowOptions::default()).unwrap();
    for c in &corners[1..3] {
        let near = found.ticks_px.iter().map(|t| t.distance(*c)).fold(f64::INFINITY, f64::min);
        assert!(near < 2.5, "a tick {near} px from the corner {c:?}");
    }
}

#[test]
fn a_drawn_line_is_followed_along_its_flank() {
    let line = |x: f64| 210.0 + 60.0 * (x / 170.0).cos();
    let picture = drawn(680, 420, 1.5, |x, y| {
        let slope = -60.0 / 170.0 * (x / 170.0).sin();
        if (y - line(x)).abs() / slope.hypot(1.0) < 2.0 { 0.08 } else { 0.62 }
    });
    let truth: Vec<Point> = (0..=560).map(|k| f64::from(k) + 60.0).map(|x| Point::new(x, line(x))).collect();
    // The line is four pixels wide: its flank lies two from its middle, and the way may change sides once.
    check("drawn line", &picture, &truth, (2.5, 3.2));
}

#[test]
fn a_large_picture_is_searched_coarsely_and_measured_finely() {
    let picture =
        drawn(2400, 1800, 1.5, |x, y| if (x - 1200.0).hypot(y - 900.0) < 700.4 { 0.5 } else { 0.12 });
    check("large circle", &picture, &arc((1200.0, 900.0), (700.4, 700.4), 3.3, 5.6), (0.2, 1.0));
}

#[test]
fn what_cannot_be_followed_says_so() {
    let grey = drawn(300, 200, 1.0, |_, _| 0.2);
    let follow = |a: (f64, f64), b: (f64, f64), o: &FollowOptions| follow_edge(&grey, a.into(), b.into(), o);
    let usual = FollowOptions::default();
    let error = follow((40.0, 50.0), (250.0, 150.0), &usual).unwrap_err();
    assert!(
        matches!(error, CanvasError::NoEdge { .. }) && error.to_string().contains("nearer together"),
        "{error}"
    );
    for (a, b) in [
        ((-1.0, 5.0), (50.0, 50.0)),
        ((5.0, f64::NAN), (50.0, 50.0)),
        ((5.0, 5.0), (5.5, 5.0)),
        ((1.0, 1.0), (300.0, 1.0)),
    ] {
        assert!(matches!(follow(a, b, &usual), Err(CanvasError::BadNumber { .. })), "{a:?} {b:?}");
    }
    let absurd = FollowOptions { tick_px: f64::INFINITY, ..usual };
    assert!(matches!(follow((10.0, 10.0), (90.0, 90.0), &absurd), Err(CanvasError::BadNumber { .. })));
}

#[test]
fn one_line_on_a_plain_ground_without_grain_is_followed() {
    // The edge is far less than a fiftieth of the box between the clicks.
    let picture = drawn(1200, 900, 0.0, |x, y| if (x - 600.0).hypot(y - 450.0) < 300.0 { 0.5 } else { 0.1 });
    let at = |a: f64| Point::new(600.0 + 300.0 * a.cos(), 450.0 + 300.0 * a.sin());
    let found = follow_edge(&picture, at(0.0), at(1.5), &FollowOptions::default()).unwrap();
    for p in &found.path_px {
        assert!((p.distance(Point::new(600.0, 450.0)) - 300.0).abs() < 0.5, "{p:?}");
    }
}
