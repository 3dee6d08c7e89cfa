//! Laths: pairs of parallel sides at the lath's width.

use kurbo::{Point, Vec2};

use super::segments::Seen;
use super::wood::{Wood, of_one_wood};

/// Widths that laths have, mm.
const WIDTHS: (f64, f64) = (18.0, 60.0);
/// How parallel two sides are, sine.
const PARALLEL: f64 = 0.022;
/// How far a side may lie from where the width says, mm.
const SIDE_MM: f64 = 1.4;
/// Bin along a lath, mm.
const BIN: f64 = 2.0;
/// Longest stretch without any side seen that is still bridged, mm: a lath lying across with its shadow.
const BRIDGE_MM: f64 = 75.0;
/// An end this near another lath touches it: the last piece of a side is often not seen, mm.
const NEAR_MM: f64 = 40.0;
/// Shortest lath, in widths.
const SHORTEST: f64 = 2.0;

/// A lath as a strip of the plane.
#[derive(Debug, Clone)]
pub(super) struct Strip {
    pub(super) centre: Point,
    pub(super) way: Vec2,
    pub(super) width: f64,
    /// Ends along `way` from `centre`, mm.
    pub(super) from: f64,
    pub(super) to: f64,
    /// Seen stretches of the two sides: side (−1 right of `way`, 1 left), from, to.
    pub(super) sides: Vec<(f64, f64, f64)>,
    pub(super) score: f64,
}

impl Strip {
    /// Place at a distance along and a distance to the left.
    pub(super) fn place(&self, along: f64, left: f64) -> Point {
        self.centre + self.way * along + Vec2::new(-self.way.y, self.way.x) * left
    }

    /// Distances along and to the left of a place.
    pub(super) fn seen_from(&self, p: Point) -> (f64, f64) {
        let d = p - self.centre;
        (d.dot(self.way), self.way.cross(d))
    }

    pub(super) fn covers(&self, p: Point, margin: f64) -> bool {
        let (t, s) = self.seen_from(p);
        s.abs() < 0.5 * self.width + margin && t > self.from - margin && t < self.to + margin
    }

    fn length(&self) -> f64 {
        self.to - self.from
    }
}

/// The width at which most parallel length lies.
pub(super) fn voted_width(seen: &[Seen]) -> Option<f64> {
    const STEP: f64 = 0.25;
    let bins = ((WIDTHS.1 - WIDTHS.0) / STEP) as usize + 1;
    let mut votes = vec![0.0; bins];
    let long: Vec<&Seen> = seen.iter().filter(|s| s.length > 12.0 && !s.warm).collect();
    for (i, a) in long.iter().enumerate() {
        for b in long.iter().take(i) {
            if a.way.cross(b.way).abs() > PARALLEL || a.way.dot(b.way) < 0.0 {
                continue;
            }
            let (ta, tb) = ((b.a - a.a).dot(a.way), (b.b - a.a).dot(a.way));
            let overlap = tb.min(a.length) - ta.max(0.0);
            if overlap < 8.0 {
                continue;
            }
            let apart = a.way.cross(b.a.midpoint(b.b) - a.a).abs();
            let bin = (apart - WIDTHS.0) / STEP;
            if bin >= 0.0
                && let Some(v) = votes.get_mut(bin as usize)
            {
                *v += overlap;
            }
        }
    }
    // Sums over a millimetre and a quarter. A lath's visible side makes it look wider, never narrower: the first strong width is the lath's own.
    let sum = |i: usize| votes.get(i.saturating_sub(2)..i + 3).map_or(0.0, |v| v.iter().sum::<f64>());
    let most = (2..bins - 2).map(sum).fold(0.0, f64::max);
    if most < 80.0 {
        return None;
    }
    let strong = (2..bins - 3).find(|i| sum(*i) > 0.75 * most && sum(*i) >= sum(*i + 1))?;
    let near = votes.get(strong - 2..strong + 3)?;
    let mean = near.iter().enumerate().map(|(k, v)| v * (strong - 2 + k) as f64).sum::<f64>() / sum(strong);
    Some(WIDTHS.0 + STEP * (mean + 0.5))
}

