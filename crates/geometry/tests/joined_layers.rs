//! Layers of joined walls against closed forms.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

#[path = "common/boxes.rs"]
mod boxes;
mod common;

use boxes::{KINDS, keeled};
use coldwright_geometry::{
    BoxWall, Edge, EdgeAt, Joint, JointKind, Layer, LayerSet, Outline, PlainBox, Stand, filler, fold,
    joined_layers, layers, plain_box,
};
use common::{near, polygon, wall};

fn all(walls: &[BoxWall], joints: &[Joint]) -> Vec<LayerSet> {
    joined_layers(walls, joints).expect("joints").into_iter().map(|s| s.expect("layers")).collect()
}

/// How far the lower edge of a layer's outer face stands up.
fn low(layer: &Layer) -> f64 {
    layer.outer.rings[0].bounds().y0
}

#[test]
fn four_inches_of_neighbour_at_a_bevel_take_more_than_square() {
    // Check values of the design: 101.6 mm ÷ cos β is 1.6, 6.5 and 15.7 mm more than square at 10, 20 and 30°.
    for (degrees, more) in [(10.0, 1.6), (20.0, 6.5), (30.0, 15.7)] {
        let side = polygon(&[(0., 0.), (900., 0.), (900., 600.), (0., 600.)], &[degrees, 0., 0., 0.]);
        let floor = polygon(&[(0., 0.), (900., 0.), (900., 500.), (0., 500.)], &[0., 0., degrees, 0.]);
        let walls = [
            BoxWall::new("hull side", wall(side, 0.0, &[25.4; 4]), Stand::Side),
            BoxWall::new("floor", wall(floor, 0.0, &[25.4; 4]), Stand::Floor),
        ];
        let joint = |kind| Joint::new(EdgeAt { wall: 0, edge: 1 }, EdgeAt { wall: 1, edge: 3 }, kind);
        let short = all(&walls, &[joint(JointKind::StopsShort)]);
        near(low(&short[0].layers[0]) - 101.6, more, 0.05, "more than square");
        near(low(&short[0].layers[0]), 101.6 / f64::to_radians(degrees).cos(), 1e-9, "T ÷ cos β");
        let past = all(&walls, &[joint(JointKind::RunsPast)]);
        near(low(&past[0].layers[0]), 0.0, 1e-9, "runs past");
        // Each later layer of the one that stops follows the lean.
        let step = 25.4 * f64::to_radians(degrees).tan();
        near(low(&short[0].layers[0]) - low(&short[0].layers[1]), step, 1e-9, "lean");
        // Woven: layer 2 of the one that runs first stops at the neighbour's layers 1 and 2, layer 3 at the same.
        let woven = all(&walls, &[joint(JointKind::Woven { a_first: true })]);
        for (k, inches) in [(0, 0.0), (1, 2.0), (2, 2.0), (3, 4.0)] {
            let want = 25.4 * inches / f64::to_radians(degrees).cos() - step * k as f64;
            near(low(&woven[0].layers[k]), want, 1e-9, "woven");
        }
        let mitred = all(&walls, &[joint(JointKind::Mitred)]);
        // Bevel (α − 180°)/2.
        for m in mitred[0].layers[2].bevels.iter().filter(|m| m.edge == 1) {
            near(m.angle.to_degrees(), 0.5 * (degrees - 90.0), 1e-9, "mitre");
        }
    }
}

#[test]
fn an_unjoined_wall_gives_what_it_gave() {
    let shape = wall(
        polygon(&[(0., 0.), (700., 40.), (650., 500.), (0., 450.)], &[8., -3., 12., 0.]),
        30.0,
        &[25., 30.],
    );
    let walls = [BoxWall::new("side", shape.clone(), Stand::Side)];
    assert_eq!(all(&walls, &[])[0], layers(&shape).expect("layers"));
}

#[test]
fn closed_boxes_of_every_joint_hold_all_their_foam_once() {
    // L·W·D less the room left: closed form of a box.
    for kind in KINDS {
        let typed = PlainBox { top: true, kind, thicknesses: vec![20.0, 30.0, 25.0], ..PlainBox::default() };
        let (walls, joints) = plain_box(&typed).expect("a box");
        assert_eq!(joints.len(), 12);
        let sets = all(&walls, &joints);
        let foam: f64 = sets.iter().flat_map(|s| &s.layers).map(|l| l.volume).sum();
        let t = 75.0;
        let want = 900.0 * 500.0 * 550.0 - (900.0 - 2.0 * t) * (500.0 - 2.0 * t) * (550.0 - 2.0 * t);
        let missed: f64 = want - foam;
        near(missed, 0.0, 1e-5 * want, "foam");
    }
}

#[test]
fn a_typed_box_stands_where_it_was_typed() {
    for lean in [0.0, 25.0, -10.0] {
        let typed = PlainBox { top: true, lean: f64::to_radians(lean), ..PlainBox::default() };
        let (walls, joints) = plain_box(&typed).expect("a box");
        let folded = fold(&walls, &joints).expect("folded");
        assert!(folded.misfits.is_empty(), "{:?}", folded.misfits);
        assert!(folded.apart.iter().all(|a| *a < 1e-6), "{:?}", folded.apart);
        assert!(folded.groups.len() == 1 && folded.groups[0].chi2 < 1e-9, "{:?}", folded.groups);
        // The floor lies level, the leaning side leans.
        near(folded.poses[0].inward().z, 1.0, 1e-9, "floor");
        near(folded.poses[1].inward().z, f64::to_radians(lean).sin(), 1e-9, "lean");
        near(folded.poses[1].inward().y, -f64::to_radians(lean).cos(), 1e-9, "port");
        near(folded.poses[4].inward().x, -1.0, 1e-9, "forward end");
    }
}

#[test]
fn a_v_floor_folds_at_its_keel() {
    // Two floor halves that rise 5° each way: interior angle 170° at the keel.
    let (walls, joints) = keeled(300.0 * f64::to_radians(5.0).tan(), 400.0);
    let folded = fold(&walls, &joints).expect("folded");
    assert!(folded.misfits.is_empty() && folded.apart.iter().all(|a| *a < 1e-6), "{folded:?}");
    let keel = all(&walls, &joints);
    // Check value: the mitre of 170° is −5°.
    let mark = keel[0].layers[0].bevels.iter().find(|m| m.edge == 1).expect("keel edge");
    near(mark.angle.to_degrees(), -5.0, 1e-9, "mitre at the keel");
}

#[test]
fn a_space_larger_than_its_layer_is_refused_wherever_foam_is_reckoned() {
    let (mut walls, joints) = plain_box(&PlainBox::default()).expect("a box");
    // With gaps the foam is reckoned a second time, without them.
    let gaps = walls[1].shape.outline.sides().iter().map(|s| Edge { gap: 3.0, ..s.edge.clone() }).collect();
    walls[1].shape.outline = Outline::new(gaps, vec![]).expect("an outline").0;
    let sets = all(&walls, &joints);
    let fill = |walls: &[BoxWall]| filler(walls, &joints, sets.iter().map(Some), &[]);
    assert!(fill(&walls).expect("a filler").walls[1].gaps > 0.0);
    walls[1].spaces = vec![0.0, 30.0, 0.0, 0.0];
    let why = joined_layers(&walls, &joints).expect("joints")[1].clone().expect_err("no space").to_string();
    assert!(why.contains("before layer 2 is 30 mm"), "{why}");
    let why = fill(&walls).expect_err("no space").to_string();
    assert!(why.contains("before layer 2 is 30 mm"), "{why}");
}
