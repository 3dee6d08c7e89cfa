//! Turning a bar behind a slot against a walk through all its places; pieces that bind.
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

use coldwright_geometry::{
    Opening, Point, Ring, Room, Section, binds, depth_to_turn, layers, narrowest, passage,
};
use common::{polygon, wall};

fn rect(x: f64, y: f64, w: f64, h: f64) -> Ring {
    let outer = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|p| Point::new(p.0, p.1)).to_vec();
    Ring { outer, holes: vec![] }
}

/// Horizontal room a convex polygon takes at heights 0..=e.
fn taken(bar: &[(f64, f64)], e: f64) -> f64 {
    let (mut lo, mut hi) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut see = |x: f64| (lo, hi) = (lo.min(x), hi.max(x));
    for k in 0..bar.len() {
        let (a, b) = (bar[k], bar[(k + 1) % bar.len()]);
        if (0.0..=e).contains(&a.1) {
            see(a.0);
        }
        for y in [0.0, e] {
            if (a.1 - y) * (b.1 - y) < 0.0 {
                see(a.0 + (b.0 - a.0) * (y - a.1) / (b.1 - a.1));
            }
        }
    }
    (hi - lo).max(0.0)
}

/// Least depth by walking on a lattice of (angle, height of the topmost corner), deepest place as late as can be.
fn walked(l: f64, t: f64, s: f64, e: f64) -> f64 {
    const ANGLES: usize = 180;
    const HEIGHTS: usize = 400;
    let angle = |i: usize| std::f64::consts::FRAC_PI_2 * i as f64 / ANGLES as f64;
    let tall = l + t + e;
    // Height of the topmost corner, from −t (all below) up.
    let top = |j: usize| (tall + t) * j as f64 / HEIGHTS as f64 - t;
    let bar = |i: usize, j: usize| {
        let (sin, cos) = angle(i).sin_cos();
        let places =
            [(0.0, 0.0), (l * cos, -l * sin), (l * cos - t * sin, -l * sin - t * cos), (-t * sin, -t * cos)];
        places.map(|p| (p.0, p.1 + top(j)))
    };
    let free: Vec<bool> = (0..=ANGLES)
        .flat_map(|i| (0..=HEIGHTS).map(move |j| (i, j)))
        .map(|(i, j)| taken(&bar(i, j), e) <= s)
        .collect();
    let low = |i: usize, j: usize| bar(i, j).iter().fold(f64::INFINITY, |m, p| m.min(p.1));
    let reaches = |depth: f64| {
        let at = |i: usize, j: usize| i * (HEIGHTS + 1) + j;
        let mut seen = vec![false; free.len()];
        let mut todo: Vec<(usize, usize)> =
            (0..=ANGLES).map(|i| (i, HEIGHTS)).filter(|p| free[at(p.0, p.1)]).collect();
        while let Some((i, j)) = todo.pop() {
            if std::mem::replace(&mut seen[at(i, j)], true) {
                continue;
            }
            if i == 0 && top(j) <= 0.0 {
                return true;
            }
            let next = [(i.wrapping_sub(1), j), (i + 1, j), (i, j.wrapping_sub(1)), (i, j + 1)];
            for (a, b) in next {
                if a <= ANGLES && b <= HEIGHTS && free[at(a, b)] && !seen[at(a, b)] && low(a, b) >= -depth {
                    todo.push((a, b));
                }
            }
        }
        false
    };
    let (mut lo, mut hi) = (0.0, l + 2.0 * t);
    for _ in 0..14 {
        let mid = 0.5 * (lo + hi);
        if reaches(mid) { hi = mid } else { lo = mid }
    }
    hi
}

#[test]
fn the_depth_to_turn_is_what_a_walk_finds() {
    let cases = [
        (600.0, 25.0, 150.0, 0.0),
        (600.0, 50.0, 75.0, 0.0),
        (300.0, 50.0, 200.0, 0.0),
        (300.0, 60.0, 290.0, 0.0),
        (600.0, 25.0, 150.0, 40.0),
        (500.0, 50.0, 80.0, 30.0),
        (400.0, 50.0, 120.0, 100.0),
    ];
    for (l, t, s, e) in cases {
        let (sum, found) = (depth_to_turn(l, t, s, e).unwrap(), walked(l, t, s, e));
        println!("{l} x {t} through {s}, wall {e}: {sum:.1}, walked {found:.1}");
        // The lattice: half a degree of 600 mm is 5 mm, and a height is (l + 2 t + e) / 400.
        assert!(
            (sum - found).abs() < 0.5 + 0.013 * (l + e),
            "{l} x {t} through {s}, wall {e}: {sum}, walked {found}"
        );
    }
}