/// Laths of a width, best seen first, none lying along another.
pub(super) fn strips(seen: &[Seen], width: f64, wood: &Wood<'_>) -> Vec<Strip> {
    let mut found: Vec<Strip> = Vec::new();
    for seed in seen.iter().filter(|s| s.length > 12.0) {
        for side in [-1.0, 1.0] {
            // The seed is the lath's left (1) or right (−1) side.
            let left = Vec2::new(-seed.way.y, seed.way.x);
            let strip = Strip {
                centre: seed.a.midpoint(seed.b) - left * (side * 0.5 * width),
                way: seed.way,
                width,
                from: 0.0,
                to: 0.0,
                sides: Vec::new(),
                score: 0.0,
            };
            if let Some(strip) = gather(strip, seen, seed.length) {
                found.push(strip);
            }
        }
    }
    let weight = |s: &Strip| s.score * s.length();
    found.sort_by(|a, b| weight(b).total_cmp(&weight(a)));
    let best = apart(&found);
    joined(apart(&of_one_wood(found, &best, wood)))
}

/// Strips of which none lies along a better one.
fn apart(found: &[Strip]) -> Vec<Strip> {
    let mut out: Vec<Strip> = Vec::new();
    for strip in found {
        let clash = out.iter().any(|o| {
            let along = o.way.cross(strip.way).abs() < 0.17;
            let inside = (0..=10)
                .filter(|k| {
                    o.covers(
                        strip.place(strip.from + strip.length() * f64::from(*k) / 10.0, 0.0),
                        0.4 * o.width,
                    )
                })
                .count();
            along && inside >= 3
        });
        if !clash && out.len() < 60 {
            out.push(strip.clone());
        }
    }
    out
}

/// The largest group of laths that touch: a template is glued together, boards and grain of the floor are not.
fn joined(strips: Vec<Strip>) -> Vec<Strip> {
    let n = strips.len();
    let mut group: Vec<usize> = (0..n).collect();
    for i in 0..n {
        for j in 0..i {
            let (Some(a), Some(b)) = (strips.get(i), strips.get(j)) else { continue };
            let touch = |a: &Strip, b: &Strip| {
                let (from, to) = (a.from - NEAR_MM, a.to + NEAR_MM);
                let steps = ((to - from) / 6.0).ceil().max(1.0);
                (0..=steps as usize).any(|k| {
                    let t = from + (to - from) * k as f64 / steps;
                    [-0.5, 0.0, 0.5].iter().any(|l| b.covers(a.place(t, l * a.width), 5.0))
                })
            };
            if touch(a, b) {
                let (from, to) = (group[i], group[j]);
                for g in &mut group {
                    if *g == from {
                        *g = to;
                    }
                }
            }
        }
    }
    let mut best = (0.0, 0);
    for g in 0..n {
        let sum: f64 =
            strips.iter().zip(&group).filter(|s| *s.1 == g).map(|s| s.0.length() * s.0.score).sum();
        if sum > best.0 {
            best = (sum, g);
        }
    }
    strips.into_iter().zip(group).filter(|s| s.1 == best.1).map(|s| s.0).collect()
}

