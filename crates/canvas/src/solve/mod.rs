//! The plane, the cameras and the cards' places from the cards' measured points.
//!
//! All photos of one layout are solved together: for each photo a lens (focal length, principal point, five distortion coefficients)
//! and a pose, for each card its place on the common plane, and the print scale. Weak knowledge enters as priors, so that no arrangement of
//! cards leaves an unknown undetermined; it only leaves it uncertain. Method: bundle adjustment over a plane, after B. Triggs et al.,
//! "Bundle adjustment, a modern synthesis", Vision Algorithms (2000).

mod bad;
mod doubts;
mod levenberg;
mod priors;
mod start;
mod state;

use kurbo::Point;
use nalgebra::DMatrix;

use crate::card::CardSeen;
use crate::doubt::PhotoDoubt;
use crate::error::CanvasError;
use crate::photo_cards::{PhotoCards, SolveOptions};
use crate::plane::{PER_PHOTO, PlacedCard, PlaneSolve, on_plane};
use levenberg::Problem;
use priors::{first_lens, priors};
use state::{Observation, Place, State};

/// Fewest points of a card that say where it lies.
const NEEDED_POINTS: usize = 4;
/// Solves the plane from the cards of one photo, or of several photos of the same untouched layout.
///
/// The same input gives the same answer on every run. Cards that disagree are named in [`PlaneSolve::bad_cards`] and still used; they
/// are left out only when `options.leave_out` names them.
///
/// # Errors
/// No photo, a photo without usable cards or sharing no card with the others, a card given twice or at two sizes, an absurd print
/// scale, or points that no camera explains.
pub fn solve(photos: &[PhotoCards], options: &SolveOptions) -> Result<PlaneSolve, CanvasError> {
    match solved(photos, options) {
        Err(CanvasError::NoFit { detail }) => {
            Err(stranger(photos, options).unwrap_or(CanvasError::NoFit { detail }))
        }
        other => other,
    }
}

/// The one card without which the rest fits, named, where three or more are there.
fn stranger(photos: &[PhotoCards], options: &SolveOptions) -> Option<CanvasError> {
    let numbers = card_numbers(photos, options).ok()?;
    if numbers.len() < 3 {
        return None;
    }
    let without = |number: u32| {
        let leave_out = options.leave_out.iter().copied().chain([number]).collect();
        let rest = solved(photos, &SolveOptions { leave_out, ..options.clone() }).ok()?;
        rest.bad.is_empty().then_some((rest.chi2_per_dof, number))
    };
    let best = numbers.iter().filter_map(|n| without(n.0)).min_by(|a, b| a.0.total_cmp(&b.0))?;
    Some(CanvasError::CardForeign { number: best.1 })
}

fn solved(photos: &[PhotoCards], options: &SolveOptions) -> Result<PlaneSolve, CanvasError> {
    check_print(options)?;
    let numbers = card_numbers(photos, options)?;
    let observations = observations(photos, options, &numbers);
    let state = first_state(photos, options, &numbers)?;
    let priors = priors(photos, options, &state);
    let mut active = vec![true; state.unknowns()];
    let print = state.print_column();
    active[print] = options.print.sd > 0.0;
    active[print + 1] = options.print.sd > 0.0;
    active[print + 2] = false;
    if options.straight {
        for photo in 0..photos.len() {
            active[photo * PER_PHOTO + 3..photo * PER_PHOTO + 8].fill(false);
        }
    }

    let mut problem =
        Problem { observations: &observations, priors: &priors, active, inflate: 1.0, bend: 1e3 };
    let no_fit = |detail: &str| CanvasError::NoFit { detail: detail.to_owned() };
    let (mut state, _) = problem.minimise(state, 60).ok_or_else(|| no_fit("no camera position found"))?;
    let mut chi2 = 1.0;
    for _ in 0..4 {
        let typical = typical_misfit(&problem, &state);
        problem.bend = 4.5 * typical.max(1.0) / problem.inflate;
        let (next, _) = problem.minimise(state, 60).ok_or_else(|| no_fit("the iteration broke off"))?;
        state = next;
        chi2 = chi2_per_dof(&problem, &state).ok_or_else(|| no_fit("too few points"))?;
        let inflate = chi2.max(1.0).sqrt();
        if (inflate / problem.inflate - 1.0).abs() < 1e-3 {
            break;
        }
        problem.inflate = inflate;
    }
    let normal = problem.normal(&state).ok_or_else(|| no_fit("the iteration broke off"))?;
    let cov = levenberg::inverse(&(&normal.data + &normal.prior))
        .ok_or_else(|| no_fit("the cards do not determine the plane"))?;
    let cov = mask(cov, &problem.active);
    let bad = bad::bad_cards(&problem, &state, &numbers);
    doubts::refuse_misfit(&problem, &state, |card| {
        numbers.get(card).is_some_and(|n| bad.iter().any(|b| b.number == n.0))
    })?;
    let doubts = doubts::doubts(photos, &problem, &state, bad.is_empty());
    report(options, &observations, &numbers, &state, Judged { cov, bad, doubts, chi2_per_dof: chi2 })
}

