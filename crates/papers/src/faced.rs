//! Both faces of a piece side by side: which stretch of the one lies over which of the other.
//!
//! The faces of a bevelled piece are joined by straight lines through the foam. Between two corners that lie over one another
//! the line through the same share of both lengths is one of them: exactly on a flat edge and on a round one, and within a few
//! hundredths of a millimetre where a bevel changes slowly.

use coldwright_geometry::{BevelMark, Layer, Ring};
use kurbo::{Point, Vec2};

use crate::room::thin;
use crate::stations::Station;

/// How closely the faces are followed, mm.
const CLOSE_MM: f64 = 0.003;
/// A line that turns less than this at a point has no corner there, radians.
const TURN: f64 = 0.05;
/// A turn as sharp as this is always a corner, radians.
const SHARP: f64 = 0.5;
/// A softer turn is a corner where it is so many times what the line turns beside it, within so far, mm: a round edge is many
/// small turns.
const STANDS_OUT: f64 = 2.5;
const BESIDE_MM: f64 = 15.0;
/// A mark so near to a side lies on it, mm.
const ON_MM: f64 = 0.2;
/// Farthest one face's side is looked for from the other's, in thicknesses: beyond 75° there is no bevel.
const REACH: f64 = 3.8;

/// One side of a piece on both faces, each from its start to its end round the piece.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Faced {
    /// The marks on it in their order along it, each with its share of the hull face's length; none at a seam.
    pub(crate) marks: Vec<(f64, BevelMark)>,
    hull: Vec<Point>,
    boxed: Vec<Point>,
    thickness: f64,
}

/// The sides of a piece, and whether they make up both faces' lines.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Sides {
    /// In the order of the box face's line.
    pub(crate) all: Vec<Faced>,
    /// No side of either face is without its other.
    pub(crate) closed: bool,
}

/// The sides of the rings of a piece.
pub(crate) fn sides(foam: &Layer) -> Vec<Sides> {
    let inner: Vec<&Ring> = foam.inner.rings.iter().collect();
    let boxed: Vec<Vec<Point>> = inner.iter().map(|ring| thin(&ring.outer, CLOSE_MM)).collect();
    let pair = |hull: &Ring| {
        let hull = thin(&hull.outer, CLOSE_MM);
        let middle = Ring { outer: hull.clone(), holes: Vec::new() }.bounds().center();
        let far = |ring: &&Vec<Point>| {
            let of = Ring { outer: (*ring).clone(), holes: Vec::new() };
            if of.contains(middle) { 0.0 } else { of.distance_to_boundary(middle) }
        };
        let boxed = boxed.iter().min_by(|a, b| far(a).total_cmp(&far(b)))?;
        Some(of_rings(foam, &hull, boxed))
    };
    foam.outer.rings.iter().filter_map(pair).collect()
}

fn of_rings(foam: &Layer, hull: &[Point], boxed: &[Point]) -> Sides {
    let thickness = foam.to - foam.from;
    let mut at = (corners(hull), corners(boxed));
    if let ((true, true), Some(start)) = ((at.0.is_empty(), at.1.is_empty()), hull.first()) {
        // All round: the line begins anywhere, on both at the same place.
        let near = |i: &usize| boxed[*i].distance_squared(*start);
        let over = (0..boxed.len()).min_by(|i, j| near(i).total_cmp(&near(j)));
        at = (vec![0], over.into_iter().collect());
    }
    // A soft corner that only one face shows is none.
    while at.0.len() != at.1.len() {
        let (more, ring) = if at.0.len() > at.1.len() { (&mut at.0, hull) } else { (&mut at.1, boxed) };
        let softest = (0..more.len()).min_by(|i, j| turn(ring, more[*i]).total_cmp(&turn(ring, more[*j])));
        match softest.filter(|i| turn(ring, more[*i]) < SHARP && more.len() > 2) {
            Some(i) => drop(more.remove(i)),
            None => break,
        }
    }
    let (hulls, boxes) = (stretches(hull, &at.0), stretches(boxed, &at.1));
    let over = |side: &[Point]| {
        let (p, way) = along(side, 0.5)?;
        let outward = Vec2::new(way.y, -way.x);
        let reach = |other: &[Point]| {
            let facing = other.windows(2).filter(|pair| looks(pair[0], pair[1], outward));
            facing.filter_map(|pair| Some(out_to(p, outward, pair[0], pair[1])?.abs())).min_by(f64::total_cmp)
        };
        let found = boxes.iter().enumerate().filter_map(|(i, other)| Some((reach(other)?, i)));
        found.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|(far, _)| *far < REACH * thickness).map(|(_, i)| i)
    };
    let matched: Vec<Option<usize>> = hulls.iter().map(|side| over(side)).collect();
    let count = boxes.len();
    // Each box side once, in the same order round.
    let first = matched.first().copied().flatten();
    let closed = hulls.len() == count
        && first.is_some_and(|first| (0..count).all(|i| matched[i] == Some((first + i) % count)));
    let mut all: Vec<(usize, Faced)> = Vec::new();
    for (hull, over) in hulls.into_iter().zip(&matched) {
        let Some(over) = *over else { continue };
        let marks = marks(foam, &hull);
        all.push((over, Faced { marks, hull, boxed: boxes[over].clone(), thickness }));
    }
    all.sort_by_key(|(over, _)| *over);
    Sides { all: all.into_iter().map(|(_, side)| side).collect(), closed }
}