#[test]
fn depths_known_beforehand() {
    // Flat through a slot longer than itself; not at all; standing up through a slot it fills.
    assert_eq!(depth_to_turn(100.0, 25.0, 120.0, 50.0), Some(25.0));
    assert_eq!(depth_to_turn(600.0, 25.0, 20.0, 0.0), None);
    assert!((depth_to_turn(600.0, 25.0, 25.0, 0.0).unwrap() - 600.0).abs() < 1e-3);
    // A thicker wall asks for more depth or as much, a wider slot for less.
    let d = |s: f64, e: f64| depth_to_turn(600.0, 25.0, s, e).unwrap();
    assert!(
        d(100.0, 20.0) >= d(100.0, 0.0)
            && d(100.0, 60.0) >= d(100.0, 20.0)
            && d(120.0, 20.0) <= d(100.0, 20.0)
    );
    assert_eq!(depth_to_turn(f64::NAN, 25.0, 20.0, 0.0), None);
}

#[test]
fn a_panel_goes_through_or_is_told_what_is_missing() {
    let hatch = Opening::Rect { w: 304.8, h: 355.6 };
    let slot = hatch.widest_slot(25.4);
    let p = passage(&hatch, &[rect(0.0, 0.0, 900.0, 440.0)], 25.4, None).unwrap();
    assert!((p.clearance - (slot - 440.0)).abs() < 1e-9 && p.passes() && !p.may_thread);
    assert!(p.into.y.abs() < 1e-9 && (p.length - 900.0).abs() < 1e-9, "{p:?}");
    let p = passage(&hatch, &[rect(0.0, 0.0, 900.0, 460.0)], 25.4, None).unwrap();
    assert!((p.clearance - (slot - 460.0)).abs() < 1e-9 && !p.passes() && !p.may_thread);
    // An L fails by its hull but may be threaded.
    let l = [(0., 0.), (900., 0.), (900., 200.), (200., 200.), (200., 900.), (0., 900.)];
    let l = Ring { outer: l.map(|p| Point::new(p.0, p.1)).to_vec(), holes: vec![] };
    let p = passage(&hatch, std::slice::from_ref(&l), 25.4, None).unwrap();
    assert!(p.clearance < 0.0 && p.may_thread, "{p:?}");
    // By its room: 600 long, 300 wide; beside 300 the opening leaves a slot of known width.
    let room = |depth| Some(Room { depth, wall: 0.0 });
    let panel = [rect(0.0, 0.0, 600.0, 300.0)];
    let p = passage(&hatch, &panel, 25.4, room(300.0)).unwrap();
    let turning = p.turning.unwrap();
    let beside = hatch.widest_slot(300.0);
    assert!(turning.needs <= depth_to_turn(600.0, 25.4, beside, 0.0).unwrap() + 1e-6 && p.passes());
    let p = passage(&hatch, &panel, 25.4, room(turning.needs - 1.0)).unwrap();
    assert!(!p.passes() && (p.turning.unwrap().clearance() + 1.0).abs() < 1e-6);
    assert!(
        passage(&hatch, &panel, 25.4, room(f64::NAN)).is_err() && passage(&hatch, &[], 25.4, None).is_err()
    );
}

#[test]
fn a_bevelled_layer_needs_room_for_both_faces() {
    // All sides open by 45°: each face 25 mm farther out all round per layer.
    let set =
        layers(&wall(polygon(&[(0., 0.), (800., 0.), (800., 400.), (0., 400.)], &[45.0]), 0.0, &[25.0]))
            .unwrap();
    let p = set.layers[0].passage(&Opening::Rect { w: 430.0, h: 1.0 + 25.0 }, None).unwrap();
    assert!((p.width - 450.0).abs() < 1e-6 && !p.passes(), "{p:?}");
}

#[test]
fn calipers_agree_with_every_direction() {
    let mut dice = common::Dice(31);
    for _ in 0..200 {
        let n = 3 + (dice.unit() * 30.0) as usize;
        let points: Vec<Point> =
            (0..n).map(|_| Point::new(dice.between(-400., 400.), dice.between(-200., 300.))).collect();
        let least = narrowest(&points).unwrap();
        let tried = (0..1800)
            .map(|k| coldwright_geometry::Vec2::from_angle(std::f64::consts::PI * f64::from(k) / 1800.0))
            .map(|d| coldwright_geometry::extent(&points, d).unwrap().width)
            .fold(f64::INFINITY, f64::min);
        assert!(least.width <= tried + 1e-9 && tried < least.width + 2.0, "{} {tried}", least.width);
    }
}

#[test]
fn walls_that_close_in_bind() {
    let section = |r: Ring| Section { rings: vec![r], notices: vec![] };
    let piece = [rect(0.0, 0.0, 500.0, 300.0)];
    assert_eq!(binds(&piece, &[section(rect(-10.0, -10.0, 520.0, 320.0))]), None);
    // Wider than the way in, but only to one side: it is moved aside on the way.
    assert_eq!(binds(&piece, &[section(rect(20.0, 0.0, 510.0, 300.0))]), None);
    let later = [section(rect(2.0, 2.0, 496.0, 296.0)), section(rect(6.0, 6.0, 488.0, 288.0))];
    let b = binds(&piece, &later).unwrap();
    assert!(b.at == 1 && (b.by - 6.0).abs() < 0.01, "{b:?}");
    let b = binds(&piece, &[Section::default()]).unwrap();
    assert!((b.by - 300.0).abs() < 1e-9);
}
