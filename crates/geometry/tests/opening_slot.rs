//! The widest slab through an opening: named figures, and a search that shares nothing with the sum.
//!
//! Figures 17.453, 16.473 and 30.002 in: the project's own task sheet, computed there; the circle's is Pythagoras.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test may stop"
)]

mod common;

use coldwright_geometry::{GeometryError, Opening, Point};
use common::Dice;

const INCH: f64 = 25.4;

#[test]
fn named_figures() {
    let cases = [(12.0, 14.0, 1.0, 17.453), (12.0, 14.0, 2.0, 16.473), (6.0, 30.0, 2.0, 30.002)];
    for (w, h, t, wide) in cases {
        for (w, h) in [(w, h), (h, w)] {
            let got = Opening::Rect { w: w * INCH, h: h * INCH }.widest_slot(t * INCH) / INCH;
            assert!((got - wide).abs() < 0.000_51, "{w} x {h}, {t}: {got}, not {wide}");
        }
    }
    for (d, t) in [(500.0_f64, 25.0_f64), (300.0, 299.0), (300.0, 301.0)] {
        let wide = (d * d - t * t).max(0.0).sqrt();
        for o in [Opening::Circle { d }, Opening::Rounded { w: d, h: d, r: 0.5 * d }] {
            assert!((o.widest_slot(t) - wide).abs() < 1e-6, "{o:?}, {t}: {}", o.widest_slot(t));
        }
    }
    // A line: the diagonal. Too thick one way: it goes in the other way round. Too thick both ways: nothing.
    let o = Opening::Rect { w: 300.0, h: 400.0 };
    assert!((o.widest_slot(0.0) - 500.0).abs() < 1e-9);
    assert!((o.widest_slot(400.0) - 300.0).abs() < 1e-9 && (o.widest_slot(350.0) - 300.0).abs() < 1e-9);
    assert!(o.widest_slot(500.1) <= 0.0 && o.widest_slot(f64::NAN) <= 0.0);
}

/// Widest slab of all turns in `steps`, each by halving: all four corners must lie within.
fn tried(o: &Opening, t: f64, steps: u32) -> f64 {
    let fits = |wide: f64, a: f64| {
        let (s, c) = a.sin_cos();
        [(0.5, 0.5), (0.5, -0.5), (-0.5, 0.5), (-0.5, -0.5)].iter().all(|(i, j)| {
            let (x, y) = (i * wide, j * t);
            o.holds(Point::new(c * x - s * y, s * x + c * y), 1e-9)
        })
    };
    let mut best: f64 = 0.0;
    for k in 0..=steps {
        let a = std::f64::consts::FRAC_PI_2 * f64::from(k) / f64::from(steps);
        if !fits(best, a) {
            continue;
        }
        let (mut lo, mut hi) = (best, 3000.0);
        for _ in 0..45 {
            let mid = 0.5 * (lo + hi);
            if fits(mid, a) { lo = mid } else { hi = mid }
        }
        best = lo;
    }
    best
}

#[test]
fn as_wide_as_any_turn_that_is_tried() {
    let mut dice = Dice(77);
    for case in 0..90 {
        let (w, h) = (dice.between(100., 900.), dice.between(100., 900.));
        let r = [0.0, dice.between(0., 0.5), 0.5][case % 3] * w.min(h);
        let t = dice.between(0.0, 1.0) * if case % 2 == 0 { w.hypot(h) } else { 0.3 * w.min(h) };
        let o = if r > 0.0 { Opening::Rounded { w, h, r } } else { Opening::Rect { w, h } };
        let (sum, found) = (o.widest_slot(t), tried(&o, t, 4000));
        // The search misses the best turn by at most a step of 0.0004 rad.
        assert!(found <= sum + 1e-6 && found > sum - 0.3, "{o:?} at {t}: {sum}, found {found}");
    }
}

#[test]
fn thickest_and_widest_are_each_others_reverse() {
    let mut dice = Dice(5);
    for _ in 0..50 {
        let (w, h) = (dice.between(100., 900.), dice.between(100., 900.));
        let o = Opening::Rounded { w, h, r: 0.2 * w.min(h) };
        let t = dice.between(10.0, 0.5 * w.min(h));
        let back = o.widest_slot(o.widest_slot(t));
        assert!(back > t - 1e-6, "{o:?}: {t}, back {back}");
    }
}

#[test]
fn openings_that_cannot_be_are_refused_in_words() {
    for o in [
        Opening::Rect { w: 0.0, h: 100.0 },
        Opening::Rect { w: f64::NAN, h: 100.0 },
        Opening::Circle { d: -1.0 },
        Opening::Circle { d: 1e9 },
        Opening::Rounded { w: 100.0, h: 50.0, r: 26.0 },
        Opening::Rounded { w: 100.0, h: 50.0, r: f64::NAN },
    ] {
        let e = o.checked().expect_err("refused");
        assert!(
            matches!(&e, GeometryError::Opening { .. }) && e.to_string().contains("measure it again"),
            "{e}"
        );
        assert!(o.widest_slot(10.0) <= 0.0);
    }
}
