//! The printed cards as poppler renders them: lengths measured on the raster, and found again by our own card finder.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_canvas::{CardKind, Limits, Picture, crossings_mm, find_cards};
use coldwright_export::Paper;
use coldwright_papers::{CardOptions, cards};
use common::{Folder, Grey, has, run, stretches};

const DPI: u32 = 300;

/// Middles of the cards on a page, mm from the top left corner, and their scale.
fn places(paper: Paper, half: bool) -> Vec<(f64, f64)> {
    let (w, h) = if paper == Paper::A4 { (210.0, 297.0) } else { (215.9, 279.4) };
    if half { vec![(w / 2.0, h / 4.0), (w / 2.0, h * 0.75)] } else { vec![(h / 2.0, w / 2.0)] }
}

#[test]
fn checkers_and_check_line_measure_what_the_card_says() {
    if !has("pdftoppm", "-v") {
        return;
    }
    let folder = Folder::new("card-lengths");
    for paper in [Paper::A4, Paper::Letter] {
        for (half, first, scale) in [(false, 7, 1.0), (true, 107, 0.5)] {
            let pdf = cards(&CardOptions { paper, half, first, count: 2 }).unwrap();
            let page = Grey::of_page(&folder.write("cards.pdf", &pdf), 1, DPI);
            let mm = 25.4 / f64::from(DPI);
            let pixel = |mm_at: f64| (mm_at / mm) as usize;
            for (x, y) in places(paper, half) {
                let near = |line: &[f64], from: f64, to: f64| {
                    let (from, to) = (pixel(from), pixel(to));
                    let found = stretches(&line[from..to]);
                    let (start, end) = (found[0].0, found[found.len() - 1].1);
                    ((start + from as f64) * mm, (end + from as f64) * mm)
                };
                // Fills to 0.05 mm; strokes to the pixel (0.085 mm) to which poppler moves them.
                let check = |what: &str, (start, end): (f64, f64), middle: f64, length: f64| {
                    let bound = if what == "check line" { 0.09 } else { 0.05 };
                    assert!((end - start - length).abs() < bound, "{what}: {} for {length}", end - start);
                    assert!(((end + start) / 2.0 - middle).abs() < 0.05, "{what} is off its place");
                };
                let span = 124.0 * scale;
                let top = page.row(pixel(y - 85.0 * scale));
                check("width over the checkers", near(&top, x - span, x + span), x, 245.0 * scale);
                let left = page.column(pixel(x - 117.5 * scale));
                check(
                    "height over the checkers",
                    near(&left, y - 92.0 * scale, y + 92.0 * scale),
                    y,
                    180.0 * scale,
                );
                // Between the line and the tips of its end ticks there are only the ticks, 0.35 mm wide.
                let ticks = page.row(pixel(y + 79.6 * scale));
                let (start, end) = near(&ticks, x - 58.0 * scale, x + 58.0 * scale);
                check("check line", (start + 0.175, end - 0.175), x, 100.0 * scale);
            }
        }
    }
}

#[test]
fn our_own_finder_reads_number_and_crossings_from_the_print() {
    if !has("pdftoppm", "-v") {
        return;
    }
    let folder = Folder::new("card-finder");
    for (paper, half, first) in [(Paper::A4, false, 23), (Paper::Letter, false, 98), (Paper::A4, true, 142)] {
        let pdf = cards(&CardOptions { paper, half, first, count: 2 }).unwrap();
        let path = folder.write("cards.pdf", &pdf);
        let stem = folder.0.join("card");
        let dpi = 200.0;
        run(
            "pdftoppm",
            &[
                "-png",
                "-r",
                "200",
                "-f",
                "1",
                "-l",
                "1",
                "-singlefile",
                path.to_str().unwrap(),
                stem.to_str().unwrap(),
            ],
        );
        let picture =
            Picture::decode(&std::fs::read(folder.0.join("card.png")).unwrap(), &Limits::default()).unwrap();
        let found = find_cards(&picture, CardKind::Printed);
        let places = places(paper, half);
        let numbers: Vec<u32> = found.cards.iter().map(|c| c.number).collect();
        assert_eq!(numbers, (first..first + places.len() as u32).collect::<Vec<_>>(), "{:?}", found.notes);
        for (card, (x, y)) in found.cards.iter().zip(places) {
            assert_eq!(card.half_size, half);
            assert_eq!(card.crossings.len(), crossings_mm(half).len(), "card {}", card.number);
            for crossing in &card.crossings {
                // Pixel centres at whole numbers: the sheet's corner lies at (-0.5, -0.5).
                let want_x = (x + crossing.card_mm.x) / 25.4 * dpi - 0.5;
                let want_y = (y - crossing.card_mm.y) / 25.4 * dpi - 0.5;
                let off = (crossing.px.x - want_x).hypot(crossing.px.y - want_y);
                assert!(
                    off < 0.05 / 25.4 * dpi,
                    "card {} at {:?}: {off} px off, more than 0.05 mm",
                    card.number,
                    crossing.card_mm
                );
            }
        }
    }
}
