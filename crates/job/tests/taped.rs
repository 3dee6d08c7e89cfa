//! Shapes measured without a photo: the notebook's page in the job, the plan that follows, what is said of a wrong number.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

use coldwright_canvas::measured::TieSide;
use coldwright_geometry::{EdgeKind, Length, Unit, Writing};
use coldwright_job::{
    Edit, Job, OffsetLine, Place, Severity, Taped, TapedDistance, TapedWay, TickId, WallEdit, WallId,
    WallPlan, apply, from_bytes, plan, to_bytes, to_json,
};

fn empty() -> (Job, WallId) {
    let job = apply(&Job::default(), &Edit::AddWall { name: "Aft side".into() }).unwrap();
    let id = job.walls[0].id;
    (job, id)
}

fn with(taped: Taped) -> (Job, WallId) {
    let (job, id) = empty();
    (apply(&job, &Edit::Wall(id, WallEdit::Taped(Some(taped)))).unwrap(), id)
}

fn of(job: &Job) -> WallPlan {
    plan(job).walls[0].clone()
}

fn said(job: &Job) -> Vec<String> {
    of(job).problems.into_iter().map(|p| p.sentence).collect()
}

fn table(text: &str) -> Taped {
    Taped { table: text.into(), ..Taped::default() }
}

/// A panel of 900 by 600 mm taped from two nails 1000 mm apart, below it to the left and right.
fn ties() -> Taped {
    let known = [(0.0_f64, -100.0_f64), (1000.0, -100.0)];
    let corners = [(50.0, 0.0), (950.0, 0.0), (950.0, 600.0), (50.0, 600.0)];
    let mut lines = String::from("point; from P; from Q\n");
    for (i, c) in corners.iter().enumerate() {
        let d = |k: (f64, f64)| (c.0 - k.0).hypot(c.1 - k.1);
        lines += &format!("{}; {:.2}; {:.2}\n", i + 1, d(known[0]), d(known[1]));
    }
    Taped {
        way: TapedWay::Ties { known: "P; 0; -100\nQ; 1000; -100".into(), side: TieSide::Left },
        lengths: "1; 2; 900\n2; 3; 600\n3; 4; 900\n4; 1; 600\n1; 3; 1081.67\n2; 4; 1081.67\n".into(),
        ..table(&lines)
    }
}

#[test]
fn offsets_along_a_line_become_an_outline_with_corners() {
    // Stations along the bottom with the height above each: a panel whose top falls from 500 to 380 mm.
    let taped = Taped {
        way: TapedWay::Offsets { line: OffsetLine::Level, stick: Length::default() },
        ..table("0; 0\n0; 500\n400; 440\n800; 380\n800; 0")
    };
    let (job, id) = with(taped);
    let t = &job.wall(id).unwrap().template;
    assert_eq!(t.edges.iter().map(|e| e.ticks.len()).collect::<Vec<_>>(), [2, 3, 2, 2]);
    assert!(t.edges.iter().all(|e| e.kind == EdgeKind::Straight));
    assert_eq!(t.ticks.iter().filter(|k| matches!(&k.place, Place::Taped { .. })).count(), 5);
    let outline = of(&job).outline.expect("an outline");
    // By the trapezium: 800 × (500 + 380) / 2.
    assert!((outline.area() - 352_000.0).abs() < 1.0, "{}", outline.area());
    // The lowest edge is the bottom.
    let base = t.edge(t.base.unwrap()).unwrap();
    let bottom =
        of(&job).ticks.iter().filter(|p| base.ticks.contains(&p.id)).map(|p| p.plane.y).fold(0.0, f64::max);
    assert!(bottom.abs() < 1e-9);
}

#[test]
fn both_sides_of_a_plumb_line_in_feet_inches_eighths_with_a_batten() {
    let taped = Taped {
        way: TapedWay::Offsets { line: OffsetLine::PlumbDown, stick: Length::from_micrometres(10_000) },
        bare: Unit::Inch,
        writing: Writing::FeetInchesEighths,
        ..table("0-0-0\t1-0-0\t1-0-0\n1-0-0\t1-0-0\t1-0-0")
    };
    let outline = of(&with(taped).0).outline.expect("an outline");
    // Two feet and the batten wide, one foot high: (609.6 + 20) × 304.8.
    assert!((outline.area() - 629.6 * 304.8).abs() < 0.1, "{}", outline.area());
}

