//! The lens: from a viewing direction to a pixel and back.
//!
//! Radial and tangential distortion in the form of D. C. Brown, "Decentering distortion of lenses", Photogrammetric Engineering
//! 32 (1966), with the coefficients in the customary order k1, k2, p1, p2, k3:
//! `xd = x (1 + k1 r² + k2 r⁴ + k3 r⁶) + 2 p1 x y + p2 (r² + 2 x²)`, `yd` likewise with `p1 (r² + 2 y²) + 2 p2 x y`;
//! pixel = focal · (xd, yd) + centre. Camera axes: x right, y down, z forwards, upright picture.

use kurbo::Point;

/// One photo's lens as found by the solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// Focal length, pixels.
    pub focal_px: f64,
    /// First radial coefficient.
    pub k1: f64,
    /// Second radial coefficient.
    pub k2: f64,
    /// Third radial coefficient (held close to zero by its prior).
    pub k3: f64,
    /// First tangential coefficient (held close to zero by its prior).
    pub p1: f64,
    /// Second tangential coefficient (held close to zero by its prior).
    pub p2: f64,
    /// Principal point, pixels.
    pub centre_px: Point,
}

/// A pixel with its derivatives.
pub(crate) struct Projected {
    /// Pixel.
    pub px: [f64; 2],
    /// Derivative by the point in camera axes: rows u, v.
    pub by_point: [[f64; 3]; 2],
    /// Derivative by focal, cx, cy, k1, k2, k3, p1, p2: rows u, v.
    pub by_lens: [[f64; 8]; 2],
}

impl Lens {
    /// A lens without distortion.
    pub fn plain(focal_px: f64, centre_px: Point) -> Self {
        Self { focal_px, k1: 0.0, k2: 0.0, k3: 0.0, p1: 0.0, p2: 0.0, centre_px }
    }

    /// Bends an undistorted direction (x/z, y/z).
    pub(crate) fn bend(&self, x: f64, y: f64) -> (f64, f64) {
        let r2 = x * x + y * y;
        let radial = 1.0 + r2 * (self.k1 + r2 * (self.k2 + r2 * self.k3));
        (
            x * radial + 2.0 * self.p1 * x * y + self.p2 * (r2 + 2.0 * x * x),
            y * radial + self.p1 * (r2 + 2.0 * y * y) + 2.0 * self.p2 * x * y,
        )
    }

    /// Derivative of [`Self::bend`]: rows xd, yd; columns x, y.
    fn bend_slope(&self, x: f64, y: f64) -> [[f64; 2]; 2] {
        let r2 = x * x + y * y;
        let radial = 1.0 + r2 * (self.k1 + r2 * (self.k2 + r2 * self.k3));
        let slope = self.k1 + r2 * (2.0 * self.k2 + 3.0 * r2 * self.k3);
        let cross = 2.0 * x * y * slope + 2.0 * self.p1 * x + 2.0 * self.p2 * y;
        [
            [radial + 2.0 * x * x * slope + 2.0 * self.p1 * y + 6.0 * self.p2 * x, cross],
            [cross, radial + 2.0 * y * y * slope + 6.0 * self.p1 * y + 2.0 * self.p2 * x],
        ]
    }

    /// Pixel of a point in camera axes; `None` behind the camera or where the distortion folds back on itself.
    pub fn pixel(&self, q: [f64; 3]) -> Option<Point> {
        if q[2] <= 0.0 || !q.iter().all(|v| v.is_finite()) {
            return None;
        }
        let (x, y) = (q[0] / q[2], q[1] / q[2]);
        if !self.holds_at(x, y) {
            return None;
        }
        let (xd, yd) = self.bend(x, y);
        Some(Point::new(self.focal_px * xd + self.centre_px.x, self.focal_px * yd + self.centre_px.y))
    }

    /// Whether the distortion still grows outwards along the whole ray to this direction.
    fn holds_at(&self, x: f64, y: f64) -> bool {
        let r2 = x * x + y * y;
        (1..=8).all(|i| {
            let s = r2 * f64::from(i) / 8.0;
            1.0 + s * (3.0 * self.k1 + s * (5.0 * self.k2 + s * 7.0 * self.k3)) > 0.05
        })
    }

