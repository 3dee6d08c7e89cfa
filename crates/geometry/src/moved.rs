//! One side moved along its own normals.

use kurbo::{Point, Vec2};

use crate::curve::Jet;
use crate::fitted::Trims;
use crate::outline::Run;
use crate::{Bevel, Edge};

/// Flattening of moved sides, mm: half of what a ring promises, the other half is left to corners.
const FLAT: f64 = 5e-4;
/// Halvings of one span at most: 4096 pieces.
const DEEPEST: u32 = 12;

/// A place of the side at the template's depth.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sample {
    pub t: f64,
    pub p: Point,
    /// Outward unit normal.
    pub n: Vec2,
    /// Tangent of the bevel: how far out per depth.
    pub tan: f64,
    /// Distance the side stands back everywhere: its gap and what was trimmed when earlier layers were fitted, mm.
    pub inset: f64,
    /// Signed curvature, negative where the side bends into the piece.
    pub bend: f64,
}

/// A side ready to be moved to any depth of its wall.
#[derive(Debug, Clone)]
pub(crate) struct Mover {
    pub id: u32,
    pub name: String,
    pub samples: Vec<Sample>,
    run: Run,
    bevel: Bevel,
    gap: f64,
    trims: Trims,
    /// Parameters of span ends and the arc length up to each.
    marks: Vec<(f64, f64)>,
    /// Straight and of one bevel: everything follows from the sample at its start.
    plain: Option<Plain>,
}

/// A straight side of one bevel.
#[derive(Debug, Clone, Copy)]
struct Plain {
    start: Sample,
    way: Vec2,
}

impl Mover {
    /// Samples close enough for every depth from `low` to `high` mm off the template.
    pub fn new(edge: &Edge, run: &Run, low: f64, high: f64, trims: Trims) -> Self {
        let mut marks = Vec::new();
        let mut so_far = 0.0;
        let breaks = run.curve.breaks(run.from, run.to);
        for (i, t) in breaks.iter().enumerate() {
            if i > 0 {
                so_far += run.curve.length(breaks[i - 1], *t);
            }
            marks.push((*t, so_far));
        }
        let mut out = Self {
            id: edge.id,
            name: edge.name.clone(),
            samples: Vec::new(),
            run: run.clone(),
            bevel: edge.bevel.clone(),
            gap: edge.gap,
            trims,
            marks,
            plain: None,
        };
        if run.curve.is_line() && edge.bevel.is_constant() && out.trims.is_constant() {
            out.plain = Some(Plain { start: out.sample(run.from), way: run.curve.at(run.from).d1 });
        }
        let mut starts: Vec<f64> = breaks;
        if !out.bevel.is_constant() {
            starts.extend(out.bevel.stations().iter().map(|s| out.place(s.at)));
        }
        starts.extend(out.trims.places().map(|at| out.place(at)));
        starts.sort_by(f64::total_cmp);
        starts.dedup_by(|b, a| *b - *a < 1e-9);
        let mut samples: Vec<Sample> = Vec::new();
        for w in starts.windows(2) {
            let [a, b] = w else { continue };
            let a = out.sample(*a);
            samples.push(a);
            if !out.is_plain() {
                out.halve(&a, &out.sample(*b), low, high, DEEPEST, &mut samples);
            }
        }
        samples.push(out.sample(run.to));
        out.samples = samples;
        out
    }

    fn halve(&self, a: &Sample, b: &Sample, low: f64, high: f64, left: u32, out: &mut Vec<Sample>) {
        let far = |m: &Sample| {
            [low, 0.0, high].into_iter().any(|dz| {
                let (p, q, r) = (self.spot(a, dz), self.spot(b, dz), self.spot(m, dz));
                let chord = q - p;
                let l = chord.hypot();
                if l > 1e-9 { (chord.cross(r - p) / l).abs() > FLAT } else { (r - p).hypot() > FLAT }
            })
        };
        let mid = self.sample(0.5 * (a.t + b.t));
        if left == 0 {
            return;
        }
        // The quarter points catch a bend that turns back in the middle.
        let quarters = [0.25, 0.75].map(|u| self.sample(a.t + u * (b.t - a.t)));
        if far(&mid) || quarters.iter().any(far) {
            self.halve(a, &mid, low, high, left - 1, out);
            out.push(mid);
            self.halve(&mid, b, low, high, left - 1, out);
        }
    }