#[test]
fn ties_say_how_well_they_close_and_name_the_blunder() {
    let (job, id) = with(ties());
    let plan = of(&job);
    assert!((plan.outline.as_ref().unwrap().area() - 540_000.0).abs() < 20.0);
    let fit = plan.measured.taped.as_ref().unwrap();
    assert_eq!((fit.spare, fit.suspect.as_deref()), (6, None));
    assert!(fit.largest().unwrap().mm.abs() < 0.05);
    let note = plan.problems.iter().find(|p| p.severity == Severity::Note).expect("a note");
    assert!(note.sentence.contains("6 more measurements than needed agree"), "{note}");
    // One tape misread by a centimetre.
    let mut wrong = ties();
    wrong.table = wrong.table.replacen("1; 111.80", "1; 121.80", 1);
    assert_ne!(wrong.table, ties().table);
    let job = apply(&job, &Edit::Wall(id, WallEdit::Taped(Some(wrong)))).unwrap();
    let look = said(&job).into_iter().find(|s| s.contains("contradict")).expect("told");
    assert!(look.contains("the length from P to 1 again first"), "{look}");
}

#[test]
fn a_round_that_is_closed_by_measuring_its_first_point_again_says_what_it_misses_by() {
    let closed = table("A; 0; 0\nB; 900; 0\nC; 900; 600\nD; 0; 600\nA; 1; 1");
    let fit = of(&with(closed).0).measured.taped.unwrap();
    assert_eq!((fit.points.len(), fit.spare, fit.suspect.as_deref()), (4, 2, None));
    assert!((fit.points[0].1.x - 0.5).abs() < 1e-9);
    let open = table("A; 0; 0\nB; 900; 0\nC; 900; 600\nD; 0; 600\nA; 14; 0");
    let (job, _) = with(open);
    let look = said(&job).into_iter().find(|s| s.contains("contradict")).expect("told");
    assert!(
        look.contains("by 14.0 mm; measure A measured again") || look.contains("A measured again"),
        "{look}"
    );
}

#[test]
fn a_tick_stick_of_1200_mm_gives_its_tips() {
    // The stick lies along x, 1200 from heel to tip, notch at 300: heel at (0, y) puts the tip at (1200, y).
    let taped = Taped {
        way: TapedWay::TickStick {
            notch: Length::from_micrometres(300_000),
            tip: Length::from_micrometres(1_200_000),
            aside: Length::default(),
        },
        ..table("1; 0; 0; 300; 0\n2; 100; 0; 100; 300\n3; 0; 0; 0; -300\n4; 0; 500; -302.5; 500")
    };
    let fit = of(&with(taped).0).measured.taped.unwrap();
    let tips: Vec<(f64, f64)> = fit.points.iter().map(|p| (p.1.x.round(), p.1.y.round())).collect();
    assert_eq!(tips, [(1200.0, 0.0), (100.0, 1200.0), (0.0, -1200.0), (-1200.0, 500.0)]);
    // Heel and notch of the last mark stand 2.5 mm too far apart, 1.8 standard deviations: said, not suspected.
    assert_eq!(fit.largest().map(|r| (r.what.as_str(), r.mm.round())), Some(("heel to notch at 4", 3.0)));
}

#[test]
fn what_cannot_be_read_is_refused_with_line_and_cell_and_changes_nothing() {
    let (job, id) = empty();
    let refused = |taped| apply(&job, &Edit::Wall(id, WallEdit::Taped(Some(taped)))).unwrap_err().to_string();
    assert!(refused(table("A; 1; 2\nB; 3; x")).starts_with("line 2, cell 3"));
    let lost = refused(Taped { lengths: "A; Z; 100".into(), ..table("A; 1; 2\nB; 3; 50") });
    assert!(lost.contains("no point of the table is called Z"), "{lost}");
    assert!(refused(Taped { sd: 0.0, ..table("A; 1; 2") }).contains("from 0.01 to 100 mm"));
}

