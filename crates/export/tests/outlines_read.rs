//! Outlines in files by ezdxf, which shares no code with the reader, and in our own, read back.
#![allow(
    clippy::unwrap_used,
    clippy::float_cmp,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{DxfOptions, DxfUnit, DxfVersion, dxf, read_dxf};
use common::{farthest, letter_f, python_with_ezdxf, run};
use kurbo::{BezPath, PathEl, Point, Shape};
use proptest::prelude::*;

fn points(path: &BezPath) -> Vec<Point> {
    let mut out = vec![];
    kurbo::flatten(path, 0.0005, |el| match el {
        PathEl::MoveTo(p) | PathEl::LineTo(p) => out.push(p),
        _ => {}
    });
    out
}

#[test]
fn our_own_files_come_back_to_a_hundredth() {
    for version in [DxfVersion::R2000, DxfVersion::R12] {
        for (unit, mm) in [(DxfUnit::Mm, 1.0), (DxfUnit::Inch, 25.4)] {
            let options = DxfOptions { version, unit, ..DxfOptions::default() };
            let read = read_dxf(&dxf(&letter_f(), &options).unwrap()).unwrap();
            let said = (version == DxfVersion::R2000).then_some(mm);
            assert_eq!(read.unit_mm, said, "{version:?} says its unit in words only when it is R12");
            let curves = read.in_mm(mm);
            let cut: Vec<_> = curves.iter().filter(|c| c.layer == "Cut-line").collect();
            assert_eq!(cut.len(), 1);
            let worst = farthest(&points(&cut[0].path), &common::f_outline());
            assert!(worst < 0.01, "{version:?} {unit:?}: {worst} mm");
        }
    }
}

const WRITER: &str = r#"
import sys, ezdxf
doc = ezdxf.new(sys.argv[2], units=int(sys.argv[3]))
m = doc.modelspace()
r12 = sys.argv[2] == "R12"
poly = m.add_polyline2d if r12 else m.add_lwpolyline
poly([(0, 0, 0), (40, 0, 1), (40, 20, 0), (0, 20, -0.5)], format="xyb", close=True, dxfattribs={"layer": "bulged"})
poly([(1, 2), (9, 2), (9, 5)], close=True, dxfattribs={"layer": "down", "extrusion": (0, 0, -1)})
m.add_circle((100, 50), 10, dxfattribs={"layer": "circle"})
m.add_arc((0, 0), 10, 350, 80, dxfattribs={"layer": "arc"})
m.add_line((1, 2), (3, 4), dxfattribs={"layer": "line"})
if not r12:
    m.add_ellipse((200, 0), (30, 40), 0.4, dxfattribs={"layer": "ellipse"})
    m.add_ellipse((0, 0), (50, 0), 0.5, 0, 1.5707963267948966, dxfattribs={"layer": "ellipse down", "extrusion": (0, 0, -1)})
    m.add_open_spline([(0, 0), (40, 90), (90, 20), (150, 60), (200, 0)], dxfattribs={"layer": "spline"})
    m.add_rational_spline([(0, 0), (90, 0), (90, 60), (0, 60)], [1, 2, 3, 1], degree=3, dxfattribs={"layer": "rational"})
    for e in m.query("SPLINE ELLIPSE"):
        for q in e.flattening(0.0005):
            print(e.dxf.layer, q.x, q.y, sep=";")
m.add_text("words", dxfattribs={"layer": "words"})
doc.saveas(sys.argv[1])
"#;

