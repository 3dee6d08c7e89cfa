//! All sides moved to one depth and joined at the corners.
//!
//! Every side sweeps a strip; strips moved inward take away, strips moved outward add. The ring drawn here runs along the
//! moved sides and through corners such that its winding number is 1 inside the outline, less the inward strips, plus the
//! outward ones; where it is positive there is foam (X. Chen, S. McMains, Polygon offsetting by computing winding numbers,
//! ASME IDETC 2005, for one distance; the counting of strips carries it over to a distance per side).

use kurbo::{Point, Vec2};

use crate::Notice;
use crate::moved::{Mover, Sample};

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
    pub notices: Vec<Notice>,
}

/// Where side `a` at `dza` and the next side `b` at `dzb` cross, both carried on; found from their corner by Newton's method.
pub(crate) fn crossing(a: &Mover, dza: f64, b: &Mover, dzb: f64) -> Option<(f64, f64, Point)> {
    let (mut ta, mut tb) = (a.ends().1, b.ends().0);
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
    // Each round drops one side; three must stay to enclose anything.
    while chain.live.len() > 3 && chain.drop_overrun() {}
    chain.draw()
}

/// The sides still there, in ring order, with the join after each.
struct Chain<'a> {
    sides: &'a [Mover],
    dz: f64,
    live: Vec<usize>,
    joins: Vec<(Join, Option<Notice>)>,
}

impl<'a> Chain<'a> {
    fn new(sides: &'a [Mover], dz: f64) -> Self {
        let n = sides.len();
        let joins = (0..n).map(|i| join(&sides[i], &sides[(i + 1) % n], dz)).collect();
        Self { sides, dz, live: (0..n).collect(), joins }
    }

    /// Parameters left of the k-th live side; the first is not below the second when it has died.
    fn kept(&self, k: usize) -> (f64, f64) {
        let n = self.live.len();
        let (mut lo, mut hi) = self.sides[self.live[k]].ends();
        if let Join::Cross { second, .. } = self.joins[(k + n - 1) % n].0 {
            lo = lo.max(second);
        }
        if let Join::Cross { first, .. } = self.joins[k].0 {
            hi = hi.min(first);
        }
        (lo, hi)
    }

    /// Whether the join after the k-th side carries a side on, past its corner, to the crossing.
    fn carries(&self, k: usize) -> bool {
        let (a, b) = (&self.sides[self.live[k]], &self.sides[self.live[(k + 1) % self.live.len()]]);
        matches!(self.joins[k].0, Join::Cross { first, second, .. } if first > a.ends().1 || second < b.ends().0)
    }

    /// Takes out the side that its neighbours, carried on, have cut off most; they then meet each other.
    fn drop_overrun(&mut self) -> bool {
        let n = self.live.len();
        let worst = (0..n)
            .filter(|k| self.carries(*k) || self.carries((k + n - 1) % n))
            .map(|k| {
                let ((lo, hi), (from, to)) = (self.kept(k), self.sides[self.live[k]].ends());
                (k, (hi - lo) / (to - from))
            })
            .filter(|(_, left)| *left <= 0.0)
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let Some((k, _)) = worst else { return false };
        self.live.remove(k);
        self.joins.remove(k);
        let before = (k + n - 2) % (n - 1);
        let (a, b) = (self.live[before], self.live[(before + 1) % (n - 1)]);
        self.joins[before] = join(&self.sides[a], &self.sides[b], self.dz);
        true
    }

    fn draw(mut self) -> Slice {
        let n = self.live.len();
        let kept: Vec<(f64, f64)> = (0..n).map(|k| self.kept(k)).collect();
        // A side that its neighbours' overlaps have used up is settled by the winding number.
        let dead: Vec<bool> = kept.iter().map(|(a, b)| a >= b).collect();
        for k in 0..n {
            if matches!(self.joins[k].0, Join::Cross { .. })
                && (dead[k] || dead[(k + 1) % n])
                && !self.carries(k)
            {
                self.joins[k].0 = Join::Through;
            }
        }
        let mut out =
            Slice { ring: Vec::new(), kept: vec![(0.0, 0.0); self.sides.len()], notices: Vec::new() };
        for k in 0..n {
            let (a, b) = (&self.sides[self.live[k]], &self.sides[self.live[(k + 1) % n]]);
            out.kept[self.live[k]] = kept[k];
            emit(a, self.dz, dead[k], self.joins[(k + n - 1) % n].0, self.joins[k].0, &mut out.ring);
            if self.joins[k].0 == Join::Through {
                // Back through the template's corner; two when a side between has been dropped.
                out.ring.extend(a.samples.last().map(|s| s.p));
                out.ring.extend(b.samples.first().map(|s| s.p));
            }
            out.notices.extend(self.joins[k].1.take());
        }
        out
    }
}

fn join(a: &Mover, b: &Mover, dz: f64) -> (Join, Option<Notice>) {
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

/// One side's moved points between its joins.
fn emit(side: &Mover, dz: f64, dead: bool, before: Join, after: Join, ring: &mut Vec<Point>) {
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
}
