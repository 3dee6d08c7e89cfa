//! Thousands of random outlines: the layers are valid, lie inside each other as they must, and agree with a second way.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{
    Bevel, BevelStation, Edge, EdgeKind, GeometryError, Notice, Outline, Ring, Tick, layers,
};
use common::{Dice, polygon_edges, star, wall};

fn edges(dice: &mut Dice, lean: (f64, f64)) -> Vec<Edge> {
    let n = 3 + (dice.unit() * 9.0) as usize;
    let points = star(dice, n);
    let degrees: Vec<f64> = (0..points.len()).map(|_| dice.between(lean.0, lean.1)).collect();
    let mut edges = polygon_edges(&points, &degrees);
    for e in &mut edges {
        if dice.unit() < 0.3 {
            let middle = e.ticks[0].at.midpoint(e.ticks[1].at);
            let along = e.ticks[1].at - e.ticks[0].at;
            if along.hypot() > 60.0 {
                // A bulge or a hollow of a few per cent.
                let at =
                    middle + coldwright_geometry::Vec2::new(along.y, -along.x) * dice.between(-0.05, 0.05);
                e.ticks.insert(1, Tick { id: 1000 + e.id, at, ..e.ticks[0] });
                e.kind = EdgeKind::Fair;
            }
        }
        if dice.unit() < 0.2 {
            let stations = (0..3)
                .map(|k| BevelStation {
                    at: 0.5 * f64::from(k),
                    angle: dice.between(lean.0, lean.1).to_radians(),
                })
                .collect();
            e.bevel = Bevel::from_stations(stations).expect("stations");
        }
    }
    edges
}

fn valid(rings: &[Ring], what: &str) {
    for r in rings {
        assert!(r.area() > 0.0 && r.area().is_finite(), "{what}");
        assert!(
            r.outer.len() >= 3 && r.outer.iter().chain(r.holes.iter().flatten()).all(|p| p.is_finite()),
            "{what}"
        );
        assert!(!r.holes.iter().any(|h| h.len() < 3), "{what}");
    }
}

fn area(rings: &[Ring]) -> f64 {
    rings.iter().map(Ring::area).sum()
}

/// Every corner of `inner` lies in `outer`, to a hundredth of a millimetre.
fn within(inner: &[Ring], outer: &[Ring], what: &str) {
    for p in inner.iter().flat_map(|r| r.outer.iter().step_by(1 + r.outer.len() / 25)) {
        let fine = outer.iter().any(|r| r.contains(*p) || r.distance_to_boundary(*p) < 0.01);
        assert!(fine, "{what}: {p:?} stands out");
    }
}

#[test]
fn layers_of_random_outlines_are_valid_and_lie_inside_each_other() {
    let mut dice = Dice(0xc01d);
    let (mut done, mut refused, mut empty, mut square) = (0, 0, 0, 0);
    // All of them take most of a minute on a slow machine; the short run keeps a daily test quick.
    let cases = if std::env::var_os("COLDWRIGHT_TEST_ALL").is_some() { 5000 } else { 300 };
    for case in 0..cases {
        let lean = [(-30., 0.), (0., 30.), (-25., 25.)][case % 3];
        let outline = match Outline::new(edges(&mut dice, lean), vec![]) {
            Ok((o, _)) => o,
            Err(GeometryError::SelfCrossing { .. }) => {
                refused += 1;
                continue;
            }
            Err(e) => panic!("case {case}: {e}"),
        };
        let piece = wall(outline, 0.0, &[20.0, 35.0]);

        let set = match layers(&piece) {
            Ok(set) => set,
            Err(GeometryError::EmptyAtDepth { .. }) => {
                empty += 1;
                continue;
            }
            Err(e) => panic!("case {case}: {e}"),
        };
        done += 1;
        for l in &set.layers {
            let what = format!("case {case}, layer {}", l.number);
            for rings in [&l.outer.rings, &l.inner.rings, &l.fits, &l.fills] {
                valid(rings, &what);
            }
            within(&l.fits, &l.outer.rings, &format!("fo {what}"));
            within(&l.fits, &l.inner.rings, &format!("fi {what}"));
            within(&l.outer.rings, &l.fills, &format!("of {what}"));
            within(&l.inner.rings, &l.fills, &format!("if {what}"));
            let (least, most) = (l.area_outer.min(l.area_inner), l.area_outer.max(l.area_inner));
            let t = l.to - l.from;
            assert!(area(&l.fits) <= least * (1.0 + 1e-9) && area(&l.fills) >= most * (1.0 - 1e-9), "{what}");
            assert!(
                l.volume >= area(&l.fits) * t * (1.0 - 1e-5) && l.volume <= area(&l.fills) * t * (1.0 + 1e-5),
                "{what}"
            );
            assert!(
                l.wedge >= 0.0 && l.excess >= 0.0 && l.largest_gap >= 0.0 && l.volume.is_finite(),
                "{what}"
            );
            // Where a corner is cut square at one face and not at the other, or a side has died between, the faces need not lie
            // inside each other to a hair there; the square cuts above hold all the same.
            let told = l.outer.notices.iter().chain(&l.inner.notices);
            if told.clone().any(|n| matches!(n, Notice::CornerCutSquare { .. } | Notice::EdgeVanished { .. }))
            {
                square += 1;
                continue;
            }
            match case % 3 {
                0 => {
                    assert!(l.area_inner <= l.area_outer * (1.0 + 1e-9), "{what}: shrinks");
                    within(&l.inner.rings, &l.outer.rings, &format!("SHRINK {what}"));
                }
                1 => {
                    assert!(l.area_inner >= l.area_outer * (1.0 - 1e-9), "{what}: grows");
                    within(&l.outer.rings, &l.inner.rings, &format!("GROW {what}"));
                }
                _ => {}
            }
        }
    }
    println!(
        "{done} outlines, {refused} refused as crossing themselves, {empty} with nothing left, {square} layers with a square corner"
    );
    assert!(done * 20 > cases * 19 && square * 10 < 2 * done * 8, "{done} {refused} {empty} {square}");
}
