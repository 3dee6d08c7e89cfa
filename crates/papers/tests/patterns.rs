//! Patterns of invented walls: what is on them, and that words stand where they may.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{Drawing, Item, Layer, Paper, Text, TileOptions, page_grid};
use coldwright_job::{BevelAt, CutStyle, EdgeId, Job, Place, SeenFrom, Stands, TickId, plan};
use coldwright_papers::{PapersError, pattern};
use common::job::{four_sided, lopsided};
use common::outline::{distance, farthest, mirrored, rings, sides};
use kurbo::{Point, Shape, Vec2};
use proptest::prelude::*;

fn drawing(job: &Job, layer: usize) -> Drawing {
    let plan = plan(job);
    pattern(job, &plan.walls[0], layer).unwrap()
}

fn texts(drawing: &Drawing) -> impl Iterator<Item = &Text> {
    drawing.items.iter().filter_map(|item| if let Item::Text(text) = item { Some(text) } else { None })
}

fn inside(ring: &[Point], p: Point) -> bool {
    let crossings = sides(ring)
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y));
    crossings.count() % 2 == 1
}

/// The words' box as ink: from the baseline's descent to a capital's top.
fn ink(text: &Text) -> [Point; 4] {
    let [a, b, c, d] = text.corners();
    // `corners` leaves room for accents above the capitals, which these words need only on capital letters.
    let low = 0.2;
    [a, b, b.lerp(c, 1.0 - low), a.lerp(d, 1.0 - low)]
}

/// No words cross a line to cut along or lie over other words; where `all_inside`, none stand outside the piece.
fn check_words(drawing: &Drawing, all_inside: bool) {
    let cut = rings(drawing, Layer::Cut);
    let lines = [cut.clone(), rings(drawing, Layer::OtherFace)].concat();
    let boxes: Vec<(&str, [Point; 4])> = texts(drawing).map(|t| (t.words.as_str(), ink(t))).collect();
    for text in texts(drawing) {
        assert!(text.height_pt >= 9.0, "{} is set in {} pt", text.words, text.height_pt);
    }
    for (words, corners) in &boxes {
        for (a, b) in sides(corners) {
            for k in 0..=20 {
                let p = a.lerp(b, f64::from(k) / 20.0);
                let near = lines
                    .iter()
                    .flat_map(|ring| sides(ring))
                    .map(|(a, b)| distance(p, a, b))
                    .fold(f64::MAX, f64::min);
                assert!(near > 0.5, "\"{words}\" comes within {near} mm of a line");
                if all_inside {
                    assert!(cut.iter().any(|ring| inside(ring, p)), "\"{words}\" stands outside the piece");
                }
            }
        }
    }
    for (i, (one, a)) in boxes.iter().enumerate() {
        for (other, b) in &boxes[i + 1..] {
            let ring = |c: &[Point; 4], p: Point| inside(c, p);
            let meets = (0..=10).any(|k| {
                let f = f64::from(k) / 10.0;
                let along = |c: &[Point; 4], h: f64| c[0].lerp(c[1], f).lerp(c[3].lerp(c[2], f), h);
                [0.3, 0.7].into_iter().any(|h| ring(b, along(a, h)) || ring(a, along(b, h)))
            });
            assert!(!meets, "\"{one}\" lies over \"{other}\"");
        }
    }
}

#[test]
fn everything_a_piece_must_say_is_on_it() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let drawing = drawing(&job, 2);
    let all: Vec<&str> = texts(&drawing).map(|t| t.words.as_str()).collect();
    let says =
        |words: &str| assert!(all.iter().any(|t| t.contains(words)), "nothing says \"{words}\" in {all:#?}");
    for words in [
        "Après side 2",
        "this face up: box side",
        "25.4 mm XPS",
        "layer 2 of 3; below it Après side 1, on it Après side 3",
        "solid line, box face; dashed is the hull face",
        "pennant flies to the right",
        "mask",
        "foot, base edge",
        "8.0° closed · hull face proud · saw 8.0° outward",
        "12.5° open · box face proud · saw 12.5° inward",
        "bevel changes",
        "9.0° open · box face proud · saw inward",
        "cut square",
        "crosses A and B",
    ] {
        says(words);
    }
    assert_eq!(all.iter().filter(|t| **t == "up").count(), 1);
    let mark = texts(&drawing).find(|t| t.words == "Après side 2").unwrap();
    assert!((mark.height_pt - 24.0).abs() < 1e-9 && mark.bold);
    assert_eq!(rings(&drawing, Layer::Cut).len(), 1);
    assert_eq!(rings(&drawing, Layer::OtherFace).len(), 1);
    check_words(&drawing, true);
}

