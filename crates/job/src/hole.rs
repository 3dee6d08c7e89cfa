//! A hole through all layers of a wall: for a hose, a drain, a pipe, a stringer.

use coldwright_geometry::{Cutout, Length};
use kurbo::{Affine, Point, Vec2};

use crate::error::JobError;

/// A hole through all layers of a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct Hole {
    /// What goes through it.
    pub name: String,
    /// Its middle at the template's depth: along the bottom (or after) edge from its left end, and up (or forward) from it,
    /// seen from inside the box.
    pub at: (Length, Length),
    /// Its shape and size.
    pub shape: HoleShape,
    /// How its axis leans on the way from the hull to the box, degrees to the right and up, -75..=75.
    pub lean_deg: (f64, f64),
    /// How its sides lean against the axis, degrees, -75..=75: above 0 it narrows towards the box, 0 keeps its size.
    pub taper_deg: f64,
}

/// Shape and size of a hole, the clearance of what goes through included.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum HoleShape {
    /// A hose or pipe, measured across itself.
    Round {
        /// Its diameter.
        diameter: Length,
    },
    /// A stringer, a frame, a duct, measured in the template's plane.
    Rectangle {
        /// Along the bottom (or after) edge before it is turned.
        width: Length,
        /// Up (or forward) before it is turned.
        height: Length,
        /// Turned so many degrees about its middle, to the left above 0.
        turn_deg: f64,
    },
}

impl Hole {
    /// A round hole at a place, its axis square to the wall.
    pub fn round(name: impl Into<String>, at: (Length, Length), diameter: Length) -> Hole {
        let shape = HoleShape::Round { diameter };
        Hole { name: name.into(), at, shape, lean_deg: (0.0, 0.0), taper_deg: 0.0 }
    }

    /// The cut-out at the template's depth, and how far it moves per depth.
    pub(crate) fn cutout(&self) -> (Cutout, Vec2) {
        let lean = Vec2::new(self.lean_deg.0.to_radians().tan(), self.lean_deg.1.to_radians().tan());
        let at = Point::new(self.at.0.mm(), self.at.1.mm());
        let bevel = self.taper_deg.to_radians();
        let cutout = match self.shape {
            HoleShape::Round { diameter } => {
                Cutout { bevel, ..Cutout::round(&self.name, at, diameter.mm(), lean) }
            }
            HoleShape::Rectangle { width, height, turn_deg } => {
                let (a, b) = (width.mm() / 2.0, height.mm() / 2.0);
                let turn = Affine::translate(at.to_vec2()) * Affine::rotate(turn_deg.to_radians());
                let ring = [(-a, -b), (a, -b), (a, b), (-a, b)].map(|(x, y)| turn * Point::new(x, y));
                Cutout { name: self.name.clone(), ring: ring.to_vec(), bevel }
            }
        };
        (cutout, lean)
    }

    /// Whether the hole can be.
    pub(crate) fn check(&self) -> Result<(), JobError> {
        let bad = |why| Err(JobError::Hole { name: self.name.clone(), why });
        let side = |l: Length| l.mm() > 0.0 && l.mm() <= 1000.0;
        match self.shape {
            HoleShape::Round { diameter } if !side(diameter) => {
                return bad("needs a diameter above 0, up to 1000 mm");
            }
            HoleShape::Rectangle { width, height, .. } if !(side(width) && side(height)) => {
                return bad("needs a width and a height above 0, up to 1000 mm");
            }
            HoleShape::Rectangle { turn_deg, .. } if !(turn_deg.is_finite() && turn_deg.abs() <= 360.0) => {
                return bad("cannot be turned more than once round");
            }
            _ => {}
        }
        let lean = |d: f64| d.is_finite() && d.abs() <= 75.0;
        if !(lean(self.lean_deg.0) && lean(self.lean_deg.1) && lean(self.taper_deg)) {
            return bad("cannot lean more than 75°");
        }
        let near = |l: Length| l.mm().abs() < 1e5;
        if near(self.at.0) && near(self.at.1) { Ok(()) } else { bad("needs a place in the wall") }
    }
}
