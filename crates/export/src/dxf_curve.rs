//! Ellipses and splines of a DXF file.
//!
//! A spline is a non-uniform rational B-spline, evaluated by de Boor's algorithm (C. de Boor, "On calculating with
//! B-splines", Journal of Approximation Theory 6, 1972) in homogeneous coordinates.

use kurbo::{Affine, Arc, BezPath, Point, Shape, Vec2};

/// Farthest the lines stand off a spline, as a share of its size: 0.01 mm on 1 m.
const STAND_OFF: f64 = 1.0e-5;
/// Halvings of a span at most.
const DEPTH: u32 = 12;
/// Degrees beyond this are no drawing's.
const STEEPEST_DEGREE: usize = 20;

/// An ellipse, or a part of one: `major` from the centre to its end, `ratio` of the minor axis to it, parameters in radians.
/// Stands in the world's frame; where its extrusion points down it runs the other way round.
pub(crate) fn ellipse(
    centre: Point,
    major: Vec2,
    ratio: f64,
    (from, to): (f64, f64),
    down: bool,
    tolerance: f64,
) -> BezPath {
    let turn = std::f64::consts::TAU;
    let sweep = (to - from).rem_euclid(turn);
    let whole = sweep < 1e-9 || sweep > turn - 1e-9;
    let minor = major.turn_90() * if down { -ratio } else { ratio };
    let place = Affine::new([major.x, major.y, minor.x, minor.y, centre.x, centre.y]);
    // The unit circle is drawn, so the tolerance is a share of the longer half axis.
    let tolerance = tolerance / major.hypot().max(tolerance);
    let arc = Arc::new(Point::ZERO, Vec2::new(1.0, 1.0), from, if whole { turn } else { sweep }, 0.0);
    let mut path: BezPath = arc.path_elements(tolerance).collect();
    if whole {
        path.close_path();
    }
    place * path
}

/// What a file says of a spline.
pub(crate) struct Spline {
    pub(crate) degree: usize,
    pub(crate) knots: Vec<f64>,
    pub(crate) points: Vec<Point>,
    /// Empty, or one for each point.
    pub(crate) weights: Vec<f64>,
}

impl Spline {
    /// The spline as lines close to it; nothing when what is said does not make one.
    pub(crate) fn path(&self) -> Option<BezPath> {
        let (p, n) = (self.degree, self.points.len());
        let fits = (1..=STEEPEST_DEGREE).contains(&p) && n > p && self.knots.len() == n + p + 1;
        let rising = self.knots.windows(2).all(|w| w[0] <= w[1]);
        let weighed = self.weights.is_empty() || self.weights.len() == n;
        if !fits || !rising || !weighed || self.weights.iter().any(|w| *w <= 0.0) {
            return None;
        }
        let size = self
            .points
            .iter()
            .skip(1)
            .fold(kurbo::Rect::from_points(self.points[0], self.points[0]), |r, q| r.union_pt(*q));
        let tolerance = size.width().max(size.height()) * STAND_OFF;
        let mut path = BezPath::new();
        for span in p..n {
            let (a, b) = (self.knots[span], self.knots[span + 1]);
            if b <= a {
                continue;
            }
            let (first, last) = (self.at(span, a), self.at(span, b));
            if path.elements().is_empty() {
                path.move_to(first);
            }
            self.lines(span, (a, first), (b, last), tolerance, DEPTH, &mut path);
        }
        (path.elements().len() > 1 && path.is_finite()).then_some(path)
    }

    fn lines(
        &self,
        span: usize,
        (a, first): (f64, Point),
        (b, last): (f64, Point),
        tolerance: f64,
        depth: u32,
        path: &mut BezPath,
    ) {
        let middle = 0.5 * (a + b);
        let chord = kurbo::Line::new(first, last);
        let off = [0.25, 0.5, 0.75].map(|s| self.at(span, a + s * (b - a)));
        let far = off
            .iter()
            .any(|q| kurbo::ParamCurveNearest::nearest(&chord, *q, 1e-9).distance_sq > tolerance * tolerance);
        if far && depth > 0 {
            self.lines(span, (a, first), (middle, off[1]), tolerance, depth - 1, path);
            self.lines(span, (middle, off[1]), (b, last), tolerance, depth - 1, path);
        } else {
            path.line_to(last);
        }
    }

    fn at(&self, span: usize, u: f64) -> Point {
        let p = self.degree;
        let mut d: Vec<[f64; 3]> = (span - p..=span)
            .map(|i| {
                let w = self.weights.get(i).copied().unwrap_or(1.0);
                [self.points[i].x * w, self.points[i].y * w, w]
            })
            .collect();
        for r in 1..=p {
            for j in (r..=p).rev() {
                let (low, high) = (self.knots[span - p + j], self.knots[span + 1 + j - r]);
                let s = if high > low { (u - low) / (high - low) } else { 0.0 };
                let before = d[j - 1];
                for (to, from) in d[j].iter_mut().zip(before) {
                    *to = (1.0 - s) * from + s * *to;
                }
            }
        }
        let [x, y, w] = d[p];
        Point::new(x / w, y / w)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rational_quadratic_is_a_quarter_circle() {
        // Weights 1, 1/√2, 1 on a square corner: the exact quarter circle (Piegl & Tiller, The NURBS Book, 1997, section 7.3).
        let spline = Spline {
            degree: 2,
            knots: vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0],
            points: vec![Point::new(100.0, 0.0), Point::new(100.0, 100.0), Point::new(0.0, 100.0)],
            weights: vec![1.0, 0.5_f64.sqrt(), 1.0],
        };
        let path = spline.path().unwrap();
        for el in path.elements() {
            let r = el.end_point().unwrap().to_vec2().hypot();
            assert!((r - 100.0).abs() < 1e-9, "{r}");
        }
        assert!((path.perimeter(1e-6) - 50.0 * std::f64::consts::PI).abs() < 0.01);
    }

    #[test]
    fn a_clamped_cubic_of_four_points_is_a_bezier_curve() {
        let p = [(0.0, 0.0), (30.0, 90.0), (70.0, -40.0), (100.0, 20.0)].map(Point::from);
        let knots = vec![0.0, 0.0, 0.0, 0.0, 2.0, 2.0, 2.0, 2.0];
        let path = Spline { degree: 3, knots, points: p.to_vec(), weights: vec![] }.path().unwrap();
        let bezier = kurbo::CubicBez::new(p[0], p[1], p[2], p[3]);
        for el in path.elements() {
            let q = el.end_point().unwrap();
            let off = kurbo::ParamCurveNearest::nearest(&bezier, q, 1e-9).distance_sq.sqrt();
            assert!(off < 1e-6, "{off} at {q:?}");
        }
    }

    #[test]
    fn what_makes_no_spline_gives_none() {
        let points = vec![Point::ZERO, Point::new(1.0, 0.0), Point::new(2.0, 3.0)];
        for (degree, knots, weights) in [
            (2, vec![0.0; 5], vec![]),
            (2, vec![0.0, 0.0, 0.0, 1.0, 0.5, 1.0], vec![]),
            (0, vec![0.0, 1.0, 2.0, 3.0], vec![]),
            (2, vec![0.0, 0.0, 0.0, 1.0, 1.0, 1.0], vec![1.0, 0.0, 1.0]),
            (2, vec![1.0; 6], vec![]),
        ] {
            assert!(Spline { degree, knots, points: points.clone(), weights }.path().is_none());
        }
    }
}
