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

fn box_words(plan: &Plan) -> Vec<String> {
    plan.shared.iter().filter(|p| p.step == Step::Box).map(|p| p.sentence.clone()).collect()
}

/// The hull side's neighbours bow along it by so much: a tick in the middle of each straight edge there, off the line.
fn bowed(mut job: Job, by: f64) -> Job {
    let hull = job.walls.iter().find(|w| w.name == "Hull side").unwrap().id;
    for joint in job.joints.clone() {
        let Some(at) =
            [(joint.a, joint.b), (joint.b, joint.a)].iter().find(|j| j.1.wall == hull).map(|j| j.0)
        else {
            continue;
        };
        let wall = job.wall(at.wall).unwrap();
        if wall.stands == Stands::Upright {
            continue;
        }
        let edge = wall.template.edge(at.edge).unwrap();
        let ends: Vec<kurbo::Point> = [edge.ticks[0], edge.ticks[1]]
            .iter()
            .map(|id| match &wall.template.tick(*id).unwrap().place {
                Place::Typed { at, .. } => *at,
                _ => unreachable!(),
            })
            .collect();
        let way = (ends[1] - ends[0]).normalize();
        let middle = ends[0].midpoint(ends[1]) + kurbo::Vec2::new(way.y, -way.x) * by;
        let place = Place::Typed { at: middle, sd: 1.0 };
        let add = WallEdit::AddTick { edge: Some(at.edge), before: Some(1), place };
        job = apply(&job, &Edit::Wall(at.wall, add)).unwrap();
        let fair = WallEdit::EdgeKind(at.edge, coldwright_geometry::EdgeKind::Fair);
        job = apply(&job, &Edit::Wall(at.wall, fair)).unwrap();
    }
    job
}

#[test]
fn a_hull_that_its_neighbours_show_bent_is_taken_so_and_told() {
    let flat = plan(&typed(JointKind::default(), 0.0, true));
    let p = plan(&bowed(typed(JointKind::default(), 0.0, true), 40.0));
    let boxed = p.boxed.clone().unwrap();
    assert_eq!(boxed.bent.len(), 1);
    assert!((boxed.bent[0].by - 40.0).abs() < 0.5);
    let told = box_words(&p);
    assert!(told.iter().any(|s| s.starts_with("Hull side is taken as bent") && s.contains("40")), "{told:?}");
    // Archimedes: a parabola's segment of 900 by 40 is two thirds of the rectangle; a fair curve through three ticks is one.
    let more = 2.0 / 3.0 * 900.0 * 40.0 * 550.0;
    let grown = boxed.inside[0].cavity - flat.boxed.unwrap().inside[0].cavity;
    assert!((grown / more - 1.0).abs() < 0.01, "{grown} for {more}");
}

#[test]
fn a_room_that_cannot_be_told_says_why() {
    // Two neighbours bent: what is bent between bent walls is held by too little.
    let job = bowed(typed(JointKind::default(), 0.0, true), 40.0);
    let hull = job.walls.iter().find(|w| w.name == "Hull side").unwrap().id;
    let ends: Vec<_> = job
        .joints
        .iter()
        .filter(|j| [j.a.wall, j.b.wall].contains(&hull))
        .map(|j| (j.id, if j.a.wall == hull { j.b.wall } else { j.a.wall }))
        .filter(|(_, w)| job.wall(*w).unwrap().stands != Stands::Floor)
        .map(|(id, _)| id)
        .collect();
    let mut alone = job;
    for joint in ends {
        alone = apply(&alone, &Edit::Unjoin(joint)).unwrap();
    }
    let p = plan(&alone);
    let boxed = p.boxed.clone().unwrap();
    let why = boxed.untold(&alone).unwrap();
    assert!(why.starts_with("The room inside cannot be told: Hull side is bent"), "{why}");
    assert!(boxed.inside.is_empty() && box_words(&p).contains(&why));
}

