//! Pairs of end templates for a hot wire: one on each face of the foam, with the same numbers, so that two people who call the
//! numbers cut the bevel in one pass.
//!
//! The wire is a straight line through the foam, and so is every line of a bevelled edge from face to face. A number marks both
//! ends of one such line: at the corners, and along each edge where the same point of the template was moved to on both faces.

use coldwright_export::{Anchor, Drawing, Layer, PageGrid, Pen, Text, TileOptions, font, page_grid};
use coldwright_geometry::{Layer as Foam, Outline, Proud, Ring, Side};
use coldwright_job::{CutStyle, Job, PlannedPiece};
use kurbo::{Affine, Point, Rect, Vec2};

use crate::block::{self, Row};
use crate::faces::path;
use crate::glyph::{self, Flies};
use crate::make::Walled;
use crate::pattern::{Piece, template_depth};
use crate::room::{Quad, Room, thin};
use crate::stations::at_fraction;
use crate::wording::{self, Face};

/// Farthest two numbers stand apart along an edge, mm: two people calling keep together over two inches.
const APART_MM: f64 = 51.0;
/// Numbers nearer than this to a corner's are left out, mm.
const CROWDED_MM: f64 = 14.0;
/// A point whose place lies farther from a face's line than this was cut away at a corner, mm.
const OFF_LINE_MM: f64 = 0.2;
/// Farthest a corner of a face may lie from where the moved edges' tangents cross, mm.
const CORNER_MM: f64 = 6.0;
/// Length of the run the wire warms up on before the first number, mm.
const LEAD_MM: f64 = 30.0;
/// Length of a number's mark, mm.
const MARK_MM: f64 = 5.0;
const PT: f64 = 10.0;

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

