//! Drawing files as templates, held against closed forms.
#![expect(clippy::unwrap_used, reason = "a test may stop")]

mod common;

use coldwright_export::{Drawing, DxfOptions, DxfVersion, Layer, Pen, dxf, svg};
use coldwright_geometry::EdgeKind;
use coldwright_job::{
    DRAWN_WITHIN_MM, DrawnFile, Edit, Job, Place, WallEdit, apply, drawn_units, from_bytes, plan, to_bytes,
};
use kurbo::{Affine, Arc, BezPath, Circle, Point, Rect, Shape, Vec2};

/// A job whose one wall has the drawing's first outline.
fn taken(file: &DrawnFile, unit_mm: f64) -> (Job, f64) {
    let trace = file.trace(0, unit_mm).unwrap();
    let off = trace.off_mm;
    let job = apply(&Job::default(), &Edit::AddWall { name: "Hull".into() }).unwrap();
    let wall = job.walls[0].id;
    (apply(&job, &Edit::Wall(wall, WallEdit::Drawing(trace))).unwrap(), off)
}

fn drawn(path: &BezPath) -> Drawing {
    let mut drawing = Drawing::new("Hull 3", path.bounding_box().inset(20.0));
    drawing.line(path.clone(), Pen::CUT, Layer::Cut);
    drawing
}

/// Height of [`hull`] over all: the arc's centre lies 2597.5 below the bottom edge, by Pythagoras.
const CROWN: f64 = 402.502;

/// Bottom 900 long, sides 400 and 300 high, an arc of radius 3 m over the top: lopsided, so that a mirror shows.
fn hull() -> BezPath {
    let mut path = BezPath::new();
    path.move_to((0.0, 0.0));
    path.line_to((900.0, 0.0));
    path.line_to((900.0, 300.0));
    let chord = Vec2::new(-900.0, 100.0);
    let half = chord.hypot() / 2.0;
    let middle = Point::new(450.0, 350.0);
    let centre = middle + chord.turn_90().normalize() * (3000.0_f64.powi(2) - half * half).sqrt();
    let from = (Point::new(900.0, 300.0) - centre).atan2();
    let sweep = 2.0 * (half / 3000.0).asin();
    Arc::new(centre, Vec2::new(3000.0, 3000.0), from, sweep, 0.0)
        .to_cubic_beziers(1e-6, |a, b, p| path.curve_to(a, b, p));
    path.close_path();
    path
}

#[test]
fn our_own_files_come_back_as_the_outline_they_were() {
    let (path, area) = (hull(), hull().area());
    let dxf_of = |version| dxf(&drawn(&path), &DxfOptions { version, ..DxfOptions::default() }).unwrap();
    for (name, text, said) in [
        ("hull.svg", svg(&drawn(&path), 0.005).unwrap(), true),
        ("hull.dxf", dxf_of(DxfVersion::R2000), true),
        ("old.dxf", dxf_of(DxfVersion::R12), false),
    ] {
        let file = DrawnFile::read(name, text.as_bytes()).unwrap();
        assert_eq!(file.unit_mm.is_some(), said, "{name}");
        let (job, off) = taken(&file, file.unit_mm.unwrap_or(1.0));
        let template = &job.walls[0].template;
        assert_eq!(template.drawn_from.as_deref(), Some(name));
        let kinds: Vec<EdgeKind> = template.edges.iter().map(|e| e.kind).collect();
        assert_eq!(
            kinds,
            [EdgeKind::Straight, EdgeKind::Straight, EdgeKind::Fair, EdgeKind::Straight],
            "{name}"
        );
        assert!(template.ticks.len() < 20, "{name}: {} points", template.ticks.len());
        assert!(off <= DRAWN_WITHIN_MM, "{name}: {off}");
        let plan = plan(&job);
        let outline = plan.walls[0].outline.clone().unwrap();
        // An area is out by no more than the way round times the distance.
        assert!(
            (outline.area() - area).abs() < off.max(0.01) * outline.perimeter(),
            "{name}: {} {area}",
            outline.area()
        );
        let b = outline.bounds();
        assert!((b.width() - 900.0).abs() < 0.02 && (b.height() - CROWN).abs() < 0.06, "{name}: {b:?}");
        // Not mirrored: the high end is on the left.
        assert!(outline.polyline(0.01).iter().any(|p| p.x < 1.0 && p.y > 399.0), "{name}");
        assert!(plan.walls[0].layers.is_some());
        assert_eq!(from_bytes(&to_bytes(&job).unwrap()).unwrap(), job, "{name}");
    }
}

#[test]
fn a_flattened_curve_is_one_fair_edge_and_a_polygon_keeps_its_corners() {
    for flat in [0.001, 0.02, 0.2] {
        let mut lines = BezPath::new();
        kurbo::flatten(hull(), flat, |el| lines.push(el));
        let file = DrawnFile::read("a.dxf", dxf(&drawn(&lines), &DxfOptions::default()).unwrap().as_bytes())
            .unwrap();
        let trace = file.trace(0, 1.0).unwrap();
        let kinds: Vec<(EdgeKind, usize)> = trace.sides.iter().map(|s| (s.kind, s.points.len())).collect();
        assert_eq!(kinds.len(), 4, "{flat}: {kinds:?}");
        assert!(kinds[2].0 == EdgeKind::Fair && kinds[2].1 < 12, "{flat}: {kinds:?}");
        // What is said takes the file's own flattening in.
        assert!(trace.off_mm <= DRAWN_WITHIN_MM + flat, "{flat}: {}", trace.off_mm);
    }
    let mut polygon = BezPath::new();
    for (i, p) in
        [(0., 0.), (500., 0.), (700., 7.), (700., 300.), (690., 310.), (0., 310.)].iter().enumerate()
    {
        if i == 0 { polygon.move_to(*p) } else { polygon.line_to(*p) }
    }
    polygon.close_path();
    let file = DrawnFile::read("a.svg", svg(&drawn(&polygon), 0.005).unwrap().as_bytes()).unwrap();
    let trace = file.trace(0, file.unit_mm.unwrap()).unwrap();
    assert!(trace.sides.len() == 6 && trace.sides.iter().all(|s| s.kind == EdgeKind::Straight), "{trace:?}");
    assert!(trace.off_mm < 0.002, "{}", trace.off_mm);
}

