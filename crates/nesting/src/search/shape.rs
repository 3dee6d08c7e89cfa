//! A piece as the search sees it: widened by half the spacing, thinned, with circles inside.

use kurbo::{Point, Vec2};

use crate::request::Turns;
use crate::ring::{hull, self_crossing, signed_area, upright};
use crate::search::poles::poles;
use crate::turn::sin_cos_deg;

/// Circles are kept in groups of this many, the last filled up with empty ones far away, so that sums run in lanes.
pub(crate) const LANES: usize = 8;

/// Circles, a field each; in 32 bit because they only weigh an overlap and never decide whether there is one.
#[derive(Debug, Clone, Default)]
pub(crate) struct Circles {
    pub(crate) x: Vec<f32>,
    pub(crate) y: Vec<f32>,
    pub(crate) r: Vec<f32>,
    /// How many are real.
    pub(crate) count: usize,
}

impl Circles {
    /// Groups of [`LANES`]: x, y, radius.
    pub(crate) fn lanes(&self) -> impl Iterator<Item = (&[f32], &[f32], &[f32])> {
        let pairs = self.x.chunks_exact(LANES).zip(self.y.chunks_exact(LANES));
        pairs.zip(self.r.chunks_exact(LANES)).map(|((x, y), r)| (x, y, r))
    }
}

/// A shape about its own centre.
#[derive(Debug, Clone)]
pub(crate) struct Shape {
    /// Outline about the centre, counter-clockwise.
    pub(crate) points: Vec<[f64; 2]>,
    /// Circles about the centre.
    pub(crate) circles: Circles,
    /// Centre in the piece's own frame: the middle of its largest circle.
    pub(crate) centre: Vec2,
    /// Fourth root of the hull's area, √mm: big shapes weigh more.
    pub(crate) weight: f32,
    /// Largest distance between two points, mm.
    pub(crate) across: f64,
    /// Smallest side of the box at turn 0, mm: the yardstick of steps.
    pub(crate) narrow: f64,
    /// Area, mm².
    pub(crate) area: f64,
    /// Turns allowed.
    pub(crate) turns: Turns,
    /// Turns in 0..90 that lay a long side of the hull along an axis, when any turn is allowed.
    pub(crate) natural: Vec<f64>,
}

/// A shape in a place on a sheet.
#[derive(Debug, Clone, Default)]
pub(crate) struct Body {
    pub(crate) points: Vec<[f64; 2]>,
    pub(crate) circles: Circles,
    /// x0, y0, x1, y1.
    pub(crate) bounds: [f64; 4],
}

impl Shape {
    /// From a simple ring in the piece's frame. `None` when no circle of any size fits inside it.
    pub(crate) fn new(ring: &[Point], turns: Turns) -> Option<Shape> {
        let ring = upright(ring);
        let all = poles(&ring);
        let centre = all.first()?.at.to_vec2();
        let mut circles = Circles { count: all.len(), ..Circles::default() };
        for k in 0..all.len().div_ceil(LANES) * LANES {
            let (at, r) =
                all.get(k).map_or((Vec2::new(1e9, 1e9), 0.0), |p| (p.at.to_vec2() - centre, p.radius));
            circles.x.push(at.x as f32);
            circles.y.push(at.y as f32);
            circles.r.push(r as f32);
        }
        let outer = hull(&ring);
        let across = outer
            .iter()
            .flat_map(|p| outer.iter().map(move |q| (*p - *q).hypot2()))
            .fold(0.0f64, f64::max)
            .sqrt();
        let b = crate::ring::bounds(&ring);
        let natural = if turns == Turns::Any { natural(&outer, across) } else { Vec::new() };
        Some(Shape {
            points: ring.iter().map(|p| [p.x - centre.x, p.y - centre.y]).collect(),
            circles,
            centre,
            weight: signed_area(&outer).sqrt().sqrt() as f32,
            across,
            narrow: b.width().min(b.height()),
            area: signed_area(&ring),
            turns,
            natural,
        })
    }

