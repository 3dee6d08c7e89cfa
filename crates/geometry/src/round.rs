//! A circle travelled at unit speed: what strongly bent runs are measured against.

use kurbo::{Point, Vec2};

/// Beyond this many times the run's length a circle is as good as a line, which the fairing knows by itself.
const FLAT: f64 = 100.0;

/// Misfit of the places against the rise of the run (root mean square over largest) up to which the circle is believed whole, and from which on not at
/// all; in between the curve changes steadily from one to the other. Half a millimetre on a rise of 120 is what ticks on a true arc show; a cubic section
/// as hulls have it shows more than 0.008 and is better faired by itself.
const ROUND: (f64, f64) = (0.004, 0.008);

/// Place by length along: centre + radius · (cos, sin)(phase + way · length / radius), or nowhere (zero) for a run that is nearly straight.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Round {
    /// No circle: everything is left to the fairing.
    Origin,
    /// A circle.
    Circle {
        /// Its middle.
        centre: Vec2,
        /// mm.
        radius: f64,
        /// Radians at length 0.
        phase: f64,
        /// 1 counter-clockwise, −1 clockwise.
        way: f64,
        /// How much of it is believed, 0 to 1: all of it where the run is round, none where it clearly is not.
        share: f64,
    },
}

/// Middle and radius, mm, of the circle of least squared algebraic distance (I. Kåsa, "A circle fitting procedure and its error analysis", IEEE Transactions
/// on Instrumentation and Measurement 25 (1976)) through places; `None` where they lie in one line.
pub(crate) fn nearest_circle(places: &[Point]) -> Option<(Vec2, f64)> {
    let n = places.len() as f64;
    let mean = places.iter().fold(Vec2::ZERO, |s, p| s + p.to_vec2()) / n;
    let (mut xx, mut xy, mut yy, mut xz, mut yz, mut zz) = (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for p in places {
        let d = p.to_vec2() - mean;
        let z = d.hypot2();
        (xx, xy, yy) = (xx + d.x * d.x, xy + d.x * d.y, yy + d.y * d.y);
        (xz, yz, zz) = (xz + d.x * z, yz + d.y * z, zz + z);
    }
    let det = xx * yy - xy * xy;
    let middle = Vec2::new(xz * yy - yz * xy, yz * xx - xz * xy) / (2.0 * det);
    let radius = (middle.hypot2() + zz / n).sqrt();
    (det > 1e-9 * (xx + yy).powi(2) && radius.is_finite()).then_some((mean + middle, radius))
}

/// Angles of the places seen from a middle, radians, each the nearest to the one before: going on where a turn is full.
pub(crate) fn angles_round(places: &[Point], centre: Vec2) -> Vec<f64> {
    let mut angles: Vec<f64> = Vec::with_capacity(places.len());
    for p in places {
        let angle = (p.to_vec2() - centre).atan2();
        let before = angles.last().copied().unwrap_or(angle);
        angles.push(before + turned(angle - before));
    }
    angles
}

impl Round {
    /// The [`nearest_circle`] through places reached after lengths `at`.
    pub(crate) fn nearest(places: &[Point], at: &[f64]) -> Self {
        Self::circle(places, at).unwrap_or(Self::Origin)
    }

    fn circle(places: &[Point], at: &[f64]) -> Option<Self> {
        let n = places.len() as f64;
        let length = at.last()? - at.first()?;
        let (centre, radius) = nearest_circle(places).filter(|(_, radius)| *radius < FLAT * length)?;
        let off = |p: &Point| (p.to_vec2() - centre).hypot() - radius;
        let misfit = (places.iter().map(|p| off(p).powi(2)).sum::<f64>() / n).sqrt();
        let (first, last) = (*places.first()?, *places.last()?);
        let chord = (last - first) / first.distance(last).max(1e-9);
        let rise = places.iter().map(|p| chord.cross(*p - first).abs()).fold(0.0, f64::max);
        let share = ((ROUND.1 - misfit / rise.max(1e-9)) / (ROUND.1 - ROUND.0)).clamp(0.0, 1.0);
        if share <= 0.0 {
            return None;
        }
        // Which way round, and where it begins: by the angles of the places, unrolled.
        let angles = angles_round(places, centre);
        let way = (angles.last()? - angles.first()?).signum();
        let phase = angles.iter().zip(at).map(|(a, t)| a - way * t / radius).sum::<f64>() / n;
        phase.is_finite().then_some(Self::Circle { centre, radius, phase, way, share })
    }

    /// Place, direction and second derivative after a length, times the share.
    pub(crate) fn at(&self, t: f64) -> [Vec2; 3] {
        match *self {
            Self::Origin => [Vec2::ZERO; 3],
            Self::Circle { centre, radius, phase, way, share } => {
                let out = Vec2::from_angle(phase + way * t / radius);
                [centre + out * radius, Vec2::new(-out.y, out.x) * way, -out / radius].map(|v| v * share)
            }
        }
    }

    /// Height of the circle above x, with its first and second derivatives, on the side of the places, times the share; zero without a circle, `None` where the circle is
    /// steep or not there.
    pub(crate) fn height(&self, x: f64) -> Option<[f64; 3]> {
        match *self {
            Self::Origin => Some([0.0; 3]),
            Self::Circle { centre, radius, way, share, .. } => {
                let d = x - centre.x;
                if d.abs() > 0.8 * radius {
                    return None;
                }
                // Travelled to the right counter-clockwise, the places lie below the centre.
                let rise = (radius * radius - d * d).sqrt();
                let bend = radius * radius / (rise * rise * rise);
                Some([centre.y - way * rise, way * d / rise, way * bend].map(|v| v * share))
            }
        }
    }

    /// The circle between two lengths as a quintic, Taylor coefficients about the first. On a quarter of a radian of 1,000 mm it is 0.00001 mm off.
    pub(crate) fn span(&self, from: f64, to: f64) -> [Vec2; 6] {
        let (a, b) = (self.at(from), self.at(to));
        let x = hermite(to - from, a.map(|v| v.x), b.map(|v| v.x));
        let y = hermite(to - from, a.map(|v| v.y), b.map(|v| v.y));
        std::array::from_fn(|k| Vec2::new(x[k], y[k]))
    }
}

/// The quintic over a span of length `h` that meets value, first and second derivative at both ends, as Taylor coefficients about its beginning.
pub(crate) fn hermite(h: f64, [p, v, a]: [f64; 3], [q, w, b]: [f64; 3]) -> [f64; 6] {
    let h = h.max(1e-9);
    let (v, w, a, b) = (v * h, w * h, a * h * h, b * h * h);
    let d = q - p;
    let unit = [
        p,
        v,
        a * 0.5,
        10.0 * d - 6.0 * v - 4.0 * w - 1.5 * a + 0.5 * b,
        -15.0 * d + 8.0 * v + 7.0 * w + 1.5 * a - b,
        6.0 * d - 3.0 * v - 3.0 * w - 0.5 * a + 0.5 * b,
    ];
    let mut f = 1.0;
    unit.map(|c| {
        let out = c * f;
        f /= h;
        out
    })
}

/// An angle brought to −π … π.
fn turned(angle: f64) -> f64 {
    angle.sin().atan2(angle.cos())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_on_a_circle_give_it_back() {
        for way in [1.0, -1.0] {
            let place = |t: f64| Point::new(200.0, -90.0) + Vec2::from_angle(2.9 + way * t / 600.0) * 600.0;
            let at: Vec<f64> = (0..7).map(|k| 240.0 * f64::from(k)).collect();
            let places: Vec<Point> = at.iter().map(|t| place(*t)).collect();
            let round = Round::nearest(&places, &at);
            for k in 0..=140 {
                let t = 10.0 * f64::from(k);
                assert!(round.at(t)[0].to_point().distance(place(t)) < 1e-6, "{way} {t}");
            }
            let span = round.span(240.0, 480.0);
            for u in [0.0, 60.0, 120.0, 240.0] {
                let q = span.iter().rev().fold(Vec2::ZERO, |s, c| s * u + *c);
                assert!(q.to_point().distance(place(240.0 + u)) < 1e-4, "{way} {u}");
            }
        }
    }

    #[test]
    fn a_straight_run_has_no_circle() {
        let at = [0.0, 100.0, 200.0];
        let places = at.map(|t| Point::new(t, 2.0 * t));
        assert!(matches!(Round::nearest(&places, &at), Round::Origin));
    }
}