/// The marks that lie on a side of the hull face, in their order along it.
fn marks(foam: &Layer, hull: &[Point]) -> Vec<(f64, BevelMark)> {
    let place = |p: Point| nearest(hull, p).filter(|(off, _)| *off < ON_MM).map(|(_, share)| share);
    let on = foam.bevels.iter().filter_map(|mark| Some((place(mark.at)?, *mark)));
    // A mark in a corner lies on both its sides; it looks the way of its own.
    let own = |(share, mark): &(f64, BevelMark)| {
        along(hull, *share).is_some_and(|(_, way)| Vec2::new(way.y, -way.x).dot(mark.outward) > 0.9)
    };
    let mut found: Vec<(f64, BevelMark)> = on.filter(own).collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0));
    found
}

impl Faced {
    /// The stretches of an edge on it, as shares of the hull face's length: between two edges' marks, half-way.
    pub(crate) fn of_edge(&self, edge: u32) -> impl Iterator<Item = (f64, f64)> {
        let runs = self.marks.chunk_by(|a, b| a.1.edge == b.1.edge).collect::<Vec<_>>();
        let ends = |run: &[(f64, BevelMark)]| Some((run.first()?.0, run.last()?.0));
        let half = |i: usize| Some(f64::midpoint(ends(runs.get(i)?)?.1, ends(runs.get(i + 1)?)?.0));
        let one = |i: usize| (i.checked_sub(1).and_then(half).unwrap_or(0.0), half(i).unwrap_or(1.0));
        let own = |run: &[(f64, BevelMark)]| run.first().is_some_and(|(_, mark)| mark.edge == edge);
        let found: Vec<_> = (0..runs.len()).filter(|i| own(runs[*i])).map(one).collect();
        found.into_iter()
    }

    /// The line through the foam at a share of the side's length, from its start.
    pub(crate) fn line(&self, share: f64) -> Option<Station> {
        let ((hull, way), (inner, _)) = (along(&self.hull, share)?, along(&self.boxed, share)?);
        let outward = Vec2::new(way.y, -way.x);
        let angle = ((inner - hull).dot(outward) / self.thickness).atan();
        Some(Station { hull, inner, outward, angle })
    }

    /// The same square to the hull face's line: where a saw's table is set.
    pub(crate) fn square(&self, share: f64) -> Option<Station> {
        let (hull, way) = along(&self.hull, share)?;
        let outward = Vec2::new(way.y, -way.x);
        let out = self.boxed.windows(2).filter_map(|pair| out_to(hull, outward, pair[0], pair[1]));
        let out = out.min_by(|a, b| a.abs().total_cmp(&b.abs()))?;
        let angle = (out / self.thickness).atan();
        Some(Station { hull, inner: hull + outward * out, outward, angle })
    }

