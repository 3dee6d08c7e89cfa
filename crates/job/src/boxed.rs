//! Walls joined to a box: what joints take from each layer, where each wall stands, what does not fit.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, LayerSet, Severity, Show};

use crate::corners::{EdgeOf, Joint, JointKind};
use crate::document::{Job, Stands, Wall, WallId};
use crate::layered;
use crate::plan::WallPlan;
use crate::problem::{Problem, Step, sentence_case};
use crate::{box_checks, filling, stage};

/// The walls that hang together by joints, and where they stand.
#[derive(Clone, Debug)]
pub struct BoxPlan {
    /// The joined walls, in the order `folded` and `shapes` have them.
    pub walls: Vec<WallId>,
    /// Their shapes in the empty cavity.
    pub shapes: Vec<geo::BoxWall>,
    /// Their joints, as the sums know them.
    pub joints: Vec<geo::Joint>,
    /// Where they stand; `None` where they cannot be folded.
    pub folded: Option<geo::Folded>,
    /// The room inside each group of walls that holds any.
    pub inside: Vec<geo::Inside>,
    /// The same rooms with the liner panels in them, in the order of `inside`; empty where no wall has one.
    pub after_liner: Vec<geo::Inside>,
    /// Walls taken as bent, as their neighbours' edges show them.
    pub bent: Vec<geo::Bow>,
    /// What foam from the can has to fill, wall by wall, as if every edge were cut to its bevel; what a wall's way of
    /// cutting makes of it stands in [`WallPlan::filler`].
    pub filler: geo::Filler,
    /// What each room is good for, the liner in it, in the order of `inside`.
    pub stow: Vec<Stow>,
    /// Walls that stand in one frame, by their places in `walls`: those that hang together by joints, with what stands back to back
    /// with them. A list beside the last stands apart from it.
    pub together: Vec<Vec<usize>>,
    /// Why the room inside cannot be told although the walls stand.
    untold: Option<GeometryError>,
}

/// What a room is good for.
#[derive(Clone, Debug, PartialEq)]
pub struct Stow {
    /// What a V floor holds below its other edges.
    pub sump: Option<geo::Sump>,
    /// The largest upright rectangle that stands clear of all foam, for things of several heights; those that find none are
    /// left out.
    pub clear: Vec<Clear>,
}

/// A rectangle that stands clear of all foam.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Clear {
    /// Height of what stands in it, from the top of the sump up, mm.
    pub tall: f64,
    /// Its side fore and aft, mm.
    pub along: f64,
    /// Its side athwart, mm.
    pub across: f64,
}

impl BoxPlan {
    /// The rooms as they are used: after the liner where one is given.
    pub fn rooms(&self) -> &[geo::Inside] {
        if self.after_liner.is_empty() { &self.inside } else { &self.after_liner }
    }

    /// Why the room inside cannot be told although the walls stand, as a sentence.
    pub fn untold(&self, job: &Job) -> Option<String> {
        let why = self.untold.as_ref()?.words(job.units.show());
        Some(sentence_case(&format!("the room inside cannot be told: {why}")))
    }
}

/// Shares of the height over the sump that clear rectangles are told for.
const TALL: [f64; 3] = [0.25, 0.5, 0.75];

fn stow(one: &geo::Inside, shapes: &[geo::BoxWall]) -> Stow {
    let sump = geo::sump(one, shapes);
    let above = sump.map_or(0.0, |s| s.deep);
    let high = one.brim - one.floor - above;
    let clear = TALL
        .iter()
        .filter_map(|share| {
            let tall = share * high;
            let rect = geo::usable(one, above, tall)?;
            Some(Clear { tall, along: rect.width(), across: rect.height() })
        })
        .collect();
    Stow { sump, clear }
}

/// The last box and what it followed from.
#[derive(Debug)]
pub(crate) struct Kept {
    /// The shapes before any was taken as bent.
    bare: Vec<geo::BoxWall>,
    /// Walls back to back: of the first compartment and of the one behind it.
    dividers: Vec<(usize, usize)>,
    /// What each wall's liner takes of the room, mm; 0 without one.
    linings: Vec<f64>,
    sets: Result<Vec<Result<Arc<LayerSet>, GeometryError>>, GeometryError>,
    plan: Arc<BoxPlan>,
    why: Option<GeometryError>,
}

