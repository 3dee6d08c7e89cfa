//! Whose foam each corner cell is, against the layers themselves; seams; what is left to fill; what the room is good for.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

#[path = "common/boxes.rs"]
mod boxes;
mod common;

use boxes::{KINDS, keeled, rectangular, six};
use coldwright_geometry::{
    BoxWall, CellOwner, EdgeAt, Inside, Joint, JointKind, Layer, LayerSet, PlainBox, Stand, corner_cells,
    filler, fold, inside, joined_layers, lifts, plain_box, straight_seams, sump, usable,
};
use common::{Dice, near, polygon, wall};
use proptest::prelude::*;

/// Two walls that meet at their lower edges.
fn pair(a: &[f64], b: &[f64], kind: JointKind, degrees: f64) -> ([BoxWall; 2], [Joint; 1]) {
    let told = (20.0..=160.0).contains(&degrees);
    let bevel = if told { degrees - 90.0 } else { 0.0 };
    let piece = |t: &[f64]| {
        wall(polygon(&[(0., 0.), (3000., 0.), (3000., 3000.), (0., 3000.)], &[bevel, 0., 0., 0.]), 0.0, t)
    };
    let joint = Joint::new(EdgeAt { wall: 0, edge: 1 }, EdgeAt { wall: 1, edge: 1 }, kind);
    let joint = if told { joint } else { joint.at_angle(degrees.to_radians()) };
    ([BoxWall::new("a", piece(a), Stand::Side), BoxWall::new("b", piece(b), Stand::Side)], [joint])
}

fn sets(walls: &[BoxWall], joints: &[Joint]) -> Vec<LayerSet> {
    joined_layers(walls, joints).expect("joints").into_iter().map(|s| s.expect("layers")).collect()
}

/// Whether a wall's layers hold the place at depth `own` in it and `other` in its neighbour.
///
/// School geometry: at the joint's section the place stands (other + own·cos α)/sin α in from the edge's line at depth 0.
fn holds(layers: &[Layer], own: f64, other: f64, degrees: f64) -> bool {
    let alpha = degrees.to_radians();
    let y = (other + own * alpha.cos()) / alpha.sin();
    let Some(layer) = layers.iter().find(|l| own < l.to) else { return false };
    let low = |s: &coldwright_geometry::Section| s.rings[0].bounds().y0;
    let share = (own - layer.from) / (layer.to - layer.from);
    y >= low(&layer.outer) + share * (low(&layer.inner) - low(&layer.outer))
}

fn kind() -> impl Strategy<Value = JointKind> {
    (0..KINDS.len()).prop_map(|k| KINDS[k])
}

fn angle() -> impl Strategy<Value = f64> {
    prop_oneof![20.0..160.0_f64, 200.0..340.0_f64]
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(256) })]

    #[test]
    fn every_cell_has_one_owner_and_the_layers_agree(
        a in prop::collection::vec(5.0..60.0_f64, 1..6),
        b in prop::collection::vec(5.0..60.0_f64, 1..6),
        kind in kind(),
        degrees in angle(),
        u in 0.01..0.99_f64,
        v in 0.01..0.99_f64,
    ) {
        // A mitre under 30° would need a bevel over 75°; it is refused, below.
        prop_assume!(kind != JointKind::Mitred || (31.0..329.0).contains(&degrees));
        let (walls, joints) = pair(&a, &b, kind, degrees);
        let cells = corner_cells(&walls, &joints, 0).expect("cells");
        prop_assert_eq!(cells.len(), a.len() * b.len());
        let all = sets(&walls, &joints);
        for cell in &cells {
            let from = |t: &[f64], k: usize| t.iter().take(k - 1).sum::<f64>();
            let (za, zb) = (from(&a, cell.a) + u * a[cell.a - 1], from(&b, cell.b) + v * b[cell.b - 1]);
            let [in_a, in_b] =
                [holds(&all[0].layers, za, zb, degrees), holds(&all[1].layers, zb, za, degrees)];
            match cell.owner {
                CellOwner::A => prop_assert!(in_a && !in_b, "{:?} {} {}", cell, in_a, in_b),
                CellOwner::B => prop_assert!(in_b && !in_a, "{:?} {} {}", cell, in_a, in_b),
                CellOwner::Halved => {
                    // On the plane itself either answer may come.
                    prop_assume!((za - zb).abs() > 1e-6);
                    prop_assert!(in_a != in_b, "{:?} {} {}", cell, in_a, in_b);
                }
                CellOwner::Nobody | CellOwner::Twice => prop_assert!(false, "{:?}", cell),
            }
        }
    }
}

#[test]
fn woven_corners_of_four_against_three_layers() {
    // The rule by hand: the outer layer of two wins, equal ones go to the wall that runs there.
    let (walls, joints) = pair(&[25.4; 4], &[30.0; 3], JointKind::Woven { a_first: true }, 90.0);
    for c in corner_cells(&walls, &joints, 0).expect("cells") {
        let a = c.a < c.b || c.a == c.b && c.a % 2 == 1;
        assert_eq!(c.owner, if a { CellOwner::A } else { CellOwner::B }, "{c:?}");
    }
    assert!(corner_cells(&walls, &joints, 1).is_err());
}

