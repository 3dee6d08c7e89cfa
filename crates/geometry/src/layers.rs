//! The layers of a wall: both faces, square cuts, bevels and what they leave.

use kurbo::Point;

use crate::loft::{Cut, Loft};
use crate::regions::{common, either, tidy, without};
use crate::slice::crossing;
use crate::{BevelMark, GeometryError, Layer, LayerSet, Notice, Proud, Ring, Section, WallShape};

/// Depths at which a slab is cut for its square cuts when its sides do not all lean one way, both faces included.
///
/// What corners do between them is taken up by [`teeth`], exactly for straight sides and to the square of this number for
/// bent ones.
const DEPTHS: u32 = 9;

/// All layers of a wall, outermost first.
///
/// # Errors
/// [`GeometryError`] naming the layer and, when nothing is left of it, the depth.
pub fn layers(wall: &WallShape) -> Result<LayerSet, GeometryError> {
    if wall.thicknesses.is_empty() {
        return Err(GeometryError::NoLayers);
    }
    for (i, mm) in wall.thicknesses.iter().enumerate() {
        if !mm.is_finite() || *mm <= 0.0 || *mm > 1000.0 {
            return Err(GeometryError::NegativeThickness { layer: i + 1, mm: *mm });
        }
    }
    let loft = Loft::new(wall, 0.0, wall.thickness())?;
    let mut out = Vec::with_capacity(wall.thicknesses.len());
    let mut notices = Vec::new();
    let mut from = 0.0;
    let mut outer = face(&loft, 0.0, 1)?;
    for (i, thickness) in wall.thicknesses.iter().enumerate() {
        let (number, to) = (i + 1, from + thickness);
        let inner = face(&loft, to, number)?;
        for n in outer.notices.iter().chain(&inner.notices) {
            tell(&mut notices, n.clone().on_layer(number));
        }
        out.push(layer(&loft, number, (from, &outer), (to, &inner)));
        (from, outer) = (to, inner);
    }
    Ok(LayerSet { layers: out, notices })
}

fn face(loft: &Loft, z: f64, layer: usize) -> Result<Cut, GeometryError> {
    let cut = loft.cut(z);
    if cut.rings.is_empty() { Err(GeometryError::EmptyAtDepth { layer, depth: z }) } else { Ok(cut) }
}

/// Each matter once, on the first layer that shows it.
fn tell(all: &mut Vec<Notice>, new: Notice) {
    let same = |old: &Notice| match (old, &new) {
        (Notice::CornerCutSquare { between: a, .. }, Notice::CornerCutSquare { between: b, .. }) => a == b,
        (Notice::EdgeVanished { edge: a, .. }, Notice::EdgeVanished { edge: b, .. }) => a == b,
        (Notice::NarrowNeckLost { parts: a, .. }, Notice::NarrowNeckLost { parts: b, .. }) => a == b,
        (a, b) => a == b,
    };
    if !all.iter().any(same) {
        all.push(new);
    }
}

fn layer(loft: &Loft, number: usize, outer: (f64, &Cut), inner: (f64, &Cut)) -> Layer {
    let ((from, a), (to, b)) = (outer, inner);
    let (fits, fills) = square_cuts(loft, outer, inner);
    let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
    let (area_outer, area_inner) = (area(&a.rings), area(&b.rings));
    let volume = volume(&|z| area(&loft.region(z)), (from, area_outer), (to, area_inner));
    let thickness = to - from;
    let (largest_gap, largest_gap_at) = largest_gap(loft, outer, inner);
    let alive = |i: usize| a.kept[i].is_some() || b.kept[i].is_some();
    let steepest = loft
        .sides
        .iter()
        .enumerate()
        .filter(|(i, _)| alive(*i))
        .map(|(_, s)| s.bevel().steepest().abs())
        .fold(0.0, f64::max);
    Layer {
        number,
        from,
        to,
        outer: Section { rings: a.rings.clone(), notices: a.notices.clone() },
        inner: Section { rings: b.rings.clone(), notices: b.notices.clone() },
        bevels: marks(loft, from, a),
        area_outer,
        area_inner,
        volume,
        wedge: (volume - area(&fits) * thickness).max(0.0),
        excess: (area(&fills) * thickness - volume).max(0.0),
        fits,
        fills,
        largest_gap,
        largest_gap_at,
        steepest_bevel: steepest,
        tightest_inside_radius: tightest(loft, outer, inner),
    }
}

