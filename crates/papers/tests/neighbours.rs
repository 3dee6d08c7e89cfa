//! Marks and words where two walls meet: the same place of the corner on both, against arithmetic known beforehand.
#![allow(
    clippy::unwrap_used,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{Drawing, Item, Layer};
use coldwright_job::{
    CutStyle, EdgeId, EdgeOf, Job, Joint, JointId, JointKind, LayerSeams, PieceId, Seam, SeamStyle, Wall,
    WallId, plan,
};
use coldwright_papers::piece_pattern;
use common::job::four_sided;
use kurbo::{PathEl, Point, Shape};

/// A side 600 wide and 400 high on a floor 600 wide and 300 deep: the side's bottom meets the floor's top edge.
fn box_of_two(kind: JointKind) -> Job {
    let mut job = four_sided(600.0, 400.0, 0.0, CutStyle::Bevelled);
    let mut floor = four_sided(600.0, 300.0, 0.0, CutStyle::Bevelled).walls.remove(0);
    for tick in &mut floor.template.ticks {
        tick.id.0 += 100;
    }
    for edge in &mut floor.template.edges {
        edge.id.0 += 100;
        edge.ticks.iter_mut().for_each(|t| t.0 += 100);
    }
    floor.template.base = Some(EdgeId(110));
    job.walls[0].name = "Side".to_owned();
    job.walls.push(Wall { id: WallId(2), name: "Floor".to_owned(), ..floor });
    let at = |wall, edge| EdgeOf { wall: WallId(wall), edge: EdgeId(edge) };
    // The floor's edge that lies uppermost in its own frame runs from right to left, against the side's bottom.
    job.joints = vec![Joint { id: JointId(900), a: at(1, 10), b: at(2, 112), kind, degrees: None }];
    job
}

fn drawn(job: &Job, wall: u32, layer: u32) -> Drawing {
    piece_pattern(job, &plan(job), PieceId { wall: WallId(wall), layer, part: 0 }).unwrap()
}

fn said(drawing: &Drawing) -> String {
    let words = drawing.items.iter().filter_map(|item| match item {
        Item::Text(text) => Some(text.words.as_str()),
        _ => None,
    });
    words.collect::<Vec<_>>().join("\n")
}

/// Middle of the open side of the one mark whose three points enclose 15 mm².
fn mark(drawing: &Drawing) -> Point {
    let marks: Vec<Point> = drawing
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Line(line) if line.layer == Layer::Marks && line.path.elements().len() == 3 => {
                let mut closed = line.path.clone();
                closed.close_path();
                let p: Vec<Point> = line.path.elements().iter().filter_map(PathEl::end_point).collect();
                ((closed.area().abs() - 15.0).abs() < 1e-6).then(|| p[0].midpoint(p[2]))
            }
            _ => None,
        })
        .collect();
    assert_eq!(marks.len(), 1, "one mark");
    marks[0]
}

#[test]
fn a_mark_lies_at_the_same_place_of_the_corner_on_both_walls() {
    let job = box_of_two(JointKind::Woven { first_runs: true });
    for layer in 1..=3 {
        let (side, floor) = (mark(&drawn(&job, 1, layer)), mark(&drawn(&job, 2, layer)));
        // The side's bottom runs from left to right, x from its left corner; the floor is seen from above with the side
        // beyond it, so that its x is the same corner's.
        assert!((side.x - 0.38 * 600.0).abs() < 0.01, "layer {layer}: {side:?}");
        assert!((side.x - floor.x).abs() < 0.01, "layer {layer}: {side:?} and {floor:?}");
        assert!(side.y < 200.0 && floor.y > 150.0, "at the edges that meet");
    }
}

#[test]
fn only_the_part_that_has_the_place_has_the_mark() {
    let mut job = box_of_two(JointKind::StopsShort);
    // The mark lies 228 mm from the left; the part beyond the seam at 300 has the same edge without it, and a seam that faces
    // the way of the wall's left end.
    let seam = Seam { from: (300.0, -50.0).into(), to: (300.0, 450.0).into(), style: SeamStyle::Butt };
    job.seams = vec![LayerSeams { wall: WallId(1), layer: 2, seams: vec![seam] }];
    let planned = plan(&job);
    let part = |part| piece_pattern(&job, &planned, PieceId { wall: WallId(1), layer: 2, part }).unwrap();
    let (left, right) = (part(0), part(1));
    assert!((mark(&left).x - 0.38 * 600.0).abs() < 0.01);
    assert!(said(&left).contains("meets Floor 3 at J1"));
    assert!(said(&right).contains("meets Floor 3") && !said(&right).contains("J1"), "{}", said(&right));

    // A seam along the edge: the part beyond it looks the same way there, and meets no floor.
    let seam = Seam { from: (-50.0, 200.0).into(), to: (650.0, 200.0).into(), style: SeamStyle::Butt };
    job.seams = vec![LayerSeams { wall: WallId(1), layer: 2, seams: vec![seam] }];
    let planned = plan(&job);
    let both = [0, 1].map(|part| {
        said(&piece_pattern(&job, &planned, PieceId { wall: WallId(1), layer: 2, part }).unwrap())
    });
    assert_eq!(both.iter().filter(|words| words.contains("J1")).count(), 1, "{both:?}");
}

#[test]
fn each_layer_says_which_layer_it_meets() {
    for (kind, side, floor) in [
        (
            JointKind::Woven { first_runs: true },
            ["runs past Floor at J1", "meets Floor 2 at J1", "meets Floor 2 at J1"],
            ["meets Side 1 at J1", "meets Side 1 at J1", "meets Side 3 at J1"],
        ),
        (JointKind::StopsShort, ["meets Floor 3 at J1"; 3], ["runs past Side at J1"; 3]),
        (JointKind::RunsPast, ["runs past Floor at J1"; 3], ["meets Side 3 at J1"; 3]),
        (
            JointKind::Mitred,
            ["meets Floor 1 at J1", "meets Floor 2 at J1", "meets Floor 3 at J1"],
            ["meets Side 1 at J1", "meets Side 2 at J1", "meets Side 3 at J1"],
        ),
    ] {
        let mut job = box_of_two(kind);
        if kind == JointKind::Mitred {
            for wall in &mut job.walls {
                let edge = if wall.id == WallId(1) { 0 } else { 2 };
                wall.template.edges[edge].bevel[0].degrees = -45.0;
            }
        }
        for layer in 1..=3_u32 {
            for (wall, words) in [(1, side), (2, floor)] {
                let all = said(&drawn(&job, wall, layer));
                assert!(
                    all.contains(words[layer as usize - 1]),
                    "{kind:?}, wall {wall}, layer {layer}: {all}"
                );
                assert!(all.lines().any(|l| l == "J1"), "the mark has its name");
            }
        }
    }
}

#[test]
fn at_a_corner_that_points_into_the_box_a_layer_meets_what_lies_over_it() {
    // Three layers against three, 270° between the outer faces. Woven: the side's 1 reaches on over the floor's 1 and meets its
    // 2, its 2 stops under the floor's 2, its 3 reaches over all; the floor's counterparts stop under 1, meet 3, stop under 3.
    let mut job = box_of_two(JointKind::Woven { first_runs: true });
    job.joints[0].degrees = Some(270.0);
    let met = |first| [1, 2, 3].map(|number| job.joints[0].meets(first, number, 3));
    assert_eq!(met(true), [Some(2), Some(2), None]);
    assert_eq!(met(false), [Some(1), Some(3), Some(3)]);
}
