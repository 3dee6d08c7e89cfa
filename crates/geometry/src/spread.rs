//! How well one point is known.

use kurbo::Vec2;

/// Covariance of one point's place, mm².
///
/// Rule: `xx` and `yy` are not negative and `xy² <= xx·yy`; [`Spread::is_valid`] says whether it holds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spread {
    /// Variance along x, mm².
    pub xx: f64,
    /// Covariance of x and y, mm².
    pub xy: f64,
    /// Variance along y, mm².
    pub yy: f64,
}

impl Spread {
    /// The same standard uncertainty `sd` (mm) in every direction.
    #[must_use]
    pub fn round(sd: f64) -> Self {
        Self { xx: sd * sd, xy: 0.0, yy: sd * sd }
    }

    /// Finite and positive semi-definite (to rounding).
    #[must_use]
    pub fn is_valid(&self) -> bool {
        self.xx.is_finite()
            && self.xy.is_finite()
            && self.yy.is_finite()
            && self.xx >= 0.0
            && self.yy >= 0.0
            && self.xy * self.xy <= self.xx * self.yy * (1.0 + 1e-9) + 1e-18
    }

    /// Variance along the direction of `way` (any length but zero), mm².
    #[must_use]
    pub fn along(&self, way: Vec2) -> f64 {
        let l2 = way.hypot2();
        if l2 > 0.0 {
            ((self.xx * way.x * way.x + 2.0 * self.xy * way.x * way.y + self.yy * way.y * way.y) / l2)
                .max(0.0)
        } else {
            0.0
        }
    }

    /// Greatest standard uncertainty over all directions, mm.
    #[must_use]
    pub fn major_sd(&self) -> f64 {
        self.ellipse().0
    }

    /// One-sigma ellipse: half axes (mm, larger first) and the angle of the larger one from x in radians.
    #[must_use]
    pub fn ellipse(&self) -> (f64, f64, f64) {
        let mean = 0.5 * (self.xx + self.yy);
        let half = 0.5 * (self.xx - self.yy);
        let r = half.hypot(self.xy);
        let angle = 0.5 * self.xy.atan2(half);
        ((mean + r).max(0.0).sqrt(), (mean - r).max(0.0).sqrt(), angle)
    }

    /// As seen in the mirror x → −x.
    #[must_use]
    pub fn mirrored(&self) -> Self {
        Self { xy: -self.xy, ..*self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ellipse_of_a_turned_spread_has_the_axes_it_was_made_from() {
        let (a, b, w) = (3.0_f64, 1.0_f64, 0.4_f64);
        let (c, s) = (w.cos(), w.sin());
        let spread = Spread {
            xx: a * a * c * c + b * b * s * s,
            xy: (a * a - b * b) * c * s,
            yy: a * a * s * s + b * b * c * c,
        };
        let (ga, gb, gw) = spread.ellipse();
        assert!((ga - a).abs() < 1e-12 && (gb - b).abs() < 1e-12 && (gw - w).abs() < 1e-12, "{ga} {gb} {gw}");
        assert!((spread.along(Vec2::new(c, s)) - 9.0).abs() < 1e-12);
        assert!((spread.major_sd() - 3.0).abs() < 1e-12);
    }
}
