//! Seams between the parts of a layer: what each part says along them, and marks that fit together across them.
//!
//! A mark is half a diamond with its flat side on the seam; both halves carry the same name and lie at the same place of the
//! wall, so that parts laid together show whole diamonds. Two marks of one seam lie at unequal distances from its ends: a part
//! turned round does not fit them.

use coldwright_export::{Drawing, Layer, Pen};
use coldwright_geometry::{
    Layer as Foam, Reaches, Ring, Seam as Cut, SeamSide, SeamStyle as Meets, split_by,
};
use coldwright_job::{CutStyle, Job, Plan, Seam, SeamStyle, Wall};
use kurbo::{BezPath, Point, Vec2};

use crate::edge_words::{Words, along, beside};
use crate::pattern;
use crate::room::{Quad, Room};
use crate::stations::Station;
use crate::wording::{self, Face};

/// Half the flat side of a mark, and how far it reaches into the piece, mm.
const MARK_MM: (f64, f64) = (3.0, 5.0);
/// Where marks lie on the stretch two parts share.
const PLACES: [f64; 2] = [0.3, 0.62];
/// A stretch shorter than this gets one mark, mm.
const SHORT_MM: f64 = 60.0;
/// A point so near to a line lies on it, mm; and so far beyond the seam's ends a bevelled face may reach, mm.
const ON_MM: f64 = 0.05;
const SLACK_MM: f64 = 40.0;
/// Parts that share less than this do not join there, mm.
const LEAST_MM: f64 = 2.0;

/// A stretch of a seam on one part.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SeamEdge {
    /// Ends of the stretch on the seam's own line less half the saw cut, the part on the left.
    from: Point,
    to: Point,
    /// Number of the part beyond, from 0.
    joins: usize,
    /// Places along the stretch from `from`, mm, and the names there.
    marks: Vec<(f64, String)>,
    reaches: Reaches,
}

/// For each part of a layer its seams; nothing where the layer is whole or the plan's seams no longer cut it.
pub(crate) fn of_layer(job: &Job, plan: &Plan, wall: &Wall, whole: &Foam) -> Vec<Vec<SeamEdge>> {
    let own = plan.seams.iter().find(|s| s.wall == wall.id && s.layer as usize == whole.number);
    let Some(own) = own.filter(|own| !own.seams.is_empty()) else { return Vec::new() };
    let cuts: Vec<Cut> = own.seams.iter().map(cut_of).collect();
    let parts = split_by(whole, &cuts, job.cutting.kerf.mm().min(20.0)).unwrap_or_default();
    let sides: Vec<Vec<SeamSide>> = parts.into_iter().map(|part| part.seams).collect();
    paired(&cuts, &sides)
}

/// The seams as each part meets them.
fn paired(cuts: &[Cut], parts: &[Vec<SeamSide>]) -> Vec<Vec<SeamEdge>> {
    let mut out: Vec<Vec<SeamEdge>> = parts.iter().map(|_| Vec::new()).collect();
    // How many marks each pair of parts has so far.
    let mut named = std::collections::BTreeMap::<(usize, usize), u32>::new();
    for (number, cut) in cuts.iter().enumerate() {
        let way = (cut.to - cut.from).normalize();
        let place = |p: Point| (p - cut.from).dot(way);
        let of = parts.iter().enumerate().flat_map(|(part, sides)| sides.iter().map(move |s| (part, s)));
        let of: Vec<(usize, &SeamSide)> = of.filter(|(_, s)| s.seam == number).collect();
        let (left, right): (Vec<_>, Vec<_>) =
            of.into_iter().partition(|(_, s)| (s.to - s.from).dot(way) > 0.0);
        for (a, on_left) in &left {
            for (b, on_right) in &right {
                let from = place(on_left.from).max(place(on_right.to));
                let to = place(on_left.to).min(place(on_right.from));
                if a == b || to - from < LEAST_MM {
                    continue;
                }
                let pair = (*a.min(b), *a.max(b));
                let count = named.entry(pair).or_default();
                let few = if to - from < SHORT_MM { 1 } else { PLACES.len() };
                let marks: Vec<(f64, String)> = PLACES[..few]
                    .iter()
                    .map(|share| {
                        *count += 1;
                        let letters = (wording::part_letters(pair.0), wording::part_letters(pair.1));
                        (from + (to - from) * share, format!("{}-{} {count}", letters.0, letters.1))
                    })
                    .collect();
                let on = |side: &SeamSide, t: f64| side.from + way * (t - place(side.from));
                out[*a].push(SeamEdge {
                    from: on(on_left, from),
                    to: on(on_left, to),
                    joins: *b,
                    marks: marks.iter().map(|(t, name)| (t - from, name.clone())).collect(),
                    reaches: on_left.reaches,
                });
                out[*b].push(SeamEdge {
                    from: on(on_right, to),
                    to: on(on_right, from),
                    joins: *a,
                    marks: marks.iter().map(|(t, name)| (to - t, name.clone())).collect(),
                    reaches: on_right.reaches,
                });
            }
        }
    }
    out
}

