//! A hole through all layers of a wall: for a hose, a drain, a pipe, a stringer.

use std::f64::consts::{FRAC_PI_2, PI};

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
        /// Radius of its corners, at most half the shorter side; 0: sharp.
        corner: Length,
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
            HoleShape::Rectangle { width, height, corner, turn_deg } => {
                let turn = Affine::translate(at.to_vec2()) * Affine::rotate(turn_deg.to_radians());
                let ring = rounded((width.mm(), height.mm()), corner.mm());
                Cutout { name: self.name.clone(), ring: ring.into_iter().map(|p| turn * p).collect(), bevel }
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
            HoleShape::Rectangle { width, height, corner, .. }
                if !(0.0..=width.min(height).mm() / 2.0).contains(&corner.mm()) =>
            {
                return bad("cannot have its corners rounder than half its shorter side");
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

/// Chords of a rounded corner keep so near to it, mm.
const CHORD_MM: f64 = 0.005;

/// Corners of a rectangle about the origin, mm, each rounded by chords.
fn rounded((width, height): (f64, f64), corner: f64) -> Vec<Point> {
    let (a, b) = (width / 2.0, height / 2.0);
    let r = corner.clamp(0.0, a.min(b));
    if r < CHORD_MM {
        return [(-a, -b), (a, -b), (a, b), (-a, b)].map(Point::from).to_vec();
    }
    // A chord over the angle t stands r (1 - cos t/2) off its arc.
    let count =
        (FRAC_PI_2 / (2.0 * (1.0 - CHORD_MM / r).clamp(-1.0, 1.0).acos())).ceil().clamp(2.0, 500.0) as u32;
    let middles = [(-a + r, -b + r), (a - r, -b + r), (a - r, b - r), (-a + r, b - r)];
    let quarter = |(i, middle): (usize, (f64, f64))| {
        let from = PI + FRAC_PI_2 * i as f64;
        let at = move |k: u32| from + FRAC_PI_2 * f64::from(k) / f64::from(count);
        (0..=count).map(move |k| Point::from(middle) + Vec2::from_angle(at(k)) * r)
    };
    middles.into_iter().enumerate().flat_map(quarter).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::Shape;

    #[test]
    fn a_rounded_rectangle_has_the_area_of_its_formula() {
        // a b - (4 - π) r², by the definition of the shape; chords take a little off.
        for (size, r) in [((300.0, 200.0), 40.0), ((300.0, 200.0), 100.0), ((300.0, 200.0), 0.0)] {
            let ring = rounded(size, r);
            let mut path = kurbo::BezPath::new();
            path.move_to(ring[0]);
            ring[1..].iter().for_each(|p| path.line_to(*p));
            path.close_path();
            let want = size.0 * size.1 - (4.0 - PI) * r * r;
            assert!(
                (path.area().abs() - want).abs() < 0.005 * PI * r * 2.0 + 1e-6,
                "{size:?} {r}: {}",
                path.area()
            );
        }
    }
}
