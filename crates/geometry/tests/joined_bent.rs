//! A locker with a hull side bent and twisted as hulls are, a V floor, a leaning side and a step.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

#[path = "common/boxes.rs"]
mod boxes;
mod common;

use boxes::carried_along;
use coldwright_geometry::{
    Bevel, BevelStation, BoxWall, Edge, EdgeKind, Joint, JointKind, LayerSet, Outline, Point, Spread, Stand,
    Surface, Tick, Vec2, Xyz, bows, faceted_box, filler, fold, inside, joined_layers,
};
use common::Dice;

const LENGTH: f64 = 900.0;
const TOP: f64 = 560.0;
/// Slope of the floor's outboard half: 5°.
const RISE: f64 = 0.087_488_663_525_924;

/// The invented hull at one station: how far out it stands at height 0, and how far more for each mm of height.
fn station(x: f64) -> (f64, f64) {
    let u = x / LENGTH;
    (560.0 + 12.0 * (1.0 - (2.0 * u - 1.0).powi(2)), f64::to_radians(15.0 + 10.0 * u).tan())
}

fn hull(x: f64, z: f64) -> f64 {
    let (b, t) = station(x);
    b + z * t
}

/// Direction from the hull into the box.
fn hull_inward(x: f64, z: f64) -> Xyz {
    let slope = (hull(x + 0.01, z) - hull(x - 0.01, z)) / 0.02;
    Xyz::new(slope, -1.0, station(x).1).unit()
}

/// Where the hull meets the floor's outboard half, and the top.
fn low(x: f64) -> Xyz {
    let (b, t) = station(x);
    let y = (b - 300.0 * RISE * t) / (1.0 - RISE * t);
    Xyz::new(x, y, (y - 300.0) * RISE)
}

fn high(x: f64) -> Xyz {
    Xyz::new(x, hull(x, TOP), TOP)
}

/// β from the directions into the box of two surfaces that meet: their angle less 90°.
fn lean(a: Xyz, b: Xyz) -> f64 {
    (-a.dot(b)).acos() - std::f64::consts::FRAC_PI_2
}

fn tick(id: u32, at: Point) -> Tick {
    Tick { id, at, spread: Spread::round(0.5) }
}

/// The edge with ticks and leans (fraction of its length, β) in its own direction.
fn remade(edge: &Edge, places: &[Point], leans: &[(f64, f64)]) -> Edge {
    let n = places.len();
    let ids = [edge.ticks[0].id, edge.ticks[edge.ticks.len() - 1].id];
    let id = |k: usize| {
        if k == 0 {
            ids[0]
        } else if k + 1 == n {
            ids[1]
        } else {
            1000 + 100 * edge.id + k as u32
        }
    };
    let stations = leans.iter().map(|(at, angle)| BevelStation { at: *at, angle: *angle }).collect();
    Edge {
        kind: if n > 2 { EdgeKind::Fair } else { EdgeKind::Straight },
        ticks: places.iter().enumerate().map(|(k, p)| tick(id(k), *p)).collect(),
        bevel: Bevel::from_stations(stations).expect("leans"),
        ..edge.clone()
    }
}

fn with_edge(wall: &mut BoxWall, name: &str, change: impl Fn(&Edge) -> Edge) {
    let edges = wall
        .shape
        .outline
        .sides()
        .iter()
        .map(|s| if s.edge.name == name { change(&s.edge) } else { s.edge.clone() });
    wall.shape.outline = Outline::new(edges.collect(), vec![]).expect("an outline").0;
}

const PLACES: usize = 12;

fn stations() -> impl Iterator<Item = f64> {
    (0..=PLACES).map(|k| LENGTH * k as f64 / PLACES as f64)
}

/// Fractions of its length at which a line's places lie.
fn fractions(line: &[Xyz]) -> Vec<f64> {
    let mut sum = vec![0.0];
    for w in line.windows(2) {
        sum.push(sum[sum.len() - 1] + (w[1] - w[0]).length());
    }
    let whole = sum[sum.len() - 1];
    sum.iter().map(|s| s / whole).collect()
}

