//! Lines, fills and words as DXF entities, for both versions.

use kurbo::Point;

use super::tags::Tags;
use super::{DxfCurves, DxfOptions, DxfVersion, MODEL_SPACE};
use crate::arcs::{Bulged, arcs};
use crate::drawing::{Anchor, Drawing, Item, Text, one_line};
use crate::flat::{self, Run};
use crate::font;
use crate::pen::Pen;

/// Line weights R2000 knows, in hundredths of a millimetre.
const WEIGHTS: [u16; 24] =
    [0, 5, 9, 13, 15, 18, 20, 25, 30, 35, 40, 50, 53, 60, 70, 80, 90, 100, 106, 120, 140, 158, 200, 211];

/// The dashes a drawing uses, each once, in the order they occur; their line types are called by place.
pub(super) fn dashes(drawing: &Drawing) -> Vec<(f64, f64)> {
    let mut out: Vec<(f64, f64)> = Vec::new();
    for item in &drawing.items {
        if let Item::Line(line) = item
            && let Some(dash) = line.pen.dash_mm
            && !out.iter().any(|known| same(*known, dash))
        {
            out.push(dash);
        }
    }
    out
}

/// The name of the line type at this place of [`dashes`].
pub(super) fn dash_name(place: usize) -> String {
    format!("Dashed-{}", place + 1)
}

fn same(a: (f64, f64), b: (f64, f64)) -> bool {
    a.0.to_bits() == b.0.to_bits() && a.1.to_bits() == b.1.to_bits()
}

/// Writes every item.
pub(super) fn entities(tags: &mut Tags, drawing: &Drawing, options: &DxfOptions) {
    let version = options.version;
    let runs = |path| -> Vec<(Vec<Bulged>, bool)> {
        let straight =
            |run: Run| (run.points.iter().map(|at| Bulged { at: *at, bulge: 0.0 }).collect(), run.closed);
        match options.curves {
            DxfCurves::Lines => flat::runs(path, options.flatten_mm).into_iter().map(straight).collect(),
            // Half of the error for the straight pieces, half for the arcs laid through them.
            DxfCurves::Arcs => {
                let half = (options.flatten_mm / 2.0).max(0.00005);
                flat::runs(path, half).into_iter().map(|run| (arcs(&run, half), run.closed)).collect()
            }
        }
    };
    let dashes = dashes(drawing);
    for item in &drawing.items {
        let mut writer = Writer { tags, version, layer: item.layer().file_name(), dash: None, weight: None };
        match item {
            Item::Line(line) => {
                let place =
                    line.pen.dash_mm.and_then(|dash| dashes.iter().position(|known| same(*known, dash)));
                writer.dash = place.map(dash_name);
                writer.weight = Some(weight(line.pen));
                for (points, closed) in runs(&line.path) {
                    writer.run(&points, closed);
                }
            }
            // A cutter's program has no use for solid areas: their outline says all, and both versions can hold it.
            Item::Fill(fill) => {
                for (points, _) in runs(&fill.path) {
                    writer.run(&points, true);
                }
            }
            Item::Text(text) => writer.text(text),
        }
    }
}

fn weight(pen: Pen) -> u16 {
    let wanted = pen.width_mm * 100.0;
    WEIGHTS
        .into_iter()
        .min_by(|a, b| (f64::from(*a) - wanted).abs().total_cmp(&(f64::from(*b) - wanted).abs()))
        .unwrap_or(25)
}

struct Writer<'a> {
    tags: &'a mut Tags,
    version: DxfVersion,
    layer: &'static str,
    dash: Option<String>,
    weight: Option<u16>,
}

impl Writer<'_> {
    /// What every entity starts with.
    fn start(&mut self, kind: &str, class: &str) {
        self.tags.put(0, kind);
        if self.version == DxfVersion::R2000 {
            let handle = self.tags.fresh();
            self.tags.handle(5, handle);
            self.tags.handle(330, MODEL_SPACE);
            self.tags.put(100, "AcDbEntity");
        }
        self.tags.put(8, self.layer);
        if let Some(dash) = &self.dash {
            self.tags.put(6, dash);
        }
        if self.version == DxfVersion::R2000 {
            if let Some(weight) = self.weight {
                self.tags.int(370, i64::from(weight));
            }
            self.tags.put(100, class);
        }
    }

    fn run(&mut self, points: &[Bulged], closed: bool) {
        if let ([a, b], false) = (points, closed)
            && a.bulge == 0.0
        {
            self.start("LINE", "AcDbLine");
            self.tags.point3(10, a.at);
            self.tags.point3(11, b.at);
            return;
        }
        match self.version {
            DxfVersion::R2000 => {
                self.start("LWPOLYLINE", "AcDbPolyline");
                self.tags.int(90, points.len() as i64);
                self.tags.int(70, i64::from(closed));
                self.tags.length(43, 0.0);
                for p in points {
                    self.tags.point(10, p.at);
                    self.bulge(p.bulge);
                }
            }
            DxfVersion::R12 => {
                self.start("POLYLINE", "");
                self.tags.int(66, 1);
                self.tags.point3(10, Point::ZERO);
                self.tags.int(70, i64::from(closed));
                for p in points {
                    self.tags.put(0, "VERTEX");
                    self.tags.put(8, self.layer);
                    self.tags.point3(10, p.at);
                    self.bulge(p.bulge);
                }
                self.tags.put(0, "SEQEND");
                self.tags.put(8, self.layer);
            }
        }
    }

    fn bulge(&mut self, bulge: f64) {
        if bulge != 0.0 {
            self.tags.bare(42, bulge);
        }
    }

    fn text(&mut self, text: &Text) {
        if one_line(&text.words).trim().is_empty() {
            return;
        }
        self.start("TEXT", "AcDbText");
        self.tags.point3(10, text.start());
        // DXF states the height of a capital, type size is that of the whole body.
        self.tags.length(40, font::em_mm(text.height_pt) * font::CAP_EM);
        self.tags.words(1, &text.words);
        self.tags.bare(50, text.angle.to_degrees());
        self.tags.put(7, if text.bold { "Words-bold" } else { "Words" });
        let anchor = match text.anchor {
            Anchor::Start => 0,
            Anchor::Middle => 1,
            Anchor::End => 2,
        };
        if anchor > 0 {
            self.tags.int(72, anchor);
            self.tags.point3(11, text.at);
        }
        if self.version == DxfVersion::R2000 {
            self.tags.put(100, "AcDbText");
        }
    }
}
