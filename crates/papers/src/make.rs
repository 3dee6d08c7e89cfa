//! All papers of a job, as files in memory.

use coldwright_export::{
    CheckSquare, Drawing, DxfOptions, DxfUnit, DxfVersion, ExportError, Paper, PdfOptions, PdfPage,
    TileOptions, correction_from_print, csv, dxf, pdf, svg, tile,
};
use coldwright_geometry::LayerSet;
use coldwright_job::{Job, Plan, Units, Wall, WallPlan};

use crate::error::PapersError;
use crate::{matching, names, pattern, summary, tables};

/// Farthest a straight piece in an SVG or DXF lies from the curve, mm.
const FLATTEN_MM: f64 = 0.005;

/// A kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Patterns on pages, and the summary.
    Pdf,
    /// One SVG a piece.
    Svg,
    /// One DXF a piece.
    Dxf,
    /// Tables.
    Csv,
}

/// What is made, and how.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct MakeOptions {
    /// The paper; `None`: the job's own.
    pub paper: Option<Paper>,
    /// The kinds of file; empty: all.
    pub kinds: Vec<Kind>,
    /// Version of DXF files.
    pub dxf_version: DxfVersion,
    /// Unit of DXF files; `None`: that of the job.
    pub dxf_unit: Option<DxfUnit>,
}

/// One file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PaperFile {
    /// Its name: small letters, digits, hyphens and an ending; no two of one call are alike.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// A wall with what papers need of its plan.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Walled<'a> {
    pub(crate) wall: &'a Wall,
    pub(crate) plan: &'a WallPlan,
    pub(crate) set: &'a LayerSet,
}

/// All papers of a job: `patterns.pdf` (a page to read first, then every piece at full size on pages), `summary.pdf`, and for
/// each layer of each wall an SVG and a DXF named after the wall and the layer, and `layers.csv` and `cut-list.csv`.
///
/// The same job gives the same bytes. Nothing is made when anything is missing. Whether the plan's problems should stop the
/// work is for the caller to judge; they are listed in the summary.
///
/// # Errors
/// [`PapersError::NoWalls`], [`PapersError::NoLayers`] for the first wall without layers, and what [`crate::pattern`] and the
/// writers refuse.
pub fn make(job: &Job, plan: &Plan, options: &MakeOptions) -> Result<Vec<PaperFile>, PapersError> {
    let walls = walled(job, plan)?;
    let stems = names::stems(walls.iter().map(|w| w.wall.name.as_str()));
    let wants = |kind| options.kinds.is_empty() || options.kinds.contains(&kind);
    let mut drawings: Vec<(String, Drawing)> = Vec::new();
    for (w, stem) in walls.iter().zip(&stems) {
        let crosses = matching::points(w.set);
        for foam in &w.set.layers {
            let drawing = pattern::one(job, w.plan, w.set, w.wall, foam.number, crosses)?;
            drawings.push((format!("{stem}-{}", foam.number), drawing));
        }
    }

    let mut files = Vec::new();
    let mut add = |name: String, bytes: Vec<u8>| files.push(PaperFile { name, bytes });
    if wants(Kind::Pdf) {
        let paper = options.paper.unwrap_or(job.paper);
        add("patterns.pdf".to_owned(), patterns(job, paper, &drawings)?);
        add("summary.pdf".to_owned(), summary::pdf_of(job, &walls, paper)?);
    }
    let unit = options.dxf_unit.unwrap_or(match job.units {
        Units::Millimetres => DxfUnit::Mm,
        Units::Inches => DxfUnit::Inch,
    });
    let dxf_options = DxfOptions { version: options.dxf_version, unit, flatten_mm: FLATTEN_MM };
    for (stem, drawing) in &drawings {
        let failed =
            |why| PapersError::Export { what: format!("the cut file of \"{}\"", drawing.title), why };
        if wants(Kind::Svg) {
            add(format!("{stem}.svg"), svg(drawing, FLATTEN_MM).map_err(failed)?.into_bytes());
        }
        if wants(Kind::Dxf) {
            add(format!("{stem}.dxf"), dxf(drawing, &dxf_options).map_err(failed)?.into_bytes());
        }
    }
    if wants(Kind::Csv) {
        add("layers.csv".to_owned(), csv(&tables::layers(job, &walls)).into_bytes());
        add("cut-list.csv".to_owned(), csv(&tables::cut_list(job, &walls, &stems)).into_bytes());
    }
    Ok(files)
}

/// The job's walls with their layers.
fn walled<'a>(job: &'a Job, plan: &'a Plan) -> Result<Vec<Walled<'a>>, PapersError> {
    if job.walls.is_empty() {
        return Err(PapersError::NoWalls);
    }
    let no_layers = |wall: &Wall| PapersError::NoLayers { wall: wall.name.clone() };
    job.walls
        .iter()
        .map(|wall| {
            let plan = plan.wall(wall.id).ok_or_else(|| no_layers(wall))?;
            let set =
                plan.layers.as_deref().filter(|set| !set.layers.is_empty()).ok_or_else(|| no_layers(wall))?;
            Ok(Walled { wall, plan, set })
        })
        .collect()
}

/// All pieces at full size, the page to read first before them, pages counted through.
fn patterns(job: &Job, paper: Paper, drawings: &[(String, Drawing)]) -> Result<Vec<u8>, PapersError> {
    let correction = match job.printed_100_mm {
        None => (1.0, 1.0),
        Some((width, height)) => correction_from_print(width.mm(), height.mm())
            .map_err(|why| PapersError::Export { what: "the patterns".to_owned(), why })?,
    };
    let options =
        |at: usize, first_page: usize, pages_in_all: Option<usize>, drawing: &Drawing| TileOptions {
            paper,
            print_correction: correction,
            job_name: job.name.clone(),
            piece_name: drawing.title.clone(),
            first_page,
            pages_in_all,
            check_square: if at == 0 { CheckSquare::OwnPage } else { CheckSquare::Left },
            ..TileOptions::default()
        };
    let failed = |drawing: &Drawing, why: ExportError| PapersError::Export {
        what: format!("the pattern of \"{}\"", drawing.title),
        why,
    };
    // Once to count the pages, once with their number known.
    let mut counts = Vec::new();
    for (at, (_, drawing)) in drawings.iter().enumerate() {
        counts.push(tile(drawing, &options(at, 1, None, drawing)).map_err(|why| failed(drawing, why))?.len());
    }
    let in_all = counts.iter().sum();
    let mut pages: Vec<PdfPage> = Vec::with_capacity(in_all);
    for (at, (_, drawing)) in drawings.iter().enumerate() {
        let first = pages.len() + 1;
        pages.extend(
            tile(drawing, &options(at, first, Some(in_all), drawing)).map_err(|why| failed(drawing, why))?,
        );
    }
    pdf(&pages, &PdfOptions { title: format!("{}: patterns", job.name), ..PdfOptions::default() })
        .map_err(|why| PapersError::Export { what: "the patterns".to_owned(), why })
}
