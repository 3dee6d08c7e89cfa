//! The liner panel of each wall, worked out and put behind its layers of foam.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, LayerSet, LinerPanel, Outline, Severity};

use crate::corners::JointKind;
use crate::document::{EdgeId, Job, Wall, WallId};
use crate::layered;
use crate::lining::{Lining, LiningEdge, as_fitted};
use crate::plan::WallPlan;
use crate::problem::{Problem, Step};

/// The last panel of a wall and what it followed from.
#[derive(Debug)]
pub(crate) struct Kept {
    wall: WallId,
    foam: Arc<LayerSet>,
    asked: Asked,
    result: Result<(Arc<LayerSet>, Arc<LinerPanel>), GeometryError>,
}

/// Everything a panel follows from.
#[derive(Debug, PartialEq)]
struct Asked {
    shape: geo::WallShape,
    spaces: Vec<f64>,
    trims: Vec<geo::AsFitted>,
    liner: geo::Liner,
}

/// Puts the panel of every lined wall behind its foam, its last layer.
pub(crate) fn line(job: &Job, walls: &mut [WallPlan], kept: &mut Vec<Kept>) {
    let mut now = Vec::new();
    for plan in walls.iter_mut() {
        let Some(wall) = job.wall(plan.id) else { continue };
        let (Some(lining), Some(outline), Some(foam)) =
            (wall.liner.as_ref(), plan.outline.as_deref(), plan.layers.clone())
        else {
            continue;
        };
        if wall.lid.is_some() {
            plan.layers = Some(Arc::new(under_lid(&foam, lining)));
            continue;
        }
        let asked = asked(job, wall, lining, outline);
        let old = kept.iter().position(|k| k.wall == wall.id).map(|at| kept.swap_remove(at));
        let one = match (old, asked) {
            (Some(k), Ok(asked)) if k.asked == asked && layered::same(&k.foam, &foam) => k,
            (_, Ok(asked)) => Kept { wall: wall.id, result: made(&foam, &asked), foam, asked },
            (_, Err(why)) => {
                plan.problems.push(stop(job, wall, &why));
                continue;
            }
        };
        match &one.result {
            Ok((set, panel)) => {
                plan.layers = Some(set.clone());
                plan.liner = Some(panel.clone());
            }
            Err(why) => plan.problems.push(stop(job, wall, why)),
        }
        now.push(one);
    }
    *kept = now;
}

fn stop(job: &Job, wall: &Wall, why: &GeometryError) -> Problem {
    let sentence = format!("{}, the liner: {}", wall.name, why.words(job.units.show()));
    Problem::new(Step::Layers, Severity::Stop, wall.id, sentence)
}

fn made(foam: &LayerSet, asked: &Asked) -> Result<(Arc<LayerSet>, Arc<LinerPanel>), GeometryError> {
    let panel = geo::liner_panel(&asked.shape, &asked.spaces, &asked.trims, &asked.liner)?;
    let mut set = foam.clone();
    set.layers.push(sheet(&panel.panel));
    Ok((Arc::new(set), Arc::new(panel)))
}

/// The panel under a lid in steps: as large as its lowest face.
fn under_lid(foam: &LayerSet, lining: &Lining) -> LayerSet {
    let mut set = foam.clone();
    if let Some(last) = foam.layers.last() {
        let (from, rings) = (last.to + lining.bond.mm(), last.inner.rings.clone());
        let to = from + lining.sheet.mm();
        let panel = geo::Layer { number: last.number + 1, from, to, fits: rings, ..last.clone() };
        set.layers.push(sheet(&panel));
    }
    set
}

/// The panel as it is cut: square, both faces alike.
fn sheet(panel: &geo::Layer) -> geo::Layer {
    let face = || geo::Section { rings: panel.fits.clone(), notices: Vec::new() };
    let area: f64 = panel.fits.iter().map(geo::Ring::area).sum();
    let square = |m: &geo::BevelMark| geo::BevelMark { angle: 0.0, proud: geo::Proud::Square, ..*m };
    geo::Layer {
        outer: face(),
        inner: face(),
        fills: panel.fits.clone(),
        bevels: panel.bevels.iter().map(square).collect(),
        area_outer: area,
        area_inner: area,
        volume: area * (panel.to - panel.from),
        wedge: 0.0,
        excess: 0.0,
        largest_gap: 0.0,
        steepest_bevel: 0.0,
        ..panel.clone()
    }
}

