//! All sides moved to one depth and joined at the corners.
//!
//! Every side sweeps a strip; strips moved inward take away, strips moved outward add. The ring drawn here runs along the
//! moved sides and through corners such that its winding number is 1 inside the outline, less the inward strips, plus the
//! outward ones; where it is positive there is foam (X. Chen, S. McMains, Polygon offsetting by computing winding numbers,
//! ASME IDETC 2005, for one distance; the counting of strips carries it over to a distance per side).

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use kurbo::{Point, Vec2};

use crate::Notice;
use crate::moved::{Mover, Sample};
use crate::step::{Stepped, stepped};

/// A corner farther away than so many times the larger distance moved is cut square.
const RUNS_AWAY: f64 = 3.0;
/// Square cuts with a step smaller than this are not worth a word, mm.
const SMALL_STEP: f64 = 1.0;
/// Cosine of the turn (0.15 rad) that one flat strip may span. Finer strips all cross each other near the centre, and time
/// goes with their square; they only take away, so that their shape there does not show.
const FLAT_TURN: f64 = 0.988_771;

/// How two moved sides are joined.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Join {
    /// They overlap: back through the template's corner, the overlap then counts once too often and drops out.
    Through,
    /// They cross at these parameters and this place.
    Cross { first: f64, second: f64, at: Point },
    /// Straight from one end to the other.
    Square,
}

/// The joined ring at one depth.
#[derive(Debug, Clone)]
pub(crate) struct Slice {
    pub ring: Vec<Point>,
    /// Parameters left of each side.
    pub kept: Vec<(f64, f64)>,
    /// Parameters at the corners of each side, also where it is carried on past the template's.
    pub spans: Vec<(f64, f64)>,
    pub notices: Vec<Notice>,
    /// No side is used up or turned over, and neighbours meet: the ring is the foam unless it crosses itself.
    pub clean: bool,
    /// The same, but neighbours may also step at the template's corner, one moved out and the other in.
    pub sound: bool,
    /// The sides drawn, in ring order; others have been cut off by their neighbours.
    pub live: Vec<usize>,
    /// The ring without loops, when the sides allow it.
    pub stepped: Option<Stepped>,
}

/// Where side `a` at `dza` and the next side `b` at `dzb` cross, both carried on; found from their corner by Newton's method.
pub(crate) fn crossing(a: &Mover, dza: f64, b: &Mover, dzb: f64) -> Option<(f64, f64, Point)> {
    let (mut ta, mut tb) = (a.ends().1, b.ends().0);
    if a.is_plain() && b.is_plain() {
        // Two lines: one step is exact.
        let ((p, u), (q, v)) = (a.moved(ta, dza), b.moved(tb, dzb));
        let (den, gap) = (u.cross(v), q - p);
        if den.abs() <= 1e-9 * u.hypot() * v.hypot() {
            return None;
        }
        let (sa, sb) = (gap.cross(v) / den, gap.cross(u) / den);
        let at = p + u * sa;
        return at.is_finite().then_some((ta + sa, tb + sb, at));
    }
    for _ in 0..25 {
        let ((p, u), (q, v)) = (a.moved(ta, dza), b.moved(tb, dzb));
        let den = u.cross(v);
        if den.abs() <= 1e-9 * u.hypot() * v.hypot() {
            return None;
        }
        let gap = q - p;
        let (sa, sb) = (gap.cross(v) / den, gap.cross(u) / den);
        ta += sa;
        tb += sb;
        if !(ta.is_finite() && tb.is_finite()) {
            return None;
        }
        if sa.abs() * u.hypot() + sb.abs() * v.hypot() < 1e-10 {
            break;
        }
    }
    let ((p, _), (q, _)) = (a.moved(ta, dza), b.moved(tb, dzb));
    (p.distance(q) < 1e-4).then(|| (ta, tb, p.midpoint(q)))
}

