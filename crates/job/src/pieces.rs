//! Pieces: what is cut, each with its mark, its shape on the sheet and whether it passes the opening.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{Layer, LayerSet, Point, Ring, Severity};

use crate::document::{CutStyle, Job, Units, Wall, WallId};
use crate::hollowed;
use crate::layered;
use crate::passing::{self, Passes};
use crate::plan::WallPlan;
use crate::problem::{Problem, Step};
use crate::seams;
use crate::workshop::{Cutting, LayerSeams, Opening, PieceId, Seam, StockSheet};

/// One piece to cut.
#[derive(Clone, Debug)]
pub struct PlannedPiece {
    /// Its name in the document.
    pub id: PieceId,
    /// The mark on it: wall, layer, and a letter where the layer is in parts.
    pub mark: String,
    /// How many parts its layer is cut into.
    pub parts: usize,
    /// Its two faces, bevels and volumes, in the wall's frame.
    pub layer: Arc<Layer>,
    /// What is cut from the sheet: the outline that takes in every depth where edges are bevelled or trimmed later, else the
    /// square cut; mm in the wall's frame, counter-clockwise.
    pub outline: Vec<Point>,
    /// Measured thickness, mm.
    pub thickness: f64,
    /// What it is made of.
    pub material: String,
    /// Whether it passes the opening; `None` where the job has none.
    pub passes: Option<Passes>,
    /// Its turn in the fitting order, from 0.
    pub turn: usize,
    /// Its turn at the saw, from 0: see [`crate::CUTTING_RULE`].
    pub cut: usize,
}

/// The seams of one layer as they are cut: by hand or worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedSeams {
    /// The wall.
    pub wall: WallId,
    /// 1 = outermost.
    pub layer: u32,
    /// Whether a person laid them.
    pub by_hand: bool,
    /// The seams.
    pub seams: Vec<Seam>,
}

/// What the cutting of one wall's layers follows from, and what came of it.
#[derive(Debug)]
pub(crate) struct Kept {
    set: Arc<LayerSet>,
    wall: Wall,
    opening: Option<Opening>,
    cutting: Cutting,
    stock: Vec<StockSheet>,
    by_hand: Vec<LayerSeams>,
    hollow: Option<Arc<hollowed::HollowPlan>>,
    units: Units,
    /// Free depth behind the opening when each layer goes in, mm; none where it is not measured.
    rooms: Vec<f64>,
    result: (Vec<PlannedPiece>, Vec<PlannedSeams>, Vec<Problem>),
}

impl Kept {
    fn holds(&self, job: &Job, wall: &Wall, plan: &WallPlan, set: &Arc<LayerSet>, rooms: &[f64]) -> bool {
        let same_wall = self.wall.id == wall.id
            && self.wall.name == wall.name
            && self.wall.cut == wall.cut
            && self.wall.layers == wall.layers
            && self.wall.liner == wall.liner;
        same_wall
            && layered::same(&self.set, set)
            && self.opening == job.opening_of(wall.id)
            && self.cutting == job.cutting
            && self.stock == job.stock
            && self.units == job.units
            && self.rooms == rooms
            && self.hollow == plan.hollow
            && self.by_hand == by_hand(job, wall.id)
    }
}

fn by_hand(job: &Job, wall: WallId) -> Vec<LayerSeams> {
    job.seams.iter().filter(|s| s.wall == wall).cloned().collect()
}

/// Cuts every layer of every wall into pieces; walls whose cutting follows from the same things are not cut again.
pub(crate) fn cut(
    job: &Job,
    walls: &[WallPlan],
    kept: &mut Vec<Kept>,
    problems: &mut Vec<Problem>,
) -> (Vec<PlannedPiece>, Vec<PlannedSeams>) {
    let behind = passing::rooms(job);
    let mut now = Vec::with_capacity(walls.len());
    for plan in walls {
        let (Some(wall), Some(set)) = (job.wall(plan.id), plan.layers.as_ref()) else { continue };
        let rooms: Vec<f64> = (1..=wall.layer_count() as u32)
            .filter_map(|layer| behind.get(&(wall.id, layer)).copied())
            .collect();
        let old =
            kept.iter().position(|k| k.holds(job, wall, plan, set, &rooms)).map(|at| kept.swap_remove(at));
        now.push(old.unwrap_or_else(|| Kept {
            set: set.clone(),
            wall: wall.clone(),
            opening: job.opening_of(wall.id),
            cutting: job.cutting,
            stock: job.stock.clone(),
            by_hand: by_hand(job, wall.id),
            units: job.units,
            result: of_wall(job, wall, plan, set, &rooms),
            hollow: plan.hollow.clone(),
            rooms,
        }));
    }
    let (mut pieces, mut seams) = (Vec::new(), Vec::new());
    for one in &now {
        pieces.extend(one.result.0.iter().cloned());
        seams.extend(one.result.1.iter().cloned());
        problems.extend(one.result.2.iter().cloned());
    }
    *kept = now;
    (pieces, seams)
}