#[test]
fn round_shapes_and_rounded_corners_have_ends_of_edges_where_they_need_them() {
    let rounded = Rect::new(0.0, 0.0, 800.0, 500.0).to_rounded_rect(60.0).to_path(1e-6);
    for (shape, area, sides) in [
        (Circle::new((0.0, 0.0), 300.0).to_path(1e-6), std::f64::consts::PI * 90_000.0, 4),
        (rounded, 400_000.0 - (4.0 - std::f64::consts::PI) * 3600.0, 8),
    ] {
        for text in
            [dxf(&drawn(&shape), &DxfOptions::default()).unwrap(), svg(&drawn(&shape), 0.005).unwrap()]
        {
            let file = DrawnFile::read("r", text.as_bytes()).unwrap();
            let (job, off) = taken(&file, file.unit_mm.unwrap());
            assert_eq!(job.walls[0].template.edges.len(), sides);
            let outline = plan(&job).walls[0].outline.clone().unwrap();
            assert!(off <= DRAWN_WITHIN_MM + 0.006, "{off}");
            assert!(
                (outline.area() - area).abs() < off.max(0.01) * outline.perimeter(),
                "{} {area}",
                outline.area()
            );
        }
    }
}

#[test]
fn a_drawing_seen_from_the_hull_side_is_mirrored_once() {
    let file = DrawnFile::read("a.svg", svg(&drawn(&hull()), 0.005).unwrap().as_bytes()).unwrap();
    let (job, _) = taken(&file, file.unit_mm.unwrap());
    let seen = WallEdit::SeenFrom(coldwright_job::SeenFrom::HullSide);
    let job = apply(&job, &Edit::Wall(job.walls[0].id, seen)).unwrap();
    let outline = plan(&job).walls[0].outline.clone().unwrap();
    let right = outline.bounds().x1;
    assert!(
        outline.polyline(0.01).iter().any(|p| p.x > right - 1.0 && p.y > 399.0),
        "the high end is on the right"
    );
}

#[test]
fn units_scale_and_absurd_ones_are_refused() {
    let in_inches = Affine::scale(1.0 / 25.4) * hull();
    let text = dxf(&drawn(&in_inches), &DxfOptions::default()).unwrap();
    let file = DrawnFile::read("in.dxf", text.as_bytes()).unwrap();
    let (wide, high) = file.size_mm(0, drawn_units()["in"]);
    assert!((wide - 900.0).abs() < 0.01 && (high - CROWN).abs() < 0.01, "{wide} {high}");
    assert!(file.trace(0, 25.4).is_ok());
    for (outline, unit) in [(0, 1e-3), (0, 1e6), (7, 25.4)] {
        let refused = file.trace(outline, unit).unwrap_err().to_string();
        assert!(refused.contains("in.dxf cannot be a template"), "{refused}");
    }
}

#[test]
fn points_keep_where_they_were_drawn_and_typing_anew_forgets_the_file() {
    let file = DrawnFile::read("a.svg", svg(&drawn(&hull()), 0.005).unwrap().as_bytes()).unwrap();
    let (job, _) = taken(&file, file.unit_mm.unwrap());
    let template = &job.walls[0].template;
    assert!(template.ticks.iter().all(|t| matches!(t.place, Place::Typed { sd, .. } if sd > 0.0)));
    let wall = job.walls[0].id;
    let typed = WallEdit::Trace(template.ticks.clone(), template.edges.clone());
    assert_eq!(apply(&job, &Edit::Wall(wall, typed)).unwrap().walls[0].template.drawn_from, None);
    // New ticks get numbers of their own.
    let mut ids: Vec<u32> =
        template.ticks.iter().map(|t| t.id.0).chain(template.edges.iter().map(|e| e.id.0)).collect();
    ids.push(wall.0);
    let all = ids.len();
    ids.sort_unstable();
    ids.dedup();
    assert!(ids.len() == all && ids.iter().all(|id| *id < job.next_id));
}

#[test]
fn files_without_an_outline_are_refused_in_words() {
    let open = "0\nSECTION\n2\nENTITIES\n0\nLINE\n8\na\n10\n0\n20\n0\n11\n5\n21\n0\n0\nENDSEC\n0\nEOF\n";
    for (bytes, words) in [
        (open.as_bytes(), "no closed outline"),
        (
            b"<svg xmlns=\"http://www.w3.org/2000/svg\"><path d=\"M0 0L5 5\"/></svg>".as_slice(),
            "no closed outline",
        ),
        (b"\xff\xd8\xff\xe0".as_slice(), "not a DXF"),
    ] {
        let refused = DrawnFile::read("x", bytes).unwrap_err().to_string();
        assert!(refused.contains(words), "{refused}");
    }
}
