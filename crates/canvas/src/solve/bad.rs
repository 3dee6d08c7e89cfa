//! Names the card that does not agree with the others.
//!
//! Each card is left out in turn: without the one that disagrees the others fit far better, which is judged by the ratio of the two misfits, each per degree
//! of freedom (R. A. Fisher's F). Its own scale is then set free: a card printed at another scale, or lying higher, fits well so; one that still does not is
//! curled, moved, or wrongly read. Of two cards nothing tells which one disagrees; there the scale alone is tried.

use nalgebra::{Matrix3, Vector3};

use super::levenberg::Problem;
use super::state::{Observation, Place, State};
use crate::plane::{BadCard, BadWhy, Pose};

/// Misfit that a card brings along, per degree of freedom, against what the others show without it. Honest cards of rendered photographs, shaded, covered
/// and dark ones among them, reach 4 (one 14, with a misfit of 0.07 pixels);
/// those at 99.5 % begin at 200.
const TIMES_WORSE: f64 = 8.0;
/// Misfit that a card must bring along to be worth naming, pixels.
const LEAST_PX: f64 = 0.1;
/// With its own scale set free, a card whose misfit falls to this share of what it was is of another size; one above is not flat.
const SCALE_EXPLAINS: f64 = 0.2;
/// A scale nearer to 1 than this does no harm worth naming.
const WORTH: f64 = 0.0012;
/// With two cards: how much better (in chi², at the points' inflated uncertainty) the fit must get with one's scale free, beyond 5 standard deviations.
const BETTER: f64 = 30.0;
/// No loss: a card that disagrees is to be felt in full.
const UNBENT: f64 = 1e6;

/// Cards that disagree, worst first.
pub(crate) fn bad_cards(problem: &Problem<'_>, state: &State, numbers: &[(u32, bool)]) -> Vec<BadCard> {
    match numbers.len() {
        0 | 1 => Vec::new(),
        2 => other_size(problem, state, numbers).into_iter().collect(),
        _ => disagreeing(problem, state, numbers),
    }
}

/// Leaves out the worst card as long as there is one, at most half of them.
fn disagreeing(problem: &Problem<'_>, state: &State, numbers: &[(u32, bool)]) -> Vec<BadCard> {
    let mut gone: Vec<usize> = Vec::new();
    let mut bad = Vec::new();
    let Some((mut whole, mut base)) = without(problem, state, &gone) else { return bad };
    for _ in 0..numbers.len() / 2 {
        let mut best: Option<(usize, State, f64)> = None;
        for card in (0..numbers.len()).filter(|c| !gone.contains(c)) {
            let left: Vec<usize> = gone.iter().copied().chain([card]).collect();
            if let Some((found, cost)) = without(problem, &whole, &left)
                && best.as_ref().is_none_or(|b| cost < b.2)
            {
                best = Some((card, found, cost));
            }
        }
        let Some((card, rest, cost)) = best else { break };
        let own: Vec<&Observation> = problem.observations.iter().filter(|o| o.card == card).collect();
        let others =
            problem.observations.iter().filter(|o| o.card != card && !gone.contains(&o.card)).count();
        let brought = (base - cost) / (2 * own.len()).saturating_sub(3).max(1) as f64;
        let usual = cost / (2 * others).saturating_sub(14).max(1) as f64;
        let sd = own.iter().map(|o| o.sd).sum::<f64>() / own.len().max(1) as f64;
        let misfit_px = brought.max(0.0).sqrt() * sd;
        if brought < TIMES_WORSE * usual || misfit_px < LEAST_PX {
            break;
        }
        let why = reason(problem, &whole, &gone, card, (base, cost), misfit_px, usual.sqrt() * sd);
        bad.extend(why.zip(numbers.get(card)).map(|(why, number)| BadCard { number: number.0, why }));
        gone.push(card);
        (whole, base) = (rest, cost);
    }
    bad
}