fn check_print(options: &SolveOptions) -> Result<(), CanvasError> {
    let print = &options.print;
    for value in [print.x, print.y] {
        if !(0.5..=2.0).contains(&value) {
            return Err(CanvasError::BadNumber { what: "print scale", rule: "between 0.5 and 2", value });
        }
    }
    if !(0.0..=0.1).contains(&print.sd) {
        return Err(CanvasError::BadNumber {
            what: "print scale uncertainty",
            rule: "between 0 and 0.1",
            value: print.sd,
        });
    }
    Ok(())
}

fn used<'a>(photo: &'a PhotoCards, options: &'a SolveOptions) -> impl Iterator<Item = &'a CardSeen> {
    photo.cards.iter().filter(|c| !options.leave_out.contains(&c.number))
}

/// Numbers of the cards used, rising, with their half-size flag, after checking every photo.
fn card_numbers(photos: &[PhotoCards], options: &SolveOptions) -> Result<Vec<(u32, bool)>, CanvasError> {
    if photos.is_empty() {
        return Err(CanvasError::NoPhotos);
    }
    let mut numbers: Vec<(u32, bool)> = Vec::new();
    for (i, photo) in photos.iter().enumerate() {
        let mut here = Vec::new();
        for card in used(photo, options) {
            if here.contains(&card.number) {
                return Err(CanvasError::CardTwice { number: card.number, photo: i + 1 });
            }
            here.push(card.number);
            let usable = card
                .crossings
                .iter()
                .filter(|c| c.px.is_finite() && c.card_mm.is_finite() && c.sd_px > 0.0 && c.sd_px.is_finite())
                .count();
            if usable < NEEDED_POINTS || usable < card.crossings.len() {
                return Err(CanvasError::CardTooPoor {
                    number: card.number,
                    photo: i + 1,
                    has: usable,
                    needs: NEEDED_POINTS.max(card.crossings.len()),
                });
            }
            match numbers.iter().find(|n| n.0 == card.number) {
                Some(n) if n.1 != card.half_size => {
                    return Err(CanvasError::CardSizesDiffer { number: card.number });
                }
                Some(_) => {}
                None => numbers.push((card.number, card.half_size)),
            }
        }
        if here.is_empty() {
            return Err(CanvasError::NoCards { photo: i + 1 });
        }
    }
    numbers.sort_unstable();
    Ok(numbers)
}

fn observations(photos: &[PhotoCards], options: &SolveOptions, numbers: &[(u32, bool)]) -> Vec<Observation> {
    let mut out = Vec::new();
    for (photo, p) in photos.iter().enumerate() {
        for seen in used(p, options) {
            let Some(card) = numbers.iter().position(|n| n.0 == seen.number) else { continue };
            for c in &seen.crossings {
                out.push(Observation { photo, card, on_card: c.card_mm, px: c.px, sd: c.sd_px });
            }
        }
    }
    out
}

