//! The fair curve against curves known in closed form, and whether its stated uncertainty holds.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{Edge, EdgeKind, Notice, Outline, Point, Spread, Tick};
use common::{Dice, side, tick};

/// A curve y(x) over 0..length that a hull might have.
struct Hull {
    name: &'static str,
    length: f64,
    y: Box<dyn Fn(f64) -> f64>,
}

fn hull(dice: &mut Dice, kind: usize) -> Hull {
    let length = dice.between(400.0, 1200.0);
    let middle = length * dice.between(0.3, 0.7);
    let sign = if dice.unit() < 0.5 { -1.0 } else { 1.0 };
    match kind % 3 {
        0 => {
            let r = length * dice.between(0.75, 6.0);
            Hull {
                name: "circle",
                length,
                y: Box::new(move |x| sign * ((r * r - (x - middle).powi(2)).sqrt() - r)),
            }
        }
        1 => {
            let (a, b) = (length * dice.between(0.8, 3.0), length * dice.between(0.2, 1.0));
            Hull {
                name: "ellipse",
                length,
                y: Box::new(move |x| sign * b * ((1.0 - ((x - middle) / a).powi(2)).sqrt() - 1.0)),
            }
        }
        _ => {
            let (p, q, s) = (dice.between(-0.1, 0.1), dice.between(-0.12, 0.12), dice.between(-0.2, 0.2));
            Hull {
                name: "cubic",
                length,
                y: Box::new(move |x| {
                    let u = x / length;
                    length * (s * u + p * u * u * 2.0 + q * u * u * u)
                }),
            }
        }
    }
}

/// The hull on top, walls left, right and below measured exactly; the hull's corners are not ticked.
fn boxed(h: &Hull, ticks: Vec<Tick>, smoothing: f64) -> (Outline, Vec<Notice>) {
    let mut below = 0.0_f64;
    for k in 0..=50 {
        below = below.min((h.y)(h.length * f64::from(k) / 50.0));
    }
    let y = below - 300.0;
    let p = |x: f64, y: f64| Point::new(x, y);
    let exact = |id: u32, a: (u32, Point), b: (u32, Point)| {
        let mut e = side(id, a, b, 0.0);
        for t in &mut e.ticks {
            t.spread = Spread::round(1e-4);
        }
        e
    };
    let fair = Edge {
        kind: EdgeKind::Fair,
        ticks,
        smoothing,
        name: "hull".to_owned(),
        ..side(3, (0, p(0.0, 0.0)), (1, p(1.0, 0.0)), 0.0)
    };
    let edges = vec![
        exact(1, (900, p(0.0, y)), (901, p(h.length, y))),
        exact(2, (901, p(h.length, y)), (902, p(h.length, y + 100.0))),
        fair,
        exact(4, (903, p(0.0, y + 100.0)), (900, p(0.0, y))),
    ];
    Outline::new(edges, vec![]).unwrap_or_else(|e| panic!("{}: {e}", h.name))
}

fn places(dice: &mut Dice, h: &Hull, n: usize, carry: f64) -> Vec<f64> {
    let (a, b) = (carry * dice.between(0.2, 1.0), h.length - carry * dice.between(0.2, 1.0));
    let step = (b - a) / (n - 1) as f64;
    (0..n)
        .map(|i| a + step * (i as f64 + if i == 0 || i == n - 1 { 0.0 } else { dice.between(-0.25, 0.25) }))
        .collect()
}

fn ticks(dice: &mut Dice, h: &Hull, n: usize, carry: f64, sd: f64) -> Vec<Tick> {
    let places = places(dice, h, n, carry);
    let all = places.iter().enumerate().rev();
    all.map(|(i, x)| tick(i as u32, x + sd * dice.normal(), (h.y)(*x) + sd * dice.normal(), sd)).collect()
}

#[test]
fn carried_ends_fall_inside_the_stated_95_percent() {
    let mut dice = Dice(0x5eed);
    let mut total = (0, 0);
    for n in [3_usize, 4, 5, 6, 8, 12, 20] {
        let (mut inside, mut all, mut ratio) = (0, 0, 0.0);
        let mut by_kind = [(0, 0); 3];
        for k in 0..300 {
            let h = hull(&mut dice, k);
            let spacing = h.length / n as f64;
            let sd = [0.05, 0.3, 0.6][k / 3 % 3];
            let fair = ticks(&mut dice, &h, n, 1.2 * spacing, sd);
            let (outline, _) = boxed(&h, fair, 0.0);
            let side = &outline.sides()[2];
            for (corner, carry, x) in [
                (outline.corners()[1], side.start_carry, h.length),
                (outline.corners()[2], side.end_carry, 0.0),
            ] {
                assert!((corner.at.x - x).abs() < 0.01, "{} {:?}", h.name, corner.at);
                let e = 1e-3;
                let slope = ((h.y)(x + e) - (h.y)(x - e)) / (2.0 * e);
                let off = (corner.at.y - (h.y)(x)).abs() / slope.hypot(1.0);
                assert!(carry.sd.is_finite() && carry.sd > 0.0);
                let fits = off <= 1.96 * carry.sd;
                all += 1;
                by_kind[k % 3].1 += 1;
                if fits {
                    inside += 1;
                    by_kind[k % 3].0 += 1;
                }
                ratio += (off / carry.sd).powi(2);
            }
        }
        println!(
            "{n} ticks: {inside} of {all} inside; rms of error over stated {:.2}; circle, ellipse, cubic {by_kind:?}",
            (ratio / f64::from(all)).sqrt()
        );
        assert!(f64::from(inside) >= 0.95 * f64::from(all), "{n} ticks: {inside} of {all}");
        total = (total.0 + inside, total.1 + all);
    }
    println!("all: {} of {}", total.0, total.1);
}
