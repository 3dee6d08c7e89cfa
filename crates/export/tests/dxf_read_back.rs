//! DXF read back by ezdxf, which the project does not use to write: audit, units, layers, lengths, outline.
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

use coldwright_export::{Anchor, Drawing, DxfCurves, DxfOptions, DxfUnit, DxfVersion, Layer, Pen, Text, dxf};
use common::{farthest, letter_f, python_with_ezdxf};
use kurbo::{Circle, Point, Shape};

/// Prints what the file holds, one fact a line, words last.
const READER: &str = r#"
import sys, ezdxf
from ezdxf import recover
from ezdxf.lldxf.encoding import decode_dxf_unicode
path = sys.argv[1]
doc = ezdxf.readfile(path)
a = doc.audit()
print("audit", len(a.errors), len(a.fixes))
_, b = recover.readfile(path)
print("recover", len(b.errors), len(b.fixes))
for e in list(a.errors) + list(a.fixes) + list(b.errors) + list(b.fixes): print("problem", e.message)
print("version", doc.dxfversion)
print("units", doc.header.get("$INSUNITS", -1), doc.header.get("$MEASUREMENT", -1))
for e in doc.modelspace():
    t, layer = e.dxftype(), e.dxf.layer
    if t == "LINE":
        print("LINE", layer, e.dxf.start.x, e.dxf.start.y, e.dxf.end.x, e.dxf.end.y)
    elif t == "LWPOLYLINE":
        print("RING" if e.closed else "RUN", layer, *[v for p in e.get_points("xy") for v in p])
    elif t == "POLYLINE":
        print("RING" if e.is_closed else "RUN", layer, *[v for p in e.points() for v in (p.x, p.y)])
    elif t == "TEXT":
        p = e.get_placement()[1]
        print("TEXT", layer, p.x, p.y, e.dxf.rotation, e.dxf.height, decode_dxf_unicode(e.plain_text()).encode("unicode_escape").decode())
    else:
        print("OTHER", t)
"#;

struct Facts(Vec<Vec<String>>);

impl Facts {
    fn of(drawing: &Drawing, options: &DxfOptions, name: &str) -> Option<Facts> {
        let python = python_with_ezdxf()?;
        let folder = common::Folder::new(name);
        let file = folder.path("f.dxf");
        let text = dxf(drawing, options).unwrap();
        all_numbers_plain(&text);
        std::fs::write(&file, text).unwrap();
        let printed = common::run(&python, &["-c", READER, &file]);
        Some(Facts(printed.lines().map(|l| l.split(' ').map(str::to_owned).collect()).collect()))
    }

    fn line(&self, kind: &str) -> String {
        self.0.iter().find(|l| l[0] == kind).map(|l| l[1..].join(" ")).unwrap_or_default()
    }

    fn numbers(&self, kind: &str, layer: &str) -> Vec<Vec<f64>> {
        let of = self.0.iter().filter(|l| l[0] == kind && l[1] == layer);
        of.map(|l| l[2..].iter().map_while(|v| v.parse().ok()).collect()).collect()
    }

    fn rings(&self, layer: &str, factor: f64) -> Vec<Vec<Point>> {
        let points = |l: Vec<f64>| l.chunks(2).map(|p| Point::new(p[0] * factor, p[1] * factor)).collect();
        self.numbers("RING", layer).into_iter().map(points).collect()
    }
}

/// Every value under a code that the DXF reference reserves for numbers is digits, one point and a sign at most.
fn all_numbers_plain(text: &str) {
    let lines: Vec<&str> = text.split("\r\n").collect();
    for pair in lines.chunks_exact(2) {
        let code: u32 = pair[0].trim().parse().expect("a group code");
        if matches!(code, 10..=59 | 60..=79 | 90..=99 | 140..=149 | 370..=379) {
            assert!(pair[1].parse::<f64>().is_ok_and(f64::is_finite), "{pair:?}");
            assert!(pair[1].chars().all(|c| c.is_ascii_digit() || c == '.' || c == '-'), "{pair:?}");
        }
    }
}

const CHECK: &str = "Check-size-do-not-cut";

