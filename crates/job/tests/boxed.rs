//! Walls joined to a box, from the document to pieces.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::Length;
use coldwright_job::{
    CutStyle, Edit, Job, JointKind, LayerStock, Place, Plan, Severity, Stands, Step, TypedBox, WallEdit,
    apply, from_bytes, plan, to_bytes,
};

fn typed(kind: JointKind, lean_deg: f64, top: bool) -> Job {
    apply(&Job::default(), &Edit::AddBox(TypedBox { kind, lean_deg, top, ..TypedBox::default() })).unwrap()
}

fn foam(plan: &Plan) -> f64 {
    plan.walls.iter().flat_map(|w| &w.layers.as_deref().unwrap().layers).map(|l| l.volume).sum()
}

const KINDS: [JointKind; 5] = [
    JointKind::RunsPast,
    JointKind::StopsShort,
    JointKind::Woven { first_runs: true },
    JointKind::Woven { first_runs: false },
    JointKind::Mitred,
];

#[test]
fn a_typed_box_fills_its_walls_and_leaves_its_inside() {
    // Closed form: cavity less the cuboid within four layers of an inch on every side.
    let (l, w, d, t) = (900.0, 500.0, 550.0, 4.0 * 25.4);
    let whole = l * w * d - (l - 2.0 * t) * (w - 2.0 * t) * (d - 2.0 * t);
    for kind in KINDS {
        let p = plan(&typed(kind, 0.0, true));
        assert!(
            p.problems().all(|x| x.severity != Severity::Stop),
            "{kind:?}: {:?}",
            p.problems().collect::<Vec<_>>()
        );
        assert!((foam(&p) / whole - 1.0).abs() < 1e-5, "{kind:?}: {} of {whole}", foam(&p));
        assert_eq!(p.pieces.len(), 6 * 4);
        let boxed = p.boxed.unwrap();
        assert!(boxed.folded.as_ref().unwrap().misfits.is_empty());
        assert!((boxed.inside[0].room / (l * w * d - whole) - 1.0).abs() < 1e-9);
    }
}

#[test]
fn a_leaning_hull_side_takes_more_off_the_floor() {
    // 4 in of the neighbour's foam at 20°: 101.6 / cos 20° − 101.6 = 6.5 mm more than square.
    let layer = |lean| {
        let job = typed(JointKind::StopsShort, lean, false);
        let floor = job.walls.iter().find(|w| w.stands == Stands::Floor).unwrap().id;
        let p = plan(&job);
        let set = p.wall(floor).unwrap().layers.clone().unwrap();
        set.layers[0].outer.rings[0].bounds()
    };
    let (square, leaning) = (layer(0.0), layer(20.0));
    let narrower = (square.width() - leaning.width()).abs().max((square.height() - leaning.height()).abs());
    assert!((narrower - 6.5).abs() < 0.1, "{narrower}");
}

#[test]
fn an_edge_measured_wrong_names_its_joint() {
    let job = typed(JointKind::default(), 10.0, true);
    assert!(plan(&job).shared.iter().all(|p| p.step != Step::Box));
    let hull = job.walls.iter().find(|w| w.name == "Hull side").unwrap();
    // The bottom edge 20 mm too long, typed to within 1 mm.
    let edge = hull.template.edge(hull.template.base.unwrap()).unwrap();
    let (tick, place) = {
        let t = hull.template.tick(edge.ticks[1]).unwrap();
        (t.id, t.place.clone())
    };
    let Place::Typed { at, sd } = place else { unreachable!() };
    let moved = Place::Typed { at: (at.x + 20.0, at.y).into(), sd };
    let wrong = apply(&job, &Edit::Wall(hull.id, WallEdit::MoveTick(tick, moved))).unwrap();
    let told: Vec<String> =
        plan(&wrong).shared.iter().filter(|p| p.step == Step::Box).map(|p| p.sentence.clone()).collect();
    assert!(told.iter().any(|s| s.contains("Hull side") && s.contains("longer")), "{told:?}");
}

#[test]
fn a_v_floor_needs_its_angle_and_then_folds() {
    let job = typed(JointKind::Mitred, 0.0, false);
    let bad = apply(&job, &Edit::JointAngle(job.joints[0].id, Some(172.0))).unwrap();
    let p = plan(&bad);
    assert!(p.boxed.is_some(), "an angle that cannot close is no crash");
    let woven = typed(JointKind::default(), 0.0, false);
    let straight = apply(&woven, &Edit::JointAngle(woven.joints[0].id, Some(178.0))).unwrap();
    let p = plan(&straight);
    let stop = p.shared.iter().find(|x| x.step == Step::Box && x.severity == Severity::Stop).unwrap();
    assert!(stop.sentence.starts_with("The joint of ") && stop.sentence.contains("mitred"), "{stop}");
}

#[test]
fn three_layers_against_four_and_the_file() {
    let job = typed(JointKind::default(), 15.0, false);
    let end = job.walls[3].id;
    let three = vec![LayerStock { thickness: Length::from_mm(30.0).unwrap(), ..LayerStock::default() }; 3];
    let job = apply(&job, &Edit::Wall(end, WallEdit::Layers(three))).unwrap();
    let job = apply(&job, &Edit::Wall(end, WallEdit::Cut(CutStyle::SquareFits))).unwrap();
    let p = plan(&job);
    assert_eq!(p.pieces.len(), 4 * 4 + 3);
    assert!(p.problems().all(|x| x.severity != Severity::Stop));
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
}

#[test]
fn a_box_that_cannot_be_is_refused_and_two_boxes_have_their_own_names() {
    let flat = TypedBox { depth: Length::from_mm(0.0).unwrap(), ..TypedBox::default() };
    assert!(apply(&Job::default(), &Edit::AddBox(flat)).unwrap_err().to_string().contains("depth"));
    let two = apply(&typed(JointKind::default(), 0.0, false), &Edit::AddBox(TypedBox::default())).unwrap();
    assert_eq!(two.walls.len(), 10);
    assert!(plan(&two).boxed.unwrap().folded.as_ref().unwrap().groups.len() == 2);
}
