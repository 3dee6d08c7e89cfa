//! Nothing of a box's cavity claimed twice, nothing left but what is told.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

#[path = "common/boxes.rs"]
mod boxes;
mod common;

use boxes::{KINDS, frustum, rectangular, remade, six, skewed};
use coldwright_geometry::{
    BoxWall, EdgeAt, EdgeKind, GeometryError, Inside, Joint, JointKind, LayerSet, Outline, PlacedRing,
    PlainBox, Tick, Xyz, corner_clashes, fold, inside, joined_layers, plain_box, surfaces,
};
use common::Dice;

fn room(walls: &[BoxWall], joints: &[Joint]) -> Inside {
    let folded = fold(walls, joints).expect("folded");
    inside(walls, joints, &folded).expect("room").remove(0)
}

fn sets(walls: &[BoxWall], joints: &[Joint]) -> Vec<LayerSet> {
    joined_layers(walls, joints).expect("joints").into_iter().map(|s| s.expect("layers")).collect()
}

fn foam(walls: &[BoxWall], joints: &[Joint]) -> f64 {
    sets(walls, joints).iter().flat_map(|s| &s.layers).map(|l| l.volume).sum()
}

/// Four layers on the floor and the sides, three unequal ones on the ends and the top.
fn mixed(wall: usize) -> Vec<f64> {
    if wall < 3 { vec![25.4, 20.0, 30.0, 25.4] } else { vec![20.0, 31.0, 25.4] }
}

fn alike(_: usize) -> Vec<f64> {
    vec![25.4, 20.0, 30.0]
}

#[test]
fn foam_and_room_fill_the_cavity_of_any_box() {
    let mut dice = Dice(0x5eed_0011);
    let mut all = vec![rectangular(900., 500., 550.), frustum()];
    all.extend((0..30).map(|_| skewed(&mut dice, 15.0)));
    let mut worst: f64 = 0.0;
    for (i, corners) in all.iter().enumerate() {
        for kind in KINDS {
            let layers = if kind == JointKind::Mitred { alike } else { mixed };
            let (walls, joints) = six(corners, true, layers, 0.5, |_, _| kind);
            let one = room(&walls, &joints);
            let share = one.left_over / one.cavity;
            worst = worst.max(share.abs());
            assert!(share.abs() < 1e-5, "box {i}, {kind:?}: {share}");
            assert!((one.foam.iter().sum::<f64>() / foam(&walls, &joints) - 1.0).abs() < 1e-6);
        }
    }
    println!("worst share left over: {worst:.2e}");
}

#[test]
fn an_open_box_is_full_up_to_its_brim() {
    for lean in [-10.0, 0.0, 25.0] {
        for kind in KINDS {
            let typed = PlainBox { lean: f64::to_radians(lean), kind, ..PlainBox::default() };
            let (walls, joints) = plain_box(&typed).expect("a box");
            let one = room(&walls, &joints);
            assert!((one.left_over / one.cavity).abs() < 1e-5, "{lean} {kind:?}: {}", one.left_over);
        }
    }
}

#[test]
fn a_measured_box_has_the_true_ones_room() {
    // Corners measured to 0.5 mm, bevels to 1°, each template drawn wherever its photo put it.
    let mut dice = Dice(0x5eed_0013);
    let (mut worst, mut left, mut squares) = (0.0_f64, 0.0_f64, 0.0);
    for _ in 0..100 {
        let (walls, joints) = six(&skewed(&mut dice, 12.0), true, mixed, 0.5, |_, _| JointKind::RunsPast);
        let measured: Vec<BoxWall> = walls
            .iter()
            .map(|w| {
                let away = (dice.between(-5000., 5000.), dice.between(-5000., 5000.));
                let offs: Vec<(f64, f64)> =
                    (0..4).map(|_| (away.0 + 0.5 * dice.normal(), away.1 + 0.5 * dice.normal())).collect();
                let turns: Vec<f64> = (0..4).map(|_| f64::to_radians(dice.normal())).collect();
                remade(w, 0.0, 0.5, |i| offs[i], |i| turns[i])
            })
            .collect();
        let (is, got) = (room(&walls, &joints), room(&measured, &joints));
        worst = worst.max((got.room / is.room - 1.0).abs()).max((got.cavity / is.cavity - 1.0).abs());
        left = left.max((got.left_over / got.cavity).abs());
        squares += (got.cavity / is.cavity - 1.0).powi(2) / 100.0;
    }
    println!(
        "cavity off by {:.2e} (standard), cavity or room at most by {worst:.2e}, {left:.2e} left",
        squares.sqrt()
    );
    assert!(worst < 0.02 && left < 0.01, "{worst}, {left} left over");
}