#[test]
fn both_versions_and_units_read_clean_and_unflipped() {
    for version in [DxfVersion::R2000, DxfVersion::R12] {
        for unit in [DxfUnit::Mm, DxfUnit::Inch] {
            let case = format!("{version:?} {unit:?}");
            let options = DxfOptions { version, unit, ..DxfOptions::default() };
            let Some(facts) = Facts::of(&letter_f(), &options, &case.replace(' ', "-")) else { return };
            assert_eq!(facts.line("audit"), "0 0", "{case}: {}", facts.line("problem"));
            assert_eq!(facts.line("recover"), "0 0", "{case}: {}", facts.line("problem"));
            assert_eq!(facts.line("OTHER"), "", "{case}");

            // Unit codes of the DXF reference: $INSUNITS 4 = mm, 1 = inch; $MEASUREMENT 1 = metric, 0 = English.
            let (units, factor) = if unit == DxfUnit::Mm { ("4 1", 1.0) } else { ("1 0", 25.4) };
            match version {
                DxfVersion::R2000 => assert_eq!(facts.line("units"), units, "{case}"),
                DxfVersion::R12 => assert!(facts.line("units").starts_with("-1"), "{case}"),
            }
            let version_code = if version == DxfVersion::R2000 { "AC1015" } else { "AC1009" };
            assert_eq!(facts.line("version"), version_code);

            let outline = facts.rings("Cut-line", factor);
            assert_eq!(outline.len(), 1, "{case}");
            let worst = farthest(&outline[0], &common::f_outline());
            assert!(worst < 0.01, "{case}: outline off by {worst} mm");

            let check = facts.numbers("LINE", CHECK);
            let length = (check[0][2] - check[0][0]) * factor;
            let (expected, words) = if unit == DxfUnit::Mm { (100.0, "100 mm") } else { (101.6, "4 in") };
            assert!((length - expected).abs() < 1e-4, "{case}: check line {length} mm");
            let labels: Vec<String> = facts
                .0
                .iter()
                .filter(|l| l[0] == "TEXT" && l[1] == CHECK)
                .map(|l| l[6..].join(" "))
                .collect();
            assert!(labels.iter().any(|l| l.starts_with(words)), "{case}: {labels:?}");
            let unit_words = if unit == DxfUnit::Mm { "millimetres" } else { "inches" };
            assert!(labels.iter().any(|l| l.ends_with(unit_words)), "{case}: {labels:?}");

            let words = facts.numbers("TEXT", "Words");
            let at = Point::new(words[0][0] * factor, words[0][1] * factor);
            assert!(at.distance(Point::new(80.0, 60.0)) < 1e-3, "{case}: words at {at}");
            assert!((words[0][2] - 90.0).abs() < 1e-6, "{case}: words run up");
        }
    }
}

#[test]
fn words_beyond_ascii_and_every_anchor_come_back() {
    let mut drawing = letter_f();
    for anchor in [Anchor::Start, Anchor::Middle, Anchor::End] {
        drawing.text(Text {
            at: Point::new(50.0, 500.0),
            words: "Kühlfach ± 3/8″ 冷".to_owned(),
            height_pt: 12.0,
            angle: 0.2,
            anchor,
            bold: false,
            layer: Layer::Marks,
        });
    }
    drawing.fill(Circle::new((200.0, 300.0), 5.0).to_path(0.001), 0.0, Layer::Marks);
    for version in [DxfVersion::R2000, DxfVersion::R12] {
        let options = DxfOptions { version, ..DxfOptions::default() };
        let Some(facts) = Facts::of(&drawing, &options, &format!("words-{version:?}")) else { return };
        assert_eq!(facts.line("audit"), "0 0", "{}", facts.line("problem"));
        let words: Vec<_> = facts.0.iter().filter(|l| l[0] == "TEXT" && l[1] == "Marks").collect();
        assert_eq!(words.len(), 3);
        for l in words {
            assert_eq!(l[6..].join(" "), r"K\xfchlfach \xb1 3/8\u2033 \u51b7");
            let at = Point::new(l[2].parse().unwrap(), l[3].parse().unwrap());
            assert!(at.distance(Point::new(50.0, 500.0)) < 1e-3);
        }
        assert_eq!(facts.rings("Marks", 1.0).len(), 1, "the fill's outline is there");
    }
}

