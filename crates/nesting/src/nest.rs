//! Pieces and stock to a layout.

use std::sync::atomic::AtomicBool;

use crate::answer::{Answer, answers};
use crate::check::{Fault, check};
use crate::effort::{Effort, Progress};
use crate::error::NestingError;
use crate::layout::{Layout, Left};
use crate::offcut::{Offcut, offcuts};
use crate::prepare::{Group, prepare};
use crate::request::Request;
use crate::ring::bounds;
use crate::run::{Job, layout, run};
use crate::search::first::{alone, first};
use crate::search::problem::{Arrangement, Board, Ground, Problem};
use crate::search::scene::Scene;
use crate::search::sheets::work;

/// A sound layout and what follows from it.
#[derive(Debug, Clone, PartialEq)]
pub struct Outcome {
    /// Where everything lies.
    pub layout: Layout,
    /// Moves made per thread: with the same seed and threads, this count gives the same layout again.
    pub moves: u64,
    /// For each material and thickness: enough, or short by how much.
    pub answers: Vec<Answer>,
    /// The largest rectangle left whole on each sheet in use, in the layout's order; sheets without one are missing.
    pub offcuts: Vec<Offcut>,
}

/// Lays the pieces out: fewest bought sheets first, then fewest owned, then the last sheet used as little as can be.
///
/// `tell` hears of progress about ten times a second, with every better layout. When `cancel` is set the best so far is
/// returned. The layout has passed [`check`] before it is returned.
///
/// # Errors
///
/// Anything in [`NestingError`] that makes the request impossible or ambiguous. Too little stock is no error: it is the
/// answer.
pub fn nest(
    request: &Request,
    effort: &Effort,
    cancel: &AtomicBool,
    tell: &mut dyn FnMut(&Progress),
) -> Result<Outcome, NestingError> {
    let effort = effort.checked()?;
    let groups = prepare(request)?;
    locks_are_sound(request)?;
    let mut jobs = Vec::new();
    for g in groups {
        jobs.push(job(request, g)?);
    }
    let done = run(&jobs, work, &effort, cancel, tell);
    let layout = layout(&jobs, &done.best);
    if let Some(f) = check(request, &layout).first() {
        return Err(NestingError::Unsound { why: f.to_string() });
    }
    let answers = answers(request, &jobs, &done.best);
    let offcuts = offcuts(request, &layout);
    Ok(Outcome { layout, moves: done.moves, answers, offcuts })
}

/// The first layout, made at once and without search: what to show within a second.
///
/// # Errors
///
/// As [`nest`].
pub fn first_layout(request: &Request) -> Result<Layout, NestingError> {
    let mut jobs = Vec::new();
    for g in prepare(request)? {
        jobs.push(job(request, g)?);
    }
    let starts: Vec<Arrangement> = jobs.iter().map(|j| j.start.clone()).collect();
    Ok(layout(&jobs, &starts))
}

/// Held copies must be sound by themselves: nothing else can mend them.
fn locks_are_sound(request: &Request) -> Result<(), NestingError> {
    if request.locks.is_empty() {
        return Ok(());
    }
    let mut alone = request.clone();
    let mut only = Layout::default();
    let mut count = vec![0u32; request.pieces.len()];
    for l in &request.locks {
        let used = crate::layout::SheetUsed { stock: l.stock, nth: l.nth };
        let sheet = only.sheets.iter().position(|s| *s == used).unwrap_or_else(|| {
            only.sheets.push(used);
            only.sheets.len() - 1
        });
        let copy = count[l.piece];
        count[l.piece] += 1;
        only.placements.push(crate::layout::Placement {
            piece: l.piece,
            copy,
            sheet,
            turn_deg: l.turn_deg,
            at: l.at,
        });
    }
    for (p, n) in alone.pieces.iter_mut().zip(&count) {
        p.quantity = *n;
    }
    let Some(fault) = check(&alone, &only).into_iter().next() else { return Ok(()) };
    let number = match &fault {
        Fault::Overlap { second, .. } | Fault::Close { second, .. } => *second,
        Fault::Outside { number, .. } | Fault::Edge { number, .. } => *number,
        _ => 0,
    };
    let id = request.pieces[request.locks[number].piece].id.clone();
    Err(NestingError::BadLock { id, why: format!("cannot hold: {fault}") })
}

