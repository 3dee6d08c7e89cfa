//! A plain box typed before any template exists: its walls and joints put into the job at once.

use coldwright_geometry as geo;
use coldwright_geometry::Length;

use crate::corners::{EdgeOf, Joint, JointId, JointKind};
use crate::document::{EdgeId, Job, LayerStock, Stands, TickId, Wall, WallId};
use crate::error::JobError;
use crate::template::{BevelAt, Edge, Place, Template, Tick};

/// The empty space of a four-sided box with one leaning side, as a person types it.
#[derive(Clone, Debug, PartialEq)]
pub struct TypedBox {
    /// Fore and aft.
    pub length: Length,
    /// Athwart at the bottom.
    pub width: Length,
    /// Height.
    pub depth: Length,
    /// How far the hull side leans out going up, degrees from upright.
    pub lean_deg: f64,
    /// Layers of every wall, outer to inner.
    pub layers: Vec<LayerStock>,
    /// With a wall on top.
    pub top: bool,
    /// How every joint is made.
    pub kind: JointKind,
}

impl Default for TypedBox {
    fn default() -> Self {
        TypedBox {
            length: Length::from_micrometres(900_000),
            width: Length::from_micrometres(500_000),
            depth: Length::from_micrometres(550_000),
            lean_deg: 0.0,
            layers: vec![LayerStock::default(); 4],
            top: false,
            kind: JointKind::default(),
        }
    }
}

/// How well a typed size is known, mm.
const SD: f64 = 1.0;

/// Adds the walls and joints of a typed box.
pub(crate) fn apply(job: &mut Job, typed: &TypedBox) -> Result<(), JobError> {
    if typed.layers.is_empty() {
        return Err(JobError::NoLayers("the box".to_owned()));
    }
    let kind = match typed.kind {
        JointKind::RunsPast => geo::JointKind::RunsPast,
        JointKind::StopsShort => geo::JointKind::StopsShort,
        JointKind::Woven { first_runs } => geo::JointKind::Woven { a_first: first_runs },
        JointKind::Mitred => geo::JointKind::Mitred,
    };
    let plain = geo::PlainBox {
        length: typed.length.mm(),
        width: typed.width.mm(),
        depth: typed.depth.mm(),
        lean: typed.lean_deg.to_radians(),
        thicknesses: typed.layers.iter().map(|l| l.thickness.mm()).collect(),
        top: typed.top,
        kind,
        sd: SD,
    };
    let (walls, joints) = geo::plain_box(&plain).map_err(|why| JobError::Box(why.words(job.units.show())))?;
    let mut made: Vec<(WallId, Vec<(u32, EdgeId)>)> = Vec::new();
    for wall in &walls {
        let (template, edges) = template(job, wall);
        let id = WallId(job.take_id());
        let name = free_name(job, &wall.name);
        let stands = match wall.stand {
            geo::Stand::Floor => Stands::Floor,
            geo::Stand::Side => Stands::Upright,
            geo::Stand::Top => Stands::Lid,
        };
        job.walls.push(Wall { id, name, stands, template, layers: typed.layers.clone(), ..Wall::default() });
        made.push((id, edges));
    }
    let edge = |at: geo::EdgeAt| {
        let (wall, edges) = made.get(at.wall)?;
        Some(EdgeOf { wall: *wall, edge: edges.iter().find(|e| e.0 == at.edge)?.1 })
    };
    for joint in &joints {
        let (Some(a), Some(b)) = (edge(joint.a), edge(joint.b)) else { continue };
        let degrees = joint.angle.map(f64::to_degrees);
        let id = JointId(job.take_id());
        job.joints.push(Joint { id, a, b, kind: typed.kind, degrees });
    }
    Ok(())
}

/// The wall's outline as typed ticks, each corner shared by its two edges; and each edge's new number.
fn template(job: &mut Job, wall: &geo::BoxWall) -> (Template, Vec<(u32, EdgeId)>) {
    let sides = wall.shape.outline.sides();
    let corners: Vec<(TickId, geo::Point)> =
        sides.iter().filter_map(|s| s.edge.ticks.first()).map(|t| (TickId(job.take_id()), t.at)).collect();
    let mut edges = Vec::new();
    let mut numbers = Vec::new();
    let mut base: Option<(f64, EdgeId)> = None;
    for (i, side) in sides.iter().enumerate() {
        let id = EdgeId(job.take_id());
        let (from, to) = (corners[i], corners[(i + 1) % corners.len()]);
        // The bottom edge runs to the right; of several that do, the lowest.
        let low = 0.5 * (from.1.y + to.1.y);
        if to.1.x > from.1.x && base.is_none_or(|b| low < b.0) {
            base = Some((low, id));
        }
        let name = side.edge.name.clone();
        edges.push(Edge {
            id,
            name: crate::problem::sentence_case(&name).trim_end_matches('.').to_owned(),
            kind: geo::EdgeKind::Straight,
            ticks: vec![from.0, to.0],
            bevel: vec![BevelAt { at: 0.0, degrees: side.edge.bevel.at(0.0).to_degrees() }],
            gap: Length::default(),
            smoothing: Length::default(),
        });
        numbers.push((side.edge.id, id));
    }
    let ticks = corners.iter().map(|(id, at)| Tick { id: *id, place: Place::Typed { at: *at, sd: SD } });
    let template = Template { ticks: ticks.collect(), edges, base: base.map(|b| b.1), ..Template::default() };
    (template, numbers)
}

/// The name with a capital, and a number where a wall has it already.
fn free_name(job: &Job, name: &str) -> String {
    let plain = crate::problem::sentence_case(name).trim_end_matches('.').to_owned();
    let taken = |name: &str| job.walls.iter().any(|w| w.name.to_lowercase() == name.to_lowercase());
    if !taken(&plain) {
        return plain;
    }
    (b'B'..=b'Z')
        .map(|c| format!("{plain} {}", char::from(c)))
        .find(|n| !taken(n))
        .unwrap_or_else(|| job.free_wall_name())
}