    /// Puts the shape at a place, into a body that is used again.
    pub(crate) fn put(&self, deg: f64, x: f64, y: f64, body: &mut Body) {
        let (s, c) = sin_cos_deg(deg);
        body.points.clear();
        let mut b = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        for p in &self.points {
            let q = [c * p[0] - s * p[1] + x, s * p[0] + c * p[1] + y];
            b = [b[0].min(q[0]), b[1].min(q[1]), b[2].max(q[0]), b[3].max(q[1])];
            body.points.push(q);
        }
        body.bounds = b;
        let (s, c, x, y) = (s as f32, c as f32, x as f32, y as f32);
        let (from, to) = (&self.circles, &mut body.circles);
        to.count = from.count;
        to.x.clear();
        to.y.clear();
        to.r.clear();
        to.x.extend(from.x.iter().zip(&from.y).map(|(px, py)| c * px - s * py + x));
        to.y.extend(from.x.iter().zip(&from.y).map(|(px, py)| s * px + c * py + y));
        to.r.extend_from_slice(&from.r);
    }

    /// The box about the centre at a turn: x0, y0, x1, y1.
    pub(crate) fn extent(&self, deg: f64) -> [f64; 4] {
        let (s, c) = sin_cos_deg(deg);
        self.points.iter().fold(
            [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY],
            |b, p| {
                let q = [c * p[0] - s * p[1], s * p[0] + c * p[1]];
                [b[0].min(q[0]), b[1].min(q[1]), b[2].max(q[0]), b[3].max(q[1])]
            },
        )
    }
}

/// Turns in 0..90 that lay a side of the hull longer than a fifth of the shape along an axis; at most eight, the longest
/// sides first. Rounded to a ten-thousandth of a degree, so that every machine finds the same.
fn natural(hull: &[Point], across: f64) -> Vec<f64> {
    let mut all: Vec<(f64, f64)> = crate::ring::sides(hull)
        .map(|(a, b)| b - a)
        .map(|d| (d.hypot2(), ((-d.y.atan2(d.x).to_degrees()).rem_euclid(90.0) * 1e4).round() / 1e4))
        .filter(|s| s.0 > across * across / 25.0)
        .collect();
    all.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut out: Vec<f64> = Vec::new();
    for (_, deg) in all {
        let deg = if deg >= 90.0 { 0.0 } else { deg };
        if out.len() < 8 && !out.iter().any(|o| (o - deg).abs() < 0.01) {
            out.push(deg);
        }
    }
    out
}

/// Fewer points, for rings of more than `most`: every point dropped lies within `far` of the ring kept (Douglas and
/// Peucker 1973), the result is simple, or the ring comes back as it was.
pub(crate) fn thinned(ring: &[Point], far: f64) -> Vec<Point> {
    let n = ring.len();
    if n < 8 {
        return ring.to_vec();
    }
    // Two anchors: the first point and the one farthest from it.
    let far_from = |k: usize| {
        (0..n)
            .max_by(|a, b| (ring[*a] - ring[k]).hypot2().total_cmp(&(ring[*b] - ring[k]).hypot2()))
            .unwrap_or(0)
    };
    let start = far_from(0);
    let turn: Vec<Point> = (0..=n).map(|k| ring[(start + k) % n]).collect();
    let end = (far_from(start) + n - start) % n;
    let mut keep = vec![false; n + 1];
    keep[0] = true;
    keep[end] = true;
    let mut open = vec![(0, end), (end, n)];
    while let Some((a, b)) = open.pop() {
        let worst = (a + 1..b)
            .map(|k| (k, crate::ring::point_to_side(turn[k], turn[a], turn[b])))
            .max_by(|p, q| p.1.total_cmp(&q.1));
        if let Some((k, _)) = worst.filter(|w| w.1 > far) {
            keep[k] = true;
            open.extend([(a, k), (k, b)]);
        }
    }
    let out: Vec<Point> = (0..n).filter(|k| keep[*k]).map(|k| turn[k]).collect();
    if out.len() < 3 || self_crossing(&out).is_some() { ring.to_vec() } else { out }
}
