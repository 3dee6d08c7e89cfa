//! `coldwright sheets`: lays a job's pieces out on its sheets and says whether there are enough.

use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use clap::Args;
use coldwright_job::{
    Edit, Job, Plan, Purchase, Quantity, apply, keep_layout, plan, purchases, sheet_request, to_bytes,
};
use coldwright_nesting::nest;
use serde_json::json;

use super::common::Search;
use crate::error::AppError;
use crate::{files, say};

#[derive(Debug, Args)]
pub(super) struct Words {
    /// The job file.
    job: PathBuf,
    #[command(flatten)]
    search: Search,
    /// Keep the layout in the job file, so that the papers show it.
    #[arg(long)]
    keep: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let before = plan(&job);
    if before.pieces.is_empty() {
        return Err(AppError::Words(
            "this job has no layers to lay out yet; trace its templates first".to_owned(),
        ));
    }
    let asked = sheet_request(&job, &before.pieces);
    if asked.ids.is_empty() {
        return Err(AppError::Words(
            "no sheet of the job's foam is listed; add sheets of its materials and thicknesses first"
                .to_owned(),
        ));
    }
    let found = nest(&asked.request, &words.search.effort(), &AtomicBool::new(false), &mut |_| ())
        .map_err(|e| AppError::Words(e.to_string()))?;
    let kept = apply(&job, &Edit::KeepLayout(Some(keep_layout(&asked, &found, words.search.seed))))?;
    if words.keep {
        files::write(&words.job, &to_bytes(&kept)?)?;
    }
    tell(&kept, &plan(&kept), words.json);
    Ok(())
}

fn tell(job: &Job, plan: &Plan, as_json: bool) {
    let Some(laid) = plan.laid.as_deref() else { return };
    let list = purchases(job, plan);
    let mark = |id: &coldwright_job::PieceId| plan.piece(*id).map(|p| p.mark.clone()).unwrap_or_default();
    let without: Vec<String> = laid.asked.without.iter().map(mark).collect();
    let left: Vec<String> = laid
        .layout
        .left
        .iter()
        .filter_map(|l| laid.asked.request.pieces.get(l.piece))
        .map(|p| p.id.clone())
        .collect();
    let used: Vec<(String, u32, bool)> = job
        .stock
        .iter()
        .zip(laid.used())
        .filter(|(_, n)| *n > 0)
        .map(|(s, n)| (s.name.clone(), n, s.owned.is_some()))
        .collect();
    if as_json {
        let moves = job.layout.as_ref().map(|l| l.moves);
        say::json(&json!({
            "job": job.name,
            "moves": moves,
            "sheets": used.iter().map(|(name, n, owned)| json!({"name": name, "used": n, "owned": owned})).collect::<Vec<_>>(),
            "no_sheet_for": without,
            "no_room_for": left,
            "places": laid.layout.placements.iter().map(|p| json!({
                "mark": laid.asked.request.pieces[p.piece].id,
                "sheet": p.sheet + 1,
                "turn_deg": p.turn_deg,
                "at_mm": [p.at.x, p.at.y],
            })).collect::<Vec<_>>(),
            "buy": list.iter().map(|b| json!({"what": b.what, "amount": b.amount, "unit": unit(b.unit), "because": b.because})).collect::<Vec<_>>(),
        }));
        return;
    }
    for (name, n, owned) in &used {
        say::line(&format!("{name}: {n} used, {}", if *owned { "owned" } else { "to buy" }));
    }
    for (what, marks) in [("No sheet is listed for", &without), ("No room is left for", &left)] {
        if !marks.is_empty() {
            say::line(&format!("{what} {}.", marks.join(", ")));
        }
    }
    say::line("To buy:");
    for b in &list {
        say::line(&format!("  {}: {} ({})", b.what, amount(b), b.because));
    }
}

fn unit(unit: Quantity) -> &'static str {
    match unit {
        Quantity::Pieces => "pieces",
        Quantity::Metres => "m",
        Quantity::SquareMetres => "m2",
        Quantity::Litres => "l",
    }
}

fn amount(b: &Purchase) -> String {
    match b.unit {
        Quantity::Pieces => format!("{:.0}", b.amount),
        Quantity::Metres => format!("{:.0} m", b.amount),
        Quantity::SquareMetres => format!("{:.1} m²", b.amount),
        Quantity::Litres => format!("{:.2} l", b.amount),
    }
}