#[test]
fn corners_that_nobody_owns_and_straight_seams_are_told() {
    let woven = plan(&typed(JointKind::default(), 0.0, true));
    assert_eq!(box_words(&woven), Vec::<String>::new());
    let job = typed(JointKind::RunsPast, 0.0, false);
    let told = box_words(&plan(&job));
    assert!(told.iter().any(|s| s.contains("and at 7 more corners, one seam runs straight")), "{told:?}");
    assert!(!told.iter().any(|s| s.contains("hollow")), "{told:?}");
    // The ends past the floor, the floor past the sides, the sides past the ends.
    let floor = job.walls.iter().find(|w| w.stands == Stands::Floor).unwrap().id;
    let ends: Vec<_> = job.walls.iter().filter(|w| w.name.ends_with("end")).map(|w| w.id).collect();
    let mut ring = job.clone();
    for joint in job.joints.iter().filter(|j| j.a.wall == floor && ends.contains(&j.b.wall)) {
        ring = apply(&ring, &Edit::JointKind(joint.id, JointKind::StopsShort)).unwrap();
    }
    let told = box_words(&plan(&ring));
    // A cube of 4 in: 1.05 litres.
    assert_eq!(
        told.iter().filter(|s| s.contains("leave a hollow") && s.contains("1.0 litres")).count(),
        4,
        "{told:?}"
    );
}

#[test]
fn walls_of_unequal_foam_at_a_mitre_leave_a_told_hollow() {
    let job = typed(JointKind::Mitred, 0.0, true);
    let mut thin = job.clone();
    for wall in job.walls.iter().filter(|w| w.name.ends_with("end")) {
        thin = apply(&thin, &Edit::Wall(wall.id, WallEdit::Layers(wall.layers[..2].to_vec()))).unwrap();
    }
    let told = box_words(&plan(&thin));
    assert!(told.iter().any(|s| s.contains("neither foam, gap nor room")), "{told:?}");
    assert!(!box_words(&plan(&job)).iter().any(|s| s.contains("neither")));
}

#[test]
fn gaps_and_wedges_are_told_wall_by_wall_and_in_cans() {
    let mut job = typed(JointKind::RunsPast, 0.0, true);
    let floor = job.walls.iter().find(|w| w.stands == Stands::Floor).unwrap().clone();
    for edge in &floor.template.edges {
        let gap = WallEdit::Gap(edge.id, Length::from_mm(6.0).unwrap());
        job = apply(&job, &Edit::Wall(floor.id, gap)).unwrap();
    }
    let p = plan(&job);
    // The floor runs past all: a rim of 6 mm of 900 × 500, four inches high.
    let want = (900.0 * 500.0 - 888.0 * 488.0) * 101.6;
    let got = p.wall(floor.id).unwrap().filler;
    assert!(
        (got.gaps / want - 1.0).abs() < 1e-6 && got.wedges < 1e-9 && got.hollow < 1e-9,
        "{got:?} for {want}"
    );
    let all = coldwright_job::filling(&job, &p);
    assert_eq!((all.cans, all.lifts), (1, 4));
    assert!((all.volume.total() - got.total()).abs() < 1e-6);
    // A wall alone cut square: its wedge is the layers' own.
    let mut alone =
        apply(&Job::default(), &Edit::AddBox(TypedBox { lean_deg: 20.0, ..TypedBox::default() })).unwrap();
    for joint in alone.joints.clone() {
        alone = apply(&alone, &Edit::Unjoin(joint.id)).unwrap();
    }
    let floor = alone.walls.iter().find(|w| w.stands == Stands::Floor).unwrap().id;
    let bevelled = plan(&alone).wall(floor).unwrap().filler;
    assert!(bevelled.wedges < 1e-9);
    let square = apply(&alone, &Edit::Wall(floor, WallEdit::Cut(CutStyle::SquareFits))).unwrap();
    let p = plan(&square);
    let wedge: f64 = p.wall(floor).unwrap().layers.as_deref().unwrap().layers.iter().map(|l| l.wedge).sum();
    assert!(wedge > 1.0 && (p.wall(floor).unwrap().filler.wedges / wedge - 1.0).abs() < 1e-12);
}

