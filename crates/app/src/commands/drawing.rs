//! `coldwright drawing`: the outline of an SVG or DXF file put into a job.

use std::path::PathBuf;

use clap::{Args, ValueEnum};
use coldwright_job::{DrawnFile, Edit, Job, SeenFrom, WallEdit, apply, drawn_units, to_bytes};
use serde_json::json;

use crate::error::AppError;
use crate::import;
use crate::{files, say};

#[derive(Debug, Args)]
pub(super) struct Words {
    /// The job file; begun when it is not there.
    job: PathBuf,
    /// The drawing: an SVG, or a DXF in text form.
    drawing: PathBuf,
    /// The wall it is the template of; a wall of this name is made when there is none. Without it, a new wall called after
    /// the file.
    #[arg(long, value_name = "NAME")]
    wall: Option<String>,
    /// Unit of the drawing's numbers, where the file does not say or says wrong.
    #[arg(long, value_parser = unit)]
    unit: Option<f64>,
    /// Which outline, where there are several; 1 is the largest.
    #[arg(long, value_name = "N")]
    outline: Option<usize>,
    /// The side of the wall that the drawing shows.
    #[arg(long, value_enum, default_value_t = Seen::Box)]
    seen_from: Seen,
    /// Replace the points that the wall has.
    #[arg(long)]
    replace: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Copy, Clone, Debug, ValueEnum)]
enum Seen {
    /// As seen from inside the box.
    Box,
    /// As seen from the hull: mirrored once.
    Hull,
}

fn unit(text: &str) -> Result<f64, String> {
    let units = drawn_units();
    let names: Vec<&str> = units.keys().copied().collect();
    units.get(text).copied().ok_or_else(|| format!("say one of {}", names.join(", ")))
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let begun = !words.job.exists();
    let mut job = if begun { Job::default() } else { super::open(&words.job)? };
    let file = import::drawing(&words.drawing)?;
    let (outline, unit_mm) = chosen(words, &file)?;
    let trace = file.trace(outline, unit_mm)?;
    let (name, wall) = wall(words, &job);
    let wall = match wall {
        Some(wall) => wall,
        None => {
            job = apply(&job, &Edit::AddWall { name })?;
            job.walls.last().map(|w| w.id).ok_or_else(|| AppError::Words("no wall was made".to_owned()))?
        }
    };
    let taken = job.wall(wall).filter(|w| !w.template.ticks.is_empty());
    if let Some(wall) = taken.filter(|_| !words.replace) {
        let why = format!("{} has a template already; say --replace, or another --wall", wall.name);
        return Err(AppError::Words(why));
    }
    let (sides, off_mm) = (trace.sides.len(), trace.off_mm);
    let seen = match words.seen_from {
        Seen::Box => SeenFrom::BoxSide,
        Seen::Hull => SeenFrom::HullSide,
    };
    for edit in [WallEdit::Drawing(trace), WallEdit::SeenFrom(seen)] {
        job = apply(&job, &Edit::Wall(wall, edit))?;
    }
    files::write(&words.job, &to_bytes(&job)?)?;

    let (wide, high) = file.size_mm(outline, unit_mm);
    let wall = job.wall(wall).map_or("", |w| w.name.as_str());
    if words.json {
        say::json(&json!({
            "job": words.job.display().to_string(), "begun": begun, "wall": wall, "file": file.name,
            "outline": outline + 1, "unit_mm": unit_mm, "width_mm": wide, "height_mm": high, "edges": sides,
            "curves_within_mm": off_mm, "look": file.notes,
        }));
    } else {
        for note in &file.notes {
            say::line(&format!("look: {note}"));
        }
        say::line(&format!(
            "{wall}: {wide:.1} by {high:.1} mm in {sides} edges, within {off_mm:.3} mm of {}",
            file.name
        ));
    }
    Ok(())
}

/// The wall that is meant: its name, and its number when it is there.
fn wall(words: &Words, job: &Job) -> (String, Option<coldwright_job::WallId>) {
    let there =
        |name: &str| job.walls.iter().find(|w| w.name.to_lowercase() == name.to_lowercase()).map(|w| w.id);
    if let Some(name) = &words.wall {
        return (name.clone(), there(name));
    }
    let stem = words.drawing.file_stem().map(|s| s.to_string_lossy().trim().to_owned()).unwrap_or_default();
    let free = !stem.is_empty() && there(&stem).is_none();
    (if free { stem } else { job.free_wall_name() }, None)
}

/// Outline (from 0) and unit, as said by the person or by the file; where neither says, what there is to choose from.
fn chosen(words: &Words, file: &DrawnFile) -> Result<(usize, f64), AppError> {
    let count = file.outlines.len();
    let outline = match words.outline {
        Some(n) if (1..=count).contains(&n) => n - 1,
        Some(n) => return Err(AppError::Words(format!("there is no outline {n}; the drawing has {count}"))),
        None if count == 1 => 0,
        None => {
            let list: Vec<String> = (0..count.min(12))
                .map(|i| {
                    let (wide, high) = file.size_mm(i, words.unit.or(file.unit_mm).unwrap_or(1.0));
                    format!("{} on \"{}\" ({wide:.1} by {high:.1})", i + 1, file.outlines[i].layer)
                })
                .collect();
            let more = if count > 12 { ", …" } else { "" };
            return Err(AppError::Words(format!(
                "the drawing has {count} outlines; choose one with --outline: {}{more}",
                list.join(", ")
            )));
        }
    };
    let Some(unit_mm) = words.unit.or(file.unit_mm) else {
        let list: Vec<String> = drawn_units()
            .into_iter()
            .map(|(name, mm)| (name, file.size_mm(outline, mm)))
            .filter(|(_, (wide, high))| (50.0..6000.0).contains(&wide.max(*high)))
            .map(|(name, (wide, high))| format!("{name} ({wide:.0} by {high:.0} mm)"))
            .collect();
        return Err(AppError::Words(format!(
            "the drawing does not say its unit; say one with --unit, such as {}",
            list.join(", ")
        )));
    };
    Ok((outline, unit_mm))
}
