//! Undo, redo, gestures, and what an edit may not do.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::{EdgeKind, Length};
use coldwright_job::{BevelAt, Edit, History, Job, JobError, LayerStock, Place, WallEdit, WallId, apply};
use kurbo::Point;
use proptest::prelude::*;

fn typed(x: f64, y: f64) -> Place {
    Place::Typed { at: Point::new(x, y), sd: 0.5 }
}

#[test]
fn the_steps_of_one_drag_are_one_undo() {
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let tick = job.walls[0].template.ticks[0].id;
    let mut history = History::new(job.clone());
    for i in 1..20 {
        let moved = Edit::Wall(wall, WallEdit::MoveTick(tick, typed(f64::from(i), 0.0)));
        assert!(history.edit(&moved, Some(1)).unwrap());
    }
    assert!(history.unsaved());
    assert!(history.undo());
    assert_eq!(**history.job(), job);
    assert!(!history.unsaved(), "back at what is on disk");
    assert!(!history.undo(), "the opening of the file is the end");
    assert!(history.redo());
    assert_eq!(history.job().walls[0].template.ticks[0].place, typed(19.0, 0.0));
}

#[test]
fn an_edit_that_changes_nothing_leaves_the_revision_alone() {
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let edge = job.walls[0].template.edges[0].id;
    let mut history = History::new(job);
    let before = history.revision();
    for edit in [
        Edit::NameJob("New job".to_owned()),
        Edit::Wall(wall, WallEdit::EdgeKind(edge, EdgeKind::Straight)),
        Edit::Wall(wall, WallEdit::Layers(vec![LayerStock::default(); 4])),
    ] {
        assert!(!history.edit(&edit, None).unwrap(), "{edit:?}");
    }
    assert_eq!(history.revision(), before);
    assert!(!history.can_undo());
}

#[test]
fn corners_are_made_and_joined_again() {
    let job = apply(&Job::default(), &Edit::AddWall { name: "Floor".to_owned() }).unwrap();
    let wall = job.walls[0].id;
    let mut history = History::new(job);
    let mut go = |e: WallEdit| {
        history.edit(&Edit::Wall(wall, e), None).map(|_| history.job().walls[0].template.clone())
    };
    let mut t = go(WallEdit::AddTick { edge: None, before: None, place: typed(0.0, 0.0) }).unwrap();
    let edge = t.edges[0].id;
    assert_eq!(t.base, Some(edge), "the first edge is the bottom until another is named");
    for x in [100.0, 200.0, 300.0] {
        t = go(WallEdit::AddTick { edge: Some(edge), before: None, place: typed(x, 0.0) }).unwrap();
    }
    let middle = t.edges[0].ticks[1];
    t = go(WallEdit::MakeCorner(middle)).unwrap();
    assert_eq!(t.edges.len(), 2);
    assert_eq!((t.edges[0].ticks.last(), t.edges[1].ticks.first()), (Some(&middle), Some(&middle)));
    t = go(WallEdit::JoinAt(middle)).unwrap();
    assert_eq!(t.edges.len(), 1);
    assert_eq!(t.edges[0].ticks.len(), 4, "no tick is lost or doubled");
    t = go(WallEdit::BreakAfter(middle)).unwrap();
    assert_eq!((t.edges[0].ticks.len(), t.edges[1].ticks.len()), (2, 2));
    assert!(matches!(go(WallEdit::JoinAt(middle)), Err(JobError::NotACorner(_))));
}

#[test]
fn a_corner_at_the_first_tick_closes_the_ring_and_twice_is_once() {
    let job = apply(&Job::default(), &Edit::AddWall { name: "Floor".to_owned() }).unwrap();
    let wall = job.walls[0].id;
    let edit = |job: &Job, e: WallEdit| apply(job, &Edit::Wall(wall, e)).unwrap();
    let mut job = job;
    for (x, y) in [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)] {
        let edge = job.walls[0].template.edges.last().map(|e| e.id);
        job = edit(&job, WallEdit::AddTick { edge, before: None, place: typed(x, y) });
    }
    let ids = job.walls[0].template.edges[0].ticks.clone();
    for id in [ids[1], ids[2], ids[3], ids[0]] {
        job = edit(&job, WallEdit::MakeCorner(id));
    }
    let rings: Vec<_> = job.walls[0].template.edges.iter().map(|e| e.ticks.clone()).collect();
    assert_eq!(rings, [[ids[0], ids[1]], [ids[1], ids[2]], [ids[2], ids[3]], [ids[3], ids[0]]]);
    for id in &ids {
        assert_eq!(edit(&job, WallEdit::MakeCorner(*id)).walls[0].template, job.walls[0].template);
    }
    let plan = coldwright_job::plan(&job);
    assert!((plan.walls[0].outline.as_ref().unwrap().area() - 120_000.0).abs() < 1e-6);
}

