//! Pieces on sheets: the request for the search, the layout a person has kept, and whether there is enough.

use std::sync::Arc;

use coldwright_geometry::Severity;
use coldwright_nesting as nesting;
use kurbo::{Point, Vec2};

use crate::document::Job;
use crate::pieces::PlannedPiece;
use crate::problem::{Problem, Step, sentence_case};
use crate::sawn::{BreakDown, break_downs};
use crate::workshop::{Cutting, KeptLayout, KeptPlace, PieceId, SheetShape, StockSheet};

/// Sheets of one material count as one thickness when they are this near, mm: makers allow as much.
const SAME_THICKNESS: f64 = 2.0;

/// What is asked of the search, and which piece each of its pieces is.
#[derive(Clone, Debug, PartialEq)]
pub struct SheetRequest {
    /// Pieces and stock. Its piece `i` is `ids[i]`, its stock `k` is the job's.
    pub request: nesting::Request,
    /// The pieces that can be laid out.
    pub ids: Vec<PieceId>,
    /// Pieces for which the job has no sheet of their material and thickness.
    pub without: Vec<PieceId>,
}

/// A kept layout against the pieces as they are now.
#[derive(Clone, Debug)]
pub struct LaidOut {
    /// What was asked.
    pub asked: SheetRequest,
    /// Sheets in use and where each piece lies.
    pub layout: nesting::Layout,
    /// The largest rectangle left whole on each sheet in use.
    pub offcuts: Vec<nesting::Offcut>,
    /// How each sheet in use comes to the saw, in the layout's order.
    pub break_downs: Vec<BreakDown>,
    /// Sheets that were wanting when it was laid out: like which one of the stock, how many.
    pub short: Vec<(String, u32)>,
    /// What no longer holds, as sentences; a layout with any must be made again. Pieces for which the sheets ran out are no fault.
    pub faults: Vec<String>,
}

impl LaidOut {
    /// Whether it can be cut from.
    pub fn is_sound(&self) -> bool {
        self.faults.is_empty()
    }

    /// How many sheets of each kind in the job's stock it uses.
    pub fn used(&self) -> Vec<u32> {
        let mut used = vec![0; self.asked.request.stock.len()];
        for sheet in &self.layout.sheets {
            if let Some(n) = used.get_mut(sheet.stock) {
                *n += 1;
            }
        }
        used
    }
}

/// The request for laying out all pieces; places the person has locked are held.
pub fn sheet_request(job: &Job, pieces: &[PlannedPiece]) -> SheetRequest {
    let stuffs = stuffs(&job.stock);
    let stock: Vec<nesting::Stock> =
        job.stock.iter().zip(&stuffs).map(|(s, stuff)| to_stock(s, stuff.clone())).collect();
    let (mut ids, mut without, mut asked) = (Vec::new(), Vec::new(), Vec::new());
    for piece in pieces {
        let Some(stuff) = stuff_of(piece, &stock) else {
            without.push(piece.id);
            continue;
        };
        ids.push(piece.id);
        asked.push(nesting::Piece {
            id: piece.mark.clone(),
            quantity: 1,
            outline: piece.outline.clone(),
            turns: nesting::Turns::Any,
            stuff,
        });
    }
    let held = job.layout.iter().flat_map(|l| &l.places).filter(|p| p.locked);
    let locks = held.filter_map(|place| {
        Some(nesting::Lock {
            piece: ids.iter().position(|id| *id == place.piece)?,
            stock: job.stock.iter().position(|s| s.name == place.stock)?,
            nth: place.nth,
            turn_deg: place.turn_deg,
            at: place.at.to_vec2(),
        })
    });
    let request = nesting::Request {
        name: job.name.clone(),
        gap: job.cutting.apart.mm(),
        kerf: job.cutting.kerf.mm(),
        margin: job.cutting.margin.mm(),
        locks: locks.collect(),
        pieces: asked,
        stock,
    };
    SheetRequest { request, ids, without }
}

/// The document's own record of a layout found: its places, and what the sheets did not suffice for.
pub fn keep_layout(asked: &SheetRequest, outcome: &nesting::Outcome, seed: u64) -> KeptLayout {
    let places = outcome.layout.placements.iter().filter_map(|p| {
        let sheet = outcome.layout.sheets.get(p.sheet)?;
        let held = |l: &nesting::Lock| l.piece == p.piece;
        Some(KeptPlace {
            piece: *asked.ids.get(p.piece)?,
            stock: asked.request.stock.get(sheet.stock)?.id.clone(),
            nth: sheet.nth,
            turn_deg: p.turn_deg,
            at: p.at.to_point(),
            locked: asked.request.locks.iter().any(held),
        })
    });
    let left = outcome.layout.left.iter().filter_map(|l| asked.ids.get(l.piece).copied()).collect();
    let more = outcome.answers.iter().filter_map(|a| match &a.verdict {
        nesting::Verdict::ShortBy { more, .. } => Some(more),
        _ => None,
    });
    let short = more
        .flatten()
        .filter_map(|c| Some((asked.request.stock.get(c.stock)?.id.clone(), c.sheets)))
        .collect();
    KeptLayout { seed, moves: outcome.moves, places: places.collect(), left, short }
}

