//! What the solve says about each photo as a whole: whether its lens looks through the picture's middle, and whether any camera explains it.
//!
//! The wishes for focal length and centre are let go, one photo at a time, and what the points alone then say is compared with what was wished, each at its
//! own uncertainty: a chi² of three degrees of freedom.

use nalgebra::{Matrix3, Vector3};

use super::levenberg::{Prior, Problem, inverse};
use super::priors::{CENTRE_SD, FOCAL_SD, FOCAL_SD_UNKNOWN, K_SD, first_lens};
use super::state::State;
use crate::doubt::{PhotoDoubt, odd_shape};
use crate::error::CanvasError;
use crate::photo_cards::PhotoCards;
use crate::plane::PER_PHOTO;

/// chi² of three degrees of freedom from which a photo is doubted: one honest photo in 10,000 at 21.
const DOUBTFUL: f64 = 21.0;
/// An axis off by less than this share of the focal length is no cut worth naming; nor is a focal length off by less than that share.
const WORTH: f64 = 0.02;
const WORTH_FOCAL: f64 = 0.05;
/// How far the centre may go when it is let go, focal lengths; and the focal length, of itself.
const LET_GO: f64 = 0.3;

/// Half of the points missing by more than this share of the focal length is no measurement: three quarters of a millimetre at a camera's distance
/// of a metre and a half.
const MOST_MISFIT: f64 = 0.0005;

/// Points of a photo that are enough to refuse it.
const LEAST_POINTS: usize = 8;

/// Refuses what no camera of the kind supposed explains: half of a photo's points miss by more than is the floor's or the finder's business, the cards
/// that are `named` as disagreeing left aside.
///
/// # Errors
/// The first such photo.
pub(crate) fn refuse_misfit(
    problem: &Problem<'_>,
    state: &State,
    named: impl Fn(usize) -> bool,
) -> Result<(), CanvasError> {
    // A card that disagrees, such as one taken for twice its size, may pull all others away: it is let go first.
    let cards = 0..state.cards.len();
    let freed = cards.into_iter().find(|c| named(*c)).and_then(|card| {
        let mut free = problem.clone();
        *free.active.last_mut()? = true;
        free.minimise(State { free_scale: Some((card, 1.0)), ..state.clone() }, 12)
    });
    let state = freed.as_ref().map_or(state, |f| &f.0);
    for (i, lens) in state.lenses.iter().enumerate() {
        let points = problem.observations.iter().filter(|o| o.photo == i && !named(o.card));
        let mut all: Vec<f64> = points.filter_map(|o| state.residual(o).map(|r| r[0].hypot(r[1]))).collect();
        // The four corners of a rectangle carry the tape's errors, and have little left to contradict.
        if all.len() < LEAST_POINTS {
            continue;
        }
        all.sort_by(f64::total_cmp);
        if let Some(middle) = all.get(all.len() / 2).filter(|m| **m > MOST_MISFIT * lens.focal_px) {
            let detail =
                format!("half of their points in photo {} miss by more than {middle:.1} pixels", i + 1);
            return Err(CanvasError::NoFit { detail });
        }
    }
    Ok(())
}

/// The doubts of every photo; with a card named as disagreeing (`agreed` false), the axis is not judged: that card may be what pulls at it.
pub(crate) fn doubts(
    photos: &[PhotoCards],
    problem: &Problem<'_>,
    state: &State,
    agreed: bool,
) -> Vec<Vec<PhotoDoubt>> {
    photos
        .iter()
        .zip(&state.lenses)
        .enumerate()
        .map(|(i, (photo, lens))| {
            let mut out = Vec::new();
            if odd_shape(photo.width, photo.height) {
                out.push(PhotoDoubt::OddShape { width: photo.width, height: photo.height });
            }
            if agreed {
                out.extend(off_centre(photo, i, problem, state));
            }
            if lens.k1.abs() > 3.0 * K_SD || lens.k2.abs() > 3.0 * K_SD {
                out.push(PhotoDoubt::StrongLens { k1: lens.k1, k2: lens.k2 });
            }
            out
        })
        .collect()
}

fn off_centre(photo: &PhotoCards, index: usize, problem: &Problem<'_>, state: &State) -> Option<PhotoDoubt> {
    let wished = first_lens(photo);
    let f = wished.focal_px;
    let b = index * PER_PHOTO;
    let loose: Vec<Prior> = problem
        .priors
        .iter()
        .map(|p| match p.terms.as_slice() {
            [(c, _)] if (b..b + 3).contains(c) => Prior { sd: LET_GO * f, ..p.clone() },
            _ => p.clone(),
        })
        .collect();
    let free = Problem { priors: &loose, ..problem.clone() };
    let (found, _) = free.minimise(state.clone(), 40)?;
    let normal = free.normal(&found)?;
    let cov = inverse(&(&normal.data + &normal.prior))?;
    let lens = found.lenses.get(index)?;
    let off = Vector3::new(
        lens.focal_px - f,
        lens.centre_px.x - wished.centre_px.x,
        lens.centre_px.y - wished.centre_px.y,
    );
    let focal_sd = if photo.focal_prior_px.is_some() { FOCAL_SD } else { FOCAL_SD_UNKNOWN };
    let wish = [focal_sd * f, CENTRE_SD * f, CENTRE_SD * f];
    let total = Matrix3::from_fn(|r, c| cov[(b + r, b + c)] + if r == c { wish[r].powi(2) } else { 0.0 });
    let chi2 = off.dot(&total.cholesky()?.solve(&off));
    let worth = off.y.hypot(off.z) > WORTH * f || off.x.abs() > WORTH_FOCAL * f;
    (chi2.is_finite() && chi2 > DOUBTFUL && worth)
        .then_some(PhotoDoubt::OffCentre { right_px: off.y, down_px: off.z })
}
