//! `coldwright layers`: every layer's depths, outlines, areas, bevels and wedge.

use std::path::PathBuf;

use clap::Args;
use coldwright_geometry::{Layer, Proud, Ring};
use coldwright_job::{Job, Problem, Severity, Wall, WallPlan, checks, plan};
use serde_json::{Value, json};

use crate::error::AppError;
use crate::say;

#[derive(Debug, Args)]
pub(super) struct Words {
    /// The job file.
    job: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let plan = plan(&job);
    let problems = checks(&job, &plan);
    let stops: Vec<&str> =
        problems.iter().filter(|p| p.severity == Severity::Stop).map(|p| p.sentence.as_str()).collect();
    if plan.walls.iter().all(|w| w.layers.is_none()) {
        return Err(AppError::Spoiled(format!("no layers. {}", stops.join(" "))));
    }
    if words.json {
        let walls: Vec<Value> = job.walls.iter().zip(&plan.walls).map(|(wall, p)| as_json(wall, p)).collect();
        let said: Vec<&str> = problems.iter().map(|p: &Problem| p.sentence.as_str()).collect();
        say::json(&json!({"job": job.name, "walls": walls, "problems": said}));
    } else {
        for (wall, p) in job.walls.iter().zip(&plan.walls) {
            in_words(&job, wall, p);
        }
    }
    if stops.is_empty() { Ok(()) } else { Err(AppError::Spoiled(stops.join(" "))) }
}

fn as_json(wall: &Wall, plan: &WallPlan) -> Value {
    let layers = plan.layers.iter().flat_map(|set| &set.layers);
    json!({
        "name": wall.name,
        "farthest_error_mm": plan.farthest_error,
        "layers": layers.map(|l| layer_json(wall, l)).collect::<Vec<_>>(),
    })
}

fn layer_json(wall: &Wall, l: &Layer) -> Value {
    let name = |id: u32| wall.template.edges.iter().find(|e| e.id.0 == id).map(|e| e.name.as_str());
    json!({
        "number": l.number,
        "from_mm": l.from,
        "to_mm": l.to,
        "outer": rings(&l.outer.rings),
        "inner": rings(&l.inner.rings),
        "cut_fits": rings(&l.fits),
        "cut_fills": rings(&l.fills),
        "area_outer_mm2": l.area_outer,
        "area_inner_mm2": l.area_inner,
        "volume_mm3": l.volume,
        "wedge_mm3": l.wedge,
        "excess_mm3": l.excess,
        "largest_gap_mm": l.largest_gap,
        "largest_gap_at_mm": [l.largest_gap_at.x, l.largest_gap_at.y],
        "steepest_bevel_deg": l.steepest_bevel.to_degrees(),
        "tightest_inside_radius_mm": l.tightest_inside_radius,
        "bevels": l.bevels.iter().map(|b| json!({
            "edge": name(b.edge),
            "at_mm": [b.at.x, b.at.y],
            "outward": [b.outward.x, b.outward.y],
            "angle_deg": b.angle.to_degrees(),
            "proud": match b.proud { Proud::HullFace => "hull face", Proud::BoxFace => "box face", Proud::Square => "square" },
        })).collect::<Vec<_>>(),
    })
}

fn rings(rings: &[Ring]) -> Value {
    let line =
        |points: &[coldwright_geometry::Point]| points.iter().map(|p| json!([p.x, p.y])).collect::<Vec<_>>();
    rings
        .iter()
        .map(|r| json!({"outline_mm": line(&r.outer), "holes_mm": r.holes.iter().map(|h| line(h)).collect::<Vec<_>>()}))
        .collect()
}

fn in_words(job: &Job, wall: &Wall, plan: &WallPlan) {
    let Some(set) = &plan.layers else {
        say::line(&format!("{}: no layers yet", wall.name));
        return;
    };
    for l in &set.layers {
        let mm =
            |v: f64| coldwright_geometry::Length::from_mm(v).map_or_else(|_| v.to_string(), |l| job.show(l));
        say::line(&format!(
            "{} {}: {} to {} in from the hull face; hull face {:.0} cm², box face {:.0} cm²; steepest bevel {:.1}°; cut square it leaves {:.0} cm³ to fill",
            wall.name,
            l.number,
            mm(l.from),
            mm(l.to),
            l.area_outer / 100.0,
            l.area_inner / 100.0,
            l.steepest_bevel.to_degrees(),
            l.wedge / 1000.0
        ));
    }
}
