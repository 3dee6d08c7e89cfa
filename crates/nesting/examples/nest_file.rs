//! Lays out a pieces file: `nest_file PIECES.json --seed N [--moves M] [--seconds S] [--threads K] [--cpu C] [--out LAYOUT.json]`.
//! `--cpu` stops after so many seconds of processor time (Linux), for measuring on a busy machine.
#![expect(clippy::print_stdout, clippy::print_stderr, reason = "a program for the terminal")]

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Instant;

use coldwright_nesting::{Effort, FileResult, Progress, nest_file};

/// Processor time of this program so far, in seconds; 0 where the system does not say.
fn processor_seconds() -> f64 {
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    // Fields 14 and 15 of proc(5), in ticks of 1/100 s; the name in brackets may hold blanks.
    let after = stat.rsplit(')').next().unwrap_or_default();
    let ticks: f64 = after.split_whitespace().skip(11).take(2).filter_map(|t| t.parse::<f64>().ok()).sum();
    ticks / 100.0
}

fn run() -> Result<(), String> {
    let mut args = std::env::args().skip(1);
    let path = args.next().ok_or("name a pieces file")?;
    let mut effort = Effort { seed: 1, moves: None, seconds: None, threads: 1 };
    let (mut out, mut verbose, mut cpu) = (None, false, None);
    while let Some(key) = args.next() {
        if key == "-v" {
            verbose = true;
            continue;
        }
        let value = args.next().ok_or_else(|| format!("{key} wants a value"))?;
        let number = || value.parse::<f64>().map_err(|e| format!("{key} {value}: {e}"));
        match key.as_str() {
            "--seed" => effort.seed = number()? as u64,
            "--moves" => effort.moves = Some(number()? as u64),
            "--seconds" => effort.seconds = Some(number()?),
            "--threads" => effort.threads = number()? as usize,
            "--cpu" => cpu = Some(number()?),
            "--out" => out = Some(value),
            _ => return Err(format!("{key} is not known")),
        }
    }
    if effort.moves.is_none() && effort.seconds.is_none() {
        effort.seconds = Some(if cpu.is_some() { 1e6 } else { 10.0 });
    }
    let text = std::fs::read_to_string(&path).map_err(|e| format!("{path}: {e}"))?;
    let begun = Instant::now();
    let cancel = AtomicBool::new(false);
    let mut tell = |p: &Progress| {
        if cpu.is_some_and(|c| processor_seconds() > c) {
            cancel.store(true, Ordering::Relaxed);
        }
        if let (true, Some(l)) = (verbose, &p.better) {
            let far = l.placements.iter().map(|p| p.at.x).fold(0.0, f64::max);
            eprintln!("{:7.2} s {:8} moves, {} sheets, {far:.1}", p.seconds, p.moves, l.sheets.len());
        }
    };
    let done = nest_file(&text, &effort, &cancel, &mut tell).map_err(|e| e.to_string())?;
    let spent = begun.elapsed().as_secs_f64();
    let used = processor_seconds();
    match &done.result {
        FileResult::Sheets(request, o) => {
            let paid = o.layout.sheets.iter().filter(|s| request.stock[s.stock].cost > 0.0).count();
            let sheets = o.layout.sheets.len();
            let rest = o.offcuts.iter().map(|c| c.rect.area()).fold(0.0, f64::max) / 1e6;
            println!(
                "{}: {paid} paid of {sheets} sheets, rest {rest:.3} m2, {} moves, {spent:.1} s, {used:.1} s CPU",
                request.name, o.moves
            );
            for a in &o.answers {
                println!("  {}: {:?}", a.stuff, a.verdict);
            }
        }
        FileResult::Strip(o) => {
            println!(
                "{path}: {:.2} %, length {:.3}, {} moves, {spent:.1} s, {used:.1} s CPU",
                o.density * 100.0,
                o.length,
                o.moves
            );
        }
    }
    if let Some(out) = out {
        std::fs::write(&out, done.layout_json).map_err(|e| format!("{out}: {e}"))?;
    }
    Ok(())
}

fn main() -> std::process::ExitCode {
    match run() {
        Ok(()) => std::process::ExitCode::SUCCESS,
        Err(e) => {
            eprintln!("{e}");
            std::process::ExitCode::FAILURE
        }
    }
}
