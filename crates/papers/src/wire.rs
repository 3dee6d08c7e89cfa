//! The numbers of a pair of end templates for a hot wire: where the wire meets both faces.
//!
//! The wire is a straight line through the foam, and so is every line of a bevelled edge from face to face. A number marks both
//! ends of one such line: at the corners, and along each edge where the same point of the template was moved to on both faces.

use coldwright_geometry::{Layer as Foam, Outline, Proud, Ring, Side};
use coldwright_job::{CutStyle, PlannedPiece};
use kurbo::{Point, Vec2};

use crate::make::Walled;
use crate::pattern::template_depth;
use crate::room::thin;
use crate::seams::SeamEdge;
use crate::stations::at_fraction;

/// Farthest two numbers stand apart along an edge, mm: two people calling keep together over two inches.
const APART_MM: f64 = 51.0;
/// Numbers nearer than this to a corner's are left out, mm.
const CROWDED_MM: f64 = 14.0;
/// A point whose place lies farther from a face's line than this was cut away at a corner, mm.
const OFF_LINE_MM: f64 = 0.2;
/// Farthest a corner of a face may lie from where the moved edges' tangents cross, mm.
const CORNER_MM: f64 = 6.0;

/// One number: where the wire meets both faces, and the outward direction there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Ends {
    pub(crate) boxed: Point,
    pub(crate) hull: Point,
    pub(crate) outward: Vec2,
}

/// What can be said about a layer and a hot wire.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Wired {
    /// Nothing: the layer is cut square, or its foam is not known to be polystyrene.
    No,
    /// It could be cut by wire, but not with one pair of templates.
    Parts,
    /// The numbers, and the direction the wire comes in from.
    Pair(Vec<Ends>, Vec2),
}

/// Whether a material is one a hot wire may cut. Everything else gives poisonous fumes or does not melt; common practice, no
/// source.
pub(crate) fn is_polystyrene(material: &str) -> bool {
    let words = material.to_lowercase();
    ["xps", "eps", "styrene", "styrol", "polystyr"].iter().any(|word| words.contains(word))
}

/// The numbers of one piece; `seams` are those of the part.
pub(crate) fn wired(w: &Walled<'_>, piece: &PlannedPiece, seams: &[SeamEdge]) -> Wired {
    let foam: &Foam = &piece.layer;
    let material = w.wall.material(foam.number);
    let bevelled = w.wall.cut == CutStyle::Bevelled && Proud::of(foam.steepest_bevel) != Proud::Square;
    let Some(outline) = w.plan.outline.as_deref().filter(|_| bevelled && is_polystyrene(material)) else {
        return Wired::No;
    };
    let ([hull], [boxed]) = (foam.outer.rings.as_slice(), foam.inner.rings.as_slice()) else {
        return Wired::Parts;
    };
    // Halves that overlap are not made by one straight wire.
    if seams.iter().any(SeamEdge::overlaps) || (seams.is_empty() && piece.parts > 1) {
        return Wired::Parts;
    }
    // Thinned by a tenth of what a point may lie off the line.
    let few = |ring: &Ring| Ring { outer: thin(&ring.outer, OFF_LINE_MM / 10.0), holes: Vec::new() };
    let (hull, boxed) = (&few(hull), &few(boxed));
    let template = template_depth(w.wall, w.set);
    let sides = outline.sides();
    let base = w.wall.template.base.and_then(|b| sides.iter().position(|s| s.edge.id == b.0)).unwrap_or(0);
    let mut all: Vec<Ends> = Vec::new();
    for at in (0..sides.len()).map(|i| (base + i) % sides.len()) {
        let side = &sides[at];
        let moved = |fraction: f64, depth: f64| {
            let angle = side.edge.bevel.at(fraction);
            (depth - template) * angle.tan() - side.edge.gap
        };
        all.extend(corner(outline, at, [foam.from, foam.to], template, [hull, boxed]));
        let count = (side.length / APART_MM).ceil().clamp(1.0, 400.0) as u32;
        for fraction in (1..count).map(|i| f64::from(i) / f64::from(count)) {
            let Some((p, outward)) = at_fraction(side, fraction) else { continue };
            let ends = Ends {
                hull: p + outward * moved(fraction, foam.from),
                boxed: p + outward * moved(fraction, foam.to),
                outward,
            };
            let on = ends.hull.distance(nearest(hull, ends.hull)) < OFF_LINE_MM
                && ends.boxed.distance(nearest(boxed, ends.boxed)) < OFF_LINE_MM;
            if on {
                all.push(ends);
            }
        }
    }
    for seam in seams {
        let (on_hull, on_box) = (seam.points_of(&hull.outer), seam.points_of(&boxed.outer));
        if on_hull.len() != on_box.len() || on_hull.len() < 2 {
            return Wired::Parts;
        }
        let ends = on_hull.into_iter().zip(on_box);
        all.extend(ends.map(|(hull, boxed)| Ends { boxed, hull, outward: seam.outward() }));
    }
    let crowded = |a: &Ends, b: &Ends| a.hull.distance(b.hull).min(a.boxed.distance(b.boxed)) < CROWDED_MM;
    let Some(first) = all.first().copied() else { return Wired::Parts };
    // In the order of the box face's line, from the start of the base edge where that is on the piece.
    let (total, start) = (length(&boxed.outer), place(&boxed.outer, first.boxed));
    let past = |ends: &Ends| {
        let along = (place(&boxed.outer, ends.boxed) - start).rem_euclid(total.max(1e-9));
        // The first itself stays first, whatever rounding does.
        if along > total - 1e-6 { 0.0 } else { along }
    };
    let mut ordered: Vec<(f64, Ends)> = all.into_iter().map(|ends| (past(&ends), ends)).collect();
    ordered.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut all: Vec<Ends> = ordered.into_iter().map(|(_, ends)| ends).collect();
    all.dedup_by(|b, a| crowded(a, b));
    match way_at(&boxed.outer, start) {
        Some(along) if all.len() > 2 => Wired::Pair(all, along),
        _ => Wired::Parts,
    }
}

