//! The ends of laths, and which of them are tips of the template.

use kurbo::{Point, Vec2};

use super::StickKind;
use super::laths::Strip;
use super::segments::Seen;
use super::wood::Wood;

/// How a lath ends.
#[derive(Debug, Clone)]
pub(super) struct End {
    /// Outermost place along the lath, mm from its centre.
    pub(super) along: f64,
    pub(super) kind: StickKind,
    /// Corners, or the apex.
    pub(super) corners: Vec<Point>,
    pub(super) score: f64,
}

/// Score of an end whose cut is not seen.
pub(super) const UNSEEN: f64 = 0.15;

/// A tick on the plane.
pub(super) struct Proposed {
    pub(super) at: Point,
    pub(super) kind: StickKind,
    pub(super) lath: usize,
    pub(super) score: f64,
}

/// Looks for the cut at one end of a lath (`far`: the end at larger distance along).
pub(super) fn end(strips: &[Strip], own: usize, seen: &[Seen], wood: &Wood<'_>, far: bool) -> Option<End> {
    let strip = strips.get(own)?;
    let out = if far { 1.0 } else { -1.0 };
    let half = 0.5 * strip.width;
    // Where each side is last seen; the longer tells where to look.
    let last = |side: f64| {
        let ends = strip.sides.iter().filter(|s| s.0 * side > 0.0).map(|s| if far { s.2 } else { -s.1 });
        ends.fold(f64::NEG_INFINITY, f64::max)
    };
    let (right, left) = (last(-1.0), last(1.0));
    let sides = right.max(left);
    // Wood ends where the floor begins; where the end lies on another lath, wood goes on.
    let on_another = |t: f64| {
        let p = strip.place(out * t, 0.0);
        strips.iter().enumerate().any(|(i, o)| i != own && o.covers(p, ON_MM))
    };
    let wooden =
        if on_another(sides) { None } else { wood.end(strip, sides, out).filter(|t| !on_another(*t)) };
    let rim = wooden.unwrap_or(sides);
    let (right, left) = wooden.map_or((right, left), |r| (r, r));
    // Pieces across the lath near there: (along at the left side, along at the right side, along and across of the middle, length).
    let mut cuts: Vec<Cut> = Vec::new();
    for s in seen {
        let sine = strip.way.cross(s.way).abs();
        if sine < 0.3 || s.length > 1.6 * strip.width / sine.min(1.0) {
            continue;
        }
        let ((ta, sa), (tb, sb)) = (strip.seen_from(s.a), strip.seen_from(s.b));
        let (ta, tb) = (out * ta, out * tb);
        if sa.abs().max(sb.abs()) > half + 2.5
            || ta.min(tb) < rim - 0.5 * strip.width
            || ta.max(tb) > rim + 1.2 * strip.width
        {
            continue;
        }
        let slope = (tb - ta) / (sb - sa);
        let (t, s0) = (0.5 * (ta + tb), 0.5 * (sa + sb));
        cuts.push(Cut {
            at_left: t + slope * (half - s0),
            at_right: t + slope * (-half - s0),
            slope,
            across: s0,
            span: (sa - sb).abs(),
        });
    }
    let at = |along: f64, across: f64| strip.place(out * along, across);
    if let Some((apex, score)) = apex(&cuts, half) {
        return Some(End {
            along: out * apex.0,
            kind: StickKind::Apex,
            corners: vec![at(apex.0, apex.1)],
            score,
        });
    }
    // A square cut: the outermost pieces of one line, not far from the rim.
    let square = cuts
        .iter()
        .filter(|c| c.slope.abs() < 0.55 && (c.middle() - rim).abs() < 8.0)
        .map(|c| {
            let mates: f64 = cuts
                .iter()
                .filter(|o| (o.at_left - c.at_left).abs() < 1.5 && (o.at_right - c.at_right).abs() < 1.5)
                .map(|o| o.span)
                .sum();
            (c, (mates / strip.width).min(1.0))
        })
        .filter(|c| c.1 > 0.25)
        // Top and foot of the cut are both seen: the nearer to where the sides end is the top's.
        .min_by(|a, b| {
            let miss = |c: &Cut| (c.at_left - left).abs().min((c.at_right - right).abs());
            (miss(a.0) - a.1).total_cmp(&(miss(b.0) - b.1))
        });
    Some(match square {
        Some((cut, share)) => End {
            along: out * cut.middle(),
            kind: StickKind::SquareCorner,
            corners: vec![at(cut.at_left, half), at(cut.at_right, -half)],
            score: 0.3 + 0.4 * share,
        },
        None => End {
            along: out * rim,
            kind: StickKind::SquareCorner,
            corners: vec![at(rim, half), at(rim, -half)],
            score: UNSEEN,
        },
    })
}

/// A piece of an end's cut.
struct Cut {
    at_left: f64,
    at_right: f64,
    slope: f64,
    across: f64,
    span: f64,
}

impl Cut {
    fn middle(&self) -> f64 {
        0.5 * (self.at_left + self.at_right)
    }
}

