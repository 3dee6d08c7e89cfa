//! The projective map between two planes from matching points.
//!
//! Direct linear transform with normalised coordinates: R. Hartley, "In defense of the eight-point algorithm", IEEE Transactions on
//! Pattern Analysis 19 (1997), applied to plane-to-plane maps.

use kurbo::Point;
use nalgebra::{Matrix3, SMatrix, Vector3};

/// A map (x, y) → (x', y') with eight degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Homography {
    /// Row-major matrix, scaled so that its last element is 1 where that is possible.
    pub matrix: Matrix3<f64>,
}

impl Homography {
    /// Best map from the first points to the second; four pairs or more, no three of four on a line. `None` when they do not
    /// determine it.
    ///
    /// # Examples
    /// ```
    /// use coldwright_canvas::{Homography, Point};
    /// let from = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)].map(Point::from);
    /// let to = [(10.0, 10.0), (210.0, 30.0), (190.0, 140.0), (20.0, 120.0)].map(Point::from);
    /// let pairs: Vec<_> = from.into_iter().zip(to).collect();
    /// let map = Homography::fit(&pairs).unwrap();
    /// // The middle lands where the diagonals of the image cross.
    /// assert!(map.apply(Point::new(100.0, 50.0)).unwrap().distance(Point::new(105.94132, 79.290954)) < 1e-5);
    /// ```
    pub fn fit(pairs: &[(Point, Point)]) -> Option<Self> {
        if pairs.len() < 4 {
            return None;
        }
        let (from, to) = (normaliser(pairs.iter().map(|p| p.0))?, normaliser(pairs.iter().map(|p| p.1))?);
        let mut normal = SMatrix::<f64, 9, 9>::zeros();
        for (a, b) in pairs {
            let p = from * Vector3::new(a.x, a.y, 1.0);
            let q = to * Vector3::new(b.x, b.y, 1.0);
            let rows = [
                [p.x, p.y, 1.0, 0.0, 0.0, 0.0, -q.x * p.x, -q.x * p.y, -q.x],
                [0.0, 0.0, 0.0, p.x, p.y, 1.0, -q.y * p.x, -q.y * p.y, -q.y],
            ];
            for row in rows {
                let row = SMatrix::<f64, 1, 9>::from_row_slice(&row);
                normal += row.transpose() * row;
            }
        }
        let eigen = normal.symmetric_eigen();
        let mut order: Vec<usize> = (0..9).collect();
        order.sort_by(|a, b| eigen.eigenvalues[*a].total_cmp(&eigen.eigenvalues[*b]));
        let (least, next) = (*order.first()?, *order.get(1)?);
        // Two vanishing directions: the points lie on a line.
        if eigen.eigenvalues[next] < 1e-10 * eigen.eigenvalues[*order.last()?] {
            return None;
        }
        let h = eigen.eigenvectors.column(least);
        let inner = Matrix3::new(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]);
        let mut matrix = to.try_inverse()? * inner * from;
        if matrix[(2, 2)].abs() > 1e-12 * matrix.norm() {
            matrix /= matrix[(2, 2)];
        }
        matrix.iter().all(|v| v.is_finite()).then_some(Self { matrix })
    }

    /// Image of a point; `None` on or near the line that goes to infinity.
    pub fn apply(&self, p: Point) -> Option<Point> {
        let q = self.matrix * Vector3::new(p.x, p.y, 1.0);
        let out = Point::new(q.x / q.z, q.y / q.z);
        (q.z.abs() > 1e-12 && out.x.is_finite() && out.y.is_finite()).then_some(out)
    }

    /// The map the other way; `None` when the matrix is singular.
    pub fn inverse(&self) -> Option<Self> {
        let mut matrix = self.matrix.try_inverse()?;
        if matrix[(2, 2)].abs() > 1e-12 * matrix.norm() {
            matrix /= matrix[(2, 2)];
        }
        Some(Self { matrix })
    }
}

/// Shift to the middle and scale to a mean distance of √2.
fn normaliser(points: impl Iterator<Item = Point> + Clone) -> Option<Matrix3<f64>> {
    let n = points.clone().count() as f64;
    let (sx, sy) = points.clone().fold((0.0, 0.0), |s, p| (s.0 + p.x, s.1 + p.y));
    let (mx, my) = (sx / n, sy / n);
    let spread = points.fold(0.0, |s, p| s + (p.x - mx).hypot(p.y - my)) / n;
    let scale = std::f64::consts::SQRT_2 / spread;
    (scale.is_finite() && spread > 0.0)
        .then(|| Matrix3::new(scale, 0.0, -scale * mx, 0.0, scale, -scale * my, 0.0, 0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values `photo.homog`: computed with numpy 2.4.6 from the same four pairs, tolerance 1e-5.
    #[test]
    fn agrees_with_an_independent_library() {
        let from = [(0.0, 0.0), (200.0, 0.0), (200.0, 100.0), (0.0, 100.0)].map(Point::from);
        let to = [(10.0, 10.0), (210.0, 30.0), (190.0, 140.0), (20.0, 120.0)].map(Point::from);
        let pairs: Vec<_> = from.into_iter().zip(to).collect();
        let map = Homography::fit(&pairs).unwrap();
        let expected = Matrix3::new(
            0.9670157068,
            0.1345549738,
            10.0,
            0.0952879581,
            1.3073298429,
            10.0,
            -0.000157068063,
            0.001727748691,
            1.0,
        );
        assert!((map.matrix - expected).amax() < 1e-8, "{}", map.matrix);
        let maps = [
            ((100.0, 50.0), (105.94132, 79.290954)),
            ((50.0, 25.0), (59.608091, 45.828066)),
            ((150.0, 75.0), (149.313609, 110.615385)),
            ((100.0, 0.0), (108.404255, 19.840426)),
        ];
        for (a, b) in maps {
            assert!(map.apply(a.into()).unwrap().distance(b.into()) < 1e-5);
        }
        let back = map.inverse().unwrap().apply(Point::new(100.0, 80.0)).unwrap();
        assert!(back.distance(Point::new(93.57521, 51.242054)) < 1e-5);
    }

    #[test]
    fn points_on_a_line_determine_nothing() {
        let pairs: Vec<_> = (0..6)
            .map(|i| (Point::new(f64::from(i), 2.0 * f64::from(i)), Point::new(3.0 * f64::from(i), 1.0)))
            .collect();
        assert!(Homography::fit(&pairs).is_none());
        assert!(Homography::fit(&pairs[..3]).is_none());
    }
}
