//! Booleans and widening of regions: the one place here that speaks to the polygon library.

use i_overlay::core::fill_rule::FillRule;
use i_overlay::core::overlay_rule::OverlayRule;
use i_overlay::core::solver::Solver;
use i_overlay::float::overlay::{FloatOverlay, OverlayOptions};
use kurbo::{Point, Vec2};

use crate::ring::{bounds, inside, signed_area, to_line, upright};

type Path = Vec<[f64; 2]>;

/// A part: outer ring counter-clockwise, then holes.
pub(crate) type Part = Vec<Vec<Point>>;

fn paths(rings: &[Vec<Point>]) -> Vec<Path> {
    rings.iter().filter(|r| r.len() > 2).map(|r| r.iter().map(|p| [p.x, p.y]).collect()).collect()
}

fn parts(shapes: Vec<Vec<Path>>) -> Vec<Part> {
    let ring = |p: Path| p.into_iter().map(|c| Point::new(c[0], c[1])).collect();
    shapes.into_iter().map(|s| s.into_iter().map(ring).collect()).collect()
}

fn options() -> OverlayOptions<f64, i64> {
    let mut all = OverlayOptions::<f64, i64>::default();
    all.min_output_area = 0.0;
    all
}

/// Which boolean.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Rule {
    Common,
    Without,
}

/// Boolean of two regions, each the union of its rings.
pub(crate) fn combine(a: &[Vec<Point>], b: &[Vec<Point>], rule: Rule) -> Vec<Part> {
    let (a, b) = (paths(a), paths(b));
    if a.is_empty() && b.is_empty() {
        return Vec::new();
    }
    let rule = match rule {
        Rule::Common => OverlayRule::Intersect,
        Rule::Without => OverlayRule::Difference,
    };
    let mut overlay =
        FloatOverlay::<[f64; 2], i64>::from_subj_and_clip_custom(&a, &b, options(), Solver::AUTO);
    parts(overlay.overlay(rule, FillRule::NonZero))
}

/// Area of a part less its holes, mm².
pub(crate) fn area(part: &Part) -> f64 {
    let mut rings = part.iter().map(|r| signed_area(r).abs());
    rings.next().unwrap_or(0.0) - rings.sum::<f64>()
}

/// Puts coordinates on a grid of 2⁻²⁰ (a millionth of a mm), so that last-bit differences between machines vanish.
pub(crate) fn on_grid(ring: &mut [Point]) {
    const GRID: f64 = 1_048_576.0;
    for p in ring {
        *p = Point::new((p.x * GRID).round() / GRID, (p.y * GRID).round() / GRID);
    }
}

/// A counter-clockwise simple ring made wider all round by `by` (or narrower, when negative): the parts that come out,
/// without holes. Holds everything within `by` of the ring and no more than √2 · `by` at any corner; corners up to a
/// right angle turn stay sharp, sharper ones are cut square at distance `by`.
pub(crate) fn widened(ring: &[Point], by: f64) -> Vec<Vec<Point>> {
    let ring = upright(ring);
    let n = ring.len();
    if n < 3 {
        return Vec::new();
    }
    if by.abs() < 1e-12 {
        return vec![ring];
    }
    let mut raw = Vec::with_capacity(2 * n);
    for i in 0..n {
        let (a, b, c) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let unit = |v: Vec2| v / v.hypot2().sqrt();
        let (d, e) = (unit(b - a), unit(c - b));
        let (m, k) = (Vec2::new(d.y, -d.x), Vec2::new(e.y, -e.x));
        let (turn, along) = (d.cross(e), d.dot(e));
        if turn * by.signum() < -1e-9 {
            // A corner the offset sides run away from each other's ends: join through the corner itself; the loop this
            // makes winds the wrong way and drops out.
            raw.extend([b + m * by, b, b + k * by]);
        } else if along > -1e-9 {
            raw.push(b + (m + k) * (by / (1.0 + along)));
        } else {
            // Cut square to the bisector at distance |by|: along each side by |by|·tan(turn/4).
            let half = ((1.0 + along) / 2.0).max(0.0).sqrt();
            let t = ((1.0 - half) / (1.0 + half)).sqrt();
            raw.extend([b + m * by + d * (t * by.abs()), b + k * by - e * (t * by.abs())]);
        }
    }
    let raw: Path = raw.into_iter().map(|p| [p.x, p.y]).collect();
    let mut overlay = FloatOverlay::<[f64; 2], i64>::from_subj_custom(&vec![raw], options(), Solver::AUTO);
    parts(overlay.overlay(OverlayRule::Subject, FillRule::Positive))
        .into_iter()
        .filter_map(|p| p.into_iter().next())
        .map(|mut r| {
            on_grid(&mut r);
            upright(&r)
        })
        .filter(|r| r.len() > 2 && signed_area(r) > 1e-9)
        .collect()
}

/// How deep `a` and `b` overlap, mm: 0 when they only touch. The deepest corner of the common part, or its mean width
/// where no corner is deep (two bars crossing).
pub(crate) fn depth(a: &[Point], b: &[Point], common: &[Part]) -> f64 {
    let mut deep = 0.0f64;
    for part in common {
        let around: f64 = part.iter().flat_map(|r| crate::ring::sides(r)).map(|(p, q)| p.distance(q)).sum();
        if around > 0.0 {
            deep = deep.max(2.0 * area(part) / around);
        }
        for p in part.iter().flatten() {
            let depth = |ring: &[Point]| if inside(ring, *p) { to_line(ring, *p) } else { 0.0 };
            deep = deep.max(depth(a).max(depth(b)));
        }
    }
    deep
}

/// Rectangle as a counter-clockwise ring.
pub(crate) fn rect_ring(r: kurbo::Rect) -> Vec<Point> {
    vec![Point::new(r.x0, r.y0), Point::new(r.x1, r.y0), Point::new(r.x1, r.y1), Point::new(r.x0, r.y1)]
}

/// What of the box round an outline cannot be used: outside the outline or blocked. Simple rings, all of them
/// obstacles; a hole in one is cut open, because no piece can get from it to anywhere else anyway.
pub(crate) fn outside(outline: &[Point], blocked: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let sheet = bounds(outline);
    let mut rings: Vec<Vec<Point>> = combine(&[rect_ring(sheet)], &[upright(outline)], Rule::Without)
        .into_iter()
        .filter_map(|p| p.into_iter().next())
        .collect();
    rings.extend(blocked.iter().map(|b| upright(b)));
    rings.retain(|r| r.len() > 2 && signed_area(r) > 1e-6);
    rings
}