/// A layout as last judged, and what it was judged by.
#[derive(Debug)]
pub(crate) struct Kept {
    layout: KeptLayout,
    stock: Vec<StockSheet>,
    cutting: Cutting,
    laid: Arc<LaidOut>,
}

/// The kept layout of a job, held against its pieces; judged anew only when one of both has changed.
pub(crate) fn laid_out(job: &Job, pieces: &[PlannedPiece], kept: &mut Option<Kept>) -> Option<Arc<LaidOut>> {
    let Some(layout) = &job.layout else {
        *kept = None;
        return None;
    };
    let asked = sheet_request(job, pieces);
    let holds = |k: &Kept| {
        k.layout == *layout && k.stock == job.stock && k.cutting == job.cutting && k.laid.asked == asked
    };
    if !kept.as_ref().is_some_and(holds) {
        *kept = Some(Kept {
            layout: layout.clone(),
            stock: job.stock.clone(),
            cutting: job.cutting,
            laid: Arc::new(judged(job, layout, asked)),
        });
    }
    kept.as_ref().map(|k| k.laid.clone())
}

fn judged(job: &Job, kept: &KeptLayout, asked: SheetRequest) -> LaidOut {
    let mut layout = nesting::Layout::default();
    let mut faults = Vec::new();
    for place in &kept.places {
        let piece = asked.ids.iter().position(|id| *id == place.piece);
        let stock = job.stock.iter().position(|s| s.name == place.stock);
        let (Some(piece), Some(stock)) = (piece, stock) else { continue };
        let used = nesting::SheetUsed { stock, nth: place.nth };
        let sheet = layout.sheets.iter().position(|s| *s == used).unwrap_or_else(|| {
            layout.sheets.push(used);
            layout.sheets.len() - 1
        });
        let at = Vec2::new(place.at.x, place.at.y);
        layout.placements.push(nesting::Placement { piece, copy: 0, sheet, turn_deg: place.turn_deg, at });
    }
    layout.placements.sort_by_key(|p| p.piece);
    for (i, piece) in asked.request.pieces.iter().enumerate() {
        if !layout.placements.iter().any(|p| p.piece == i) {
            layout.left.push(nesting::Left { piece: i, copy: 0 });
            let ran_out = asked.ids.get(i).is_some_and(|id| kept.left.contains(id));
            if !ran_out {
                faults.push(format!("{} lies on no sheet", piece.id));
            }
        }
    }
    let name = |placement: usize| {
        let p = layout.placements.get(placement).map(|p| p.piece);
        p.and_then(|p| asked.request.pieces.get(p)).map_or("a piece", |p| p.id.as_str())
    };
    for fault in nesting::check(&asked.request, &layout) {
        use nesting::Fault as F;
        faults.push(match &fault {
            F::Overlap { first, second, .. } | F::Close { first, second, .. } => {
                format!("{} and {} lie too close", name(*first), name(*second))
            }
            F::Outside { number, .. } | F::Edge { number, .. } => {
                format!("{} lies over the edge of its sheet", name(*number))
            }
            F::OtherStuff { piece, .. } => {
                let mark = asked.request.pieces.get(*piece).map_or("a piece", |p| p.id.as_str());
                format!("{mark} lies on another foam than it is cut from")
            }
            F::Sheet { sheet } => {
                let used = layout.sheets.get(*sheet).and_then(|s| job.stock.get(s.stock));
                let kind = used.map_or("a sheet", |s| s.name.as_str());
                format!("more of {kind} are used than there are")
            }
            other => other.to_string(),
        });
    }
    let offcuts = if faults.is_empty() { nesting::offcuts(&asked.request, &layout) } else { Vec::new() };
    let break_downs = if faults.is_empty() { break_downs(job, &asked, &layout) } else { Vec::new() };
    LaidOut { asked, layout, offcuts, break_downs, short: kept.short.clone(), faults }
}

