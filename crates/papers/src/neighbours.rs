//! Where another wall's pieces meet a piece: in words along the edge, and by a mark that lies at the same place of the corner on
//! both walls.
//!
//! Two walls' edges that meet run against each other, both seen from inside the box: what is so far from the start of one is as
//! far from the end of the other. Marks lie off the middle, so that a piece turned round does not fit its neighbour's.

use coldwright_export::{Drawing, Layer, Pen};
use coldwright_geometry::{Layer as Foam, Outline, Ring, Side};
use coldwright_job::{EdgeOf, Job, Plan, Wall};
use kurbo::{BezPath, Point, Vec2};

use crate::edge_words::Words;
use crate::faced::{Sides, looks, out_to};
use crate::room::{Quad, Room};
use crate::seams;
use crate::stations::at_fraction;
use crate::wording;

/// Half the width of a mark at the edge, and how far it reaches into the piece, mm.
const MARK_MM: (f64, f64) = (2.5, 6.0);
/// Where a mark lies on the shorter of the two edges.
const SHARE: f64 = 0.38;
/// Edges shorter than this carry no mark, mm.
const SHORT_MM: f64 = 40.0;
/// Farthest a layer's edge may stand off the template's, mm.
const FARTHEST_MM: f64 = 400.0;

/// A square cut lies so much at most beside the faces, and the gap between them, mm.
const NEAR_MM: f64 = 0.5;

/// Another wall's pieces at one edge of a layer.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Meeting {
    /// The edge.
    pub(crate) edge: u32,
    /// "meets Floor 2", "runs past Floor".
    words: String,
    /// The mark's name, and how far it is along the template's edge from its start, mm.
    mark: Option<(String, f64)>,
}

/// A meeting as one piece has it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Met {
    /// The edge.
    pub(crate) edge: u32,
    /// "meets Floor 2 at J1", "runs past Floor".
    pub(crate) words: String,
    /// The mark's name, its place on the line to cut along, and the outward direction there; none where the piece ends before
    /// it.
    mark: Option<(String, Point, Vec2)>,
}

/// What layer `number` of a wall meets at its joints, in the order of the job's joints.
pub(crate) fn meetings(job: &Job, plan: &Plan, wall: &Wall, number: usize) -> Vec<Meeting> {
    let mut out = Vec::new();
    for (joint, count) in job.joints.iter().zip(1..) {
        let (own, other, first) = if joint.a.wall == wall.id {
            (joint.a, joint.b, true)
        } else if joint.b.wall == wall.id {
            (joint.b, joint.a, false)
        } else {
            continue;
        };
        let Some(beyond) = job.wall(other.wall) else { continue };
        let name = wording::wall_name(job, beyond);
        let words = match joint.meets(first, number, beyond.layers.len()) {
            Some(layer) => format!("meets {}", wording::mark(&name, layer, None)),
            None => format!("runs past {name}"),
        };
        let long = |at: EdgeOf| length(plan, at);
        let mark = long(own).zip(long(other)).filter(|(a, b)| a.min(*b) >= SHORT_MM).map(|(mine, theirs)| {
            let along = SHARE * mine.min(theirs);
            (format!("J{count}"), if first { along } else { mine - along })
        });
        out.push(Meeting { edge: own.edge.0, words, mark });
    }
    out
}

fn length(plan: &Plan, at: EdgeOf) -> Option<f64> {
    let outline = plan.wall(at.wall)?.outline.as_deref()?;
    side(outline, at.edge.0).map(|side| side.length)
}

fn side(outline: &Outline, edge: u32) -> Option<&Side> {
    outline.sides().iter().find(|side| side.edge.id == edge)
}

impl Meeting {
    /// The same on one piece with its sides; `up` are the lines to cut along.
    pub(crate) fn on(&self, outline: &Outline, (foam, faces): (&Foam, &[Sides]), up: &[Ring]) -> Met {
        let place = |along: f64| {
            let side = side(outline, self.edge)?;
            let (p, outward) = at_fraction(side, along / side.length)?;
            Some((on_edge(up, p, outward)?, outward))
        };
        // A part may end before the mark, at a seam: that is no place for it.
        let near = foam.largest_gap + NEAR_MM;
        let own = |at: Point| {
            faces.iter().flat_map(|faces| &faces.all).any(|side| side.lies_on(self.edge, at, near))
        };
        let mark = self.mark.as_ref().and_then(|(name, along)| {
            let (at, outward) = place(*along).filter(|(at, _)| own(*at))?;
            Some((name.clone(), at, outward))
        });
        let words =
            mark.as_ref().map_or(self.words.clone(), |(name, ..)| format!("{} at {name}", self.words));
        Met { edge: self.edge, words, mark }
    }
}

impl Met {
    /// The mark with its name.
    pub(crate) fn write(&self, drawing: &mut Drawing, room: &mut Room) {
        let Some((name, at, outward)) = &self.mark else { return };
        let (at, outward) = (*at, *outward);
        let (way, tip) = (outward.turn_90(), at - outward * MARK_MM.1);
        let mut path = BezPath::new();
        path.move_to(at - way * MARK_MM.0);
        path.line_to(tip);
        path.line_to(at + way * MARK_MM.0);
        drawing.line(path, Pen::MARK_END, Layer::Marks);
        room.take(Quad::new(at.midpoint(tip), 2.0 * MARK_MM.0, MARK_MM.1, way.atan2()));
        let rows = [vec![Words { name: Some(name.clone()), rest: String::new() }]];
        seams::place(drawing, room, (tip, outward), 16.0, &rows);
    }
}

/// Where the line through `p` along `outward` leaves the piece nearest to `p`, at an edge that faces the same way.
fn on_edge(rings: &[Ring], p: Point, outward: Vec2) -> Option<Point> {
    let sides = rings.iter().flat_map(|ring| ring.outer.iter().zip(ring.outer.iter().cycle().skip(1)));
    let facing = sides.filter(|(a, b)| looks(**a, **b, outward));
    let out = facing.filter_map(|(a, b)| out_to(p, outward, *a, *b)).filter(|out| out.abs() < FARTHEST_MM);
    out.min_by(|a, b| a.abs().total_cmp(&b.abs())).map(|out| p + outward * out)
}
