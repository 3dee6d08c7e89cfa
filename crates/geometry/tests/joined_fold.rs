//! Walls folded to a box: true ones close, measured ones raise no alarm, a mistake is named where it is.
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
use coldwright_geometry::{BoxWall, Folded, Joint, JointKind, MisfitKind, Show, Xyz, fold};
use common::Dice;

/// Standard uncertainty of a corner in each direction, mm, and of a bevel, radians: a photographed template, a bevel gauge.
const CORNER: f64 = 0.5;
const GAUGE: f64 = std::f64::consts::PI / 180.0;

fn closed(walls: &[BoxWall], joints: &[Joint], what: &str) -> Folded {
    let folded = fold(walls, joints).expect("folded");
    assert!(folded.misfits.is_empty(), "{what}: {:?}", folded.misfits);
    assert!(folded.apart.iter().all(|a| *a < 1e-6), "{what}: {:?}", folded.apart);
    folded
}

/// Every corner of every wall against the corners it was made of, whatever frame the box has come to stand in: all distances
/// between them.
fn stands_as_made(walls: &[BoxWall], folded: &Folded, corners: &[Xyz], at: &[[usize; 4]]) {
    let mut all: Vec<(Xyz, Xyz)> = Vec::new();
    for ((wall, pose), at) in walls.iter().zip(&folded.poses).zip(at) {
        for (side, i) in wall.shape.outline.sides().iter().zip(at) {
            all.push((pose.place(side.edge.ticks[0].at, 0.0), corners[*i]));
        }
    }
    for (p, q) in &all {
        for (r, s) in &all {
            let off = (*p - *r).length() - (*q - *s).length();
            assert!(off.abs() < 1e-6, "a distance is off by {off} mm");
        }
    }
}

const AT: [[usize; 4]; 6] =
    [[0, 1, 2, 3], [3, 2, 6, 7], [1, 0, 4, 5], [0, 3, 7, 4], [2, 1, 5, 6], [7, 6, 5, 4]];

#[test]
fn true_boxes_close_exactly() {
    let mut dice = Dice(0x5eed_0001);
    let mut all = vec![rectangular(900., 500., 550.), frustum()];
    all.extend((0..40).map(|_| skewed(&mut dice, 25.0)));
    for (i, corners) in all.iter().enumerate() {
        for kind in KINDS {
            for top in [false, true] {
                let (walls, joints) = six(corners, top, |_| vec![25.4; 4], CORNER, |_, _| kind);
                assert_eq!(joints.len(), if top { 12 } else { 8 });
                let folded = closed(&walls, &joints, &format!("box {i}, {kind:?}, top {top}"));
                stands_as_made(&walls, &folded, corners, &AT);
            }
        }
    }
}

/// A box as measured: every corner and every bevel with its own noise, every template at its own depth.
fn measured(dice: &mut Dice, lean: f64, deepest: f64) -> (Vec<BoxWall>, Vec<Joint>) {
    let corners = skewed(dice, lean);
    let kind = KINDS[(dice.unit() * 5.0) as usize];
    let (walls, joints) = six(&corners, dice.unit() < 0.5, |_| vec![25.4; 4], CORNER, |_, _| kind);
    let walls = walls
        .iter()
        .map(|w| {
            let depth = if dice.unit() < 0.5 { 0.0 } else { dice.between(0.0, deepest) };
            let offs: Vec<(f64, f64)> =
                (0..4).map(|_| (CORNER * dice.normal(), CORNER * dice.normal())).collect();
            let turns: Vec<f64> = (0..4).map(|_| GAUGE * dice.normal()).collect();
            remade(w, depth, CORNER, |i| offs[i], |i| turns[i])
        })
        .collect();
    (walls, joints)
}

