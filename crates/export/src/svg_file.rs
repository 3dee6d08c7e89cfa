//! The SVG writer: millimetres in the page size and in the viewBox, one group a layer.
//!
//! SVG 1.1 (W3C, 2011), sections 7.7 (viewBox) and 7.10 (units): with width and height in mm and a viewBox of the same
//! numbers one user unit is one millimetre, whatever a reader takes for its pixel.

use std::fmt::Write;

use kurbo::{BezPath, Point, Rect};
use svg::node::element::{Element, Group, Path, Text as Words, Title};

use crate::check_line::{CheckLine, with_check_line};
use crate::drawing::{Anchor, Drawing, Item, Text, one_line};
use crate::error::ExportError;
use crate::flat;
use crate::font;
use crate::layer::Layer;
use crate::number::decimal;

/// Decimals of a coordinate in mm: 0.1 µm, finer than the flattening may be.
const PLACES: usize = 4;

/// The drawing as SVG text at true size, one group a layer in the order of [`Layer::ALL`], y turned once so that
/// nothing is mirrored. A 100 mm line with its label is put below the drawing, on the layer [`Layer::Check`], when the
/// drawing has nothing on that layer; the page grows by it.
///
/// Curves become straight pieces, nowhere farther than `flatten_mm` from the curve. Words stay words, in Noto Sans or
/// the reader's own sans serif.
///
/// ```
/// use coldwright_export::{Drawing, Layer, Pen, svg};
/// use kurbo::{Rect, Shape};
/// let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 300.0, 200.0));
/// panel.line(Rect::new(5.0, 5.0, 295.0, 195.0).to_path(0.01), Pen::CUT, Layer::Cut);
/// let text = svg(&panel, 0.005)?;
/// assert!(text.contains("width=\"300mm\"") && text.contains("id=\"Cut-line\""));
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// What [`Drawing::check`] refuses, and [`ExportError::Flatten`].
pub fn svg(drawing: &Drawing, flatten_mm: f64) -> Result<String, ExportError> {
    drawing.check()?;
    flat::check_tolerance(flatten_mm)?;
    let drawing = with_check_line(drawing, CheckLine::Mm100);
    let page = Page { bounds: drawing.bounds };

    let (width, height) = (decimal(page.bounds.width(), PLACES), decimal(page.bounds.height(), PLACES));
    let mut document = svg::Document::new()
        .set("version", "1.1")
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(one_line(&drawing.title)));
    for layer in Layer::ALL {
        let mut group =
            Group::new().set("id", layer.file_name()).set("fill", "none").add(Title::new(layer.plain_name()));
        let mut any = false;
        for item in drawing.items.iter().filter(|item| item.layer() == layer) {
            if let Some(element) = page.element(item, flatten_mm) {
                group = group.add(element);
                any = true;
            }
        }
        if any {
            document = document.add(group);
        }
    }
    Ok(format!("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n{document}\n"))
}

/// The one place where y is turned.
struct Page {
    bounds: Rect,
}

impl Page {
    fn place(&self, p: Point) -> (String, String) {
        (decimal(p.x - self.bounds.x0, PLACES), decimal(self.bounds.y1 - p.y, PLACES))
    }

    fn element(&self, item: &Item, flatten_mm: f64) -> Option<Element> {
        match item {
            Item::Line(line) => {
                let mut path = Path::new()
                    .set("d", self.data(&line.path, flatten_mm, false)?)
                    .set("stroke", shade(line.pen.grey))
                    .set("stroke-width", decimal(line.pen.width_mm, PLACES))
                    .set("stroke-linejoin", "round");
                if let Some((on, off)) = line.pen.dash_mm {
                    path = path
                        .set("stroke-dasharray", format!("{} {}", decimal(on, PLACES), decimal(off, PLACES)));
                }
                Some(path.into())
            }
            Item::Fill(fill) => Some(
                Path::new()
                    .set("d", self.data(&fill.path, flatten_mm, true)?)
                    .set("fill", shade(fill.grey))
                    .set("fill-rule", "evenodd")
                    .into(),
            ),
            Item::Text(text) => self.words(text),
        }
    }