/// In what way a card disagrees: `costs` with it and without it.
fn reason(
    problem: &Problem<'_>,
    state: &State,
    gone: &[usize],
    card: usize,
    costs: (f64, f64),
    residual_px: f64,
    others_px: f64,
) -> Option<BadWhy> {
    let flat = BadWhy::NotFlat { residual_px, others_px };
    let rest = left(problem, gone);
    let mut free = Problem { observations: &rest, inflate: 1.0, bend: UNBENT, ..problem.clone() };
    hold(&mut free, state, gone);
    *free.active.last_mut()? = true;
    let start = State { free_scale: Some((card, 1.0)), ..state.clone() };
    let Some((found, cost)) = free.minimise(start, 20) else { return Some(flat) };
    let scale = found.free_scale.map_or(1.0, |s| s.1);
    if cost - costs.1 > SCALE_EXPLAINS * (costs.0 - costs.1) || (scale - 1.0).abs() < WORTH {
        return Some(flat);
    }
    Some(BadWhy::OtherSize { scale, as_height_mm: higher(&found, scale)? })
}

/// How much higher than the others a card lies that looks so much larger.
fn higher(state: &State, scale: f64) -> Option<f64> {
    Some(state.poses.first()?.place().z * (1.0 - 1.0 / scale))
}

fn left(problem: &Problem<'_>, gone: &[usize]) -> Vec<Observation> {
    problem.observations.iter().filter(|o| !gone.contains(&o.card)).copied().collect()
}

/// Holds the places of cards that no point speaks of; without the first card another one holds the frame.
fn hold(problem: &mut Problem<'_>, state: &State, gone: &[usize]) {
    let frame = (0..state.cards.len()).find(|c| !gone.contains(c));
    for card in gone.iter().copied().chain(frame).filter(|c| *c > 0) {
        let from = state.card_column(card);
        if let Some(columns) = problem.active.get_mut(from..from + 3) {
            columns.fill(false);
        }
    }
}

/// The best fit without some cards, and its cost at the stated uncertainty of the points.
fn without(problem: &Problem<'_>, state: &State, gone: &[usize]) -> Option<(State, f64)> {
    let rest = left(problem, gone);
    let mut free = Problem { observations: &rest, inflate: 1.0, bend: UNBENT, ..problem.clone() };
    hold(&mut free, state, gone);
    free.minimise(state.clone(), 20)
}

fn other_size(problem: &Problem<'_>, state: &State, numbers: &[(u32, bool)]) -> Option<BadCard> {
    // At the stated uncertainty: a bad card inflates the misfit and would hide behind it.
    let base = problem.cost(state)?;
    let mut best: Option<(f64, usize, f64)> = None;
    for card in 0..numbers.len() {
        let mut free = problem.clone();
        if let Some(last) = free.active.last_mut() {
            *last = true;
        }
        let mut start = state.clone();
        start.free_scale = Some((card, 1.0));
        let Some((found, cost)) = free.minimise(start, 12) else { continue };
        let scale = found.free_scale.map_or(1.0, |s| s.1);
        // Judge by what the misfit is once the suspect is free.
        let points = 2.0 * problem.observations.len() as f64;
        let noise = (cost / points).clamp(0.02, 1.0);
        let gain = (base - cost) / noise;
        if best.is_none_or(|b| gain > b.0) {
            best = Some((gain, card, scale));
        }
    }
    let (gain, card, scale) = best?;
    if gain < BETTER || (scale - 1.0).abs() < WORTH {
        return None;
    }
    Some(BadCard {
        number: numbers.get(card)?.0,
        why: BadWhy::OtherSize { scale, as_height_mm: higher(state, scale)? },
    })
}

/// A pose given in a frame that lies at `frame` in the common one, for the common one.
pub(crate) fn turned_pose(pose: &Pose, frame: &Place) -> Pose {
    let (s, c) = frame.angle.sin_cos();
    // common = F · local, so camera = turn · F⁻¹ · common + shift.
    let back = Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0);
    let turn = pose.turn * back;
    Pose { turn, shift: pose.shift - turn * Vector3::new(frame.x, frame.y, 0.0) }
}
