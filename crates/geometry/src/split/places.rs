//! Where seams of one direction may lie.

use kurbo::{Point, Vec2};

use super::chord::{Line, chords, cut};
use super::faults::SeamFault;
use super::rules::SplitRules;
use super::seam::{Seam, to_line};
use crate::section::{segments, span};
use crate::{Layer, Ring};

/// Seams tried across a piece in even steps; finer finds little more and costs its square.
const STEPS: u32 = 120;
/// A corner turns by more than this, radians (10°): less is a curve's flattening or a fair join.
const CORNER: f64 = 0.1745;

/// What seams keep clear of.
pub(crate) struct Around<'a> {
    pub rules: &'a SplitRules,
    pub neighbours: &'a [Seam],
    corners: Vec<Point>,
    holes: Vec<Vec<Point>>,
}

impl<'a> Around<'a> {
    pub fn new(layer: &Layer, rules: &'a SplitRules, neighbours: &'a [Seam]) -> Self {
        let rings = || layer.fills.iter().chain(&layer.outer.rings).chain(&layer.inner.rings);
        let mut corners: Vec<Point> = Vec::new();
        for r in rings() {
            let n = r.outer.len();
            for i in 0..n {
                let (a, b, c) = (r.outer[(i + n - 1) % n], r.outer[i], r.outer[(i + 1) % n]);
                let (u, v) = (b - a, c - b);
                if u.cross(v).atan2(u.dot(v)).abs() > CORNER {
                    corners.push(b);
                }
            }
        }
        let holes = rings().flat_map(|r| r.holes.iter().cloned()).collect();
        Self { rules, neighbours, corners, holes }
    }

    fn allows(&self, seam: &Seam) -> bool {
        self.by_corner(seam).is_none() && self.by_hole(seam).is_none() && self.by_neighbour(seam).is_none()
    }

    /// What a seam does not keep to: from neighbours, corners, cut-outs.
    pub fn faults(&self, seam: &Seam) -> [Option<SeamFault>; 3] {
        [self.by_neighbour(seam), self.by_corner(seam), self.by_hole(seam)]
    }

    fn by_corner(&self, seam: &Seam) -> Option<SeamFault> {
        // A corner at the side of the piece where no lap reaches is still a corner.
        let far = self.corners.iter().map(|c| to_line(*c, seam));
        let distance = far.fold(f64::INFINITY, f64::min) - seam.style.past();
        (distance < self.rules.clear).then_some(SeamFault::Corner { distance })
    }

    fn by_hole(&self, seam: &Seam) -> Option<SeamFault> {
        let far = self.holes.iter().map(|h| self.off_hole(seam, h));
        let distance = far.fold(f64::INFINITY, f64::min) - seam.style.past();
        (distance < self.rules.clear).then_some(SeamFault::CutOut { distance })
    }

    /// How far a seam is from a cut-out. One that runs into a cut-out large enough to lie well on both its sides is as far as
    /// that from it: the parts meet there at its middle, and not where a hose goes through.
    fn off_hole(&self, seam: &Seam, hole: &[Point]) -> f64 {
        let to = |(a, b)| seam.distance(&Seam { from: a, to: b, style: seam.style });
        let near = segments(hole).map(to).fold(f64::INFINITY, f64::min);
        let (lo, hi) = span(hole.iter().map(|p| (*p - seam.from).dot(seam.along().turn_90())));
        let both = hi.min(-lo);
        if near < 1e-3 && both > self.rules.clear { both } else { near }
    }

    fn by_neighbour(&self, seam: &Seam) -> Option<SeamFault> {
        let far = self.neighbours.iter().filter_map(|n| seam.stagger(n));
        let distance = far.fold(f64::INFINITY, f64::min);
        (distance < self.rules.stagger).then_some(SeamFault::Stagger { distance })
    }
}

/// Places across a region where a seam of one direction may lie.
pub(crate) struct Places<'a> {
    pub region: &'a [Ring],
    pub along: Vec2,
    past: f64,
    /// Distance to the left of the origin and the seams there, in order; the region's two ends come first and last without.
    pub all: Vec<(f64, Vec<Seam>)>,
}