#[test]
fn a_table_mended_later_keeps_corners_and_names() {
    let (job, id) = with(table("A; 0; 0\nB; 900; 0\nC; 900; 600\nD; 0; 600"));
    let before = job.wall(id).unwrap().template.clone();
    assert_eq!(before.edges.len(), 4);
    let name = Edit::Wall(id, WallEdit::NameEdge(before.edges[2].id, "Top".into()));
    let job = apply(&job, &name).unwrap();
    // C was wrong, E is new between C and D, B goes.
    let mended = table("A; 0; 0\nC; 905; 600\nE; 450; 640\nD; 0; 600");
    let job = apply(&job, &Edit::Wall(id, WallEdit::Taped(Some(mended)))).unwrap();
    let t = &job.wall(id).unwrap().template;
    let top = t.edges.iter().find(|e| e.name == "Top").expect("still there");
    assert_eq!(top.ticks.len(), 3);
    assert_eq!((t.ticks.len(), t.tick(top.ticks[0]).is_some()), (4, true));
    let same = |k: &coldwright_job::Tick| before.ticks.iter().any(|b| b == k);
    assert_eq!(t.ticks.iter().filter(|k| same(k)).count(), 3, "old ticks keep their numbers");
    let gone = apply(&job, &Edit::Wall(id, WallEdit::Taped(None))).unwrap();
    assert!(gone.wall(id).unwrap().template.ticks.is_empty());
}

#[test]
fn the_file_keeps_what_was_taped_as_it_was_written() {
    let (job, id) = with(ties());
    let ticks: Vec<TickId> = job.walls[0].template.ticks.iter().map(|k| k.id).collect();
    let distance = TapedDistance {
        from: ticks[0],
        to: ticks[2],
        length: Length::from_64ths(2730),
        sd: 1.0,
        counts: true,
    };
    let job = apply(&job, &Edit::Wall(id, WallEdit::Distances(vec![distance]))).unwrap();
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
    let json = String::from_utf8(to_json(&job).unwrap()).unwrap();
    assert!(json.contains("\"1; 111.80; 955.25\""), "the numbers as taped: {json}");
    // Distances go with their ticks.
    let job = apply(&job, &Edit::Wall(id, WallEdit::RemoveTick(ticks[0]))).unwrap();
    assert!(job.walls[0].template.distances.is_empty());
}

#[test]
fn three_diagonals_are_offered_and_a_taped_one_is_compared() {
    let (job, id) = with(table("A; 0; 0\nB; 900; 0\nC; 900; 600\nD; 0; 600"));
    let plan = of(&job);
    let mm: Vec<f64> = plan.measured.diagonals.iter().map(|d| d.mm).collect();
    assert_eq!(mm.len(), 3);
    let diagonal = 900.0_f64.hypot(600.0);
    assert!((mm[0] - diagonal).abs() < 1e-9 && (mm[1] - diagonal).abs() < 1e-9 && mm[2] < diagonal, "{mm:?}");
    // Each end known to 1 mm: the line between to √2.
    assert!((plan.measured.diagonals[0].sd - std::f64::consts::SQRT_2).abs() < 1e-9);
    let taped = |mm: f64, counts| TapedDistance {
        from: plan.measured.diagonals[0].from,
        to: plan.measured.diagonals[0].to,
        length: Length::from_mm(mm).unwrap(),
        sd: 1.0,
        counts,
    };
    let put = |d| apply(&job, &Edit::Wall(id, WallEdit::Distances(vec![d]))).unwrap();
    // Three millimetres are explained (2.58 × √3 = 4.5), seven are not.
    assert!(said(&put(taped(diagonal + 3.0, false))).iter().all(|s| !s.contains("the tape says")));
    let told = said(&put(taped(diagonal + 7.0, false)));
    assert!(
        told.iter().any(|s| s.contains("7.0 mm longer than the outline, where 4.5 mm would be explained")),
        "{told:?}"
    );
    assert_eq!(of(&put(taped(diagonal + 7.0, false))).ticks, plan.ticks, "compared only");
    // Counting, it has a third of the say against the two ends: of 3 mm, 2 are taken.
    let counted = of(&put(taped(diagonal + 3.0, true)));
    assert!((counted.measured.distances[0].left - 1.0).abs() < 0.01, "{:?}", counted.measured.distances);
    let at = |id| counted.ticks.iter().find(|t| t.id == id).unwrap().plane;
    assert!(
        (at(plan.measured.diagonals[0].from).distance(at(plan.measured.diagonals[0].to)) - diagonal - 2.0)
            .abs()
            < 0.01
    );
}
