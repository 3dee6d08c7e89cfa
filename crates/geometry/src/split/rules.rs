//! What the parts of a layer must keep to.

use kurbo::Point;

use super::part::hull_of;
use super::seam::SeamStyle;
use super::turning::TurnLimit;
use crate::opening::{directions, extent, narrowest};
use crate::{Extent, GeometryError, Layer};

/// Limits for splitting a layer, all mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SplitRules {
    /// Widest slab that goes through the opening at the layer's thickness ([`crate::Opening::widest_slot`]).
    pub widest: f64,
    /// Greatest length of a part the way it goes in: the reach of an arm.
    pub longest: Option<f64>,
    /// The room to turn a part behind the opening.
    pub turning: Option<TurnLimit>,
    /// Sides of the sheet the parts are cut from, its margin taken off.
    pub sheet: Option<(f64, f64)>,
    /// Least distance from the seams of neighbouring layers that run within 30° of this one or do not cross it.
    pub stagger: f64,
    /// Least distance of a seam from corners it does not belong to, and from cut-outs; one that runs into a cut-out has it that
    /// far to either side at least.
    pub clear: f64,
    /// Narrowest part worth cutting.
    pub least: f64,
    /// How parts meet.
    pub style: SeamStyle,
}

impl Default for SplitRules {
    /// No limits but the usual distances (common practice, no source): seams 100 mm apart, 50 mm from corners and cut-outs,
    /// no part narrower than 75 mm, butts.
    fn default() -> Self {
        Self {
            widest: f64::MAX,
            longest: None,
            turning: None,
            sheet: None,
            stagger: 100.0,
            clear: 50.0,
            least: 75.0,
            style: SeamStyle::Butt,
        }
    }
}

/// Why a part does not do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Fails {
    /// Too wide for the opening.
    Wide,
    /// Too long in every way it goes through.
    Long,
    /// It cannot be turned behind the opening.
    Room,
    /// On no sheet.
    Sheet,
}

impl SplitRules {
    /// Whether a layer or part, whole, goes through the opening, is short enough and can be cut from the sheet.
    #[must_use]
    pub fn allow(&self, layer: &Layer) -> bool {
        self.fails(&hull_of(layer)).is_none()
    }

    pub(crate) fn checked(&self, layer: usize) -> Result<(), GeometryError> {
        let usable = |v: f64| v.is_finite() && v >= 0.0;
        let limits = [self.longest, self.sheet.map(|s| s.0), self.sheet.map(|s| s.1)];
        let sound =
            [self.widest, self.stagger, self.clear, self.least, self.style.past()].into_iter().all(usable)
                && limits.into_iter().flatten().all(usable)
                && self.style.past() <= 100.0;
        if !sound {
            return Err(GeometryError::NotFinite { what: "a limit for splitting".to_owned() });
        }
        let why = if self.widest <= 0.0 {
            "nothing of its thickness goes through the opening; use thinner layers or a larger opening"
                .to_owned()
        } else if self.widest < self.least {
            format!(
                "the opening lets {:.0} mm of its thickness through, and parts may not be narrower than {:.0} mm; allow narrower parts, thinner layers or a larger opening",
                self.widest, self.least
            )
        } else {
            return Ok(());
        };
        Err(GeometryError::Split { layer, why })
    }

    /// What a piece with this hull fails by, if anything.
    pub(crate) fn fails(&self, hull: &[Point]) -> Option<Fails> {
        /// A micrometre for rounding.
        const NEAR: f64 = 1e-3;
        let least = narrowest(hull)?;
        if least.width > self.widest + NEAR {
            return Some(Fails::Wide);
        }
        let any = |fits: &dyn Fn(&Extent) -> bool| {
            fits(&least) || directions(hull).into_iter().filter_map(|d| extent(hull, d)).any(|e| fits(&e))
        };
        let through =
            |e: &Extent| e.width <= self.widest + NEAR && self.longest.is_none_or(|l| e.length <= l + NEAR);
        if !any(&through) {
            return Some(Fails::Long);
        }
        let turns =
            |e: &Extent| through(e) && self.turning.as_ref().is_none_or(|t| t.allows(e.width, e.length));
        if self.turning.is_some() && !any(&turns) {
            return Some(Fails::Room);
        }
        let (a, b) = self.sheet?;
        let (short, long) = (a.min(b), a.max(b));
        let lies = |e: &Extent| e.width <= short + NEAR && e.length <= long + NEAR;
        (!any(&lies)).then_some(Fails::Sheet)
    }

    /// Only what a first cut into strips must bring about: the width.
    pub(crate) fn width_only(&self) -> Self {
        let sheet = self.sheet.map_or(f64::MAX, |s| s.0.min(s.1));
        Self { widest: self.widest.min(sheet), longest: None, turning: None, sheet: None, ..*self }
    }
}
