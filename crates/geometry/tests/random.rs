//! Thousands of random outlines: the layers are valid, lie inside each other as they must, and agree with a second way.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{
    Bevel, BevelStation, Edge, EdgeKind, GeometryError, Notice, Outline, Point, Ring, Tick, layers,
    outline_at,
};
use common::{Dice, polygon_edges, wall};

/// A star-shaped ring of `n` corners, now and then with nearly straight corners, tiny edges or a deep notch.
fn ring(dice: &mut Dice, n: usize) -> Vec<(f64, f64)> {
    let mut w = 0.0;
    let mut places: Vec<(f64, f64)> = Vec::new();
    let weights: Vec<f64> = (0..n).map(|_| dice.between(0.4, 1.6)).collect();
    let total: f64 = weights.iter().sum();
    let mut before = dice.between(150., 400.);
    for weight in weights {
        w += std::f64::consts::TAU * weight / total;
        let r = match (dice.unit() * 6.0) as u32 {
            0 => before * 1.002,
            1 => dice.between(60., 120.),
            _ => dice.between(150., 400.),
        };
        places.push((r * w.cos(), r * w.sin()));
        if dice.unit() < 0.1 {
            places.push((r * w.cos() - 0.6 * w.sin(), r * w.sin() + 0.6 * w.cos()));
        }
        before = r;
    }
    places
}

fn edges(dice: &mut Dice, lean: (f64, f64)) -> Vec<Edge> {
    let n = 3 + (dice.unit() * 9.0) as usize;
    let points = ring(dice, n);
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

/// A second way to the same region: each straight side's own strip, prolonged to where its neighbour's moved line crosses,
/// taken off one by one. Only for sides moved inward by one distance each; membership is tested place by place.
#[test]
fn moved_in_sides_agree_with_half_plane_strips() {
    let mut dice = Dice(0xbee);
    let (mut places, mut cases, mut others) = (0, 0, 0);
    let all = std::env::var_os("COLDWRIGHT_TEST_ALL").is_some();
    for case in 0..if all { 2500 } else { 500 } {
        let n = 3 + (dice.unit() * 6.0) as usize;
        let points = ring(&mut dice, n);
        let degrees: Vec<f64> = points.iter().map(|_| dice.between(-40., -5.)).collect();
        let Ok((outline, _)) = Outline::new(polygon_edges(&points, &degrees), vec![]) else { continue };
        let z = dice.between(5., 60.);
        let section = outline_at(&wall(outline, 0.0, &[z]), z).expect("a section");
        // Where a side has died the strips alone do not say which of its neighbours meet.
        if section.notices.iter().any(|n| matches!(n, Notice::EdgeVanished { .. }))
            || section.rings.is_empty()
        {
            continue;
        }
        cases += 1;
        let at: Vec<Point> = points.iter().map(|p| Point::new(p.0, p.1)).collect();
        let k = at.len();
        let d: Vec<f64> = degrees.iter().map(|a| z * (-a).to_radians().tan()).collect();
        let base = Ring { outer: at.clone(), holes: vec![] };
        // Corner to which the strips of sides i and i + 1 are prolonged at their common corner, when it is to be prolonged.
        let wedge: Vec<Option<[Point; 4]>> = (0..k)
            .map(|i| {
                let (j, p) = ((i + 1) % k, at[(i + 1) % k]);
                let (u, v) = (at[j] - at[i], at[(j + 1) % k] - at[j]);
                let (u, v) = (u / u.hypot(), v / v.hypot());
                let turned = |w: coldwright_geometry::Vec2| coldwright_geometry::Vec2::new(-w.y, w.x);
                let (qa, qb) = (p + turned(u) * d[i], p + turned(v) * d[j]);
                let den = u.cross(v);
                if den.abs() < 1e-9 {
                    return Some([p, qa, qb, qb]);
                }
                let a = (qb - qa).cross(v) / den;
                let b = (qb - qa).cross(u) / den;
                if a <= 0.0 && b >= 0.0 {
                    return None;
                }
                let x = qa + u * a;
                // Too far away: square, with the wedge between the strips taken as well where they part.
                match (x.distance(p) > 3.0 * d[i].max(d[j]), den < 0.0) {
                    (false, _) => Some([p, qa, x, qb]),
                    (true, true) => Some([p, qa, qb, qb]),
                    (true, false) => None,
                }
            })
            .collect();
        let taken = |p: Point| -> bool {
            (0..k).any(|i| {
                let (a, b) = (at[i], at[(i + 1) % k]);
                let u = (b - a) / a.distance(b);
                let (along, in_) = ((p - a).dot(u), u.cross(p - a));
                (0.0..=a.distance(b)).contains(&along) && (0.0..=d[i]).contains(&in_)
            }) || wedge.iter().flatten().any(|w| Ring { outer: w.to_vec(), holes: vec![] }.contains(p))
        };
        for _ in 0..100 {
            let p = Point::new(dice.between(-400., 400.), dice.between(-400., 400.));
            let near_edge = section.rings.iter().any(|r| r.distance_to_boundary(p) < 0.02)
                || base.distance_to_boundary(p) < 0.02;
            if near_edge || !base.contains(p) {
                continue;
            }
            let want = !taken(p);
            let got = section.rings.iter().any(|r| r.contains(p));
            if want != got {
                // Dust under 1 mm² is dropped on purpose.
                let small = (0..16).any(|q| {
                    let w = f64::from(q) * std::f64::consts::TAU / 16.0;
                    taken(p + coldwright_geometry::Vec2::from_angle(w) * 0.6)
                });
                // The square end of a strip at a corner under 90° reaches past its neighbour and may bite another arm of the
                // piece beyond; the ring trims it at the crossing, so that foam the strips alone would lose is kept.
                others += usize::from(!(want && small));
                assert!(want || got, "case {case}: {p:?} at {z}");
            }
            places += 1;
        }
    }
    println!("{places} places in {cases} outlines");
    assert!(
        places > 5_000 && cases > if all { 1000 } else { 200 } && others * 1000 < places,
        "{places} {cases} {others}"
    );
}
