//! What the tiling promises about pages, marks and refusals.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{
    Anchor, CheckSquare, Drawing, ExportError, Item, Layer, Paper, PdfPage, Pen, Text, TileOptions, Tiling,
    correction_from_print, page_grid, tile, tile_all, tile_with_plan,
};
use common::letter_f;
use kurbo::{BezPath, Circle, Rect, Shape, Vec2};
use proptest::prelude::*;

fn options(paper: Paper) -> TileOptions {
    TileOptions { paper, job_name: "Sample".into(), piece_name: "F".into(), ..TileOptions::default() }
}

fn panel(width: f64, height: f64) -> Drawing {
    let mut drawing = Drawing::new("Panel", Rect::new(0.0, 0.0, width, height));
    drawing.line(drawing.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
    drawing
}

fn has_square(tiling: &Tiling) -> bool {
    tiling.pages.iter().any(|p| {
        p.page.drawing.items.iter().any(|item| matches!(item, Item::Text(t) if t.words == "100 mm each way"))
    })
}

#[test]
fn a_30_by_24_inch_piece_takes_at_most_15_letter_pages() {
    // Common practice, no source: 12 to 15 Letter pages at half an inch of overlap.
    let tiling = tile_with_plan(&panel(762.0, 609.6), &options(Paper::Letter)).unwrap();
    assert!((10..=15).contains(&tiling.pages.len()), "{}", tiling.pages.len());
}

#[test]
fn pages_without_ink_are_left_out() {
    let tiling = tile_with_plan(&panel(1200.0, 900.0), &options(Paper::A4)).unwrap();
    assert!(tiling.pages.len() < tiling.map.0 * tiling.map.1, "the middle of a large panel is empty");
    for page in &tiling.pages {
        let ink = page.page.drawing.items.iter().any(|item| item.layer() == Layer::Cut);
        assert!(ink, "{} has no ink", page.name);
    }
}

#[test]
fn a_hole_in_the_middle_hangs_on_the_rest() {
    let mut drawing = panel(2000.0, 1500.0);
    drawing.line(Circle::new((1000.0, 750.0), 20.0).to_path(0.01), Pen::CUT, Layer::Cut);
    let tiling = tile_with_plan(&drawing, &options(Paper::A4)).unwrap();
    let mut reached = vec![0];
    let mut next = 0;
    while next < reached.len() {
        let here = &tiling.pages[reached[next]];
        for (i, other) in tiling.pages.iter().enumerate() {
            let joined = here.joins.iter().any(|a| other.joins.iter().any(|b| a.label == b.label));
            if joined && !reached.contains(&i) {
                reached.push(i);
            }
        }
        next += 1;
    }
    assert_eq!(reached.len(), tiling.pages.len());
}

#[test]
fn the_square_goes_beside_a_small_piece_and_before_a_full_page() {
    let small = tile_with_plan(&panel(60.0, 80.0), &options(Paper::A4)).unwrap();
    assert!(small.read_me.is_none() && has_square(&small) && small.pages.len() == 1);
    let full = tile_with_plan(&panel(180.0, 240.0), &options(Paper::A4)).unwrap();
    assert!(full.read_me.is_some() && !has_square(&full), "inside the panel it would look like a cut-out");
    let left = TileOptions { check_square: CheckSquare::Left, ..options(Paper::A4) };
    let none = tile_with_plan(&panel(60.0, 80.0), &left).unwrap();
    assert!(none.read_me.is_none() && !has_square(&none));
}

#[test]
fn numbers_go_on_from_one_drawing_to_the_next() {
    let first = tile_with_plan(&letter_f(), &options(Paper::A4)).unwrap();
    let next = TileOptions { first_seam: first.next_seam, ..options(Paper::A4) };
    let second = tile_with_plan(&letter_f(), &next).unwrap();
    let labels =
        |t: &Tiling| t.pages.iter().flat_map(|p| &p.joins).map(|j| j.label.clone()).collect::<Vec<_>>();
    assert!(!labels(&first).is_empty());
    assert!(labels(&first).iter().all(|label| !labels(&second).contains(label)));
}

#[test]
fn several_pieces_are_one_document() {
    let pieces = [("Hull 1", letter_f()), ("Hull 2", panel(900.0, 700.0)), ("Lid", panel(60.0, 60.0))];
    let pages = tile_all(&pieces, &options(Paper::A4)).unwrap();
    let words = |page: &PdfPage| {
        let texts = page.drawing.items.iter().filter_map(|item| match item {
            Item::Text(text) => Some(text.words.clone()),
            _ => None,
        });
        texts.collect::<Vec<_>>()
    };
    for (i, page) in pages.iter().enumerate() {
        let foot = format!(" · page {} of {}", i + 1, pages.len());
        assert!(words(page).iter().any(|w| w.ends_with(&foot)), "{foot}: {:?}", words(page));
    }
    assert!(words(pages.last().unwrap()).contains(&format!("Sample · Lid · page {0} of {0}", pages.len())));
    let squares = pages.iter().filter(|page| words(page).iter().any(|w| w == "100 mm each way")).count();
    assert_eq!(squares, 1);
    assert_eq!(tile_all::<&str>(&[], &options(Paper::A4)), Err(ExportError::NoPages));
}

#[test]
fn a_long_roll_is_cut_at_200_inches() {
    let pages = tile(&panel(12_000.0, 500.0), &options(Paper::Roll { width_mm: 610.0 })).unwrap();
    assert_eq!(pages.len(), 1 + 3, "the square's page and three of the panel");
    assert!(
        pages.iter().all(|p| p.size_mm.0 <= 5080.0 && p.size_mm.1 == 610.0
            || p.size_mm.1 <= 5080.0 && p.size_mm.0 == 610.0)
    );
}

#[test]
fn what_cannot_be_is_refused_in_words() {
    let refused = |options: TileOptions| tile(&letter_f(), &options).unwrap_err().to_string();
    assert!(refused(TileOptions { margin_mm: 5.0, ..options(Paper::A4) }).contains("12.7"));
    assert!(refused(TileOptions { margin_mm: f64::NAN, ..options(Paper::A4) }).contains("12.7"));
    assert!(refused(TileOptions { overlap_mm: 0.0, ..options(Paper::A4) }).contains("overlap"));
    assert!(refused(TileOptions { overlap_mm: f64::INFINITY, ..options(Paper::A4) }).contains("overlap"));
    for bad in [1.06, 0.94, 0.0, f64::NAN, -1.0] {
        let words = refused(TileOptions { print_correction: (1.0, bad), ..options(Paper::A4) });
        assert!(words.contains("along y") && words.contains("switch scaling off"), "{words}");
    }
    assert!(
        refused(TileOptions { paper: Paper::Roll { width_mm: 100.0 }, ..options(Paper::A4) }).contains("210")
    );
    let empty = Drawing::new("nothing", Rect::new(0.0, 0.0, 10.0, 10.0));
    assert!(matches!(tile(&empty, &options(Paper::A4)), Err(ExportError::NothingToDraw { .. })));
    let mut huge = panel(900_000.0, 900_000.0);
    assert!(matches!(tile(&huge, &options(Paper::A4)), Err(ExportError::TooManyPages { .. })));
    huge.straight((f64::NAN, 0.0), (1.0, 1.0), Pen::CUT, Layer::Cut);
    assert!(matches!(tile(&huge, &options(Paper::A4)), Err(ExportError::NotFinite { .. })));
}

#[test]
fn an_inch_that_measures_29_32_is_a_scaled_print() {
    // The trade's own example: a printed one-inch square of 29/32 in (9.4 % short).
    let short = 100.0 * 29.0 / 32.0;
    assert!(correction_from_print(short, short).unwrap_err().to_string().contains("-9.4 %"));
    assert_eq!(correction_from_print(95.0, 105.0).unwrap(), (100.0 / 95.0, 100.0 / 105.0));
    for bad in [f64::NAN, f64::INFINITY, 0.0, -100.0] {
        assert!(matches!(correction_from_print(bad, 100.0), Err(ExportError::Measured { .. })));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, failure_persistence: None, ..ProptestConfig::default() })]

    /// Any ring on any paper: every point of the drawing is on a page, every item of every page inside the margin,
    /// every label on exactly two pages.
    #[test]
    fn nothing_is_lost_and_nothing_runs_out(
        radii in prop::collection::vec(20.0..700.0_f64, 3..12),
        paper in prop::sample::select(vec![Paper::A4, Paper::Letter, Paper::A3, Paper::Tabloid, Paper::Roll { width_mm: 610.0 }]),
        overlap_mm in 8.0..25.0_f64,
        shift in -2000.0..2000.0_f64,
        factors in (0.96..1.04_f64, 0.96..1.04_f64),
    ) {
        let mut path = BezPath::new();
        for (i, r) in radii.iter().enumerate() {
            let p = Vec2::from_angle(i as f64 / radii.len() as f64 * std::f64::consts::TAU) * *r + Vec2::new(shift, -shift);
            if i == 0 { path.move_to(p.to_point()) } else { path.line_to(p.to_point()) }
        }
        path.close_path();
        let mut drawing = Drawing::new("ring", path.bounding_box());
        drawing.line(path.clone(), Pen::OTHER_FACE, Layer::OtherFace);
        drawing.line(path.clone(), Pen::CUT, Layer::Cut);
        let options = TileOptions { overlap_mm, print_correction: factors, ..options(paper) };
        let tiling = tile_with_plan(&drawing, &options).unwrap();

        for segment in path.segments() {
            for i in 0..=200 {
                let p = kurbo::ParamCurve::eval(&segment, f64::from(i) / 200.0);
                prop_assert!(tiling.pages.iter().any(|page| page.window.contains(p)), "{p} is on no page");
            }
        }
        let all = tiling.read_me.iter().chain(tiling.pages.iter().map(|p| &p.page));
        for page in all {
            let ink = page.drawing.ink().unwrap();
            let sheet = Rect::new(0.0, 0.0, page.size_mm.0, page.size_mm.1).inset(-12.7);
            prop_assert!(sheet.contains_rect(ink), "{ink:?} runs out of {sheet:?}");
            prop_assert!(page.drawing.check().is_ok());
        }
        let labels: Vec<_> = tiling.pages.iter().flat_map(|p| &p.joins).map(|j| &j.label).collect();
        for label in &labels {
            prop_assert_eq!(labels.iter().filter(|l| l == &label).count(), 2);
        }
    }
}

