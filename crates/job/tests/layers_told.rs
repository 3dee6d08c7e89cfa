//! What is said of layers that do not come out as a person would think: strips past a straightedge, flat foam over a hollow, a
//! lid's holes and corners, the liner in the room.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::{SawLimit, Severity};
use coldwright_job::{
    Cutting, Edit, FirstLayers, Hole, HollowBehind, HollowShape, Job, JointKind, Lining, Plan, Stands, Step,
    SteppedLid, TypedBox, WallEdit, WallId, apply, plan, saw_limits,
};
use common::walls::{join, mm, walls};

fn with(job: &Job, wall: WallId, edit: WallEdit) -> Job {
    apply(job, &Edit::Wall(wall, edit)).unwrap()
}

/// A sheet 800 × 500 with three layers over a round hollow of 900 mm, its first ones made into something.
fn over(length: f64, from: f64, first: FirstLayers) -> Job {
    let job = walls(&[(800.0, 500.0)], 3);
    let shape = HollowShape::Radius { radius: mm(900.0), length: mm(length) };
    let behind =
        HollowBehind { shape, first, from: mm(from), ..HollowBehind::measured(mm(length), mm(10.0)) };
    let id = job.walls[0].id;
    with(&job, id, WallEdit::Hollow(Some(behind)))
}

fn strips(layers: u32) -> FirstLayers {
    FirstLayers::Strips { layers, gap: mm(2.0), widest: mm(300.0), square_up_to: mm(0.2) }
}

fn said(plan: &Plan, words: &str) -> Vec<String> {
    plan.problems().filter(|p| p.sentence.contains(words)).map(|p| p.sentence.clone()).collect()
}

#[test]
fn foam_past_the_straightedge_is_told_with_the_strip_it_makes() {
    assert!(said(&plan(&over(800.0, 0.0, strips(1))), "straightedge").is_empty());
    // 400 mm of straightedge in the middle: 200 mm at each end are not measured.
    let p = plan(&over(400.0, 200.0, strips(1)));
    let told = said(&p, "past both ends of the straightedge");
    assert_eq!(told.len(), 1, "{told:?}");
    let widest = p.pieces.iter().filter(|q| q.id.layer == 1).map(|q| q.layer.outer.rings[0].bounds().width());
    let widest = widest.fold(0.0, f64::max);
    assert!(widest > 200.0 && told[0].contains(&format!("{widest:.1} mm wide")), "{widest}: {told:?}");
    // The straightedge lies beside the wall.
    let p = plan(&over(400.0, 900.0, strips(1)));
    assert_eq!(said(&p, "does not lie on layer 1, which comes out in one piece").len(), 1);
    let kerfs = FirstLayers::Kerfs { layers: 1, web: mm(5.0), kerf: mm(3.0), spacing: mm(60.0) };
    assert_eq!(said(&plan(&over(400.0, 0.0, kerfs)), "past one end of the straightedge").len(), 1);
}

#[test]
fn strips_come_to_the_saw_one_by_one() {
    let throat = |job: &Job, t: f64| {
        let cutting = Cutting { throat: Some(mm(t)), ..job.cutting };
        apply(job, &Edit::SetCutting(cutting)).unwrap()
    };
    let of = |job: &Job, p: &Plan, n: usize| -> bool {
        let layer = &p.walls[0].layers.as_ref().unwrap().layers[n - 1];
        saw_limits(job, &p.walls[0], layer).iter().any(|l| matches!(l, SawLimit::Throat { .. }))
    };
    // Strips are at most 120 mm wide here; whole layers are 500 × 800.
    let job = throat(&over(800.0, 0.0, strips(1)), 300.0);
    let p = plan(&job);
    assert!(!of(&job, &p, 1) && of(&job, &p, 2) && said(&p, "throat").is_empty());
    let job = throat(&over(400.0, 0.0, strips(1)), 300.0);
    let p = plan(&job);
    assert!(of(&job, &p, 1));
    let told = said(&p, "more than the saw's throat of 300.0 mm");
    assert!(told.len() == 1 && told[0].contains("strip 4 of layer 1"), "{told:?}");
}

#[test]
fn flat_layers_after_bent_ones_are_told_with_what_stands_open() {
    // A segment of the circle, R²/2 (θ − sin θ), 500 mm high (school geometry): 25.3 litres.
    let theta = 2.0 * (400.0_f64 / 900.0).asin();
    let open = 0.5 * 900.0 * 900.0 * (theta - theta.sin()) * 500.0 / 1e6;
    let told =
        said(&plan(&over(800.0, 0.0, strips(1))), "layer 1 follows the hollow, but layers 2 to 3 are flat");
    assert!(told.len() == 1 && told[0].contains(&format!("{open:.1} litres")), "{open} {told:?}");
    assert_eq!(
        said(&plan(&over(800.0, 0.0, strips(2))), "layers 1 to 2 follow the hollow, but layer 3").len(),
        1
    );
    assert!(said(&plan(&over(800.0, 0.0, strips(3))), "follow the hollow").is_empty());
    // The foam that the first flat layer bridges stands open by what a circle within the first says too: within 2 %.
    let (r, t) = (900.0 - 25.4, 25.4);
    let half = 0.5 * theta;
    let inner = 0.5 * r * r * (theta - theta.sin()) + 2.0 * r * half.sin() * t * (1.0 - half.cos());
    assert!((inner * 500.0 / 1e6 / open - 1.0).abs() < 0.02, "{inner}");
}

