//! All papers of a job, as files in memory.

use coldwright_export::{
    Drawing, DxfCurves, DxfOptions, DxfUnit, DxfVersion, Paper, PdfOptions, TilePiece, csv, dxf, pdf, svg,
    tile_pieces,
};
use coldwright_geometry::LayerSet;
use coldwright_job::{Job, Plan, PlannedPiece, Units, Wall, WallPlan};

use crate::error::PapersError;
use crate::laid::{self, SheetsUsed};
use crate::offsets::Offsets;
use crate::pattern::{self, Piece};
use crate::{
    matching, names, neighbours, offsets, pages, seams, second_face, shop_book, tables, wire_template,
    wording,
};

/// Farthest a straight piece in an SVG or DXF lies from the curve, mm.
const FLATTEN_MM: f64 = 0.005;

/// A kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Patterns and wire templates on pages, the shop book, the table of offsets.
    Pdf,
    /// One SVG a piece, and one a sheet.
    Svg,
    /// One DXF a piece, and one a sheet.
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
    /// What becomes of curves in DXF files.
    pub dxf_curves: DxfCurves,
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
    /// Its pieces, by layers and parts.
    pub(crate) pieces: &'a [PlannedPiece],
}

impl<'a> Walled<'a> {
    /// The pieces of one layer.
    pub(crate) fn of_layer(&self, number: usize) -> impl Iterator<Item = &'a PlannedPiece> {
        self.pieces.iter().filter(move |piece| piece.id.layer as usize == number)
    }
}

/// All papers of a job: `patterns.pdf` (a page to read first, then every piece at full size on pages, followed by its second pattern
/// where the saw makes some edges only with the hull face up), `wire-templates.pdf` (for
/// bevelled layers of polystyrene, where there are any), `shop-book.pdf`, `offsets.pdf` (for people without a printer), for each
/// piece an SVG and a DXF named after the wall, the layer and the part; where the pieces are laid out on sheets and the layout
/// holds, `sheet-1.svg`, `sheet-1.dxf` and so on; and `layers.csv`, `cut-list.csv`, `fitting-order.csv`, `buy.csv` and
/// `offsets.csv`.
///
/// The same job gives the same bytes. Nothing is made when anything is missing. Whether the plan's problems should stop the
/// work is for the caller to judge; they are listed in the shop book.
///
/// # Errors
/// [`PapersError::NoWalls`], [`PapersError::NoLayers`] for the first wall without layers, and what [`crate::pattern`] and the
/// writers refuse.
pub fn make(job: &Job, plan: &Plan, options: &MakeOptions) -> Result<Vec<PaperFile>, PapersError> {
    let walls = walled(job, plan)?;
    let stems = names::stems(walls.iter().map(|w| w.wall.name.as_str()));
    let wants = |kind| options.kinds.is_empty() || options.kinds.contains(&kind);
    let paper = options.paper.unwrap_or(job.paper);
    let sheet = pages::options_or_plain(job, paper);
    let mut drawings: Vec<(String, Piece)> = Vec::new();
    // Second patterns, each with the first one it belongs to.
    let mut second: Vec<(usize, Piece)> = Vec::new();
    let mut wires: Vec<Piece> = Vec::new();
    let mut tabled: Vec<Offsets> = Vec::new();
    for (w, stem) in walls.iter().zip(&stems) {
        let crosses = matching::points(w.set);
        let name = wording::wall_name(job, w.wall);
        for whole in &w.set.layers {
            let joints = seams::of_layer(job, plan, w.wall, whole);
            let meetings = neighbours::meetings(job, plan, w.wall, whole.number);
            let mut none = true;
            for piece in w.of_layer(whole.number) {
                none = false;
                let mark = wording::piece_mark(&name, piece);
                let part = piece.id.part as usize;
                let cut = pattern::Cut {
                    plan: w.plan,
                    set: w.set,
                    wall: w.wall,
                    foam: &piece.layer,
                    name: &name,
                    mark: &mark,
                    part: Some((part, piece.parts)),
                    seams: joints.get(part).map_or(&[], Vec::as_slice),
                    meetings: &meetings,
                    crosses,
                };
                drawings.push((names::of_piece(stem, piece), pattern::one(job, cut, &sheet)?));
                if wants(Kind::Pdf) {
                    let turned = second_face::pattern(job, cut, &sheet);
                    second.extend(turned.map(|pattern| (drawings.len() - 1, pattern)));
                    wires.extend(
                        wire_template::pair(job, w, piece, cut.seams, crosses, &sheet).into_iter().flatten(),
                    );
                }
                tabled.push(offsets::offsets(job, w, piece, mark));
            }
            if none {
                let mark = wording::mark(&name, whole.number, None);
                return Err(PapersError::NothingToCut { mark });
            }
        }
    }

    let used = SheetsUsed::of(plan);
    let mut files = Vec::new();
    let mut add = |name: String, bytes: Vec<u8>| files.push(PaperFile { name, bytes });
    if wants(Kind::Pdf) {
        let mut pieces: Vec<&Piece> = Vec::new();
        for (i, (_, piece)) in drawings.iter().enumerate() {
            pieces.push(piece);
            pieces.extend(second.iter().filter(|(of, _)| *of == i).map(|(_, turned)| turned));
        }
        add("patterns.pdf".to_owned(), full_size(job, paper, "patterns", &pieces)?);
        if !wires.is_empty() {
            let pieces: Vec<&Piece> = wires.iter().collect();
            add("wire-templates.pdf".to_owned(), full_size(job, paper, "wire templates", &pieces)?);
        }
        add("shop-book.pdf".to_owned(), shop_book::pdf_of(job, plan, &walls, used.as_ref(), paper)?);
        add("offsets.pdf".to_owned(), offsets::pdf_of(job, &tabled, paper)?);
    }
    let unit = options.dxf_unit.unwrap_or(match job.units {
        Units::Millimetres => DxfUnit::Mm,
        Units::Inches => DxfUnit::Inch,
    });
    let dxf_options =
        DxfOptions { version: options.dxf_version, unit, flatten_mm: FLATTEN_MM, curves: options.dxf_curves };
    let cut_files = wants(Kind::Svg) || wants(Kind::Dxf);
    let sheets = used.iter().filter(|_| cut_files).flat_map(|used| {
        let one = |number| (format!("{}-{number}", names::SHEET), laid::drawing(job, used, &walls, number));
        (1..=used.count()).map(one)
    });
    let sheets: Vec<(String, Drawing)> = sheets.collect();
    let pieces = drawings.iter().map(|(stem, piece)| (stem, &piece.drawing));
    for (stem, drawing) in pieces.chain(sheets.iter().map(|(stem, drawing)| (stem, drawing))) {
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
        add(
            "cut-list.csv".to_owned(),
            csv(&tables::cut_list(job, &walls, &stems, used.as_ref())).into_bytes(),
        );
        add("fitting-order.csv".to_owned(), csv(&tables::fitting_order(job, plan, &walls)).into_bytes());
        add("buy.csv".to_owned(), csv(&tables::buy(job, plan)).into_bytes());
        add("offsets.csv".to_owned(), csv(&offsets::table(&tabled)).into_bytes());
    }
    Ok(files)
}