/// The hull laid flat, ruling by ruling, each strip as two triangles: its lower and its upper edge.
fn developed() -> (Vec<Point>, Vec<Point>) {
    // The third corner of a triangle left of a → b, from two distances.
    let third = |a: Point, b: Point, from_a: f64, from_b: f64| {
        let d = a.distance(b);
        let along = (d * d + from_a * from_a - from_b * from_b) / (2.0 * d);
        let up = (from_a * from_a - along * along).max(0.0).sqrt();
        let w = (b - a) / d;
        a + w * along + Vec2::new(-w.y, w.x) * up
    };
    let fine = 240;
    let x = |k: usize| LENGTH * k as f64 / fine as f64;
    let (mut lower, mut upper) = (vec![Point::ZERO], vec![Point::new(0.0, (high(0.0) - low(0.0)).length())]);
    for k in 1..=fine {
        let (a, b) = (lower[k - 1], upper[k - 1]);
        let (p, q) = (low(x(k - 1)), high(x(k - 1)));
        let (r, s) = (low(x(k)), high(x(k)));
        // To the right of a → b is to the left of b → a.
        let c = third(b, a, (r - q).length(), (r - p).length());
        lower.push(c);
        upper.push(third(b, c, (s - q).length(), (s - r).length()));
    }
    let every = |line: Vec<Point>| line.into_iter().step_by(fine / PLACES).collect();
    (every(lower), every(upper))
}

