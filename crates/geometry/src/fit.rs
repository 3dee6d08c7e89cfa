//! One edge's curve from its ticks.

use kurbo::{Point, Vec2};

use crate::curve::Curve;
use crate::natural::natural;
use crate::round::{Round, hermite};
use crate::{Edge, EdgeKind, GeometryError, Tick};

/// An edge's curve, with the parameter of each tick.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Fitted {
    pub curve: Curve,
    pub at: Vec<f64>,
    /// The ticks used.
    pub ticks: Vec<Tick>,
    pub kind: EdgeKind,
    /// Mean size of the curvature, 1/mm.
    pub(crate) bend: f64,
    /// First or last tick is a corner the curve must meet.
    pub(crate) pinned: (bool, bool),
}

/// Beyond this slope against the chord a run counts as strongly bent and is faired by arc length, turned everywhere.
const STEEP: f64 = 0.577_350_269_189_625_8; // tan 30°
/// Least variance of a tick, mm²: a micrometre. Keeps weights finite for ticks said to be exact.
pub(crate) const LEAST_VARIANCE: f64 = 1e-6;
/// Least total turning supposed of a fair edge, radians, so that a batten measured straight is not called certain.
const LEAST_TURN: f64 = 0.05;

/// Fits `edge` through its `ticks` (cleaned); `pinned` says which ends are measured corners.
pub(crate) fn fit(edge: &Edge, ticks: Vec<Tick>, pinned: (bool, bool)) -> Result<Fitted, GeometryError> {
    let needs = |needs| GeometryError::EdgeNeedsTicks { edge: edge.name.clone(), has: ticks.len(), needs };
    if ticks.len() < 2 {
        return Err(needs(2));
    }
    let straight = edge.kind == EdgeKind::Straight || ticks.len() == 2;
    let (curve, at) = if straight {
        let curve = line(&ticks, pinned).ok_or_else(|| needs(2))?;
        let j = curve.at(0.0);
        let at = ticks.iter().map(|t| (t.at - j.p).dot(j.d1)).collect();
        (curve, at)
    } else {
        fair(&ticks, edge.smoothing, pinned).ok_or_else(|| GeometryError::NotFinite {
            what: format!("the fair curve of edge \"{}\"", edge.name),
        })?
    };
    let (a, b) = curve.ends();
    let length = curve.length(a, b).max(1e-9);
    let n = 4 * at.len();
    let turn: f64 =
        (0..n).map(|k| curve.at(a + (b - a) * (k as f64 + 0.5) / n as f64).curvature().abs()).sum::<f64>()
            / n as f64;
    Ok(Fitted { curve, at, ticks, kind: edge.kind, bend: turn.max(LEAST_TURN / length), pinned })
}

/// Weighted total least squares; through the pinned ends exactly.
pub(crate) fn line(ticks: &[Tick], pinned: (bool, bool)) -> Option<Curve> {
    let (first, last) = (ticks.first()?, ticks.last()?);
    let towards = last.at - first.at;
    if towards.hypot() < 1e-6 {
        return None;
    }
    let mut way = towards / towards.hypot();
    let mut base = first.at;
    if pinned == (true, true) || ticks.len() == 2 {
        return Some(Curve::line(first.at, last.at));
    }
    // The weights depend on the direction: three rounds settle it.
    for _ in 0..3 {
        let normal = Vec2::new(way.y, -way.x);
        let weights: Vec<f64> =
            ticks.iter().map(|t| 1.0 / t.spread.along(normal).max(LEAST_VARIANCE)).collect();
        let total: f64 = weights.iter().sum();
        let mean =
            ticks.iter().zip(&weights).map(|(t, w)| (t.at - first.at) * *w).fold(Vec2::ZERO, |a, b| a + b)
                / total;
        base = match pinned {
            (true, _) => first.at,
            (_, true) => last.at,
            _ => first.at + mean,
        };
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for (t, w) in ticks.iter().zip(&weights) {
            let d = t.at - base;
            xx += w * d.x * d.x;
            xy += w * d.x * d.y;
            yy += w * d.y * d.y;
        }
        let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
        way = Vec2::from_angle(angle);
        if way.dot(towards) < 0.0 {
            way = -way;
        }
    }
    let from = base + way * (first.at - base).dot(way);
    let to = base + way * (last.at - base).dot(way);
    (from.distance(to) > 1e-6).then(|| Curve::line(from, to))
}

