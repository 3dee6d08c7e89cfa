//! A lopsided template from pixels in a real photo's plane to the cut line in a drawing file: the right way round.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::fs;
use std::sync::Arc;

use coldwright_canvas::{
    CardKind, Limits, PhotoCards, Picture, PlaneSolve, PrintScale, SolveOptions, find_cards, solve,
};
use coldwright_geometry::{EdgeKind, Length};
use coldwright_job::{
    BevelAt, Edge, EdgeId, Edit, Height, Job, LayerStock, PRINT_SD_UNMEASURED, PhotoId, Place, SeenFrom,
    Severity, Sighting, Tick, TickId, WallEdit, apply, checks, plan,
};
use coldwright_papers::{Kind, MakeOptions, make};
use coldwright_tests::root;
use kurbo::{Affine, Point};

/// An F as seen from inside the box, mm, counter-clockwise from its lower left corner.
const F: [(f64, f64); 10] = [
    (0.0, 0.0),
    (60.0, 0.0),
    (60.0, 120.0),
    (140.0, 120.0),
    (140.0, 170.0),
    (60.0, 170.0),
    (60.0, 230.0),
    (200.0, 230.0),
    (200.0, 290.0),
    (0.0, 290.0),
];

fn photo() -> (Arc<[u8]>, Sighting, PlaneSolve) {
    let bytes = fs::read(root().join("samples/photos/demo-hull-side.jpg")).unwrap();
    let picture = Picture::decode(&bytes, &Limits::default()).unwrap();
    let seen = PhotoCards::new(&picture, &find_cards(&picture, CardKind::Printed));
    // As the job takes it: a print that nobody has measured, so that both find the same plane.
    let print = PrintScale { x: 1.0, y: 1.0, sd: PRINT_SD_UNMEASURED };
    let options = SolveOptions { print, ..SolveOptions::default() };
    let plane = solve(std::slice::from_ref(&seen), &options).unwrap();
    let sighting = Sighting {
        photo: PhotoId(0),
        size: (seen.width, seen.height),
        focal_px: seen.focal_prior_px,
        cards: seen.cards,
    };
    (bytes.into(), sighting, plane)
}

/// The F as clicked in the photo: laid on the floor with its hull side or its box side up, 9 mm above the cards.
fn job(seen_from: SeenFrom) -> Job {
    let (bytes, sighting, plane) = photo();
    let job = apply(&Job::default(), &Edit::AddWall { name: "Bulkhead".to_owned() }).unwrap();
    let wall = job.walls[0].id;
    let add = Edit::AddPhoto { wall, name: "floor.jpg".to_owned(), bytes, sighting, kind: CardKind::Printed };
    let mut job = apply(&job, &add).unwrap();
    let photo = job.photos[0].id;
    // Turned over, the template shows its mirror image to the camera.
    let face = match seen_from {
        SeenFrom::BoxSide => Affine::IDENTITY,
        SeenFrom::HullSide => Affine::scale_non_uniform(-1.0, 1.0),
    };
    let middle = plane.to_plane(0, Point::new(1400.0, 1000.0), 9.0).unwrap();
    let lie = Affine::translate(middle.to_vec2()) * Affine::rotate(0.7) * face;
    let ticks = F
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let px = plane.to_pixel(0, lie * Point::from(*p), 9.0).unwrap();
            let height = Height::Stated(Length::from_micrometres(9_000));
            Tick { id: TickId(100 + i as u32), place: Place::Pixel { photo, px, height } }
        })
        .collect();
    let edges = (0..10u32)
        .map(|i| Edge {
            id: EdgeId(200 + i),
            name: format!("Edge {i}"),
            kind: EdgeKind::Straight,
            ticks: vec![TickId(100 + i), TickId(100 + (i + 1) % 10)],
            bevel: vec![BevelAt { at: 0.0, degrees: 0.0 }],
            gap: Length::default(),
            smoothing: Length::default(),
        })
        .collect();
    for edit in [
        WallEdit::Trace(ticks, edges),
        WallEdit::Base(EdgeId(200)),
        WallEdit::SeenFrom(seen_from),
        WallEdit::Layers(vec![LayerStock::default(); 2]),
    ] {
        job = apply(&job, &Edit::Wall(wall, edit)).unwrap();
    }
    job
}

/// Corners of the largest ring in the SVG's cut lines as usvg reads them, mm, y up, lower left corner at the origin.
fn svg_ring(text: &str) -> Vec<Point> {
    fn walk(group: &usvg::Group, out: &mut Vec<Vec<Point>>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(g) => walk(g, out),
                usvg::Node::Path(path) => {
                    let at = path.abs_transform();
                    let mut ring = Vec::new();
                    for segment in path.data().segments() {
                        use usvg::tiny_skia_path::PathSegment::{LineTo, MoveTo};
                        if let MoveTo(p) | LineTo(p) = segment {
                            let mm = 25.4 / 96.0;
                            let (x, y) = (p.x * at.sx + at.tx, p.y * at.sy + at.ty);
                            ring.push(Point::new(f64::from(x) * mm, -f64::from(y) * mm));
                        }
                    }
                    out.push(ring);
                }
                _ => {}
            }
        }
    }
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let mut rings = Vec::new();
    walk(tree.root(), &mut rings);
    let area = |r: &Vec<Point>| {
        let b = kurbo::Rect::from_points(r[0], r[0]);
        r.iter().fold(b, |b, p| b.union_pt(*p)).area()
    };
    let mut ring = rings.into_iter().max_by(|a, b| area(a).total_cmp(&area(b))).unwrap();
    let (left, low) = ring.iter().fold((f64::MAX, f64::MAX), |m, p| (m.0.min(p.x), m.1.min(p.y)));
    for p in &mut ring {
        *p = Point::new(p.x - left, p.y - low);
    }
    ring
}

#[test]
fn an_f_stays_an_f_from_the_photo_to_the_drawing_file_whichever_face_was_up() {
    for seen_from in [SeenFrom::BoxSide, SeenFrom::HullSide] {
        let job = job(seen_from);
        let plan = plan(&job);
        let stop = checks(&job, &plan).into_iter().find(|p| p.severity == Severity::Stop);
        assert_eq!(stop, None);
        let files =
            make(&job, &plan, &MakeOptions { kinds: vec![Kind::Svg], ..MakeOptions::default() }).unwrap();
        assert_eq!(files.len(), 2, "one drawing a layer");
        for file in files {
            let ring = svg_ring(std::str::from_utf8(&file.bytes).unwrap());
            let far = |model: &dyn Fn((f64, f64)) -> Point| {
                F.iter()
                    .map(|p| ring.iter().map(|q| q.distance(model(*p))).fold(f64::MAX, f64::min))
                    .fold(0.0, f64::max)
            };
            let (right, wrong) = (far(&Point::from), far(&|(x, y)| Point::new(200.0 - x, y)));
            println!(
                "{} seen from {seen_from:?}: {right:.4} mm off, {wrong:.0} mm off its mirror image",
                file.name
            );
            assert!(right < 0.02, "{}: {right} mm", file.name);
            assert!(wrong > 30.0, "the F is no mirror image of itself");
        }
    }
}
