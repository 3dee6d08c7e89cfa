//! `coldwright cards`: cards to print and lay round a template.

use std::path::PathBuf;

use clap::Args;
use coldwright_export::Paper;
use coldwright_papers::CardOptions;
use serde_json::json;

use crate::error::AppError;
use crate::{files, say};

#[derive(Debug, Args)]
pub(super) struct Words {
    /// Paper to print on.
    #[arg(long, value_parser = sheet, default_value = "a4")]
    paper: Paper,
    /// Half-size cards, two on a page, for templates under 400 mm.
    #[arg(long)]
    half: bool,
    /// How many cards.
    #[arg(long, default_value_t = 6, value_parser = clap::value_parser!(u32).range(1..=99))]
    count: u32,
    /// Where the cards go.
    #[arg(long, value_name = "cards.pdf")]
    out: PathBuf,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

fn sheet(text: &str) -> Result<Paper, String> {
    match Paper::parse(text).map_err(|e| e.to_string())? {
        paper @ (Paper::A4 | Paper::Letter) => Ok(paper),
        _ => Err("cards are made for a4 and letter".to_owned()),
    }
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let first = if words.half { 101 } else { 1 };
    let options = CardOptions { paper: words.paper, half: words.half, first, count: words.count };
    files::write(&words.out, &coldwright_papers::cards(&options)?)?;
    let last = first + words.count - 1;
    if words.json {
        say::json(
            &json!({"file": words.out.display().to_string(), "first": first, "last": last, "half_size": words.half}),
        );
    } else {
        say::line(&format!(
            "{}: cards {first} to {last}. Print at 100 %, measure the check line, and say what it measured.",
            words.out.display()
        ));
    }
    Ok(())
}
