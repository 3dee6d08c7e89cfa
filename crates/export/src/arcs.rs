//! Straight pieces of a curve turned back into arcs, as few as keep to a stated error: cutters that know arcs move more evenly
//! along them.

use kurbo::{Point, Vec2};

use crate::flat::Run;

/// Fewest straight pieces that are worth an arc: two always lie on one, and may be a corner.
const FEWEST: usize = 3;
/// An arc turns at most this far, radians; programs part longer ones badly.
const MOST_TURN: f64 = 3.0;

/// A corner of a run and the bulge of the stretch after it: the tangent of a quarter of the arc's turn, counter-clockwise
/// positive; 0 for a straight stretch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Bulged {
    pub(crate) at: Point,
    pub(crate) bulge: f64,
}

/// The run with as many of its pieces as possible taken together into arcs, nowhere farther than `mm` from it. Every arc begins
/// and ends on a point of the run. The last point of an open run has no stretch after it and a bulge of 0.
pub(crate) fn arcs(run: &Run, mm: f64) -> Vec<Bulged> {
    let mut points = run.points.clone();
    if run.closed {
        points.extend(run.points.first().copied());
    }
    let last = points.len().saturating_sub(1);
    let mut out = Vec::new();
    let mut at = 0;
    while at < last {
        let reach = longest(&points, at, last, mm);
        let bulge = if reach > at + 1 { bulge(&points, at, reach, mm).unwrap_or(0.0) } else { 0.0 };
        out.push(Bulged { at: points[at], bulge });
        at = reach;
    }
    if !run.closed {
        out.extend(points.last().map(|at| Bulged { at: *at, bulge: 0.0 }));
    }
    out
}

/// How far one arc reaches from a point, found by doubling and halving; the next point where no arc fits.
fn longest(points: &[Point], from: usize, last: usize, mm: f64) -> usize {
    let fits = |to: usize| bulge(points, from, to, mm).is_some();
    let mut good = from + FEWEST;
    if good > last || !fits(good) {
        return from + 1;
    }
    let mut step = FEWEST;
    while good + step <= last && fits(good + step) {
        good += step;
        step *= 2;
    }
    while step > 0 {
        if good + step <= last && fits(good + step) {
            good += step;
        }
        step /= 2;
    }
    good
}

/// The bulge of the arc through a stretch's ends and middle point, when all of the stretch lies within `mm` of it.
fn bulge(points: &[Point], from: usize, to: usize, mm: f64) -> Option<f64> {
    let (a, b, c) = (points[from], points[(from + to) / 2], points[to]);
    let (u, v) = (b - a, c - a);
    let cross = u.cross(v);
    if cross.abs() < 1e-9 * u.hypot() * v.hypot() {
        return None;
    }
    // The centre is equally far from all three (school geometry).
    let d =
        Vec2::new(v.y * u.hypot2() - u.y * v.hypot2(), u.x * v.hypot2() - v.x * u.hypot2()) / (2.0 * cross);
    let (centre, radius) = (a + d, d.hypot());
    let turn = |p: Point, q: Point| {
        let (p, q) = (p - centre, q - centre);
        p.cross(q).atan2(p.dot(q))
    };
    let mut whole = 0.0;
    for pair in points[from..=to].windows(2) {
        let step = turn(pair[0], pair[1]);
        // Every piece goes on the same way round.
        if step * cross <= 0.0 {
            return None;
        }
        whole += step;
        let off = |p: Point| (p.distance(centre) - radius).abs();
        if off(pair[1]) > mm || off(pair[0].midpoint(pair[1])) > mm || whole.abs() > MOST_TURN {
            return None;
        }
    }
    let bulge = (whole / 4.0).tan();
    bulge.is_finite().then_some(bulge)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flat::runs;
    use kurbo::{Circle, Rect, Shape};

    #[test]
    fn a_circle_is_a_few_arcs_that_turn_once_round() {
        for (radius, mm) in [(5.0, 0.01), (300.0, 0.005), (300.0, 0.1)] {
            let run = &runs(&Circle::new((7.0, 9.0), radius).to_path(1e-7), mm / 2.0)[0];
            let found = arcs(run, mm / 2.0);
            assert!(found.len() <= 4, "{radius} {mm}: {} arcs", found.len());
            let turn: f64 = found.iter().map(|b| 4.0 * b.bulge.atan()).sum();
            assert!((turn.abs() - std::f64::consts::TAU).abs() < 0.1, "{turn}");
        }
    }

    #[test]
    fn straight_sides_and_corners_stay() {
        let plate = Rect::new(0.0, 0.0, 300.0, 200.0);
        assert!(arcs(&runs(&plate.to_path(0.1), 0.005)[0], 0.005).iter().all(|b| b.bulge.abs() < 1e-12));
        let rounded = plate.to_rounded_rect(40.0).to_path(1e-6);
        let found = arcs(&runs(&rounded, 0.0025)[0], 0.0025);
        let bent: Vec<f64> = found.iter().map(|b| b.bulge).filter(|b| b.abs() > 1e-12).collect();
        // A quarter turn is a bulge of tan 22.5° (DXF reference); one arc may be met in two.
        assert!((4..=8).contains(&bent.len()), "{found:?}");
        assert_eq!(found.len() - bent.len(), 4, "four straight sides: {found:?}");
        let turn: f64 = bent.iter().map(|b| 4.0 * b.atan()).sum();
        assert!((turn.abs() - std::f64::consts::TAU).abs() < 0.05, "{turn}");
    }
}