/// For each ground one sheet without movable items; the last of a kind where some are held, so that a lock is no bar.
fn bare_scenes(problem: &Problem) -> Vec<Scene<'_>> {
    let last = |g: &Ground| g.available.map_or(u32::MAX, |n| n.saturating_sub(1));
    (0..problem.grounds.len())
        .map(|g| Scene::new(problem, &[Board { ground: g, nth: last(&problem.grounds[g]) }]))
        .collect()
}

/// A problem with its first layout; sheets that must be got are added when the stock does not do.
fn job(request: &Request, group: Group) -> Result<Job, NestingError> {
    let Group { stuff, mut problem } = group;
    let mut tried = vec![None; problem.shapes.len()];
    let bare = bare_scenes(&problem);
    for i in 0..problem.items.len() {
        let shape = problem.items[i].shape;
        if tried[shape].is_none() {
            tried[shape] = (0..bare.len()).find(|g| alone(&bare[*g], i).is_some());
        }
        if tried[shape].is_none() {
            return Err(too_large(request, &problem, i, &stuff.to_string()));
        }
    }
    drop(bare);
    let mut start = first(&problem);
    if !start.left.is_empty() {
        let bare = bare_scenes(&problem);
        // The largest kind that takes each piece left; one kind usually takes all.
        let mut by_size: Vec<usize> = (0..problem.grounds.len()).collect();
        by_size.sort_by(|a, b| problem.grounds[*b].usable.total_cmp(&problem.grounds[*a].usable));
        let mut extra: Vec<usize> = Vec::new();
        for &i in &start.left {
            let takes = |g: &&usize| alone(&bare[**g], i).is_some();
            if let Some(g) = by_size.iter().find(takes)
                && !extra.contains(g)
            {
                extra.push(*g);
            }
        }
        drop(bare);
        for g in extra {
            let ground = problem.grounds[g].clone();
            // Worth more than any sheet on sale, so that what can be had is used before.
            let dearest = problem.grounds.iter().map(|g| g.cost).fold(1.0f64, f64::max);
            problem.grounds.push(Ground { available: None, missing: true, cost: dearest * 1000.0, ..ground });
        }
        start = first(&problem);
        if let Some(&i) = start.left.first() {
            return Err(too_large(request, &problem, i, &stuff.to_string()));
        }
    }
    Ok(Job { problem, start: start.arrangement })
}

fn too_large(request: &Request, problem: &Problem, i: usize, stuff: &str) -> NestingError {
    let piece = &request.pieces[problem.items[i].piece];
    let b = bounds(&piece.outline);
    let largest = problem
        .grounds
        .iter()
        .max_by(|a, b| a.usable.total_cmp(&b.usable))
        .map(|g| bounds(&request.stock[g.stock].outline))
        .unwrap_or_default();
    NestingError::TooLarge {
        id: piece.id.clone(),
        width: b.width(),
        height: b.height(),
        stuff: stuff.to_owned(),
        sheet_width: largest.width(),
        sheet_height: largest.height(),
        margin: request.margin,
    }
}

/// Copies without a place, as words would list them: (piece id, how many), in the request's order.
pub fn left_by_piece(request: &Request, left: &[Left]) -> Vec<(String, u32)> {
    let count = |k: usize| left.iter().filter(|l| l.piece == k).count() as u32;
    let all = request.pieces.iter().enumerate().map(|(k, p)| (p.id.clone(), count(k)));
    all.filter(|c| c.1 > 0).collect()
}