/// The part common to all depths, and everything any depth needs.
fn square_cuts(loft: &Loft, (from, a): (f64, &Cut), (to, b): (f64, &Cut)) -> (Vec<Ring>, Vec<Ring>) {
    let tans = || loft.sides.iter().flat_map(|s| s.samples.iter().map(|s| s.tan));
    // All sides lean one way: the faces lie one inside the other, and every depth between them. Where a side dies on the
    // way, and the corner that is left is cut square, that may fail by a little, so it is looked at.
    let nested = |x: &Cut, y: &Cut| {
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        area(&without(&x.rings, &y.rings)) <= 1e-9 * area(&x.rings)
    };
    if tans().all(|t| t >= 0.0) && nested(a, b) {
        return (a.rings.clone(), b.rings.clone());
    }
    if tans().all(|t| t <= 0.0) && nested(b, a) {
        return (b.rings.clone(), a.rings.clone());
    }
    let depths: Vec<f64> =
        (0..DEPTHS).map(|k| from + (to - from) * f64::from(k) / f64::from(DEPTHS - 1)).collect();
    let (mut fits, mut fills) = (a.rings.clone(), a.rings.clone());
    // While every side is there and no corner is cut square, each place of a side moves steadily from face to face, and only
    // corners can stand out between: the faces and the corners' paths are enough.
    let steady = a.notices.is_empty() && b.notices.is_empty();
    for (k, z) in depths.iter().enumerate().skip(if steady { depths.len() - 1 } else { 1 }) {
        let region = if k + 1 == depths.len() { b.rings.clone() } else { loft.region(*z) };
        fits = common(&fits, &region);
        fills = either(&fills, &region);
    }
    let (cut, added) = teeth(loft, &depths);
    (tidy(without(&fits, &cut)), tidy(either(&fills, &added)))
}

/// What the corners of two sides leaning opposite ways do between the depths looked at: a part to take off the common part
/// at each reflex corner, and one to add to the whole at each corner that points out.
///
/// Such a corner wanders from depth to depth; for straight sides along a straight line. Cuts at single depths leave steps
/// along that line, between it and the crossing of the two sides each at the face where it stands farther out (reflex) or
/// farther in (pointing out). The part is drawn a little past that crossing, so that no edge of it runs along another.
fn teeth(loft: &Loft, depths: &[f64]) -> (Vec<Ring>, Vec<Ring>) {
    let (mut cut, mut added) = (Vec::new(), Vec::new());
    let (Some(z1), Some(z2)) = (depths.first(), depths.last()) else { return (cut, added) };
    let (d1, d2) = (loft.dz(*z1), loft.dz(*z2));
    let n = loft.sides.len();
    for i in 0..n {
        let (a, b) = (&loft.sides[i], &loft.sides[(i + 1) % n]);
        let (Some(sa), Some(sb)) = (a.samples.last(), b.samples.first()) else { continue };
        if sa.tan * sb.tan >= 0.0 {
            continue;
        }
        let reflex = sa.n.cross(sb.n) < 0.0;
        let near = |dza: f64, dzb: f64| {
            let (_, _, at) = crossing(a, dza, b, dzb)?;
            let moved = a.distance(sa, dza).abs().max(b.distance(sb, dzb).abs());
            (at.distance(sa.p) <= 3.0 * moved + 1e-6).then_some(at)
        };
        // An open side stands farther out at the inner face.
        let (da, db) = if (sa.tan > 0.0) == reflex { (d2, d1) } else { (d1, d2) };
        let path: Option<Vec<Point>> = depths.iter().map(|z| near(loft.dz(*z), loft.dz(*z))).collect();
        let (Some(mut outer), Some(q)) = (path, near(da, db)) else { continue };
        if let (Some(p), Some(r)) = (outer.first(), outer.last()) {
            outer.push(q + (q - p.midpoint(*r)) * 0.05);
        }
        if crate::section::signed_area(&outer) < 0.0 {
            outer.reverse();
        }
        let part = Ring { outer, holes: Vec::new() };
        if reflex { cut.push(part) } else { added.push(part) }
    }
    (cut, added)
}

