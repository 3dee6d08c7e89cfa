//! PDF read back by poppler and qpdf, which the project does not use to write.
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
#[path = "common/raster.rs"]
mod raster;

use coldwright_export::{
    CheckSquare, Drawing, Paper, PdfOptions, PdfPage, TileOptions, pdf, tile, tile_with_plan,
};
use common::{Folder, letter_f, run, tool_or_skip};
use kurbo::{Point, Vec2};
use raster::Raster;

fn options(paper: Paper) -> TileOptions {
    TileOptions { paper, job_name: "Sample".into(), piece_name: "Panel F".into(), ..TileOptions::default() }
}

fn bytes(pages: &[PdfPage]) -> Vec<u8> {
    pdf(pages, &PdfOptions { title: "Panel F".into(), ..PdfOptions::default() }).unwrap()
}

/// A4, Letter, A3, Tabloid and a roll, all with the F.
fn all_papers() -> Vec<(Paper, Vec<PdfPage>)> {
    [Paper::A4, Paper::Letter, Paper::A3, Paper::Tabloid, Paper::Roll { width_mm: 610.0 }]
        .into_iter()
        .map(|paper| (paper, tile(&letter_f(), &options(paper)).unwrap()))
        .collect()
}

#[test]
fn an_f_stays_an_f() {
    let Some(tool) = tool_or_skip("pdftoppm", "poppler-utils") else { return };
    let drawing = letter_f().placed(Vec2::new(1.0, 1.0), Vec2::new(5.0, 10.0));
    let page = PdfPage { size_mm: (360.0, 460.0), drawing };
    let raster = &Raster::pages(&tool, &bytes(&[page]), 100, "pdf-f")[0];
    let share = |place: &dyn Fn(Point) -> Point| {
        let outline = common::f_outline();
        let dark = outline.iter().filter(|p| raster.dark(place(**p)) > 0.2).count();
        dark as f64 / outline.len() as f64
    };
    assert!(share(&|p| Point::new(p.x + 5.0, p.y + 10.0)) > 0.99);
    assert!(share(&|p| Point::new(355.0 - p.x, p.y + 10.0)) < 0.3, "the mirror is seen as such");
    assert!(share(&|p| Point::new(p.x + 5.0, 450.0 - p.y)) < 0.3, "the turned one is seen as such");
}

#[test]
fn the_check_square_is_1181_pixels_at_300_dpi() {
    let Some(tool) = tool_or_skip("pdftoppm", "poppler-utils") else { return };
    for paper in [Paper::A4, Paper::Letter, Paper::Roll { width_mm: 610.0 }] {
        let pages = tile(&letter_f(), &options(paper)).unwrap();
        let raster = &Raster::pages(&tool, &bytes(&pages[..1]), 300, "pdf-square")[0];
        for rows in [true, false] {
            // The two sides are the only long strokes of the same run, a square's side apart.
            let strokes = raster.strokes(rows, 1150);
            let sides: Vec<f64> = strokes
                .iter()
                .flat_map(|a| strokes.iter().map(move |b| (a, b)))
                .filter(|(a, b)| (a.1 - b.1).abs() < 4.0 && (a.2 - b.2).abs() < 4.0 && a.2 - a.1 < 1195.0)
                .map(|(a, b)| b.0 - a.0)
                .filter(|apart| (1150.0..1210.0).contains(apart))
                .collect();
            assert_eq!(sides.len(), 1, "{paper:?}: {strokes:?}");
            assert!((sides[0] - 1181.1).abs() <= 2.0, "{paper:?}: {} pixels", sides[0]);
        }
    }
}

#[test]
fn page_boxes_are_exact() {
    let Some(tool) = tool_or_skip("pdfinfo", "poppler-utils") else { return };
    for (paper, pages) in all_papers() {
        let folder = Folder::new("pdf-boxes");
        std::fs::write(folder.path("f.pdf"), bytes(&pages)).unwrap();
        let printed = run(&tool, &["-box", "-f", "1", "-l", "999", &folder.path("f.pdf")]);
        let boxes: Vec<Vec<f64>> = printed
            .lines()
            .filter(|l| l.contains("MediaBox:") || l.contains("CropBox:"))
            .map(|l| l.split_whitespace().filter_map(|v| v.parse().ok()).collect())
            .collect();
        assert_eq!(boxes.len(), 2 * pages.len(), "{paper:?}: {printed}");
        for (page, found) in pages.iter().flat_map(|p| [p, p]).zip(boxes) {
            // The tool prints two decimals of a point.
            let size = &found[found.len() - 2..];
            assert!((size[0] / 72.0 * 25.4 - page.size_mm.0).abs() < 0.01, "{paper:?}: {found:?}");
            assert!((size[1] / 72.0 * 25.4 - page.size_mm.1).abs() < 0.01, "{paper:?}: {found:?}");
        }
        let sheet = paper.size_mm();
        if let (width, Some(height)) = sheet {
            let fits = |p: &PdfPage| p.size_mm == (width, height) || p.size_mm == (height, width);
            assert!(pages.iter().all(fits), "{paper:?}");
        }
    }
}

