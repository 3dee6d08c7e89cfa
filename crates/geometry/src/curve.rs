//! A smooth curve in the plane that can be carried past both its ends.

use kurbo::{BezPath, Point, Vec2};

/// Place and derivatives at a parameter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Jet {
    pub p: Point,
    pub d1: Vec2,
    pub d2: Vec2,
}

impl Jet {
    /// Unit tangent.
    pub fn tangent(&self) -> Vec2 {
        let l = self.d1.hypot();
        if l > 0.0 { self.d1 / l } else { Vec2::new(1.0, 0.0) }
    }

    /// Unit normal to the right: outward on a counter-clockwise ring.
    pub fn normal(&self) -> Vec2 {
        let t = self.tangent();
        Vec2::new(t.y, -t.x)
    }

    /// Signed curvature, positive turning left (a bulge outward on a counter-clockwise ring), 1/mm.
    pub fn curvature(&self) -> f64 {
        let l = self.d1.hypot();
        if l > 0.0 { self.d1.cross(self.d2) / (l * l * l) } else { 0.0 }
    }

    /// Derivative of the unit normal by the parameter.
    pub fn normal_rate(&self) -> Vec2 {
        let t = self.tangent();
        let l = self.d1.hypot().max(1e-300);
        let rate = (self.d2 - t * t.dot(self.d2)) / l;
        Vec2::new(rate.y, -rate.x)
    }
}

/// Piecewise quintic through its knots, a parabola beyond.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Curve {
    /// Parameters of the spans' ends, strictly rising, at least two.
    knots: Vec<f64>,
    /// Taylor coefficients about each span's left knot.
    spans: Vec<[Vec2; 6]>,
}

/// Five-point Gauss rule on −1..1.
const GAUSS5: [(f64, f64); 5] = [
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (0.0, 0.568_888_888_888_888_9),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_47),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

impl Curve {
    /// From spans; `knots` has one more than `spans`.
    pub fn new(knots: Vec<f64>, spans: Vec<[Vec2; 6]>) -> Self {
        Self { knots, spans }
    }

    /// The straight line from `a` to `b`, by arc length.
    pub fn line(a: Point, b: Point) -> Self {
        let l = a.distance(b);
        let z = Vec2::ZERO;
        Self { knots: vec![0.0, l], spans: vec![[a.to_vec2(), (b - a) / l.max(1e-300), z, z, z, z]] }
    }

    /// Parameters of the first and last knot.
    pub fn ends(&self) -> (f64, f64) {
        (self.knots.first().copied().unwrap_or(0.0), self.knots.last().copied().unwrap_or(0.0))
    }

    pub fn knots(&self) -> &[f64] {
        &self.knots
    }

    /// One straight span.
    pub fn is_line(&self) -> bool {
        matches!(self.spans.as_slice(), [s] if s[2..].iter().all(|c| c.hypot2() < 1e-30))
    }

    /// Place and derivatives at `t`; beyond the ends the curve goes on as a parabola.
    pub fn at(&self, t: f64) -> Jet {
        let (first, last) = self.ends();
        if t < first || t > last {
            let end = if t < first { first } else { last };
            let j = self.within(end);
            let u = t - end;
            return Jet { p: j.p + j.d1 * u + j.d2 * (0.5 * u * u), d1: j.d1 + j.d2 * u, d2: j.d2 };
        }
        self.within(t)
    }

    fn within(&self, t: f64) -> Jet {
        let i = self.knots.partition_point(|k| *k <= t).clamp(1, self.spans.len().max(1)) - 1;
        let (Some(c), Some(k)) = (self.spans.get(i), self.knots.get(i)) else {
            return Jet { p: Point::ZERO, d1: Vec2::ZERO, d2: Vec2::ZERO };
        };
        let u = t - k;
        let p = ((((c[5] * u + c[4]) * u + c[3]) * u + c[2]) * u + c[1]) * u + c[0];
        let d1 = (((c[5] * (5.0 * u) + c[4] * 4.0) * u + c[3] * 3.0) * u + c[2] * 2.0) * u + c[1];
        let d2 = ((c[5] * (20.0 * u) + c[4] * 12.0) * u + c[3] * 6.0) * u + c[2] * 2.0;
        Jet { p: p.to_point(), d1, d2 }
    }

    /// Parameters from `a` to `b` at which the curve's formula may change, with both ends.
    pub fn breaks(&self, a: f64, b: f64) -> Vec<f64> {
        let margin = 1e-9 * (b - a).abs();
        let mut out = vec![a];
        out.extend(self.knots.iter().copied().filter(|k| *k > a + margin && *k < b - margin));
        out.push(b);
        out
    }

    /// Arc length from `a` to `b` (negative backwards), mm.
    pub fn length(&self, a: f64, b: f64) -> f64 {
        if a > b {
            return -self.length(b, a);
        }
        let breaks = self.breaks(a, b);
        let mut sum = 0.0;
        for w in breaks.windows(2) {
            let [lo, hi] = w else { continue };
            for half in 0..2 {
                let from = lo + 0.5 * f64::from(half) * (hi - lo);
                let h = 0.25 * (hi - lo);
                sum += GAUSS5.iter().map(|(x, w)| w * h * self.at(from + h + h * x).d1.hypot()).sum::<f64>();
            }
        }
        sum
    }

    /// Cubic path from `a` to `b` within about 0.0002 mm.
    pub fn path(&self, a: f64, b: f64) -> BezPath {
        let mut out = BezPath::new();
        out.move_to(self.at(a).p);
        if self.is_line() {
            out.line_to(self.at(b).p);
            return out;
        }
        for w in self.breaks(a, b).windows(2) {
            let [lo, hi] = w else { continue };
            // Halve until the cubic with the same ends and tangents meets the curve between; 64 pieces at most.
            let mut pieces = 1_u32;
            while pieces < 64 && self.cubic_error(*lo, *hi, pieces) > 2e-4 {
                pieces *= 2;
            }
            let h = (hi - lo) / f64::from(pieces);
            for k in 0..pieces {
                let (p, q) = (self.at(lo + h * f64::from(k)), self.at(lo + h * f64::from(k + 1)));
                out.curve_to(p.p + p.d1 * (h / 3.0), q.p - q.d1 * (h / 3.0), q.p);
            }
        }
        out
    }

    fn cubic_error(&self, lo: f64, hi: f64, pieces: u32) -> f64 {
        let h = (hi - lo) / f64::from(pieces);
        (0..pieces)
            .flat_map(|k| {
                let t = lo + h * f64::from(k);
                let (p, q) = (self.at(t), self.at(t + h));
                [0.25, 0.5, 0.75].map(|u| {
                    let v = 1.0 - u;
                    let (b, c) = (p.p + p.d1 * (h / 3.0), q.p - q.d1 * (h / 3.0));
                    let at = p.p.to_vec2() * (v * v * v)
                        + b.to_vec2() * (3.0 * v * v * u)
                        + c.to_vec2() * (3.0 * v * u * u)
                        + q.p.to_vec2() * (u * u * u);
                    (at - self.at(t + h * u).p.to_vec2()).hypot()
                })
            })
            .fold(0.0, f64::max)
    }
}
