//! What to say of layers laid over a hollow: foam past the straightedge, strips too wide for the saw, flat layers after bent ones.

use coldwright_geometry as geo;
use coldwright_geometry::{Layer, SawLimit, Severity};

use crate::document::{Job, Wall};
use crate::filling::litres;
use crate::hollow::Along;
use crate::hollowed::{HollowLayer, HollowPlan};
use crate::plan::WallPlan;
use crate::problem::{Problem, Step};

/// Less than this past the end of a straightedge is within what it was laid by, mm.
const PAST: f64 = 5.0;

/// Everything to look at before the first layers are sawn.
pub(crate) fn told(job: &Job, wall: &Wall, plan: &WallPlan, of: &HollowPlan) -> Vec<Problem> {
    let mut problems = Vec::new();
    let Some(set) = plan.layers.as_deref() else { return problems };
    let mut say = |sentence: String| {
        let sentence = format!("{}: {sentence}", wall.name);
        problems.push(Problem::new(Step::Layers, Severity::Look, wall.id, sentence));
    };
    for (layer, made) in set.layers.iter().zip(&of.layers) {
        if let Some(words) = past(job, layer, made, of) {
            say(words);
        }
        if let HollowLayer::Strips { .. } = made
            && let Some((number, wide, throat)) = too_wide(job, layer, of)
        {
            say(format!(
                "strip {number} of layer {} is {} wide, more than the saw's throat of {}; state narrower strips, or saw it by hand",
                layer.number,
                job.show_mm(wide),
                job.show_mm(throat)
            ));
        }
    }
    if of.before_flat > 0.0 {
        let (last, first) = (of.layers.len(), of.layers.len() + 1);
        let follow =
            if last == 1 { "layer 1 follows".to_owned() } else { format!("layers 1 to {last} follow") };
        let flat = if first == wall.layers.len() {
            format!("layer {first} is flat")
        } else {
            format!("layers {first} to {} are flat", wall.layers.len())
        };
        say(format!(
            "{follow} the hollow, but {flat} and bridges it: about {} stand open before layer {first}. Fill them before it goes in, or make every layer follow the hollow",
            litres(of.before_flat)
        ));
    }
    problems
}

/// What of a layer lies past the ends of the straightedge.
fn past(job: &Job, layer: &Layer, made: &HollowLayer, of: &HollowPlan) -> Option<String> {
    let (low, high) = reach(layer, of.along);
    let (from, to) = match made {
        HollowLayer::Strips { cuts, .. } => (*cuts.first()?, *cuts.last()?),
        HollowLayer::Kerfs { from, to, .. } => (*from, *to),
    };
    let (before, after) = (from - low, high - to);
    if before <= PAST && after <= PAST {
        return None;
    }
    let (n, end) = (layer.number, job.show_mm(before.max(after)));
    if from > high - PAST || to < low + PAST {
        return Some(format!(
            "the straightedge does not lie on layer {n}, which comes out in one piece. Look at where the straightedge begins"
        ));
    }
    let both = if before > PAST && after > PAST { "both ends" } else { "one end" };
    let comes = match made {
        HollowLayer::Strips { .. } => {
            let widest = edges(layer, of).windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
            format!(
                "the outermost strip goes on over it flat; the widest comes out {} wide",
                job.show_mm(widest)
            )
        }
        HollowLayer::Kerfs { .. } => "it has no kerfs there and stays flat".to_owned(),
    };
    Some(format!(
        "layer {n} goes on past {both} of the straightedge, by {end} at most, where the hollow was not measured: {comes}. Lay a straightedge as long as the wall and measure again"
    ))
}

/// The upright rectangle round a layer laid out flat.
fn round(layer: &Layer) -> geo::Rect {
    geo::bounds(&layer.fills.iter().flat_map(|r| r.outer.iter().copied()).collect::<Vec<_>>())
}

/// Where a layer laid out flat begins and ends along the straightedge, mm.
fn reach(layer: &Layer, along: Along) -> (f64, f64) {
    let all = round(layer);
    match along {
        Along::Across => (all.x0, all.x1),
        Along::Up => (all.y0, all.y1),
    }
}

/// Where the pieces of a layer of strips begin and end, the outermost at the layer's own edges, mm.
fn edges(layer: &Layer, of: &HollowPlan) -> Vec<f64> {
    let (low, high) = reach(layer, of.along);
    let mut out = vec![low];
    if let Some(HollowLayer::Strips { cuts, .. }) = of.layers.get(layer.number - 1) {
        let inner = cuts.get(1..cuts.len().saturating_sub(1)).unwrap_or_default();
        out.extend(inner.iter().filter(|c| **c > low + PAST && **c < high - PAST));
    }
    out.push(high);
    out
}

/// The first strip that is larger than the saw's throat both ways: its number, the smaller side and the throat, mm.
fn too_wide(job: &Job, layer: &Layer, of: &HollowPlan) -> Option<(usize, f64, f64)> {
    let throat = job.cutting.throat?.mm();
    let all = round(layer);
    let long = if of.along == Along::Across { all.height() } else { all.width() };
    let wide = |w: &[f64]| (w[1] - w[0]).min(long);
    edges(layer, of).windows(2).zip(1..).map(|(w, n)| (n, wide(w), throat)).find(|(_, w, _)| *w > throat)
}

/// What the stated saw cannot do of a layer as it comes to it: a layer of strips comes strip by strip.
pub fn saw_limits(job: &Job, plan: &WallPlan, layer: &Layer) -> Vec<SawLimit> {
    let mut all = job.cutting.saw().limits(layer);
    let strips = plan.hollow.as_deref().filter(|of| {
        layer
            .number
            .checked_sub(1)
            .is_some_and(|i| matches!(of.layers.get(i), Some(HollowLayer::Strips { .. })))
    });
    if let Some(of) = strips {
        all.retain(|l| !matches!(l, SawLimit::Throat { .. }));
        all.extend(too_wide(job, layer, of).map(|(_, least, _)| SawLimit::Throat { least }));
    }
    all
}
