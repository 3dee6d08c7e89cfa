//! `coldwright nest`: pieces on sheets, from a pieces file to a layout file.

use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use clap::Args;
use coldwright_nesting::{Answer, FileResult, Verdict, nest_file};
use serde_json::{Value, json};

use super::common::Search;
use crate::error::AppError;
use crate::{files, say};

#[derive(Debug, Args)]
pub(super) struct Words {
    /// The pieces file.
    pieces: PathBuf,
    #[command(flatten)]
    search: Search,
    /// Where the layout goes.
    #[arg(long, value_name = "LAYOUT.json")]
    out: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let text = String::from_utf8(files::read(&words.pieces)?)
        .map_err(|_| AppError::Words(format!("this is no text file: {}", words.pieces.display())))?;
    let done = nest_file(&text, &words.search.effort(), &AtomicBool::new(false), &mut |_| {})
        .map_err(|e| AppError::Words(format!("{e}: {}", words.pieces.display())))?;
    files::write(&words.out, done.layout_json.as_bytes())?;
    let answer = match &done.result {
        FileResult::Sheets(request, outcome) => {
            let used = &outcome.layout.sheets;
            let paid =
                used.iter().filter(|s| request.stock.get(s.stock).is_some_and(|k| k.cost > 0.0)).count();
            json!({
                "sheets": used.len(),
                "paid_sheets": paid,
                "moves": done.moves(),
                "answers": outcome.answers.iter().map(told).collect::<Vec<_>>(),
            })
        }
        FileResult::Strip(outcome) => {
            json!({"length_mm": outcome.length, "density": outcome.density, "moves": done.moves()})
        }
    };
    if words.json {
        say::json(&answer);
        return Ok(());
    }
    match &done.result {
        FileResult::Sheets(..) => {
            say::line(&format!("{} sheets, {} to be paid for", answer["sheets"], answer["paid_sheets"]));
            for line in answer["answers"].as_array().into_iter().flatten() {
                let word = |key: &str| line[key].as_str().unwrap_or_default().to_owned();
                say::line(&format!("{}: {}", word("stuff"), word("verdict")));
            }
        }
        FileResult::Strip(o) => {
            say::line(&format!("length {:.2} mm, {:.2} % full", o.length, o.density * 100.0));
        }
    }
    say::line(&format!(
        "repeat it with --seed {} --moves {} --threads {}",
        words.search.seed,
        done.moves(),
        words.search.threads
    ));
    Ok(())
}

fn told(answer: &Answer) -> Value {
    let sheets = |counts: &[coldwright_nesting::Count]| counts.iter().map(|c| c.sheets).sum::<u32>();
    let verdict = match &answer.verdict {
        Verdict::Enough => "enough".to_owned(),
        Verdict::Buy(buy) => format!("buy {}", sheets(buy)),
        Verdict::ShortBy { buy, more } => format!("buy {} and find {} more", sheets(buy), sheets(more)),
    };
    json!({"stuff": answer.stuff.to_string(), "pieces": answer.pieces, "placed": answer.placed, "verdict": verdict})
}
