//! What reading a drawing file gives: plain curves, and what is not known about them.

use std::collections::BTreeMap;

use kurbo::{Affine, BezPath};

/// What was read.
#[derive(Debug, Clone, PartialEq)]
pub struct OutlinesRead {
    /// The curves in the file's own units, in the file's order.
    pub curves: Vec<ReadCurve>,
    /// Millimetres in the file's unit; `None` when the file does not say, and the person must be asked.
    pub unit_mm: Option<f64>,
    /// Kinds of things that were not read, with their number.
    pub passed_over: BTreeMap<String, usize>,
}

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadCurve {
    /// The layer's name in the file.
    pub layer: String,
    /// The curve, x right, y up; closed when the file says so.
    pub path: BezPath,
}

impl OutlinesRead {
    /// The curves in millimetres, for a unit of `unit_mm` millimetres.
    pub fn in_mm(&self, unit_mm: f64) -> Vec<ReadCurve> {
        let scale = Affine::scale(unit_mm);
        self.curves
            .iter()
            .map(|curve| ReadCurve { layer: curve.layer.clone(), path: scale * curve.path.clone() })
            .collect()
    }
}
