//! The lean of an edge, constant or at stations.

use crate::GeometryError;

/// A bevel read at one place of an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BevelStation {
    /// Place as a fraction 0..=1 of the edge's length from its start corner.
    pub at: f64,
    /// Angle from square, radians; open (the piece grows from outer to inner face) positive.
    pub angle: f64,
}

/// Angles at one or more stations along an edge, in order; straight between, constant beyond the outer ones.
#[derive(Debug, Clone, PartialEq)]
pub struct Bevel {
    /// Rule: at least one, `at` within 0..=1 and strictly rising, |angle| at most [`Bevel::STEEPEST`].
    stations: Vec<BevelStation>,
}

impl Default for Bevel {
    fn default() -> Self {
        Self { stations: vec![BevelStation { at: 0.0, angle: 0.0 }] }
    }
}

impl Bevel {
    /// Steepest bevel taken: 75° in radians. Beyond it foam is all feather and the moved edge runs off.
    pub const STEEPEST: f64 = 75.0 * std::f64::consts::PI / 180.0;

    /// One angle (radians) along the whole edge.
    ///
    /// # Errors
    /// [`GeometryError::BadBevel`] when not finite or steeper than 75°.
    pub fn constant(angle: f64) -> Result<Self, GeometryError> {
        Self::from_stations(vec![BevelStation { at: 0.0, angle }])
    }

    /// Angles at stations, in any order; two at one place must agree.
    ///
    /// # Errors
    /// [`GeometryError::BadBevel`] when there is none, one is outside 0..=1, not finite or steeper than 75°, or two disagree.
    pub fn from_stations(mut stations: Vec<BevelStation>) -> Result<Self, GeometryError> {
        let bad = |what: String| Err(GeometryError::BadBevel { what });
        if stations.is_empty() {
            return bad("has no station".to_owned());
        }
        for s in &stations {
            if !s.angle.is_finite() || s.angle.abs() > Self::STEEPEST + 1e-12 {
                return bad(format!("of {:.1}° is too steep", s.angle.to_degrees()));
            }
            if !(0.0..=1.0).contains(&s.at) {
                return bad(format!("station at {} is off the edge", s.at));
            }
        }
        stations.sort_by(|a, b| a.at.total_cmp(&b.at));
        for pair in stations.windows(2) {
            if let [a, b] = pair
                && b.at - a.at < 1e-9
                && (a.angle - b.angle).abs() > 1e-9
            {
                return bad(format!("has two angles at station {}", a.at));
            }
        }
        stations.dedup_by(|b, a| b.at - a.at < 1e-9);
        Ok(Self { stations })
    }

    /// The angle at `at` (fraction of the edge's length), radians.
    #[must_use]
    pub fn at(&self, at: f64) -> f64 {
        let next = self.stations.partition_point(|s| s.at <= at);
        match (next.checked_sub(1).and_then(|i| self.stations.get(i)), self.stations.get(next)) {
            (Some(a), Some(b)) => a.angle + (b.angle - a.angle) * (at - a.at) / (b.at - a.at),
            (Some(s), None) | (None, Some(s)) => s.angle,
            (None, None) => 0.0,
        }
    }

    /// The stations in rising order.
    #[must_use]
    pub fn stations(&self) -> &[BevelStation] {
        &self.stations
    }

    /// The same angle everywhere.
    #[must_use]
    pub fn is_constant(&self) -> bool {
        self.stations.windows(2).all(|w| matches!(w, [a, b] if (a.angle - b.angle).abs() < 1e-15))
    }

    /// The angle of greatest size, radians.
    #[must_use]
    pub fn steepest(&self) -> f64 {
        self.stations.iter().map(|s| s.angle).fold(0.0, |m: f64, a| if a.abs() > m.abs() { a } else { m })
    }

    /// Read from the other end.
    #[must_use]
    pub fn reversed(&self) -> Self {
        Self {
            stations: self
                .stations
                .iter()
                .rev()
                .map(|s| BevelStation { at: 1.0 - s.at, angle: s.angle })
                .collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stations_are_joined_straight_and_held_beyond() -> Result<(), GeometryError> {
        let b = Bevel::from_stations(vec![
            BevelStation { at: 0.75, angle: 0.3 },
            BevelStation { at: 0.25, angle: 0.1 },
        ])?;
        for (at, want) in [(0.0, 0.1), (0.25, 0.1), (0.5, 0.2), (0.75, 0.3), (1.0, 0.3)] {
            assert!((b.at(at) - want).abs() < 1e-12, "{at}");
            assert!((b.reversed().at(1.0 - at) - want).abs() < 1e-12, "{at}");
        }
        Ok(())
    }

    #[test]
    fn bad_bevels_are_refused() {
        assert!(Bevel::constant(f64::NAN).is_err());
        assert!(Bevel::constant(1.4).is_err());
        assert!(Bevel::from_stations(vec![]).is_err());
        assert!(Bevel::from_stations(vec![BevelStation { at: 1.5, angle: 0.0 }]).is_err());
        let twice = |a, b| {
            Bevel::from_stations(vec![BevelStation { at: 0.5, angle: a }, BevelStation { at: 0.5, angle: b }])
        };
        assert!(twice(0.1, 0.2).is_err());
        assert!(twice(0.1, 0.1).is_ok());
    }
}