/// Two oblique pieces that meet in the lath's middle part.
fn apex(cuts: &[Cut], half: f64) -> Option<((f64, f64), f64)> {
    let mut best: Option<((f64, f64), f64)> = None;
    for a in cuts.iter().filter(|c| c.slope < -0.25) {
        // Falls towards the left: lies left of the apex.
        for b in cuts.iter().filter(|c| c.slope > 0.25) {
            let across = (b.middle() - a.middle()) / (a.slope - b.slope);
            let along = a.middle() + a.slope * across;
            let fits = a.across > across - 1.0 && b.across < across + 1.0 && across.abs() < 0.6 * half;
            let span = a.span + b.span;
            if fits && span > 0.6 * half && best.is_none_or(|o| span > o.1) {
                best = Some(((along, across), span));
            }
        }
    }
    best.map(|(at, span)| (at, 0.3 + 0.4 * (span / (2.0 * half)).min(1.0)))
}

/// How near another lath an end lies on it, mm.
const ON_MM: f64 = 2.0;
/// How near its neighbour's outer edge an end lying on it must come to be a tip of its own, mm.
const FLUSH_MM: f64 = 2.0;
/// How far from its ends the ticks of an outer long edge lie, mm: any place of the edge is right, and its ends are the least sure.
const INSET: f64 = 20.0;
/// How far inside the hull of all laths a tip may lie, mm.
const DEEP_MM: f64 = 80.0;
/// How near the hull an outer long edge lies, mm.
const HULL_MM: f64 = 5.0;

/// The ticks of all laths: outer long edges, and ends with nothing beyond them.
pub(super) fn ticks(strips: &[Strip], ends: &[[End; 2]]) -> Vec<Proposed> {
    let corners: Vec<Point> = strips
        .iter()
        .flat_map(|s| {
            [(s.from, 1.0), (s.to, 1.0), (s.from, -1.0), (s.to, -1.0)]
                .map(|(t, l)| s.place(t, 0.5 * l * s.width))
        })
        .collect();
    let hull = hull(corners);
    let mut outer: Vec<Option<f64>> = Vec::new();
    for s in strips {
        let side = [1.0, -1.0].into_iter().find(|side| {
            [0.04, 0.5, 0.96].iter().all(|f| {
                let p = s.place(s.from + (s.to - s.from) * f, 0.5 * side * s.width);
                inside_by(&hull, p) < HULL_MM
            })
        });
        outer.push(side);
    }
    let mut out = Vec::new();
    for (i, (s, pair)) in strips.iter().zip(ends).enumerate() {
        if let Some(side) = outer.get(i).copied().flatten() {
            let inset = INSET.min(0.25 * (s.to - s.from));
            for t in [s.from + inset, s.to - inset] {
                out.push(Proposed {
                    at: s.place(t, 0.5 * side * s.width),
                    kind: StickKind::Edge,
                    lath: i,
                    score: s.score,
                });
            }
            continue;
        }
        for (end, sign) in pair.iter().zip([-1.0, 1.0]) {
            let way = s.way * sign;
            if inside_by(&hull, s.place(end.along, 0.0)) > DEEP_MM
                || !outward(strips, &outer, i, s.place(end.along, 0.0), way)
            {
                continue;
            }
            for corner in &end.corners {
                out.push(Proposed {
                    at: *corner,
                    kind: end.kind,
                    lath: i,
                    score: end.score * s.score.sqrt(),
                });
            }
        }
    }
    out
}

/// Whether nothing of the template lies beyond an end; lying on another lath, it must reach that lath's outer edge.
fn outward(strips: &[Strip], outer: &[Option<f64>], own: usize, tip: Point, way: Vec2) -> bool {
    for (j, o) in strips.iter().enumerate() {
        if j == own {
            continue;
        }
        let on = o.covers(tip - way * 2.0, 0.0);
        let (_, across) = o.seen_from(tip);
        if on && way.cross(o.way).abs() > 0.3 {
            let flush = outer
                .get(j)
                .copied()
                .flatten()
                .is_some_and(|side| (across - side * 0.5 * o.width).abs() < FLUSH_MM);
            if !flush {
                return false;
            }
            continue;
        }
        let mut d = 4.0;
        while d < 1500.0 {
            if o.covers(tip + way * d, 0.0) {
                return false;
            }
            d += 4.0;
        }
    }
    true
}

/// Convex hull, counter-clockwise (A. Andrew, "Another efficient algorithm for convex hulls in two dimensions", Information Processing Letters 9 (1979)).
fn hull(mut points: Vec<Point>) -> Vec<Point> {
    points.sort_by(|a, b| a.x.total_cmp(&b.x).then(a.y.total_cmp(&b.y)));
    let half = |points: &mut dyn Iterator<Item = Point>| {
        let mut out: Vec<Point> = Vec::new();
        for p in points {
            while let [.., a, b] = out.as_slice() {
                if (*b - *a).cross(p - *b) > 0.0 {
                    break;
                }
                out.pop();
            }
            out.push(p);
        }
        out.pop();
        out
    };
    let mut out = half(&mut points.iter().copied());
    out.extend(half(&mut points.iter().rev().copied()));
    out
}

/// How far inside a hull a point lies, mm.
fn inside_by(hull: &[Point], p: Point) -> f64 {
    let n = hull.len();
    (0..n)
        .filter_map(|i| {
            let (a, b) = (*hull.get(i)?, *hull.get((i + 1) % n)?);
            let d = b - a;
            Some(d.cross(p - a) / d.hypot().max(1e-9))
        })
        .fold(f64::INFINITY, f64::min)
}
