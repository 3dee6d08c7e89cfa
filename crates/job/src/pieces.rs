//! Pieces: what is cut, each with its mark, its shape on the sheet and whether it passes the opening.

use std::sync::Arc;

use coldwright_geometry::{Layer, LayerSet, Point, Ring};

use crate::document::{CutStyle, Job, Wall};
use crate::plan::WallPlan;
use crate::workshop::{PieceId, Seam};

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
}

/// Whether a piece passes the opening.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Passes {
    /// It goes through, this much to spare, mm.
    Through {
        /// Room left, mm.
        spare: f64,
    },
    /// It goes through, but finds no room behind to turn into its place.
    NoRoom {
        /// Free depth it needs behind the opening, mm.
        needs: f64,
    },
    /// Too wide, but its shape may let it be threaded through; try with a template of card.
    MayThread {
        /// Too wide by, mm.
        short: f64,
    },
    /// It does not go through.
    Stuck {
        /// Too wide by, mm.
        short: f64,
    },
}

impl Passes {
    /// Whether it surely goes in.
    pub fn is_through(&self) -> bool {
        matches!(self, Passes::Through { .. })
    }
}

/// The seams of one layer as they are cut: by hand or worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PlannedSeams {
    /// The wall.
    pub wall: crate::document::WallId,
    /// 1 = outermost.
    pub layer: u32,
    /// Whether a person laid them.
    pub by_hand: bool,
    /// The seams.
    pub seams: Vec<Seam>,
}

/// Cuts every layer of every wall into pieces.
pub(crate) fn cut(
    job: &Job,
    walls: &[WallPlan],
    _problems: &mut Vec<crate::problem::Problem>,
) -> (Vec<PlannedPiece>, Vec<PlannedSeams>) {
    let mut pieces = Vec::new();
    for plan in walls {
        let (Some(wall), Some(set)) = (job.wall(plan.id), plan.layers.as_deref()) else { continue };
        whole(wall, set, &mut pieces);
    }
    (pieces, Vec::new())
}

/// Every layer in one piece.
fn whole(wall: &Wall, set: &LayerSet, out: &mut Vec<PlannedPiece>) {
    for layer in &set.layers {
        let rings = sheet_rings(wall.cut, layer);
        let Some(ring) = rings.first() else { continue };
        let stock = wall.layers.get(layer.number - 1);
        out.push(PlannedPiece {
            id: PieceId { wall: wall.id, layer: layer.number as u32, part: 0 },
            mark: format!("{} {}", wall.name, layer.number),
            parts: 1,
            layer: Arc::new(layer.clone()),
            outline: ring.outer.clone(),
            thickness: layer.to - layer.from,
            material: stock.map(|s| s.material.clone()).unwrap_or_default(),
            passes: None,
            turn: 0,
        });
    }
}

/// What is cut from the sheet.
fn sheet_rings(cut: CutStyle, layer: &Layer) -> &[Ring] {
    match cut {
        CutStyle::SquareFits => &layer.fits,
        CutStyle::SquareFills | CutStyle::Bevelled => &layer.fills,
    }
}
