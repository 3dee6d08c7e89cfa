//! Reading the outlines of an SVG file, our own or foreign, to plain curves.
//!
//! The reading itself is usvg's, which resolves units, transforms, styles and references. Pictures are never loaded,
//! neither from the file nor from elsewhere.

use std::collections::BTreeMap;

use kurbo::{BezPath, Point};
use usvg::tiny_skia_path::PathSegment;
use usvg::{ImageHrefResolver, Node, Options, Tree, roxmltree};

use crate::error::ExportError;
use crate::outlines::{OutlinesRead, ReadCurve};

/// Millimetres in the pixel of CSS and SVG: 96 to the inch.
const PX_MM: f64 = 25.4 / 96.0;

/// Reads the paths and shapes of an SVG. The curves are in pixels of the file, y up from its lower edge; the unit is
/// said when the file's width has an absolute unit (mm, cm, in, pt), and to be asked for otherwise, as programs take a bare
/// number for 72, 90 or 96 to the inch. A curve's layer is the id of the nearest group round it that has one.
///
/// Coordinates are read in single precision: 0.0001 mm on a piece of 1 m.
///
/// ```
/// use coldwright_export::{Drawing, Layer, Pen, read_svg, svg};
/// use kurbo::{Rect, Shape};
/// let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 300.0, 200.0));
/// panel.line(panel.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
/// let read = read_svg(&svg(&panel, 0.005)?)?;
/// let curves = read.in_mm(read.unit_mm.expect("our own files say their unit"));
/// assert_eq!(curves[0].layer, "Cut-line");
/// assert!((curves[0].path.area().abs() - 60_000.0).abs() < 0.1);
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// [`ExportError::NoSvg`] for text that is none, [`ExportError::SvgEmpty`] when there is no curve.
pub fn read_svg(text: &str) -> Result<OutlinesRead, ExportError> {
    let no_svg = |reason: String| ExportError::NoSvg { reason };
    // Many drawing programs still write a document type.
    let xml = roxmltree::ParsingOptions { allow_dtd: true, ..roxmltree::ParsingOptions::default() };
    let document = roxmltree::Document::parse_with_options(text, xml).map_err(|e| no_svg(e.to_string()))?;
    let width = document.root_element().attribute("width").unwrap_or("").trim().to_ascii_lowercase();
    let said = ["mm", "cm", "in", "pt", "pc"].iter().any(|unit| width.ends_with(unit));

    let options = Options {
        image_href_resolver: ImageHrefResolver {
            resolve_data: Box::new(|_, _, _| None),
            resolve_string: Box::new(|_, _| None),
        },
        ..Options::default()
    };
    let tree = Tree::from_xmltree(&document, &options).map_err(|e| no_svg(e.to_string()))?;
    let mut out =
        OutlinesRead { curves: Vec::new(), unit_mm: said.then_some(PX_MM), passed_over: BTreeMap::new() };
    for name in document.descendants().filter(roxmltree::Node::is_element).map(|node| node.tag_name().name())
    {
        if matches!(name, "image" | "text") {
            *out.passed_over.entry(name.to_owned()).or_insert(0) += 1;
        }
    }
    let height = f64::from(tree.size().height());
    // A stack of our own, so that deep nesting cannot exhaust the machine's.
    let mut waiting: Vec<(&Node, &str)> =
        tree.root().children().iter().rev().map(|node| (node, "")).collect();
    while let Some((node, layer)) = waiting.pop() {
        match node {
            Node::Group(group) => {
                let layer = if group.id().is_empty() { layer } else { group.id() };
                waiting.extend(group.children().iter().rev().map(|node| (node, layer)));
            }
            Node::Path(path) => {
                let curve = curve(path, height);
                if curve.elements().len() > 1 {
                    out.curves.push(ReadCurve { layer: layer.to_owned(), path: curve });
                }
            }
            Node::Image(_) | Node::Text(_) => {}
        }
    }
    if out.curves.is_empty() {
        let found: Vec<String> =
            out.passed_over.iter().map(|(kind, count)| format!("{count} {kind}")).collect();
        let found = if found.is_empty() { "nothing".to_owned() } else { found.join(", ") };
        return Err(ExportError::SvgEmpty { found });
    }
    Ok(out)
}

