//! Whether every piece goes in: through the opening, with room to turn behind it, past walls that close in.

use std::collections::BTreeMap;
use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{LayerSet, Severity};

use crate::document::{Job, Stands, Wall, WallId};
use crate::order;
use crate::pieces::PlannedPiece;
use crate::problem::{Problem, Step};
use crate::workshop::{Opening, OpeningShape, PieceId};

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
    /// What is to spare as the job's lengths are written; `None` where that is nothing, or it does not go through.
    pub fn spare(self, job: &Job) -> Option<String> {
        let Passes::Through { spare } = self else { return None };
        Some(job.show_mm(spare)).filter(|shown| *shown != job.show_mm(0.0))
    }

    /// Whether it surely goes in.
    pub fn is_through(&self) -> bool {
        matches!(self, Passes::Through { .. })
    }
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

/// A layer on the floor: its turn in the fitting order, its number, its thickness in mm.
type OnFloor = (usize, u32, f64);

/// What a layer takes of the depth, the space before it counted in, mm.
fn high(wall: &Wall, layer: u32) -> f64 {
    let foam = (layer as usize).checked_sub(1).and_then(|i| wall.layers.get(i));
    let foam = foam.map(|l| l.thickness + l.before);
    let liner = || wall.liner.as_ref().map(|l| l.sheet + l.bond);
    foam.or_else(liner).map_or(0.0, coldwright_geometry::Length::mm)
}

/// Free depth behind the opening, mm, when the piece of that turn goes in: what lies on the floor by then is taken off. Of
/// several floors the fullest counts.
fn depth_at(behind: f64, floors: &[OnFloor], turn: usize) -> f64 {
    let mut laid: BTreeMap<u32, f64> = BTreeMap::new();
    for (_, layer, thickness) in floors.iter().filter(|f| f.0 < turn) {
        let most = laid.entry(*layer).or_default();
        *most = most.max(*thickness);
    }
    (behind - laid.values().sum::<f64>()).max(0.0)
}

/// Free depth behind the opening, mm, when each layer goes in, before it is known how many parts it has; nothing where the
/// person has not measured it.
pub(crate) fn rooms(job: &Job) -> BTreeMap<(WallId, u32), f64> {
    let behind = |wall: WallId| job.opening_of(wall).and_then(|o| o.behind);
    if job.walls.iter().all(|w| behind(w.id).is_none()) {
        return BTreeMap::new();
    }
    let mut all: Vec<(PieceId, String)> = Vec::new();
    for wall in &job.walls {
        for layer in 1..=wall.layer_count() as u32 {
            let wished = job.order.iter().filter(|p| (p.wall, p.layer) == (wall.id, layer)).copied();
            let before = all.len();
            all.extend(wished.map(|id| (id, String::new())));
            if all.len() == before {
                all.push((PieceId { wall: wall.id, layer, part: 0 }, String::new()));
            }
        }
    }
    // What is wrong with the order is told once, by the pieces themselves.
    let sorted = order::sorted(job, &all, &mut Vec::new());
    let turn_of = |index: usize| sorted.iter().position(|i| *i == index).unwrap_or(0);
    let turns: Vec<(PieceId, usize)> = all.iter().enumerate().map(|(i, (id, _))| (*id, turn_of(i))).collect();
    let thickness = |id: &PieceId| job.wall(id.wall).map_or(0.0, |w| high(w, id.layer));
    let on_floor = |id: &PieceId| job.wall(id.wall).is_some_and(|w| w.stands == Stands::Floor);
    let mut floors: BTreeMap<(WallId, u32), OnFloor> = BTreeMap::new();
    let mut last: BTreeMap<(WallId, u32), usize> = BTreeMap::new();
    for (id, turn) in &turns {
        let layer = (id.wall, id.layer);
        if on_floor(id) {
            let first = floors.entry(layer).or_insert((*turn, id.layer, thickness(id)));
            first.0 = first.0.min(*turn);
        }
        let latest = last.entry(layer).or_default();
        *latest = (*latest).max(*turn);
    }
    let one = |wall: WallId| job.compartment_of(wall).map(|c| c.back);
    last.into_iter()
        .filter_map(|(layer, turn)| {
            let here = one(layer.0);
            let floors: Vec<OnFloor> = floors.iter().filter(|f| one(f.0.0) == here).map(|f| *f.1).collect();
            Some((layer, depth_at(behind(layer.0)?.mm(), &floors, turn)))
        })
        .collect()
}

/// Says of every piece, in its turn, whether it passes the opening and finds room behind it.
///
/// The free depth behind the opening shrinks by every layer that lies on the floor by then.
pub(crate) fn pass(job: &Job, pieces: &mut [PlannedPiece], problems: &mut Vec<Problem>) {
    let floors: Vec<(WallId, OnFloor)> = pieces
        .iter()
        .filter(|p| p.id.part == 0 && job.wall(p.id.wall).is_some_and(|w| w.stands == Stands::Floor))
        .map(|p| (p.id.wall, (p.turn, p.id.layer, job.wall(p.id.wall).map_or(0.0, |w| high(w, p.id.layer)))))
        .collect();
    let one = |wall: WallId| job.compartment_of(wall).map(|c| c.back);
    for piece in pieces.iter_mut() {
        let Some(opening) = job.opening_of(piece.id.wall) else { continue };
        let hole = hole(&opening);
        let here = one(piece.id.wall);
        let floors: Vec<OnFloor> = floors.iter().filter(|f| one(f.0) == here).map(|f| f.1).collect();
        let depth = |b: coldwright_geometry::Length| depth_at(b.mm(), &floors, piece.turn);
        let room = opening.behind.map(|b| geo::Room { depth: depth(b), wall: 0.0 });
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
            // Laid out flat over a hollow it is not as it stands in the wall.
            let laid_out = job.wall(*wall).and_then(|w| w.hollow.as_ref());
            if laid_out.is_some_and(|h| piece.id.layer <= h.first.layers()) {
                continue;
            }
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
