//! Square cuts: the part common to every depth of a slab, and everything any depth needs.

use kurbo::Point;

use crate::Ring;
use crate::loft::{Cut, Leans, Loft};
use crate::moved::{Mover, Sample};
use crate::regions::{common, distinct, either, tidy, without};
use crate::section::signed_area;
use crate::simple::{pieces, self_crossing};
use crate::slice::{Join, crossing, is_apart, join, kept};

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
    let drawn = if a.sound && b.sound && a.live == b.live {
        direct(loft, &a.live, (from, to), a.clean && b.clean)
    } else {
        parted(loft, (from, a), (to, b))
    };
    drawn.unwrap_or_else(|| depth_by_depth(loft, (from, a), (to, b)))
}

/// Both cuts drawn at once, where the `live` sides are there, and meet (all of them: `meeting`) or step alike, at every depth.
fn direct(
    loft: &Loft,
    live: &[usize],
    (from, to): (f64, f64),
    meeting: bool,
) -> Option<(Vec<Ring>, Vec<Ring>)> {
    let faces = (loft.dz(from), loft.dz(to));
    let sides: Vec<&Mover> = live.iter().map(|i| &loft.sides[*i]).collect();
    let ring = |least| drawn(&sides, faces, least, meeting).filter(|r| self_crossing(&pieces(r)).is_none());
    let (fits, fills) = (ring(true)?, ring(false)?);
    Some((loft.holed(fits, (from, to), true), loft.holed(fills, (from, to), false)))
}

/// Both cuts of a slab in which sides die, one after the other: part by part from death to death.
fn parted(loft: &Loft, outer: (f64, &Cut), inner: (f64, &Cut)) -> Option<(Vec<Ring>, Vec<Ring>)> {
    /// More deaths in one layer than this are combined depth by depth.
    const MOST: usize = 8;
    /// Past a death, mm; no side moves by a nanometre meanwhile.
    const PAST: f64 = 1e-7;
    // From the face with more sides to the one with fewer.
    let (more, less) = if outer.1.live.len() > inner.1.live.len() { (outer, inner) } else { (inner, outer) };
    if !(more.1.sound && less.1.sound) || less.1.live.iter().any(|i| more.1.live.binary_search(i).is_err()) {
        return None;
    }
    let between = |live: &[usize], p: f64, q: f64, meeting| direct(loft, live, (p.min(q), p.max(q)), meeting);
    let past = PAST * (less.0 - more.0).signum();
    let (mut z, mut live, mut meeting) = (more.0, more.1.live.clone(), more.1.clean);
    let mut out: Option<(Vec<Ring>, Vec<Ring>)> = None;
    let mut add = |both: (Vec<Ring>, Vec<Ring>)| {
        out = Some(match out.take() {
            None => both,
            Some((fits, fills)) => (common(&fits, &both.0), either(&fills, &both.1)),
        });
    };
    for _ in 0..MOST {
        if live == less.1.live {
            break;
        }
        let death = first_death(loft, &live, &less.1.live, (z, less.0))?;
        let next = loft.cut(death + past);
        add(between(&live, z, death, meeting && next.clean)?);
        if !next.sound || next.live.len() >= live.len() {
            return None;
        }
        meeting = next.clean;
        (z, live) = (death + past, next.live);
    }
    if live != less.1.live {
        return None;
    }
    add(between(&live, z, less.0, meeting && less.1.clean)?);
    out.map(|(fits, fills)| (tidy(fits), tidy(fills)))
}

/// The depth, going from `z.0` to `z.1`, at which the first of the `live` sides that are not `left` at the end dies.
fn first_death(loft: &Loft, live: &[usize], left: &[usize], z: (f64, f64)) -> Option<f64> {
    let n = live.len();
    let mut first: Option<f64> = None;
    for k in (0..n).filter(|k| left.binary_search(&live[*k]).is_err()) {
        let side = |k: usize| &loft.sides[live[k % n]];
        let (a, b, c) = (side(k + n - 1), side(k), side(k + 1));
        let lives = |z: f64| {
            let (before, after) = (join(a, b, loft.dz(z)).0, join(b, c, loft.dz(z)).0);
            let (lo, hi) = kept(b, before, after);
            lo < hi
        };
        let (mut there, mut gone) = z;
        if !lives(there) || lives(gone) {
            continue;
        }
        // 40 halvings of a layer's thickness reach below a nanometre.
        for _ in 0..40 {
            let middle = 0.5 * (there + gone);
            if lives(middle) { there = middle } else { gone = middle }
        }
        if first.is_none_or(|f| (there - z.0).abs() < (f - z.0).abs()) {
            first = Some(there);
        }
    }
    first
}

