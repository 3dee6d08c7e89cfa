//! Places along an edge where its bevel is told: one for a constant bevel, numbered stations for a changing one.

use coldwright_geometry::{BevelMark, Layer, Side};
use kurbo::{ParamCurve, ParamCurveArclen, ParamCurveDeriv, PathSeg, Point, Vec2};

use crate::faced::{Faced, Sides};

/// Stations of a changing bevel are no farther apart than this, mm: a saw is set anew every hand's breadth and a half.
const FARTHEST_MM: f64 = 160.0;
/// Stations closer than this have no room for their words, mm.
const NEAREST_MM: f64 = 45.0;
/// Bevels on one edge that differ less than this are one bevel, radians (0.2°): nobody sets a saw's table finer than half of
/// that either way.
const SAME: f64 = 0.2 * std::f64::consts::PI / 180.0;
/// Accuracy of lengths along a curve, mm.
const ALONG_MM: f64 = 0.001;

/// One place on an edge of a layer.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Station {
    /// On the hull face's line.
    pub(crate) hull: Point,
    /// On the box face's line.
    pub(crate) inner: Point,
    /// Outward direction there, of length 1.
    pub(crate) outward: Vec2,
    /// The bevel, radians, open positive.
    pub(crate) angle: f64,
}

impl Station {
    pub(crate) fn of(mark: &BevelMark, foam: &Layer) -> Station {
        let reach = (foam.to - foam.from) * mark.angle.tan();
        Station {
            hull: mark.at,
            inner: mark.at + mark.outward * reach,
            outward: mark.outward,
            angle: mark.angle,
        }
    }

    /// The same, mirrored left to right.
    pub(crate) fn mirrored(self) -> Station {
        let flip = |p: Point| Point::new(-p.x, p.y);
        let outward = Vec2::new(-self.outward.x, self.outward.y);
        Station { hull: flip(self.hull), inner: flip(self.inner), outward, ..self }
    }

    /// The one of both faces' places that lies farther in.
    pub(crate) fn farther_in(&self) -> Point {
        if self.angle < 0.0 { self.inner } else { self.hull }
    }

    /// The one of both faces' places that lies farther out.
    pub(crate) fn farther_out(&self) -> Point {
        if self.angle < 0.0 { self.hull } else { self.inner }
    }
}

/// The stations of one edge of a piece.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Told {
    /// In ring order; none when nothing is left of the edge.
    pub(crate) stations: Vec<Station>,
    /// Whether the bevel changes along it by more than a saw's scale shows.
    pub(crate) varies: bool,
}

/// The stations of an edge of a piece, `faces` being its sides. A bevel is told where both its faces show it to change; else as
/// it is marked.
pub(crate) fn stations(edge: u32, foam: &Layer, faces: &[Sides]) -> Told {
    let mut seen: Vec<Station> = Vec::new();
    for side in faces.iter().flat_map(|faces| &faces.all) {
        for stretch in side.of_edge(edge) {
            along(side, edge, stretch, &mut seen);
        }
    }
    let marked: Vec<Station> =
        foam.bevels.iter().filter(|m| m.edge == edge).map(|m| Station::of(m, foam)).collect();
    let spread = |all: &[Station]| {
        let angles = || all.iter().map(|s| s.angle);
        angles().fold(f64::NEG_INFINITY, f64::max) - angles().fold(f64::INFINITY, f64::min)
    };
    if seen.len() > 1 && spread(&seen) > SAME {
        Told { stations: seen, varies: true }
    } else if seen.is_empty() {
        Told { varies: spread(&marked) > SAME, stations: marked }
    } else {
        let middle = seen.swap_remove(seen.len() / 2);
        let one = marked.iter().any(|mark| (mark.angle - middle.angle).abs() < SAME);
        Told { stations: if one { marked } else { vec![middle] }, varies: false }
    }
}

/// Adds the stations of a stretch of a side: both ends, the edge's marks, and so many between that none is too far from the
/// next.
fn along(side: &Faced, edge: u32, (from, to): (f64, f64), found: &mut Vec<Station>) {
    let first = found.len();
    let near = |a: &Station, b: &Station| a.farther_in().distance(b.farther_in()) < NEAREST_MM;
    let marks = || side.marks.iter().filter(move |(_, mark)| mark.edge == edge);
    // What was typed is told as it was typed, where it was.
    let marked = |share: f64, station: Station| {
        let close = marks().filter(|(at, mark)| {
            (at - share).abs() * side.length() < NEAREST_MM && (mark.angle - station.angle).abs() < SAME
        });
        let nearest = close.min_by(|a, b| (a.0 - share).abs().total_cmp(&(b.0 - share).abs()));
        Station { angle: nearest.map_or(station.angle, |(_, mark)| mark.angle), ..station }
    };
    for share in shares(marks().map(|(at, _)| *at), (from, to), side.length()) {
        // Near a corner one face may end sooner: the last place that both have stands for the end.
        let ends = share <= from || share >= to;
        let nudges = (0..=12).map(|n| (to - from) * 0.01 * f64::from(n));
        let mut nudged = nudges.map(|by| if share > from { share - by } else { share + by });
        let at = |share: f64| side.square(share).map(|station| marked(share, station));
        let Some(station) = nudged.by_ref().take(if ends { 13 } else { 1 }).find_map(at) else { continue };
        if share >= to && found.len() > first + 1 && found.last().is_some_and(|last| near(last, &station)) {
            found.pop();
        }
        if !found[first..].last().is_some_and(|last| near(last, &station)) {
            found.push(station);
        }
    }
}

/// Both ends, the marks between them, and even steps between these, so that none is too far from the next.
fn shares(marks: impl Iterator<Item = f64>, (from, to): (f64, f64), length: f64) -> Vec<f64> {
    let mut all: Vec<f64> = marks.filter(|at| (from..=to).contains(at)).chain([from, to]).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() * length < 1.0);
    let mut out = Vec::new();
    for pair in all.windows(2) {
        let parts = ((pair[1] - pair[0]) * length / FARTHEST_MM).ceil().clamp(1.0, 100.0) as u32;
        out.extend((0..parts).map(|i| pair[0] + (pair[1] - pair[0]) * f64::from(i) / f64::from(parts)));
    }
    out.push(to);
    out
}

/// Place and outward direction at a fraction of a side's length; outward is to the right of a counter-clockwise ring.
pub(crate) fn at_fraction(side: &Side, fraction: f64) -> Option<(Point, Vec2)> {
    let segments: Vec<PathSeg> = side.path.segments().collect();
    let lengths: Vec<f64> = segments.iter().map(|s| s.arclen(ALONG_MM)).collect();
    let mut rest = fraction.clamp(0.0, 1.0) * lengths.iter().sum::<f64>();
    let last = segments.len().checked_sub(1)?;
    for (i, (segment, length)) in segments.iter().zip(&lengths).enumerate() {
        if rest > *length && i < last {
            rest -= length;
            continue;
        }
        let t = segment.inv_arclen(rest.min(*length), ALONG_MM);
        let way = match segment {
            PathSeg::Line(s) => s.deriv().eval(t).to_vec2(),
            PathSeg::Quad(s) => s.deriv().eval(t).to_vec2(),
            PathSeg::Cubic(s) => s.deriv().eval(t).to_vec2(),
        };
        let way = if way.hypot() > 0.0 { way.normalize() } else { return None };
        return Some((segment.eval(t), Vec2::new(way.y, -way.x)));
    }
    None
}
