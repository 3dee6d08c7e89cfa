//! `coldwright check`: everything that would stop or spoil the work, in words.

use coldwright_geometry::{Surface, WallFiller};
use coldwright_job::{Job, Plan, Severity, Step, checks, filling, plan};
use serde_json::{Value, json};

use super::common::OfJob;
use crate::error::AppError;
use crate::say;

pub(super) fn run(words: &OfJob) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let plan = plan(&job);
    let problems = checks(&job, &plan);
    let spoils = problems.iter().filter(|p| p.severity == Severity::Stop).count();
    if words.json {
        let list: Vec<_> = problems
            .iter()
            .map(|p| {
                let wall = p.wall.and_then(|id| job.wall(id)).map(|w| w.name.as_str());
                json!({"step": step_word(p.step), "severity": severity_word(p.severity), "wall": wall, "sentence": p.sentence})
            })
            .collect();
        say::json(
            &json!({"job": job.name, "spoils": spoils, "problems": list, "box": box_json(&job, &plan), "fill": fill_json(&job, &plan)}),
        );
    } else {
        for p in &problems {
            say::line(&format!("{}: {}", severity_word(p.severity), p.sentence));
        }
        if problems.is_empty() {
            say::line("Nothing stands in the way.");
        }
    }
    match spoils {
        0 => Ok(()),
        1 => Err(AppError::Spoiled("one thing would spoil the work".to_owned())),
        n => Err(AppError::Spoiled(format!("{n} things would spoil the work"))),
    }
}

/// The joined walls: what room they leave and what each gets in thickness; null where no walls are joined.
fn box_json(job: &Job, plan: &Plan) -> Value {
    let Some(boxed) = plan.boxed.as_deref() else { return Value::Null };
    let name = |at: &usize| boxed.shapes.get(*at).map(|s| s.name.as_str());
    let rooms: Vec<Value> = boxed
        .inside
        .iter()
        .zip(&boxed.stow)
        .enumerate()
        .map(|(i, (one, stow))| {
            let used = boxed.rooms().get(i).unwrap_or(one);
            json!({
                "walls": one.walls.iter().map(name).collect::<Vec<_>>(),
                "cavity_litres": one.cavity / 1e6,
                "room_litres": used.room / 1e6,
                "room_before_liner_litres": one.room / 1e6,
                "foam_litres": one.foam.iter().sum::<f64>() / 1e6,
                "left_over_litres": one.left_over / 1e6,
                "room_by_height": used.below.iter().map(|(h, v)| json!({"mm": h, "litres": v / 1e6})).collect::<Vec<_>>(),
                "sump": stow.sump.map(|s| json!({"deep_mm": s.deep, "litres": s.volume / 1e6})),
                "clear": stow.clear.iter().map(|c| json!({
                    "tall_mm": c.tall, "along_mm": c.along, "across_mm": c.across,
                })).collect::<Vec<_>>(),
            })
        })
        .collect();
    json!({
        "rooms": rooms,
        "untold": boxed.untold(job),
        "walls": boxed.shapes.iter().map(|s| json!({
            "name": s.name, "foam_mm": s.shape.thickness(), "bent": s.surface == Surface::Bent,
        })).collect::<Vec<_>>(),
    })
}

/// What foam from the can has to fill.
fn fill_json(job: &Job, plan: &Plan) -> Value {
    let all = filling(job, plan);
    let litres =
        |f: WallFiller| json!({"wedges": f.wedges / 1e6, "gaps": f.gaps / 1e6, "hollow": f.hollow / 1e6});
    let walls: Vec<Value> = job
        .walls
        .iter()
        .zip(&plan.walls)
        .map(|(wall, p)| json!({"name": wall.name, "litres": litres(p.filler)}))
        .collect();
    json!({
        "litres": litres(all.volume), "cans": all.cans, "can_litres": job.cutting.can_litres, "lifts": all.lifts,
        "walls": walls,
    })
}

fn step_word(step: Step) -> &'static str {
    match step {
        Step::Photo => "photo",
        Step::Outline => "outline",
        Step::Layers => "layers",
        Step::Box => "box",
        Step::Pieces => "pieces",
        Step::Sheets => "sheets",
        Step::Papers => "papers",
    }
}

fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Stop => "stop",
        Severity::Look => "look",
        Severity::Note => "note",
    }
}