#[test]
fn inches_are_exactly_25_4_mm() {
    let mut drawing = Drawing::new("t", kurbo::Rect::new(0.0, 0.0, 2540.0, 254.0));
    drawing.straight((0.0, 0.0), (2540.0, 254.0), Pen::CUT, Layer::Cut);
    let options = DxfOptions { unit: DxfUnit::Inch, ..DxfOptions::default() };
    let text = dxf(&drawing, &options).unwrap();
    assert!(text.contains(" 11\r\n100.0\r\n 21\r\n10.0\r\n"), "{text}");
}

/// Prints the audit, then for each polyline its layer, how many of its stretches are arcs, and ezdxf's own flattening.
const ARC_READER: &str = r#"
import sys, ezdxf
from ezdxf.path import make_path
doc = ezdxf.readfile(sys.argv[1])
a = doc.audit()
print("audit", len(a.errors), len(a.fixes))
for e in doc.modelspace().query("LWPOLYLINE POLYLINE"):
    bulges = [p[4] for p in e.get_points()] if e.dxftype() == "LWPOLYLINE" else [v.dxf.get("bulge", 0.0) for v in e.vertices]
    print("RING", e.dxf.layer, len(bulges), sum(1 for b in bulges if b), *[v for p in make_path(e).flattening(0.0002) for v in (p.x, p.y)])
"#;

#[test]
fn curves_as_arcs_lie_as_near_the_model_as_is_stated() {
    let Some(python) = python_with_ezdxf() else { return };
    let mut drawing = letter_f();
    // Nearer than half the stated error to an ellipse: no one circle fits it.
    drawing.line(
        kurbo::Ellipse::new((700.0, 200.0), (300.0, 120.0), 0.3).to_path(1e-6),
        Pen::CUT,
        Layer::OtherFace,
    );
    let ellipse: Vec<Point> = {
        let mut out = vec![];
        kurbo::flatten(
            kurbo::Ellipse::new((700.0, 200.0), (300.0, 120.0), 0.3).to_path(1e-6),
            0.0005,
            |el| {
                out.extend(el.end_point());
            },
        );
        out
    };
    for version in [DxfVersion::R2000, DxfVersion::R12] {
        for (unit, factor) in [(DxfUnit::Mm, 1.0), (DxfUnit::Inch, 25.4)] {
            for flatten_mm in [0.005, 0.1] {
                let case = format!("{version:?} {unit:?} {flatten_mm}");
                let folder = common::Folder::new(&format!("arcs-{}", case.replace(' ', "-")));
                let options = DxfOptions { version, unit, flatten_mm, curves: DxfCurves::Arcs };
                let text = dxf(&drawing, &options).unwrap();
                all_numbers_plain(&text);
                std::fs::write(folder.path("f.dxf"), text).unwrap();
                let printed = common::run(&python, &["-c", ARC_READER, &folder.path("f.dxf")]);
                assert!(printed.starts_with("audit 0 0"), "{case}: {printed}");
                let of = |layer: &str| -> (usize, usize, Vec<Point>) {
                    let line = printed.lines().find(|l| l.starts_with(&format!("RING {layer} "))).unwrap();
                    let part: Vec<f64> = line.split(' ').skip(2).map(|v| v.parse().unwrap()).collect();
                    let points = part[2..].chunks(2).map(|p| Point::new(p[0] * factor, p[1] * factor));
                    (part[0] as usize, part[1] as usize, points.collect())
                };
                let (count, bent, points) = of("Cut-line");
                assert!(bent >= 1 && count <= 24, "{case}: {bent} arcs of {count} stretches");
                let worst = farthest(&points, &common::f_outline());
                assert!(worst < flatten_mm + 0.001, "{case}: {worst}");
                let layer = Layer::OtherFace.file_name();
                let rings: Vec<&str> =
                    printed.lines().filter(|l| l.starts_with(&format!("RING {layer} "))).collect();
                assert_eq!(rings.len(), 2);
                let part: Vec<f64> = rings[1].split(' ').skip(2).map(|v| v.parse().unwrap()).collect();
                let points: Vec<Point> =
                    part[2..].chunks(2).map(|p| Point::new(p[0] * factor, p[1] * factor)).collect();
                assert!(part[1] > 3.0 && part[0] < 120.0, "{case}: {} arcs of {}", part[1], part[0]);
                let worst = farthest(&points, &ellipse);
                assert!(worst < flatten_mm + 0.001, "{case}: {worst}");
            }
        }
    }
}
