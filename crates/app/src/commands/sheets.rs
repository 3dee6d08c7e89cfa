//! `coldwright sheets`: lays a job's pieces out on its sheets and says whether there are enough.

use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use clap::Args;
use coldwright_job::{
    BreakDown, CUTTING_RULE, Edit, Enough, Job, Plan, Quantity, apply, enough, keep_layout, plan, purchases,
    sentence_case, sheet_request, to_bytes,
};
use coldwright_nesting::nest;
use serde_json::{Value, json};

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
            "answers": enough(job, laid).iter().map(|e| answer(job, e)).collect::<Vec<_>>(),
            "break_down": laid.layout.sheets.iter().zip(&laid.break_downs).enumerate().map(|(i, (used, how))| json!({
                "sheet": i + 1,
                "stock": job.stock.get(used.stock).map(|s| s.name.as_str()),
                "cuts": break_down(how),
                "why_none": why_none(how),
            })).collect::<Vec<_>>(),
            "cutting_order": plan.cutting_order().iter().map(|p| p.mark.as_str()).collect::<Vec<_>>(),
            "cutting_rule": CUTTING_RULE,
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
    for one in enough(job, laid) {
        say::line(&sentence_case(&one.words(job)));
    }
    for (what, marks) in [("No sheet is listed for", &without), ("No room is left for", &left)] {
        if !marks.is_empty() {
            say::line(&format!("{what} {}.", marks.join(", ")));
        }
    }
    for (i, how) in laid.break_downs.iter().enumerate() {
        match how {
            BreakDown::Cuts(cuts) => {
                say::line(&format!("Sheet {}: first saw right across, in this order:", i + 1));
                for c in cuts {
                    let show = |mm: f64| job.show_mm(mm);
                    say::line(&format!(
                        "  from {}; {} to {}; {}",
                        show(c.from.x),
                        show(c.from.y),
                        show(c.to.x),
                        show(c.to.y)
                    ));
                }
            }
            other => {
                if let Some(why) = why_none(other).filter(|_| !matches!(other, BreakDown::Whole)) {
                    say::line(&format!("Sheet {}: {why}.", i + 1));
                }
            }
        }
    }
    let order: Vec<&str> = plan.cutting_order().iter().map(|p| p.mark.as_str()).collect();
    say::line(&format!("Saw in this order: {}.", order.join(", ")));
    say::line(&format!("  {CUTTING_RULE}"));
    say::line("To buy:");
    for b in &list {
        say::line(&format!("  {}: {} ({})", b.what, b.amount_words(job.units), b.because));
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

fn answer(job: &Job, e: &Enough) -> Value {
    let list = |all: &[(String, u32)]| -> Vec<Value> {
        all.iter().map(|(name, n)| json!({"sheet": name, "count": n})).collect()
    };
    let one = |of: &Option<(String, u32)>| of.as_ref().map(|(name, n)| json!({"like": name, "count": n}));
    json!({
        "material": e.material,
        "thickness_mm": e.thickness.mm(),
        "pieces": e.pieces,
        "enough": e.is_enough(),
        "owned_used": e.owned.0,
        "owned": e.owned.1,
        "buy": list(&e.buy),
        "buy_for_spoiled": list(&e.spare),
        "short_by": one(&e.short),
        "short_by_for_spoiled": one(&e.short_spare),
        "words": e.words(job),
    })
}

/// The cuts of a sheet, where there are any.
fn break_down(how: &BreakDown) -> Option<Vec<Value>> {
    let BreakDown::Cuts(cuts) = how else { return None };
    let cuts = cuts.iter().map(|c| {
        json!({
            "from_mm": [c.from.x, c.from.y],
            "to_mm": [c.to.x, c.to.y],
            "part_mm": [c.part.x0, c.part.y0, c.part.x1, c.part.y1],
        })
    });
    Some(cuts.collect())
}

fn why_none(how: &BreakDown) -> Option<&'static str> {
    match how {
        BreakDown::Cuts(_) => None,
        BreakDown::Whole => Some("it goes to the saw as it is"),
        BreakDown::NoWay => Some("no straight cuts bring it to the saw's throat as the pieces lie"),
        BreakDown::OwnShape => Some("no straight cuts are worked out for a shape of its own"),
    }
}
