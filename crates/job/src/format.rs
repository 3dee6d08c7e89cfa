//! The types that stand in `job.json`, version by version, and the way to and from the working types.
//!
//! Kept apart from [`crate::document`], whose types are free to change.

use coldwright_export::Paper;
use coldwright_geometry::{FixedFace, Length};
use serde::{Deserialize, Serialize};

use crate::document::{CutStyle, Job, Photo, PhotoId, Stands, Units, Wall, WallId};
use crate::error::JobError;
use crate::file::{FILE_VERSION, photo_entry};
use crate::format_further::{FurtherFile, further_from_file, further_to_file};
use crate::format_hollow::{HollowFile, hollow_from_file, hollow_to_file};
use crate::format_layers::{
    FittedFile, LayerFile, LidFile, LiningFile, fitted_from_file, fitted_to_file, layer_from_file,
    layer_to_file, lid_from_file, lid_to_file, lining_from_file, lining_to_file,
};
use crate::format_shop::{ShopFile, shop_from_file, shop_to_file};
use crate::format_template::{TemplateFile, template_from_file, template_to_file};

#[derive(Serialize, Deserialize)]
pub(crate) struct FileHead {
    pub(crate) coldwright_job: u32,
}

#[derive(Serialize, Deserialize)]
pub(crate) struct JobFile {
    coldwright_job: u32,
    name: String,
    units: UnitsFile,
    paper: String,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    printed_100_mm: Option<[f64; 2]>,
    photos: Vec<PhotoFile>,
    walls: Vec<WallFile>,
    #[serde(flatten)]
    shop: ShopFile,
    next_id: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum UnitsFile {
    Millimetres,
    Inches,
}

#[derive(Serialize, Deserialize)]
struct PhotoFile {
    id: u32,
    name: String,
    file: String,
}

#[derive(Serialize, Deserialize)]
struct WallFile {
    id: u32,
    name: String,
    stands: StandsFile,
    fixed_face: FaceFile,
    cut: CutFile,
    layers: Vec<LayerFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    liner: Option<LiningFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    stepped_lid: Option<LidFile>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    hollow: Option<HollowFile>,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    fitted: Vec<FittedFile>,
    template: TemplateFile,
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    further_templates: Vec<FurtherFile>,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum StandsFile {
    Upright,
    Floor,
    Lid,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum FaceFile {
    Outer,
    Inner,
}

#[derive(Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
enum CutFile {
    SquareFits,
    SquareFills,
    Bevelled,
}

pub(crate) fn pair((a, b): (Length, Length)) -> [f64; 2] {
    [a.mm(), b.mm()]
}

pub(crate) fn job_to_file(job: &Job) -> JobFile {
    JobFile {
        coldwright_job: FILE_VERSION,
        name: job.name.clone(),
        units: match job.units {
            Units::Millimetres => UnitsFile::Millimetres,
            Units::Inches => UnitsFile::Inches,
        },
        paper: paper_text(job.paper),
        printed_100_mm: job.printed_100_mm.map(pair),
        photos: job
            .photos
            .iter()
            .map(|p| PhotoFile { id: p.id.0, name: p.name.clone(), file: photo_entry(p) })
            .collect(),
        walls: job.walls.iter().map(wall_to_file).collect(),
        shop: shop_to_file(job),
        next_id: job.next_id,
    }
}

fn paper_text(paper: Paper) -> String {
    match paper {
        Paper::A4 => "a4".to_owned(),
        Paper::Letter => "letter".to_owned(),
        Paper::A3 => "a3".to_owned(),
        Paper::Tabloid => "tabloid".to_owned(),
        Paper::Roll { width_mm } => format!("roll-{width_mm}mm"),
    }
}

fn wall_to_file(w: &Wall) -> WallFile {
    WallFile {
        id: w.id.0,
        name: w.name.clone(),
        stands: match w.stands {
            Stands::Upright => StandsFile::Upright,
            Stands::Floor => StandsFile::Floor,
            Stands::Lid => StandsFile::Lid,
        },
        fixed_face: match w.fixed {
            FixedFace::Outer => FaceFile::Outer,
            FixedFace::Inner => FaceFile::Inner,
        },
        cut: match w.cut {
            CutStyle::SquareFits => CutFile::SquareFits,
            CutStyle::SquareFills => CutFile::SquareFills,
            CutStyle::Bevelled => CutFile::Bevelled,
        },
        layers: w.layers.iter().map(layer_to_file).collect(),
        liner: w.liner.as_ref().map(lining_to_file),
        stepped_lid: w.lid.as_ref().map(lid_to_file),
        hollow: w.hollow.as_ref().map(hollow_to_file),
        fitted: w.fitted.iter().map(fitted_to_file).collect(),
        template: template_to_file(&w.template),
        further_templates: w.further.iter().map(further_to_file).collect(),
    }
}

pub(crate) fn job_from_file(f: JobFile) -> Result<Job, JobError> {
    let mut job = Job {
        name: f.name,
        units: match f.units {
            UnitsFile::Millimetres => Units::Millimetres,
            UnitsFile::Inches => Units::Inches,
        },
        paper: Paper::parse(&f.paper).map_err(|e| JobError::Damaged(e.to_string()))?,
        printed_100_mm: f.printed_100_mm.map(|p| lengths(p, "printed_100_mm")).transpose()?,
        photos: f
            .photos
            .into_iter()
            .map(|p| Photo { id: PhotoId(p.id), name: p.name, bytes: None })
            .collect(),
        walls: f.walls.into_iter().map(wall_from_file).collect::<Result<_, _>>()?,
        next_id: f.next_id,
        ..Job::default()
    };
    shop_from_file(f.shop, &mut job)?;
    crate::check::sound(&job)?;
    Ok(job)
}

fn wall_from_file(f: WallFile) -> Result<Wall, JobError> {
    Ok(Wall {
        id: WallId(f.id),
        name: f.name,
        stands: match f.stands {
            StandsFile::Upright => Stands::Upright,
            StandsFile::Floor => Stands::Floor,
            StandsFile::Lid => Stands::Lid,
        },
        fixed: match f.fixed_face {
            FaceFile::Outer => FixedFace::Outer,
            FaceFile::Inner => FixedFace::Inner,
        },
        cut: match f.cut {
            CutFile::SquareFits => CutStyle::SquareFits,
            CutFile::SquareFills => CutStyle::SquareFills,
            CutFile::Bevelled => CutStyle::Bevelled,
        },
        layers: f.layers.into_iter().map(layer_from_file).collect::<Result<_, _>>()?,
        liner: f.liner.map(lining_from_file).transpose()?,
        lid: f.stepped_lid.map(lid_from_file).transpose()?,
        hollow: f.hollow.map(hollow_from_file).transpose()?,
        fitted: f.fitted.into_iter().map(fitted_from_file).collect::<Result<_, _>>()?,
        template: template_from_file(f.template)?,
        further: f.further_templates.into_iter().map(further_from_file).collect::<Result<_, _>>()?,
    })
}

pub(crate) fn number(v: f64, what: &str) -> Result<f64, JobError> {
    if v.is_finite() && v.abs() < 1e9 { Ok(v) } else { Err(JobError::Damaged(format!("{what} is {v}"))) }
}

pub(crate) fn length(mm: f64, what: &str) -> Result<Length, JobError> {
    Length::from_mm(mm).map_err(|e| JobError::Damaged(format!("{what}: {e}")))
}

pub(crate) fn lengths([a, b]: [f64; 2], what: &str) -> Result<(Length, Length), JobError> {
    Ok((length(a, what)?, length(b, what)?))
}
