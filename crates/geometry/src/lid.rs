//! A plug lid in steps: each step rests on a ledge of the opening.

use crate::offset::{Join, offset};
use crate::regions::{common, tidy, without};
use crate::volume::volume;
use crate::{GeometryError, Outline, Ring};

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

/// A layer of a lid with what goes through it.
#[derive(Debug, Clone, PartialEq)]
pub struct DrilledLayer {
    /// At its top face.
    pub top: Vec<Ring>,
    /// At its bottom face.
    pub bottom: Vec<Ring>,
    /// Common to every depth: its bottom face less all that the holes take at any depth.
    pub fits: Vec<Ring>,
    /// What any depth needs: its top face less what the holes take at every depth.
    pub fills: Vec<Ring>,
    /// Volume, mm³.
    pub volume: f64,
}

impl LidLayer {
    /// The same layer with the cut-outs of `outline`, drawn at the opening's top, carried down to it; `lower` mm of films and
    /// air lie between the layers above it.
    #[must_use]
    pub fn drilled(&self, outline: &Outline, lower: f64) -> DrilledLayer {
        let holes = outline.holes();
        let (from, to) = (self.from + lower, self.to + lower);
        let at = |z: f64| holes.iter().flat_map(|h| h.at(z)).collect::<Vec<_>>();
        let any: Vec<Ring> = holes.iter().flat_map(|h| h.any(from, to)).collect();
        let all: Vec<Ring> = holes.iter().flat_map(|h| h.all(from, to)).collect();
        let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
        // A layer narrows little in its thickness: what a hole takes of its top and of its bottom face, in proportion.
        let taken = |z: f64| {
            let share = (z - from) / (to - from);
            (1.0 - share) * area(&common(&self.top, &at(z))) + share * area(&common(&self.bottom, &at(z)))
        };
        let lost = if holes.is_empty() { 0.0 } else { volume(&taken, (from, taken(from)), (to, taken(to))) };
        DrilledLayer {
            top: tidy(without(&self.top, &at(from))),
            bottom: tidy(without(&self.bottom, &at(to))),
            fits: tidy(without(&self.bottom, &any)),
            fills: tidy(without(&self.top, &all)),
            volume: self.volume - lost,
        }
    }
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