#[test]
fn a_neighbours_bowed_edge_tells_a_bent_wall() {
    let (walls, joints) = six(&rectangular(900., 500., 550.), true, alike, 0.5, |_, _| JointKind::RunsPast);
    let bowed = |by: f64| {
        let mut walls = walls.clone();
        // The aft end's edge at the hull side, side 2 of its four, through a tick off the line.
        let mut edges: Vec<_> = walls[3].shape.outline.sides().iter().map(|s| s.edge.clone()).collect();
        let edge = edges.iter_mut().find(|e| e.name == "edge at the hull side").expect("the edge");
        let (a, b) = (edge.ticks[0], edge.ticks[1]);
        let out = (b.at - a.at).normalize();
        let middle = a.at.midpoint(b.at) + coldwright_geometry::Vec2::new(out.y, -out.x) * by;
        edge.kind = EdgeKind::Fair;
        edge.ticks = vec![a, Tick { id: 90, at: middle, spread: a.spread }, b];
        walls[3].shape.outline = Outline::new(edges, vec![]).expect("an outline").0;
        let folded = fold(&walls, &joints).expect("folded");
        inside(&walls, &joints, &folded)
    };
    let bent = |wall: &str| Err(GeometryError::BentWall { wall: wall.to_owned() });
    assert_eq!(bowed(40.0), bent("hull side"));
    assert_eq!(bowed(-6.0), bent("hull side"));
    assert!(bowed(2.0).is_ok_and(|all| all.len() == 1));
}

#[test]
fn gaps_are_left_over_and_change_neither_cavity_nor_room() {
    let (mut walls, joints) =
        six(&rectangular(900., 500., 550.), true, mixed, 0.5, |_, _| JointKind::RunsPast);
    let (before, full) = (room(&walls, &joints), foam(&walls, &joints));
    for wall in &mut walls {
        let mut edges: Vec<_> = wall.shape.outline.sides().iter().map(|s| s.edge.clone()).collect();
        edges.iter_mut().for_each(|e| e.gap = 6.0);
        wall.shape.outline = Outline::new(edges, vec![]).expect("an outline").0;
    }
    let after = room(&walls, &joints);
    assert!(
        (after.cavity / before.cavity - 1.0).abs() < 1e-12 && (after.room / before.room - 1.0).abs() < 1e-12
    );
    let gaps = full - foam(&walls, &joints);
    // The floor runs past all: 6 mm off each of its four edges, 101 mm deep, and so on; about 2 % of the foam.
    assert!(gaps > 0.01 * full);
    assert!((after.left_over / gaps - 1.0).abs() < 1e-6, "{} for {gaps}", after.left_over);
}

#[test]
fn mitred_walls_of_unequal_foam_leave_a_told_hollow() {
    // Between the ends' foam t and the others' T the mitres part: at depth v behind an end, t < v < T, all that lies nearer to
    // another wall than T and farther from it than v. School geometry.
    let (l, w, d, most, least) = (900.0, 500.0, 550.0, 100.0, 70.0);
    let layers = |i: usize| if i == 3 || i == 4 { vec![35.0; 2] } else { vec![25.0; 4] };
    let (walls, joints) = six(&rectangular(l, w, d), true, layers, 0.5, |_, _| JointKind::Mitred);
    let integral = |v: f64| w * d * v - (w + d) * v * v + 4.0 / 3.0 * v * v * v;
    let core = (w - 2.0 * most) * (d - 2.0 * most) * (most - least);
    let want = 2.0 * (integral(most) - integral(least) - core);
    let got = room(&walls, &joints).left_over;
    assert!((got / want - 1.0).abs() < 1e-4, "{got} for {want}");
}

