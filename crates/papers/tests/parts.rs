//! Layers cut into parts, and sheets: what their papers say, against the parts the split gives and numbers known beforehand.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use std::collections::BTreeMap;

use coldwright_export::{Drawing, Item, Layer, read_dxf};
use coldwright_geometry::{Seam, SeamStyle as Meets, split_by};
use coldwright_job::{CutStyle, Job, Opening, OpeningShape, PieceId, SeamStyle, WallId, plan};
use coldwright_papers::{Kind, MakeOptions, PaperFile, PapersError, make, piece_pattern};
use common::outline::{farthest, rings, svg_rings};
use common::parts::{in_parts, laid_out, mm};
use kurbo::{Point, Rect, Shape};

fn of(part: u32) -> PieceId {
    PieceId { wall: WallId(1), layer: 2, part }
}

fn part(job: &Job, part: u32) -> Drawing {
    piece_pattern(job, &plan(job), of(part)).unwrap()
}

fn said(drawing: &Drawing) -> String {
    let texts = drawing.items.iter().filter_map(|item| match item {
        Item::Text(text) => Some(text.words.as_str()),
        _ => None,
    });
    texts.collect::<Vec<_>>().join("\n")
}

fn made(job: &Job, kinds: &[Kind]) -> Vec<PaperFile> {
    make(job, &plan(job), &MakeOptions { kinds: kinds.to_vec(), ..MakeOptions::default() }).unwrap()
}

fn text(files: &[PaperFile], name: &str) -> String {
    let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
    let file = files.iter().find(|f| f.name == name).unwrap_or_else(|| panic!("no {name} in {names:?}"));
    String::from_utf8(file.bytes.clone()).unwrap()
}

