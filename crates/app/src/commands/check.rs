//! `coldwright check`: everything that would stop or spoil the work, in words.

use coldwright_job::{Severity, Step, checks, plan};
use serde_json::json;

use super::common::OfJob;
use crate::error::AppError;
use crate::say;

pub(super) fn run(words: &OfJob) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let problems = checks(&job, &plan(&job));
    let spoils = problems.iter().filter(|p| p.severity == Severity::Stop).count();
    if words.json {
        let list: Vec<_> = problems
            .iter()
            .map(|p| {
                let wall = p.wall.and_then(|id| job.wall(id)).map(|w| w.name.as_str());
                json!({"step": step_word(p.step), "severity": severity_word(p.severity), "wall": wall, "sentence": p.sentence})
            })
            .collect();
        say::json(&json!({"job": job.name, "spoils": spoils, "problems": list}));
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