/// Least third derivative in the chord's frame, or by arc length for strongly bent runs.
pub(crate) fn fair(ticks: &[Tick], smoothing: f64, pinned: (bool, bool)) -> Option<(Curve, Vec<f64>)> {
    let (o, e) = (ticks.first()?.at, ticks.last()?.at);
    let chord = e - o;
    let length = chord.hypot();
    if length > 1e-6 {
        let x = chord / length;
        let y = Vec2::new(-x.y, x.x);
        let local: Vec<Vec2> =
            ticks.iter().map(|t| Vec2::new((t.at - o).dot(x), (t.at - o).dot(y))).collect();
        let shallow = local
            .windows(2)
            .all(|w| matches!(w, [a, b] if b.x > a.x && (b.y - a.y).abs() <= STEEP * (b.x - a.x)));
        if shallow {
            let at: Vec<f64> = local.iter().map(|p| p.x).collect();
            // As what is left beside the circle nearest to all ticks; three make a parabola.
            let places: Vec<Point> = local.iter().map(|p| p.to_point()).collect();
            let round = if ticks.len() > 3 { Round::nearest(&places, &at) } else { Round::Origin };
            let round = if at.iter().all(|t| round.height(*t).is_some()) { round } else { Round::Origin };
            let own = |t: f64| round.height(t).unwrap_or_default();
            let heights = vec![local.iter().map(|p| p.y - own(p.x)[0]).collect::<Vec<f64>>()];
            let noise = noises(ticks, &vec![y; ticks.len()], pinned);
            let spans = smooth(&at, &heights, &noise, smoothing)?;
            let spans = spans.first()?.iter().zip(at.windows(2));
            let world = |a: f64, b: f64| x * a + y * b;
            let curve = spans
                .map(|(c, w)| {
                    let circle = hermite(w[1] - w[0], own(w[0]), own(w[1]));
                    let c: [f64; 6] = std::array::from_fn(|k| c[k] + circle[k]);
                    [
                        o.to_vec2() + world(w[0], c[0]),
                        world(1.0, c[1]),
                        world(0.0, c[2]),
                        world(0.0, c[3]),
                        world(0.0, c[4]),
                        world(0.0, c[5]),
                    ]
                })
                .collect();
            return Some((Curve::new(at.clone(), curve), at));
        }
    }
    bent(ticks, smoothing, pinned)
}

/// Both coordinates faired over the arc length, as what is left beside the circle nearest to all ticks: a round bilge is then round, where its coordinates
/// alone would lose their bend towards the ends. Found by going round four times.
fn bent(ticks: &[Tick], smoothing: f64, pinned: (bool, bool)) -> Option<(Curve, Vec<f64>)> {
    let mut at = vec![0.0];
    for w in ticks.windows(2) {
        let [a, b] = w else { continue };
        at.push(at.last()? + a.at.distance(b.at).max(1e-6));
    }
    let o = ticks.first()?.at;
    let places: Vec<Point> = ticks.iter().map(|t| t.at).collect();
    let mut curve = None;
    for _ in 0..4 {
        let normals: Vec<Vec2> = match &curve {
            Some(c) => at.iter().map(|t| Curve::at(c, *t).normal()).collect(),
            None => vec![(ticks.last()?.at - o).turn_90(); ticks.len()],
        };
        let noise = noises(ticks, &normals, pinned);
        // Three ticks make a parabola.
        let round = if ticks.len() > 3 { Round::nearest(&places, &at) } else { Round::Origin };
        let beside: Vec<Vec2> =
            places.iter().zip(&at).map(|(p, t)| *p - round.at(*t)[0].to_point()).collect();
        let heights =
            [beside.iter().map(|d| d.x).collect::<Vec<f64>>(), beside.iter().map(|d| d.y).collect()];
        let both = smooth(&at, &heights, &noise, smoothing)?;
        let [xs, ys] = both.as_slice() else { return None };
        let spans = xs.iter().zip(ys).zip(at.windows(2)).map(|((a, b), w)| {
            let own: [Vec2; 6] = round.span(w[0], w[1]);
            std::array::from_fn(|k| own[k] + Vec2::new(a[k], b[k]))
        });
        let next = Curve::new(at.clone(), spans.collect());
        let lengths: Vec<f64> =
            at.windows(2).map(|w| if let [a, b] = w { next.length(*a, *b).max(1e-6) } else { 0.0 }).collect();
        let used = at.clone();
        at = std::iter::once(0.0)
            .chain(lengths.iter().scan(0.0, |s, l| {
                *s += l;
                Some(*s)
            }))
            .collect();
        curve = Some(next);
        if used.iter().zip(&at).all(|(a, b)| (a - b).abs() < 1e-9) {
            break;
        }
    }
    let curve = curve?;
    let at = curve.knots().to_vec();
    Some((curve, at))
}

