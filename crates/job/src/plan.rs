//! From the document to everything that follows from it.

use std::sync::Arc;

use coldwright_canvas::PlaneSolve;
use coldwright_geometry::{LayerSet, LinerPanel, Outline, Severity, Spread, WallFiller};
use kurbo::{Affine, Point};

use crate::boxed::{self, BoxPlan};
use crate::document::{Job, TickId, WallId};
use crate::further::{LoftPlan, TemplatePlan};
use crate::hollowed::HollowPlan;
use crate::measured::Measured;
use crate::opened::opened;
use crate::pieces::{self, PlannedPiece, PlannedSeams};
use crate::problem::{Problem, Step};
use crate::sheets::{self, LaidOut};
use crate::workshop::PieceId;
use crate::{cutting_order, filling, hollowed, lined, order, passing, stage};

/// Everything derived from a job. Thrown away and made again at any change.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// One entry for each wall, in the job's order.
    pub walls: Vec<WallPlan>,
    /// Walls joined to a box, where any are.
    pub boxed: Option<Arc<BoxPlan>>,
    /// Every piece, in the order of walls, layers and parts.
    pub pieces: Arc<Vec<PlannedPiece>>,
    /// The seams of every layer that is cut into parts.
    pub seams: Arc<Vec<PlannedSeams>>,
    /// The sheets as last laid out.
    pub laid: Option<Arc<LaidOut>>,
    /// What would stop or spoil the work beyond one wall.
    pub shared: Vec<Problem>,
}

/// What follows from one wall.
#[derive(Clone, Debug)]
pub struct WallPlan {
    /// The wall.
    pub id: WallId,
    /// Camera and cards, when photos show any.
    pub solve: Option<Arc<PlaneSolve>>,
    /// The ticks that have a place.
    pub ticks: Arc<Vec<PlacedTick>>,
    /// Predicted 95 % error of the distance between the two farthest ticks, mm.
    pub farthest_error: Option<f64>,
    /// What tapes and second photos say.
    pub measured: Measured,
    /// From the plane as photographed or typed to the wall as seen from inside the box; a mirror when the template was
    /// seen from the hull side.
    pub to_wall: Affine,
    /// The closed outline in the wall's frame; where several templates make the wall, the first one's, with the bevels that come
    /// out of all of them.
    pub outline: Option<Arc<Outline>>,
    /// The layers, the liner panel last where the wall has one.
    pub layers: Option<Arc<LayerSet>>,
    /// What foam from the can has to fill in it as it is cut: wedges, gaps, what is hollow behind it.
    pub filler: WallFiller,
    /// Where the wall has further templates: what follows from each, the first one first. Else empty.
    pub templates: Vec<TemplatePlan>,
    /// How several templates go together; `None` while only one is closed.
    pub loft: Option<Arc<LoftPlan>>,
    /// What follows from the hollow behind the wall, where it was measured.
    pub hollow: Option<Arc<HollowPlan>>,
    /// What the liner panel leaves and needs: the flat between its fillets, and their filler.
    pub liner: Option<Arc<LinerPanel>>,
    /// What would stop or spoil this wall, in the order of the steps.
    pub problems: Vec<Problem>,
}

/// A tick with its place worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedTick {
    /// Its id.
    pub id: TickId,
    /// Its number as shown: 1 for the first along the ring as clicked.
    pub number: usize,
    /// In the plane, mm, seen from the declared side.
    pub plane: Point,
    /// In the wall's frame, mm.
    pub wall: Point,
    /// Covariance in the wall's frame, mm².
    pub spread: Spread,
}

impl Plan {
    /// The part of the plan for one wall.
    pub fn wall(&self, id: WallId) -> Option<&WallPlan> {
        self.walls.iter().find(|w| w.id == id)
    }

    /// Every piece in the order it is sawn: what is likeliest to be spoiled first ([`crate::CUTTING_RULE`]).
    pub fn cutting_order(&self) -> Vec<&PlannedPiece> {
        let mut all: Vec<&PlannedPiece> = self.pieces.iter().collect();
        all.sort_by_key(|p| p.cut);
        all
    }

    /// Every problem of every wall, then those beyond one wall.
    pub fn problems(&self) -> impl Iterator<Item = &Problem> {
        self.walls.iter().flat_map(|w| &w.problems).chain(&self.shared)
    }

    /// The piece of that name.
    pub fn piece(&self, id: PieceId) -> Option<&PlannedPiece> {
        self.pieces.iter().find(|p| p.id == id)
    }