#[test]
fn a_lid_in_steps_has_its_holes_in_every_layer() {
    let job = walls(&[(800.0, 500.0)], 3);
    let id = job.walls[0].id;
    let lid = SteppedLid { ledges: vec![mm(0.0), mm(20.0), mm(15.0)], draft_deg: 3.0, clearance: mm(4.0) };
    let job = with(&job, id, WallEdit::Stands(Stands::Lid));
    let job = with(&job, id, WallEdit::Lid(Some(lid)));
    let bare = plan(&job).walls[0].layers.clone().unwrap();
    // A tube of 60 mm that leans 10° to the right: an upright hole in every plane, moved by depth × tan 10°.
    let mut hole = Hole::round("Hose", (mm(400.0), mm(250.0)), mm(60.0));
    hole.lean_deg = (10.0, 0.0);
    let job = with(&job, id, WallEdit::Holes(vec![hole]));
    let p = plan(&job);
    assert!(p.problems().all(|x| x.severity != Severity::Stop), "{:?}", p.problems().collect::<Vec<_>>());
    let set = p.walls[0].layers.clone().unwrap();
    let tan = 10_f64.to_radians().tan();
    // The tube cut obliquely is an ellipse, 1/cos 10° longer.
    let oval = std::f64::consts::PI * 900.0 / 10_f64.to_radians().cos();
    for (l, plain) in set.layers.iter().zip(&bare.layers) {
        for (z, ring) in [(l.from, &l.outer.rings[0]), (l.to, &l.inner.rings[0])] {
            let [hole] = ring.holes.as_slice() else { panic!("layer {} has no hole at {z}", l.number) };
            let middle = coldwright_geometry::bounds(hole).center();
            assert!(
                (middle.x - 400.0 - z * tan).abs() < 0.01 && (middle.y - 250.0).abs() < 0.01,
                "{middle:?}"
            );
        }
        let lost = plain.volume - l.volume;
        assert!((lost / (oval * (l.to - l.from)) - 1.0).abs() < 1e-3, "{lost}");
        assert!((plain.area_outer - l.area_outer - oval).abs() < 0.001 * oval);
        // A straight cut clears the tube at every depth.
        let swept = plain.fits[0].area() - l.fits[0].area();
        assert!((swept - oval - 60.0 * (l.to - l.from) * tan).abs() < 1.0, "{swept}");
    }
}

#[test]
fn a_lid_in_steps_left_out_of_its_corners_is_told() {
    let job = join(&walls(&[(800.0, 500.0), (800.0, 500.0)], 2), (0, 1), (1, 3), JointKind::RunsPast);
    let lid = job.walls[1].id;
    let job = with(&job, lid, WallEdit::Stands(Stands::Lid));
    assert!(said(&plan(&job), "left out").is_empty());
    let job = with(&job, lid, WallEdit::Lid(Some(SteppedLid { draft_deg: 2.0, ..SteppedLid::default() })));
    let p = plan(&job);
    let told = said(&p, "Wall 1 is a lid in steps");
    assert!(told.len() == 1 && told[0].contains("joined to Wall 0"), "{told:?}");
    assert!(p.problems().any(|x| x.step == Step::Box && x.wall == Some(lid)));
}

#[test]
fn the_room_is_told_after_the_liner() {
    // Closed form: a cuboid less four inches of foam, then bond and sheet, on every side.
    let job = apply(&Job::default(), &Edit::AddBox(TypedBox { top: true, ..TypedBox::default() })).unwrap();
    let cuboid = |t: f64| (900.0 - 2.0 * t) * (500.0 - 2.0 * t) * (550.0 - 2.0 * t);
    let boxed = plan(&job).boxed.unwrap();
    assert!(boxed.after_liner.is_empty());
    assert!((boxed.rooms()[0].room / cuboid(101.6) - 1.0).abs() < 1e-9);
    let mut lined = job.clone();
    for id in job.walls.iter().map(|w| w.id) {
        let lining = Lining { sheet: mm(3.0), bond: mm(0.5), ..Lining::default() };
        lined = with(&lined, id, WallEdit::Liner(Some(lining)));
    }
    let boxed = plan(&lined).boxed.unwrap();
    assert!((boxed.inside[0].room / cuboid(101.6) - 1.0).abs() < 1e-9);
    assert!((boxed.rooms()[0].room / cuboid(105.1) - 1.0).abs() < 1e-9, "{}", boxed.rooms()[0].room);
    assert!(boxed.stow[0].clear[0].along < 900.0 - 2.0 * 105.1 + 1e-6);
}