#[test]
fn files_are_sound_with_words_and_fonts_inside() {
    let Some(text) = tool_or_skip("pdftotext", "poppler-utils") else { return };
    let Some(fonts) = tool_or_skip("pdffonts", "poppler-utils") else { return };
    let Some(qpdf) = tool_or_skip("qpdf", "qpdf") else { return };
    for (paper, pages) in all_papers() {
        let folder = Folder::new("pdf-sound");
        let file = folder.path("f.pdf");
        std::fs::write(&file, bytes(&pages)).unwrap();
        let checked = run(&qpdf, &["--check", &file]);
        assert!(checked.contains("No syntax or stream encoding errors"), "{checked}");

        let table = run(&fonts, &[&file]);
        let rows: Vec<&str> = table.lines().skip(2).collect();
        assert_eq!(rows.len(), 2, "{table}");
        for row in rows {
            let flags: Vec<&str> = row.split_whitespace().collect();
            assert!(row.contains("NotoSans") && flags[4..7] == ["yes", "yes", "yes"], "{table}");
        }

        let words = run(&text, &["-layout", &file, "-"]);
        for (number, page) in words.trim_end_matches('\u{c}').split('\u{c}').enumerate() {
            assert!(page.contains("measure me: 100 mm"), "page {}: {page}", number + 1);
            let foot = format!("Sample · Panel F · page {} of {}", number + 1, pages.len());
            assert!(page.contains(&foot), "{paper:?}: {foot} is missing: {page}");
        }
        assert!(words.contains("100 mm each way"), "{paper:?}");
    }
}

#[test]
fn everything_stays_half_an_inch_inside_the_sheet() {
    let Some(tool) = tool_or_skip("pdftoppm", "poppler-utils") else { return };
    let corrected = TileOptions { print_correction: (1.04, 0.97), ..options(Paper::Letter) };
    let cases =
        [options(Paper::A4), options(Paper::Letter), corrected, options(Paper::Roll { width_mm: 610.0 })];
    for options in cases {
        let pages = tile(&letter_f(), &options).unwrap();
        for (number, raster) in Raster::pages(&tool, &bytes(&pages), 100, "pdf-margin").iter().enumerate() {
            let edges = raster.clear_edges();
            // One pixel, 0.254 mm, is the picture's own doubt.
            assert!(
                edges.iter().all(|mm| *mm > 12.7 - 0.254),
                "{:?} page {}: {edges:?}",
                options.paper,
                number + 1
            );
        }
    }
}

#[test]
fn a_correction_stretches_each_direction_by_its_own_factor() {
    let Some(tool) = tool_or_skip("pdftoppm", "poppler-utils") else { return };
    // Printed sides of 98 and 101 mm ask for 102.04 and 99.01 mm on the page.
    let factors = coldwright_export::correction_from_print(98.0, 101.0).unwrap();
    let options =
        TileOptions { print_correction: factors, check_square: CheckSquare::OwnPage, ..options(Paper::A4) };
    let pages = tile(&letter_f(), &options).unwrap();
    let raster = &Raster::pages(&tool, &bytes(&pages[..1]), 300, "pdf-corrected")[0];
    for (rows, along, across) in [(true, factors.0, factors.1), (false, factors.1, factors.0)] {
        let strokes = raster.strokes(rows, 1150);
        let found = strokes.iter().flat_map(|a| strokes.iter().map(move |b| (a, b))).any(|(a, b)| {
            (b.0 - a.0 - 1181.1 * across).abs() <= 2.0
                && [a, b].iter().all(|s| (s.2 - s.1 - 4.0 - 1181.1 * along).abs() <= 4.0)
        });
        assert!(found, "{strokes:?}");
    }
}