fn asked(job: &Job, wall: &Wall, lining: &Lining, outline: &Outline) -> Result<Asked, GeometryError> {
    let mut shape = layered::shape_of(wall, outline);
    let mut trims = as_fitted(wall);
    let mut edges = Vec::new();
    let mut leaning = Vec::new();
    for side in outline.sides() {
        let id = EdgeId(side.edge.id);
        let at = crate::corners::EdgeOf { wall: wall.id, edge: id };
        let said = lining.said(id);
        let Some(joint) = job.joint_at(at) else {
            edges.push((id.0, to_geometry(said.unwrap_or_default())));
            continue;
        };
        let first = joint.a == at;
        let other = job.wall(if first { joint.b.wall } else { joint.a.wall });
        let past = match joint.kind {
            JointKind::RunsPast | JointKind::Mitred => first,
            JointKind::StopsShort => !first,
            JointKind::Woven { first_runs } => first_runs == first,
        };
        let lined = other.is_some_and(|w| w.liner.is_some());
        let by_joint = match (lined, past) {
            (false, _) => LiningEdge::Free,
            (true, true) => LiningEdge::RunsPast,
            (true, false) => LiningEdge::StopsShort,
        };
        edges.push((id.0, to_geometry(said.unwrap_or(by_joint))));
        // The neighbour's foam stands that thick off the surface the edge meets.
        let theirs = other.map_or(0.0, |w| w.thickness().mm());
        let bevel = match joint.degrees {
            Some(degrees) => geo::Bevel::constant((degrees - 90.0).to_radians())?,
            None => side.edge.bevel.clone(),
        };
        trims.extend(taken(wall.layers.len(), id.0, &bevel, theirs));
        if joint.degrees.is_some() {
            leaning.push((id.0, bevel));
        }
    }
    if !leaning.is_empty() {
        let edge = |side: &geo::Side| {
            let lean = leaning.iter().find(|l| l.0 == side.edge.id);
            geo::Edge {
                bevel: lean.map_or_else(|| side.edge.bevel.clone(), |l| l.1.clone()),
                ..side.edge.clone()
            }
        };
        let edges = outline.sides().iter().map(edge).collect();
        shape.outline =
            Outline::new(edges, outline.cutouts().to_vec())?.0.leaning(outline.leans().to_vec())?;
    }
    let liner = geo::Liner {
        sheet: lining.sheet.mm(),
        bond: lining.bond.mm(),
        fillet: job.cutting.fillet.mm().min(100.0),
        edges,
    };
    Ok(Asked { shape, spaces: wall.spaces(), trims, liner })
}

fn to_geometry(meets: LiningEdge) -> geo::LinerEdge {
    match meets {
        LiningEdge::StopsShort => geo::LinerEdge::StopsShort,
        LiningEdge::RunsPast => geo::LinerEdge::RunsPast,
        LiningEdge::Free => geo::LinerEdge::Free,
    }
}

/// So much foam of the neighbour off the edge, in steps of what one trim may take.
fn taken(layer: usize, edge: u32, bevel: &geo::Bevel, foam: f64) -> Vec<geo::AsFitted> {
    /// Places between two stations of a changing bevel: at 30° of change and 100 mm of foam the straight runs err by 0.03 mm.
    const BETWEEN: u32 = 16;
    let mut places: Vec<f64> = vec![0.0];
    if !bevel.is_constant() {
        places = bevel.stations().iter().map(|s| s.at).collect();
        let spans: Vec<(f64, f64)> = places.windows(2).map(|w| (w[0], w[1])).collect();
        for (a, b) in spans {
            places.extend((1..BETWEEN).map(|k| a + (b - a) * f64::from(k) / f64::from(BETWEEN)));
        }
        places.sort_by(f64::total_cmp);
        places.dedup_by(|b, a| *b - *a < 1e-9);
    }
    let back = |at: f64| foam / bevel.at(at).cos();
    let most = places.iter().map(|at| back(*at)).fold(0.0, f64::max);
    let shares = (most / 100.0).ceil().clamp(1.0, 100.0);
    let stations: Vec<geo::TrimStation> =
        places.iter().map(|at| geo::TrimStation { at: *at, trim: back(*at) / shares }).collect();
    vec![geo::AsFitted { layer, edge, stations }; shares as usize]
}
