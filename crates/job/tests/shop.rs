//! Joints, opening, stock, seams, order and layout: edits, the file, and what is let go.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_geometry::Length;
use coldwright_job::{
    Cutting, EdgeId, EdgeOf, Edit, Job, JobError, JointKind, KeptLayout, KeptPlace, Opening, OpeningPlace,
    OpeningShape, PieceId, Seam, SeamStyle, SheetShape, StockSheet, TickId, WallEdit, WallId, apply,
    from_bytes, from_json, to_bytes, to_json,
};
use kurbo::Point;

fn mm(v: i64) -> Length {
    Length::from_micrometres(v * 1000)
}

/// Two walls of four edges each: ids 200… and 300….
fn two_walls() -> (Job, WallId, WallId) {
    let square = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)];
    let (job, a) = common::job(&common::template(&square, &[0.0]));
    let job = apply(&job, &Edit::AddWall { name: "Floor".to_owned() }).unwrap();
    let b = job.walls[1].id;
    let mut t = common::template(&square, &[0.0]);
    for tick in &mut t.ticks {
        tick.id = TickId(tick.id.0 + 400);
    }
    for edge in &mut t.edges {
        edge.id = EdgeId(edge.id.0 + 100);
        for tick in &mut edge.ticks {
            *tick = TickId(tick.0 + 400);
        }
    }
    let job = apply(&job, &Edit::Wall(b, WallEdit::Trace(t.ticks, t.edges))).unwrap();
    (job, a, b)
}

fn edge(wall: WallId, id: u32) -> EdgeOf {
    EdgeOf { wall, edge: EdgeId(id) }
}

fn full() -> Job {
    let (job, a, b) = two_walls();
    let piece = |layer| PieceId { wall: a, layer, part: 0 };
    let edits = [
        Edit::Join { a: edge(a, 200), b: edge(b, 302), kind: JointKind::default() },
        Edit::Join { a: edge(a, 201), b: edge(b, 301), kind: JointKind::Mitred },
        Edit::SetOpening(Some(Opening {
            shape: OpeningShape::Rectangle { width: mm(300), height: mm(350), corner: mm(20) },
            behind: Some(mm(600)),
            place: Some(OpeningPlace { wall: b, at: (mm(310), mm(205)) }),
        })),
        Edit::SetCutting(Cutting { throat: Some(mm(400)), spare: 15, clear: mm(50), ..Cutting::default() }),
        Edit::SetStock(vec![
            StockSheet::default(),
            StockSheet {
                name: "Off-cut".to_owned(),
                shape: SheetShape::Outline(vec![Point::ZERO, Point::new(800.0, 0.5), Point::new(0.0, 600.0)]),
                owned: Some(1),
                ..StockSheet::default()
            },
        ]),
        Edit::SetSeams {
            wall: a,
            layer: 2,
            seams: Some(vec![Seam {
                from: Point::new(200.0, -10.0),
                to: Point::new(210.0, 310.0),
                style: SeamStyle::HalfLap(mm(20)),
            }]),
        },
        Edit::SetSeams { wall: b, layer: 1, seams: Some(vec![]) },
        Edit::SetOrder(vec![piece(2), piece(1)]),
        Edit::KeepLayout(Some(KeptLayout {
            seed: u64::MAX,
            moves: 1234,
            places: vec![KeptPlace {
                piece: piece(1),
                stock: "Full sheet".to_owned(),
                nth: 0,
                turn_deg: 12.345678901234567,
                at: Point::new(0.1 + 0.2, 1e-9),
                locked: true,
            }],
            left: vec![piece(2)],
            short: vec![("Full sheet".to_owned(), 2)],
        })),
    ];
    let job = edits.iter().fold(job, |job, e| apply(&job, e).unwrap());
    apply(&job, &Edit::JointAngle(job.joints[1].id, Some(171.5))).unwrap()
}

#[test]
fn all_of_it_comes_back_from_the_file() {
    let job = full();
    assert_eq!(job.joints.len(), 2);
    assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job);
}

#[test]
fn a_file_of_the_first_version_opens_with_what_a_new_job_has() {
    let (job, ..) = two_walls();
    let text = String::from_utf8(to_json(&job).unwrap()).unwrap();
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    value["coldwright_job"] = 1.into();
    for key in ["stock", "cutting"] {
        assert!(value.as_object_mut().unwrap().remove(key).is_some(), "{key}");
    }
    let old = from_json(&serde_json::to_vec(&value).unwrap(), |_| None).unwrap();
    assert_eq!(old, job);
}

