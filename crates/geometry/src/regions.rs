//! Booleans of regions: the one place that speaks to the polygon library.
//!
//! Always its 64-bit integer engine: the 32-bit default errs by tenths of a millimetre on noisy rings. Every ring is
//! checked to be finite and freed of points closer than [`MERGE`] on the way in. Offsetting is not left to it (it moves
//! every little segment by one distance, we move whole sides by their own), so that its joins never come into play.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};
use kurbo::Point;

use crate::Ring;
use crate::section::signed_area;

/// Points closer than this are one, mm. A tenth of the flattening: dropping one moves nothing that is kept.
const MERGE: f64 = 1e-4;
/// Parts and holes smaller than this are dust, mm².
const SLIVER: f64 = 1.0;

type Path = Vec<[f64; 2]>;

/// The ring without points that lie on the one before.
pub(crate) fn distinct(ring: &[Point]) -> Vec<Point> {
    let mut out: Vec<Point> = ring.to_vec();
    out.dedup_by(|b, a| a.distance(*b) < MERGE);
    while out.len() > 1 && matches!((out.first(), out.last()), (Some(a), Some(b)) if a.distance(*b) < MERGE) {
        out.pop();
    }
    out
}

fn path(ring: &[Point]) -> Option<Path> {
    if !ring.iter().all(|p| p.is_finite()) {
        return None;
    }
    let out = distinct(ring);
    (out.len() > 2).then(|| out.iter().map(|p| [p.x, p.y]).collect())
}

fn paths(rings: &[Ring]) -> Vec<Path> {
    rings.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)).filter_map(|r| path(r)).collect()
}

fn rings(shapes: Vec<Vec<Path>>) -> Vec<Ring> {
    let points = |p: Path| -> Vec<Point> { p.into_iter().map(|c| Point::new(c[0], c[1])).collect() };
    shapes
        .into_iter()
        .filter_map(|shape| {
            let mut all = shape.into_iter().map(points);
            Some(Ring { outer: all.next()?, holes: all.collect() })
        })
        .collect()
}

fn options() -> OverlayOptions<f64, i64> {
    let mut all = OverlayOptions::<f64, i64>::default();
    all.min_output_area = 0.0;
    all
}

/// The points round which the closed paths run more often counter-clockwise than clockwise.
pub(crate) fn wound(contours: &[Vec<Point>]) -> Vec<Ring> {
    let subject: Vec<Path> = contours.iter().filter_map(|c| path(c)).collect();
    if subject.is_empty() {
        return Vec::new();
    }
    let mut overlay = FloatOverlay::<[f64; 2], i64>::from_subj_custom(&subject, options(), Solver::AUTO);
    rings(overlay.overlay(OverlayRule::Subject, FillRule::Positive))
}

fn combine(a: &[Ring], b: &[Ring], rule: OverlayRule) -> Vec<Ring> {
    let (a, b) = (paths(a), paths(b));
    let mut overlay =
        FloatOverlay::<[f64; 2], i64>::from_subj_and_clip_custom(&a, &b, options(), Solver::AUTO);
    rings(overlay.overlay(rule, FillRule::NonZero))
}

/// Common part.
pub(crate) fn common(a: &[Ring], b: &[Ring]) -> Vec<Ring> {
    if a.is_empty() || b.is_empty() { Vec::new() } else { combine(a, b, OverlayRule::Intersect) }
}

/// Everything in either.
pub(crate) fn either(a: &[Ring], b: &[Ring]) -> Vec<Ring> {
    match (a.is_empty(), b.is_empty()) {
        (true, _) => b.to_vec(),
        (_, true) => a.to_vec(),
        _ => combine(a, b, OverlayRule::Union),
    }
}

/// `a` without `b`.
pub(crate) fn without(a: &[Ring], b: &[Ring]) -> Vec<Ring> {
    if a.is_empty() || b.is_empty() { a.to_vec() } else { combine(a, b, OverlayRule::Difference) }
}

/// Dust dropped, the largest part first.
pub(crate) fn tidy(mut rings: Vec<Ring>) -> Vec<Ring> {
    for r in &mut rings {
        r.holes.retain(|h| signed_area(h).abs() >= SLIVER);
    }
    rings.retain(|r| r.area() >= SLIVER);
    rings.sort_by(|a, b| b.area().total_cmp(&a.area()));
    rings
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: f64, y: f64, l: f64) -> Vec<Point> {
        vec![Point::new(x, y), Point::new(x + l, y), Point::new(x + l, y + l), Point::new(x, y + l)]
    }

    fn area(r: &[Ring]) -> f64 {
        r.iter().map(Ring::area).sum()
    }

    #[test]
    fn only_counter_clockwise_windings_count() {
        let mut back = square(0.0, 0.0, 10.0);
        assert!((area(&wound(&[back.clone()])) - 100.0).abs() < 1e-9);
        back.reverse();
        assert!(wound(&[back.clone()]).is_empty());
        // A hole by a clockwise ring.
        assert!((area(&wound(&[square(-5.0, -5.0, 20.0), back])) - 300.0).abs() < 1e-9);
        let bow = [(0., 0.), (10., 10.), (10., 0.), (0., 10.)].map(|p| Point::new(p.0, p.1)).to_vec();
        assert!((area(&wound(&[bow])) - 25.0).abs() < 1e-9);
    }

    #[test]
    fn booleans_of_squares() {
        let ring = |p| vec![Ring { outer: p, holes: vec![] }];
        let (a, b) = (ring(square(0., 0., 10.)), ring(square(5., 5., 10.)));
        assert!((area(&common(&a, &b)) - 25.0).abs() < 1e-9);
        assert!((area(&either(&a, &b)) - 175.0).abs() < 1e-9);
        assert!((area(&without(&a, &b)) - 75.0).abs() < 1e-9);
        let out = either(&a, &b);
        assert!(out.iter().all(|r| signed_area(&r.outer) > 0.0));
        let holed = without(
            &ring(square(0., 0., 30.)),
            &a.iter().map(|_| Ring { outer: square(10., 10., 5.), holes: vec![] }).collect::<Vec<_>>(),
        );
        assert!(holed.len() == 1 && holed[0].holes.len() == 1 && signed_area(&holed[0].holes[0]) < 0.0);
        assert!(common(&a, &[]).is_empty() && either(&[], &b).len() == 1 && without(&a, &[]).len() == 1);
    }
}
