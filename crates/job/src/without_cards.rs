//! Photos without cards: a rectangle of known size, or two points a known distance apart for a sketch.

use coldwright_canvas::{CanvasError, CardSeen, rectangle};
use coldwright_geometry::Length;
use kurbo::Point;

use crate::document::PhotoId;

use crate::template::Template;

/// A rectangle of known size lying in the plane of the template, such as a sheet of plywood or a hatch.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct KnownRectangle {
    /// The photo it was clicked in.
    pub photo: PhotoId,
    /// Its corners there: top left, top right, bottom right, bottom left.
    pub corners: [Point; 4],
    /// Across.
    pub width: Length,
    /// Down.
    pub height: Length,
    /// From top left to bottom right, and from top right to bottom left.
    pub diagonals: (Length, Length),
}

/// Two points in a photo a known distance apart: enough for a sketch, and labelled so.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Sketch {
    /// The photo they were clicked in.
    pub photo: PhotoId,
    /// One.
    pub from: Point,
    /// The other.
    pub to: Point,
    /// How far they are apart.
    pub length: Length,
}

/// Standard uncertainty of the rectangle's taped sides, mm: a tape read to the millimetre at both ends. Common practice, no source.
pub(crate) const SIDE_SD: f64 = 1.0;
/// What a sketch is wrong by, as a share of a distance: 59 mm on a metre at 20° of tilt.
pub(crate) const SKETCH_SHARE: f64 = 0.06;
/// Diagonals may contradict the sides by this much before it is said, mm: three standard deviations of four tapes.
const CONTRADICTS: f64 = 4.0;

impl KnownRectangle {
    /// As the solver takes it, with how far its tapes contradict each other, mm.
    pub(crate) fn card(&self, click_px: f64) -> Result<(CardSeen, f64), CanvasError> {
        let (w, h) = (self.width.mm(), self.height.mm());
        let diagonals = (self.diagonals.0.mm(), self.diagonals.1.mm());
        let r = rectangle(w, h, diagonals, self.corners, click_px.max(0.1))?;
        Ok((r.card, r.contradiction_mm))
    }

    /// What the taped sides contradict each other by, where that is more than tapes explain, mm.
    pub fn contradiction(&self) -> Option<f64> {
        self.card(1.0).ok().map(|c| c.1).filter(|mm| mm.abs() > CONTRADICTS)
    }

    /// Standard uncertainty of its size, as a share.
    pub(crate) fn scale_sd(&self) -> f64 {
        SIDE_SD / self.width.mm().max(self.height.mm()).max(1.0)
    }
}

/// Whether a template is only a sketch: no card and no rectangle says where its plane lies.
pub(crate) fn only_a_sketch(t: &Template) -> bool {
    let cards = t.sightings.iter().flat_map(|s| &s.photos).any(|p| !p.cards.is_empty());
    t.sketch.is_some() && t.rectangle.is_none() && !cards
}