    /// Direction (x/z, y/z) that a pixel sees; `None` where the distortion folds back on itself.
    pub fn direction(&self, px: Point) -> Option<(f64, f64)> {
        let xd = (px.x - self.centre_px.x) / self.focal_px;
        let yd = (px.y - self.centre_px.y) / self.focal_px;
        if !(xd.is_finite() && yd.is_finite()) {
            return None;
        }
        let (mut x, mut y) = (xd, yd);
        for _ in 0..40 {
            let (bx, by) = self.bend(x, y);
            let (ex, ey) = (xd - bx, yd - by);
            let [[a, b], [c, d]] = self.bend_slope(x, y);
            let det = a * d - b * c;
            if det.abs() < 1e-6 {
                return None;
            }
            let (sx, sy) = ((d * ex - b * ey) / det, (a * ey - c * ex) / det);
            // A step longer than a third of a radian would jump over the fold.
            let cut = (0.3 / sx.hypot(sy).max(1e-300)).min(1.0);
            x += sx * cut;
            y += sy * cut;
            if sx.hypot(sy) < 1e-14 {
                break;
            }
        }
        let (bx, by) = self.bend(x, y);
        let found = (bx - xd).hypot(by - yd) < 1e-10 && self.holds_at(x, y);
        found.then_some((x, y))
    }

    /// Pixel with derivatives, for the solver.
    pub(crate) fn project(&self, q: [f64; 3]) -> Option<Projected> {
        if q[2] <= 1e-6 || !q.iter().all(|v| v.is_finite()) {
            return None;
        }
        let iz = 1.0 / q[2];
        let (x, y) = (q[0] * iz, q[1] * iz);
        let r2 = x * x + y * y;
        let (xd, yd) = self.bend(x, y);
        let [[a, b], [c, d]] = self.bend_slope(x, y);
        let f = self.focal_px;
        let by_point = [
            [f * a * iz, f * b * iz, -f * (a * x + b * y) * iz],
            [f * c * iz, f * d * iz, -f * (c * x + d * y) * iz],
        ];
        let by_lens = [
            [
                xd,
                1.0,
                0.0,
                f * x * r2,
                f * x * r2 * r2,
                f * x * r2 * r2 * r2,
                2.0 * f * x * y,
                f * (r2 + 2.0 * x * x),
            ],
            [
                yd,
                0.0,
                1.0,
                f * y * r2,
                f * y * r2 * r2,
                f * y * r2 * r2 * r2,
                f * (r2 + 2.0 * y * y),
                2.0 * f * x * y,
            ],
        ];
        Some(Projected { px: [f * xd + self.centre_px.x, f * yd + self.centre_px.y], by_point, by_lens })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bent() -> Lens {
        Lens {
            k1: -0.28,
            k2: 0.02,
            k3: 0.01,
            p1: 2e-4,
            p2: -3e-4,
            ..Lens::plain(3000.0, Point::new(2010.0, 1490.0))
        }
    }

    #[test]
    fn a_direction_survives_the_lens_and_back() {
        let lens = bent();
        for i in -5..=5 {
            for j in -5..=5 {
                let (x, y) = (f64::from(i) * 0.11, f64::from(j) * 0.11);
                let px = lens.pixel([x, y, 1.0]).unwrap();
                let (bx, by) = lens.direction(px).unwrap();
                assert!((bx - x).hypot(by - y) < 1e-11, "{x} {y} came back as {bx} {by}");
            }
        }
    }

    #[test]
    fn derivatives_agree_with_differences() {
        let lens = bent();
        let q = [210.0, -340.0, 1200.0];
        let at = lens.project(q).unwrap();
        for k in 0..3 {
            let (mut lo, mut hi) = (q, q);
            lo[k] -= 1e-3;
            hi[k] += 1e-3;
            let (l, h) = (lens.project(lo).unwrap().px, lens.project(hi).unwrap().px);
            for row in 0..2 {
                let slope = (h[row] - l[row]) / 2e-3;
                assert!((slope - at.by_point[row][k]).abs() < 1e-6, "row {row} axis {k}");
            }
        }
        for k in 0..8 {
            let step = if k < 3 { 1e-3 } else { 1e-6 };
            let shifted = |s: f64| {
                let mut l = lens;
                match k {
                    0 => l.focal_px += s,
                    1 => l.centre_px.x += s,
                    2 => l.centre_px.y += s,
                    3 => l.k1 += s,
                    4 => l.k2 += s,
                    5 => l.k3 += s,
                    6 => l.p1 += s,
                    _ => l.p2 += s,
                }
                l.project(q).unwrap().px
            };
            let (l, h) = (shifted(-step), shifted(step));
            for row in 0..2 {
                let slope = (h[row] - l[row]) / (2.0 * step);
                assert!(
                    (slope - at.by_lens[row][k]).abs() < 1e-4 * (1.0 + slope.abs()),
                    "row {row} unknown {k}"
                );
            }
        }
    }

    #[test]
    fn beyond_the_fold_is_refused() {
        let lens = Lens { k1: -0.4, ..Lens::plain(1000.0, Point::ZERO) };
        assert!(lens.direction(Point::new(900.0, 0.0)).is_none());
        assert!(lens.pixel([2.0, 0.0, 1.0]).is_none());
        assert!(lens.pixel([0.0, 0.0, -1.0]).is_none());
    }
}