/// The numbers of one layer.
pub(crate) fn wired(w: &Walled<'_>, piece: &PlannedPiece) -> Wired {
    let foam: &Foam = &piece.layer;
    let material = w.wall.material(foam.number);
    let bevelled = w.wall.cut == CutStyle::Bevelled && Proud::of(foam.steepest_bevel) != Proud::Square;
    let Some(outline) = w.plan.outline.as_deref().filter(|_| bevelled && is_polystyrene(material)) else {
        return Wired::No;
    };
    if piece.parts > 1 {
        return Wired::Parts;
    }
    let ([hull], [boxed]) = (foam.outer.rings.as_slice(), foam.inner.rings.as_slice()) else {
        return Wired::Parts;
    };
    // Thinned by a tenth of what a point may lie off the line.
    let few = |ring: &Ring| Ring { outer: thin(&ring.outer, OFF_LINE_MM / 10.0), holes: Vec::new() };
    let (hull, boxed) = (&few(hull), &few(boxed));
    let template = template_depth(w.wall, w.set);
    let sides = outline.sides();
    let base = w.wall.template.base.and_then(|b| sides.iter().position(|s| s.edge.id == b.0)).unwrap_or(0);
    let mut all: Vec<Ends> = Vec::new();
    let mut came_from = None;
    for at in (0..sides.len()).map(|i| (base + i) % sides.len()) {
        let side = &sides[at];
        let moved = |fraction: f64, depth: f64| {
            let angle = side.edge.bevel.at(fraction);
            (depth - template) * angle.tan() - side.edge.gap
        };
        if let Some(corner) = corner(outline, at, [foam.from, foam.to], template, [hull, boxed]) {
            if came_from.is_none() {
                came_from = at_fraction(side, 0.0).map(|(_, outward)| outward.turn_90());
            }
            all.push(corner);
        }
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
    let crowded = |a: &Ends, b: &Ends| a.hull.distance(b.hull).min(a.boxed.distance(b.boxed)) < CROWDED_MM;
    all.dedup_by(|b, a| crowded(a, b));
    match came_from {
        Some(along) if all.len() > 2 => Wired::Pair(all, along),
        _ => Wired::Parts,
    }
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

/// Both templates of a layer, the box side's first. The hull side's is the mirror image, as it is seen from the hull.
pub(crate) fn pair(
    job: &Job,
    w: &Walled<'_>,
    piece: &PlannedPiece,
    crosses: Option<[Point; 2]>,
    paper: &TileOptions,
) -> Option<[Piece; 2]> {
    let Wired::Pair(ends, along) = wired(w, piece) else { return None };
    let foam: &Foam = &piece.layer;
    let one = |face: Face| {
        let flip = match face {
            Face::Box => Affine::IDENTITY,
            Face::Hull => Affine::FLIP_X,
        };
        let rings = match face {
            Face::Box => &foam.inner.rings,
            Face::Hull => &foam.outer.rings,
        };
        let rings: Vec<Ring> = rings.iter().map(|ring| flipped(ring, flip)).collect();
        let turned = |v: Vec2| (flip * v.to_point()).to_vec2();
        let at: Vec<(Point, Vec2)> = ends
            .iter()
            .map(|e| (flip * if face == Face::Box { e.boxed } else { e.hull }, turned(e.outward)))
            .collect();
        let crosses = crosses.map(|both| both.map(|p| flip * p));
        Template { job, w, foam, face, rings, at, along: turned(along), crosses }.drawn(paper)
    };
    Some([one(Face::Box), one(Face::Hull)])
}

pub(crate) fn flipped(ring: &Ring, flip: Affine) -> Ring {
    let moved = |points: &Vec<Point>| points.iter().map(|p| flip * *p).collect();
    Ring { outer: moved(&ring.outer), holes: ring.holes.iter().map(moved).collect() }
}

/// One template of a pair, in the frame it is seen in.
struct Template<'a> {
    job: &'a Job,
    w: &'a Walled<'a>,
    foam: &'a Foam,
    face: Face,
    rings: Vec<Ring>,
    at: Vec<(Point, Vec2)>,
    along: Vec2,
    crosses: Option<[Point; 2]>,
}

impl Template<'_> {
    fn drawn(&self, paper: &TileOptions) -> Piece {
        let name = wording::wall_name(self.job, self.w.wall);
        let mark = wording::mark(&name, self.foam.number, None);
        let mut bare = Drawing::new(format!("{mark}, wire, {}", self.face.side()), Rect::ZERO);
        for ring in &self.rings {
            bare.line(path(ring), Pen::CUT, Layer::Cut);
        }
        if let Some((start, _)) = self.at.first() {
            let from = *start - self.along * LEAD_MM;
            bare.straight(from, *start, Pen::MARK_END, Layer::Marks);
        }
        bare.bounds = bare.ink().unwrap_or(Rect::ZERO).inflate(4.0, 4.0);
        let grid = page_grid(&bare, paper).ok();
        let drawing = self.worded(bare, &mark, grid.as_ref());
        Piece { drawing, grid }
    }

    fn worded(&self, mut drawing: Drawing, mark: &str, grid: Option<&PageGrid>) -> Drawing {
        let mut room = Room::new(&[&self.rings]).on_pages(grid);
        for (at, letter) in self.crosses.into_iter().flatten().zip(["A", "B"]) {
            glyph::match_cross(&mut drawing, at, letter);
            room.take(Quad::new(at, 2.0 * glyph::CROSS_MM + 1.0, 2.0 * glyph::CROSS_MM + 1.0, 0.0));
        }
        for (i, (at, outward)) in self.at.iter().enumerate() {
            drawing.straight(*at, *at - *outward * MARK_MM, Pen::MARK, Layer::Marks);
            number(&mut drawing, &mut room, *at, *outward, &(i + 1).to_string());
        }
        if let Some((start, outward)) = self.at.first() {
            let from = *start - self.along * LEAD_MM;
            let out = Vec2::new(self.along.y, -self.along.x);
            let out = if out.dot(*outward) < 0.0 { -out } else { out };
            drawing.straight(from - out * 2.0, from + out * 2.0, Pen::MARK_END, Layer::Marks);
            words_beside(&mut drawing, &mut room, from, -self.along, "0, lead in");
        }
        let (lies, other) = match self.face {
            Face::Box => ("box", "hull"),
            Face::Hull => ("hull", "box"),
        };
        let small = |words: String| Row::new(words, 10.0, false);
        let thickness = self.job.show_mm(self.foam.to - self.foam.from);
        let mut rows = vec![
            Row::new(mark, 24.0, true),
            Row::new(format!("hot wire, {lies} side, seen from the {lies}"), 12.0, true),
            small(format!("for foam {thickness} thick; its pair lies on the {other} side")),
        ];
        if self.crosses.is_some() {
            rows.push(small("pin both through A and B, square to the foam".to_owned()));
        }
        rows.push(small(format!("start at 0, call 1 to {} and 1 again together", self.at.len())));
        rows.push(small(match self.face {
            Face::Box => "the pennant flies to the right".to_owned(),
            Face::Hull => "mirror image on purpose: the pennant flies to the left".to_owned(),
        }));
        rows.push(small("polystyrene only; moving air, gloves, never leave it on".to_owned()));
        for ring in &self.rings {
            block::set(&mut drawing, &mut room, ring, &rows);
            let word = self.w.wall.stands.arrow_word();
            let flies = if self.face == Face::Box { Flies::Right } else { Flies::Left };
            crate::pattern::staff(&mut drawing, &mut room, ring, word, flies);
        }
        drawing.bounds = drawing.ink().unwrap_or(room.bounds).inflate(4.0, 4.0);
        drawing
    }
}

