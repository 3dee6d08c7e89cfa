//! The DXF writer, made by hand after the published DXF reference (AutoCAD 2000 and Release 12 editions): R2000 for
//! programs that read a unit header, R12 for those that read nothing newer.

mod entities;
mod r12;
mod r2000;
mod tags;

use kurbo::Point;

use crate::check_line::{CheckLine, with_check_line};
use crate::drawing::{Anchor, Drawing, Text};
use crate::error::ExportError;
use crate::layer::Layer;
use crate::{flat, font};
use tags::Tags;

/// The handle of model space, which owns every entity of an R2000 file.
const MODEL_SPACE: u32 = 0x1F;

/// The version of the DXF file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DxfVersion {
    /// AC1015: LWPOLYLINE, with a unit header.
    #[default]
    R2000,
    /// AC1009: POLYLINE, for old programs; has no unit header, so the unit stands in a text.
    R12,
}

/// The unit of the numbers in the DXF file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DxfUnit {
    /// Millimetres.
    #[default]
    Mm,
    /// Inches of exactly 25.4 mm.
    Inch,
}

/// What becomes of curves in a DXF.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum DxfCurves {
    /// Straight pieces: every program reads them.
    #[default]
    Lines,
    /// Arcs where they fit, as bulges of polylines, and straight pieces between.
    Arcs,
}

/// How a DXF is written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DxfOptions {
    /// The version of the file.
    pub version: DxfVersion,
    /// The unit of its numbers.
    pub unit: DxfUnit,
    /// Farthest a straight piece or an arc may lie from the curve, in mm, 0.0001 to 1.
    pub flatten_mm: f64,
    /// What becomes of curves.
    pub curves: DxfCurves,
}

impl Default for DxfOptions {
    fn default() -> DxfOptions {
        DxfOptions {
            version: DxfVersion::default(),
            unit: DxfUnit::default(),
            flatten_mm: 0.005,
            curves: DxfCurves::default(),
        }
    }
}

/// The drawing as DXF at true size, y up as it is, one layer for each of [`Layer::ALL`]. Curves become straight pieces,
/// or arcs where they fit, fills their outlines. Below the drawing, on the layer "Check-size-do-not-cut", stand a line of 100 mm (or 4 in) with its
/// label, unless the drawing has something on that layer already, and a text that says the unit.
///
/// ```
/// use coldwright_export::{Drawing, DxfOptions, Layer, Pen, dxf};
/// use kurbo::{Rect, Shape};
/// let mut panel = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 300.0, 200.0));
/// panel.line(panel.bounds.to_path(0.01), Pen::CUT, Layer::Cut);
/// let text = dxf(&panel, &DxfOptions::default())?;
/// assert!(text.contains("$INSUNITS\r\n 70\r\n4\r\n") && text.ends_with("EOF\r\n"));
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// What [`Drawing::check`] refuses, and [`ExportError::Flatten`].
pub fn dxf(drawing: &Drawing, options: &DxfOptions) -> Result<String, ExportError> {
    drawing.check()?;
    flat::check_tolerance(options.flatten_mm)?;
    let (line, unit) = match options.unit {
        DxfUnit::Mm => (CheckLine::Mm100, "Numbers in this file are millimetres"),
        DxfUnit::Inch => (CheckLine::Inches4, "Numbers in this file are inches"),
    };
    let mut drawing = with_check_line(drawing, line);
    let below = drawing.ink().map_or(drawing.bounds.y0, |ink| ink.y0) - 1.5 * font::em_mm(9.0);
    drawing.text(Text {
        at: Point::new(drawing.bounds.x0, below),
        words: unit.to_owned(),
        height_pt: 9.0,
        angle: 0.0,
        anchor: Anchor::Start,
        bold: false,
        layer: Layer::Check,
    });
    Ok(match options.version {
        DxfVersion::R2000 => r2000::file(&drawing, options),
        DxfVersion::R12 => r12::file(&drawing, options),
    })
}

/// The colour number a layer is shown in; only to tell layers apart on a screen.
fn colour(layer: Layer) -> i64 {
    match layer {
        Layer::Cut => 7,
        Layer::OtherFace => 4,
        Layer::Marks => 34,
        Layer::Words => 8,
        Layer::Check => 6,
        Layer::Joining => 9,
    }
}

/// The pattern of a dashed line type. R2000 wants a flag after each length.
fn dash_pattern(tags: &mut Tags, on: f64, off: f64, flags: bool) {
    tags.put(3, "__ __ __");
    tags.int(72, 65);
    tags.int(73, 2);
    tags.length(40, on + off);
    for length in [on, -off] {
        tags.length(49, length);
        if flags {
            tags.int(74, 0);
        }
    }
}

/// The rest of a text style, after its name.
fn style(tags: &mut Tags, file: &str) {
    tags.length(40, 0.0);
    tags.bare(41, 1.0);
    tags.bare(50, 0.0);
    tags.int(71, 0);
    tags.length(42, 2.5);
    tags.put(3, file);
    tags.put(4, "");
}