/// Solves each photo roughly alone and joins them through their common cards.
fn first_state(
    photos: &[PhotoCards],
    options: &SolveOptions,
    numbers: &[(u32, bool)],
) -> Result<State, CanvasError> {
    let mut alone = Vec::with_capacity(photos.len());
    for photo in photos {
        let mut seen: Vec<(usize, Vec<(Point, Point)>)> = Vec::new();
        for card in used(photo, options) {
            let scaled = |p: Point| Point::new(p.x * options.print.x, p.y * options.print.y);
            let points = card.crossings.iter().map(|c| (scaled(c.card_mm), c.px)).collect();
            if let Some(i) = numbers.iter().position(|n| n.0 == card.number) {
                seen.push((i, points));
            }
        }
        seen.sort_by_key(|s| s.0);
        let points: Vec<_> = seen.iter().map(|s| s.1.clone()).collect();
        let lens = first_lens(photo);
        let (pose, places) = start::start(lens, &points)
            .ok_or_else(|| CanvasError::NoFit { detail: "no camera position found".to_owned() })?;
        let places: Vec<(usize, Place)> = seen.iter().map(|s| s.0).zip(places).collect();
        alone.push((lens, pose, places));
    }
    let mut cards: Vec<Option<Place>> = vec![None; numbers.len()];
    let mut poses = vec![None; photos.len()];
    if let Some(first) = cards.first_mut() {
        *first = Some(Place::ORIGIN);
    }
    // Each pass joins every photo that shares a card with those already joined.
    for _ in 0..photos.len() {
        for (i, (_, pose, places)) in alone.iter().enumerate() {
            if poses[i].is_some() {
                continue;
            }
            let shared = places.iter().find_map(|(c, p)| Some((cards.get(*c).copied().flatten()?, *p)));
            let Some((common, local)) = shared else { continue };
            // Where this photo's own frame lies in the common one, and the pose turned to match.
            let frame = common.then(&Place::ORIGIN.seen_from(&local));
            poses[i] = Some(bad::turned_pose(pose, &frame));
            for (c, p) in places {
                if let Some(slot) = cards.get_mut(*c)
                    && slot.is_none()
                {
                    *slot = Some(frame.then(p));
                }
            }
        }
    }
    let lonely = |photo: usize| CanvasError::NoSharedCard { photo: photo + 1 };
    let mut joined = Vec::with_capacity(poses.len());
    for (i, pose) in poses.into_iter().enumerate() {
        joined.push(pose.ok_or_else(|| lonely(i))?);
    }
    let cards: Vec<Place> = cards.into_iter().flatten().collect();
    if cards.len() != numbers.len() {
        return Err(lonely(0));
    }
    Ok(State {
        lenses: alone.iter().map(|a| a.0).collect(),
        poses: joined,
        cards,
        print: [options.print.x, options.print.y],
        free_scale: None,
    })
}

/// Median misfit in stated standard deviations, scaled so that it is 1 for points as good as stated.
fn typical_misfit(problem: &Problem<'_>, state: &State) -> f64 {
    let mut all: Vec<f64> = problem
        .observations
        .iter()
        .filter_map(|o| state.residual(o).map(|r| r[0].hypot(r[1]) / o.sd))
        .collect();
    if all.is_empty() {
        return 1.0;
    }
    all.sort_by(f64::total_cmp);
    // The median length of a plane vector with unit normal parts is sqrt(2 ln 2).
    all[all.len() / 2] / (2.0 * std::f64::consts::LN_2).sqrt()
}

