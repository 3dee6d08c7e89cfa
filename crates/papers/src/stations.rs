//! Places along an edge where its bevel is told: one for a constant bevel, numbered stations for a changing one.

use coldwright_geometry::{BevelMark, Layer, Ring, Side};
use kurbo::{ParamCurve, ParamCurveArclen, ParamCurveDeriv, PathSeg, Point, Vec2};

/// Stations of a changing bevel are no farther apart than this, mm: a saw is set anew every hand's breadth and a half.
const FARTHEST_MM: f64 = 160.0;
/// Stations closer than this have no room for their words, mm.
const NEAREST_MM: f64 = 45.0;
/// A station whose place is farther from the hull face's line than this was cut away at a corner, mm.
const OFF_LINE_MM: f64 = 0.2;
/// Bevels on one edge that differ less than this are one bevel, radians (0.1°, what a saw's scale shows).
const SAME: f64 = 0.1 * std::f64::consts::PI / 180.0;
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
    fn of(mark: &BevelMark, foam: &Layer) -> Station {
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

/// Whether the bevel changes along an edge by more than a saw's scale shows.
pub(crate) fn varies(side: &Side) -> bool {
    let stations = side.edge.bevel.stations();
    stations.iter().any(|s| (s.angle - stations[0].angle).abs() > SAME)
}

/// The stations of an edge of a layer, in ring order. `template_depth` is the depth of the template in the wall, mm. Empty when
/// nothing is left of the edge.
///
/// An edge at depth z stands (z − template depth)·tan(bevel) − gap farther out than the template, along its normal.
pub(crate) fn stations(side: &Side, foam: &Layer, template_depth: f64) -> Vec<Station> {
    let told: Vec<Station> =
        foam.bevels.iter().filter(|m| m.edge == side.edge.id).map(|m| Station::of(m, foam)).collect();
    if !varies(side) {
        return told;
    }
    let place = |fraction: f64| {
        let (p, outward) = at_fraction(side, fraction)?;
        let angle = side.edge.bevel.at(fraction);
        let moved = |depth: f64| p + outward * ((depth - template_depth) * angle.tan() - side.edge.gap);
        let station = Station { hull: moved(foam.from), inner: moved(foam.to), outward, angle };
        on_line(&foam.outer.rings, station.hull).then_some(station)
    };
    let mut found: Vec<Station> = Vec::new();
    for fraction in fractions(side) {
        // Near a corner the edge may be cut shorter: the last place still on it stands for its end.
        let nudges = (0..=12).map(|i| f64::from(i) * 0.01);
        let nudged = nudges.map(|by| if fraction < 0.5 { fraction + by } else { fraction - by });
        let ends = fraction <= 0.0 || fraction >= 1.0;
        let Some(station) = nudged.take(if ends { 13 } else { 1 }).find_map(place) else { continue };
        let near = |other: &Station| other.farther_in().distance(station.farther_in()) < NEAREST_MM;
        if fraction >= 1.0 && found.len() > 1 && found.last().is_some_and(near) {
            found.pop();
        }
        if !found.last().is_some_and(near) {
            found.push(station);
        }
    }
    if found.is_empty() { told } else { found }
}

/// Fractions of the length: both ends, where the bevel was read, and so many between that none is too far from the next.
fn fractions(side: &Side) -> Vec<f64> {
    let mut all: Vec<f64> = side.edge.bevel.stations().iter().map(|s| s.at).chain([0.0, 1.0]).collect();
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() * side.length < 1.0);
    let mut out = Vec::new();
    for pair in all.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let parts = ((to - from) * side.length / FARTHEST_MM).ceil().clamp(1.0, 100.0) as u32;
        out.extend((0..parts).map(|i| from + (to - from) * f64::from(i) / f64::from(parts)));
    }
    out.extend(all.last());
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

fn on_line(rings: &[Ring], p: Point) -> bool {
    rings.iter().any(|ring| ring.distance_to_boundary(p) <= OFF_LINE_MM)
}