fn of_wall(
    job: &Job,
    wall: &Wall,
    plan: &WallPlan,
    set: &LayerSet,
    rooms: &[f64],
) -> (Vec<PlannedPiece>, Vec<PlannedSeams>, Vec<Problem>) {
    let (mut pieces, mut planned, mut problems) = (Vec::new(), Vec::new(), Vec::new());
    let hand = by_hand(job, wall.id);
    let mut before: Vec<geo::Seam> = Vec::new();
    for layer in &set.layers {
        let (number, told) = (layer.number as u32, problems.len());
        let of_layer = |n: u32| hand.iter().find(|s| s.layer == n);
        let mut neighbours = before.clone();
        neighbours.extend(of_layer(number + 1).iter().flat_map(|s| &s.seams).map(seams::to_geometry));
        let laid = of_layer(number);
        let lines = match laid {
            Some(s) => s.seams.iter().map(seams::to_geometry).collect(),
            None if let Some(joints) = hollowed::joints(plan, layer) => joints,
            None => {
                let room = rooms.get(layer.number - 1).copied();
                seams::worked_out(job, wall, layer, &neighbours, room, &mut problems)
            }
        };
        // Strips are sawn each to its own width, with the cut beside it.
        let kerf = if hollowed::is_strips(plan, layer) { 0.0 } else { job.cutting.kerf.mm().min(20.0) };
        let cut = geo::split_by(layer, &lines, kerf);
        let parts = match cut {
            Ok(parts) => {
                if laid.is_some() {
                    seams::by_hand(job, wall, layer, &lines, &neighbours, &mut problems);
                }
                parts
            }
            Err(why) => {
                let sentence = format!("{} {number}: {}", wall.name, why.words(job.units.show()));
                problems.push(Problem::new(Step::Pieces, Severity::Stop, wall.id, sentence));
                geo::split_by(layer, &[], 0.0).unwrap_or_default()
            }
        };
        if parts.is_empty() && problems.len() == told {
            let sentence = format!(
                "{} {number} has no foam left to cut. Look at its thickness and its bevels",
                wall.name
            );
            problems.push(Problem::new(Step::Pieces, Severity::Stop, wall.id, sentence));
        }
        let parts = hollowed::bevelled(plan, wall.cut, layer, parts);
        for part in &parts {
            match piece(wall, layer, part, parts.len()) {
                Ok(piece) => {
                    problems.extend(spoiled(job, wall, part, &piece, laid.is_some()));
                    pieces.push(piece);
                }
                Err(lost) => problems.push(lost),
            }
        }
        if !lines.is_empty() {
            let seams = lines.iter().map(seams::from_geometry).collect();
            planned.push(PlannedSeams { wall: wall.id, layer: number, by_hand: laid.is_some(), seams });
        }
        before = lines;
    }
    (pieces, planned, problems)
}

/// The piece a part is cut as, or why there is none.
fn piece(wall: &Wall, layer: &Layer, part: &geo::Part, parts: usize) -> Result<PlannedPiece, Problem> {
    let letter = if parts > 1 { format!(" {}", part.letter()) } else { String::new() };
    let mark = format!("{} {}{letter}", wall.name, layer.number);
    let rings = sheet_rings(wall.cut, &part.layer);
    let Some(ring) = rings.iter().max_by(|a, b| a.area().total_cmp(&b.area())) else {
        let sentence = format!(
            "{mark} is lost: its bevels leave nothing common to both faces, so no square cut fits in it. Cut the wall to its \
             bevels or square and filling, or move the seam",
        );
        return Err(Problem::new(Step::Pieces, Severity::Stop, wall.id, sentence));
    };
    Ok(PlannedPiece {
        id: PieceId { wall: wall.id, layer: layer.number as u32, part: part.index as u32 },
        mark,
        parts,
        layer: Arc::new(part.layer.clone()),
        outline: ring.outer.clone(),
        thickness: layer.to - layer.from,
        material: wall.material(layer.number).to_owned(),
        passes: None,
        turn: 0,
        cut: 0,
    })
}

/// What is lost or risky of a piece as it is cut: a square cut in several parts, a sliver a person has cut off.
fn spoiled(job: &Job, wall: &Wall, part: &geo::Part, piece: &PlannedPiece, by_hand: bool) -> Vec<Problem> {
    let mut out = Vec::new();
    let mut say = |sentence: String| out.push(Problem::new(Step::Pieces, Severity::Look, wall.id, sentence));
    let others = sheet_rings(wall.cut, &part.layer).len().saturating_sub(1);
    if others > 0 {
        say(format!(
            "The square cut of {} falls apart, and only its largest part is laid on a sheet. Fill the rest, or cut the wall to its \
             bevels",
            piece.mark
        ));
    }
    let width = geo::narrowest(&piece.outline).map_or(0.0, |e| e.width);
    let least = geo::SplitRules::default().least;
    if by_hand && width < least {
        say(format!(
            "{} is only {} wide and breaks easily. Move its seam so that it is {} or more",
            piece.mark,
            job.show_mm(width),
            job.show_mm(least)
        ));
    }
    out
}

/// What is cut from the sheet.
fn sheet_rings(cut: CutStyle, layer: &Layer) -> &[Ring] {
    match cut {
        CutStyle::SquareFits => &layer.fits,
        CutStyle::SquareFills | CutStyle::Bevelled => &layer.fills,
    }
}