/// The path with all its transforms, y turned up from the lower edge.
fn curve(path: &usvg::Path, height: f64) -> BezPath {
    let at = path.abs_transform();
    let [sx, kx, tx, ky, sy, ty] = [at.sx, at.kx, at.tx, at.ky, at.sy, at.ty].map(f64::from);
    let place = |p: usvg::tiny_skia_path::Point| {
        let (x, y) = (f64::from(p.x), f64::from(p.y));
        Point::new(sx * x + kx * y + tx, height - (ky * x + sy * y + ty))
    };
    let mut out = BezPath::new();
    for segment in path.data().segments() {
        match segment {
            PathSegment::MoveTo(p) => out.move_to(place(p)),
            PathSegment::LineTo(p) => out.line_to(place(p)),
            PathSegment::QuadTo(c, p) => out.quad_to(place(c), place(p)),
            PathSegment::CubicTo(a, b, p) => out.curve_to(place(a), place(b), place(p)),
            PathSegment::Close => out.close_path(),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    fn file(head: &str, body: &str) -> Result<OutlinesRead, ExportError> {
        read_svg(&format!("<svg xmlns=\"http://www.w3.org/2000/svg\" {head}>{body}</svg>"))
    }

    /// A triangle lying in the lower left of the page: its right angle at (10, 10) from there.
    const TRIANGLE: &str = "<g id=\"hull\"><path d=\"M10 90 L40 90 L10 70 Z\"/></g>";

    #[test]
    fn absolute_widths_say_the_unit_and_bare_ones_do_not() {
        for (head, size) in [
            ("width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\"", Some(30.0)),
            ("width=\"10cm\" height=\"10cm\" viewBox=\"0 0 100 100\"", Some(30.0)),
            ("width=\"4in\" height=\"4in\" viewBox=\"0 0 100 100\"", Some(30.48)),
            ("width=\"72pt\" height=\"72pt\" viewBox=\"0 0 100 100\"", Some(7.62)),
            ("width=\"100\" height=\"100\"", None),
            ("width=\"100px\" height=\"100px\"", None),
            ("width=\"100%\" viewBox=\"0 0 100 100\"", None),
            ("viewBox=\"0 0 100 100\"", None),
        ] {
            let read = file(head, TRIANGLE).unwrap();
            let found = read.unit_mm.map(|mm| read.in_mm(mm)[0].path.bounding_box().width());
            assert_eq!(found.is_some(), size.is_some(), "{head}");
            assert!((found.unwrap_or(0.0) - size.unwrap_or(0.0)).abs() < 1e-4, "{head}: {found:?}");
        }
    }

    #[test]
    fn y_is_turned_up_and_the_layer_known() {
        let read = file("width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\"", TRIANGLE).unwrap();
        let curve = &read.in_mm(read.unit_mm.unwrap())[0];
        assert_eq!(curve.layer, "hull");
        for (p, inside) in
            [((11.0, 11.0), true), ((38.0, 28.0), false), ((11.0, 27.0), true), ((39.0, 11.0), false)]
        {
            assert_eq!(curve.path.contains(p.into()), inside, "{p:?}");
        }
    }

    #[test]
    fn transforms_and_shapes_are_followed() {
        let body = "<g id=\"a\" transform=\"translate(5 0) scale(2)\"><rect x=\"1\" y=\"2\" width=\"3\" height=\"4\"/></g>";
        let read = file("width=\"100mm\" height=\"100mm\" viewBox=\"0 0 100 100\"", body).unwrap();
        let found = read.in_mm(read.unit_mm.unwrap())[0].path.bounding_box();
        let expected = kurbo::Rect::new(7.0, 88.0, 13.0, 96.0);
        assert!(
            (found.origin() - expected.origin()).hypot() < 1e-4 && (found.x1 - expected.x1).abs() < 1e-4,
            "{found:?}"
        );
    }

    #[test]
    fn what_is_no_outline_is_refused_in_words() {
        for text in ["", "hello", "<svg", "<html/>", "\u{0}\u{1}"] {
            assert!(matches!(read_svg(text), Err(ExportError::NoSvg { .. })), "{text:?}");
        }
        let only = file(
            "width=\"10mm\" height=\"10mm\"",
            "<image href=\"/etc/hostname\" width=\"1\" height=\"1\"/>",
        );
        assert_eq!(only, Err(ExportError::SvgEmpty { found: "1 image".into() }));
    }
}