/// Both cuts from regions at several depths.
fn depth_by_depth(loft: &Loft, (from, a): (f64, &Cut), (to, b): (f64, &Cut)) -> (Vec<Ring>, Vec<Ring>) {
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
/// For faces at which every side is there and neighbours meet, or step at the template's corner. None when a side leans both
/// ways, is used up or a corner is joined otherwise on the way; then the regions must be combined.
fn drawn(sides: &[&Mover], (d1, d2): (f64, f64), least: bool, meeting: bool) -> Option<Vec<Point>> {
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
        // Where they meet; None where they step.
        let meet = |dz: f64| match join(a, b, dz).0 {
            Join::Cross { first, second, at } => Some((first, second, at)),
            Join::Square => {
                let (qa, qb) = (a.spot(sa, dz), b.spot(sb, dz));
                (qa.distance(qb) < 1e-4).then_some((a.ends().1, b.ends().0, qa))
            }
            Join::Through => None,
        };
        let apart = |dz: f64| is_apart(a, b, join(a, b, dz).0, dz);
        let between = |k: u32| za + (zb - za) * f64::from(k) / f64::from(DEPTHS - 1);
        let start = meet(za);
        if start.is_none() {
            // A step stays at the template's corner while each side keeps to its way; both ends move along their normals.
            let keeps = a.distance(sa, d1) * a.distance(sa, d2) >= 0.0
                && b.distance(sb, d1) * b.distance(sb, d2) >= 0.0;
            if !(keeps && apart(d1) && apart(d2) && (0..DEPTHS).all(|k| apart(between(k)))) {
                return None;
            }
            corners.push((a.ends().1, b.ends().0, vec![a.spot(sa, za), sa.p, b.spot(sb, zb)], zb));
            continue;
        }
        let opposite = sa.tan * sb.tan < 0.0;
        let reflex = sa.n.cross(sb.n) < 0.0;
        corners.push(if opposite {
            // At every depth they must meet at their crossing.
            let mut path = Vec::new();
            for k in 0..DEPTHS {
                path.push(meet(between(k))?);
            }
            if reflex == least {
                let ends = (path.first()?.0, path.last()?.1);
                let steps = if a.is_plain() && b.is_plain() { path.len() - 1 } else { 1 };
                (ends.0, ends.1, path.into_iter().step_by(steps).map(|c| c.2).collect(), zb)
            } else {
                // Inside (least) or outside both at every depth: the crossing of each at its own face, however far off.
                let c = crossing(a, za, b, zb)?;
                let moved = a.distance(sa, za).abs().max(b.distance(sb, zb).abs());
                // A bent side carried on far may come back.
                if !(a.is_plain() && b.is_plain() || c.2.distance(sa.p) <= 3.0 * moved + 1e-6) {
                    return None;
                }
                (c.0, c.1, vec![c.2], zb)
            }
        } else {
            if !meeting {
                meet(if za.total_cmp(&d1).is_eq() { d2 } else { d1 })?;
            }
            let c = start?;
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

#[cfg(test)]
mod tests {
    use kurbo::Vec2;

    use crate::dice::Dice;
    use crate::{Bevel, Edge, EdgeKind, FixedFace, Outline, Spread, TemplateDepth, Tick, WallShape};

    use super::*;

    /// A piece with four corners and bulging sides of `n` short ones in four runs that lean out and in by turns: their corners
    /// wander along the runs and use up one side after the other.
    fn bulging(dice: &mut Dice, n: usize) -> Option<Outline> {
        let at = |k: usize| {
            let w = std::f64::consts::TAU * (k % n) as f64 / n as f64;
            let r = (400.0 + 40.0 * w.cos()) * (1.0 - 0.2 * (2.0 * w).sin().abs());
            Tick {
                id: (k % n) as u32,
                at: Point::new(1.4 * r * w.cos(), r * w.sin()),
                spread: Spread::round(0.1),
            }
        };
        let leans = [0, 1, 2, 3].map(|k| dice.between(2.0, 15.0) * if k % 2 == 0 { 1.0 } else { -1.0 });
        let edges = (0..n)
            .map(|i| {
                Some(Edge {
                    id: i as u32,
                    name: format!("side {i}"),
                    kind: EdgeKind::Straight,
                    ticks: vec![at(i), at(i + 1)],
                    bevel: Bevel::constant(leans[4 * i / n].to_radians()).ok()?,
                    gap: 0.0,
                    smoothing: 0.0,
                })
            })
            .collect::<Option<Vec<_>>>()?;
        Outline::new(edges, vec![]).ok().map(|o| o.0)
    }

    /// A star of `n` sides in runs that lean out and in by turns, some of them bent.
    fn star(dice: &mut Dice, n: usize, rough: f64, gaps: bool) -> Option<Outline> {
        let at = dice.star(n, rough);
        let run = 1 + (dice.between(0.0, 4.0) as usize).min(n / 2);
        let one = dice.between(0.0, 1.0) < 0.5;
        let mut lean = 0.0;
        let edges = (0..n)
            .map(|i| {
                if i % run == 0 || !one {
                    let out = (i / run).is_multiple_of(2);
                    lean = if out { dice.between(0.5, 25.0) } else { dice.between(-25.0, -0.5) };
                }
                let tick = |k: usize, p: Point| Tick { id: k as u32, at: p, spread: Spread::round(0.1) };
                let (p, q) = (at[i], at[(i + 1) % n]);
                let mut ticks = vec![tick(i, p), tick((i + 1) % n, q)];
                let bent = n < 10 && dice.between(0.0, 1.0) < 0.4;
                if bent {
                    let off = dice.between(-0.06, 0.06) * p.distance(q);
                    let along = q - p;
                    let side = Vec2::new(along.y, -along.x) / along.hypot();
                    ticks.insert(1, tick(1000 + i, p.midpoint(q) + side * off));
                }
                Some(Edge {
                    id: i as u32,
                    name: format!("side {i}"),
                    kind: if bent { EdgeKind::Fair } else { EdgeKind::Straight },
                    ticks,
                    bevel: Bevel::constant(lean.to_radians()).ok()?,
                    gap: if gaps { dice.between(0.0, 4.0) } else { 0.0 },
                    smoothing: 0.0,
                })
            })
            .collect::<Option<Vec<_>>>()?;
        Outline::new(edges, vec![]).ok().map(|o| o.0)
    }

    #[test]
    fn cuts_drawn_at_once_are_what_all_depths_together_give() {
        let mut dice = Dice(97);
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        let (mut at_once, mut in_parts) = (0, 0);
        for case in 0..160 {
            let (n, rough) = ([5, 8, 24, 60][case % 4], [0.02, 0.1, 0.3][case % 3]);
            let outline =
                if n == 60 { bulging(&mut dice, 400) } else { star(&mut dice, n, rough, case % 5 == 0) };
            let Some(outline) = outline else { continue };
            let (from, thick) =
                (dice.between(-20.0, 60.0), dice.between(5.0, if n == 60 { 12.0 } else { 40.0 }));
            let to = from + thick;
            let thicknesses = vec![100.0];
            let (template_depth, fixed) = (TemplateDepth::FromOuter(0.0), FixedFace::Outer);
            let wall = WallShape { outline, template_depth, fixed, thicknesses };
            let loft = Loft::new(&wall, from, to).unwrap();
            let (a, b) = (loft.cut(from), loft.cut(to));
            let alike = a.sound && b.sound && a.live == b.live;
            let direct = alike.then(|| direct(&loft, &a.live, (from, to), a.clean && b.clean)).flatten();
            at_once += usize::from(direct.is_some());
            let Some((fits, fills)) = direct.or_else(|| {
                let parts = parted(&loft, (from, &a), (to, &b)).filter(|_| !alike);
                in_parts += usize::from(parts.is_some());
                parts
            }) else {
                continue;
            };
            // Bent sides are flattened anew at each depth.
            let rim = 0.004 * 2500.0;
            // Depths leave steps along the corners' paths that shrink with their distance.
            let off = |every: u32| {
                let (mut least, mut most) = (a.rings.clone(), a.rings.clone());
                for k in (1..=48).filter(|k| k % every == 0) {
                    let region = loft.region(from + thick * f64::from(k) / 48.0);
                    let (over, under) = (area(&without(&fits, &region)), area(&without(&region, &fills)));
                    assert!(over < rim && under < rim, "case {case}, {n} sides, {k}: {over} {under} mm²");
                    least = common(&least, &region);
                    most = either(&most, &region);
                }
                (area(&without(&least, &fits)), area(&without(&fills, &most)))
            };
            let (few, many) = (off(3), off(1));
            for (few, many) in [(few.0, many.0), (few.1, many.1)] {
                assert!(many < 0.4 * few + rim, "case {case}, {n} sides: {few}, then {many} mm² off");
            }
        }
        assert!(at_once > 60 && in_parts > 12, "{at_once} at once, {in_parts} in parts");
    }
}