/// Takes from every joined wall's layers what its joints take, folds the box, and tells what does not fit.
pub(crate) fn join(
    job: &Job,
    walls: &mut [WallPlan],
    kept: &mut Option<Kept>,
    problems: &mut Vec<Problem>,
) -> Option<Arc<BoxPlan>> {
    let show = job.units.show();
    tell_lids(job, problems);
    // A lid in steps lies in its opening: no wall's foam takes from it.
    let plug = |id: WallId| job.wall(id).is_some_and(|w| w.lid.is_some());
    let joined = |id: WallId| !plug(id) && job.joints.iter().any(|j| j.a.wall == id || j.b.wall == id);
    let mut ids = Vec::new();
    let mut shapes = Vec::new();
    for plan in walls.iter().filter(|w| joined(w.id)) {
        let (Some(wall), Some(outline)) = (job.wall(plan.id), plan.outline.as_deref()) else { continue };
        let stand = match wall.stands {
            Stands::Upright => geo::Stand::Side,
            Stands::Floor => geo::Stand::Floor,
            Stands::Lid => geo::Stand::Top,
        };
        ids.push(wall.id);
        shapes.push(layered::box_wall(wall, outline, stand));
    }
    let told: Vec<&Joint> =
        job.joints.iter().filter(|j| ids.contains(&j.a.wall) && ids.contains(&j.b.wall)).collect();
    let joints: Vec<geo::Joint> = told.iter().filter_map(|j| to_geometry(j, &ids)).collect();
    if joints.is_empty() {
        *kept = None;
        return None;
    }
    let place = |id: WallId| ids.iter().position(|w| *w == id);
    let dividers: Vec<(usize, usize)> =
        job.compartments.iter().filter_map(|c| Some((place(c.front)?, place(c.back)?))).collect();
    let lining = |id: &WallId| job.wall(*id)?.liner.as_ref().map(|l| (l.bond + l.sheet).mm());
    let linings: Vec<f64> = ids.iter().map(|id| lining(id).unwrap_or(0.0)).collect();
    let same = |k: &Kept| {
        k.linings == linings
            && k.dividers == dividers
            && k.plan.walls == ids
            && k.bare == shapes
            && k.plan.joints == joints
    };
    if !kept.as_ref().is_some_and(same) {
        *kept = Some(make(ids, shapes, joints, dividers, linings));
    }
    let kept = kept.as_ref()?;

    let mut say = |severity, wall: WallId, sentence: String| {
        problems.push(Problem::new(Step::Box, severity, wall, sentence));
    };
    match &kept.sets {
        Err(why) => say(Severity::Stop, kept.plan.walls[0], said(job, &told, why, show)),
        Ok(sets) => {
            for (id, set) in kept.plan.walls.iter().zip(sets) {
                let (Some(plan), Some(wall)) = (walls.iter_mut().find(|w| w.id == *id), job.wall(*id)) else {
                    continue;
                };
                match set {
                    Ok(set) => {
                        tell_loft(job, wall, plan);
                        // What the joints' own cuts bring about is told beside what the bare wall says.
                        for notice in &set.notices {
                            let told = stage::from_notice(Step::Layers, wall, &plan.ticks, notice, show);
                            if !plan.problems.contains(&told) {
                                plan.problems.push(told);
                            }
                        }
                        plan.layers = Some(set.clone());
                    }
                    Err(why) => {
                        plan.layers = None;
                        let sentence = format!("{}: {}", wall.name, why.words(show));
                        plan.problems.push(Problem::new(Step::Layers, Severity::Stop, *id, sentence));
                    }
                }
            }
        }
    }
    match (&kept.plan.folded, &kept.why) {
        (Some(folded), _) => {
            for misfit in &folded.misfits {
                let wall = told.get(misfit.joint).map_or(kept.plan.walls[0], |j| j.a.wall);
                let words = misfit.words(&kept.plan.shapes, &kept.plan.joints, show);
                say(Severity::Look, wall, format!("{words}. Measure both edges again"));
            }
        }
        (None, Some(why)) if kept.sets.is_ok() => {
            say(Severity::Look, kept.plan.walls[0], said(job, &told, why, show));
        }
        _ => {}
    }
    for (plan, filler) in kept.plan.walls.iter().zip(&kept.plan.filler.walls) {
        if let Some(plan) = walls.iter_mut().find(|w| w.id == *plan) {
            plan.filler = filling::as_cut(job.wall(plan.id), plan.layers.as_deref(), *filler);
        }
    }
    box_checks::tell(job, &kept.plan, &mut say);
    Some(kept.plan.clone())
}

