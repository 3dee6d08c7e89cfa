//! Sheet files read back by ezdxf and usvg, which the project does not use to write: audit, units, lengths, outlines.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{Drawing, DxfCurves, DxfUnit, DxfVersion, Layer};
use coldwright_job::{CutStyle, SeamStyle, plan};
use coldwright_papers::{Kind, MakeOptions, make};
use common::outline::{farthest, svg_rings};
use common::parts::{in_parts, laid_out};
use common::{Folder, has_python, run_python};
use kurbo::{Point, Rect};

/// Prints the audit and the units, then each outline as ezdxf flattens it, and the line that is never cut.
const READER: &str = "
import sys, ezdxf
from ezdxf.path import make_path
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
print('audit', len(audit.errors), len(audit.fixes), doc.dxfversion, doc.header.get('$INSUNITS', -1))
for e in doc.modelspace():
    if e.dxftype() in ('LWPOLYLINE', 'POLYLINE'):
        print(e.dxf.layer, *[v for p in make_path(e).flattening(0.0005) for v in (p.x, p.y)])
    elif e.dxftype() == 'LINE' and e.dxf.layer.startswith('Check'):
        print('check', (e.dxf.end - e.dxf.start).magnitude)
    elif e.dxftype() == 'TEXT':
        print('text', e.dxf.text)
";

#[test]
fn ezdxf_reads_sheets_clean_in_their_unit_and_at_their_size() {
    if !has_python("ezdxf") {
        return;
    }
    let job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    let planned = plan(&job);
    let laid = planned.laid.as_deref().unwrap();
    let folder = Folder::new("sheet-dxf");
    for (version, unit, curves, head, factor) in [
        (DxfVersion::R2000, DxfUnit::Mm, DxfCurves::Lines, "audit 0 0 AC1015 4", 1.0),
        (DxfVersion::R2000, DxfUnit::Inch, DxfCurves::Arcs, "audit 0 0 AC1015 1", 25.4),
        (DxfVersion::R12, DxfUnit::Mm, DxfCurves::Arcs, "audit 0 0 AC1009", 1.0),
        (DxfVersion::R12, DxfUnit::Inch, DxfCurves::Lines, "audit 0 0 AC1009", 25.4),
    ] {
        let options = MakeOptions {
            kinds: vec![Kind::Dxf],
            dxf_version: version,
            dxf_unit: Some(unit),
            dxf_curves: curves,
            ..MakeOptions::default()
        };
        let files = make(&job, &planned, &options).unwrap();
        for sheet in 1..=laid.layout.sheets.len() {
            let case = format!("sheet {sheet}, {version:?} {unit:?} {curves:?}");
            let bytes = &files.iter().find(|f| f.name == format!("sheet-{sheet}.dxf")).unwrap().bytes;
            let path = folder.write("sheet.dxf", bytes);
            let said = run_python(READER, &[path.to_str().unwrap()]);
            assert!(said.starts_with(head), "{case}: {said:.80}");
            let rings = |layer: &str| -> Vec<Vec<Point>> {
                let lines = said.lines().filter_map(|l| l.strip_prefix(&format!("{layer} ")));
                let numbers =
                    lines.map(|l| l.split(' ').map(|v| v.parse::<f64>().unwrap() * factor).collect());
                numbers.map(|n: Vec<f64>| n.chunks(2).map(|p| Point::new(p[0], p[1])).collect()).collect()
            };
            let (mut cut, mut other) = (Vec::new(), Vec::new());
            for place in laid.layout.placements.iter().filter(|p| p.sheet + 1 == sheet) {
                let piece = planned.piece(laid.asked.ids[place.piece]).unwrap();
                let placed = |rings: &[coldwright_geometry::Ring]| -> Vec<Vec<Point>> {
                    rings.iter().map(|r| r.outer.iter().map(|p| place.apply(*p)).collect()).collect()
                };
                cut.extend(placed(&piece.layer.inner.rings));
                other.extend(placed(&piece.layer.outer.rings));
                assert!(said.contains(&piece.mark), "{case}: {}", piece.mark);
            }
            for (layer, model) in [("Cut-line", &cut), ("Other-face", &other)] {
                let read = rings(layer);
                assert_eq!(read.len(), model.len(), "{case}, {layer}");
                assert!(farthest(&read, model) < 0.01, "{case}, {layer}: {} mm", farthest(&read, model));
            }
            // The sheet itself: four feet by eight.
            let ends = rings("Marks").into_iter().flatten();
            let size = ends.fold((0.0, 0.0), |e: (f64, f64), p| (e.0.max(p.x), e.1.max(p.y)));
            assert!((size.0 - 1219.2).abs() < 0.01 && (size.1 - 2438.4).abs() < 0.01, "{case}: {size:?}");
            let wanted = if unit == DxfUnit::Mm { 100.0 } else { 4.0 * 25.4 };
            let check = said.lines().find_map(|l| l.strip_prefix("check ")).unwrap().parse::<f64>().unwrap();
            assert!((check * factor - wanted).abs() < 1e-3, "{case}: check line {check}");
            let word = if unit == DxfUnit::Mm { "millimetres" } else { "inches" };
            assert!(
                said.lines().any(|l| l.starts_with("text") && l.contains(word)),
                "{case}: the unit in words"
            );
        }
    }
}

#[test]
fn usvg_reads_sheets_at_their_size() {
    let job = laid_out(&in_parts(SeamStyle::Butt, 10.0, CutStyle::Bevelled));
    let planned = plan(&job);
    let laid = planned.laid.as_deref().unwrap();
    let files =
        make(&job, &planned, &MakeOptions { kinds: vec![Kind::Svg], ..MakeOptions::default() }).unwrap();
    for sheet in 1..=laid.layout.sheets.len() {
        let bytes = &files.iter().find(|f| f.name == format!("sheet-{sheet}.svg")).unwrap().bytes;
        let text = std::str::from_utf8(bytes).unwrap();
        // Four feet by eight, and 10 mm of white round it; CSS and SVG: 96 px to the inch.
        let size = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap().size();
        let wide = f64::from(size.width()) * 25.4 / 96.0;
        assert!((wide - 1239.2).abs() < 0.01, "{wide} mm");
        let page = Drawing::new("", Rect::new(-10.0, -10.0, 1229.2, 2448.4));
        for (layer, hull) in [(Layer::Cut, false), (Layer::OtherFace, true)] {
            let mut model: Vec<Vec<Point>> = Vec::new();
            for place in laid.layout.placements.iter().filter(|p| p.sheet + 1 == sheet) {
                let piece = &planned.piece(laid.asked.ids[place.piece]).unwrap().layer;
                let rings = if hull { &piece.outer.rings } else { &piece.inner.rings };
                model.extend(rings.iter().map(|r| r.outer.iter().map(|p| place.apply(*p)).collect()));
            }
            let read = svg_rings(text, layer, &page);
            assert!(read.len() == model.len() && farthest(&read, &model) < 0.01, "{layer:?}");
        }
    }
}