    /// Parameters of the start and end corner.
    pub fn ends(&self) -> (f64, f64) {
        (self.run.from, self.run.to)
    }

    /// Straight and of one bevel.
    pub fn is_plain(&self) -> bool {
        self.plain.is_some()
    }

    pub fn bevel(&self) -> &Bevel {
        &self.bevel
    }

    pub fn at(&self, t: f64) -> Jet {
        self.run.curve.at(t)
    }

    /// Length from the start corner to `t` as a fraction of the side, 0..=1.
    fn fraction(&self, t: f64) -> f64 {
        if self.run.curve.is_line() {
            return ((t - self.run.from) / (self.run.to - self.run.from)).clamp(0.0, 1.0);
        }
        if t <= self.run.from {
            return 0.0;
        }
        if t >= self.run.to {
            return 1.0;
        }
        let i = self.marks.partition_point(|m| m.0 <= t).max(1) - 1;
        let (from, before) = self.marks.get(i).copied().unwrap_or_default();
        ((before + self.run.curve.length(from, t)) / self.run.length).clamp(0.0, 1.0)
    }

    /// Parameter at a fraction of the length.
    pub fn place(&self, fraction: f64) -> f64 {
        let (mut lo, mut hi) = (self.run.from, self.run.to);
        if self.run.curve.is_line() {
            return lo + fraction * (hi - lo);
        }
        // 50 halvings of a metre reach below a nanometre.
        for _ in 0..50 {
            let mid = 0.5 * (lo + hi);
            if self.fraction(mid) < fraction { lo = mid } else { hi = mid }
        }
        0.5 * (lo + hi)
    }

    pub fn angle(&self, t: f64) -> f64 {
        if self.bevel.is_constant() { self.bevel.at(0.0) } else { self.bevel.at(self.fraction(t)) }
    }

    fn inset(&self, t: f64) -> f64 {
        if self.trims.is_constant() {
            self.gap + self.trims.at(0.0)
        } else {
            self.gap + self.trims.at(self.fraction(t))
        }
    }

    pub fn sample(&self, t: f64) -> Sample {
        let j = self.run.curve.at(t);
        let (tan, inset) = (self.angle(t).tan(), self.inset(t));
        Sample { t, p: j.p, n: j.normal(), tan, inset, bend: j.curvature() }
    }

    /// Distance moved outward, `dz` mm off the template's depth.
    pub fn distance(&self, s: &Sample, dz: f64) -> f64 {
        dz * s.tan - s.inset
    }

    /// The sample's moved place.
    pub fn spot(&self, s: &Sample, dz: f64) -> Point {
        s.p + s.n * self.distance(s, dz)
    }

    /// Moved place and its derivative by `t`, also beyond the corners.
    pub fn moved(&self, t: f64, dz: f64) -> (Point, Vec2) {
        if let Some(Plain { start, way }) = &self.plain {
            return (start.p + *way * (t - start.t) + start.n * self.distance(start, dz), *way);
        }
        let j = self.run.curve.at(t);
        let d = dz * self.angle(t).tan() - self.inset(t);
        let mut rate = j.d1 + j.normal_rate() * d;
        if !(self.bevel.is_constant() && self.trims.is_constant()) {
            let h = 1e-6 * (self.run.to - self.run.from);
            let moved = |t: f64| dz * self.angle(t).tan() - self.inset(t);
            let slope = (moved(t + h) - moved(t - h)) / (2.0 * h);
            rate += j.normal() * slope;
        }
        (j.p + j.normal() * d, rate)
    }

    /// Moved places strictly between `a` and `b` (either order), dense enough for the flattening; one at least when bent.
    pub fn between(&self, a: f64, b: f64, dz: f64) -> Vec<Point> {
        if self.is_plain() {
            return Vec::new();
        }
        let bend =
            [a, 0.5 * (a + b), b].map(|t| self.at(t).curvature().abs()).into_iter().fold(0.0, f64::max);
        let l = self.run.curve.length(a, b).abs();
        let pieces = (l * (bend / (8.0 * FLAT)).sqrt() * 1.5).ceil().clamp(2.0, 200.0);
        (1..pieces as u32).map(|k| self.moved(a + (b - a) * f64::from(k) / pieces, dz).0).collect()
    }
}
