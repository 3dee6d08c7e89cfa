//! The shortest strip: one sheet of fixed width and open length, as the classic instances of the literature have it.

use std::sync::atomic::AtomicBool;

use kurbo::Point;

use crate::check::check;
use crate::effort::{Effort, Progress};
use crate::error::NestingError;
use crate::layout::Layout;
use crate::prepare::prepare;
use crate::region::rect_ring;
use crate::request::{Piece, Request, Stock, Stuff, Turns};
use crate::ring::{bounds, signed_area};
use crate::run::{Job, layout, run};
use crate::search::first::{alone, first};
use crate::search::problem::Board;
use crate::search::scene::Scene;
use crate::search::strip::work;

/// Pieces for a strip of open length.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct StripRequest {
    /// Name, for the layout file.
    pub name: String,
    /// Width of the strip (along y), in the pieces' own unit.
    pub width: f64,
    /// Smallest distance between pieces, in the same unit.
    pub gap: f64,
    /// The pieces; their stuff is not looked at.
    pub pieces: Vec<Piece>,
}

/// A sound strip.
#[derive(Debug, Clone, PartialEq)]
pub struct StripOutcome {
    /// Where everything lies, on one sheet.
    pub layout: Layout,
    /// Length used, from 0 to the end of the farthest piece.
    pub length: f64,
    /// Area of the pieces over length × width, 0 to 1.
    pub density: f64,
    /// Moves made per thread: with the same seed and threads, this count gives the same strip again.
    pub moves: u64,
}

impl StripRequest {
    /// As a request on one sheet of a given length.
    pub fn on_sheet(&self, length: f64) -> Request {
        let stuff = Stuff::default();
        let outline = rect_ring(kurbo::Rect::new(0.0, 0.0, length, self.width));
        let pieces = self.pieces.iter().map(|p| Piece { stuff: stuff.clone(), ..p.clone() }).collect();
        Request {
            name: self.name.clone(),
            gap: self.gap,
            pieces,
            stock: vec![Stock {
                id: "strip".into(),
                outline,
                blocked: vec![],
                available: Some(1),
                cost: 0.0,
                stuff,
            }],
            ..Request::default()
        }
    }
}

/// Lays the pieces on the shortest strip found. `tell` and `cancel` as in [`crate::nest`].
///
/// # Errors
///
/// [`NestingError::StripTooNarrow`] when a piece does not fit across, and what [`crate::nest`] refuses in pieces.
pub fn nest_strip(
    request: &StripRequest,
    effort: &Effort,
    cancel: &AtomicBool,
    tell: &mut dyn FnMut(&Progress),
) -> Result<StripOutcome, NestingError> {
    let effort = effort.checked()?;
    if !request.width.is_finite() || request.width <= 0.0 || request.width > 1e6 {
        return Err(NestingError::NotUsable { what: "the width of the strip".to_owned() });
    }
    // Long enough for every piece one after the other; the check of the list's points comes first.
    let across = |p: &Piece| {
        let b = bounds(&p.outline);
        (b.width().hypot(b.height()) + request.gap) * f64::from(p.quantity)
    };
    let longest: f64 = request.pieces.iter().map(across).sum();
    let most = if longest.is_finite() && longest > 0.0 { longest.min(1e6) } else { 1.0 };
    let all = request.on_sheet(most);
    let Some(group) = prepare(&all)?.into_iter().next() else { return Err(NestingError::NoPieces) };
    let problem = group.problem;
    let bare = Scene::new(&problem, &[Board { ground: 0, nth: 0 }]);
    for i in 0..problem.items.len() {
        if alone(&bare, i).is_none() {
            let id = all.pieces[problem.items[i].piece].id.clone();
            return Err(NestingError::StripTooNarrow { id, width: request.width });
        }
    }
    drop(bare);
    let start = first(&problem);
    if let Some(&i) = start.left.first() {
        let id = all.pieces[problem.items[i].piece].id.clone();
        return Err(NestingError::StripTooNarrow { id, width: request.width });
    }
    let jobs = [Job { problem, start: start.arrangement }];
    let done = run(&jobs, work, &effort, cancel, tell);
    let layout = layout(&jobs, &done.best);
    let length = length_of(&all, &layout);
    if let Some(f) = check(&request.on_sheet(length), &layout).first() {
        return Err(NestingError::Unsound { why: f.to_string() });
    }
    let area: f64 =
        request.pieces.iter().map(|p| signed_area(&p.outline).abs() * f64::from(p.quantity)).sum();
    Ok(StripOutcome { layout, length, density: area / (length * request.width), moves: done.moves })
}

/// The farthest x of any piece.
fn length_of(request: &Request, layout: &Layout) -> f64 {
    let points = layout
        .placements
        .iter()
        .flat_map(|p| request.pieces[p.piece].outline.iter().map(move |q: &Point| p.apply(*q).x));
    points.fold(0.0, f64::max)
}

impl Default for Piece {
    /// Nothing, once, any turn.
    fn default() -> Piece {
        Piece { id: String::new(), quantity: 1, outline: vec![], turns: Turns::Any, stuff: Stuff::default() }
    }
}
