//! The neutral files: pieces and stock in (schema `sheet-nesting/1`), layout out.
//!
//! All lengths mm, y up, outlines without a repeated closing point. Known keys of a piece: `id`, `quantity`, `outline_mm`,
//! `rotations_deg` (null: any), `mirror_allowed` (read, never used), and our `material`, `thickness_mm`; of a sheet: `id`,
//! `outline_mm`, `blocked_mm`, `available`, `cost`, `material`, `thickness_mm`; of the file: `name`, `gap_mm`, `kerf_mm`,
//! `edge_margin_mm`, `sheet` (shortcut for one full sheet), `sheets`, `strip` (`width`), `pieces`, and our `locked` (in the
//! form of a layout's placements, `sheet` counting the sheets of that `stock`). Other keys are left alone.

use kurbo::{Point, Vec2};
use serde::{Deserialize, Serialize};

use crate::error::NestingError;
use crate::layout::Layout;
use crate::request::{Lock, Piece, Request, Stock, Stuff, Turns};
use crate::strip::StripRequest;

/// The schema's name.
const SCHEMA: &str = "sheet-nesting/1";

#[derive(Deserialize)]
struct File {
    schema: Option<String>,
    #[serde(default)]
    name: String,
    #[serde(default)]
    gap_mm: f64,
    #[serde(default)]
    kerf_mm: f64,
    #[serde(default)]
    edge_margin_mm: f64,
    #[serde(default)]
    sheets: Vec<SheetEntry>,
    sheet: Option<FullSheet>,
    strip: Option<StripEntry>,
    #[serde(default)]
    pieces: Vec<PieceEntry>,
    #[serde(default)]
    locked: Vec<PlacementEntry>,
}

#[derive(Deserialize)]
struct FullSheet {
    width_mm: f64,
    height_mm: Option<f64>,
}

#[derive(Deserialize)]
struct StripEntry {
    width: f64,
}

#[derive(Deserialize)]
struct SheetEntry {
    id: String,
    outline_mm: Vec<[f64; 2]>,
    #[serde(default)]
    blocked_mm: Vec<Vec<[f64; 2]>>,
    available: Option<u32>,
    #[serde(default = "one")]
    cost: f64,
    #[serde(default)]
    material: String,
    #[serde(default)]
    thickness_mm: f64,
}

fn one() -> f64 {
    1.0
}

#[derive(Deserialize)]
struct PieceEntry {
    id: String,
    quantity: u32,
    outline_mm: Vec<[f64; 2]>,
    rotations_deg: Option<Vec<f64>>,
    #[serde(default)]
    material: String,
    #[serde(default)]
    thickness_mm: f64,
}

#[derive(Deserialize, Serialize)]
struct PlacementEntry {
    id: String,
    sheet: u32,
    stock: String,
    rot_deg: f64,
    x: f64,
    y: f64,
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    mirror: bool,
}

#[derive(Serialize)]
struct LeftEntry {
    id: String,
    quantity: u32,
}

#[derive(Serialize)]
struct LayoutFile<'a> {
    instance: &'a str,
    seed: u64,
    threads: usize,
    moves: u64,
    #[serde(skip_serializing_if = "Option::is_none")]
    length: Option<f64>,
    placements: Vec<PlacementEntry>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    left: Vec<LeftEntry>,
}

/// What a file asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Wanted {
    /// Pieces on sheets.
    Sheets(Request),
    /// Pieces on a strip of open length.
    Strip(StripRequest),
}

fn points(list: &[[f64; 2]]) -> Vec<Point> {
    list.iter().map(|p| Point::new(p[0], p[1])).collect()
}