/// A number just inside the line, else just outside of it.
fn number(drawing: &mut Drawing, room: &mut Room, at: Point, outward: Vec2, words: &str) {
    let (width, height) = (font::text_width_mm(words, PT, true), font::em_mm(PT) * font::CAP_EM);
    let reach = outward.x.abs() * width / 2.0 + outward.y.abs() * height / 2.0;
    let quad =
        |off: f64, aside: f64| Quad::new(at + outward * off + outward.turn_90() * aside, width, height, 0.0);
    // Deeper, then to either side of the mark: outside of the line a number is cut away with the waste.
    let inside = |room: &Room| {
        let asides = [0.0, 4.0, -4.0, 7.0, -7.0];
        let depths = (0..5).map(|i| -(MARK_MM + reach + 1.2) - 2.0 * f64::from(i));
        let mut places = asides.into_iter().flat_map(|aside| depths.clone().map(move |off| quad(off, aside)));
        places.find(|q| room.inside(*q))
    };
    let outside =
        |room: &Room| (0..6).map(|i| quad(reach + 2.5 + 2.0 * f64::from(i), 0.0)).find(|q| room.outside(*q));
    let place = inside(room)
        .or_else(|| room.across_seams(|room| inside(room)))
        .or_else(|| outside(room))
        .or_else(|| room.across_seams(|room| outside(room)));
    // Nowhere free: over the mark's foot, as a number must not be missing.
    let quad = place.unwrap_or_else(|| quad(-(MARK_MM + reach + 1.2), 0.0));
    write(drawing, quad, words, true);
    room.take(quad);
}

fn words_beside(drawing: &mut Drawing, room: &mut Room, at: Point, away: Vec2, words: &str) {
    let (width, height) = (font::text_width_mm(words, PT, false), font::em_mm(PT) * font::CAP_EM);
    let reach = away.x.abs() * width / 2.0 + away.y.abs() * height / 2.0;
    let side = away.turn_90() * (width / 2.0 + 2.5) * away.y.abs()
        + away.turn_90() * (height / 2.0 + 2.5) * away.x.abs();
    let places = [at + away * (reach + 2.0), at - away * reach + side, at - away * reach - side];
    let quad = |p: Point| Quad::new(p, width, height, 0.0);
    let free = places.into_iter().map(quad).find(|q| room.outside(*q));
    let quad = free.unwrap_or_else(|| quad(places[0]));
    write(drawing, quad, words, false);
    room.take(quad);
}

fn write(drawing: &mut Drawing, quad: Quad, words: &str, bold: bool) {
    drawing.text(Text {
        at: quad.middle - Vec2::new(0.0, quad.half.y),
        words: words.to_owned(),
        height_pt: PT,
        angle: 0.0,
        anchor: Anchor::Middle,
        bold,
        layer: Layer::Words,
    });
}

#[cfg(test)]
mod tests {
    use super::*;
    use coldwright_geometry::{EdgeKind, Length};
    use coldwright_job::{
        BevelAt, Edge, EdgeId, LayerStock, Place, Template, Tick, TickId, Wall, WallId, plan,
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
            let Wired::Pair(all, along) = wired(&w, piece) else { panic!("no pair") };
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