/// A lid in steps takes no part in joints: says so for each that has any.
fn tell_lids(job: &Job, problems: &mut Vec<Problem>) {
    for lid in job.walls.iter().filter(|w| w.lid.is_some()) {
        let others: Vec<&str> = job
            .joints
            .iter()
            .filter_map(|j| match (j.a.wall == lid.id, j.b.wall == lid.id) {
                (true, _) => job.wall(j.b.wall),
                (_, true) => job.wall(j.a.wall),
                _ => None,
            })
            .map(|w| w.name.as_str())
            .collect();
        if others.is_empty() {
            continue;
        }
        let sentence = format!(
            "{} is a lid in steps, which lies in its opening: it is left out where it is joined to {}, and nothing is taken off either. Take the corner away, or make the lid plain",
            lid.name,
            others.join(" and ")
        );
        problems.push(Problem::new(Step::Box, Severity::Look, lid.id, sentence));
    }
}

/// Joints take from the wall as one template tells it: says how far that is from what its several templates say.
fn tell_loft(job: &Job, wall: &Wall, plan: &mut WallPlan) {
    let Some(off) = plan.loft.as_ref().map(|l| l.off_first) else { return };
    /// Less than this is within what a piece is trimmed by anyway, mm.
    const LEAST: f64 = 0.5;
    if off > LEAST {
        let off = job.show_mm(off);
        let sentence = format!(
            "{}: it meets other walls, so its layers follow the first template and the bevels at its depth; they stand up to {off} off what all templates say. Leave a little more and trim them where they stand",
            wall.name
        );
        plan.problems.push(Problem::new(Step::Layers, Severity::Look, wall.id, sentence));
    }
}

fn make(
    walls: Vec<WallId>,
    mut shapes: Vec<geo::BoxWall>,
    joints: Vec<geo::Joint>,
    dividers: Vec<(usize, usize)>,
    linings: Vec<f64>,
) -> Kept {
    let bare = shapes.clone();
    let bent = geo::bows(&shapes, &joints);
    for bow in &bent {
        shapes[bow.wall].surface = geo::Surface::Bent;
    }
    let sets: Result<Vec<Result<Arc<LayerSet>, GeometryError>>, _> =
        geo::joined_layers(&shapes, &joints).map(|sets| sets.into_iter().map(|s| s.map(Arc::new)).collect());
    let (mut folded, why) = match geo::fold(&shapes, &joints) {
        Ok(folded) => (Some(folded), None),
        Err(why) => (None, Some(why)),
    };
    let (inside, mut untold) = match folded.as_ref().map(|f| geo::inside(&shapes, &joints, f)) {
        Some(Ok(inside)) => (inside, None),
        Some(Err(why)) => (Vec::new(), Some(why)),
        None => (Vec::new(), None),
    };
    let there = sets.iter().flatten().map(|s| s.as_deref().ok());
    // What is hollow behind a wall belongs to the wall's own measuring.
    let filler = geo::filler(&shapes, &joints, there, &[]).unwrap_or_else(|why| {
        untold.get_or_insert(why);
        geo::Filler::default()
    });
    let together = folded.as_mut().map(|f| back_to_back(f, &shapes, &dividers)).unwrap_or_default();
    let lined = lined(&shapes, &linings);
    let after_liner = match (&lined, &folded) {
        (Some(lined), Some(folded)) => geo::inside(lined, &joints, folded).unwrap_or_else(|why| {
            untold.get_or_insert(why);
            Vec::new()
        }),
        _ => Vec::new(),
    };
    // A room that the liner fills up is none to tell of.
    let alike = after_liner.iter().map(|r| &r.walls).eq(inside.iter().map(|r| &r.walls));
    let after_liner = if alike { after_liner } else { Vec::new() };
    let stow = match &lined {
        Some(lined) if alike => after_liner.iter().map(|one| stow(one, lined)).collect(),
        _ => inside.iter().map(|one| stow(one, &shapes)).collect(),
    };
    let plan = Arc::new(BoxPlan {
        walls,
        shapes,
        joints,
        folded,
        inside,
        after_liner,
        bent,
        filler,
        stow,
        together,
        untold,
    });
    Kept { bare, dividers, linings, sets, plan, why }
}