#[test]
fn walls_that_run_past_each_other_in_a_circle_are_named() {
    // The floor past the sides, the sides past the ends, the ends past the floor: a cube of hollow at each lower corner.
    let (mut walls, mut joints) =
        six(&rectangular(900., 500., 550.), false, |_| vec![25.0; 3], 0.5, |_, _| JointKind::RunsPast);
    assert!(corner_clashes(&walls, &joints).expect("joints").is_empty());
    for joint in &mut joints {
        if joint.a.wall == 0 && joint.b.wall >= 3 {
            joint.kind = JointKind::StopsShort;
        }
    }
    let clashes = corner_clashes(&walls, &joints).expect("joints");
    assert_eq!(clashes.len(), 4);
    let cube = 75.0_f64.powi(3);
    assert!(clashes.iter().all(|c| (c.hollow / cube - 1.0).abs() < 1e-9), "{clashes:?}");
    let told: f64 = clashes.iter().map(|c| c.hollow).sum();
    assert!((room(&walls, &joints).left_over / told - 1.0).abs() < 1e-3);
    assert_eq!(
        clashes[0].words(&walls),
        "the floor, the inboard side and the forward end leave a hollow where they meet; let one of the three run past both others"
    );
    // The same told from joints listed the other way round, and at slanted corners.
    for joint in &mut joints {
        let turned = match joint.kind {
            JointKind::RunsPast => JointKind::StopsShort,
            JointKind::StopsShort => JointKind::RunsPast,
            other => other,
        };
        *joint = Joint { a: joint.b, b: joint.a, kind: turned, angle: joint.angle };
    }
    assert_eq!(corner_clashes(&walls, &joints).expect("joints").len(), 4);
    let flip = |a: usize, b: usize| {
        if a == 0 && b >= 3 {
            JointKind::Woven { a_first: false }
        } else {
            JointKind::Woven { a_first: true }
        }
    };
    (walls, joints) = six(&skewed(&mut Dice(0x5eed_0014), 12.0), true, |_| vec![25.0; 2], 0.5, flip);
    let clashes = corner_clashes(&walls, &joints).expect("joints");
    let told: f64 = clashes.iter().map(|c| c.hollow).sum();
    let left = room(&walls, &joints).left_over;
    assert!(!clashes.is_empty() && (told / left - 1.0).abs() < 1e-2, "{told} told of {left}");
    let missing = Joint::new(EdgeAt { wall: 0, edge: 77 }, EdgeAt { wall: 1, edge: 1 }, JointKind::RunsPast);
    assert!(corner_clashes(&walls, &[missing]).is_err());
}

/// Section of a convex solid by a plane: the crossings of all lines between its places, their hull in the plane.
fn section(solid: &[Xyz], at: Xyz, n: Xyz, u: Xyz, v: Xyz) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for (i, a) in solid.iter().enumerate() {
        for b in &solid[i + 1..] {
            let (da, db) = ((*a - at).dot(n), (*b - at).dot(n));
            if (da < 0.0) != (db < 0.0) {
                let p = *a + (*b - *a) * (da / (da - db)) - at;
                points.push((p.dot(u), p.dot(v)));
            }
        }
    }
    hull(points)
}

fn cross(o: (f64, f64), a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0)
}

/// Convex hull, counter-clockwise (A. M. Andrew 1979).
fn hull(mut points: Vec<(f64, f64)>) -> Vec<(f64, f64)> {
    points.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let half = |points: &[(f64, f64)]| {
        let mut out: Vec<(f64, f64)> = Vec::new();
        for p in points {
            while out.len() >= 2 && cross(out[out.len() - 2], out[out.len() - 1], *p) <= 0.0 {
                out.pop();
            }
            out.push(*p);
        }
        out.pop();
        out
    };
    let mut all = half(&points);
    points.reverse();
    all.extend(half(&points));
    all
}

