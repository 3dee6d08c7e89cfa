//! Pieces: what is cut, each with its mark, its shape on the sheet and whether it passes the opening.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{Layer, LayerSet, Length, Point, Ring, Severity};

use crate::document::{CutStyle, Job, Stands, Units, Wall, WallId};
use crate::plan::WallPlan;
use crate::problem::{Problem, Step};
use crate::workshop::{
    Cutting, LayerSeams, Opening, OpeningShape, PieceId, Seam, SeamStyle, SheetShape, StockSheet,
};

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
    units: Units,
    result: (Vec<PlannedPiece>, Vec<PlannedSeams>, Vec<Problem>),
}

impl Kept {
    fn holds(&self, job: &Job, wall: &Wall, set: &Arc<LayerSet>) -> bool {
        let same_wall = self.wall.id == wall.id
            && self.wall.name == wall.name
            && self.wall.cut == wall.cut
            && self.wall.layers == wall.layers
            && self.wall.liner == wall.liner;
        same_wall
            && (Arc::ptr_eq(&self.set, set) || self.set == *set)
            && self.opening == job.opening
            && self.cutting == job.cutting
            && self.stock == job.stock
            && self.units == job.units
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
    let mut now = Vec::with_capacity(walls.len());
    for plan in walls {
        let (Some(wall), Some(set)) = (job.wall(plan.id), plan.layers.as_ref()) else { continue };
        let old = kept.iter().position(|k| k.holds(job, wall, set)).map(|at| kept.swap_remove(at));
        now.push(old.unwrap_or_else(|| Kept {
            set: set.clone(),
            wall: wall.clone(),
            opening: job.opening,
            cutting: job.cutting,
            stock: job.stock.clone(),
            by_hand: by_hand(job, wall.id),
            units: job.units,
            result: of_wall(job, wall, set),
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

/// The opening as the sums know it.
pub(crate) fn hole(opening: &Opening) -> geo::Opening {
    match opening.shape {
        OpeningShape::Rectangle { width, height, corner } if corner.mm() > 0.0 => {
            geo::Opening::Rounded { w: width.mm(), h: height.mm(), r: corner.mm() }
        }
        OpeningShape::Rectangle { width, height, .. } => geo::Opening::Rect { w: width.mm(), h: height.mm() },
        OpeningShape::Round { diameter } => geo::Opening::Circle { d: diameter.mm() },
    }
}

fn of_wall(job: &Job, wall: &Wall, set: &LayerSet) -> (Vec<PlannedPiece>, Vec<PlannedSeams>, Vec<Problem>) {
    let (mut pieces, mut planned, mut problems) = (Vec::new(), Vec::new(), Vec::new());
    let hand = by_hand(job, wall.id);
    let mut before: Vec<geo::Seam> = Vec::new();
    for layer in &set.layers {
        let number = layer.number as u32;
        let of_layer = |n: u32| hand.iter().find(|s| s.layer == n);
        let mut say = |why: &geo::GeometryError| {
            let sentence = format!("{} {number}: {}", wall.name, why.words(job.units.show()));
            problems.push(Problem::new(Step::Pieces, Severity::Stop, wall.id, sentence));
        };
        let (seams, hand_laid) = match of_layer(number) {
            Some(s) => (s.seams.iter().map(to_geometry).collect(), true),
            None => {
                let mut neighbours = before.clone();
                neighbours.extend(of_layer(number + 1).iter().flat_map(|s| &s.seams).map(to_geometry));
                let found = geo::split(layer, &rules(job, wall, layer), &neighbours);
                (found.inspect_err(&mut say).unwrap_or_default(), false)
            }
        };
        let parts = match geo::split_by(layer, &seams, job.cutting.kerf.mm().min(20.0)) {
            Ok(parts) => parts,
            Err(why) => {
                say(&why);
                geo::split_by(layer, &[], 0.0).unwrap_or_default()
            }
        };
        let many = parts.len() > 1;
        for part in &parts {
            let letter = if many { format!(" {}", part.letter()) } else { String::new() };
            let rings = sheet_rings(wall.cut, &part.layer);
            let Some(ring) = rings.iter().max_by(|a, b| a.area().total_cmp(&b.area())) else { continue };
            pieces.push(PlannedPiece {
                id: PieceId { wall: wall.id, layer: number, part: part.index as u32 },
                mark: format!("{} {number}{letter}", wall.name),
                parts: parts.len(),
                layer: Arc::new(part.layer.clone()),
                outline: ring.outer.clone(),
                thickness: layer.to - layer.from,
                material: wall.material(layer.number).to_owned(),
                passes: None,
                turn: 0,
            });
        }
        if !seams.is_empty() {
            let seams = seams.iter().map(from_geometry).collect();
            planned.push(PlannedSeams { wall: wall.id, layer: number, by_hand: hand_laid, seams });
        }
        before = seams;
    }
    (pieces, planned, problems)
}

/// What the parts of a layer must keep to.
fn rules(job: &Job, wall: &Wall, layer: &Layer) -> geo::SplitRules {
    let thickness = layer.to - layer.from;
    let material = wall.material(layer.number);
    let margin = 2.0 * job.cutting.margin.mm();
    let largest = job
        .stock
        .iter()
        .filter(|s| crate::sheets::may_give(s, material, thickness))
        .filter_map(|s| match &s.shape {
            SheetShape::Rectangle { width, length } => Some((width.mm() - margin, length.mm() - margin)),
            SheetShape::Outline(_) => None,
        })
        .filter(|(w, l)| *w > 0.0 && *l > 0.0)
        .max_by(|a, b| (a.0 * a.1).total_cmp(&(b.0 * b.1)));
    geo::SplitRules {
        widest: job.opening.as_ref().map_or(f64::MAX, |o| hole(o).widest_slot(thickness)),
        sheet: largest,
        stagger: job.cutting.stagger.mm(),
        ..geo::SplitRules::default()
    }
}

/// Says of every piece, in its turn, whether it passes the opening and finds room behind it.
///
/// The free depth behind the opening shrinks by every layer that lies on the floor by then.
pub(crate) fn pass(job: &Job, pieces: &mut [PlannedPiece], problems: &mut Vec<Problem>) {
    let Some(opening) = &job.opening else { return };
    let hole = hole(opening);
    let floors: Vec<(usize, u32, f64)> = pieces
        .iter()
        .filter(|p| p.id.part == 0 && job.wall(p.id.wall).is_some_and(|w| w.stands == Stands::Floor))
        .map(|p| (p.turn, p.id.layer, p.thickness))
        .collect();
    for piece in pieces.iter_mut() {
        // Of several floors the fullest counts.
        let mut laid: std::collections::BTreeMap<u32, f64> = std::collections::BTreeMap::new();
        for (_, layer, thickness) in floors.iter().filter(|f| f.0 < piece.turn) {
            let most = laid.entry(*layer).or_default();
            *most = most.max(*thickness);
        }
        let room = opening
            .behind
            .map(|b| geo::Room { depth: (b.mm() - laid.values().sum::<f64>()).max(0.0), wall: 0.0 });
        let show = |mm: f64| job.show_mm(mm);
        let passage = match piece.layer.passage(&hole, room) {
            Ok(passage) => passage,
            Err(why) => {
                let sentence = format!("{}: {}", piece.mark, why.words(job.units.show()));
                problems.push(Problem::new(Step::Pieces, Severity::Stop, piece.id.wall, sentence));
                continue;
            }
        };
        let short = -passage.clearance;
        let (passes, said) = if short > 0.0 && passage.may_thread {
            let said = format!(
                "{} is {} too wide for the opening, but may still be threaded through. Try it with a card of its shape, or cut it",
                piece.mark,
                show(short)
            );
            (Passes::MayThread { short }, Some((Severity::Look, said)))
        } else if short > 0.0 {
            let said = format!(
                "{} is {} too wide for the opening. Cut it into parts, or make the opening larger",
                piece.mark,
                show(short)
            );
            (Passes::Stuck { short }, Some((Severity::Stop, said)))
        } else if let Some(turning) = passage.turning.filter(|t| t.clearance() < 0.0) {
            let said = format!(
                "{} goes through the opening but needs {} behind it to turn, and there are {} by then. Cut it into parts, or fit it earlier",
                piece.mark,
                show(turning.needs),
                show(turning.has)
            );
            (Passes::NoRoom { needs: turning.needs }, Some((Severity::Look, said)))
        } else {
            (Passes::Through { spare: passage.clearance }, None)
        };
        piece.passes = Some(passes);
        if let Some((severity, said)) = said {
            problems.push(Problem::new(Step::Pieces, severity, piece.id.wall, said));
        }
    }
}

/// Pieces that cannot be pushed straight to their place, since the walls close in towards the box. `bare` are each wall's layers
/// without what joints take: the empty cavity.
pub(crate) fn binding(
    job: &Job,
    pieces: &[PlannedPiece],
    bare: &[(WallId, Arc<LayerSet>)],
    out: &mut Vec<Problem>,
) {
    /// Less than this is within what a piece is trimmed by anyway, mm.
    const LEAST: f64 = 1.0;
    for (wall, set) in bare {
        let inner: Vec<geo::Section> = set.layers.iter().map(|l| l.inner.clone()).collect();
        let mut stuck: Vec<(&str, f64)> = Vec::new();
        for piece in pieces.iter().filter(|p| p.id.wall == *wall) {
            let later = inner.get(piece.id.layer as usize - 1..).unwrap_or_default();
            if let Some(bind) = geo::binds(&piece.layer.fills, later).filter(|b| b.by >= LEAST) {
                stuck.push((&piece.mark, bind.by));
            }
        }
        let worst = stuck.iter().map(|s| s.1).fold(0.0, f64::max);
        let by = job.show_mm(worst);
        let marks: Vec<&str> = stuck.iter().map(|s| s.0).collect();
        let (which, tail) = match marks.as_slice() {
            [] => continue,
            [one] => (format!("{one} stands {by}"), "Tilt it in, or cut it into parts"),
            [first, .., last] => {
                (format!("{first} to {last} stand up to {by}"), "Tilt them in, or cut them into parts")
            }
        };
        let sentence = format!("{which} over the space on the way in: the walls close in there. {tail}");
        out.push(Problem::new(Step::Pieces, Severity::Look, *wall, sentence));
    }
}

fn to_geometry(seam: &Seam) -> geo::Seam {
    let style = match seam.style {
        SeamStyle::Butt => geo::SeamStyle::Butt,
        SeamStyle::HalfLap(width) => geo::SeamStyle::HalfLap { width: width.mm() },
    };
    geo::Seam { from: seam.from, to: seam.to, style }
}

fn from_geometry(seam: &geo::Seam) -> Seam {
    let style = match seam.style {
        geo::SeamStyle::Butt => SeamStyle::Butt,
        geo::SeamStyle::HalfLap { width } => SeamStyle::HalfLap(Length::from_mm(width).unwrap_or_default()),
    };
    Seam { from: seam.from, to: seam.to, style }
}

/// What is cut from the sheet.
fn sheet_rings(cut: CutStyle, layer: &Layer) -> &[Ring] {
    match cut {
        CutStyle::SquareFits => &layer.fits,
        CutStyle::SquareFills | CutStyle::Bevelled => &layer.fills,
    }
}
