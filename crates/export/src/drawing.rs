//! The neutral drawing that every writer takes: lines, fills and words in millimetres, y up.

use kurbo::{Affine, BezPath, Point, Rect, Shape, Vec2};

use crate::error::ExportError;
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// Farthest a coordinate may lie from the origin, in mm (1 km): beyond it the readers' single precision is no longer
/// finer than a cut line.
const FARTHEST_MM: f64 = 1.0e6;

/// A drawing at true size: millimetres, x right, y up.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// What the drawing shows; becomes the title in each file.
    pub title: String,
    /// The part of the plane to show, in mm. The SVG page is exactly this large, plus the check line below it.
    pub bounds: Rect,
    /// What is drawn, first item undermost.
    pub items: Vec<Item>,
}

/// One thing drawn.
#[derive(Debug, Clone, PartialEq)]
pub enum Item {
    /// A stroked path.
    Line(Line),
    /// One line of words.
    Text(Text),
    /// A filled path.
    Fill(Fill),
}

/// A stroked path.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// The path in mm.
    pub path: BezPath,
    /// How it is stroked.
    pub pen: Pen,
    /// The layer it is on.
    pub layer: Layer,
}

/// A filled path; what is inside an odd number of its rings is filled.
#[derive(Debug, Clone, PartialEq)]
pub struct Fill {
    /// The path in mm; open rings are closed.
    pub path: BezPath,
    /// Shade, 0 black to 1 white.
    pub grey: f64,
    /// The layer it is on.
    pub layer: Layer,
}

/// One line of words in Noto Sans.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Where the baseline is held, in mm.
    pub at: Point,
    /// The words, one line; control characters are written as spaces.
    pub words: String,
    /// Size of the type in points (1/72 in), more than 0.
    pub height_pt: f64,
    /// Direction of the baseline in radians, counter-clockwise from x.
    pub angle: f64,
    /// Which end of the baseline is held.
    pub anchor: Anchor,
    /// Bold or regular.
    pub bold: bool,
    /// The layer it is on.
    pub layer: Layer,
}

/// Which part of a line of words is held at its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Anchor {
    /// The words start there.
    #[default]
    Start,
    /// The words are centred there.
    Middle,
    /// The words end there.
    End,
}

impl Item {
    /// The layer the item is on.
    pub fn layer(&self) -> Layer {
        match self {
            Item::Line(line) => line.layer,
            Item::Text(text) => text.layer,
            Item::Fill(fill) => fill.layer,
        }
    }

    /// The smallest upright rectangle round the item's ink, in mm (pen width included); `None` when it has none.
    pub fn ink(&self) -> Option<Rect> {
        match self {
            Item::Line(line) if line.path.elements().is_empty() => None,
            Item::Line(line) => {
                let half = line.pen.width_mm / 2.0;
                Some(line.path.bounding_box().inflate(half, half))
            }
            Item::Fill(fill) if fill.path.elements().is_empty() => None,
            Item::Fill(fill) => Some(fill.path.bounding_box()),
            Item::Text(text) if text.words.trim().is_empty() => None,
            Item::Text(text) => {
                let [a, b, c, d] = text.corners();
                Some(Rect::from_points(a, b).union_pt(c).union_pt(d))
            }
        }
    }

    /// The item moved and stretched: `x' = x·scale.x + shift.x`, and so for y. Pens keep their width; type is
    /// stretched by the smaller of the two factors, so that words never outgrow the room they had.
    pub fn placed(&self, scale: Vec2, shift: Vec2) -> Item {
        let affine = Affine::new([scale.x, 0.0, 0.0, scale.y, shift.x, shift.y]);
        match self {
            Item::Line(line) => Item::Line(Line { path: affine * line.path.clone(), ..line.clone() }),
            Item::Fill(fill) => Item::Fill(Fill { path: affine * fill.path.clone(), ..fill.clone() }),
            Item::Text(text) => Item::Text(Text {
                at: affine * text.at,
                height_pt: text.height_pt * scale.x.abs().min(scale.y.abs()),
                angle: (text.angle.sin() * scale.y).atan2(text.angle.cos() * scale.x),
                ..text.clone()
            }),
        }
    }
}