fn area(p: &[(f64, f64)]) -> f64 {
    if p.len() < 3 { 0.0 } else { 0.5 * (1..p.len() - 1).map(|i| cross(p[0], p[i], p[i + 1])).sum::<f64>() }
}

/// Common area of two convex polygons (Sutherland and Hodgman 1974).
fn common_area(a: &[(f64, f64)], b: &[(f64, f64)]) -> f64 {
    let mut ring = a.to_vec();
    for (i, p) in b.iter().enumerate() {
        let q = b[(i + 1) % b.len()];
        let mut next = Vec::new();
        for (k, x) in ring.iter().enumerate() {
            let y = ring[(k + 1) % ring.len()];
            let (dx, dy) = (cross(*p, q, *x), cross(*p, q, y));
            if dx >= 0.0 {
                next.push(*x);
            }
            if dx * dy < 0.0 {
                let t = dx / (dx - dy);
                next.push((x.0 + (y.0 - x.0) * t, x.1 + (y.1 - x.1) * t));
            }
        }
        ring = next;
    }
    area(&ring)
}

fn places(rings: &[PlacedRing]) -> impl Iterator<Item = Xyz> + '_ {
    rings.iter().flat_map(|r| r.outer.iter().copied())
}

#[test]
fn layers_and_room_make_up_the_cavity_in_a_thousand_random_sections() {
    let mut dice = Dice(0x5eed_0012);
    let (mut planes, mut worst, mut shared) = (0, 0.0_f64, 0.0_f64);
    for i in 0..50 {
        let corners = if i < 5 { frustum() } else { skewed(&mut dice, 15.0) };
        let kind = KINDS[i % 5];
        let layers = if kind == JointKind::Mitred { alike } else { mixed };
        let (walls, joints) = six(&corners, true, layers, 0.5, |_, _| kind);
        let folded = fold(&walls, &joints).expect("folded");
        let all = sets(&walls, &joints);
        let solids: Vec<Vec<Xyz>> = surfaces(all.iter().map(Some), &folded)
            .iter()
            .map(|s| places(&s.outer).chain(places(&s.inner)).collect())
            .collect();
        assert_eq!(solids.len(), if kind == JointKind::Mitred { 18 } else { 21 });
        let one = room(&walls, &joints);
        let hollow: Vec<Xyz> = one.faces.iter().flat_map(|(_, f)| f.iter().copied()).collect();
        // The cavity from the walls' own corners.
        let cavity: Vec<Xyz> = walls
            .iter()
            .zip(&folded.poses)
            .flat_map(|(w, p)| w.shape.outline.corners().iter().map(|c| p.place(c.at, 0.0)))
            .collect();
        let middle = cavity.iter().fold(Xyz::default(), |s, p| s + *p) * (1.0 / cavity.len() as f64);
        for _ in 0..20 {
            let n = Xyz::new(dice.normal(), dice.normal(), dice.normal()).unit();
            let u = n.cross(Xyz::new(dice.normal(), dice.normal(), dice.normal())).unit();
            let v = n.cross(u);
            let mut by = || dice.between(-250.0, 250.0);
            let at = middle + Xyz::new(by(), by(), by());
            let cut = |s: &[Xyz]| section(s, at, n, u, v);
            let parts: Vec<_> = solids.iter().map(|s| cut(s)).filter(|p| p.len() > 2).collect();
            let whole = area(&cut(&cavity));
            let sum = parts.iter().map(|p| area(p)).sum::<f64>() + area(&cut(&hollow));
            worst = worst.max((sum / whole - 1.0).abs());
            for (k, a) in parts.iter().enumerate() {
                for b in &parts[k + 1..] {
                    shared = shared.max(common_area(a, b));
                }
            }
            planes += 1;
        }
    }
    println!("{planes} planes: sum off by {worst:.2e}, most shared {shared:.2e} mm²");
    assert!(planes == 1000 && worst < 1e-6 && shared < 0.01, "sum off by {worst}, shared {shared} mm²");
}