/// Squared misfit of the points per degree of freedom at their stated uncertainty. The unknowns count only as far as the points, and not the
/// priors, determine them.
fn chi2_per_dof(problem: &Problem<'_>, state: &State) -> Option<f64> {
    let normal = problem.normal(state)?;
    let total = levenberg::inverse(&(&normal.data + &normal.prior))?;
    let taken = (&normal.data * &total).trace();
    let dof = 2.0 * problem.observations.len() as f64 - taken;
    let mut chi2 = 0.0;
    for o in problem.observations {
        let r = state.residual(o)?;
        let r2 = (r[0] * r[0] + r[1] * r[1]) / (o.sd * o.sd);
        // Far-off points count as far as the loss lets them.
        let bend = problem.bend * problem.inflate;
        chi2 += if r2 <= bend * bend { r2 } else { bend * r2.sqrt() };
    }
    (dof > 0.5).then(|| chi2 / dof).or(Some(1.0)).filter(|v| v.is_finite())
}

/// No uncertainty for what was held.
fn mask(mut cov: DMatrix<f64>, active: &[bool]) -> DMatrix<f64> {
    for (i, on) in active.iter().enumerate() {
        if !on {
            cov.row_mut(i).fill(0.0);
            cov.column_mut(i).fill(0.0);
        }
    }
    cov
}

/// What was judged about the solved state.
struct Judged {
    cov: DMatrix<f64>,
    bad: Vec<crate::plane::BadCard>,
    doubts: Vec<Vec<PhotoDoubt>>,
    chi2_per_dof: f64,
}

fn report(
    options: &SolveOptions,
    observations: &[Observation],
    numbers: &[(u32, bool)],
    state: &State,
    judged: Judged,
) -> Result<PlaneSolve, CanvasError> {
    let mut cards = Vec::with_capacity(numbers.len());
    let (mut px2, mut mm2, mut mm_count) = (0.0, 0.0, 0usize);
    for (i, ((number, half_size), place)) in numbers.iter().zip(&state.cards).enumerate() {
        let (mut own, mut count) = (0.0, 0usize);
        for o in observations.iter().filter(|o| o.card == i) {
            let Some(r) = state.residual(o) else { continue };
            own += r[0] * r[0] + r[1] * r[1];
            count += 1;
            let camera = state.lenses.get(o.photo).zip(state.poses.get(o.photo));
            let seen = camera.and_then(|(lens, pose)| on_plane(lens, pose, o.px, 0.0));
            if let Some((seen, meant)) = seen.zip(state.on_plane(o)) {
                mm2 += (seen - meant).hypot2();
                mm_count += 1;
            }
        }
        px2 += own;
        let sd = |k: usize| {
            if i == 0 {
                return 0.0;
            }
            let c = state.card_column(i) + k;
            judged.cov[(c, c)].max(0.0).sqrt()
        };
        cards.push(PlacedCard {
            number: *number,
            half_size: *half_size,
            centre: Point::new(place.x, place.y),
            angle_rad: place.angle.sin().atan2(place.angle.cos()),
            residual_px: (own / (2 * count.max(1)) as f64).sqrt(),
            sd_mm: (sd(0), sd(1)),
            points: count,
        });
    }
    let sound = state.lenses.iter().all(|l| l.focal_px > 0.0 && l.focal_px.is_finite())
        && state.poses.iter().all(|p| p.place().z > 0.0)
        && state.cards.iter().all(|c| c.x.is_finite() && c.y.is_finite());
    if !sound || judged.doubts.len() != state.poses.len() {
        let what =
            if options.leave_out.is_empty() { "the answer is impossible" } else { "too little is left" };
        return Err(CanvasError::NoFit { detail: what.to_owned() });
    }
    Ok(PlaneSolve {
        lenses: state.lenses.clone(),
        poses: state.poses.clone(),
        cards,
        bad: judged.bad,
        doubts: judged.doubts,
        residual_px: (px2 / (2 * observations.len().max(1)) as f64).sqrt(),
        residual_mm: (mm2 / (2 * mm_count.max(1)) as f64).sqrt(),
        points: observations.len(),
        chi2_per_dof: judged.chi2_per_dof,
        print: state.print,
        cov: judged.cov,
    })
}
