//! A plug lid in steps: each step rests on a ledge of the opening.

use crate::offset::{Join, offset};
use crate::volume::volume;
use crate::{GeometryError, Ring};

/// One step of a lid, counted from its top.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LidStep {
    /// Thickness of its foam, mm.
    pub thickness: f64,
    /// Width of the ledge between the step above (for the first, the opening's edge) and this one, mm; 0 for none.
    pub ledge: f64,
}

/// A stepped plug lid and the opening it closes.
#[derive(Debug, Clone, PartialEq)]
pub struct Lid {
    /// The opening at its top face, mm.
    pub opening: Ring,
    /// From top to bottom.
    pub steps: Vec<LidStep>,
    /// Lean of the sides, radians, 0..60°: the lid narrows downwards by depth × tan(draft) a side, so that it lifts out.
    pub draft: f64,
    /// Room for the gasket all round, mm, taken off the lid and not off the opening.
    pub clearance: f64,
}

/// One layer of the lid, or of the opening that takes it.
#[derive(Debug, Clone, PartialEq)]
pub struct LidLayer {
    /// 1 = topmost.
    pub number: usize,
    /// Depth of its top face from the opening's top, mm.
    pub from: f64,
    /// Depth of its bottom face, mm.
    pub to: f64,
    /// At its top face.
    pub top: Vec<Ring>,
    /// At its bottom face.
    pub bottom: Vec<Ring>,
    /// Volume, mm³.
    pub volume: f64,
}

impl Lid {
    /// The lid's layers, top to bottom.
    ///
    /// # Errors
    /// [`GeometryError::NotFinite`] for a bad number, [`GeometryError::NegativeThickness`] for a step without thickness,
    /// [`GeometryError::NoLayers`] without steps, [`GeometryError::EmptyAtDepth`] where ledges and draft leave nothing, and
    /// those of [`offset`].
    pub fn layers(&self) -> Result<Vec<LidLayer>, GeometryError> {
        self.cut(self.clearance)
    }

    /// The hole that takes the lid, step by step: what is cut from the wall round it.
    ///
    /// # Errors
    /// As [`Lid::layers`].
    pub fn hole(&self) -> Result<Vec<LidLayer>, GeometryError> {
        self.cut(0.0)
    }

    fn cut(&self, clearance: f64) -> Result<Vec<LidLayer>, GeometryError> {
        let thicknesses: Vec<f64> = self.steps.iter().map(|s| s.thickness).collect();
        crate::layers::check(&thicknesses)?;
        let fine = |v: f64| v.is_finite() && (0.0..=1000.0).contains(&v);
        for (what, ok) in [
            ("the draft of the lid", (0.0..=std::f64::consts::FRAC_PI_3).contains(&self.draft)),
            ("the gasket clearance of the lid", fine(self.clearance)),
            ("a ledge of the lid", self.steps.iter().all(|s| fine(s.ledge))),
        ] {
            if !ok {
                return Err(GeometryError::NotFinite { what: what.to_owned() });
            }
        }
        let mut out = Vec::new();
        let (mut from, mut back) = (0.0, clearance);
        for (i, step) in self.steps.iter().enumerate() {
            let (number, to) = (i + 1, from + step.thickness);
            back += step.ledge;
            let at =
                |z: f64| offset(&self.opening, -(back + z * self.draft.tan()), Join::Mitre { limit: 4.0 });
            let (top, bottom) = (at(from)?, at(to)?);
            for (depth, rings) in [(from, &top), (to, &bottom)] {
                if rings.iter().all(|r| r.area() < 1.0) {
                    return Err(GeometryError::EmptyAtDepth { layer: number, depth });
                }
            }
            let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
            // An offset that worked at both faces works between.
            let between = |z: f64| at(z).map_or(0.0, |r| area(&r));
            let volume = volume(&between, (from, area(&top)), (to, area(&bottom)));
            out.push(LidLayer { number, from, to, top, bottom, volume });
            from = to;
        }
        Ok(out)
    }
}
