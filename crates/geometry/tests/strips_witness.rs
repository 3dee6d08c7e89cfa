//! A second way to the layers of straight-sided pieces: each whole side's own strip, prolonged to the same corner rule, taken
//! off (or added) one by one, without rings, windings or booleans. Places are asked one by one, most of them 0.02 mm off the
//! boundary that is to be proved, on either side.
#![allow(
    clippy::expect_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{Notice, Outline, Point, Ring, Section, Vec2, outline_at};
use common::{Dice, polygon_edges, star, wall};

/// How near to a boundary the two ways need not agree, mm.
const NEAR: f64 = 0.02;

/// The outline and what each side sweeps.
struct Strips {
    base: Ring,
    /// For each side its strip, from corner to corner at both ends, and what is cut square between two that part; whether it
    /// adds.
    all: Vec<(Ring, bool)>,
}

/// Where the moved lines of two sides end and start at their corner, and whether their strips part there.
fn corner(p: Point, (u, da): (Vec2, f64), (v, db): (Vec2, f64)) -> (Point, Point, bool) {
    let out = |w: Vec2| Vec2::new(w.y, -w.x);
    let (qa, qb) = (p + out(u) * da, p + out(v) * db);
    let den = u.cross(v);
    if den.abs() > 1e-9 {
        let (a, b) = ((qb - qa).cross(v) / den, (qb - qa).cross(u) / den);
        let x = qa + u * a;
        // They cross before their ends, or not too far beyond.
        if a <= 0.0 && b >= 0.0 || x.distance(p) <= 3.0 * da.abs().max(db.abs()) {
            return (x, x, false);
        }
    }
    (qa, qb, den * da > 0.0 && den * db > 0.0)
}

impl Strips {
    /// Sides through `at` moved by `far`, out positive.
    fn new(at: &[Point], far: &[f64]) -> Self {
        let k = at.len();
        let way = |i: usize| {
            let (a, b) = (at[i % k], at[(i + 1) % k]);
            ((b - a) / a.distance(b), far[i % k])
        };
        // The corner at the end of each side.
        let corners: Vec<_> = (0..k).map(|i| corner(at[(i + 1) % k], way(i), way(i + 1))).collect();
        let ring = |outer: Vec<Point>| Ring { outer, holes: vec![] };
        let mut all = Vec::new();
        for i in 0..k {
            let (p, q) = (at[i], at[(i + 1) % k]);
            let (end, next, parts) = corners[i];
            all.push((ring(vec![p, q, end, corners[(i + k - 1) % k].1]), far[i] > 0.0));
            if parts {
                all.push((ring(vec![q, end, next]), far[i] > 0.0));
            }
        }
        Self { base: ring(at.to_vec()), all }
    }

    /// Foam where more is there or added than is taken off.
    fn foam(&self, p: Point) -> bool {
        let swept =
            self.all.iter().filter(|(s, _)| s.contains(p)).map(|(_, adds)| if *adds { 1 } else { -1 });
        i32::from(self.base.contains(p)) + swept.sum::<i32>() > 0
    }
}

/// Places all about, and close by the boundary of what was found, mm off it on both sides.
fn places(dice: &mut Dice, section: &Section) -> Vec<Point> {
    let mut out: Vec<Point> =
        (0..60).map(|_| Point::new(dice.between(-480., 480.), dice.between(-480., 480.))).collect();
    for ring in &section.rings {
        for (i, a) in ring.outer.iter().enumerate() {
            let b = ring.outer[(i + 1) % ring.outer.len()];
            let n = Vec2::new(b.y - a.y, a.x - b.x) / a.distance(b);
            for _ in 0..3 {
                let on = a.lerp(b, dice.between(0.02, 0.98));
                out.extend([0.021, -0.021, 0.2, -0.2].map(|d| on + n * d));
            }
        }
    }
    out
}

fn agree((low, high): (f64, f64), cases: usize, seed: u64) {
    let mut dice = Dice(seed);
    let (mut asked, mut proved, mut case) = (0, 0, 0);
    while proved < cases {
        case += 1;
        assert!(case < 4 * cases, "too few outlines of {case} can be looked at");
        let n = 3 + (dice.unit() * 6.0) as usize;
        let points = star(&mut dice, n);
        let degrees: Vec<f64> = points.iter().map(|_| dice.between(low, high)).collect();
        let z = dice.between(5., 60.);
        let Ok((outline, notices)) = Outline::new(polygon_edges(&points, &degrees), vec![]) else { continue };
        if notices.contains(&Notice::RingReversed) {
            continue;
        }
        let section = outline_at(&wall(outline, 0.0, &[z]), z).expect("a section");
        // Where a side has died the strips alone do not say which of its neighbours meet.
        if section.notices.iter().any(|n| matches!(n, Notice::EdgeVanished { .. }))
            || section.rings.is_empty()
        {
            continue;
        }
        proved += 1;
        let at: Vec<Point> = points.iter().map(|p| Point::new(p.0, p.1)).collect();
        let far: Vec<f64> = degrees.iter().map(|a| z * a.to_radians().tan()).collect();
        let strips = Strips::new(&at, &far);
        for p in places(&mut dice, &section) {
            let near = section.rings.iter().any(|r| r.distance_to_boundary(p) < NEAR)
                || strips.base.distance_to_boundary(p) < NEAR;
            if near {
                continue;
            }
            asked += 1;
            let (want, got) = (strips.foam(p), section.rings.iter().any(|r| r.contains(p)));
            // Dust under 1 mm² is dropped on purpose: small, and by itself.
            let alone = section.rings.iter().all(|r| r.distance_to_boundary(p) > 0.7);
            let small = || {
                (0..16).any(|q| {
                    let w = f64::from(q) * std::f64::consts::TAU / 16.0;
                    !strips.foam(p + Vec2::from_angle(w) * 0.6)
                })
            };
            if want && !got && alone && small() {
                continue;
            }
            assert_eq!(want, got, "case {case}: {p:?} at {z}");
        }
    }
    println!("{asked} places in {proved} outlines");
    assert!(asked > 50_000, "{asked}");
}

#[test]
fn sides_moved_in_agree_with_strips_taken_off() {
    agree((-40., -5.), 1000, 0xbee);
}

#[test]
fn sides_moved_out_agree_with_strips_added() {
    agree((5., 40.), 1000, 0xdad);
}

#[test]
fn sides_moved_either_way_agree_with_strips_counted() {
    agree((-30., 30.), 1000, 0xcab);
}
