//! A lid that plugs its opening in steps, each on a ledge: its layers follow from the opening and not from bevels.

use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, Layer, LayerSet, Length, LidStep, Outline, Ring, Section};
use kurbo::{ParamCurve, ParamCurveDeriv, Vec2};

use crate::document::Wall;
use crate::error::JobError;

/// A lid in steps. Its wall's template is the opening at the counter's top, its layers are the steps from the top down.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SteppedLid {
    /// Width of the ledge each layer rests on, between the layer above (for the first, the opening's edge) and this one; what
    /// is missing at the end is 0.
    pub ledges: Vec<Length>,
    /// Lean of the sides, degrees, 0 to 60: it narrows downwards so that it lifts out.
    pub draft_deg: f64,
    /// Room for the gasket all round, taken off the lid and not off the opening.
    pub clearance: Length,
}

impl SteppedLid {
    /// The ledge above a layer, 1 = topmost.
    pub fn ledge(&self, layer: usize) -> Length {
        layer.checked_sub(1).and_then(|i| self.ledges.get(i)).copied().unwrap_or_default()
    }

    pub(crate) fn check(&self, wall: &str) -> Result<(), JobError> {
        let bad = |why| Err(JobError::Lid { wall: wall.to_owned(), why });
        if !(self.draft_deg.is_finite() && (0.0..=60.0).contains(&self.draft_deg)) {
            return bad("needs a draft of 0 to 60°");
        }
        if !(0.0..=100.0).contains(&self.clearance.mm()) {
            return bad("needs a gasket clearance of 0 to 100 mm");
        }
        if !self.ledges.iter().all(|l| (0.0..=1000.0).contains(&l.mm())) || self.ledges.len() > 1000 {
            return bad("needs ledges of 0 to 1000 mm");
        }
        Ok(())
    }

    fn to_geometry(&self, wall: &Wall, outline: &Outline) -> geo::Lid {
        let steps = wall.layers.iter().zip(1..);
        geo::Lid {
            opening: Ring { outer: outline.polyline(0.001), holes: Vec::new() },
            steps: steps
                .map(|(l, n)| LidStep { thickness: l.thickness.mm(), ledge: self.ledge(n).mm() })
                .collect(),
            draft: self.draft_deg.to_radians(),
            clearance: self.clearance.mm(),
        }
    }
}

/// The layers of a stepped lid, topmost first.
pub(crate) fn layers(wall: &Wall, lid: &SteppedLid, outline: &Outline) -> Result<LayerSet, GeometryError> {
    let draft = lid.draft_deg.to_radians();
    let mut space = 0.0;
    let mut back = lid.clearance.mm();
    let mut out = Vec::new();
    for (step, stock) in lid.to_geometry(wall, outline).layers()?.into_iter().zip(&wall.layers) {
        space += stock.before.mm();
        back += lid.ledge(step.number).mm();
        let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
        let drilled = step.drilled(outline, space);
        if drilled.fits.is_empty() || drilled.top.is_empty() {
            return Err(GeometryError::EmptyAtDepth { layer: step.number, depth: step.from + space });
        }
        let thickness = step.to - step.from;
        let (area_outer, area_inner) = (area(&drilled.top), area(&drilled.bottom));
        let bevels = outline.sides().iter().filter_map(|s| mark(s, back + step.from * draft.tan(), -draft));
        let face = |rings: &[Ring]| Section { rings: rings.to_vec(), notices: Vec::new() };
        let bevels: Vec<geo::BevelMark> = bevels.collect();
        out.push(Layer {
            number: step.number,
            from: step.from + space,
            to: step.to + space,
            outer: face(&drilled.top),
            inner: face(&drilled.bottom),
            area_outer,
            area_inner,
            volume: drilled.volume,
            wedge: (drilled.volume - area(&drilled.fits) * thickness).max(0.0),
            excess: (area(&drilled.fills) * thickness - drilled.volume).max(0.0),
            largest_gap: thickness * draft.tan(),
            largest_gap_at: bevels.first().map(|m| m.at).unwrap_or_default(),
            steepest_bevel: draft,
            tightest_inside_radius: None,
            // It narrows downwards, so that its lower face is common to every depth.
            fits: drilled.fits,
            fills: drilled.fills,
            bevels,
        });
    }
    Ok(LayerSet { layers: out, notices: Vec::new() })
}

/// The sizes of the opening that takes a stepped lid: for each layer across and along its top, mm.
pub fn lid_opening(wall: &Wall, outline: &Outline) -> Vec<(f64, f64)> {
    let steps = wall.lid.as_ref().map(|lid| lid.to_geometry(wall, outline).hole());
    let size = |step: geo::LidLayer| {
        let all = step.top.iter().flat_map(|r| r.outer.iter().copied()).collect::<Vec<_>>();
        let bounds = geo::bounds(&all);
        (bounds.width(), bounds.height())
    };
    // Where the lid cannot be, its layers' problem says why.
    steps.and_then(Result::ok).into_iter().flatten().map(size).collect()
}

/// The bevel in the middle of a side moved in by so much.
fn mark(side: &geo::Side, back: f64, angle: f64) -> Option<geo::BevelMark> {
    let segments: Vec<kurbo::PathSeg> = side.path.segments().collect();
    let middle = segments.get(segments.len() / 2)?;
    let share = if segments.len().is_multiple_of(2) { 0.0 } else { 0.5 };
    let along = match middle {
        kurbo::PathSeg::Line(l) => l.p1 - l.p0,
        kurbo::PathSeg::Quad(q) => q.deriv().eval(share).to_vec2(),
        kurbo::PathSeg::Cubic(c) => c.deriv().eval(share).to_vec2(),
    };
    let long = along.hypot();
    if long < 1e-9 {
        return None;
    }
    let outward = Vec2::new(along.y, -along.x) / long;
    let at = middle.eval(share) - outward * back;
    Some(geo::BevelMark { edge: side.edge.id, at, outward, angle, proud: geo::Proud::of(angle) })
}