fn locker(kind: JointKind, gap: f64) -> (Vec<BoxWall>, Vec<Joint>) {
    let ring = |x: f64| {
        let mut all = vec![low(x), high(x)];
        all.extend(
            [(0.0, TOP), (40.0, 200.0), (150.0, 200.0), (150.0, 15.0), (300.0, 0.0)]
                .map(|(y, z)| Xyz::new(x, y, z)),
        );
        all
    };
    let corners = [ring(0.0), ring(LENGTH)].concat();
    let names = [
        ("hull side", Stand::Side, 4),
        ("top", Stand::Top, 4),
        ("inboard side", Stand::Side, 3),
        ("step", Stand::Floor, 4),
        ("riser", Stand::Side, 3),
        ("floor inboard", Stand::Floor, 4),
        ("floor outboard", Stand::Floor, 4),
    ];
    let facets = carried_along(&names, 4);
    let of = |a: usize, b: usize| if (a.min(b), a.max(b)) == (5, 6) { JointKind::Mitred } else { kind };
    let (mut walls, mut joints) = faceted_box(&corners, &facets, 0.5, of).expect("a box");
    // Angles at the hull are told by the bevels at stations.
    for j in joints.iter_mut().filter(|j| j.a.wall == 0 || j.b.wall == 0) {
        assert!(j.angle.is_none(), "told by bevels");
    }

    // A place of the box in the frame of a flat wall that runs forward, from two of its corners.
    let floor = Xyz::new(0.0, -RISE, 1.0).unit();
    let lows: Vec<Xyz> = stations().map(low).collect();
    let highs: Vec<Xyz> = stations().map(high).collect();
    let beta = |line: &[Xyz], other: Xyz| -> Vec<(f64, f64)> {
        fractions(line).iter().zip(line).map(|(f, p)| (*f, lean(hull_inward(p.x, p.z), other))).collect()
    };
    let turned = |leans: &[(f64, f64)]| leans.iter().rev().map(|(f, a)| (1.0 - f, *a)).collect::<Vec<_>>();
    let (at_floor, at_top) = (beta(&lows, floor), beta(&highs, Xyz::new(0.0, 0.0, -1.0)));
    assert!(at_floor.iter().all(|(_, b)| (19.0..31.0).contains(&b.to_degrees())), "{at_floor:?}");

    for (wall, line, leans) in [(6, &lows, &at_floor), (1, &highs, &at_top)] {
        with_edge(&mut walls[wall], "edge at the hull side", |edge| {
            // The edge's own chord carries the places: along it by x, off it by what the curve stands off in the plane.
            let (a, b) = (edge.ticks[0], edge.ticks[1]);
            let along_x = line[0].x < line[PLACES].x;
            assert!(along_x);
            // Which end of the edge lies aft.
            let aft_first = a.at.y < b.at.y;
            let ends = [line[0], line[PLACES]];
            let chord = ends[1] - ends[0];
            let unit = chord.unit();
            let inward = if wall == 6 { floor } else { Xyz::new(0.0, 0.0, -1.0) };
            let (from, to) = if aft_first { (a.at, b.at) } else { (b.at, a.at) };
            let way = (to - from).normalize();
            // A quarter turn to the left in the wall's frame is inward × forward in the box.
            let left = Vec2::new(-way.y, way.x);
            let mut places: Vec<Point> = line
                .iter()
                .map(|p| {
                    let d = *p - ends[0];
                    from + way * d.dot(unit) + left * d.dot(inward.cross(unit))
                })
                .collect();
            let mut leans = leans.clone();
            if !aft_first {
                places.reverse();
                leans = turned(&leans);
            }
            remade(edge, &places, &leans)
        });
    }
    for (wall, x, inward) in [(7, 0.0, Xyz::new(1.0, 0.0, 0.0)), (8, LENGTH, Xyz::new(-1.0, 0.0, 0.0))] {
        let line: Vec<Xyz> = (0..=6).map(|k| low(x) + (high(x) - low(x)) * (f64::from(k) / 6.0)).collect();
        let leans = beta(&line, inward);
        with_edge(&mut walls[wall], "edge at the hull side", |edge| {
            let up = edge.ticks[1].at.y > edge.ticks[0].at.y;
            let places = [edge.ticks[0].at, edge.ticks[1].at];
            remade(edge, &places, &if up { leans.clone() } else { turned(&leans) })
        });
    }
    // The hull itself: laid flat.
    let (lower, upper) = developed();
    let ends = [(0.0, Xyz::new(1.0, 0.0, 0.0)), (LENGTH, Xyz::new(-1.0, 0.0, 0.0))].map(|(x, inward)| {
        let line: Vec<Xyz> = (0..=6).map(|k| low(x) + (high(x) - low(x)) * (f64::from(k) / 6.0)).collect();
        beta(&line, inward)
    });
    let old: Vec<Edge> = walls[0].shape.outline.sides().iter().map(|s| s.edge.clone()).collect();
    let back: Vec<Point> = upper.iter().rev().copied().collect();
    let mut edges = vec![
        remade(&old[0], &lower, &at_floor),
        remade(&old[1], &[lower[PLACES], upper[PLACES]], &ends[1]),
        remade(&old[2], &back, &turned(&at_top)),
        remade(&old[3], &[upper[0], lower[0]], &turned(&ends[0])),
    ];
    for e in &mut edges {
        e.gap = gap;
    }
    walls[0].shape.outline = Outline::new(edges, vec![]).expect("an outline").0;
    walls[0] = walls[0].clone().bent();
    (walls, joints)
}

/// Depth of a place below each outer face that bounds the cavity there; None outside.
fn cavity_holds(p: Xyz) -> bool {
    let v = if p.y < 300.0 { (300.0 - p.y) * 0.1 } else { (p.y - 300.0) * RISE };
    let side = (TOP - p.z) * 40.0 / 360.0;
    p.z > v && p.z < TOP && p.y < hull(p.x, p.z) && p.y > side && !(p.y < 150.0 && p.z < 200.0)
}

