//! The hollow behind a wall's outer face: how far the surface stands off a straightedge.

use crate::GeometryError;
use crate::natural::natural;

/// A hollow in one direction, between two places at which a straightedge touches the surface.
#[derive(Debug, Clone, PartialEq)]
pub struct Hollow {
    shape: Shape,
    length: f64,
}

#[derive(Debug, Clone, PartialEq)]
enum Shape {
    Radius(f64),
    /// Places and the curve of least change of curvature through them.
    Stations {
        at: Vec<f64>,
        spans: Vec<[f64; 6]>,
    },
}

/// Places looked at when something greatest is wanted.
const LOOKS: u32 = 512;

impl Hollow {
    /// A round hollow of stated `radius` (mm) under a straightedge `length` mm long.
    ///
    /// # Errors
    /// [`GeometryError::Hollow`] when not finite, not more than 0, or the straightedge is longer than the round is wide.
    pub fn round(radius: f64, length: f64) -> Result<Self, GeometryError> {
        let fine = radius.is_finite() && radius <= 1.0e7 && length > 0.0 && length <= 2.0 * radius;
        if !fine {
            return Err(GeometryError::Hollow {
                what: format!("of radius {radius} mm does not fit a straightedge of {length} mm"),
            });
        }
        Ok(Self { shape: Shape::Radius(radius), length })
    }

    /// Gaps (mm) from a straightedge at numbered stations: `(place, gap)` in mm from one end, in any order.
    ///
    /// The straightedge touches at place 0 and at `length` unless a station there says otherwise.
    ///
    /// # Errors
    /// [`GeometryError::Hollow`] for no station, a bad number, a place off the straightedge or two gaps at one place.
    pub fn measured(stations: &[(f64, f64)], length: f64) -> Result<Self, GeometryError> {
        let bad = |what: String| Err(GeometryError::Hollow { what });
        if !(length.is_finite() && length > 0.0 && length <= 1.0e5) {
            return bad(format!("under a straightedge of {length} mm cannot be used"));
        }
        if stations.is_empty() {
            return bad("has no station".to_owned());
        }
        for (at, gap) in stations {
            if !(at.is_finite() && gap.is_finite() && (0.0..=length).contains(at) && gap.abs() <= length) {
                return bad(format!("of {gap} mm at {at} mm is off the straightedge or cannot be"));
            }
        }
        let mut all = stations.to_vec();
        for end in [0.0, length] {
            if !all.iter().any(|s| (s.0 - end).abs() < 0.5) {
                all.push((end, 0.0));
            }
        }
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(w) = all.windows(2).find(|w| w[1].0 - w[0].0 < 0.5) {
            return bad(format!("has two gaps at {} mm", w[0].0));
        }
        let (at, gaps): (Vec<f64>, Vec<f64>) = all.into_iter().unzip();
        match natural(&at, &gaps, None) {
            Some(spans) => Ok(Self { shape: Shape::Stations { at, spans }, length }),
            None => bad("cannot be faired".to_owned()),
        }
    }

    /// Length of the straightedge, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.length
    }

    /// Gap, its slope and second derivative at a place.
    fn jet(&self, x: f64) -> (f64, f64, f64) {
        let x = x.clamp(0.0, self.length);
        match &self.shape {
            Shape::Radius(r) => {
                let u = x - 0.5 * self.length;
                let edge = (r * r - 0.25 * self.length * self.length).max(0.0).sqrt();
                let y = (r * r - u * u).max(1e-12 * r * r).sqrt();
                (y - edge, -u / y, -r * r / y.powi(3))
            }
            Shape::Stations { at, spans } => {
                let i = at.partition_point(|k| *k <= x).clamp(1, spans.len()) - 1;
                let (Some(c), Some(k)) = (spans.get(i), at.get(i)) else { return (0.0, 0.0, 0.0) };
                let u = x - k;
                (
                    c.iter().rev().fold(0.0, |s, v| s * u + v),
                    (1..6).rev().fold(0.0, |s, p| s * u + p as f64 * c[p]),
                    (2..6).rev().fold(0.0, |s, p| s * u + (p * (p - 1)) as f64 * c[p]),
                )
            }
        }
    }

    /// Gap from the straightedge at a place, mm; held beyond the ends.
    #[must_use]
    pub fn gap(&self, at: f64) -> f64 {
        self.jet(at).0
    }

    /// Direction of the surface against the straightedge at a place, radians, positive where the gap grows.
    #[must_use]
    pub fn slope(&self, at: f64) -> f64 {
        self.jet(at).1.atan()
    }

    /// Deepest gap and its place, mm.
    #[must_use]
    pub fn deepest(&self) -> (f64, f64) {
        (0..=LOOKS)
            .map(|k| self.length * f64::from(k) / f64::from(LOOKS))
            .map(|x| (self.gap(x), x))
            .fold((f64::NEG_INFINITY, 0.0), |m, g| if g.0 > m.0 { g } else { m })
    }

    /// Tightest radius of the hollow, mm; None where nothing is hollow.
    #[must_use]
    pub fn tightest_radius(&self) -> Option<f64> {
        (0..=LOOKS)
            .map(|k| self.jet(self.length * f64::from(k) / f64::from(LOOKS)))
            .filter(|j| j.2 < -1e-7)
            .map(|(_, s, b)| (1.0 + s * s).powf(1.5) / -b)
            .min_by(f64::total_cmp)
    }

    /// Area between straightedge and surface, mm²: the void behind a flat first layer, for each mm across.
    #[must_use]
    pub fn void_area(&self) -> f64 {
        self.between(0.0, self.length)
    }

    /// Void behind a flat first layer, mm³: this hollow along one direction, `across` the other, their middles the same.
    ///
    /// In two directions the gaps add (a translation surface); hollow that stands proud of the straightedge counts as none.
    #[must_use]
    pub fn void_volume(&self, across: &Self) -> f64 {
        self.void_area() * across.length + across.void_area() * self.length
    }

    /// Integral of the gap above the chord from `a` to `b`.
    pub(crate) fn between(&self, a: f64, b: f64) -> f64 {
        let h = (b - a) / f64::from(LOOKS);
        let (ga, gb) = (self.gap(a), self.gap(b));
        let over = |k: f64| self.gap(a + h * k) - ga - (gb - ga) * k / f64::from(LOOKS);
        // Simpson's rule over even pieces.
        (0..LOOKS / 2)
            .map(|k| f64::from(2 * k))
            .map(|k| h / 3.0 * (over(k) + 4.0 * over(k + 1.0) + over(k + 2.0)))
            .sum::<f64>()
            .max(0.0)
    }
}