/// All `sides` at `dz` mm from the template's depth, joined.
pub(crate) fn slice(sides: &[Mover], dz: f64) -> Slice {
    let mut chain = Chain::new(sides, dz);
    chain.drop_overrun();
    chain.draw()
}

/// The sides still there, in ring order, with the join after each.
struct Chain<'a> {
    sides: &'a [Mover],
    dz: f64,
    live: Vec<usize>,
    joins: Vec<(Join, Option<Notice>)>,
}

/// A side that may have to go: how much of it is left, and which look at it this was.
struct Overrun {
    left: f64,
    side: usize,
    look: u32,
}

impl PartialEq for Overrun {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other).is_eq()
    }
}

impl Eq for Overrun {}

impl PartialOrd for Overrun {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Overrun {
    /// The side with least left is greatest, so that a heap gives it first; of two the earlier.
    fn cmp(&self, other: &Self) -> Ordering {
        other.left.total_cmp(&self.left).then(other.side.cmp(&self.side))
    }
}

/// Parameters at a side's corners.
fn span(side: &Mover, before: Join, after: Join) -> (f64, f64) {
    let (mut lo, mut hi) = side.ends();
    if let Join::Cross { second, .. } = before {
        lo = second;
    }
    if let Join::Cross { first, .. } = after {
        hi = first;
    }
    (lo, hi)
}

/// Parameters left of a side between two joins; the first is not below the second when it has died.
pub(crate) fn kept(side: &Mover, before: Join, after: Join) -> (f64, f64) {
    let (mut lo, mut hi) = side.ends();
    if let Join::Cross { second, .. } = before {
        lo = lo.max(second);
    }
    if let Join::Cross { first, .. } = after {
        hi = hi.min(first);
    }
    (lo, hi)
}

/// Whether a join carries one of its sides on, past its corner, to the crossing.
fn carries(a: &Mover, b: &Mover, join: Join) -> bool {
    matches!(join, Join::Cross { first, second, .. } if first > a.ends().1 || second < b.ends().0)
}

impl<'a> Chain<'a> {
    fn new(sides: &'a [Mover], dz: f64) -> Self {
        let n = sides.len();
        let joins = (0..n).map(|i| join(&sides[i], &sides[(i + 1) % n], dz)).collect();
        Self { sides, dz, live: (0..n).collect(), joins }
    }

    /// Takes out sides that their neighbours, carried on, have cut off, the most cut off first; the neighbours then meet
    /// each other. Three stay, to enclose anything.
    fn drop_overrun(&mut self) {
        let n = self.sides.len();
        let mut next: Vec<usize> = (0..n).map(|i| (i + 1) % n).collect();
        let mut prev: Vec<usize> = (0..n).map(|i| (i + n - 1) % n).collect();
        let mut looks = vec![0_u32; n];
        let mut gone = vec![false; n];
        let mut heap = BinaryHeap::new();
        let look = |i: usize, prev: &[usize], next: &[usize], joins: &[(Join, Option<Notice>)], look: u32| {
            let (before, after) = (joins[prev[i]].0, joins[i].0);
            let (a, b, c) = (&self.sides[prev[i]], &self.sides[i], &self.sides[next[i]]);
            if !carries(a, b, before) && !carries(b, c, after) {
                return None;
            }
            let ((lo, hi), (from, to)) = (kept(b, before, after), b.ends());
            let left = (hi - lo) / (to - from);
            (left <= 0.0).then_some(Overrun { left, side: i, look })
        };
        heap.extend((0..n).filter_map(|i| look(i, &prev, &next, &self.joins, 0)));
        let mut count = n;
        while count > 3
            && let Some(worst) = heap.pop()
        {
            let k = worst.side;
            if gone[k] || worst.look != looks[k] {
                continue;
            }
            gone[k] = true;
            count -= 1;
            let (a, b) = (prev[k], next[k]);
            (next[a], prev[b]) = (b, a);
            self.joins[a] = join(&self.sides[a], &self.sides[b], self.dz);
            for i in [a, b] {
                looks[i] += 1;
                heap.extend(look(i, &prev, &next, &self.joins, looks[i]));
            }
        }
        self.live.retain(|i| !gone[*i]);
        let mut i = 0;
        self.joins.retain(|_| {
            i += 1;
            !gone[i - 1]
        });
    }

