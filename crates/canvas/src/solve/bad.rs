//! Names the card that does not agree with the others.
//!
//! Each card's own scale is set free in turn: a card printed at another scale, or lying higher, fits far better then. What remains is a card
//! whose points miss by much more than the others': curled, moved, or wrongly read.

use nalgebra::{Matrix3, Vector3};

use super::levenberg::Problem;
use super::state::{Place, State};
use crate::plane::{BadCard, BadWhy, Pose};

/// How much better (in chi², at the points' inflated uncertainty) the fit must get: beyond 5 standard deviations, so that hundreds of photos
/// with several cards each give no false alarm even when neighbouring points share a little of their error.
const BETTER: f64 = 30.0;
/// A scale nearer to 1 than this does no harm worth naming.
const WORTH: f64 = 0.0012;
/// Misfit against the others' at which a card is called not flat, and the least that is called so, pixels.
const TIMES_WORSE: f64 = 3.0;
const LEAST_PX: f64 = 0.25;

/// Cards that disagree, worst first.
pub(crate) fn bad_cards(problem: &Problem<'_>, state: &State, numbers: &[(u32, bool)]) -> Vec<BadCard> {
    let mut bad = Vec::new();
    if numbers.len() < 2 {
        return bad;
    }
    if let Some(card) = other_size(problem, state, numbers) {
        bad.push(card);
    }
    bad.extend(
        not_flat(problem, state, numbers)
            .into_iter()
            .filter(|b| bad.iter().all(|o| o.number != b.number))
            .collect::<Vec<_>>(),
    );
    bad
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
    let eye = state.poses.first()?.place().z;
    Some(BadCard {
        number: numbers.get(card)?.0,
        why: BadWhy::OtherSize { scale, as_height_mm: eye * (1.0 - 1.0 / scale) },
    })
}

fn not_flat(problem: &Problem<'_>, state: &State, numbers: &[(u32, bool)]) -> Vec<BadCard> {
    let misfit = |pick: &dyn Fn(usize) -> bool| {
        let (mut sum, mut count) = (0.0, 0usize);
        for o in problem.observations.iter().filter(|o| pick(o.card)) {
            if let Some(r) = state.residual(o) {
                sum += r[0] * r[0] + r[1] * r[1];
                count += 1;
            }
        }
        (sum / (2 * count.max(1)) as f64).sqrt()
    };
    let mut bad = Vec::new();
    for (i, (number, _)) in numbers.iter().enumerate() {
        let (own, others) = (misfit(&|c| c == i), misfit(&|c| c != i));
        if own > LEAST_PX && own > TIMES_WORSE * others {
            bad.push(BadCard {
                number: *number,
                why: BadWhy::NotFlat { residual_px: own, others_px: others },
            });
        }
    }
    bad
}

/// A pose given in a frame that lies at `frame` in the common one, for the common one.
pub(crate) fn turned_pose(pose: &Pose, frame: &Place) -> Pose {
    let (s, c) = frame.angle.sin_cos();
    // common = F · local, so camera = turn · F⁻¹ · common + shift.
    let back = Matrix3::new(c, s, 0.0, -s, c, 0.0, 0.0, 0.0, 1.0);
    let turn = pose.turn * back;
    Pose { turn, shift: pose.shift - turn * Vector3::new(frame.x, frame.y, 0.0) }
}
