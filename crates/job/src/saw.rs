//! The saw of a job as the sums know it.

use coldwright_geometry::{Length, Saw};

use crate::workshop::Cutting;

impl Cutting {
    /// The saw as stated; a throat not stated is in nobody's way.
    pub fn saw(&self) -> Saw {
        let tilt = |degrees: u8| f64::from(degrees).to_radians();
        Saw {
            tilt: tilt(self.tilt.0),
            tilt_back: tilt(self.tilt.1),
            throat: self.throat.map_or(f64::INFINITY, Length::mm),
            blade: self.blade.mm(),
        }
    }
}