#[test]
fn a_file_of_the_second_version_opens_with_what_it_could_not_say() {
    let mut job = full();
    let text = String::from_utf8(to_json(&job).unwrap()).unwrap();
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    value["coldwright_job"] = 2.into();
    assert!(value["cutting"].as_object_mut().unwrap().remove("clear_mm").is_some());
    for key in ["left", "short"] {
        assert!(value["layout"].as_object_mut().unwrap().remove(key).is_some(), "{key}");
    }
    let old = from_json(&serde_json::to_vec(&value).unwrap(), |_| None).unwrap();
    let layout = job.layout.as_mut().unwrap();
    (layout.left, layout.short) = (Vec::new(), Vec::new());
    assert_eq!(old, job, "seams keep the 50 mm from corners that a new job has");
}

#[test]
fn a_tilt_that_an_older_program_wrote_by_itself_is_no_stated_saw() {
    let (job, ..) = two_walls();
    let written = |version: u32, tilt: [u8; 2]| {
        let mut value: serde_json::Value = serde_json::from_slice(&to_json(&job).unwrap()).unwrap();
        value["coldwright_job"] = version.into();
        value["cutting"]["tilt_deg"] = tilt.to_vec().into();
        from_json(&serde_json::to_vec(&value).unwrap(), |_| None).unwrap().cutting.tilt
    };
    assert_eq!(written(2, [45, 10]), (45, 45));
    assert_eq!(written(2, [30, 5]), (30, 5));
    assert_eq!(written(3, [45, 10]), (45, 10));
}

#[test]
fn what_names_a_lost_edge_or_layer_goes_with_it() {
    let job = full();
    let (a, b) = (job.walls[0].id, job.walls[1].id);
    let fewer = job.walls[0].layers[..1].to_vec();
    let less = apply(&job, &Edit::Wall(a, WallEdit::Layers(fewer))).unwrap();
    assert_eq!(less.seams.len(), 1);
    assert_eq!(less.order, vec![PieceId { wall: a, layer: 1, part: 0 }]);
    let gone = apply(&job, &Edit::RemoveWall(b)).unwrap();
    assert!(gone.joints.is_empty());
    assert!(gone.seams.iter().all(|s| s.wall == a));
    let square = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0)];
    let t = common::template(&square, &[0.0]);
    let mut edges = t.edges;
    edges[0].id = EdgeId(900);
    let traced = apply(&job, &Edit::Wall(a, WallEdit::Trace(t.ticks, edges))).unwrap();
    assert_eq!(traced.joints.len(), 1, "the joint of edge 201 stays");
}

#[test]
fn an_edge_meets_one_edge_of_another_wall() {
    let (job, a, b) = two_walls();
    let join = |job: &Job, x, y| apply(job, &Edit::Join { a: x, b: y, kind: JointKind::Mitred });
    let once = join(&job, edge(a, 200), edge(b, 300)).unwrap();
    let twice = join(&once, edge(a, 200), edge(b, 301));
    assert!(matches!(twice, Err(JobError::JoinedAlready { .. })), "{twice:?}");
    assert!(matches!(join(&job, edge(a, 200), edge(a, 201)), Err(JobError::JoinedToItself(_))));
    assert!(matches!(join(&job, edge(a, 200), edge(b, 200)), Err(JobError::NoEdge(_))));
    let parted = apply(&once, &Edit::Unjoin(once.joints[0].id)).unwrap();
    assert!(parted.joints.is_empty());
}

#[test]
fn what_cannot_be_is_refused_in_a_sentence() {
    let (job, a, _) = two_walls();
    let refused_by = |job: &Job, e: Edit| apply(job, &e).unwrap_err().to_string();
    let refused = |e: Edit| refused_by(&job, e);
    let joined = full();
    let flat = refused_by(&joined, Edit::JointAngle(joined.joints[0].id, Some(f64::NAN)));
    assert!(flat.contains("15 to 345"), "{flat}");
    let opening = |shape| Edit::SetOpening(Some(Opening { shape, behind: None, place: None }));
    assert!(refused(opening(OpeningShape::Round { diameter: mm(0) })).contains("more than 0"));
    let round = OpeningShape::Rectangle { width: mm(100), height: mm(300), corner: mm(60) };
    assert!(refused(opening(round)).contains("at most 50 mm"));
    let twice = vec![StockSheet::default(), StockSheet::default()];
    assert!(refused(Edit::SetStock(twice)).contains("already a sheet called"));
    let thin = StockSheet { thickness: mm(0), ..StockSheet::default() };
    assert!(refused(Edit::SetStock(vec![thin])).contains("thickness above 0"));
    let kerf = Cutting { kerf: mm(-1), ..Cutting::default() };
    assert!(refused(Edit::SetCutting(kerf)).contains("0 to 50 mm"));
    let point = Seam { from: Point::ZERO, to: Point::ZERO, style: SeamStyle::Butt };
    let seams = Edit::SetSeams { wall: a, layer: 1, seams: Some(vec![point]) };
    assert!(refused(seams).contains("no line"));
}