/// Reads a pieces file.
///
/// # Errors
///
/// [`NestingError::Unreadable`] when it is no such file, [`NestingError::BadLock`] for a lock that names nothing.
pub fn read_pieces(json: &str) -> Result<Wanted, NestingError> {
    let bad = |why: String| NestingError::Unreadable { why };
    let file: File = serde_json::from_str(json).map_err(|e| bad(e.to_string()))?;
    if file.schema.as_deref().is_some_and(|s| s != SCHEMA) {
        return Err(bad(format!(
            "the schema is \"{}\", only \"{SCHEMA}\" is known",
            file.schema.unwrap_or_default()
        )));
    }
    let pieces: Vec<Piece> = file
        .pieces
        .into_iter()
        .map(|p| Piece {
            id: p.id,
            quantity: p.quantity,
            outline: points(&p.outline_mm),
            turns: p.rotations_deg.map_or(Turns::Any, Turns::Only),
            stuff: Stuff::new(p.material, p.thickness_mm),
        })
        .collect();
    if let Some(s) = file.strip {
        return Ok(Wanted::Strip(StripRequest {
            name: file.name,
            width: s.width,
            gap: file.gap_mm.max(file.kerf_mm),
            pieces,
        }));
    }
    let mut stock: Vec<Stock> = file
        .sheets
        .into_iter()
        .map(|s| Stock {
            id: s.id,
            outline: points(&s.outline_mm),
            blocked: s.blocked_mm.iter().map(|b| points(b)).collect(),
            available: s.available,
            cost: s.cost,
            stuff: Stuff::new(s.material, s.thickness_mm),
        })
        .collect();
    if let (true, Some(FullSheet { width_mm: w, height_mm: Some(h) })) = (stock.is_empty(), file.sheet) {
        // The shortcut stands for full sheets of whatever the pieces are cut from.
        let mut stuffs: Vec<Stuff> = pieces.iter().map(|p| p.stuff.clone()).collect();
        stuffs.sort();
        stuffs.dedup();
        let outline = crate::region::rect_ring(kurbo::Rect::new(0.0, 0.0, w, h));
        stock = stuffs
            .into_iter()
            .enumerate()
            .map(|(k, stuff)| {
                let id = if k == 0 { "full".to_owned() } else { format!("full {}", k + 1) };
                Stock { id, outline: outline.clone(), blocked: vec![], available: None, cost: 1.0, stuff }
            })
            .collect();
    }
    let mut locks = Vec::new();
    for l in file.locked {
        let lost = |why: &str| NestingError::BadLock { id: l.id.clone(), why: why.to_owned() };
        if l.mirror {
            return Err(lost("turns it over, which is never done"));
        }
        let piece = pieces
            .iter()
            .position(|p| p.id == l.id)
            .ok_or_else(|| lost("names a piece that is not there"))?;
        let stock = stock
            .iter()
            .position(|s| s.id == l.stock)
            .ok_or_else(|| lost("names stock that is not there"))?;
        locks.push(Lock { piece, stock, nth: l.sheet, turn_deg: l.rot_deg, at: Vec2::new(l.x, l.y) });
    }
    let (gap, kerf, margin) = (file.gap_mm, file.kerf_mm, file.edge_margin_mm);
    Ok(Wanted::Sheets(Request { name: file.name, gap, kerf, margin, pieces, stock, locks }))
}

/// What a layout file says beside the layout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Made {
    /// Seed of the run.
    pub seed: u64,
    /// Threads of the run.
    pub threads: usize,
    /// Moves per thread.
    pub moves: u64,
    /// Length of a strip.
    pub length: Option<f64>,
}

/// Writes a layout of a request: one JSON object, `sheet` numbered through all sheets in use.
///
/// # Errors
///
/// [`NestingError::Unsound`] when the layout names something the request does not have.
pub fn write_layout(request: &Request, layout: &Layout, made: &Made) -> Result<String, NestingError> {
    let lost = || NestingError::Unsound { why: "it names something that is not there".to_owned() };
    let mut placements = Vec::with_capacity(layout.placements.len());
    for p in &layout.placements {
        let piece = request.pieces.get(p.piece).ok_or_else(lost)?;
        let stock = layout.sheets.get(p.sheet).and_then(|s| request.stock.get(s.stock)).ok_or_else(lost)?;
        placements.push(PlacementEntry {
            id: piece.id.clone(),
            sheet: p.sheet as u32,
            stock: stock.id.clone(),
            rot_deg: p.turn_deg,
            x: p.at.x,
            y: p.at.y,
            mirror: false,
        });
    }
    let left = crate::nest::left_by_piece(request, &layout.left);
    let file = LayoutFile {
        instance: &request.name,
        seed: made.seed,
        threads: made.threads,
        moves: made.moves,
        length: made.length,
        placements,
        left: left.into_iter().map(|(id, quantity)| LeftEntry { id, quantity }).collect(),
    };
    serde_json::to_string_pretty(&file).map_err(|e| NestingError::Unsound { why: e.to_string() })
}