/// Whether a place lies deeper than all foam: distance from each outer face at least its wall's thickness.
fn room_holds(p: Xyz) -> bool {
    let (four, three) = (101.6, 76.2);
    // Distance to the hull: along its inward direction at the nearest place, found by stepping there.
    let mut foot = Xyz::new(p.x, hull(p.x, p.z), p.z);
    for _ in 0..6 {
        let n = hull_inward(foot.x, foot.z);
        let off = (p - foot).dot(n);
        foot = p - n * off;
        foot = Xyz::new(foot.x, hull(foot.x, foot.z), foot.z);
    }
    let to_hull = (p - foot).dot(hull_inward(foot.x, foot.z));
    let to_floors =
        [((p.z - (300.0 - p.y) * 0.1) / 0.1_f64.hypot(1.0)), (p.z - (p.y - 300.0) * RISE) / RISE.hypot(1.0)];
    let slope = 40.0 / 360.0;
    let to_side = (p.y - (TOP - p.z) * slope) / slope.hypot(1.0);
    // The step is a corner into the box: its foam wraps it, square.
    let over_step = p.y < 150.0 + three && p.z < 200.0 + four;
    p.x > four
        && p.x < LENGTH - four
        && p.z < TOP - four
        && to_hull > four
        && to_floors.iter().all(|d| *d > four)
        && to_side > three
        && !over_step
}

/// Volume by one random place in each cell of a grid.
fn by_chance(holds: impl Fn(Xyz) -> bool, seed: u64) -> f64 {
    let mut dice = Dice(seed);
    let n = [60, 120, 90];
    let size = [LENGTH, 850.0, TOP];
    let mut hits = 0_u32;
    for i in 0..n[0] {
        for j in 0..n[1] {
            for k in 0..n[2] {
                let at = |a: usize, i: i32, d: f64| size[a] * (f64::from(i) + d) / f64::from(n[a]);
                let p = Xyz::new(at(0, i, dice.unit()), at(1, j, dice.unit()), at(2, k, dice.unit()));
                hits += u32::from(holds(p));
            }
        }
    }
    size.iter().product::<f64>() * f64::from(hits) / n.iter().map(|k| f64::from(*k)).product::<f64>()
}

#[test]
fn the_hull_side_alone_is_shown_to_be_bent() {
    let (mut walls, joints) = locker(JointKind::RunsPast, 0.0);
    assert!(bows(&walls, &joints).is_empty(), "it is said to be bent");
    walls[0].surface = Surface::Flat;
    let told = bows(&walls, &joints);
    // The invented hull stands 12 mm off its chord at most, and the floor's edge runs along it.
    assert_eq!(told.iter().map(|b| b.wall).collect::<Vec<_>>(), [0]);
    assert!((10.0..14.0).contains(&told[0].by), "{told:?}");
}

#[test]
fn a_locker_with_a_bent_hull_side_adds_up() {
    let cavity = by_chance(cavity_holds, 31);
    let room = by_chance(room_holds, 32);
    for kind in
        [JointKind::Woven { a_first: true }, JointKind::RunsPast, JointKind::StopsShort, JointKind::Mitred]
    {
        let (walls, joints) = locker(kind, 5.0);
        let folded = fold(&walls, &joints).expect("folded");
        assert!(folded.misfits.is_empty(), "{:?}", folded.misfits);
        let one = inside(&walls, &joints, &folded).expect("a room").remove(0);
        let sets: Vec<LayerSet> =
            joined_layers(&walls, &joints).expect("joints").into_iter().map(|s| s.expect("layers")).collect();
        let fill = filler(&walls, &joints, sets.iter().map(Some), &[]).expect("filler");
        let cut: f64 = sets
            .iter()
            .flat_map(|s| &s.layers)
            .map(|l| l.fits.iter().map(coldwright_geometry::Ring::area).sum::<f64>() * (l.to - l.from))
            .sum();
        let share = (cut + fill.total() + one.room) / cavity;
        println!(
            "{kind:?}: cavity {:.5}, room {:.5} of those by chance; layers + gaps + wedges + room {share:.5} of the cavity by chance",
            one.cavity / cavity,
            one.room / room
        );
        assert!((one.cavity / cavity - 1.0).abs() < 1e-3, "cavity {} for {cavity}", one.cavity);
        assert!((one.room / room - 1.0).abs() < 3e-3, "room {} for {room}", one.room);
        assert!((share - 1.0).abs() < 5e-3, "{share}");
        assert!(fill.walls[0].gaps > 0.0 && fill.walls[1].gaps < 1e-9);
    }
}