fn length(ring: &[Point]) -> f64 {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum()
}

/// How far along a ring from its first point the place nearest to `p` lies, mm.
fn place(ring: &[Point], p: Point) -> f64 {
    let (mut along, mut best) = (0.0, (f64::INFINITY, 0.0));
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let d = *b - *a;
        let t = if d.hypot2() > 0.0 { ((p - *a).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
        let far = (*a + d * t).distance_squared(p);
        if far < best.0 {
            best = (far, along + t * d.hypot());
        }
        along += d.hypot();
    }
    best.1
}

/// Which way a ring runs just past a place along it.
fn way_at(ring: &[Point], place: f64) -> Option<Vec2> {
    let at = (place + 0.01).rem_euclid(length(ring).max(1e-9));
    let mut along = 0.0;
    for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
        let d = *b - *a;
        along += d.hypot();
        if along >= at && d.hypot() > 0.0 {
            return Some(d.normalize());
        }
    }
    None
}

/// Both faces' corner at the start of a side: where the two moved edges cross.
fn corner(outline: &Outline, at: usize, depths: [f64; 2], template: f64, faces: [&Ring; 2]) -> Option<Ends> {
    let sides = outline.sides();
    let (before, after) = (&sides[(at + sides.len() - 1) % sides.len()], &sides[at]);
    let ((p, n1), (_, n2)) = (at_fraction(before, 1.0)?, at_fraction(after, 0.0)?);
    let moved = |side: &Side, fraction: f64, depth: f64| {
        (depth - template) * side.edge.bevel.at(fraction).tan() - side.edge.gap
    };
    let place = |depth: f64, ring: &Ring| {
        let (d1, d2) = (moved(before, 1.0, depth), moved(after, 0.0, depth));
        let turn = n1.cross(n2);
        let shift = if turn.abs() > 0.05 {
            // The point at d1 along n1 and at d2 along n2.
            Vec2::new(d1 * n2.y - d2 * n1.y, d2 * n1.x - d1 * n2.x) / turn
        } else {
            n1 * d1
        };
        on_corner(ring, p + shift)
    };
    let outward = n1 + n2;
    let outward = if outward.hypot() > 0.1 { outward.normalize() } else { n1 };
    Some(Ends { hull: place(depths[0], faces[0])?, boxed: place(depths[1], faces[1])?, outward })
}

/// The corner of a ring nearest to a point, or the nearest point of its line where it has no corner; `None` when both are far.
fn on_corner(ring: &Ring, p: Point) -> Option<Point> {
    let few = &ring.outer;
    let count = few.len();
    let turns = |i: usize| {
        let (a, b) = (few[i] - few[(i + count - 1) % count], few[(i + 1) % count] - few[i]);
        a.cross(b).atan2(a.dot(b)).abs() > 0.05
    };
    let corners = (0..count).filter(|i| turns(*i)).map(|i| few[i]);
    let best = corners.min_by(|a, b| a.distance(p).total_cmp(&b.distance(p)));
    let near = best.filter(|c| c.distance(p) < CORNER_MM).unwrap_or_else(|| nearest(ring, p));
    (near.distance(p) < CORNER_MM).then_some(near)
}