impl Text {
    /// The corners of the box the words may reach, from the start below the baseline, counter-clockwise, in mm.
    pub fn corners(&self) -> [Point; 4] {
        let em = font::em_mm(self.height_pt);
        let width = font::text_width_mm(&self.words, self.height_pt, self.bold);
        let start = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => -width / 2.0,
            Anchor::End => -width,
        };
        let turn = Affine::translate(self.at.to_vec2()) * Affine::rotate(self.angle);
        let (low, high) = (-font::DESCENT_EM * em, font::ASCENT_EM * em);
        [(start, low), (start + width, low), (start + width, high), (start, high)]
            .map(|(x, y)| turn * Point::new(x, y))
    }

    /// Where the baseline starts, whatever the anchor, in mm.
    pub fn start(&self) -> Point {
        let width = font::text_width_mm(&self.words, self.height_pt, self.bold);
        let back = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        self.at - Vec2::from_angle(self.angle) * back
    }
}

impl Drawing {
    /// A drawing without items.
    pub fn new(title: impl Into<String>, bounds: Rect) -> Drawing {
        Drawing { title: title.into(), bounds, items: Vec::new() }
    }

    /// Adds a stroked path.
    pub fn line(&mut self, path: BezPath, pen: Pen, layer: Layer) {
        self.items.push(Item::Line(Line { path, pen, layer }));
    }

    /// Adds a straight line.
    pub fn straight(&mut self, from: impl Into<Point>, to: impl Into<Point>, pen: Pen, layer: Layer) {
        let mut path = BezPath::new();
        path.move_to(from.into());
        path.line_to(to.into());
        self.line(path, pen, layer);
    }

    /// Adds a filled path.
    pub fn fill(&mut self, path: BezPath, grey: f64, layer: Layer) {
        self.items.push(Item::Fill(Fill { path, grey, layer }));
    }

    /// Adds words.
    pub fn text(&mut self, text: Text) {
        self.items.push(Item::Text(text));
    }

    /// The smallest upright rectangle round all ink, in mm; `None` for a drawing without ink.
    pub fn ink(&self) -> Option<Rect> {
        self.items.iter().filter_map(Item::ink).reduce(|a, b| a.union(b))
    }

    /// The items moved and stretched as [`Item::placed`] says, bounds with them.
    pub fn placed(&self, scale: Vec2, shift: Vec2) -> Drawing {
        let affine = Affine::new([scale.x, 0.0, 0.0, scale.y, shift.x, shift.y]);
        Drawing {
            title: self.title.clone(),
            bounds: affine.transform_rect_bbox(self.bounds),
            items: self.items.iter().map(|item| item.placed(scale, shift)).collect(),
        }
    }

    /// Settles all doubt about the numbers in one step; every writer calls it before the first byte.
    ///
    /// # Errors
    /// [`ExportError::NoSize`] for bounds that are empty or not finite, [`ExportError::NotFinite`] and
    /// [`ExportError::OutOfRange`] for the first item with such a number.
    pub fn check(&self) -> Result<(), ExportError> {
        let (width, height) = (self.bounds.width(), self.bounds.height());
        let corners = [self.bounds.x0, self.bounds.y0, self.bounds.x1, self.bounds.y1];
        if !(width > 0.0 && height > 0.0 && corners.iter().all(|v| v.abs() <= FARTHEST_MM)) {
            return Err(ExportError::NoSize { title: self.title.clone(), width, height });
        }
        for (item, thing) in self.items.iter().enumerate() {
            check_item(item, thing)?;
        }
        Ok(())
    }
}

fn check_item(item: usize, thing: &Item) -> Result<(), ExportError> {
    let layer = thing.layer();
    let number = |what: &'static str, value: f64, low: f64, high: f64| {
        if !value.is_finite() {
            return Err(ExportError::NotFinite { item, layer, what });
        }
        if !(low..=high).contains(&value) {
            return Err(ExportError::OutOfRange { item, layer, what, value });
        }
        Ok(())
    };
    let path = |path: &BezPath| {
        // A path with NaN has a bounding box that hides it, so every control point is looked at.
        path.elements().iter().flat_map(|el| points_of(*el)).try_for_each(|p| {
            number("point", p.x, -FARTHEST_MM, FARTHEST_MM)?;
            number("point", p.y, -FARTHEST_MM, FARTHEST_MM)
        })
    };
    match thing {
        Item::Line(line) => {
            path(&line.path)?;
            number("pen width", line.pen.width_mm, 0.001, 100.0)?;
            number("shade", line.pen.grey, 0.0, 1.0)?;
            let (on, off) = line.pen.dash_mm.unwrap_or((1.0, 1.0));
            number("dash", on, 0.01, FARTHEST_MM)?;
            number("dash gap", off, 0.01, FARTHEST_MM)
        }
        Item::Fill(fill) => {
            path(&fill.path)?;
            number("shade", fill.grey, 0.0, 1.0)
        }
        Item::Text(text) => {
            number("place of words", text.at.x, -FARTHEST_MM, FARTHEST_MM)?;
            number("place of words", text.at.y, -FARTHEST_MM, FARTHEST_MM)?;
            number("angle", text.angle, -1000.0, 1000.0)?;
            number("type size", text.height_pt, 0.1, 10_000.0)
        }
    }
}