fn cut_of(seam: &Seam) -> Cut {
    let style = match seam.style {
        SeamStyle::Butt => Meets::Butt,
        SeamStyle::HalfLap(width) => Meets::HalfLap { width: width.mm() },
    };
    Cut { from: seam.from, to: seam.to, style }
}

/// "a", "a and c": the parts beyond, each once.
pub(crate) fn joined(edges: &[SeamEdge]) -> String {
    let mut parts: Vec<usize> = edges.iter().map(|edge| edge.joins).collect();
    parts.sort_unstable();
    parts.dedup();
    let letters: Vec<String> = parts.into_iter().map(wording::part_letters).collect();
    match letters.split_last() {
        Some((last, rest)) if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
        _ => letters.concat(),
    }
}

impl SeamEdge {
    fn way(&self) -> Vec2 {
        (self.to - self.from).normalize()
    }

    /// Which way the seam faces, out of the part.
    pub(crate) fn outward(&self) -> Vec2 {
        -self.way().turn_90()
    }

    /// Whether half the thickness of one part reaches over the other.
    pub(crate) fn overlaps(&self) -> bool {
        self.past() > 0.0
    }

    /// How far past the seam's line the overlap reaches, mm.
    fn past(&self) -> f64 {
        match self.reaches {
            Reaches::Neither => 0.0,
            Reaches::HullHalf(past) | Reaches::BoxHalf(past) => past,
        }
    }

    /// How far beyond the seam's line the box face ends, mm.
    fn beyond(&self) -> f64 {
        match self.reaches {
            Reaches::HullHalf(past) => -past,
            _ => self.past(),
        }
    }

    /// Whether the box half of the overlap comes off, and all that is drawn on it.
    fn loses_box_half(&self) -> bool {
        matches!(self.reaches, Reaches::HullHalf(past) if past > 0.0)
    }

    /// Whether a point of the box face lies on its end at this seam.
    fn ends_at(&self, p: Point) -> bool {
        let v = p - (self.from + self.outward() * self.beyond());
        let slack = self.past() + SLACK_MM;
        let along = v.dot(self.way());
        v.dot(self.outward()).abs() < ON_MM && along > -slack && along < self.from.distance(self.to) + slack
    }

    /// Lines beside the faces: up to where half the thickness comes off, where no face shows it.
    pub(crate) fn lines(&self, drawing: &mut Drawing, cut: CutStyle, faces: &[Ring]) {
        if let Some((from, to)) = self.rebate(cut, faces) {
            drawing.straight(from, to, Pen::OTHER_FACE, Layer::OtherFace);
        }
    }

    /// Where half the thickness comes off up to, as far as it lies on the piece.
    fn rebate(&self, cut: CutStyle, faces: &[Ring]) -> Option<(Point, Point)> {
        let shown = cut == CutStyle::Bevelled && !self.loses_box_half();
        if self.past() <= 0.0 || shown {
            return None;
        }
        let (way, start) = (self.way(), self.from - self.outward() * self.past());
        let length = self.from.distance(self.to);
        let sides = faces.iter().flat_map(|ring| ring.outer.iter().zip(ring.outer.iter().cycle().skip(1)));
        let crossings = sides.filter_map(|(a, b)| {
            let (p, q) = (way.cross(*a - start), way.cross(*b - start));
            let at = a.lerp(*b, if (p > 0.0) != (q > 0.0) { p / (p - q) } else { return None });
            Some((at - start).dot(way))
        });
        let places: Vec<f64> = crossings.map(|t| t.clamp(0.0, length)).collect();
        let least = places.iter().copied().reduce(f64::min)?;
        let most = places.iter().copied().reduce(f64::max)?;
        (most - least > LEAST_MM).then(|| (start + way * least, start + way * most))
    }

