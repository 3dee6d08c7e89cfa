//! Cut-outs at every depth: a hole that keeps its shape, tapers, or leans.

use kurbo::{Point, Vec2};

use crate::offset::{Join, offset};
use crate::regions::{common, either, wound};
use crate::section::{segments, signed_area};
use crate::{Cutout, Ring};

/// A cut-out with the way its axis leans.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hole {
    pub name: String,
    pub ring: Vec<Point>,
    pub bevel: f64,
    /// How far it moves in the layer's plane per depth.
    pub lean: Vec2,
}

/// Steps in which a slab is gone through where a hole changes size and place at once, or its shape is hollow.
const STEPS: u32 = 16;

impl Hole {
    pub fn new(cutout: &Cutout, lean: Vec2) -> Self {
        Self { name: cutout.name.clone(), ring: cutout.ring.clone(), bevel: cutout.bevel, lean }
    }

    /// Upright: it only grows or shrinks about its place.
    pub fn is_upright(&self) -> bool {
        self.lean.hypot() < 1e-12
    }

    /// The hole `dz` mm off the depth at which it is drawn; nothing when it has closed.
    pub fn at(&self, dz: f64) -> Vec<Ring> {
        shifted(self.sized(dz), self.lean * dz)
    }

    /// Its shape there, not moved.
    fn sized(&self, dz: f64) -> Vec<Ring> {
        let ring = Ring { outer: self.ring.clone(), holes: Vec::new() };
        let grow = -dz * self.bevel.tan();
        if grow.abs() < 1e-12 {
            return vec![ring];
        }
        // Its ring was found simple when the outline was made; an offset of it cannot fail.
        offset(&ring, grow, Join::Mitre { limit: 3.0 }).unwrap_or_default()
    }

    /// The depth of two at which it is larger.
    fn widest(&self, a: f64, b: f64) -> f64 {
        if (self.bevel >= 0.0) == (a <= b) { a } else { b }
    }

    /// Everything it takes at some depth between: for a hole that leans and tapers a little more (a sixteenth of its taper
    /// through the slab), so that nothing binds.
    pub fn any(&self, a: f64, b: f64) -> Vec<Ring> {
        if self.is_upright() {
            return self.at(self.widest(a, b));
        }
        let steps = if self.bevel.abs() < 1e-12 { 1 } else { STEPS };
        let place = |k: u32| a + (b - a) * f64::from(k) / f64::from(steps);
        (0..steps).fold(Vec::new(), |all, k| {
            let (from, to) = (place(k), place(k + 1));
            let wide = self.sized(self.widest(from, to));
            either(&all, &swept(&shifted(wide, self.lean * from), self.lean * (to - from)))
        })
    }

    /// What it takes at every depth between; exact for an upright hole and for a convex one.
    pub fn all(&self, a: f64, b: f64) -> Vec<Ring> {
        if self.is_upright() {
            let widest = self.widest(a, b);
            return self.at(if widest.to_bits() == a.to_bits() { b } else { a });
        }
        (1..=STEPS).fold(self.at(a), |part, k| {
            common(&part, &self.at(a + (b - a) * f64::from(k) / f64::from(STEPS)))
        })
    }
}

fn shifted(mut rings: Vec<Ring>, by: Vec2) -> Vec<Ring> {
    for p in rings.iter_mut().flat_map(|r| std::iter::once(&mut r.outer).chain(&mut r.holes)).flatten() {
        *p += by;
    }
    rings
}

/// All that rings cover while they are moved along `way`: both ends and what each piece of the boundary passes over.
fn swept(rings: &[Ring], way: Vec2) -> Vec<Ring> {
    let mut parts: Vec<Vec<Point>> = Vec::new();
    for r in rings {
        parts.push(r.outer.clone());
        parts.push(r.outer.iter().map(|p| *p + way).collect());
        for (a, b) in segments(&r.outer) {
            let mut quad = vec![a, b, b + way, a + way];
            if signed_area(&quad) < 0.0 {
                quad.reverse();
            }
            parts.push(quad);
        }
    }
    wound(&parts)
}
