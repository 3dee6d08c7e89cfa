//! What foam from the can has to fill: wedges beside square edges, gaps left on edges, what is hollow behind a wall.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{LayerSet, WallFiller};

use crate::document::{CutStyle, Job, Wall, WallId};
use crate::layered;
use crate::plan::{Plan, WallPlan};

/// The greatest depth of two-part foam poured at once, mm; common practice, no source: the maker's sheet comes first.
pub const LIFT_MM: f64 = 100.0;

/// What a job has to fill in all.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub struct Filling {
    /// Wedges, gaps and hollows of all walls, mm³.
    pub volume: WallFiller,
    /// Whole cans of the yield stated in the job.
    pub cans: u32,
    /// Lifts of at most [`LIFT_MM`] in which the wall that needs most of them is filled: its gaps and wedges layer by layer.
    pub lifts: u32,
}

/// What all walls of a job have to be filled with.
///
/// # Examples
/// ```
/// use coldwright_job::{Job, filling, plan};
/// let job = Job::default();
/// assert_eq!(filling(&job, &plan(&job)).cans, 0);
/// ```
pub fn filling(job: &Job, plan: &Plan) -> Filling {
    let mut out = Filling::default();
    for wall in &plan.walls {
        out.volume.wedges += wall.filler.wedges;
        out.volume.gaps += wall.filler.gaps;
        out.volume.hollow += wall.filler.hollow;
        if wall.filler.total() > 0.0 {
            let foam = job.wall(wall.id).map_or(0, |w| w.layers.len());
            let layers = wall.layers.iter().flat_map(|set| &set.layers).take(foam);
            out.lifts = out.lifts.max(layers.map(|l| geo::lifts(l.to - l.from, LIFT_MM).unwrap_or(0)).sum());
        }
    }
    let whole = geo::Filler { walls: vec![out.volume] };
    let each = f64::from(job.cutting.can_litres.max(1)) * 1e6;
    // A yield of a litre or more is a number of cans.
    out.cans = whole.cans(each).unwrap_or(0);
    out
}

/// A volume in words, to a tenth of a litre.
pub(crate) fn litres(mm3: f64) -> String {
    format!("{:.1} litres", mm3 / 1e6)
}

/// What a wall cut so has to be filled with: edges cut to the bevel leave no wedge, and ones that are trimmed in place none either.
pub(crate) fn as_cut(wall: Option<&Wall>, set: Option<&LayerSet>, mut filler: WallFiller) -> WallFiller {
    if set.is_none() || wall.is_none_or(|w| w.cut != CutStyle::SquareFits) {
        filler.wedges = 0.0;
    }
    filler
}

/// What a wall alone has to fill, and what that followed from.
#[derive(Debug)]
pub(crate) struct Kept {
    wall: WallId,
    set: Arc<LayerSet>,
    filler: WallFiller,
}

/// Tells every wall's filler as if it stood alone.
pub(crate) fn bare(job: &Job, walls: &mut [WallPlan], kept: &mut Vec<Kept>) {
    let mut now = Vec::with_capacity(walls.len());
    for plan in walls {
        let (Some(wall), Some(set), Some(outline)) = (job.wall(plan.id), &plan.layers, &plan.outline) else {
            continue;
        };
        let old = kept.iter().find(|k| k.wall == plan.id && Arc::ptr_eq(&k.set, set)).map(|k| k.filler);
        let filler = old.unwrap_or_else(|| {
            let alone = [layered::box_wall(wall, outline, geo::Stand::Side)];
            // A wall whose layers stand has a shape that can be filled.
            geo::filler(&alone, &[], [Some(set.as_ref())], &[])
                .ok()
                .and_then(|f| f.walls.first().copied())
                .unwrap_or_default()
        });
        plan.filler = as_cut(Some(wall), Some(set), filler);
        now.push(Kept { wall: plan.id, set: set.clone(), filler });
    }
    *kept = now;
}