    /// Whether a point lies on an edge's stretch of it, no farther than so many mm from either face's line.
    pub(crate) fn lies_on(&self, edge: u32, p: Point, near: f64) -> bool {
        let on = |line: &[Point]| {
            let (off, share) = nearest(line, p)?;
            (off <= near).then_some(share)
        };
        let shares = [on(&self.hull), on(&self.boxed)];
        self.of_edge(edge).any(|(from, to)| shares.iter().flatten().any(|share| (from..=to).contains(share)))
    }

    /// The longer of both faces' lengths, mm.
    pub(crate) fn length(&self) -> f64 {
        length(&self.hull).max(length(&self.boxed))
    }
}

/// How far out from `p`, mm, the line through it along `outward` meets the stretch from `a` to `b`.
pub(crate) fn out_to(p: Point, outward: Vec2, a: Point, b: Point) -> Option<f64> {
    let (s, e) = (outward.cross(a - p), outward.cross(b - p));
    ((s > 0.0) != (e > 0.0)).then(|| (a.lerp(b, s / (s - e)) - p).dot(outward))
}

/// Whether a stretch of a ring that runs counter-clockwise, its outside on the right, looks within 60° of a direction.
pub(crate) fn looks(a: Point, b: Point, outward: Vec2) -> bool {
    let d = b - a;
    Vec2::new(d.y, -d.x).dot(outward) >= 0.5 * d.hypot()
}

/// Places of a ring's corners.
fn corners(ring: &[Point]) -> Vec<usize> {
    let count = ring.len();
    let turns: Vec<f64> = (0..count).map(|i| turn(ring, i)).collect();
    let beside = |i: usize, step: usize| {
        let (mut at, mut gone, mut most) = (i, 0.0, 0.0_f64);
        for _ in 1..count {
            let next = (at + step) % count;
            gone += ring[at].distance(ring[next]);
            if gone > BESIDE_MM || next == i {
                break;
            }
            most = most.max(turns[next]);
            at = next;
        }
        most
    };
    let is = |i: &usize| {
        let own = turns[*i];
        own > SHARP || own > TURN && own > STANDS_OUT * beside(*i, 1).max(beside(*i, count - 1))
    };
    (0..count).filter(is).collect()
}

/// How far a ring turns at a point, either way, radians.
fn turn(ring: &[Point], i: usize) -> f64 {
    let count = ring.len();
    let (a, b) = (ring[i] - ring[(i + count - 1) % count], ring[(i + 1) % count] - ring[i]);
    a.cross(b).atan2(a.dot(b)).abs()
}

/// A ring parted at its corners.
fn stretches(ring: &[Point], corners: &[usize]) -> Vec<Vec<Point>> {
    let count = ring.len();
    let next = corners.iter().cycle().skip(1);
    let one = |(from, to): (&usize, &usize)| {
        let steps = (to + count - from - 1) % count + 1;
        (0..=steps).map(|i| ring[(from + i) % count]).collect()
    };
    corners.iter().zip(next).map(one).collect()
}

/// How far a point is from an open line, mm, and the share of the length where it is nearest.
fn nearest(line: &[Point], p: Point) -> Option<(f64, f64)> {
    let mut before = 0.0;
    let mut best: Option<(f64, f64)> = None;
    for pair in line.windows(2) {
        let d = pair[1] - pair[0];
        let long = d.hypot();
        let t = if long > 0.0 { ((p - pair[0]).dot(d) / (long * long)).clamp(0.0, 1.0) } else { 0.0 };
        let off = (pair[0] + d * t).distance(p);
        if best.is_none_or(|(least, _)| off < least) {
            best = Some((off, before + t * long));
        }
        before += long;
    }
    best.map(|(off, along)| (off, along / before.max(1e-9)))
}

fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|pair| pair[0].distance(pair[1])).sum()
}

/// The point at a share of an open line's length, and the direction there, of length 1.
fn along(line: &[Point], share: f64) -> Option<(Point, Vec2)> {
    let mut rest = share.clamp(0.0, 1.0) * length(line);
    let mut found = None;
    for pair in line.windows(2) {
        let long = pair[0].distance(pair[1]);
        if long <= 0.0 {
            continue;
        }
        let way = (pair[1] - pair[0]) / long;
        found = Some((pair[0] + way * rest.min(long), way));
        if rest <= long {
            break;
        }
        rest -= long;
    }
    found
}