#[test]
fn joining_marks_keep_clear_of_words_on_the_seam() {
    // A block of words laid over the middle of each seam, as long as leaves a hand's breadth free.
    for length in [60.0, 100.0] {
        let mut drawing = panel(360.0, 520.0);
        let words = "M".repeat((length / 4.2) as usize);
        let centre = drawing.bounds.center();
        for row in -6..=6 {
            drawing.text(Text {
                at: centre + Vec2::new(30.0, f64::from(row) * 7.0),
                words: words.clone(),
                height_pt: 14.0,
                angle: 0.0,
                anchor: Anchor::Middle,
                bold: false,
                layer: Layer::Words,
            });
        }
        let tiling = tile_with_plan(&drawing, &options(Paper::Letter)).unwrap();
        let boxes: Vec<Rect> =
            drawing.items.iter().filter(|item| matches!(item, Item::Text(_))).filter_map(Item::ink).collect();
        let mut seen = 0;
        for join in tiling.pages.iter().flat_map(|page| &page.joins) {
            let cross = Rect::from_center_size(join.in_drawing, (8.0, 8.0));
            assert!(!boxes.iter().any(|b| b.overlaps(cross)), "{} lies over words", join.label);
            seen += 1;
        }
        assert!(seen >= 8);
    }
}

#[test]
fn a_grid_laid_out_before_keeps_its_seams_and_grows_for_words_beside() {
    let lines = panel(400.0, 300.0);
    let base = options(Paper::A4);
    let grid = page_grid(&lines, &base).unwrap();
    let mut more = lines.clone();
    more.straight((-5.0, -260.0), (10.0, -260.0), Pen::MARK, Layer::Marks);
    let tiling = tile_with_plan(&more, &TileOptions { grid: Some(grid.clone()), ..base.clone() }).unwrap();
    let windows: Vec<Rect> = grid.windows().into_iter().filter(|w| w.inked).map(|w| w.window).collect();
    let close = |a: &Rect, b: &Rect| (a.origin() - b.origin()).hypot() < 1e-9;
    assert!(windows.iter().all(|w| tiling.pages.iter().any(|page| close(&page.window, w))));
    assert!(tiling.pages.iter().any(|page| page.window.contains(kurbo::Point::new(0.0, -260.0))));
    let other = TileOptions { grid: Some(grid), ..options(Paper::Letter) };
    assert!(matches!(tile(&lines, &other), Err(ExportError::OtherGrid { .. })));
}