    /// Every piece in the order it goes in.
    pub fn fitting_order(&self) -> Vec<&PlannedPiece> {
        let mut all: Vec<&PlannedPiece> = self.pieces.iter().collect();
        all.sort_by_key(|p| p.turn);
        all
    }

    /// The gravest problem, if there is any.
    pub fn gravest(&self) -> Option<Severity> {
        self.problems().map(|p| p.severity).max()
    }
}

impl WallPlan {
    /// How a step of this wall stands.
    pub fn standing(&self, step: Step) -> Standing {
        let worst = self.problems.iter().filter(|p| p.step == step).map(|p| p.severity).max();
        let there = match step {
            Step::Photo => self.solve.is_some(),
            Step::Outline => self.outline.is_some(),
            Step::Layers | Step::Box | Step::Pieces | Step::Sheets | Step::Papers => self.layers.is_some(),
        };
        match (there, worst) {
            (_, Some(Severity::Stop)) => Standing::Stop,
            (false, _) => Standing::Nothing,
            (true, Some(Severity::Look)) => Standing::Look,
            (true, _) => Standing::Ready,
        }
    }
}

/// How a step stands.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standing {
    /// Nothing to show yet.
    Nothing,
    /// Done, nothing to say.
    Ready,
    /// Done, with something to look at.
    Look,
    /// Cannot go on.
    Stop,
}

/// Works the plan out, keeping what has not changed since the last time.
#[derive(Debug, Default)]
pub struct Planner {
    kept: Vec<stage::Kept>,
    filled: Vec<filling::Kept>,
    boxed: Option<boxed::Kept>,
    lined: Vec<lined::Kept>,
    hollowed: Vec<hollowed::Kept>,
    cut: Vec<pieces::Kept>,
    laid: Option<sheets::Kept>,
}

impl Planner {
    /// The plan of a job. Stages whose inputs are as they were are not run again.
    pub fn plan(&mut self, job: &Job) -> Plan {
        let opened = opened(job);
        let job = opened.as_ref();
        let mut kept = Vec::with_capacity(job.walls.len());
        let mut walls = Vec::with_capacity(job.walls.len());
        for wall in &job.walls {
            let old = self.kept.iter().position(|k| k.wall == wall.id).map(|at| self.kept.swap_remove(at));
            let (plan, keep) = stage::wall(wall, job.units.show(), old.as_ref());
            walls.push(plan);
            kept.push(keep);
        }
        self.kept = kept;
        let mut shared = lost_photos(job);
        let bare: Vec<(WallId, Arc<LayerSet>)> =
            walls.iter().filter_map(|w| Some((w.id, w.layers.clone()?))).collect();
        filling::bare(job, &mut walls, &mut self.filled);
        let boxed = boxed::join(job, &mut walls, &mut self.boxed, &mut shared);
        hollowed::lay_out(job, &mut walls, &mut self.hollowed);
        lined::line(job, &mut walls, &mut self.lined);
        let (mut pieces, seams) = pieces::cut(job, &walls, &mut self.cut, &mut shared);
        let marks: Vec<(PieceId, String)> = pieces.iter().map(|p| (p.id, p.mark.clone())).collect();
        for (turn, index) in order::sorted(job, &marks, &mut shared).into_iter().enumerate() {
            pieces[index].turn = turn;
        }
        cutting_order::sort(job, &mut pieces);
        passing::pass(job, &mut pieces, &mut shared);
        passing::binding(job, &pieces, &bare, &mut shared);
        let laid = sheets::laid_out(job, &pieces, &mut self.laid);
        shared.extend(sheets::problems(job, &pieces, laid.as_deref()));
        Plan { walls, boxed, pieces: Arc::new(pieces), seams: Arc::new(seams), laid, shared }
    }
}

/// Photos that a file did not hold whole.
fn lost_photos(job: &Job) -> Vec<Problem> {
    let lost = job.photos.iter().filter(|p| p.bytes.is_none());
    lost.filter_map(|p| {
        let wall = job.walls.iter().find(|w| w.templates().any(|t| t.shows(p.id)))?;
        let sentence = format!(
            "{}: the photo {} is not in the job file, or is damaged there. What was traced stands; add the photo again to see it",
            wall.name, p.name
        );
        Some(Problem::new(Step::Photo, Severity::Look, wall.id, sentence))
    })
    .collect()
}

/// The plan of a job, from nothing.
///
/// # Examples
/// ```
/// use coldwright_job::{plan, Job};
/// assert!(plan(&Job::default()).walls.is_empty());
/// ```
pub fn plan(job: &Job) -> Plan {
    Planner::default().plan(job)
}