/// The walls with their liner panels as a last layer, bond line and all; `None` where no wall has one.
fn lined(shapes: &[geo::BoxWall], linings: &[f64]) -> Option<Vec<geo::BoxWall>> {
    linings.iter().any(|l| *l > 0.0).then_some(())?;
    let one = |(wall, lining): (&geo::BoxWall, &f64)| {
        let mut wall = wall.clone();
        // The template stays where it is.
        wall.shape.template_depth = geo::TemplateDepth::FromOuter(wall.shape.template_z());
        if *lining > 0.0 {
            wall.shape.thicknesses.push(*lining);
        }
        wall
    };
    Some(shapes.iter().zip(linings).map(one).collect())
}

/// Sets compartments behind their dividers; gives the lists of walls that stand in one frame then.
fn back_to_back(
    folded: &mut geo::Folded,
    shapes: &[geo::BoxWall],
    dividers: &[(usize, usize)],
) -> Vec<Vec<usize>> {
    let mut together: Vec<Vec<usize>> = folded.groups.iter().map(|g| g.walls.clone()).collect();
    for (front, back) in dividers {
        let moved = geo::stand_behind(folded, shapes, *front, *back);
        if moved.is_empty() {
            continue;
        }
        together.retain(|t| *t != moved);
        match together.iter_mut().find(|t| t.contains(front)) {
            Some(with) => with.extend(moved),
            None => together.push(moved),
        }
    }
    together
}

/// A refusal, naming the two edges of the joint it speaks of.
fn said(job: &Job, told: &[&Joint], why: &GeometryError, show: Show) -> String {
    let edge = |at: EdgeOf| {
        let wall = job.wall(at.wall)?;
        Some(format!("{} of {}", wall.template.edge(at.edge)?.name, wall.name))
    };
    if let GeometryError::BadJoint { joint, what } = why
        && let Some(j) = joint.checked_sub(1).and_then(|i| told.get(i))
        && let (Some(a), Some(b)) = (edge(j.a), edge(j.b))
    {
        return format!("The joint of {a} with {b} {what}");
    }
    why.words(show)
}

/// The joint as the sums know it, its walls by their places in `walls`.
pub(crate) fn to_geometry(joint: &Joint, walls: &[WallId]) -> Option<geo::Joint> {
    let at = |e: EdgeOf| Some(geo::EdgeAt { wall: walls.iter().position(|w| *w == e.wall)?, edge: e.edge.0 });
    let kind = match joint.kind {
        JointKind::RunsPast => geo::JointKind::RunsPast,
        JointKind::StopsShort => geo::JointKind::StopsShort,
        JointKind::Woven { first_runs } => geo::JointKind::Woven { a_first: first_runs },
        JointKind::Mitred => geo::JointKind::Mitred,
    };
    let plain = geo::Joint::new(at(joint.a)?, at(joint.b)?, kind);
    Some(match joint.degrees {
        Some(degrees) => plain.at_angle(degrees.to_radians()),
        None => plain,
    })
}
