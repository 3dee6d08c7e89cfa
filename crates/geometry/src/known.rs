//! How well an edge's curve is known, and how far each tick stands off the curve of the others.

use kurbo::{Point, Vec2};

use crate::EdgeKind;
use crate::fit::{Fitted, LEAST_VARIANCE, line};
use crate::freedom::{predictor, strength};

/// Ticks on each side that a local judgement looks at. More change nothing: their weights fall by a factor of about 3 each.
const WINDOW: usize = 6;
/// A typical hull edge's curvature changes along its length by this many times its mean curvature (calibrated, see
/// `freedom`). With 0.2 three ticks hold 93 %, with 0.5 four ticks state half as much again as they must.
const CHANGE: f64 = 0.35;

/// Ticks near a place in a frame turned to the curve there.
struct Local {
    x: Vec<f64>,
    y: Vec<f64>,
    noise: Vec<f64>,
    /// Parameter range in the frame's unit (mean spacing), mm.
    scale: f64,
}

impl Fitted {
    /// Standard uncertainty of the curve, square to itself, at parameter `t`, mm.
    pub fn sd(&self, t: f64) -> f64 {
        let var = if self.curve.is_line() { self.line_variance(t) } else { self.fair_variance(t) };
        var.max(0.0).sqrt()
    }

    pub(crate) fn normal_variance(&self, i: usize) -> f64 {
        match (self.ticks.get(i), self.at.get(i)) {
            (Some(tick), Some(t)) => tick.spread.along(self.curve.at(*t).normal()),
            _ => 0.0,
        }
    }

    fn line_variance(&self, t: f64) -> f64 {
        let n = self.at.len();
        let var: Vec<f64> = (0..n).map(|i| self.normal_variance(i).max(LEAST_VARIANCE)).collect();
        let w: Vec<f64> = match self.pinned {
            (true, true) => (0..n).map(|i| if i == 0 || i == n - 1 { 1.0 / var[i] } else { 0.0 }).collect(),
            _ => var.iter().map(|v| 1.0 / v).collect(),
        };
        let total: f64 = w.iter().sum();
        let mean = self.at.iter().zip(&w).map(|(t, w)| t * w).sum::<f64>() / total;
        let spread: f64 = self.at.iter().zip(&w).map(|(t, w)| w * (t - mean).powi(2)).sum();
        // A line that fits worse than its ticks say is known worse as well.
        let chi2: f64 = self
            .ticks
            .iter()
            .zip(&self.at)
            .zip(&var)
            .map(|((k, t), v)| {
                let j = self.curve.at(*t);
                (k.at - j.p).dot(j.normal()).powi(2) / v
            })
            .sum();
        let worse = if n > 2 { (chi2 / (n as f64 - 2.0)).max(1.0) } else { 1.0 };
        let mut out = worse * (1.0 / total + (t - mean).powi(2) / spread.max(1e-300));
        if self.kind == EdgeKind::Fair {
            // Two ticks of a bent edge: its curvature is unknown, about the least turning supposed.
            let (a, b) = self.curve.ends();
            let sag = 0.5 * (t - a) * (t - b) * self.bend * 4.0;
            out += sag * sag;
        }
        out
    }

    /// Typical strength of the third derivative's noise for this edge, per unit of `scale`.
    fn prior(&self, scale: f64) -> f64 {
        let (a, b) = self.curve.ends();
        let length = self.curve.length(a, b).max(1e-9);
        (CHANGE * self.bend).powi(2) / length * scale.powi(5)
    }