#[test]
fn a_floor_points_forward_and_square_cuts_say_so() {
    for (cut, words) in [(CutStyle::SquareFits, "edges square, fits"), (CutStyle::SquareFills, "trim to fit")]
    {
        let mut job = lopsided(SeenFrom::BoxSide, cut);
        job.walls[0].stands = Stands::Floor;
        let drawing = drawing(&job, 1);
        let all: Vec<&str> = texts(&drawing).map(|t| t.words.as_str()).collect();
        assert!(all.contains(&"forward") && !all.contains(&"up"));
        assert!(
            all.iter().any(|t| t.contains(words)) && !all.iter().any(|t| t.contains("proud")),
            "{all:#?}"
        );
        assert!(rings(&drawing, Layer::OtherFace).is_empty());
        check_words(&drawing, true);
    }
}

#[test]
fn the_solid_line_is_the_box_face_the_dashed_one_the_hull_face() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let planned = plan(&job);
    let layers = planned.walls[0].layers.as_ref().unwrap();
    for (number, layer) in layers.layers.iter().enumerate() {
        let drawing = pattern(&job, &planned.walls[0], number + 1).unwrap();
        let model =
            |rings: &[coldwright_geometry::Ring]| rings.iter().map(|r| r.outer.clone()).collect::<Vec<_>>();
        assert!(farthest(&rings(&drawing, Layer::Cut), &model(&layer.inner.rings)) < 1e-9);
        assert!(farthest(&rings(&drawing, Layer::OtherFace), &model(&layer.outer.rings)) < 1e-9);
    }
}

#[test]
fn a_panel_with_sloping_sides_is_the_frustum_of_school_geometry() {
    // Closed form: a side leaning out by b stands (depth)·tan b farther out; template at the hull face, layers of 25.4 mm.
    let job = four_sided(400.0, 300.0, 15.0, CutStyle::Bevelled);
    for layer in 1..=3 {
        let out = 25.4 * layer as f64 * 15_f64.to_radians().tan();
        let want = kurbo::Rect::new(-out, -out, 400.0 + out, 300.0 + out);
        let want = vec![vec![
            Point::new(want.x0, want.y0),
            Point::new(want.x1, want.y0),
            Point::new(want.x1, want.y1),
            Point::new(want.x0, want.y1),
        ]];
        let off = farthest(&rings(&drawing(&job, layer), Layer::Cut), &want);
        assert!(off < 0.01, "layer {layer} is {off} mm off");
    }
}

#[test]
fn the_same_template_from_its_other_side_gives_the_same_pattern() {
    for cut in [CutStyle::Bevelled, CutStyle::SquareFits] {
        let from_box = lopsided(SeenFrom::BoxSide, cut);
        let from_hull = lopsided(SeenFrom::HullSide, cut);
        for layer in 1..=3 {
            let (one, other) = (drawing(&from_box, layer), drawing(&from_hull, layer));
            let (a, b) = (rings(&one, Layer::Cut), rings(&other, Layer::Cut));
            assert!(farthest(&a, &b) < 1e-6, "layer {layer}: {} mm apart", farthest(&a, &b));
            assert!(
                farthest(&a, &mirrored(&a)) > 100.0,
                "the shape must be lopsided for this to mean anything"
            );
            let sorted = |d: &Drawing| {
                let mut words: Vec<String> = texts(d).map(|t| t.words.clone()).collect();
                words.sort();
                words
            };
            assert_eq!(sorted(&one), sorted(&other));
        }
    }
}

#[test]
fn the_pennant_flies_to_the_right_of_an_upright_staff() {
    let drawing = drawing(&lopsided(SeenFrom::HullSide, CutStyle::Bevelled), 1);
    let fills: Vec<kurbo::Rect> = drawing
        .items
        .iter()
        .filter_map(|item| if let Item::Fill(fill) = item { Some(fill.path.bounding_box()) } else { None })
        .collect();
    let [head, pennant] = fills.as_slice() else { panic!("a staff has a head and a pennant: {fills:?}") };
    assert!(head.y0 > pennant.y1, "the head is above the pennant");
    assert!(
        (pennant.x0 - head.center().x).abs() < 0.01 && pennant.x1 > head.x1 + 10.0,
        "the pennant starts at the staff"
    );
}

#[test]
fn match_crosses_lie_at_one_place_of_the_wall_on_all_layers() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let letters = |layer: usize| {
        let drawing = drawing(&job, layer);
        ["A", "B"].map(|letter| texts(&drawing).find(|t| t.words == letter).map(|t| t.at).unwrap())
    };
    let first = letters(1);
    assert!(first[0].distance(first[1]) > 400.0);
    assert_eq!(letters(2), first);
    assert_eq!(letters(3), first);
}

#[test]
fn strips_and_small_pieces_still_carry_their_words() {
    for (width, height, all_inside) in [
        (900.0, 30.0, false),
        (30.0, 900.0, false),
        (120.0, 90.0, false),
        (40.0, 25.0, false),
        (700.0, 120.0, true),
    ] {
        let job = four_sided(width, height, 10.0, CutStyle::Bevelled);
        let drawing = drawing(&job, 2);
        let all: Vec<&str> = texts(&drawing).map(|t| t.words.as_str()).collect();
        assert!(all.join(" ").contains("this face up: box side"), "{width} × {height}: {all:?}");
        assert!(all.contains(&"Panel 2"), "{width} × {height}: {all:?}");
        check_words(&drawing, all_inside);
    }
}

