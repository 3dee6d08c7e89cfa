//! Curves to straight pieces, with a stated error.

use kurbo::{BezPath, PathEl, Point};

use crate::error::ExportError;

/// One run of straight pieces.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    /// The points in order; the first is not repeated at the end of a closed run.
    pub points: Vec<Point>,
    /// Whether the last point is joined to the first.
    pub closed: bool,
}

/// Refuses a flattening error that is no usable length: under 0.1 µm the files swell, over 1 mm nothing fits.
pub(crate) fn check_tolerance(mm: f64) -> Result<(), ExportError> {
    if (0.0001..=1.0).contains(&mm) { Ok(()) } else { Err(ExportError::Flatten { mm }) }
}

/// The runs of a path, nowhere farther than `mm` from it. Points closer than 1 nm to the one before are dropped,
/// and so are runs of a single point.
pub(crate) fn runs(path: &BezPath, mm: f64) -> Vec<Run> {
    let mut out: Vec<Run> = Vec::new();
    let mut run = Run { points: Vec::new(), closed: false };
    let mut start = Point::ZERO;
    // kurbo's flattening of quadratics is an estimate that may be exceeded slightly: keep a quarter in hand.
    kurbo::flatten(path, mm * 0.75, |el| match el {
        PathEl::MoveTo(p) => {
            finish(&mut out, &mut run);
            start = p;
            run.points.push(p);
        }
        PathEl::LineTo(p) => {
            // After a closing, a path may go on from the ring's start without a new move.
            if run.points.is_empty() {
                run.points.push(start);
            }
            run.points.push(p);
        }
        PathEl::ClosePath => {
            run.closed = true;
            finish(&mut out, &mut run);
        }
        PathEl::QuadTo(..) | PathEl::CurveTo(..) => {}
    });
    finish(&mut out, &mut run);
    out
}

fn finish(out: &mut Vec<Run>, run: &mut Run) {
    let mut done = std::mem::replace(run, Run { points: Vec::new(), closed: false });
    done.points.dedup_by(|a, b| a.distance(*b) < 1e-6);
    if done.points.len() > 2 && done.points[0].distance(done.points[done.points.len() - 1]) < 1e-6 {
        done.points.pop();
        done.closed = true;
    }
    if done.points.len() > 1 {
        out.push(done);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use kurbo::{Circle, CubicBez, ParamCurve, Shape};

    #[test]
    fn the_error_stays_below_what_is_stated() {
        for mm in [1.0, 0.1, 0.01, 0.001, 0.0001] {
            for radius in [3.0, 50.0, 900.0] {
                let runs = runs(&Circle::new((5.0, 7.0), radius).to_path(1e-7), mm);
                assert_eq!((runs.len(), runs[0].closed), (1, true));
                let points = &runs[0].points;
                let worst = (0..points.len())
                    .map(|i| points[i].midpoint(points[(i + 1) % points.len()]))
                    .map(|p| (p.distance(Point::new(5.0, 7.0)) - radius).abs())
                    .fold(0.0, f64::max);
                assert!(worst <= mm, "radius {radius}, asked {mm}, got {worst}");
            }
            let wild = CubicBez::new((0.0, 0.0), (400.0, 10.0), (-300.0, 20.0), (100.0, 30.0));
            let mut path = BezPath::new();
            path.move_to(wild.p0);
            path.curve_to(wild.p1, wild.p2, wild.p3);
            let points = &runs(&path, mm)[0].points;
            let worst = (0..=5000)
                .map(|i| wild.eval(f64::from(i) / 5000.0))
                .map(|p| points.windows(2).map(|w| distance(p, w[0], w[1])).fold(f64::MAX, f64::min))
                .fold(0.0, f64::max);
            assert!(worst <= mm, "asked {mm}, got {worst}");
        }
    }

    fn distance(p: Point, a: Point, b: Point) -> f64 {
        let t = ((p - a).dot(b - a) / (b - a).hypot2()).clamp(0.0, 1.0);
        p.distance(a.lerp(b, t))
    }

    #[test]
    fn repeated_and_lone_points_go_and_closing_is_noticed() {
        let mut path = BezPath::new();
        path.move_to((0.0, 0.0));
        path.move_to((1.0, 1.0));
        for p in [(1.0, 1.0), (5.0, 1.0), (5.0, 5.0), (5.0, 5.0), (1.0, 1.0)] {
            path.line_to(p);
        }
        let found = runs(&path, 0.01);
        assert_eq!(found.len(), 1);
        assert!(found[0].closed && found[0].points.len() == 3);
    }
}