/// Integral of the area over the depth: Simpson's rule, halved until two rounds agree to 1 in 10⁷.
///
/// Exact at once for plane sides, whose area is a parabola over the depth.
fn volume(area: &dyn Fn(f64) -> f64, a: (f64, f64), b: (f64, f64)) -> f64 {
    let m = middle(area, a, b);
    halves(area, a, m, b, simpson(a, m, b), 8)
}

fn middle(area: &dyn Fn(f64) -> f64, a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let z = 0.5 * (a.0 + b.0);
    (z, area(z))
}

fn simpson(a: (f64, f64), m: (f64, f64), b: (f64, f64)) -> f64 {
    (b.0 - a.0) / 6.0 * (a.1 + 4.0 * m.1 + b.1)
}

type Spot = (f64, f64);

fn halves(area: &dyn Fn(f64) -> f64, a: Spot, m: Spot, b: Spot, whole: f64, left: u32) -> f64 {
    let (p, q) = (middle(area, a, m), middle(area, m, b));
    let (first, second) = (simpson(a, p, m), simpson(m, q, b));
    let two = first + second;
    if left == 0 || (two - whole).abs() <= 1e-7 * two.abs() + 1e-9 {
        two + (two - whole) / 15.0
    } else {
        halves(area, a, p, m, first, left - 1) + halves(area, m, q, b, second, left - 1)
    }
}

/// Samples of each side that are left at either face, with both distances moved.
fn left<'a>(
    loft: &'a Loft,
    a: (f64, &'a Cut),
    b: (f64, &'a Cut),
) -> impl Iterator<Item = (&'a crate::moved::Sample, f64, f64)> + 'a {
    let (d1, d2) = (loft.dz(a.0), loft.dz(b.0));
    loft.sides.iter().enumerate().flat_map(move |(i, side)| {
        let within = move |t: f64| {
            [&a.1.kept[i], &b.1.kept[i]].into_iter().flatten().any(|k| t >= k.0 - 1e-9 && t <= k.1 + 1e-9)
        };
        let any = a.1.kept[i].is_some() || b.1.kept[i].is_some();
        // A side trimmed at both ends between two samples still counts, by its first sample.
        let some = side.samples.iter().any(|s| within(s.t));
        side.samples
            .iter()
            .enumerate()
            .filter(move |(k, s)| any && (within(s.t) || !some && *k == 0))
            .map(move |(_, s)| (s, side.distance(s, d1), side.distance(s, d2)))
    })
}

fn largest_gap(loft: &Loft, a: (f64, &Cut), b: (f64, &Cut)) -> (f64, Point) {
    let mut best = (0.0, loft.sides.first().and_then(|s| s.samples.first()).map_or(Point::ZERO, |s| s.p));
    for (s, d1, d2) in left(loft, a, b) {
        let gap = (d1 - d2).abs();
        if gap > best.0 + 1e-9 {
            best = (gap, s.p + s.n * d1.min(d2));
        }
    }
    best
}

/// A side bent inward with radius r has its centre outside: moved out by d its radius is r − d.
fn tightest(loft: &Loft, a: (f64, &Cut), b: (f64, &Cut)) -> Option<f64> {
    /// Flatter than this a blade does not notice, 1/mm: a radius of 100 m.
    const FLAT: f64 = 1e-5;
    left(loft, a, b)
        .filter(|(s, ..)| s.bend < -FLAT)
        .map(|(s, d1, d2)| (-1.0 / s.bend - d1.max(d2)).max(0.0))
        .min_by(f64::total_cmp)
}

fn marks(loft: &Loft, z: f64, cut: &Cut) -> Vec<BevelMark> {
    let dz = loft.dz(z);
    let mut out = Vec::new();
    for (side, kept) in loft.sides.iter().zip(&cut.kept) {
        let Some((lo, hi)) = *kept else { continue };
        let stations: Vec<f64> = if side.bevel().is_constant() {
            vec![0.5 * (lo + hi)]
        } else {
            side.bevel().stations().iter().map(|s| side.place(s.at)).collect()
        };
        for t in stations.into_iter().filter(|t| (lo - 1e-9..=hi + 1e-9).contains(t)) {
            let s = side.sample(t);
            let (at, way) = side.moved(t, dz);
            let l = way.hypot();
            let outward = if l > 0.0 { kurbo::Vec2::new(way.y, -way.x) / l } else { s.n };
            let angle = side.angle(t);
            out.push(BevelMark { edge: side.id, at, outward, angle, proud: Proud::of(angle) });
        }
    }
    out
}
