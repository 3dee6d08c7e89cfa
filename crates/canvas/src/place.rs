//! Clicked points on the plane with their joint uncertainty.
//!
//! First-order propagation: a point is where the ray of its pixel meets the plane at its height; its place answers to every unknown of the
//! solve, to the click and to the height. Two points share the camera's error, so their joint covariance is kept.

use kurbo::Point;
use nalgebra::{DMatrix, DVector, Matrix2, Vector2, Vector3};

use crate::error::CanvasError;
use crate::plane::{Click, PAPER_MM, PAPER_SD_MM, PER_PHOTO, Placed, PlaneSolve, finite};

impl PlaneSolve {
    /// Places clicked points on the plane, in order, with their joint covariance: the solve's own, the print
    /// scale's, each click's, each height's and the paper's.
    ///
    /// # Errors
    /// A photo that was not solved, a pixel that looks past the plane, a number that is not finite or a negative uncertainty.
    pub fn place(&self, clicks: &[Click]) -> Result<Placed, CanvasError> {
        let n = self.cov.nrows();
        let mut points = Vec::with_capacity(clicks.len());
        let mut slopes = DMatrix::<f64>::zeros(2 * clicks.len(), n);
        let mut own = Vec::with_capacity(clicks.len());
        let mut by_heights = Vec::with_capacity(2 * clicks.len());
        for (i, click) in clicks.iter().enumerate() {
            for (what, value) in
                [("click uncertainty", click.sd_px), ("height uncertainty", click.height_sd_mm)]
            {
                finite(what, value)?;
                if value < 0.0 {
                    return Err(CanvasError::BadNumber { what, rule: "zero or more", value });
                }
            }
            let at = self.to_plane(click.photo, click.px, click.height_mm)?;
            let answer = self.answer(click, at)?;
            for (c, v) in answer.by_unknown.iter().enumerate() {
                let column = click.photo * PER_PHOTO + c;
                slopes[(2 * i, column)] = v[0];
                slopes[(2 * i + 1, column)] = v[1];
            }
            let by_height = answer.by_height;
            by_heights.extend([by_height.x, by_height.y]);
            own.push(
                answer.by_px * answer.by_px.transpose() * click.sd_px.powi(2)
                    + by_height * by_height.transpose() * click.height_sd_mm.powi(2),
            );
            points.push(at);
        }
        let paper = DVector::from_vec(by_heights);
        let mut cov =
            &slopes * &self.cov * slopes.transpose() + &paper * paper.transpose() * PAPER_SD_MM.powi(2);
        for (i, m) in own.iter().enumerate() {
            for r in 0..2 {
                for c in 0..2 {
                    cov[(2 * i + r, 2 * i + c)] += m[(r, c)];
                }
            }
        }
        Ok(Placed { points, cov_mm2: cov })
    }

    pub(crate) fn answer(&self, click: &Click, at: Point) -> Result<Answer, CanvasError> {
        let (lens, pose) = self.camera(click.photo)?;
        let off = || CanvasError::OffPlane { x: click.px.x, y: click.px.y };
        let turned = pose.turn * Vector3::new(at.x, at.y, click.height_mm - PAPER_MM);
        let q = turned + pose.shift;
        let seen = lens.project([q.x, q.y, q.z]).ok_or_else(off)?;
        let slope = |row: usize, v: &Vector3<f64>| Vector3::from_row_slice(&seen.by_point[row]).dot(v);
        let axes: [Vector3<f64>; 3] = [0, 1, 2].map(|k| pose.turn.column(k).into_owned());
        let by_plane =
            Matrix2::new(slope(0, &axes[0]), slope(0, &axes[1]), slope(1, &axes[0]), slope(1, &axes[1]));
        let by_px = by_plane.try_inverse().ok_or_else(off)?;
        let held = |u: f64, v: f64| -(by_px * Vector2::new(u, v));
        let mut by_unknown = [[0.0; 2]; PER_PHOTO];
        let moves = [
            Vector3::x().cross(&turned),
            Vector3::y().cross(&turned),
            Vector3::z().cross(&turned),
            Vector3::x(),
            Vector3::y(),
            Vector3::z(),
        ];
        for (k, out) in by_unknown.iter_mut().enumerate() {
            let p = match k.checked_sub(8) {
                None => held(seen.by_lens[0][k], seen.by_lens[1][k]),
                Some(m) => held(slope(0, &moves[m]), slope(1, &moves[m])),
            };
            *out = [p.x, p.y];
        }
        let by_height = held(slope(0, &axes[2]), slope(1, &axes[2]));
        Ok(Answer { by_unknown, by_px, by_height })
    }
}

/// How a placed point answers to its photo's unknowns, its pixel and its height.
pub(crate) struct Answer {
    pub(crate) by_unknown: [[f64; 2]; PER_PHOTO],
    pub(crate) by_px: Matrix2<f64>,
    pub(crate) by_height: Vector2<f64>,
}