#[test]
fn a_freezer_behind_the_fridges_end_has_walls_joints_foam_and_an_opening_of_its_own() {
    use coldwright_job::{Opening, OpeningShape, compartment_behind};
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let fridge = typed(JointKind::default(), 0.0, true);
    let front = fridge.walls.iter().find(|w| w.name == "Forward end").unwrap().id;
    let alone = plan(&fridge).boxed.unwrap().inside[0].room;
    let begin = compartment_behind(&fridge, &plan(&fridge), front, "Freezer").unwrap();
    let job = apply(&fridge, &begin).unwrap();
    let back = job.compartments[0].back;
    // The same outline seen from the other side.
    let p = plan(&job);
    let area = |w| p.wall(w).unwrap().outline.as_deref().unwrap().area();
    assert!((area(front) / area(back) - 1.0).abs() < 1e-9);
    assert_eq!(p.wall(front).unwrap().layers.as_deref().unwrap().layers.len(), 4);
    // A floor of 400 by 500 joined to it: two walls of the freezer.
    let job = apply(&job, &Edit::AddWall { name: "Freezer floor".into() }).unwrap();
    let floor = job.walls.last().unwrap().id;
    let at = |i: usize| [(0.0, 0.0), (500.0, 0.0), (500.0, 400.0), (0.0, 400.0)][i % 4];
    let mut job = apply(&job, &Edit::Wall(floor, WallEdit::Stands(Stands::Floor))).unwrap();
    for k in 0..4 {
        let mut edge = None;
        for p in [at(k), at(k + 1)] {
            let place = Place::Typed { at: p.into(), sd: 1.0 };
            let add = WallEdit::AddTick { edge, before: None, place };
            job = apply(&job, &Edit::Wall(floor, add)).unwrap();
            edge = job.walls.last().unwrap().template.edges.last().map(|e| e.id);
        }
    }
    let edge = |job: &Job, wall, k: usize| coldwright_job::EdgeOf {
        wall,
        edge: job.wall(wall).unwrap().template.edges[k].id,
    };
    let base = job.wall(back).unwrap().template.base.unwrap();
    let a = coldwright_job::EdgeOf { wall: back, edge: base };
    let join = Edit::Join { a, b: edge(&job, floor, 0), kind: JointKind::default() };
    let job = apply(&job, &join).unwrap();
    let p = plan(&job);
    let boxed = p.boxed.clone().unwrap();
    // The fridge's room is what it was, and both stand in one frame.
    assert!((boxed.inside[0].room / alone - 1.0).abs() < 1e-9);
    assert_eq!(boxed.together.len(), 1);
    let pose = |w| boxed.folded.as_ref().unwrap().poses[boxed.walls.iter().position(|x| *x == w).unwrap()];
    assert!((pose(front).inward() + pose(back).inward()).length() < 1e-9, "back to back");
    // Its pieces pass its own opening, the others' the job's.
    let hole = |side: f64| Opening {
        shape: OpeningShape::Rectangle { width: mm(side), height: mm(side), corner: mm(0.0) },
        behind: None,
        place: None,
    };
    let job = apply(&job, &Edit::SetOpening(Some(hole(900.0)))).unwrap();
    let job = apply(&job, &Edit::CompartmentOpening(back, Some(hole(250.0)))).unwrap();
    let p = plan(&job);
    let parts = |w| p.pieces.iter().filter(|x| x.id.wall == w && x.id.layer == 1).count();
    assert_eq!(parts(front), 1);
    assert!(parts(floor) > 1 && parts(back) > 1, "{} {}", parts(floor), parts(back));
    assert_eq!(job.compartment_of(floor).unwrap().name, "Freezer");
    assert!(job.compartment_of(front).is_none());
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
    // A wall between two compartments is no divider again; without its wall the compartment is gone.
    let again = compartment_behind(&job, &p, front, "Second").and_then(|e| apply(&job, &e));
    assert!(again.unwrap_err().to_string().contains("between two compartments already"));
    let gone = apply(&job, &Edit::RemoveWall(back)).unwrap();
    assert!(gone.compartments.is_empty());
}