/// The point of a ring's outer line nearest to a point.
fn nearest(ring: &Ring, p: Point) -> Point {
    let points = &ring.outer;
    let sides = points.iter().zip(points.iter().cycle().skip(1));
    let foot = |(a, b): (&Point, &Point)| {
        let d = *b - *a;
        let t = if d.hypot2() > 0.0 { ((p - *a).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
        *a + d * t
    };
    sides.map(foot).min_by(|a, b| a.distance_squared(p).total_cmp(&b.distance_squared(p))).unwrap_or(p)
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_geometry::{EdgeKind, Length};
    use coldwright_job::{
        BevelAt, Edge, EdgeId, Job, LayerStock, Place, Template, Tick, TickId, Wall, WallId, plan,
    };

    /// A panel 400 × 300 whose four sides lean by these degrees, two layers of 50 mm.
    fn panel(degrees: [f64; 4]) -> Job {
        let at = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)];
        let edge = |i: usize| Edge {
            id: EdgeId(i as u32),
            name: format!("edge {i}"),
            kind: EdgeKind::Straight,
            ticks: vec![TickId(i as u32), TickId((i as u32 + 1) % 4)],
            bevel: vec![BevelAt { at: 0.0, degrees: degrees[i] }],
            gap: Length::default(),
            smoothing: Length::default(),
        };
        let tick = |(i, (x, y)): (usize, &(f64, f64))| Tick {
            id: TickId(i as u32),
            place: Place::Typed { at: Point::new(*x, *y), sd: 0.3 },
        };
        let wall = Wall {
            id: WallId(1),
            template: Template {
                ticks: at.iter().enumerate().map(tick).collect(),
                edges: (0..4).map(edge).collect(),
                base: Some(EdgeId(0)),
                ..Template::default()
            },
            layers: vec![
                LayerStock {
                    thickness: Length::from_micrometres(50_000),
                    material: "EPS 30".to_owned(),
                    ..LayerStock::default()
                };
                2
            ],
            cut: CutStyle::Bevelled,
            ..Wall::default()
        };
        Job { walls: vec![wall], next_id: 50, ..Job::default() }
    }

    #[test]
    fn each_number_is_a_line_on_the_leaning_side_and_corners_are_where_the_sides_meet() {
        let degrees = [10.0, -5.0, 20.0, 0.0];
        let job = panel(degrees);
        let planned = plan(&job);
        let set = planned.walls[0].layers.as_deref().unwrap();
        let w = Walled { wall: &job.walls[0], plan: &planned.walls[0], set, pieces: &planned.pieces };
        assert_eq!(planned.pieces.len(), set.layers.len());
        for piece in w.pieces {
            let foam = &piece.layer;
            let Wired::Pair(all, along) = wired(&w, piece, &[]) else { panic!("no pair") };
            assert!(
                (along - Vec2::new(1.0, 0.0)).hypot() < 1e-9,
                "the wire comes in along the base: {along:?}"
            );
            // Four corners, and between them a number every 51 mm at most.
            assert_eq!(all.len(), 4 + 7 + 5 + 7 + 5);
            let t = |i: usize, z: f64| z * degrees[i].to_radians().tan();
            for (ends, number) in all.iter().zip(1..) {
                // On which side it lies: the same on both faces, by the sides' own equations at depths 0 to 100.
                let on = |z: f64, p: Point| -> Vec<usize> {
                    let off = [-p.y - t(0, z), p.x - 400.0 - t(1, z), p.y - 300.0 - t(2, z), -p.x - t(3, z)];
                    (0..4).filter(|i| off[*i].abs() < 0.05).collect()
                };
                let (hull, boxed) = (on(foam.from, ends.hull), on(foam.to, ends.boxed));
                assert!(!hull.is_empty() && hull == boxed, "number {number}: {hull:?} and {boxed:?}");
            }
            let corners = [0, 8, 14, 22];
            for corner in corners {
                let z = foam.to;
                let square = [
                    (-t(3, z), -t(0, z)),
                    (400.0 + t(1, z), -t(0, z)),
                    (400.0 + t(1, z), 300.0 + t(2, z)),
                    (-t(3, z), 300.0 + t(2, z)),
                ];
                let near = square
                    .iter()
                    .map(|p| all[corner].boxed.distance(Point::from(*p)))
                    .fold(f64::MAX, f64::min);
                assert!(near < 0.01, "number {}: {near} mm from a corner", corner + 1);
            }
        }
    }

    #[test]
    fn only_polystyrene_meets_a_hot_wire() {
        for (material, may) in [
            ("XPS", true),
            ("eps 30", true),
            ("Polystyrene, extruded", true),
            ("Polyiso", false),
            ("PU", false),
            ("", false),
        ] {
            assert_eq!(is_polystyrene(material), may, "{material}");
        }
    }
}