/// The job's walls with their layers.
fn walled<'a>(job: &'a Job, plan: &'a Plan) -> Result<Vec<Walled<'a>>, PapersError> {
    if job.walls.is_empty() {
        return Err(PapersError::NoWalls);
    }
    let no_layers = |wall: &Wall| PapersError::NoLayers { wall: wall.name.clone() };
    let pieces = plan.pieces.as_slice();
    job.walls
        .iter()
        .map(|wall| {
            let plan = plan.wall(wall.id).ok_or_else(|| no_layers(wall))?;
            let set =
                plan.layers.as_deref().filter(|set| !set.layers.is_empty()).ok_or_else(|| no_layers(wall))?;
            let first = pieces.iter().position(|p| p.id.wall == wall.id).unwrap_or(pieces.len());
            let own = pieces.get(first..).unwrap_or_default();
            let count = own.iter().take_while(|p| p.id.wall == wall.id).count();
            Ok(Walled { wall, plan, set, pieces: own.get(..count).unwrap_or_default() })
        })
        .collect()
}

/// Drawings at full size, the page to read first before them, pages counted through.
fn full_size(job: &Job, paper: Paper, what: &str, pieces: &[&Piece]) -> Result<Vec<u8>, PapersError> {
    let pieces: Vec<TilePiece<'_>> = pieces
        .iter()
        .map(|piece| TilePiece {
            name: &piece.drawing.title,
            drawing: &piece.drawing,
            grid: piece.grid.clone(),
        })
        .collect();
    let pages = tile_pieces(&pieces, &pages::options(job, paper)?).map_err(|(at, why)| {
        let title = pieces.get(at).map_or("", |piece| piece.name);
        PapersError::Export { what: format!("the pattern of \"{title}\""), why }
    })?;
    pdf(&pages, &PdfOptions { title: format!("{}: {what}", job.name), ..PdfOptions::default() })
        .map_err(|why| PapersError::Export { what: format!("the {what}"), why })
}
