//! What is taken for granted of a phone's camera before anything is measured: wishes, each with its own deviation.

use kurbo::Point;

use super::levenberg::Prior;
use super::state::State;
use crate::lens::Lens;
use crate::photo_cards::{PhotoCards, SolveOptions};
use crate::plane::PER_PHOTO;

/// Focal length of a typical phone's main camera against the picture's diagonal (26 mm equivalent).
const TYPICAL_FOCAL: f64 = 26.0 / crate::facts::FULL_FRAME_DIAGONAL_MM;
/// Priors: relative focal length with and without a record, centre in focal lengths, k1, k2.
pub(super) const FOCAL_SD: f64 = 0.03;
pub(super) const FOCAL_SD_UNKNOWN: f64 = 0.15;
pub(super) const CENTRE_SD: f64 = 0.005;
pub(super) const K_SD: f64 = 0.05;
/// k3, p1, p2 are hardly seen in one photo but move points by a few tenths of a pixel; letting them float within what phone lenses
/// show keeps the stated uncertainty honest. Much wider, and two cards no longer pin the picture's edge.
const K3_SD: f64 = 0.005;
const P_SD: f64 = 0.0003;
/// How alike the lenses of photos of the same size and record are: the same camera, focused anew.
const SAME_FOCAL_SD: f64 = 0.002;
const SAME_K_SD: f64 = 0.002;

/// The lens that a photo is supposed to have.
pub(super) fn first_lens(photo: &PhotoCards) -> Lens {
    let (w, h) = (f64::from(photo.width), f64::from(photo.height));
    let focal = photo.focal_prior_px.filter(|f| f.is_finite() && *f > 1.0);
    Lens::plain(
        focal.unwrap_or_else(|| TYPICAL_FOCAL * w.hypot(h)),
        Point::new((w - 1.0) / 2.0, (h - 1.0) / 2.0),
    )
}

/// All wishes of a solve.
pub(super) fn priors(photos: &[PhotoCards], options: &SolveOptions, state: &State) -> Vec<Prior> {
    let mut out = Vec::new();
    let mut wish = |terms: Vec<(usize, f64)>, target: f64, sd: f64| out.push(Prior { terms, target, sd });
    for (i, photo) in photos.iter().enumerate() {
        let b = i * PER_PHOTO;
        let lens = first_lens(photo);
        let f = lens.focal_px;
        let known = photo.focal_prior_px.is_some();
        wish(vec![(b, 1.0)], f, f * if known { FOCAL_SD } else { FOCAL_SD_UNKNOWN });
        wish(vec![(b + 1, 1.0)], lens.centre_px.x, CENTRE_SD * f);
        wish(vec![(b + 2, 1.0)], lens.centre_px.y, CENTRE_SD * f);
        for (k, sd) in [(3, K_SD), (4, K_SD), (5, K3_SD), (6, P_SD), (7, P_SD)] {
            wish(vec![(b + k, 1.0)], 0.0, sd);
        }
        let alike = |j: &usize| {
            let other = &photos[*j];
            let sides = |p: &PhotoCards| (p.width.min(p.height), p.width.max(p.height));
            let close = match (other.focal_prior_px, photo.focal_prior_px) {
                (Some(a), Some(b)) => (a / b - 1.0).abs() < 0.005,
                _ => false,
            };
            close && sides(other) == sides(photo)
        };
        if let Some(j) = (0..i).find(alike) {
            let o = j * PER_PHOTO;
            wish(vec![(b, 1.0), (o, -1.0)], 0.0, f * SAME_FOCAL_SD);
            for k in 3..5 {
                wish(vec![(b + k, 1.0), (o + k, -1.0)], 0.0, SAME_K_SD);
            }
        }
    }
    if options.print.sd > 0.0 {
        let b = state.print_column();
        wish(vec![(b, 1.0)], options.print.x, options.print.sd);
        wish(vec![(b + 1, 1.0)], options.print.y, options.print.sd);
    }
    out
}