#[test]
fn names_the_typeface_lacks_become_numbers() {
    let mut job = four_sided(500.0, 300.0, 0.0, CutStyle::Bevelled);
    job.walls[0].name = "右舷の壁".to_owned();
    assert!(texts(&drawing(&job, 1)).any(|t| t.words == "Wall 1 1"));
    job.walls[0].name = "Левый борт".to_owned();
    assert!(texts(&drawing(&job, 1)).any(|t| t.words == "Левый борт 1"));
}

#[test]
fn what_cannot_be_drawn_is_refused_in_words() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let planned = plan(&job);
    let refused = pattern(&job, &planned.walls[0], 4).unwrap_err();
    assert_eq!(refused.to_string(), "the wall \"Après side\" has 3 layers, so there is no layer 4");
    let mut open = job.clone();
    open.walls[0].template.edges.truncate(1);
    let refused = pattern(&open, &plan(&open).walls[0], 1).unwrap_err();
    assert!(matches!(refused, PapersError::NoLayers { .. }), "{refused}");
    let refused = pattern(&Job::default(), &planned.walls[0], 1).unwrap_err();
    assert!(matches!(refused, PapersError::NoSuchWall { number: 1 }), "{refused}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn words_keep_off_the_lines_of_any_four_sided_panel(
        width in 60.0..1200.0_f64,
        height in 60.0..900.0_f64,
        slants in prop::array::uniform4(-25.0..25.0_f64),
        bevels in prop::array::uniform4(-20.0..20.0_f64),
    ) {
        let mut job = four_sided(width, height, 0.0, CutStyle::Bevelled);
        let template = &mut job.walls[0].template;
        for (tick, slant) in template.ticks.iter_mut().zip(slants) {
            if let Place::Typed { at, .. } = &mut tick.place {
                *at += Vec2::new(slant, -slant / 2.0);
            }
        }
        for (edge, degrees) in template.edges.iter_mut().zip(bevels) {
            edge.bevel = vec![BevelAt { at: 0.0, degrees }];
        }
        prop_assert_eq!(template.edges[0].id, EdgeId(10));
        prop_assert_eq!(template.ticks[0].id, TickId(100));
        let planned = plan(&job);
        if planned.walls[0].layers.is_some() {
            match pattern(&job, &planned.walls[0], 2) {
                Ok(drawing) => check_words(&drawing, false),
                Err(why) => prop_assert!(matches!(why, PapersError::NothingToCut { .. }), "{}", why),
            }
        }
    }
}

#[test]
fn words_are_whole_on_one_page_on_every_paper() {
    for paper in [Paper::Letter, Paper::A4, Paper::A3, Paper::Tabloid, Paper::Roll { width_mm: 610.0 }] {
        for cut in [CutStyle::Bevelled, CutStyle::SquareFits] {
            let mut many = 0;
            for wide in [0.8, 1.0, 1.3] {
                let mut job = Job { paper, ..lopsided(SeenFrom::BoxSide, cut) };
                for tick in &mut job.walls[0].template.ticks {
                    if let Place::Typed { at, .. } = &mut tick.place {
                        at.x *= wide;
                    }
                }
                let drawing = drawing(&job, 2);
                let mut lines = drawing.clone();
                lines.items.retain(|item| matches!(item.layer(), Layer::Cut | Layer::OtherFace));
                let options = TileOptions { paper, ..TileOptions::default() };
                let grid = page_grid(&lines, &options).unwrap();
                many += grid.windows().iter().filter(|page| page.inked).count();
                // The seams of the pages: words whose box meets none stand on one page and on no other.
                for text in texts(&drawing).filter(|text| text.words.len() > 1) {
                    for seam in grid.seams() {
                        let box_of = ink(text)
                            .into_iter()
                            .fold(kurbo::Rect::from_points(ink(text)[0], ink(text)[0]), |all, p| {
                                all.union_pt(p)
                            });
                        // Slanting words have a larger upright box than they need: their four sides are walked.
                        let meets = seam.overlaps(box_of)
                            && sides(&ink(text)).any(|(a, b)| {
                                (0..=200).any(|k| seam.contains(a.lerp(b, f64::from(k) / 200.0)))
                            });
                        assert!(!meets, "{paper:?}: \"{}\" runs over a seam", text.words);
                    }
                }
                // And with the words the pages are as many as without.
                let with = TileOptions { grid: Some(grid.clone()), ..options };
                let pages = coldwright_export::tile_with_plan(&drawing, &with).unwrap().pages.len();
                assert_eq!(pages, grid.windows().iter().filter(|page| page.inked).count(), "{paper:?}");
            }
            let roll = matches!(paper, Paper::Roll { .. });
            assert!(roll || many > 3, "{paper:?}: nothing has a seam");
        }
    }
}