#[test]
fn a_mitre_too_sharp_to_saw_is_refused_by_name() {
    let (walls, joints) = pair(&[25.0], &[25.0], JointKind::Mitred, 336.0);
    let told = joined_layers(&walls, &joints).expect_err("too sharp").to_string();
    assert!(told.starts_with("joint 1 at 336.0° is too sharp for a mitre"), "{told}");
}

#[test]
fn straight_seams_are_told_with_advice() {
    for (kind, told) in KINDS.into_iter().zip([true, true, false, false, true]) {
        let (walls, joints) = pair(&[25.4; 4], &[30.0; 3], kind, 90.0);
        let seams = straight_seams(&walls, &joints);
        assert_eq!(seams.len(), usize::from(told), "{kind:?}");
        assert!(seams.iter().all(|s| s.joint == 0 && s.weave));
    }
    // One layer cannot be woven.
    let (walls, joints) = pair(&[25.4], &[30.0; 3], JointKind::Woven { a_first: true }, 90.0);
    assert!(straight_seams(&walls, &joints).iter().any(|s| !s.weave));
}

fn room(walls: &[BoxWall], joints: &[Joint]) -> Inside {
    let folded = fold(walls, joints).expect("folded");
    inside(walls, joints, &folded).expect("a room").remove(0)
}

#[test]
fn a_leaning_box_has_wedges_gaps_and_a_clear_rectangle_of_closed_form() {
    let typed = PlainBox { lean: f64::to_radians(20.0), kind: JointKind::RunsPast, ..PlainBox::default() };
    let (mut walls, joints) = plain_box(&typed).expect("a box");
    // A gap of 6 mm on the floor's free rectangle's aft edge: the floor runs past, square at the ends.
    let mut edges: Vec<_> = walls[0].shape.outline.sides().iter().map(|s| s.edge.clone()).collect();
    let aft = edges.iter_mut().find(|e| e.name == "edge at the aft end").expect("aft");
    aft.gap = 6.0;
    walls[0].shape.outline = coldwright_geometry::Outline::new(edges, vec![]).expect("an outline").0;
    let all = sets(&walls, &joints);
    let fill = filler(&walls, &joints, all.iter().map(Some), &[0.0, 2.0e6]).expect("filler");
    let t = 101.6;
    let tan = f64::to_radians(20.0).tan();
    // The floor is a trapezoid in section, 500 mm at the outer face and growing with the lean.
    near(fill.walls[0].gaps, 6.0 * t * (500.0 + 0.5 * t * tan), 1.0, "gap");
    // One wedge a layer along 900 mm less the gap: t²·tan/2, in any table of triangles.
    near(fill.walls[0].wedges, 4.0 * 0.5 * 25.4 * 25.4 * tan * 894.0, 1.0, "wedges");
    near(fill.walls[1].hollow, 2.0e6, 0.0, "hollow");
    let total: f64 = fill.walls.iter().map(coldwright_geometry::WallFiller::total).sum();
    near(fill.total(), total, 1e-6, "total");
    assert_eq!(fill.cans(total / 2.0).expect("cans"), 2);
    assert_eq!(fill.cans(total / 2.01).expect("cans"), 3);
    assert!(fill.cans(0.0).is_err() && filler(&walls, &joints, all.iter().map(Some), &[f64::NAN]).is_err());
    assert_eq!(
        [lifts(0.0, 40.0), lifts(80.0, 40.0), lifts(81.0, 40.0)].map(|l| l.expect("lifts")),
        [0, 2, 3]
    );

    // 100 mm over the floor's foam the leaning side stands farthest in at the lowest height.
    let one = room(&walls, &joints);
    let clear = usable(&one, 100.0, 250.0).expect("a rectangle");
    let wide = 500.0 + (t + 100.0) * tan - t / f64::to_radians(20.0).cos() - t;
    near(clear.width(), 900.0 - 2.0 * t, 0.2, "length");
    near(clear.height(), wide, 0.2, "width");
    assert!(usable(&one, 100.0, 400.0).is_none() && sump(&one, &walls).is_none());
}

#[test]
fn the_sump_of_a_v_floor_is_a_prism() {
    let (walls, joints) = keeled(30.0, 430.0);
    let one = room(&walls, &joints);
    let found = sump(&one, &walls).expect("a sump");
    // Slope 1 in 10, sides 75 mm in: half width 225, depth 22.5, length 650.
    near(found.deep, 22.5, 1e-6, "depth");
    near(found.volume, 0.5 * 450.0 * 22.5 * 650.0, 1.0, "volume");
}

#[test]
fn a_rectangle_is_found_in_rooms_of_any_proportion() {
    let mut dice = Dice(3);
    for _ in 0..20 {
        let (l, w) = (dice.between(400.0, 1500.0), dice.between(350.0, 900.0));
        let (walls, joints) =
            six(&rectangular(l, w, 500.0), true, |_| vec![30.0, 20.0], 0.5, |_, _| JointKind::Mitred);
        let clear = usable(&room(&walls, &joints), 50.0, 100.0).expect("a rectangle");
        near(clear.width(), l - 100.0, 0.2, "length");
        near(clear.height(), w - 100.0, 0.2, "width");
    }
}
