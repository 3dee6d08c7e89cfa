//! Checks over the joined walls: who owns the corners, which seams run straight through, what is claimed twice or by nobody.

use coldwright_geometry as geo;
use coldwright_geometry::Severity;

use crate::boxed::BoxPlan;
use crate::document::{Job, WallId};
use crate::filling::litres;

/// Share of a cavity that measuring alone may leave over or claim twice: boxes of six walls measured to 0.5 mm and 1° of
/// bevel stay below it.
const MEASURED: f64 = 0.01;

/// Says what the checks find; `say` takes it with the wall it is told of.
pub(crate) fn tell(job: &Job, plan: &BoxPlan, say: &mut dyn FnMut(Severity, WallId, String)) {
    let wall = |at: usize| plan.walls.get(at).copied().unwrap_or(plan.walls[0]);
    for bow in &plan.bent {
        let name = |w: usize| plan.shapes.get(w).map_or("a wall", |s| s.name.as_str());
        let edge = job
            .wall(wall(bow.edge.wall))
            .and_then(|w| w.template.edges.iter().find(|e| e.id.0 == bow.edge.edge));
        say(
            Severity::Note,
            wall(bow.wall),
            format!(
                "{} is taken as bent, for the edge {} of {} bows by {}",
                name(bow.wall),
                edge.map_or("there", |e| e.name.as_str()),
                name(bow.edge.wall),
                job.show_mm(bow.by)
            ),
        );
    }
    if let Some(why) = plan.untold(job) {
        say(Severity::Look, plan.walls[0], why);
    }
    let clashes = geo::corner_clashes(&plan.shapes, &plan.joints).unwrap_or_default();
    for clash in &clashes {
        say(
            Severity::Look,
            wall(clash.walls[0]),
            format!("{} ({} of hollow)", clash.words(&plan.shapes), litres(clash.hollow)),
        );
    }
    straight(plan, say);
    for one in &plan.inside {
        let told: f64 = clashes.iter().filter(|c| one.walls.contains(&c.walls[0])).map(|c| c.hollow).sum();
        left_over(plan, one, told, say);
    }
}

/// One sentence for all corners whose seam runs straight from the hull to the box although it could be woven.
fn straight(plan: &BoxPlan, say: &mut dyn FnMut(Severity, WallId, String)) {
    let all = geo::straight_seams(&plan.shapes, &plan.joints);
    // At a knuckle near straight only a mitre can be.
    let flat = |at: usize| {
        plan.joints[at].angle.is_some_and(|a| (a - std::f64::consts::PI).abs() < 15_f64.to_radians())
    };
    let told: Vec<_> = all.iter().filter(|s| s.weave && !flat(s.joint)).collect();
    let Some(first) = told.first() else { return };
    let name = |w: usize| plan.shapes.get(w).map_or("?", |s| s.name.as_str());
    let (a, b) = (plan.joints[first.joint].a.wall, plan.joints[first.joint].b.wall);
    let (a_id, more) = (plan.walls[a], told.len() - 1);
    let at = match more {
        0 => format!("where {} meets {} one seam runs", name(a), name(b)),
        1 => format!("where {} meets {}, and at 1 more corner, one seam runs", name(a), name(b)),
        n => format!("where {} meets {}, and at {n} more corners, one seam runs", name(a), name(b)),
    };
    say(
        Severity::Look,
        a_id,
        format!(
            "{at} straight from the hull to the box; weave the layers there to break it, or tape every layer"
        ),
    );
}

/// What is claimed twice, or by neither foam, gap nor room.
fn left_over(plan: &BoxPlan, one: &geo::Inside, told: f64, say: &mut dyn FnMut(Severity, WallId, String)) {
    let mut expected = told;
    let mut doubt = MEASURED * one.cavity;
    for (k, w) in one.walls.iter().enumerate() {
        let shape = &plan.shapes[*w].shape;
        expected += plan.filler.walls.get(*w).map_or(0.0, |f| f.gaps);
        let holes = shape.outline.cutouts().iter().map(|c| geo::signed_area(&c.ring).abs()).sum::<f64>();
        expected += holes * shape.thickness();
        // A sheet bent to a radius is longer on one face than on the other.
        if let Some(bow) = plan.bent.iter().find(|b| b.wall == *w) {
            doubt += one.foam.get(k).copied().unwrap_or(0.0) * shape.thickness() / bow.radius.max(1.0);
        }
    }
    let off = one.left_over - expected;
    let Some(id) = one.walls.first().and_then(|w| plan.walls.get(*w)).copied() else { return };
    if off > doubt {
        say(
            Severity::Look,
            id,
            format!(
                "{} of the box are neither foam, gap nor room: look for walls of unequal foam that meet at a mitre, and measure \
                 again where corners stand apart",
                litres(off)
            ),
        );
    } else if off < -doubt {
        say(
            Severity::Look,
            id,
            format!(
                "{} of the box are claimed by two walls at once: look at the corners' angles, and measure again where corners \
                 stand apart",
                litres(-off)
            ),
        );
    }
}