/// What to say of the sheets.
pub(crate) fn problems(job: &Job, pieces: &[PlannedPiece], laid: Option<&LaidOut>) -> Vec<Problem> {
    let mut out = Vec::new();
    let mut say = |severity, sentence: String| {
        let sentence = sentence_case(&sentence);
        out.push(Problem { step: Step::Sheets, severity, wall: None, edge: None, tick: None, sentence });
    };
    let mut wanting: Vec<(String, Vec<&str>)> = Vec::new();
    let without = match laid {
        Some(laid) => laid.asked.without.clone(),
        None => sheet_request(job, pieces).without,
    };
    for piece in pieces.iter().filter(|p| without.contains(&p.id)) {
        let thickness = job.show_mm(piece.thickness);
        let foam = format!("{} {thickness}", piece.material);
        match wanting.iter_mut().find(|w| w.0 == foam) {
            Some(w) => w.1.push(&piece.mark),
            None => wanting.push((foam, vec![&piece.mark])),
        }
    }
    for (foam, marks) in wanting {
        say(
            Severity::Look,
            format!("No sheet of {foam} is listed for {}. Add one to the sheets", few(&marks)),
        );
    }
    if let Some(laid) = laid
        && laid.is_sound()
    {
        for one in crate::enough::enough(job, laid).iter().filter(|e| !e.is_enough()) {
            say(Severity::Look, format!("{}. Add sheets, or sheets that can be bought", one.words(job)));
        }
        let no_way = laid.break_downs.iter().filter(|b| matches!(b, BreakDown::NoWay)).count();
        if no_way > 0 {
            let which = if no_way == 1 { "1 sheet" } else { &format!("{no_way} sheets") };
            say(
                Severity::Look,
                format!(
                    "No straight cuts bring {which} to the saw's throat as the pieces lie. Saw the rough shapes out by hand first, or lay them out again"
                ),
            );
        }
    } else if let Some(laid) = laid {
        say(
            Severity::Look,
            format!(
                "The layout does not hold as the pieces and sheets are now: {}. Lay them out again",
                few(&laid.faults)
            ),
        );
    }
    out
}

/// The first three of a list, and how many more.
fn few<T: AsRef<str>>(list: &[T]) -> String {
    let first: Vec<&str> = list.iter().take(3).map(AsRef::as_ref).collect();
    match list.len() {
        0..=3 => first.join(", "),
        n => format!("{} and {} more", first.join(", "), n - 3),
    }
}

fn same(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

/// Whether a piece of this material and thickness can be cut from a sheet.
pub(crate) fn may_give(sheet: &StockSheet, material: &str, thickness: f64) -> bool {
    same(&sheet.material, material) && (sheet.thickness.mm() - thickness).abs() <= SAME_THICKNESS
}

/// The stuff of each kind of sheet: near thicknesses of one material are one stuff, named after the thinnest.
fn stuffs(stock: &[StockSheet]) -> Vec<nesting::Stuff> {
    let mut by_thickness: Vec<usize> = (0..stock.len()).collect();
    by_thickness.sort_by_key(|i| stock[*i].thickness);
    let mut heads: Vec<usize> = Vec::new();
    let mut of = vec![0; stock.len()];
    for i in by_thickness {
        let near = |h: &&usize| {
            same(&stock[**h].material, &stock[i].material)
                && stock[i].thickness.mm() - stock[**h].thickness.mm() <= SAME_THICKNESS
        };
        let found = heads.iter().rev().find(near).copied();
        of[i] = found.unwrap_or_else(|| {
            heads.push(i);
            i
        });
    }
    of.into_iter().map(|h| nesting::Stuff::new(stock[h].material.trim(), stock[h].thickness.mm())).collect()
}

/// The stuff a piece is cut from: of its material, nearest in thickness.
fn stuff_of(piece: &PlannedPiece, stock: &[nesting::Stock]) -> Option<nesting::Stuff> {
    let off = |s: &nesting::Stuff| (s.thickness_mm() - piece.thickness).abs();
    let near = stock.iter().map(|s| &s.stuff).filter(|s| same(&s.material, &piece.material));
    near.filter(|s| off(s) <= SAME_THICKNESS).min_by(|a, b| off(a).total_cmp(&off(b))).cloned()
}

fn to_stock(sheet: &StockSheet, stuff: nesting::Stuff) -> nesting::Stock {
    let outline = match &sheet.shape {
        SheetShape::Rectangle { width, length } => {
            let (w, l) = (width.mm(), length.mm());
            vec![Point::ZERO, Point::new(w, 0.0), Point::new(w, l), Point::new(0.0, l)]
        }
        SheetShape::Outline(ring) => ring.clone(),
    };
    nesting::Stock {
        id: sheet.name.clone(),
        outline,
        blocked: Vec::new(),
        available: sheet.owned,
        cost: if sheet.owned.is_some() { 0.0 } else { 1.0 },
        stuff,
    }
}