/// Collects the sides of a strip twice, turning it to fit in between.
fn gather(mut strip: Strip, seen: &[Seen], seed: f64) -> Option<Strip> {
    let mut reach = (-0.5 * seed - 30.0, 0.5 * seed + 30.0);
    for round in 0..3 {
        let mut sides: Vec<(f64, f64, f64, f64, f64)> = Vec::new();
        for s in seen {
            if strip.way.cross(s.way).abs() > PARALLEL || strip.way.dot(s.way) < 0.0 {
                continue;
            }
            let ((ta, sa), (tb, sb)) = (strip.seen_from(s.a), strip.seen_from(s.b));
            let middle = 0.5 * (sa + sb);
            let side = middle.signum();
            if (middle.abs() - 0.5 * strip.width).abs() < SIDE_MM && (sa - sb).abs() < 2.0 * SIDE_MM {
                sides.push((side, ta, tb, sa - side * 0.5 * strip.width, sb - side * 0.5 * strip.width));
            }
        }
        sides.sort_by(|a, b| a.1.total_cmp(&b.1));
        // Grow from the seed over gaps that a crossing may leave.
        for _ in 0..40 {
            let before = reach;
            for s in &sides {
                if s.1 < reach.1 && s.2 > reach.0 {
                    reach = (reach.0.min(s.1 - BRIDGE_MM), reach.1.max(s.2 + BRIDGE_MM));
                }
            }
            if before == reach {
                break;
            }
        }
        sides.retain(|s| s.2 > reach.0 && s.1 < reach.1);
        strip.from = sides.iter().map(|s| s.1).fold(f64::INFINITY, f64::min);
        strip.to = sides.iter().map(|s| s.2).fold(f64::NEG_INFINITY, f64::max);
        if sides.is_empty() || strip.to - strip.from < SHORTEST * strip.width {
            return None;
        }
        if round < 2 {
            // Line through all side misses, weighted by length.
            let (mut n, mut t, mut d, mut tt, mut td) = (0.0, 0.0, 0.0, 0.0, 0.0);
            for s in &sides {
                let w = s.2 - s.1;
                for (at, miss) in [(s.1, s.3), (s.2, s.4)] {
                    n += w;
                    t += w * at;
                    d += w * miss;
                    tt += w * at * at;
                    td += w * at * miss;
                }
            }
            let det = n * tt - t * t;
            let slope = if det > 1e-9 { (n * td - t * d) / det } else { 0.0 };
            let offset = (d - slope * t) / n;
            let left = Vec2::new(-strip.way.y, strip.way.x);
            strip.centre += left * offset;
            strip.way = (strip.way + left * slope) / (1.0 + slope * slope).sqrt();
        } else {
            strip.sides = sides.iter().map(|s| (s.0, s.1, s.2)).collect();
        }
    }
    let (right, left) = (coverage(&strip, -1.0), coverage(&strip, 1.0));
    strip.score = 0.5 * (right + left);
    (right > 0.15 && left > 0.15 && strip.score > 0.3).then_some(strip)
}

/// Share of a side that is seen.
fn coverage(strip: &Strip, side: f64) -> f64 {
    let bins = (strip.length() / BIN).ceil().max(1.0) as usize;
    let seen = (0..bins)
        .filter(|k| {
            let t = strip.from + BIN * (*k as f64 + 0.5);
            strip.sides.iter().any(|s| s.0 * side > 0.0 && s.1 <= t && t <= s.2)
        })
        .count();
    seen as f64 / bins as f64
}

/// How many laths high each lath's top lies: at a crossing the one whose sides are seen through lies above.
pub(super) fn laps(strips: &[Strip]) -> Vec<u32> {
    let mut laps = vec![1u32; strips.len()];
    let mut above: Vec<(usize, usize)> = Vec::new();
    for (i, a) in strips.iter().enumerate() {
        for (j, b) in strips.iter().enumerate().take(i) {
            let sine = a.way.cross(b.way);
            if sine.abs() < 0.25 {
                continue;
            }
            let ta = (b.centre - a.centre).cross(b.way) / sine;
            let tb = (b.centre - a.centre).cross(a.way) / sine;
            let half = 0.5 * a.width;
            let on = |s: &Strip, t: f64| t > s.from - half && t < s.to + half;
            if !(on(a, ta) && on(b, tb)) {
                continue;
            }
            let through = |s: &Strip, t: f64, other: &Strip| {
                let reach = 0.5 * other.width / sine.abs();
                let mut seen = 0.0;
                for side in &s.sides {
                    seen += (side.2.min(t + reach) - side.1.max(t - reach)).max(0.0);
                }
                seen / (4.0 * reach)
            };
            let (sa, sb) = (through(a, ta, b), through(b, tb, a));
            if sa > sb + 0.15 {
                above.push((i, j));
            } else if sb > sa + 0.15 {
                above.push((j, i));
            }
        }
    }
    // Longest chain downwards, at most three high.
    for _ in 0..3 {
        for (up, down) in &above {
            let under = laps.get(*down).copied().unwrap_or(1);
            if let Some(lap) = laps.get_mut(*up) {
                *lap = (*lap).max((under + 1).min(3));
            }
        }
    }
    laps
}