#[test]
fn what_cannot_be_is_refused_in_a_sentence() {
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let edge = job.walls[0].template.edges[0].id;
    let mm = |v: f64| Length::from_mm(v).unwrap();
    let refused = [
        (WallEdit::Layers(vec![]), "at least one layer"),
        (
            WallEdit::Layers(vec![LayerStock { thickness: mm(-25.4), ..LayerStock::default() }]),
            "-25.4 mm thick",
        ),
        (WallEdit::Bevel(edge, vec![BevelAt { at: 0.0, degrees: 80.0 }]), "80°"),
        (WallEdit::Bevel(edge, vec![BevelAt { at: 0.0, degrees: f64::NAN }]), "NaN°"),
        (WallEdit::Gap(edge, mm(-1.0)), "gap of -1 mm"),
        (WallEdit::Smoothing(edge, mm(3.0)), "at most 2 mm"),
        (WallEdit::Name("  ".to_owned()), "needs a name"),
        (WallEdit::AddTick { edge: None, before: None, place: typed(f64::INFINITY, 0.0) }, "finite"),
        (WallEdit::Printed(Some((mm(245.0), mm(180.0)))), "no photo yet"),
    ];
    for (edit, words) in refused {
        let error = apply(&job, &Edit::Wall(wall, edit)).unwrap_err().to_string();
        assert!(error.contains(words), "{error} says {words}");
    }
    let printed = Some((mm(90.0), mm(100.0)));
    let error = apply(&job, &Edit::SetPrinted100(printed)).unwrap_err().to_string();
    assert!(error.contains("scaling off"), "{error}");
    let error = apply(&job, &Edit::AddWall { name: "hull SIDE".to_owned() }).unwrap_err();
    assert!(matches!(error, JobError::WallNameTaken(_)));
}

#[test]
fn free_names_go_on_past_z() {
    let mut job = Job::default();
    for _ in 0..28 {
        job = apply(&job, &Edit::AddWall { name: job.free_wall_name() }).unwrap();
    }
    let names: Vec<&str> = job.walls.iter().map(|w| w.name.as_str()).collect();
    assert_eq!((names[0], names[25], names[26], names[27]), ("Wall A", "Wall Z", "Wall AA", "Wall AB"));
}

fn some_edit(wall: WallId) -> impl Strategy<Value = Edit> {
    prop_oneof![
        "[a-z]{1,8}".prop_map(Edit::NameJob),
        (-500.0..500.0, -500.0..500.0).prop_map(move |(x, y)| Edit::Wall(
            wall,
            WallEdit::AddTick { edge: None, before: None, place: typed(x, y) }
        )),
        (1i64..80).prop_map(move |n| Edit::Wall(
            wall,
            WallEdit::Layers(vec![LayerStock { thickness: Length::from_64ths(n), ..LayerStock::default() }])
        )),
        "[A-Z][a-z]{1,8}".prop_map(|name| Edit::AddWall { name }),
    ]
}

proptest! {
    #[test]
    fn undo_of_everything_is_the_opening_and_redo_the_end(
        edits in prop::collection::vec(some_edit(WallId(1)), 1..40)
    ) {
        let first = apply(&Job::default(), &Edit::AddWall { name: "Hull side".to_owned() }).unwrap();
        let mut history = History::new(first.clone());
        for edit in &edits {
            let _ = history.edit(edit, None); // a name given twice is refused, and that is fine
        }
        let last = history.job().clone();
        while history.undo() {}
        prop_assert_eq!(&**history.job(), &first);
        while history.redo() {}
        prop_assert_eq!(history.job(), &last);
    }
}

#[test]
fn bevels_at_several_places_are_not_lost_by_splitting_or_joining() {
    let (job, wall) = common::job(&common::template(&common::F, &[5.0, 12.0]));
    let edit = |job: &Job, e: WallEdit| apply(job, &Edit::Wall(wall, e));
    let t = &job.walls[0].template;
    let corner = t.edges[0].ticks[1];
    assert!(matches!(edit(&job, WallEdit::JoinAt(corner)), Err(JobError::TwoBevels(..))));
    let edge = t.edges[0].id;
    let twisted = vec![BevelAt { at: 0.0, degrees: 5.0 }, BevelAt { at: 1.0, degrees: 20.0 }];
    let job = edit(&job, WallEdit::Bevel(edge, twisted)).unwrap();
    let job =
        edit(&job, WallEdit::AddTick { edge: Some(edge), before: Some(1), place: typed(60.0, 0.0) }).unwrap();
    let middle = job.walls[0].template.edges[0].ticks[1];
    for split in [WallEdit::MakeCorner(middle), WallEdit::BreakAfter(middle)] {
        assert!(matches!(edit(&job, split), Err(JobError::SeveralBevels(_))));
    }
    let flat = edit(&job, WallEdit::Bevel(edge, vec![BevelAt { at: 0.0, degrees: 7.0 }])).unwrap();
    let gap = edit(&flat, WallEdit::Gap(edge, Length::from_micrometres(3_000))).unwrap();
    let halves = edit(&gap, WallEdit::BreakAfter(middle)).unwrap().walls[0].template.edges.clone();
    assert_eq!(
        (&halves[0].bevel, halves[0].gap),
        (&halves[1].bevel, halves[1].gap),
        "the second half keeps what was set"
    );
    assert_ne!(halves[0].name, halves[1].name);
}

#[test]
fn typed_and_clicked_points_are_not_mixed_silently() {
    use coldwright_job::{Height, PhotoId};
    let (job, wall) = common::job(&common::template(&common::F, &[0.0]));
    let tick = job.walls[0].template.ticks[0].id;
    let place = Place::Pixel { photo: PhotoId(7), px: Point::new(5.0, 5.0), height: Height::Laps(1) };
    let job = apply(&job, &Edit::Wall(wall, WallEdit::MoveTick(tick, place))).unwrap();
    let problems = coldwright_job::checks(&job, &coldwright_job::plan(&job));
    assert!(problems.iter().any(|p| p.sentence.contains("typed and some clicked")), "{problems:?}");
}