    fn data(&self, path: &BezPath, flatten_mm: f64, close: bool) -> Option<String> {
        let mut d = String::new();
        for run in flat::runs(path, flatten_mm) {
            for (i, p) in run.points.iter().enumerate() {
                let (x, y) = self.place(*p);
                let lead = if i == 0 { 'M' } else { 'L' };
                // Writing to a String cannot fail.
                let _ = write!(d, "{lead}{x} {y}");
            }
            if run.closed || close {
                d.push('Z');
            }
        }
        (!d.is_empty()).then_some(d)
    }

    fn words(&self, text: &Text) -> Option<Element> {
        let words = one_line(&text.words);
        if words.trim().is_empty() {
            return None;
        }
        let (x, y) = self.place(text.at);
        let anchor = match text.anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let mut element = Words::new(words)
            .set("x", x.as_str())
            .set("y", y.as_str())
            .set("fill", "#000000")
            .set("font-family", "'Noto Sans', sans-serif")
            .set("font-size", decimal(font::em_mm(text.height_pt), PLACES))
            .set("text-anchor", anchor);
        if text.bold {
            element = element.set("font-weight", "bold");
        }
        let degrees = decimal(-text.angle.to_degrees(), 6);
        if degrees != "0" {
            element = element.set("transform", format!("rotate({degrees} {x} {y})"));
        }
        Some(element.into())
    }
}

/// 0 black to 1 white as an SVG colour; rounding to one of 256 levels is the format's own.
fn shade(grey: f64) -> String {
    let level = format!("{:02x}", (grey.clamp(0.0, 1.0) * 255.0).round() as u8);
    format!("#{level}{level}{level}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pen::Pen;

    #[test]
    fn words_are_escaped_and_kept_on_one_line() {
        let mut drawing = Drawing::new("a < b & \"c\"", Rect::new(0.0, 0.0, 10.0, 10.0));
        drawing.text(Text {
            at: Point::new(1.0, 1.0),
            words: "x<y & z\n\u{1}\u{ffff}end".into(),
            height_pt: 9.0,
            angle: 0.0,
            anchor: Anchor::Start,
            bold: false,
            layer: Layer::Words,
        });
        let text = svg(&drawing, 0.01).unwrap();
        assert!(text.contains("x&lt;y &amp; z"), "{text}");
        assert!(!text.contains('\u{1}') && !text.contains('\u{ffff}'));
        usvg::Tree::from_str(&text, &usvg::Options::default()).expect("another reader takes it");
    }

    #[test]
    fn a_check_line_is_added_once() {
        let mut drawing = Drawing::new("t", Rect::new(0.0, 0.0, 300.0, 200.0));
        drawing.straight((0.0, 0.0), (1.0, 1.0), Pen::CUT, Layer::Cut);
        let text = svg(&drawing, 0.01).unwrap();
        assert_eq!(text.matches("100 mm:").count(), 1);
        assert!(text.contains("width=\"300mm\""), "{text}");
        drawing.straight((0.0, -5.0), (100.0, -5.0), Pen::MARK, Layer::Check);
        assert_eq!(svg(&drawing, 0.01).unwrap().matches("100 mm:").count(), 0);
    }

    #[test]
    fn refuses_before_the_first_byte() {
        let mut drawing = Drawing::new("t", Rect::new(0.0, 0.0, 300.0, 200.0));
        assert_eq!(svg(&drawing, f64::NAN).map_err(|e| matches!(e, ExportError::Flatten { .. })), Err(true));
        drawing.straight((0.0, 0.0), (f64::NAN, 1.0), Pen::CUT, Layer::Cut);
        assert!(matches!(svg(&drawing, 0.01), Err(ExportError::NotFinite { .. })));
    }
}