    /// Marks and words along the seam.
    pub(crate) fn write(&self, drawing: &mut Drawing, room: &mut Room, cut: &pattern::Cut<'_>) {
        let (way, outward) = (self.way(), self.outward());
        let line = outward * self.beyond();
        if let Some((a, b)) = self.rebate(cut.wall.cut, &cut.up()) {
            room.take(Quad::new(a.midpoint(b), a.distance(b), 0.4, way.atan2()));
            if self.loses_box_half() {
                // Nothing is written on what comes off.
                let middle = a.midpoint(b) + outward * self.past();
                room.take(Quad::new(middle, a.distance(b), 2.0 * self.past(), way.atan2()));
            }
        }
        for (at, name) in &self.marks {
            let foot = self.from + way * *at + line;
            let tip = foot - outward * MARK_MM.1;
            let mut path = BezPath::new();
            path.move_to(foot - way * MARK_MM.0);
            path.line_to(foot + way * MARK_MM.0);
            path.line_to(tip);
            path.close_path();
            drawing.fill(path, 0.0, Layer::Marks);
            room.take(Quad::new(foot.midpoint(tip), 2.0 * MARK_MM.0, MARK_MM.1, way.atan2()));
            let rows = [Words { name: Some(name.clone()), rest: String::new() }];
            place(drawing, room, (tip, outward), 16.0, &[rows.to_vec()]);
        }
        let name = Words {
            name: Some(format!("joins {}", wording::mark(cut.name, cut.foam.number, Some(self.joins)))),
            rest: String::new(),
        };
        let said = self.said();
        let rest = |words: &str| Words { name: None, rest: words.to_owned() };
        let variants = [
            vec![Words { rest: said.join(", "), ..name.clone() }],
            vec![name.clone(), rest(&said.join(", "))],
            std::iter::once(name).chain(said.iter().map(|words| rest(words))).collect(),
        ];
        let slide = self.from.distance(self.to) / 2.0;
        place(drawing, room, (self.from.midpoint(self.to) + line, outward), slide.max(20.0), &variants);
    }

    /// How the parts meet, and what to do for it.
    fn said(&self) -> Vec<String> {
        let off = match self.reaches {
            Reaches::Neither => return vec!["seam cut square".to_owned()],
            Reaches::HullHalf(_) => Face::Box,
            Reaches::BoxHalf(_) => Face::Hull,
        };
        vec![
            "cut through square at the solid line".to_owned(),
            format!("then half the thickness off the {}", off.side()),
            "up to the dashed line".to_owned(),
        ]
    }
}

/// The box face's rings of a part, carried out to where the hull half reaches over its seams: the line to cut through. Other
/// cuts have that line already.
pub(crate) fn through(rings: &[Ring], edges: &[SeamEdge], cut: CutStyle) -> Vec<Ring> {
    if cut != CutStyle::Bevelled || !edges.iter().any(SeamEdge::loses_box_half) {
        return rings.to_vec();
    }
    let one = |ring: &Ring| Ring { outer: carried(&ring.outer, edges), holes: ring.holes.clone() };
    rings.iter().map(one).collect()
}

fn carried(ring: &[Point], edges: &[SeamEdge]) -> Vec<Point> {
    let on = |p: Point| edges.iter().filter(move |edge| edge.loses_box_half() && edge.ends_at(p));
    let count = ring.len();
    let moved = |(i, p): (usize, &Point)| {
        let Some(edge) = on(*p).next() else { return *p };
        let (out, by) = (edge.outward(), 2.0 * edge.past());
        // In the corner of two seams, along both.
        if let Some(other) = on(*p).find(|other| other.outward().cross(out).abs() > 0.1) {
            let (n, d) = (other.outward(), 2.0 * other.past());
            let turn = out.cross(n);
            return *p + Vec2::new(by * n.y - d * out.y, d * out.x - by * n.x) / turn;
        }
        // At an end of the seam, in the direction of the edge that comes in there.
        let beside = [ring.get((i + count - 1) % count), ring.get((i + 1) % count)];
        let comes = beside.into_iter().flatten().find(|q| !edge.ends_at(**q)).map(|q| *p - *q);
        match comes.filter(|way| way.dot(out) > 0.2 * way.hypot()) {
            Some(way) => *p + way * (by / way.dot(out)),
            None => *p + out * by,
        }
    };
    ring.iter().enumerate().map(moved).collect()
}

/// Rows along the seam inside the piece, the first variant that fits; else beside it.
pub(crate) fn place(
    drawing: &mut Drawing,
    room: &mut Room,
    at: (Point, Vec2),
    slide: f64,
    variants: &[Vec<Words>],
) {
    let mut inside = |room: &mut Room| variants.iter().any(|rows| along(drawing, room, at, slide, rows));
    let done = room.on_first_face(|room| inside(room) || room.across_seams(&mut inside));
    if !done && let Some(rows) = variants.last() {
        beside(drawing, room, &Station { hull: at.0, inner: at.0, outward: at.1, angle: 0.0 }, rows);
    }
}
