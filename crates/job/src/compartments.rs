//! A second compartment behind a wall of the first: a freezer beside the fridge.
//!
//! The wall between two compartments is two walls back to back, one of each: each compartment has walls, joints, layers and an
//! opening of its own, and what stands between them is as thick as both together.

use std::collections::HashSet;

use coldwright_geometry as geo;
use coldwright_geometry::Length;

use crate::document::{EdgeId, Job, LayerStock, TickId, Wall, WallId};

use crate::edit::{Edit, said};
use crate::edit_shop::check_opening;
use crate::error::JobError;
use crate::plan::Plan;
use crate::template::{BevelAt, Edge, Place, TakenAt, Template, Tick};
use crate::workshop::Opening;

/// A compartment behind a wall of another.
#[derive(Clone, Debug, PartialEq)]
pub struct Compartment {
    /// Its own wall at the divider, by which it is known; the walls joined to it are its walls.
    pub back: WallId,
    /// The wall of the other compartment that it stands back to back with.
    pub front: WallId,
    /// What the person calls it.
    pub name: String,
    /// The hole its pieces must pass; `None` where nothing is in the way.
    pub opening: Option<Opening>,
}

/// How well the divider's far face is known from the near one, mm.
const SD: f64 = 1.0;

impl Job {
    /// The compartment a wall belongs to; `None` for the first one's walls and walls joined to nothing.
    pub fn compartment_of(&self, wall: WallId) -> Option<&Compartment> {
        if self.compartments.is_empty() {
            return None;
        }
        let (mut seen, mut next) = (HashSet::from([wall]), vec![wall]);
        while let Some(at) = next.pop() {
            for joint in self.joints.iter().filter(|j| j.a.wall == at || j.b.wall == at) {
                next.extend([joint.a.wall, joint.b.wall].into_iter().filter(|w| seen.insert(*w)));
            }
        }
        self.compartments.iter().find(|c| seen.contains(&c.back))
    }

    /// The opening that the pieces of a wall must pass: its compartment's own, else the job's.
    pub fn opening_of(&self, wall: WallId) -> Option<Opening> {
        self.compartment_of(wall).map_or(self.opening, |c| c.opening)
    }
}

/// The edit that begins a compartment behind a wall: its own wall at the divider as the outline of that wall is seen from the
/// other side, with the same layers.
///
/// # Errors
/// [`JobError::NoWall`]; [`JobError::Compartment`] for a wall that has no closed outline at its outer face yet, or one already
/// between two compartments.
pub fn compartment_behind(job: &Job, plan: &Plan, front: WallId, name: &str) -> Result<Edit, JobError> {
    let wall = job.wall(front).ok_or(JobError::NoWall(front))?;
    let refuse = |why: &str| JobError::Compartment { wall: wall.name.clone(), why: why.to_owned() };
    let outline = plan.wall(front).and_then(|p| p.outline.as_deref());
    let outline = outline.ok_or_else(|| refuse("has no closed outline yet; trace its template first"))?;
    if !wall.further.is_empty() || !matches!(wall.template.taken_at, TakenAt::FromOuter(l) if l.mm() < 0.5) {
        return Err(refuse(
            "was not measured at its outer face; measure it there, where both compartments meet",
        ));
    }
    let sides: Vec<geo::Edge> = outline.sides().iter().map(|s| s.edge.clone()).collect();
    let mirrored = geo::mirror_edges(&sides).into_iter().map(|e| MirroredEdge {
        // What leans open on one side leans under on the other.
        bevel: e
            .bevel
            .stations()
            .iter()
            .map(|s| BevelAt { at: s.at, degrees: -s.angle.to_degrees() })
            .collect(),
        base: wall.template.base.is_some_and(|b| b.0 == e.id),
        ticks: e.ticks.iter().map(|t| t.at).collect(),
        name: e.name,
        kind: e.kind,
    });
    let edges = mirrored.collect();
    Ok(Edit::AddCompartment { front, name: name.to_owned(), edges, layers: wall.layers.clone() })
}

/// An edge of a divider as it is seen from its other side.
#[derive(Clone, Debug, PartialEq)]
pub struct MirroredEdge {
    /// What the person calls it.
    pub name: String,
    /// Straight or fair.
    pub kind: geo::EdgeKind,
    /// Its ticks, mm, seen from the second compartment.
    pub ticks: Vec<kurbo::Point>,
    /// Its bevels: what leans open on one side leans under on the other.
    pub bevel: Vec<BevelAt>,
    /// Whether it is the bottom (or after) edge.
    pub base: bool,
}

/// Adds a compartment's first wall.
pub(crate) fn add(
    job: &mut Job,
    front: WallId,
    name: &str,
    edges: &[MirroredEdge],
    layers: &[LayerStock],
) -> Result<(), JobError> {
    let wall = job.wall(front).ok_or(JobError::NoWall(front))?;
    let (of, stands) = (wall.name.clone(), wall.stands);
    let refuse = |why: &str| JobError::Compartment { wall: of.clone(), why: why.to_owned() };
    let name = said(name, "the compartment")?;
    if job.compartments.iter().any(|c| c.front == front || c.back == front) {
        return Err(refuse("stands between two compartments already; choose another wall"));
    }
    if job.compartments.iter().any(|c| c.name.to_lowercase() == name.to_lowercase()) {
        return Err(refuse("cannot have two compartments of one name behind it; give another name"));
    }
    crate::edit_wall::check_layers(layers, &name)?;
    let mut template = Template::default();
    for edge in edges {
        crate::edit_wall::check_bevel(&edge.bevel, &edge.name)?;
        let mut ticks = Vec::with_capacity(edge.ticks.len());
        for at in &edge.ticks {
            let place = Place::Typed { at: *at, sd: SD };
            crate::edit_wall::check_place(&place)?;
            // A corner measured once is a tick of both edges.
            let same = template.ticks.iter().find(|t: &&Tick| t.place == place).map(|t| t.id);
            let id = same.unwrap_or_else(|| TickId(job.take_id()));
            if same.is_none() {
                template.ticks.push(Tick { id, place });
            }
            ticks.push(id);
        }
        if ticks.is_empty() {
            return Err(JobError::NoTicks(edge.name.clone()));
        }
        let id = EdgeId(job.take_id());
        if edge.base {
            template.base = Some(id);
        }
        let (gap, smoothing) = (Length::default(), Length::default());
        let bevel = edge.bevel.clone();
        template.edges.push(Edge {
            id,
            name: edge.name.clone(),
            kind: edge.kind,
            ticks,
            bevel,
            gap,
            smoothing,
        });
    }
    let back = WallId(job.take_id());
    let mut called = format!("{name}, {}", of.to_lowercase());
    if job.walls.iter().any(|w| w.name.to_lowercase() == called.to_lowercase()) {
        called = job.free_wall_name();
    }
    job.walls.push(Wall {
        id: back,
        name: called,
        stands,
        template,
        layers: layers.to_vec(),
        ..Wall::default()
    });
    job.compartments.push(Compartment { back, front, name, opening: None });
    Ok(())
}

/// Gives a compartment its opening.
pub(crate) fn set_opening(job: &mut Job, back: WallId, opening: Option<Opening>) -> Result<(), JobError> {
    opening.as_ref().map_or(Ok(()), |o| check_opening(job, o))?;
    let one = job.compartments.iter_mut().find(|c| c.back == back).ok_or(JobError::NoWall(back))?;
    one.opening = opening;
    Ok(())
}