impl<'a> Places<'a> {
    pub fn new(region: &'a [Ring], along: Vec2, around: &Around<'_>) -> Self {
        let across = along.turn_90();
        let height = |p: &Point| p.to_vec2().dot(across);
        let (lo, hi) = span(region.iter().flat_map(|r| &r.outer).map(height));
        let rules = around.rules;
        let past = rules.style.past();
        let mut tried: Vec<f64> =
            (1..STEPS).map(|k| lo + (hi - lo) * f64::from(k) / f64::from(STEPS)).collect();
        // Where a part is as wide or long as may be, and as near to corners and neighbours as may be.
        let limits = [Some(rules.widest), rules.longest, rules.sheet.map(|s| s.0), rules.sheet.map(|s| s.1)];
        // Where a part across the whole region is as long, or as wide, as may still be turned.
        let turned = rules.turning.iter().flat_map(|t| {
            let (a, b) = span(region.iter().flat_map(|r| &r.outer).map(|p| p.to_vec2().dot(along)));
            [t.longest(b - a), t.widest(b - a)]
        });
        let limits = limits.into_iter().flatten().chain(turned);
        for l in limits.filter(|l| *l > 2.0 * past && *l < hi - lo) {
            for k in 1..=40 {
                // Parts between two seams carry a lap on either side, the first only on one.
                let reach = (l - 2.0 * past) * f64::from(k) + past;
                if reach < hi - lo {
                    tried.extend([lo + reach, hi - reach]);
                }
            }
        }
        for n in around.neighbours.iter().take(60) {
            let by = rules.stagger + past + n.style.past() + 1e-6;
            tried.extend([n.from, n.to].iter().flat_map(|p| [height(p) - by, height(p) + by]));
        }
        let keep = rules.clear + past + 1e-6;
        tried.extend(around.corners.iter().take(60).flat_map(|c| [height(c) - keep, height(c) + keep]));
        for hole in around.holes.iter().take(60) {
            let (a, b) = span(hole.iter().map(height));
            tried.extend([a - keep, a + keep, f64::midpoint(a, b), b - keep, b + keep]);
        }
        tried.retain(|h| *h > lo + 1e-6 && *h < hi - 1e-6);
        tried.sort_by(f64::total_cmp);
        tried.dedup_by(|b, a| (*b - *a).abs() < 1e-3);
        let mut out = Self { region, along, past, all: vec![(lo, Vec::new())] };
        for h in tried {
            let line = out.line(h);
            let here: Vec<Seam> = region
                .iter()
                .flat_map(|r| chords(r, line))
                .map(|(a, b)| Seam { from: line.at + along * a, to: line.at + along * b, style: rules.style })
                .collect();
            if !here.is_empty() && here.iter().all(|s| s.is_sound() && around.allows(s)) {
                out.all.push((h, here));
            }
        }
        out.all.push((hi, Vec::new()));
        out
    }

    fn line(&self, h: f64) -> Line {
        Line { at: (self.along.turn_90() * h).to_point(), along: self.along }
    }

    /// Length of the seams at a place, mm.
    pub fn length(&self, k: usize) -> f64 {
        self.all[k].1.iter().map(Seam::length).sum()
    }

    /// The pieces between two places, `lap` mm farther where there is a seam.
    pub fn between(&self, i: usize, j: usize, lapped: bool) -> Vec<Ring> {
        let past = if lapped { self.past } else { 0.0 };
        let side = |rings: Vec<Ring>, line: Line, left: bool| -> Vec<Ring> {
            rings
                .iter()
                .flat_map(|r| cut(r, line, &|_| true))
                .filter(|r| {
                    let far = r.outer.iter().map(|p| line.height(*p));
                    let far = far.fold(0.0_f64, |m, h| if h.abs() > m.abs() { h } else { m });
                    (far > 0.0) == left
                })
                .collect()
        };
        let mut out = self.region.to_vec();
        if i > 0 {
            out = side(out, self.line(self.all[i].0 - past), true);
        }
        if j + 1 < self.all.len() {
            out = side(out, self.line(self.all[j].0 + past), false);
        }
        out
    }
}