fn points_of(el: kurbo::PathEl) -> impl Iterator<Item = Point> {
    use kurbo::PathEl::{ClosePath, CurveTo, LineTo, MoveTo, QuadTo};
    let list = match el {
        MoveTo(p) | LineTo(p) => [Some(p), None, None],
        QuadTo(a, b) => [Some(a), Some(b), None],
        CurveTo(a, b, c) => [Some(a), Some(b), Some(c)],
        ClosePath => [None; 3],
    };
    list.into_iter().flatten()
}

/// The words on one line: control characters, and those that XML forbids, as spaces.
pub(crate) fn one_line(words: &str) -> String {
    words
        .chars()
        .map(|c| if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') { ' ' } else { c })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(item: Item) -> Result<(), ExportError> {
        let mut drawing = Drawing::new("t", Rect::new(0.0, 0.0, 10.0, 10.0));
        drawing.items.push(item);
        drawing.check()
    }

    #[test]
    fn every_kind_of_number_that_is_none_is_refused() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            let mut path = BezPath::new();
            path.move_to((0.0, 0.0));
            path.curve_to((1.0, 1.0), (bad, 2.0), (3.0, 3.0));
            let line = |path: &BezPath, pen| Item::Line(Line { path: path.clone(), pen, layer: Layer::Cut });
            let refused = one(line(&path, Pen::CUT));
            assert_eq!(refused, Err(ExportError::NotFinite { item: 0, layer: Layer::Cut, what: "point" }));
            let good = Rect::new(0.0, 0.0, 1.0, 1.0).to_path(0.1);
            assert_eq!(one(line(&good, Pen::CUT)), Ok(()));
            assert!(one(line(&good, Pen { width_mm: bad, ..Pen::CUT })).is_err());
            assert!(one(line(&good, Pen { grey: bad, ..Pen::CUT })).is_err());
            assert!(one(line(&good, Pen { dash_mm: Some((bad, 1.0)), ..Pen::CUT })).is_err());
            assert!(one(Item::Fill(Fill { path, grey: 0.0, layer: Layer::Marks })).is_err());
            let words = |at, height_pt, angle| {
                Item::Text(Text {
                    at,
                    words: "F".into(),
                    height_pt,
                    angle,
                    anchor: Anchor::Start,
                    bold: false,
                    layer: Layer::Words,
                })
            };
            assert_eq!(one(words(Point::ZERO, 9.0, 0.0)), Ok(()));
            assert!(one(words(Point::new(bad, 0.0), 9.0, 0.0)).is_err());
            assert!(one(words(Point::ZERO, bad, 0.0)).is_err());
            assert!(one(words(Point::ZERO, 9.0, bad)).is_err());
            let nowhere = Drawing::new("t", Rect::new(0.0, 0.0, bad, 1.0));
            assert!(matches!(nowhere.check(), Err(ExportError::NoSize { .. })));
        }
    }

    #[test]
    fn the_box_of_words_follows_anchor_and_angle() {
        let text = |anchor, angle| Text {
            at: Point::new(10.0, 20.0),
            words: "Hull 3 b".into(),
            height_pt: 24.0,
            angle,
            anchor,
            bold: true,
            layer: Layer::Words,
        };
        let width = font::text_width_mm("Hull 3 b", 24.0, true);
        let end = text(Anchor::End, 0.0).corners();
        assert!((end[1].x - 10.0).abs() < 1e-9 && (end[0].x - (10.0 - width)).abs() < 1e-9);
        let up = text(Anchor::Start, std::f64::consts::FRAC_PI_2).corners();
        assert!((up[1].y - up[0].y - width).abs() < 1e-9, "words run up the page");
        assert!((text(Anchor::Middle, 0.0).start().x - (10.0 - width / 2.0)).abs() < 1e-9);
    }
}