/// The half diamonds on a pattern, each with the name written nearest to it.
fn marks(drawing: &Drawing) -> BTreeMap<String, Point> {
    let names: Vec<(&str, Point)> = drawing
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(t) if t.bold && t.words.len() == 5 && t.words[1..].starts_with('-') => {
                let [a, _, c, _] = t.corners();
                Some((t.words.as_str(), a.midpoint(c)))
            }
            _ => None,
        })
        .collect();
    let mut found = BTreeMap::new();
    for item in &drawing.items {
        let Item::Fill(fill) = item else { continue };
        let area = fill.path.area().abs();
        if (area - 15.0).abs() > 1e-6 {
            continue;
        }
        // Its flat side is the first; the middle of that lies on the seam.
        let points: Vec<Point> = fill.path.elements().iter().filter_map(kurbo::PathEl::end_point).collect();
        let foot = points[0].midpoint(points[1]);
        let (name, far) = names
            .iter()
            .map(|(name, at)| (*name, at.distance(foot)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap();
        assert!(far < 25.0, "{name} stands {far} mm from its mark");
        assert!(found.insert(name.to_owned(), foot).is_none(), "{name} twice");
    }
    assert_eq!(found.len(), names.len());
    found
}

#[test]
fn every_part_is_a_pattern_of_its_own_with_the_outline_the_split_gives() {
    for degrees in [0.0, 10.0] {
        let job = in_parts(SeamStyle::Butt, degrees, CutStyle::Bevelled);
        let planned = plan(&job);
        let seams = job.seams[0].seams.iter().map(|s| Seam { from: s.from, to: s.to, style: Meets::Butt });
        let whole = &planned.walls[0].layers.as_ref().unwrap().layers[1];
        let parts = split_by(whole, &seams.collect::<Vec<_>>(), job.cutting.kerf.mm()).unwrap();
        assert_eq!((parts.len(), planned.pieces.len()), (3, 5));
        for p in &parts {
            let drawing = part(&job, p.index as u32);
            let face: Vec<Vec<Point>> = p.layer.inner.rings.iter().map(|r| r.outer.clone()).collect();
            assert!(farthest(&rings(&drawing, Layer::Cut), &face) < 1e-9);
            assert_eq!(drawing.title, format!("Panel 2 {}", p.letter()));
            assert!(said(&drawing).contains(&format!("part {} of 3", p.letter())), "{}", said(&drawing));
        }
        let files = made(&job, &[Kind::Svg]);
        let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
        assert_eq!(names, ["panel-1.svg", "panel-2-a.svg", "panel-2-b.svg", "panel-2-c.svg", "panel-3.svg"]);
    }
}

#[test]
fn seam_marks_meet_across_every_seam_and_each_name_is_there_twice() {
    for (style, cut) in [
        (SeamStyle::Butt, CutStyle::Bevelled),
        (SeamStyle::HalfLap(mm(24.0)), CutStyle::Bevelled),
        (SeamStyle::HalfLap(mm(24.0)), CutStyle::SquareFits),
    ] {
        let job = in_parts(style, 8.0, cut);
        let all: Vec<BTreeMap<String, Point>> = (0..3).map(|p| marks(&part(&job, p))).collect();
        let mut twice: BTreeMap<&str, Vec<Point>> = BTreeMap::new();
        for (name, at) in all.iter().flatten() {
            twice.entry(name).or_default().push(*at);
        }
        let names: Vec<&str> = twice.keys().copied().collect();
        assert_eq!(names, ["a-b 1", "a-b 2", "a-c 1", "a-c 2", "b-c 1", "b-c 2"]);
        for (name, at) in &twice {
            let apart = at[0].distance(at[1]);
            assert!(
                at.len() == 2 && (apart - job.cutting.kerf.mm()).abs() < 1e-6,
                "{name}: {apart} mm apart"
            );
        }
        // Turned end for end, no mark of the seam between b and c fits.
        let run = |name: &str| twice[name][0].x;
        let (one, two) = (run("b-c 1"), run("b-c 2"));
        let ends = (300.0, 900.0);
        let turned = |x: f64| ends.0 + ends.1 - x;
        assert!((turned(one) - two).abs() > 20.0 && (turned(one) - one).abs() > 20.0);
    }
}

#[test]
fn a_half_lap_shows_both_lines_and_says_which_half_comes_off() {
    let lap = 24.0;
    for cut in [CutStyle::Bevelled, CutStyle::SquareFills] {
        let job = in_parts(SeamStyle::HalfLap(mm(lap)), 0.0, cut);
        // The seam at 300 mm runs up: the part on its left, a, reaches over with its box half.
        let a = part(&job, 0);
        let reach = |layer| rings(&a, layer).iter().flatten().map(|p: &Point| p.x).fold(f64::MIN, f64::max);
        let kerf = job.cutting.kerf.mm() / 2.0;
        assert!((reach(Layer::Cut) - (300.0 + lap / 2.0 - kerf)).abs() < 1e-6, "{}", reach(Layer::Cut));
        assert!((reach(Layer::OtherFace) - (300.0 - lap / 2.0 - kerf)).abs() < 1e-6);
        let words = said(&a);
        assert!(words.contains("cut through square at the solid line"), "{words}");
        assert!(words.contains("then half the thickness off the hull side"), "{words}");
        // Its neighbour b reaches under it with its hull half: cut through there, the box half off up to the dashed line.
        let b = part(&job, 1);
        let beyond = said(&b);
        let least = |rings: Vec<Vec<Point>>| rings.iter().flatten().map(|p| p.x).fold(f64::MAX, f64::min);
        let cut_line = rings(&b, Layer::Cut);
        assert!((least(cut_line.clone()) - (300.0 - lap / 2.0 + kerf)).abs() < 1e-6);
        let dashed = rings(&b, Layer::OtherFace);
        assert!(
            dashed.iter().any(|line| line.len() == 2
                && line.iter().all(|p| (p.x - (300.0 + lap / 2.0 + kerf)).abs() < 1e-6))
        );
        // Four corners, and the outer ones where they were.
        let right = cut_line.iter().flatten().map(|p| p.x).fold(f64::MIN, f64::max);
        assert!((right - 900.0).abs() < 1e-6, "{right}");
        assert!(beyond.contains("cut through square at the solid line"), "{beyond}");
        assert!(beyond.contains("off the box side"), "{beyond}");
    }
}

#[test]
fn a_cross_is_on_the_part_it_lies_in_only() {
    let job = in_parts(SeamStyle::Butt, 5.0, CutStyle::Bevelled);
    let letters = |drawing: &Drawing| -> Vec<String> {
        let words = said(drawing);
        ["A", "B"].iter().filter(|c| words.lines().any(|l| l == **c)).map(|c| (*c).to_owned()).collect()
    };
    let mut all: Vec<String> = (0..3).flat_map(|p| letters(&part(&job, p))).collect();
    all.sort();
    assert_eq!(all, ["A", "B"]);
}

#[test]
fn a_piece_that_is_not_planned_is_refused() {
    let job = in_parts(SeamStyle::Butt, 0.0, CutStyle::Bevelled);
    let refused = piece_pattern(&job, &plan(&job), of(3)).unwrap_err();
    assert_eq!(refused, PapersError::NoSuchPiece { mark: "Panel 2 d".to_owned() });
}

#[test]
fn sheets_hold_every_outline_where_the_layout_puts_it() {
    let job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    let planned = plan(&job);
    let laid = planned.laid.as_deref().unwrap();
    assert!(laid.is_sound(), "{:?}", laid.faults);
    let files = made(&job, &[]);
    let mut found = 0;
    for sheet in 1..=laid.layout.sheets.len() {
        let svg = text(&files, &format!("sheet-{sheet}.svg"));
        // Four feet by eight, and 10 mm of white round it.
        let page = Drawing::new("", Rect::new(-10.0, -10.0, 1229.2, 2448.4));
        let mut wanted = Vec::new();
        for place in laid.layout.placements.iter().filter(|p| p.sheet + 1 == sheet) {
            let piece = planned.piece(laid.asked.ids[place.piece]).unwrap();
            assert!(svg.contains(&piece.mark), "{}", piece.mark);
            let (sin, cos) = place.turn_deg.to_radians().sin_cos();
            let at = |p: &Point| {
                Point::new(cos * p.x - sin * p.y + place.at.x, sin * p.x + cos * p.y + place.at.y)
            };
            wanted.extend(piece.layer.inner.rings.iter().map(|r| r.outer.iter().map(at).collect()));
            found += 1;
        }
        let read = svg_rings(&svg, Layer::Cut, &page);
        assert!(read.len() == wanted.len() && farthest(&read, &wanted) < 0.01);
        let outline = svg_rings(&svg, Layer::Marks, &page);
        let ends = outline.iter().flatten().fold((0.0, 0.0), |e: (f64, f64), p| (e.0.max(p.x), e.1.max(p.y)));
        assert!((ends.0 - 1219.2).abs() < 0.01 && (ends.1 - 2438.4).abs() < 0.01, "{ends:?}");
        assert_eq!(read_dxf(&text(&files, &format!("sheet-{sheet}.dxf"))).unwrap().unit_mm, Some(1.0));
    }
    assert_eq!(found, planned.pieces.len());
    // The sheet's number stands in the cut list.
    let list = text(&files, "cut-list.csv");
    let head: Vec<&str> = list.lines().next().unwrap().split(',').collect();
    let column = head.iter().position(|h| h.trim_start_matches('\u{feff}') == "sheet").unwrap();
    assert_eq!(column, head.len() - 2);
    assert!(
        list.lines().skip(1).all(|l| l.trim_end().rsplit(',').nth(1).unwrap().parse::<usize>().is_ok()),
        "{list}"
    );
}

#[test]
fn a_layout_that_no_longer_holds_makes_no_sheets() {
    let mut job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    job.layout.as_mut().unwrap().places[1].at = Point::new(0.0, 0.0);
    let files = made(&job, &[]);
    assert!(!files.iter().any(|f| f.name.starts_with("sheet-")));
    assert!(files.iter().any(|f| f.name == "shop-book.pdf"));
    assert!(text(&files, "cut-list.csv").contains(",,panel-2-a"));
}

#[test]
fn the_fitting_order_tells_what_passes_the_opening() {
    let job = Job {
        opening: Some(Opening {
            shape: OpeningShape::Rectangle { width: mm(300.0), height: mm(500.0), corner: mm(0.0) },
            behind: None,
            place: None,
        }),
        ..in_parts(SeamStyle::Butt, 0.0, CutStyle::Bevelled)
    };
    let order = text(&made(&job, &[Kind::Csv]), "fitting-order.csv");
    let rows: Vec<&str> = order.lines().skip(1).collect();
    assert_eq!(rows.len(), plan(&job).pieces.len(), "{order}");
    for (turn, row) in rows.iter().enumerate() {
        assert!(row.starts_with(&format!("{},Panel ", turn + 1)), "{row}");
        assert!(row.contains("to spare") || row.contains("too wide"), "{row}");
    }
}

#[test]
fn what_to_buy_is_what_the_job_reckons() {
    let job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    let buy = text(&made(&job, &[Kind::Csv]), "buy.csv");
    let wanted = coldwright_job::purchases(&job, &plan(&job));
    assert_eq!(buy.lines().count(), wanted.len() + 1);
    assert!(buy.contains("Full sheet") && buy.contains(",m²,"), "{buy}");
}

#[test]
fn edges_too_steep_for_the_saw_get_a_second_pattern_that_says_it_is_mirrored() {
    if !common::has("pdftotext", "-v") {
        return;
    }
    let folder = common::Folder::new("second");
    let pages = |tilt: (u8, u8), degrees: f64| {
        let mut job = common::job::four_sided(180.0, 160.0, degrees, CutStyle::Bevelled);
        job.cutting.tilt = tilt;
        let files = made(&job, &[Kind::Pdf]);
        let bytes = &files.iter().find(|f| f.name == "patterns.pdf").unwrap().bytes;
        let path = folder.write("patterns.pdf", bytes);
        let first = piece_pattern(&job, &plan(&job), PieceId { wall: WallId(1), layer: 1, part: 0 }).unwrap();
        (common::run("pdftotext", &["-layout", path.to_str().unwrap(), "-"]), said(&first))
    };
    // Open by 15°: with the box side up the table would have to tilt back by as much.
    let (all, first) = pages((45, 10), 15.0);
    assert_eq!(all.matches("hull face up, mirrored on purpose").count(), 3, "{all}");
    assert!(all.contains("saw 15.0° outward"), "{all}");
    assert!(first.contains("saw it hull face up: second pattern") && !first.contains("saw 15.0°"), "{first}");
    // With no saw stated, each edge says its angle on the first pattern, and there is no second.
    let (all, first) = pages(coldwright_job::Cutting::default().tilt, 15.0);
    assert!(!all.contains("mirrored on purpose") && first.contains("saw 15.0°"), "{first}");
    // Within reach, out of reach either way, or leaning the other way: the first pattern alone.
    for (tilt, degrees) in [((45, 20), 15.0), ((12, 10), 15.0), ((45, 10), -15.0)] {
        let (all, first) = pages(tilt, degrees);
        assert!(
            !all.contains("mirrored on purpose") && first.contains("saw 15.0°"),
            "{tilt:?}, {degrees}: {first}"
        );
    }
}