#[test]
fn foreign_files_are_read_as_they_are_meant() {
    let Some(python) = python_with_ezdxf() else { return };
    for (version, code, unit) in
        [("R2000", "1", Some(25.4)), ("R2010", "6", Some(1000.0)), ("R2018", "0", None), ("R12", "4", None)]
    {
        let folder = common::Folder::new(&format!("foreign-{version}"));
        let said = run(&python, &["-c", WRITER, &folder.path("f.dxf"), version, code]);
        let read = read_dxf(&std::fs::read_to_string(folder.path("f.dxf")).unwrap()).unwrap();
        assert_eq!(read.unit_mm, unit, "{version}");
        let of = |layer: &str| &read.curves.iter().find(|c| c.layer == layer).unwrap().path;

        // Rectangle, plus a half circle of radius 10 outside, less a segment of bulge 0.5 (clockwise, so inside).
        let angle = 4.0 * 0.5_f64.atan();
        let radius = 10.0 / (angle / 2.0).sin();
        let segment = radius * radius * (angle - angle.sin()) / 2.0;
        let area = 800.0 + std::f64::consts::PI * 50.0 - segment;
        assert!((of("bulged").area() - area).abs() < 0.01, "{version}: {} not {area}", of("bulged").area());

        let down = of("down").bounding_box();
        assert_eq!((down.x0, down.x1, down.y0, down.y1), (-9.0, -1.0, 2.0, 5.0), "{version}");
        assert!((of("circle").area().abs() - 100.0 * std::f64::consts::PI).abs() < 0.01, "{version}");
        let arc = points(of("arc"));
        let (first, last) = (arc[0], arc[arc.len() - 1]);
        assert!((first.to_vec2().angle().to_degrees() + 10.0).abs() < 0.01, "{version}: from 350 degrees");
        assert!((last.to_vec2().angle().to_degrees() - 80.0).abs() < 0.01, "{version}: to 80 degrees");
        assert_eq!(points(of("line")), [Point::new(1.0, 2.0), Point::new(3.0, 4.0)]);
        assert_eq!(read.passed_over.get("TEXT"), Some(&1));

        // Ellipses and splines against ezdxf's own flattening of them, both ways.
        let mut theirs: std::collections::BTreeMap<&str, Vec<Point>> = std::collections::BTreeMap::new();
        for row in said.lines() {
            let part: Vec<&str> = row.split(';').collect();
            theirs
                .entry(part[0])
                .or_default()
                .push(Point::new(part[1].parse().unwrap(), part[2].parse().unwrap()));
        }
        assert_eq!(theirs.len(), if version == "R12" { 0 } else { 4 });
        for (layer, points_of) in theirs {
            let ours = points(of(layer));
            let worst = farthest(&ours, &points_of).max(farthest(&points_of, &ours));
            assert!(worst < 0.01, "{version} {layer}: {worst}");
        }
    }
}

#[test]
fn our_own_svg_comes_back_to_a_hundredth() {
    let text = coldwright_export::svg(&letter_f(), 0.005).unwrap();
    let read = coldwright_export::read_svg(&text).unwrap();
    let curves = read.in_mm(read.unit_mm.unwrap());
    let cut = curves.iter().find(|c| c.layer == "Cut-line").unwrap();
    // The file's lower edge is below the check line; the page's left edge is the drawing's.
    let drawing = letter_f();
    let top = curves.iter().map(|c| c.path.bounding_box().y1).fold(0.0, f64::max);
    let shift = kurbo::Vec2::new(drawing.bounds.x0, 420.0 - top);
    let moved: Vec<Point> = points(&cut.path).into_iter().map(|p| p + shift).collect();
    let worst = farthest(&moved, &common::f_outline());
    assert!(worst < 0.01, "{worst} mm");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    /// A damaged file is read or refused, never a crash, and never a number that is none.
    #[test]
    fn damaged_files_end_in_words(cut in 0.0..1.0_f64, at in 0.0..1.0_f64, junk in "[ -~\r\n]{0,12}", r12 in any::<bool>()) {
        let version = if r12 { DxfVersion::R12 } else { DxfVersion::R2000 };
        let options = DxfOptions { version, flatten_mm: 0.5, ..DxfOptions::default() };
        for (text, reads_svg) in
            [(dxf(&letter_f(), &options).unwrap(), false), (coldwright_export::svg(&letter_f(), 0.5).unwrap(), true)]
        {
            let place = (at * text.len() as f64) as usize;
            let damaged = format!("{}{junk}{}", &text[..place], &text[place..]);
            let damaged = &damaged[..((0.3 + cut) * damaged.len() as f64).min(damaged.len() as f64) as usize];
            let read = if reads_svg { coldwright_export::read_svg(damaged) } else { read_dxf(damaged) };
            match read {
                Ok(read) => prop_assert!(read.curves.iter().all(|c| c.path.is_finite())),
                Err(refused) => prop_assert!(!refused.to_string().is_empty()),
            }
        }
    }
}
