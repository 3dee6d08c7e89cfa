//! What is on one page, as PDF operators.

use kurbo::{BezPath, PathEl, Point};
use pdf_writer::types::LineJoinStyle;
use pdf_writer::{Content, Name, Ref, TextStr};

use super::fonts::Fonts;
use super::{points, shown};
use crate::drawing::{Drawing, Fill, Item, Line, Text, one_line};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// The name a page's resources give the layer at this place.
pub(super) fn layer_name(place: usize) -> String {
    format!("L{place}")
}

/// The page's content stream, not yet compressed.
pub(super) fn content(drawing: &Drawing, layers: &[(Layer, Ref)], fonts: &Fonts) -> Vec<u8> {
    let mut page = Page { out: Content::new(), pen: None, grey: None, fonts };
    // A mitre would run far past a sharp corner of a cut line.
    page.out.set_line_join(LineJoinStyle::RoundJoin);
    let mut open: Option<Layer> = None;
    for item in &drawing.items {
        if open != Some(item.layer()) {
            if open.is_some() {
                page.out.end_marked_content();
            }
            let place = layers.iter().position(|(layer, _)| *layer == item.layer()).unwrap_or(0);
            page.out
                .begin_marked_content_with_properties(Name(b"OC"))
                .properties_named(Name(layer_name(place).as_bytes()));
            open = Some(item.layer());
        }
        match item {
            Item::Line(line) => page.line(line),
            Item::Fill(fill) => page.fill(fill),
            Item::Text(text) => page.text(text),
        }
    }
    if open.is_some() {
        page.out.end_marked_content();
    }
    page.out.finish().to_vec()
}

struct Page<'a> {
    out: Content,
    pen: Option<Pen>,
    grey: Option<f64>,
    fonts: &'a Fonts,
}

impl Page<'_> {
    fn line(&mut self, line: &Line) {
        if line.path.elements().len() < 2 {
            return;
        }
        let known = self.pen;
        if known.is_none_or(|pen| pen.width_mm.to_bits() != line.pen.width_mm.to_bits()) {
            self.out.set_line_width(points(line.pen.width_mm));
        }
        if known.map(|pen| pen.dash_mm) != Some(line.pen.dash_mm) {
            let dash = line.pen.dash_mm.map(|(on, off)| [points(on), points(off)]);
            self.out.set_dash_pattern(dash.into_iter().flatten(), 0.0);
        }
        if known.is_none_or(|pen| pen.grey.to_bits() != line.pen.grey.to_bits()) {
            self.out.set_stroke_gray(points_free(line.pen.grey));
        }
        self.pen = Some(line.pen);
        self.path(&line.path);
        self.out.stroke();
    }

    fn fill(&mut self, fill: &Fill) {
        if fill.path.elements().len() < 3 {
            return;
        }
        self.fill_grey(fill.grey);
        self.path(&fill.path);
        self.out.fill_even_odd();
    }

    fn fill_grey(&mut self, grey: f64) {
        if self.grey.is_none_or(|known| known.to_bits() != grey.to_bits()) {
            self.out.set_fill_gray(points_free(grey));
            self.grey = Some(grey);
        }
    }

    fn path(&mut self, path: &BezPath) {
        let mut last = Point::ZERO;
        for el in path.elements() {
            match *el {
                PathEl::MoveTo(p) => {
                    self.out.move_to(points(p.x), points(p.y));
                    last = p;
                }
                PathEl::LineTo(p) => {
                    self.out.line_to(points(p.x), points(p.y));
                    last = p;
                }
                PathEl::QuadTo(c, p) => {
                    self.curve(last.lerp(c, 2.0 / 3.0), p.lerp(c, 2.0 / 3.0), p);
                    last = p;
                }
                PathEl::CurveTo(a, b, p) => {
                    self.curve(a, b, p);
                    last = p;
                }
                PathEl::ClosePath => {
                    self.out.close_path();
                }
            }
        }
    }

    fn curve(&mut self, a: Point, b: Point, p: Point) {
        self.out.cubic_to(points(a.x), points(a.y), points(b.x), points(b.y), points(p.x), points(p.y));
    }

    fn text(&mut self, text: &Text) {
        let words = one_line(&text.words);
        if words.trim().is_empty() {
            return;
        }
        self.fill_grey(0.0);
        // The empty box stands for any character: what it stands for is written beside it.
        let boxed = !font::lacking(&words, text.bold).is_empty();
        if boxed {
            self.out
                .begin_marked_content_with_properties(Name(b"Span"))
                .properties()
                .actual_text(TextStr(&words));
        }
        let start = text.start();
        let (sin, cos) = text.angle.sin_cos();
        let (sin, cos) = (points_free(sin), points_free(cos));
        self.out.begin_text();
        self.out.set_font(Name(super::fonts::name(text.bold)), points_free(text.height_pt));
        self.out.set_text_matrix([cos, sin, -sin, cos, points(start.x), points(start.y)]);
        self.out.show(shown(&self.fonts.encode(&words, text.bold)));
        self.out.end_text();
        if boxed {
            self.out.end_marked_content();
        }
    }
}

/// A number that is no length: a sine keeps six decimals, 0.01 mm over 10 m.
fn points_free(value: f64) -> f32 {
    ((value * 1.0e6).round() / 1.0e6) as f32
}