#[test]
fn tiles_joined_by_their_marks_give_the_outline_to_three_tenths() {
    let Some(tool) = tool_or_skip("pdftoppm", "poppler-utils") else { return };
    for (paper, factors) in [(Paper::A4, (1.0, 1.0)), (Paper::Letter, (1.0, 1.0)), (Paper::A4, (1.03, 0.98))]
    {
        let options =
            TileOptions { print_correction: factors, check_square: CheckSquare::Left, ..options(paper) };
        let drawing: Drawing = letter_f().placed(Vec2::new(1.6, 1.6), Vec2::ZERO);
        let tiling = tile_with_plan(&drawing, &options).unwrap();
        let pages: Vec<PdfPage> = tiling.pages.iter().map(|p| p.page.clone()).collect();
        assert!(pages.len() > 5, "enough seams to go wrong");
        let rasters = Raster::pages(&tool, &bytes(&pages), 200, "pdf-tiles");

        // A printer that is off by the inverse of the correction: paper mm to true mm.
        let true_mm = |p: Point| Point::new(p.x / factors.0, p.y / factors.1);
        let dark = |page: usize, p: Point| rasters[page].dark(Point::new(p.x * factors.0, p.y * factors.1));
        let crosses: Vec<Vec<(String, Point)>> = tiling
            .pages
            .iter()
            .enumerate()
            .map(|(i, page)| {
                page.joins
                    .iter()
                    .map(|j| (j.label.clone(), find_cross(&|p| dark(i, p), true_mm(j.at))))
                    .collect()
            })
            .collect();
        let every: Vec<&String> = crosses.iter().flatten().map(|(label, _)| label).collect();
        assert!(every.iter().all(|label| every.iter().filter(|l| l == &label).count() == 2), "{every:?}");

        // Lay page on page, from the first.
        let mut shift: Vec<Option<Vec2>> = vec![None; pages.len()];
        shift[0] = Some(tiling.pages[0].window.origin() - true_mm(tiling.pages[0].origin));
        for _ in 0..pages.len() {
            for a in 0..pages.len() {
                for b in 0..pages.len() {
                    let (Some(known), None) = (shift[a], shift[b]) else { continue };
                    let pairs: Vec<Vec2> = crosses[a]
                        .iter()
                        .flat_map(|(label, p)| {
                            crosses[b]
                                .iter()
                                .filter(move |(other, _)| other == label)
                                .map(move |(_, q)| *p - *q)
                        })
                        .collect();
                    if !pairs.is_empty() {
                        assert_eq!(pairs.len(), 2, "two marks on each seam");
                        shift[b] = Some(known + (pairs[0] + pairs[1]) / 2.0);
                    }
                }
            }
        }

        let mut worst = 0.0_f64;
        let mut seen = 0;
        let outline: Vec<Point> =
            common::f_outline().iter().map(|p| Point::new(p.x * 1.6, p.y * 1.6)).collect();
        for i in 0..outline.len() {
            let (a, b) = (outline[i], outline[(i + 1) % outline.len()]);
            let normal = (b - a).turn_90().normalize();
            let steps = (a.distance(b) / 2.0).floor() as usize;
            for k in 1..steps {
                let p = a.lerp(b, k as f64 / steps as f64);
                // Near the window's edge the trim line is in the way, near a cross its arms.
                let shown = (0..pages.len()).filter(|j| {
                    let window = tiling.pages[*j].window;
                    let clear = tiling.pages[*j].joins.iter().all(|join| join.in_drawing.distance(p) > 16.0);
                    window.inset(-1.5).contains(p) && clear
                });
                for j in shown {
                    let at = p - shift[j].expect("every page hangs on another");
                    let found = centroid(&|t| dark(j, at + normal * t), 1.2).unwrap_or_else(|| {
                        panic!("{paper:?}: nothing at {p} on page {}", tiling.pages[j].name)
                    });
                    worst = worst.max(found.abs());
                    seen += 1;
                }
            }
        }
        println!("{paper:?} {factors:?}: {} pages, {seen} places, worst {worst:.3} mm", pages.len());
        assert!(seen > 800, "{seen} places");
        assert!(worst < 0.3, "{paper:?}: the assembled outline is off by {worst} mm");
    }
}

/// Where the darkness along a line of ± `reach` mm has its middle.
fn centroid(dark: &dyn Fn(f64) -> f64, reach: f64) -> Option<f64> {
    let steps = 80;
    let (mut sum, mut moment) = (0.0, 0.0);
    for i in -steps..=steps {
        let t = reach * f64::from(i) / f64::from(steps);
        let d = dark(t);
        sum += d;
        moment += d * t;
    }
    (sum > 1.0).then(|| moment / sum)
}

/// The crossing near `about`: the middle of the upright arm above it and of the level arm beside it.
fn find_cross(dark: &dyn Fn(Point) -> f64, about: Point) -> Point {
    let mean = |along: Vec2, arm: Vec2| {
        let all: Vec<f64> = (0..20)
            .map(|i| 1.5 + 0.1 * f64::from(i))
            .map(|far| centroid(&|t| dark(about + arm * far + along * t), 1.2).expect("an arm of the cross"))
            .collect();
        all.iter().sum::<f64>() / all.len() as f64
    };
    let (x, y) = (Vec2::new(1.0, 0.0), Vec2::new(0.0, 1.0));
    about + x * mean(x, y) + y * mean(y, x)
}
