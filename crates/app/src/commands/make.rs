//! `coldwright make`: all papers of a job into a folder.

use std::fs;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use coldwright_export::{DxfCurves, DxfVersion, Paper};
use coldwright_job::{Job, Severity, checks, plan};
use coldwright_papers::{Kind, MakeOptions, PaperFile};
use serde_json::json;

use crate::error::AppError;
use crate::{files, say};

#[derive(Debug, Args)]
pub(super) struct Words {
    /// The job file.
    job: PathBuf,
    /// Folder the papers go to; made when it is not there.
    #[arg(long, value_name = "DIR")]
    out: PathBuf,
    /// Paper: a4, letter, a3, tabloid, or a roll such as roll-610mm or roll-24in; without it the job's own.
    #[arg(long, value_parser = |t: &str| Paper::parse(t).map_err(|e| e.to_string()))]
    paper: Option<Paper>,
    /// Only these: pdf, svg, dxf, csv, separated by commas.
    #[arg(long, value_enum, value_delimiter = ',')]
    only: Vec<Only>,
    /// Version of DXF files.
    #[arg(long, value_enum, default_value_t = Dxf::R2000)]
    dxf: Dxf,
    /// Curves in DXF files as arcs where they fit, for cutters that know arcs.
    #[arg(long)]
    arcs: bool,
    /// Answer as JSON.
    #[arg(long)]
    json: bool,
}

#[derive(Copy, Clone, Debug, ValueEnum)]
enum Only {
    Pdf,
    Svg,
    Dxf,
    Csv,
}

#[derive(Copy, Clone, Debug, ValueEnum)]
enum Dxf {
    R2000,
    R12,
}

pub(super) fn run(words: &Words) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let options = MakeOptions {
        paper: words.paper,
        kinds: words
            .only
            .iter()
            .map(|only| match only {
                Only::Pdf => Kind::Pdf,
                Only::Svg => Kind::Svg,
                Only::Dxf => Kind::Dxf,
                Only::Csv => Kind::Csv,
            })
            .collect(),
        dxf_version: match words.dxf {
            Dxf::R2000 => DxfVersion::R2000,
            Dxf::R12 => DxfVersion::R12,
        },
        dxf_unit: None,
        dxf_curves: if words.arcs { DxfCurves::Arcs } else { DxfCurves::Lines },
    };
    let (papers, mut looks) = papers(&job, &options)?;
    looks.extend(write_all(&words.out, &papers)?);
    if words.json {
        let names: Vec<_> = papers.iter().map(|p| json!({"name": p.name, "bytes": p.bytes.len()})).collect();
        say::json(
            &json!({"job": job.name, "folder": words.out.display().to_string(), "files": names, "look": looks}),
        );
    } else {
        for look in &looks {
            say::line(&format!("look: {look}"));
        }
        say::line(&format!("{} files in {}", papers.len(), words.out.display()));
    }
    Ok(())
}

/// Papers of a job in memory, with the sentences that ask for a look.
///
/// # Errors
/// When anything would stop or spoil the work: nothing is made then.
pub fn papers(job: &Job, options: &MakeOptions) -> Result<(Vec<PaperFile>, Vec<String>), AppError> {
    let plan = plan(job);
    let problems = checks(job, &plan);
    let of = |severity| problems.iter().filter(move |p| p.severity == severity).map(|p| p.sentence.clone());
    let stops: Vec<String> = of(Severity::Stop).collect();
    if !stops.is_empty() {
        return Err(AppError::Spoiled(format!("no papers were made. {}", stops.join(" "))));
    }
    Ok((coldwright_papers::make(job, &plan, options)?, of(Severity::Look).collect()))
}

/// Writes papers into a folder, each file whole. Papers that lie there from before and are none of these are named in a
/// sentence: a layer that is no more must not be cut.
///
/// # Errors
/// [`AppError::Write`] when the folder cannot be made or a file not written.
pub fn write_all(folder: &Path, papers: &[PaperFile]) -> Result<Option<String>, AppError> {
    fs::create_dir_all(folder).map_err(|e| AppError::Write {
        path: folder.to_owned(),
        why: format!("the folder cannot be made ({})", e.kind()),
    })?;
    papers.iter().try_for_each(|p| files::write(&folder.join(&p.name), &p.bytes))?;
    let paper = |name: &String| [".pdf", ".svg", ".dxf", ".csv"].iter().any(|end| name.ends_with(end));
    let mut older: Vec<String> = fs::read_dir(folder)
        .into_iter()
        .flatten()
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| paper(name) && papers.iter().all(|p| p.name != *name))
        .collect();
    older.sort();
    Ok((!older.is_empty()).then(|| {
        format!("These lie in the folder from before and are not of these papers: {}.", older.join(", "))
    }))
}
