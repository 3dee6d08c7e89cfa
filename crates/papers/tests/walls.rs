//! Holes, liners, strips and kerfs on the patterns, against numbers known beforehand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{Drawing, Item, Layer, Pen};
use coldwright_job::{
    CutStyle, FirstLayers, Hole, HollowBehind, HollowShape, Job, Lining, PieceId, WallId, plan,
};
use coldwright_papers::{Kind, MakeOptions, make, piece_pattern};
use common::outline::rings;
use common::parts::mm;
use kurbo::{Point, Shape};

fn sheet() -> Job {
    common::job::four_sided(600.0, 400.0, 0.0, CutStyle::Bevelled)
}

fn drawn(job: &Job, layer: u32, part: u32) -> Drawing {
    piece_pattern(job, &plan(job), PieceId { wall: WallId(1), layer, part }).unwrap()
}

fn says(drawing: &Drawing, words: &str) -> bool {
    drawing.items.iter().any(|item| matches!(item, Item::Text(text) if text.words.contains(words)))
}

fn area(ring: &[Point]) -> f64 {
    let next = ring.iter().cycle().skip(1);
    0.5 * ring.iter().zip(next).map(|(a, b)| a.x * b.y - a.y * b.x).sum::<f64>().abs()
}

/// All papers can be made of it.
fn made(job: &Job) {
    for kind in [Kind::Pdf, Kind::Svg, Kind::Dxf] {
        let options = MakeOptions { kinds: vec![kind], ..MakeOptions::default() };
        assert!(!make(job, &plan(job), &options).unwrap().is_empty());
    }
}

#[test]
fn a_hole_is_cut_on_every_pattern() {
    let mut job = sheet();
    job.walls[0].template.holes = vec![Hole::round("Drain", (mm(200.0), mm(150.0)), mm(60.0))];
    for layer in 1..=3 {
        let drawing = drawn(&job, layer, 0);
        let mut all: Vec<f64> = rings(&drawing, Layer::Cut).iter().map(|r| area(r)).collect();
        all.sort_by(f64::total_cmp);
        assert_eq!(all.len(), 2);
        // A circle of 60 mm by chords within 0.005 mm.
        let circle = std::f64::consts::PI * 900.0;
        assert!((all[0] - circle).abs() < 1.0 && (all[1] - 240_000.0).abs() < 1e-6, "{all:?}");
    }
    made(&job);
}

#[test]
fn a_liner_has_a_pattern_of_its_own_stock_cut_square() {
    let mut job = sheet();
    let lining = Lining { sheet: mm(4.0), material: "Laminate".to_owned(), bond: mm(1.0), edges: Vec::new() };
    job.walls[0].liner = Some(lining);
    let drawing = drawn(&job, 4, 0);
    let cut = rings(&drawing, Layer::Cut);
    assert_eq!(cut.len(), 1);
    assert!((area(&cut[0]) - 590.0 * 390.0).abs() < 1e-3, "{}", area(&cut[0]));
    assert!(rings(&drawing, Layer::OtherFace).is_empty());
    assert!(says(&drawing, "4.0 mm Laminate") && says(&drawing, "layer 4 of 4"));
    made(&job);
}

fn hollow(first: FirstLayers) -> Job {
    let mut job = sheet();
    let shape = HollowShape::Radius { radius: mm(700.0), length: mm(600.0) };
    job.walls[0].hollow = Some(HollowBehind { shape, first, ..HollowBehind::measured(mm(600.0), mm(1.0)) });
    job
}

#[test]
fn kerfs_are_lines_across_the_pattern() {
    let first = FirstLayers::Kerfs { layers: 1, web: mm(5.0), kerf: mm(3.0), spacing: mm(50.0) };
    let job = hollow(first);
    let planned = plan(&job);
    let of = planned.walls[0].hollow.clone().unwrap();
    let kerfs = of.kerfs(1);
    let drawing = drawn(&job, 1, 0);
    let across = drawing.items.iter().filter_map(|item| match item {
        Item::Line(line) if line.layer == Layer::Marks && line.pen == Pen::MARK => {
            Some(line.path.bounding_box())
        }
        _ => None,
    });
    let lines: Vec<f64> =
        across.filter(|b| b.width() < 1e-9 && (b.height() - 400.0).abs() < 1e-6).map(|b| b.x0).collect();
    assert_eq!(lines.len(), kerfs.len());
    assert!(lines.iter().zip(kerfs).all(|(a, b)| (a - b).abs() < 1e-9));
    assert!(says(&drawing, &format!("{} kerfs on this side", kerfs.len())));
    assert!(!says(&drawn(&job, 2, 0), "kerfs"));
    made(&job);
}

#[test]
fn strips_have_a_pattern_each_with_both_faces() {
    let first = FirstLayers::Strips { layers: 1, gap: mm(3.0), widest: mm(300.0), square_up_to: mm(0.1) };
    let job = hollow(first);
    let planned = plan(&job);
    let count = planned.pieces.iter().filter(|p| p.id.layer == 1).count();
    assert!(count > 2);
    for part in 0..count as u32 {
        let drawing = drawn(&job, 1, part);
        let piece = planned.pieces.iter().find(|p| p.id.layer == 1 && p.id.part == part).unwrap();
        let (cut, other) = (rings(&drawing, Layer::Cut), rings(&drawing, Layer::OtherFace));
        // Box side up: its face is cut, the hull face dashed.
        assert!((area(&cut[0]) - piece.layer.area_inner).abs() < 0.1 && !other.is_empty());
        assert!(says(&drawing, &format!("strip {} of {count} over the hollow", part + 1)));
    }
    made(&job);
}
