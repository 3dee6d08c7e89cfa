//! The numbers of a pair of end templates for a hot wire: where the wire meets both faces.
//!
//! The wire is a straight line through the foam, and so is every line of a bevelled edge from face to face. A number marks both
//! ends of one such line: at the corners, and along each edge at the same share of its length on both faces.

use coldwright_geometry::{Layer as Foam, Proud};
use coldwright_job::{CutStyle, PlannedPiece};
use kurbo::{Point, Vec2};

use crate::faced::{self, Sides};
use crate::make::Walled;
use crate::pattern::base_edge;
use crate::seams::SeamEdge;

/// Farthest two numbers stand apart along an edge, mm: two people calling keep together over two inches.
const APART_MM: f64 = 51.0;
/// Numbers nearer than this to a corner's are left out, mm.
const CROWDED_MM: f64 = 14.0;

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
    if !bevelled || !is_polystyrene(material) {
        return Wired::No;
    }
    // Halves that overlap are not made by one straight wire.
    if seams.iter().any(SeamEdge::overlaps) || (seams.is_empty() && piece.parts > 1) {
        return Wired::Parts;
    }
    let ([_], [_]) = (foam.outer.rings.as_slice(), foam.inner.rings.as_slice()) else {
        return Wired::Parts;
    };
    let found = faced::sides(foam);
    let [Sides { all: sides, closed: true }] = found.as_slice() else { return Wired::Parts };
    let base = w.plan.outline.as_deref().and_then(|outline| base_edge(w.wall, outline));
    let first = sides.iter().position(|side| base.is_some_and(|base| side.of_edge(base).next().is_some()));
    let turned = sides.iter().cycle().skip(first.unwrap_or(0)).take(sides.len());
    let mut all: Vec<Ends> = Vec::new();
    let mut before = sides.iter().cycle().nth(first.unwrap_or(0) + sides.len() - 1);
    for side in turned {
        let count = (side.length() / APART_MM).ceil().clamp(1.0, 400.0) as u32;
        let lines = (0..count).filter_map(|i| side.line(f64::from(i) / f64::from(count)));
        let ends = lines.map(|line| Ends { boxed: line.inner, hull: line.hull, outward: line.outward });
        let from = all.len();
        all.extend(ends);
        // In a corner, between both sides.
        if let Some((corner, end)) = all.get_mut(from).zip(before.and_then(|side| side.line(1.0))) {
            let both = corner.outward + end.outward;
            corner.outward = if both.hypot() > 0.1 { both.normalize() } else { corner.outward };
        }
        before = Some(side);
    }
    let crowded = |a: &Ends, b: &Ends| a.hull.distance(b.hull).min(a.boxed.distance(b.boxed)) < CROWDED_MM;
    all.dedup_by(|b, a| crowded(a, b));
    while let [first, .., last] = all.as_slice()
        && crowded(first, last)
    {
        all.pop();
    }
    match all.as_slice() {
        [first, second, _, ..] => {
            let along = second.boxed - first.boxed;
            Wired::Pair(all, along.normalize())
        }
        _ => Wired::Parts,
    }
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use coldwright_geometry::{EdgeKind, Length};
    use coldwright_job::{
        BevelAt, Edge, EdgeId, EdgeOf, Job, Joint, JointId, JointKind, LayerStock, Place, Template, Tick,
        TickId, Wall, WallId, plan,
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
            // Close enough for two people to keep together, on both faces.
            let far = |a: &Ends, b: &Ends| a.hull.distance(b.hull).max(a.boxed.distance(b.boxed));
            assert!(all.iter().zip(all.iter().cycle().skip(1)).all(|(a, b)| far(a, b) < APART_MM + 1e-6));
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
            let z = foam.to;
            let square = [
                (-t(3, z), -t(0, z)),
                (400.0 + t(1, z), -t(0, z)),
                (400.0 + t(1, z), 300.0 + t(2, z)),
                (-t(3, z), 300.0 + t(2, z)),
            ];
            assert!(all[0].boxed.distance(Point::from(square[0])) < 0.01, "it starts where the base starts");
            for corner in square {
                let off =
                    all.iter().map(|ends| ends.boxed.distance(Point::from(corner))).fold(f64::MAX, f64::min);
                assert!(off < 0.01, "no number within {off} mm of the corner at {corner:?}");
            }
        }
    }

    fn wired_all(job: &Job) -> Vec<(PlannedPiece, Wired)> {
        let planned = plan(job);
        let of_wall = |(wall, walled): (&Wall, &coldwright_job::WallPlan)| {
            let set = walled.layers.as_deref().unwrap();
            let own = planned.pieces.iter().filter(|p| p.id.wall == wall.id).cloned().collect::<Vec<_>>();
            let w = Walled { wall, plan: walled, set, pieces: &own };
            own.iter().map(|piece| (piece.clone(), wired(&w, piece, &[]))).collect::<Vec<_>>()
        };
        job.walls.iter().zip(&planned.walls).flat_map(of_wall).collect()
    }

    #[test]
    fn the_wire_lies_on_the_cone_of_a_round_side() {
        // A half disc of radius 300 whose round side leans 20° open: at depth z its radius is 300 + z·tan 20°, by the
        // definition of a cone. A wall's frame begins where its base edge does.
        let mut job = panel([0.0; 4]);
        let template = &mut job.walls[0].template;
        let round: Vec<Point> =
            (0..=12).map(|i| Point::ZERO + 300.0 * Vec2::from_angle(PI * f64::from(i) / 12.0)).collect();
        template.ticks = round
            .iter()
            .zip(0..)
            .map(|(at, i)| Tick { id: TickId(i), place: Place::Typed { at: *at, sd: 0.3 } })
            .collect();
        template.edges.truncate(2);
        template.edges[0].ticks = vec![TickId(12), TickId(0)];
        template.edges[1].kind = EdgeKind::Fair;
        template.edges[1].ticks = (0..=12).map(TickId).collect();
        template.edges[1].bevel[0].degrees = 20.0;
        let all = wired_all(&job);
        assert_eq!(all.len(), 2);
        for (piece, wired) in all {
            let Wired::Pair(all, _) = wired else { panic!("no pair for layer {}", piece.id.layer) };
            let on_round: Vec<&Ends> = all.iter().filter(|e| e.boxed.y > 1.0).collect();
            assert!(on_round.len() > 15, "{} numbers on the round side", on_round.len());
            for ends in on_round {
                let radius = |depth: f64| 300.0 + depth * 20.0_f64.to_radians().tan();
                let (from, to) = (piece.layer.from, piece.layer.to);
                let middle = ends.hull.midpoint(ends.boxed);
                for (p, depth) in [(ends.hull, from), (ends.boxed, to), (middle, f64::midpoint(from, to))] {
                    let off = p.distance(Point::new(300.0, 0.0)) - radius(depth);
                    assert!(off.abs() < 0.1, "{off} mm off the cone at depth {depth}");
                }
            }
        }
    }

    #[test]
    fn every_layer_that_stops_at_a_neighbours_layer_has_its_pair() {
        // Two walls that meet in a woven corner: from the second layer on no edge lies where the template's bevel alone puts it.
        for kind in [JointKind::RunsPast, JointKind::Woven { first_runs: true }, JointKind::Mitred] {
            let mut job = panel([12.0, 8.0, 0.0, 5.0]);
            let mut other = panel([12.0, 0.0, 7.0, 0.0]).walls.remove(0);
            other.id = WallId(2);
            for tick in &mut other.template.ticks {
                tick.id.0 += 100;
            }
            for edge in &mut other.template.edges {
                edge.id.0 += 100;
                edge.ticks.iter_mut().for_each(|t| t.0 += 100);
            }
            other.template.base = Some(EdgeId(100));
            job.walls.push(other);
            let at = |wall, edge| EdgeOf { wall: WallId(wall), edge: EdgeId(edge) };
            job.joints = vec![Joint { id: JointId(900), a: at(1, 0), b: at(2, 100), kind, degrees: None }];
            let all = wired_all(&job);
            assert_eq!(all.len(), 4);
            for (piece, wired) in all {
                let Wired::Pair(all, _) = wired else {
                    panic!("{kind:?}: no pair for wall {} layer {}", piece.id.wall.0, piece.id.layer)
                };
                for ends in all {
                    let near = |ring: &[Point], p: Point| {
                        ring.iter()
                            .zip(ring.iter().cycle().skip(1))
                            .map(|(a, b)| {
                                kurbo::ParamCurveNearest::nearest(&kurbo::Line::new(*a, *b), p, 1e-9)
                            })
                            .map(|found| found.distance_sq.sqrt())
                            .fold(f64::MAX, f64::min)
                    };
                    assert!(near(&piece.layer.outer.rings[0].outer, ends.hull) < 0.01);
                    assert!(near(&piece.layer.inner.rings[0].outer, ends.boxed) < 0.01);
                    // Walls at 90° + 12° have a mitre 39° from square: 50 · tan 39° = 40.5 mm, and a little aside in a corner.
                    assert!(ends.hull.distance(ends.boxed) < 42.0);
                }
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