    /// The ticks nearest `t` in a frame at `place` turned to the curve; `without` is left out.
    fn local(&self, t: f64, without: Option<usize>) -> (Local, Point, Vec2) {
        let j = self.curve.at(t.clamp(self.curve.ends().0, self.curve.ends().1));
        let way = j.tangent();
        let up = Vec2::new(-way.y, way.x);
        let near = self.at.partition_point(|k| *k < t);
        let (from, to) = (near.saturating_sub(WINDOW), (near + WINDOW + 1).min(self.at.len()));
        // From the place outwards, while the ticks still go forward in this frame.
        let spot = |i: usize| {
            let d = self.ticks[i].at - j.p;
            (d.dot(way), d.dot(up))
        };
        let mut keep: Vec<usize> = Vec::new();
        let mut edge = f64::INFINITY;
        for i in (from..near.min(to)).rev() {
            if Some(i) == without {
                continue;
            }
            if spot(i).0 < edge - 1e-6 && self.curve.at(self.at[i]).tangent().dot(way) > 0.5 {
                edge = spot(i).0;
                keep.push(i);
            } else {
                break;
            }
        }
        keep.reverse();
        edge = keep.last().map_or(f64::NEG_INFINITY, |i| spot(*i).0);
        for i in near..to {
            if Some(i) == without {
                continue;
            }
            if spot(i).0 > edge + 1e-6 && self.curve.at(self.at[i]).tangent().dot(way) > 0.5 {
                edge = spot(i).0;
                keep.push(i);
            } else {
                break;
            }
        }
        let scale = match (keep.first(), keep.last()) {
            (Some(a), Some(b)) if keep.len() > 1 => (spot(*b).0 - spot(*a).0) / (keep.len() - 1) as f64,
            _ => 1.0,
        };
        let cos2 = |i: usize| self.curve.at(self.at[i]).tangent().dot(way).powi(2).max(0.1);
        let local = Local {
            x: keep.iter().map(|i| spot(*i).0 / scale).collect(),
            y: keep.iter().map(|i| spot(*i).1).collect(),
            noise: keep.iter().map(|i| self.normal_variance(*i).max(LEAST_VARIANCE) / cos2(*i)).collect(),
            scale,
        };
        (local, j.p, way)
    }

    fn fair_variance(&self, t: f64) -> f64 {
        let (local, origin, way) = self.local(t, None);
        let here = (self.curve.at(t).p - origin).dot(way) / local.scale;
        if let Some(i) = local.x.iter().position(|x| (x - here).abs() < 1e-6) {
            return local.noise[i];
        }
        match predictor(&local.x, here) {
            Some((w, free)) => {
                let s = strength(&local.x, &local.y, &local.noise, self.prior(local.scale));
                let seen: f64 = w.iter().zip(&local.noise).map(|(w, v)| w * w * v).sum();
                s * free + seen
            }
            // Too few ticks go forward here: as unsure as the bend over the distance to the nearest tick.
            None => {
                let gap = self.at.iter().map(|k| (k - t).abs()).fold(f64::INFINITY, f64::min);
                (self.bend * gap * gap).powi(2) + local.noise.iter().copied().fold(LEAST_VARIANCE, f64::max)
            }
        }
    }

    /// How far tick `i` stands off the curve of the others, and the standard uncertainty of that, mm.
    pub(crate) fn left_out(&self, i: usize) -> Option<(f64, f64)> {
        if self.curve.is_line() {
            return self.left_out_of_line(i);
        }
        let t = *self.at.get(i)?;
        let (local, origin, way) = self.local(t, Some(i));
        let d = self.ticks.get(i)?.at - origin;
        let here = d.dot(way) / local.scale;
        let (w, free) = predictor(&local.x, here)?;
        let s = strength(&local.x, &local.y, &local.noise, self.prior(local.scale));
        let seen: f64 = w.iter().zip(&local.noise).map(|(w, v)| w * w * v).sum();
        let guess: f64 = w.iter().zip(&local.y).map(|(w, y)| w * y).sum();
        let off = d.dot(Vec2::new(-way.y, way.x)) - guess;
        Some((off.abs(), (s * free + seen + self.normal_variance(i)).sqrt()))
    }

    fn left_out_of_line(&self, i: usize) -> Option<(f64, f64)> {
        let n = self.ticks.len();
        let corner = i == 0 && self.pinned.0 || i == n - 1 && self.pinned.1;
        if n < 3 || corner {
            return None;
        }
        let mut rest = self.ticks.clone();
        let tick = rest.remove(i);
        let curve = line(&rest, (self.pinned.0 && i > 0, self.pinned.1 && i < n - 1))?;
        let j = curve.at(0.0);
        let at = rest.iter().map(|t| (t.at - j.p).dot(j.d1)).collect();
        let other = Self { curve, at, ticks: rest, kind: EdgeKind::Straight, bend: 0.0, pinned: self.pinned };
        let off = (tick.at - j.p).dot(j.normal()).abs();
        let sd = (other.line_variance((tick.at - j.p).dot(j.d1)) + tick.spread.along(j.normal())).sqrt();
        Some((off, sd))
    }

    /// Largest distance of a tick from the curve, mm.
    pub fn largest_off(&self) -> f64 {
        self.ticks.iter().zip(&self.at).map(|(k, t)| self.curve.at(*t).p.distance(k.at)).fold(0.0, f64::max)
    }
}