    fn draw(mut self) -> Slice {
        let n = self.live.len();
        let stepped = {
            let sides: Vec<&Mover> = self.live.iter().map(|i| &self.sides[*i]).collect();
            stepped(&sides, self.joins.iter().map(|j| &j.0), self.dz)
        };
        let side = |k: usize| &self.sides[self.live[k % n]];
        let kept: Vec<(f64, f64)> =
            (0..n).map(|k| kept(side(k), self.joins[(k + n - 1) % n].0, self.joins[k].0)).collect();
        // A side that its neighbours' overlaps have used up is settled by the winding number.
        let dead: Vec<bool> = kept.iter().map(|(a, b)| a >= b).collect();
        for k in 0..n {
            if matches!(self.joins[k].0, Join::Cross { .. })
                && (dead[k] || dead[(k + 1) % n])
                && !carries(side(k), side(k + 1), self.joins[k].0)
            {
                self.joins[k].0 = Join::Through;
            }
        }
        let mut out = Slice {
            ring: Vec::new(),
            kept: vec![(0.0, 0.0); self.sides.len()],
            spans: vec![(0.0, 0.0); self.sides.len()],
            notices: Vec::new(),
            clean: !dead.iter().any(|d| *d),
            sound: !dead.iter().any(|d| *d),
            live: Vec::new(),
            stepped,
        };
        for k in 0..n {
            let (a, b) = (&self.sides[self.live[k]], &self.sides[self.live[(k + 1) % n]]);
            out.kept[self.live[k]] = kept[k];
            out.spans[self.live[k]] = span(a, self.joins[(k + n - 1) % n].0, self.joins[k].0);
            let folded =
                emit(a, self.dz, dead[k], self.joins[(k + n - 1) % n].0, self.joins[k].0, &mut out.ring);
            let meets = match self.joins[k].0 {
                Join::Through => false,
                Join::Cross { .. } => true,
                // Square without a step.
                Join::Square => match (a.samples.last(), b.samples.first()) {
                    (Some(sa), Some(sb)) => a.spot(sa, self.dz).distance(b.spot(sb, self.dz)) < 1e-4,
                    _ => false,
                },
            };
            out.clean &= meets && !folded;
            out.sound &= (meets || is_apart(a, b, self.joins[k].0, self.dz)) && !folded;
            if self.joins[k].0 == Join::Through {
                // Back through the template's corner; two when a side between has been dropped.
                out.ring.extend(a.samples.last().map(|s| s.p));
                out.ring.extend(b.samples.first().map(|s| s.p));
            }
            out.notices.extend(self.joins[k].1.take());
        }
        out.live = self.live;
        out
    }
}

/// Whether two neighbours step at the template's corner: one has moved out (or not at all), the other in.
pub(crate) fn is_apart(a: &Mover, b: &Mover, join: Join, dz: f64) -> bool {
    match (join, a.samples.last(), b.samples.first()) {
        (Join::Through, Some(sa), Some(sb)) => {
            sa.p.distance(sb.p) < 1e-6 && a.distance(sa, dz) * b.distance(sb, dz) <= 0.0
        }
        _ => false,
    }
}

/// How the next side `b` is joined to `a`, and what to tell about it.
pub(crate) fn join(a: &Mover, b: &Mover, dz: f64) -> (Join, Option<Notice>) {
    let (Some(sa), Some(sb)) = (a.samples.last(), b.samples.first()) else { return (Join::Square, None) };
    let (qa, qb) = (a.spot(sa, dz), b.spot(sb, dz));
    if qa.distance(qb) < 1e-4 {
        return (Join::Square, None);
    }
    let farthest = RUNS_AWAY * a.distance(sa, dz).abs().max(b.distance(sb, dz).abs());
    let found = crossing(a, dz, b, dz);
    // Judged by the tangents at the corner, so that the answer is the same at every depth (without a gap); the crossing of
    // bent sides may then lie somewhat farther.
    let stays = {
        let (u, v) = (sa.n.turn_90(), sb.n.turn_90());
        let den = u.cross(v);
        den.abs() > 1e-9 && (qa + u * ((qb - qa).cross(v) / den)).distance(sa.p) <= farthest + 1e-6
    };
    let closes = |ta: f64, tb: f64| ta <= a.ends().1 && tb >= b.ends().0;
    match found {
        Some((first, second, at))
            if closes(first, second) || stays && at.distance(sa.p) <= 2.0 * farthest + 1e-6 =>
        {
            (Join::Cross { first, second, at }, None)
        }
        // Strips that part leave a wedge between them, cut square from end to end. Others step square at the corner itself.
        _ => {
            let (da, db) = (a.distance(sa, dz), b.distance(sb, dz));
            let turn = sa.n.cross(sb.n);
            let part = turn > 0.0 && da > 0.0 && db > 0.0 || turn < 0.0 && da < 0.0 && db < 0.0;
            let wide = found.is_some() || part;
            let notice = (wide && qa.distance(qb) > SMALL_STEP).then_some(Notice::CornerCutSquare {
                between: (a.id, b.id),
                at: sa.p,
                layer: None,
            });
            (if part { Join::Square } else { Join::Through }, notice)
        }
    }
}

/// One side's moved points between its joins; whether it turned over somewhere.
fn emit(side: &Mover, dz: f64, dead: bool, before: Join, after: Join, ring: &mut Vec<Point>) -> bool {
    let (from, to) = side.ends();
    let (mut lo, mut hi) = (from, to);
    if let Join::Cross { second, at, .. } = before {
        ring.push(at);
        if !dead && second > from {
            lo = second;
        } else if second < from {
            ring.extend(side.between(second, from, dz));
        }
    }
    if let Join::Cross { first, .. } = after
        && !dead
        && first < to
    {
        hi = first;
    }
    if side.is_plain() {
        let crossed = |j: Join| matches!(j, Join::Cross { .. });
        let ends = [(side.samples.first(), before), (side.samples.last(), after)];
        // An end with a crossing beyond it lies on the way there.
        let there = |s: &Sample, j: Join| s.t >= lo && s.t <= hi && (dead || !crossed(j));
        ring.extend(ends.iter().filter_map(|(s, j)| s.filter(|s| there(s, *j)).map(|s| side.spot(s, dz))));
        return false;
    }
    let mut folded = false;
    let places: Vec<(&Sample, f64)> =
        side.samples.iter().filter(|s| s.t >= lo && s.t <= hi).map(|s| (s, side.distance(s, dz))).collect();
    let folds = |i: usize| match (places.get(i), places.get(i + 1)) {
        (Some((a, da)), Some((b, db))) => ((b.p + b.n * *db) - (a.p + a.n * *da)).dot(b.p - a.p) < 0.0,
        _ => false,
    };
    let mut i = 0;
    while let Some((a, da)) = places.get(i) {
        ring.push(a.p + a.n * *da);
        let mut k = i;
        // Moved past its centre of curvature the side runs backwards there: its strip is laid flat instead.
        while folds(k) && (k == i || places.get(k + 1).is_some_and(|(b, _)| a.n.dot(b.n) > FLAT_TURN)) {
            k += 1;
        }
        folded |= k > i;
        if k > i
            && let Some((b, db)) = places.get(k)
        {
            let along = b.p - a.p;
            let flat = Vec2::new(along.y, -along.x) / along.hypot().max(1e-300);
            ring.extend([a.p, a.p + flat * *da, b.p + flat * *db, b.p]);
        }
        i = k.max(i + 1);
    }
    if let Join::Cross { first, .. } = after
        && first > to
    {
        ring.extend(side.between(to, first, dz));
    }
    folded
}