/// Variance of each tick across the curve; a pinned end is taken as exact.
fn noises(ticks: &[Tick], normals: &[Vec2], pinned: (bool, bool)) -> Vec<f64> {
    let last = ticks.len() - 1;
    ticks
        .iter()
        .zip(normals)
        .enumerate()
        .map(|(i, (t, n))| {
            if i == 0 && pinned.0 || i == last && pinned.1 {
                1e-9
            } else {
                t.spread.along(*n).max(LEAST_VARIANCE)
            }
        })
        .collect()
}

/// Faired coordinates; as smooth as `limit` mm from the ticks allows, but no smoother than their uncertainty asks for.
fn smooth(at: &[f64], heights: &[Vec<f64>], noise: &[f64], limit: f64) -> Option<Vec<Vec<[f64; 6]>>> {
    let scale = (at.last()? - at.first()?) / (at.len() - 1) as f64;
    let unit: Vec<f64> = at.iter().map(|t| (t - at[0]) / scale).collect();
    let solve = |lambda: Option<f64>| -> Option<Vec<Vec<[f64; 6]>>> {
        heights.iter().map(|h| natural(&unit, h, lambda.map(|l| (l, noise)))).collect()
    };
    let mut best = solve(None)?;
    if limit > 0.0 && at.len() > 3 {
        let off = |s: &[Vec<[f64; 6]>], i: usize| -> f64 {
            // The last place is the end of the last span.
            let value = |c: &Vec<[f64; 6]>| match c.get(i) {
                Some(c) => c[0],
                None => c.last().map_or(0.0, |c| {
                    let h = unit[i] - unit[i - 1];
                    c.iter().rev().fold(0.0, |s, v| s * h + v)
                }),
            };
            s.iter().zip(heights).map(|(c, h)| (value(c) - h[i]).powi(2)).sum::<f64>().sqrt()
        };
        let known = noise.iter().any(|v| *v > 10.0 * LEAST_VARIANCE);
        let (mut lo, mut hi) = (-14.0_f64, 14.0_f64);
        for _ in 0..40 {
            let mid = 0.5 * (lo + hi);
            let Some(s) = solve(Some(10_f64.powf(mid))) else { break };
            let offs: Vec<f64> = (0..at.len()).map(|i| off(&s, i)).collect();
            let chi2 = offs.iter().zip(noise).map(|(o, v)| o * o / v).sum::<f64>() / at.len() as f64;
            if offs.iter().all(|o| *o <= limit) && (!known || chi2 <= 1.0) {
                (lo, best) = (mid, s);
            } else {
                hi = mid;
            }
        }
    }
    // Back from unit spacing to the parameter.
    for spans in &mut best {
        for c in spans {
            let mut f = 1.0;
            for v in c.iter_mut() {
                *v *= f;
                f /= scale;
            }
        }
    }
    Some(best)
}