#[test]
fn five_hundred_measured_boxes_raise_no_alarm() {
    let mut dice = Dice(0x5eed_0002);
    let (mut chi2, mut freedom) = (0.0, 0);
    for i in 0..500 {
        let (walls, joints) = measured(&mut dice, 20.0, 60.0);
        let folded = fold(&walls, &joints).expect("folded");
        assert!(folded.misfits.is_empty(), "box {i}: {:?}", folded.misfits);
        chi2 += folded.groups[0].chi2;
        freedom += folded.groups[0].freedom;
    }
    // The stated uncertainties are about the true ones: not so wide that no mistake would show.
    let ratio = chi2 / freedom as f64;
    println!("chi² over degrees of freedom: {ratio:.3}");
    assert!((0.5..1.15).contains(&ratio), "{ratio}");
}

/// The corner where the side `edge` of `wall` ends, slid along that side by `by` mm.
fn slid(wall: &BoxWall, side: usize, by: f64) -> BoxWall {
    let sides = wall.shape.outline.sides();
    let ticks = &sides[side].edge.ticks;
    let way = (ticks[1].at - ticks[0].at).normalize() * by;
    let n = sides.len();
    let depth = wall.shape.template_z();
    let mut flat = wall.clone();
    flat.shape.template_depth = coldwright_geometry::TemplateDepth::FromOuter(0.0);
    // `remade` moves sides from depth 0: the template is at its depth already, so put it back after.
    let mut out = remade(
        &flat,
        0.0,
        CORNER,
        |i| if i == (side + 1) % n { (way.x, way.y) } else { (0.0, 0.0) },
        |_| 0.0,
    );
    out.shape.template_depth = coldwright_geometry::TemplateDepth::FromOuter(depth);
    out
}

#[test]
fn six_millimetres_in_one_template_are_named_at_their_joint() {
    for corners in [rectangular(900., 500., 550.), frustum()] {
        let kind = JointKind::Woven { a_first: true };
        let (walls, joints) = six(&corners, true, |_| vec![25.4; 4], CORNER, |_, _| kind);
        for wall in 0..6 {
            for side in 0..4 {
                let mut wrong = walls.clone();
                wrong[wall] = slid(&walls[wall], side, 6.0);
                let folded = fold(&wrong, &joints).expect("folded");
                let edge = walls[wall].shape.outline.sides()[side].edge.id;
                let worst = folded.misfits.first().expect("a misfit");
                let joint = &joints[worst.joint];
                assert!(
                    [joint.a, joint.b].iter().any(|e| e.wall == wall && e.edge == edge),
                    "wall {wall} side {side}: {:?}",
                    folded.misfits
                );
                let MisfitKind::Length { longer, by, .. } = worst.kind else { panic!("{worst:?}") };
                assert!(longer.wall == wall && longer.edge == edge && (by - 6.0).abs() < 1e-6, "{worst:?}");
            }
        }
        let mut wrong = walls.clone();
        wrong[1] = slid(&walls[1], 0, 6.0);
        let folded = fold(&wrong, &joints).expect("folded");
        let words = folded.misfits[0].words(&wrong, &joints, Show::Mm { decimals: 1 });
        assert_eq!(words, "the hull side's lower edge is 6.0 mm longer than the floor's");
    }
}

#[test]
fn six_millimetres_are_named_among_measuring_noise() {
    let mut dice = Dice(0x5eed_0003);
    let (mut named, mut elsewhere, mut silent) = (0, 0, 0);
    for _ in 0..500 {
        let (mut walls, joints) = measured(&mut dice, 20.0, 0.0);
        let at = joints[(dice.unit() * joints.len() as f64) as usize];
        let side = walls[at.a.wall].shape.outline.sides().iter().position(|s| s.edge.id == at.a.edge);
        walls[at.a.wall] = slid(&walls[at.a.wall], side.expect("a side"), 6.0);
        let folded = fold(&walls, &joints).expect("folded");
        match folded.misfits.first() {
            None => silent += 1,
            // The joint, or one at the corner that was moved.
            Some(m) if joints[m.joint] == at => named += 1,
            Some(_) => elsewhere += 1,
        }
    }
    println!("named {named}, elsewhere {elsewhere}, silent {silent}");
    assert!(named >= 440 && elsewhere <= 25, "named {named}, elsewhere {elsewhere}, silent {silent}");
}
