//! Two witnesses beside the cards: a second photo, which gives heights, and a taped distance, which checks the scale.

use kurbo::Point;
use nalgebra::{DMatrix, DVector, Matrix2, Matrix3, Vector3};

use crate::error::CanvasError;
use crate::measured::check_tape;
use crate::plane::{Click, PAPER_MM, PER_PHOTO, PlaneSolve};

/// A point seen in two or more photos, its height found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raised {
    /// Place, mm in the plane frame.
    pub at: Point,
    /// Height above the floor that the cards lie on, mm.
    pub height_mm: f64,
    /// Standard uncertainty of the height, mm: clicks and cameras.
    pub sd_mm: f64,
    /// Root mean square miss of the rays, pixels: far above the clicks' uncertainty, the clicks are not the same point.
    pub miss_px: f64,
}

/// A taped distance held against the photos' own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Witness {
    /// Distance by the photos, mm.
    pub measured_mm: f64,
    /// Its standard uncertainty, mm.
    pub sd_mm: f64,
    /// Taped minus measured, mm.
    pub misfit_mm: f64,
    /// The misfit in standard deviations of both together; beyond 3 one of the two is wrong.
    pub sigmas: f64,
    /// What to multiply the photos' lengths by so that both witnesses count by their weights.
    pub scale: f64,
    /// Standard uncertainty of that scale.
    pub scale_sd: f64,
}

impl PlaneSolve {
    /// Finds place and height of one point clicked in two or more photos; the clicks' own heights are not used. Least squares of the misses in
    /// the pictures.
    ///
    /// # Errors
    /// Fewer than two photos, rays that hardly differ in direction (under about two degrees), a click without uncertainty, a photo that was not solved, a
    /// pixel that looks past the plane.
    pub fn raised(&self, clicks: &[Click]) -> Result<Raised, CanvasError> {
        let first = clicks.first().ok_or(CanvasError::NoSecondView)?;
        if clicks.iter().all(|c| c.photo == first.photo) {
            return Err(CanvasError::NoSecondView);
        }
        for c in clicks {
            if !(c.sd_px.is_finite() && c.sd_px > 0.0) {
                return Err(CanvasError::BadNumber {
                    what: "click uncertainty",
                    rule: "above zero",
                    value: c.sd_px,
                });
            }
        }
        let mut at = self.to_plane(first.photo, first.px, 0.0)?;
        let mut height = 0.0;
        let n = self.cov.nrows();
        let mut answer = None;
        for _ in 0..20 {
            let mut normal = Matrix3::<f64>::zeros();
            let mut right = Vector3::<f64>::zeros();
            // How the solution answers to the cameras, before the inverse.
            let mut by_cameras = DMatrix::<f64>::zeros(3, n);
            let mut misses = 0.0;
            for c in clicks {
                let seen = self.to_pixel(c.photo, at, height)?;
                let here = self.answer(&Click { px: seen, height_mm: height, ..*c }, at)?;
                let by_plane: Matrix2<f64> =
                    here.by_px.try_inverse().ok_or(CanvasError::OffPlane { x: c.px.x, y: c.px.y })?;
                let by_height = -(by_plane * here.by_height);
                let a = nalgebra::Matrix2x3::from_columns(&[
                    by_plane.column(0).into_owned(),
                    by_plane.column(1).into_owned(),
                    by_height,
                ]);
                let miss = nalgebra::Vector2::new(c.px.x - seen.x, c.px.y - seen.y);
                let weight = 1.0 / c.sd_px.powi(2);
                normal += a.transpose() * a * weight;
                right += a.transpose() * miss * weight;
                misses += miss.norm_squared();
                for (k, v) in here.by_unknown.iter().enumerate() {
                    let moved = -(by_plane * nalgebra::Vector2::new(v[0], v[1]));
                    let pull = a.transpose() * moved * weight;
                    for r in 0..3 {
                        by_cameras[(r, c.photo * PER_PHOTO + k)] += pull[r];
                    }
                }
            }
            let cov = normal.try_inverse().ok_or(CanvasError::NoSecondView)?;
            let step = cov * right;
            at += (step.x, step.y);
            height += step.z;
            let row: DVector<f64> = (cov.row(2) * by_cameras).transpose();
            let sd = (cov[(2, 2)] + (row.transpose() * &self.cov * &row)[(0, 0)]).max(0.0).sqrt();
            answer = Some((sd, (misses / (2 * clicks.len()) as f64).sqrt()));
            if step.norm() < 1e-9 {
                break;
            }
        }
        let eyes: Vec<Vector3<f64>> = clicks
            .iter()
            .filter_map(|c| self.pose(c.photo))
            .map(|p| (Vector3::new(at.x, at.y, height - PAPER_MM) - p.place()).normalize())
            .collect();
        let widest =
            eyes.iter().flat_map(|a| eyes.iter().map(move |b| a.cross(b).norm())).fold(0.0, f64::max);
        let (sd_mm, miss_px) = answer.ok_or(CanvasError::NoSecondView)?;
        if widest < 0.035 || !(height.is_finite() && at.is_finite() && sd_mm.is_finite()) {
            return Err(CanvasError::NoSecondView);
        }
        Ok(Raised { at, height_mm: height, sd_mm, miss_px })
    }

    /// Holds a taped distance between two clicked points against the photos. The tape weighs by its own uncertainty (`sd_mm`, above zero).
    ///
    /// # Errors
    /// As [`PlaneSolve::place`]; a distance or uncertainty that is not above zero; two clicks on one place.
    pub fn witness(&self, ends: [Click; 2], taped_mm: f64, sd_mm: f64) -> Result<Witness, CanvasError> {
        check_tape(taped_mm, sd_mm)?;
        let placed = self.place(&ends)?;
        let same = || CanvasError::BadNumber { what: "measured distance", rule: "above zero", value: 0.0 };
        let own = placed.distance_sd(0, 1).ok_or_else(same)?;
        let [a, b] = placed.points[..] else { return Err(same()) };
        let measured_mm = a.distance(b);
        let misfit_mm = taped_mm - measured_mm;
        // Both say what the true length is over the measured one; each counts by one over its variance.
        let (v_own, v_tape) = (own.powi(2), sd_mm.powi(2));
        let total = v_own + v_tape;
        Ok(Witness {
            measured_mm,
            sd_mm: own,
            misfit_mm,
            sigmas: misfit_mm / total.sqrt(),
            scale: 1.0 + misfit_mm * v_own / total / measured_mm,
            scale_sd: (v_own * v_tape / total).sqrt() / measured_mm,
        })
    }
}
