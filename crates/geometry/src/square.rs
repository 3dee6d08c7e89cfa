//! Square cuts: the part common to every depth of a slab, and everything any depth needs.

use kurbo::Point;

use crate::Ring;
use crate::loft::{Cut, Leans, Loft};
use crate::moved::{Mover, Sample};
use crate::regions::{common, distinct, either, tidy, without};
use crate::section::signed_area;
use crate::simple::{pieces, self_crossing};
use crate::slice::crossing;

/// Depths at which a slab is cut for its square cuts when its sides do not all lean one way, both faces included.
///
/// What corners do between them is taken up by [`teeth`], exactly for straight sides and to the square of this number for
/// bent ones.
const DEPTHS: u32 = 9;

/// The part common to all depths, and everything any depth needs.
pub(crate) fn square_cuts(
    loft: &Loft,
    (from, a): (f64, &Cut),
    (to, b): (f64, &Cut),
) -> (Vec<Ring>, Vec<Ring>) {
    // All sides lean one way: the faces lie one inside the other, and every depth between them. Where a side dies on the
    // way, and the corner that is left is cut square, that may fail by a little, so it is looked at.
    let nested = |x: &Cut, y: &Cut| {
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        x.clean && y.clean && x.live == y.live
            || loft.is_steady((from, a), (to, b))
            || area(&without(&x.rings, &y.rings)) <= 1e-9 * area(&x.rings)
    };
    match loft.leans() {
        Leans::Out if nested(a, b) => return (a.rings.clone(), b.rings.clone()),
        Leans::In if nested(b, a) => return (b.rings.clone(), a.rings.clone()),
        _ => {}
    }
    if a.clean && b.clean && a.live == b.live {
        let faces = (loft.dz(from), loft.dz(to));
        let sides: Vec<&Mover> = a.live.iter().map(|i| &loft.sides[*i]).collect();
        let ring = |least| drawn(&sides, faces, least).filter(|r| self_crossing(&pieces(r)).is_none());
        if let (Some(fits), Some(fills)) = (ring(true), ring(false)) {
            return (loft.holed(fits, (from, to), true), loft.holed(fills, (from, to), false));
        }
    }
    let depths: Vec<f64> =
        (0..DEPTHS).map(|k| from + (to - from) * f64::from(k) / f64::from(DEPTHS - 1)).collect();
    let (mut fits, mut fills) = (a.rings.clone(), a.rings.clone());
    // While every side is there and no corner is cut square, each place of a side moves steadily from face to face, and only
    // corners can stand out between: the faces and the corners' paths are enough.
    let leaning = loft.leaning_holes((from, to));
    let steady = a.notices.is_empty() && b.notices.is_empty() && leaning.is_empty();
    for (k, z) in depths.iter().enumerate().skip(if steady { depths.len() - 1 } else { 1 }) {
        let region = if k + 1 == depths.len() { b.rings.clone() } else { loft.region(*z) };
        fits = common(&fits, &region);
        fills = either(&fills, &region);
    }
    let (cut, added) = teeth(loft, &depths);
    (tidy(without(&without(&fits, &cut), &leaning)), tidy(either(&fills, &added)))
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
        if signed_area(&outer) < 0.0 {
            outer.reverse();
        }
        let part = Ring { outer, holes: Vec::new() };
        if reflex { cut.push(part) } else { added.push(part) }
    }
    (cut, added)
}

/// The common part (`least`) or the whole, drawn at once: each side stands at the face where it reaches least or farthest,
/// and where two sides that lean opposite ways leave the corner's wandering in sight, the ring follows the corner's path.
///
/// For faces at which every side is there and neighbours meet. None when a side leans both ways, is used up or a corner runs
/// away; then the regions must be combined.
fn drawn(sides: &[&Mover], (d1, d2): (f64, f64), least: bool) -> Option<Vec<Point>> {
    let n = sides.len();
    // An open side stands farther out at the inner face.
    let face = |s: &Sample| if (s.tan > 0.0) == least { d1 } else { d2 };
    let mut corners = Vec::with_capacity(n);
    for i in 0..n {
        let (a, b) = (sides[i], sides[(i + 1) % n]);
        let one_way = a.samples.iter().all(|s| s.tan >= 0.0) || a.samples.iter().all(|s| s.tan <= 0.0);
        if !one_way {
            return None;
        }
        let (sa, sb) = (a.samples.last()?, b.samples.first()?);
        let (mut za, mut zb) = (face(sa), face(sb));
        if sa.tan * sb.tan >= 0.0 {
            // An upright side goes with the other.
            if sa.tan.abs() > sb.tan.abs() { zb = za } else { za = zb }
        }
        let near = |dza: f64, dzb: f64| {
            let c = crossing(a, dza, b, dzb)?;
            let moved = a.distance(sa, dza).abs().max(b.distance(sb, dzb).abs());
            (c.2.distance(sa.p) <= 3.0 * moved + 1e-6).then_some(c)
        };
        let reflex = sa.n.cross(sb.n) < 0.0;
        corners.push(if sa.tan * sb.tan < 0.0 && reflex == least {
            let steps = if a.is_plain() && b.is_plain() { 1 } else { DEPTHS - 1 };
            let mut path = Vec::new();
            for k in 0..=steps {
                let z = za + (zb - za) * f64::from(k) / f64::from(steps);
                path.push(near(z, z)?);
            }
            (path.first()?.0, path.last()?.1, path.into_iter().map(|c| c.2).collect(), zb)
        } else {
            let c = near(za, zb)?;
            (c.0, c.1, vec![c.2], zb)
        });
    }
    let mut ring = Vec::new();
    for (i, side) in sides.iter().enumerate() {
        let ((_, lo, path, z), (hi, ..)) = (corners.get((i + n - 1) % n)?, corners.get(i)?);
        if lo >= hi {
            return None;
        }
        ring.extend(path.iter().copied());
        if side.is_plain() {
            continue;
        }
        let (from, to) = side.ends();
        if *lo < from {
            ring.extend(side.between(*lo, from, *z));
        }
        let mut before: Option<(Point, Point)> = None;
        for s in side.samples.iter().filter(|s| s.t > *lo && s.t < *hi) {
            let at = side.spot(s, face(s));
            // Moved past its centre of curvature it would turn over.
            if before.is_some_and(|(p, q)| (at - q).dot(s.p - p) < 0.0) {
                return None;
            }
            before = Some((s.p, at));
            ring.push(at);
        }
        if *hi > to {
            ring.extend(side.between(to, *hi, face(side.samples.last()?)));
        }
    }
    let ring = distinct(&ring);
    (ring.len() > 2 && signed_area(&ring) > 0.0).then_some(ring)
}
