//! A first guess for the solve: one camera pose and the cards' places, good enough for the iteration to find its valley.
//!
//! Pose from a plane's map: Z. Zhang, "A flexible new technique for camera calibration", IEEE Transactions on Pattern Analysis 22
//! (2000), section 3.1. A small plane seen from afar has a second pose of almost equal fit (D. Oberkampf, D. DeMenthon, L. Davis,
//! "Iterative pose estimation using coplanar feature points", CVIU 63 (1996)): both are tried, from every card.

use kurbo::Point;
use nalgebra::{Matrix3, Rotation3, Unit, Vector3};

use super::levenberg::Problem;
use super::state::{Observation, Place, State, orthonormal};
use crate::homography::Homography;
use crate::lens::Lens;
use crate::plane::{PER_PHOTO, Pose, on_plane};

/// Best start for one photo: its pose and the places of its cards (same order as `cards`), in the frame of the first of them.
pub(crate) fn start(lens: Lens, cards: &[Vec<(Point, Point)>]) -> Option<(Pose, Vec<Place>)> {
    let mut observations = Vec::new();
    for (card, points) in cards.iter().enumerate() {
        for (on_card, px) in points {
            observations.push(Observation { photo: 0, card, on_card: *on_card, px: *px, sd: 1.0 });
        }
    }
    let mut best: Option<(f64, State)> = None;
    for (reference, points) in cards.iter().enumerate() {
        let Some(map) = undistorted_map(&lens, points) else { continue };
        for pose in poses(&map) {
            let Some(state) = spread_cards(lens, pose, reference, cards) else { continue };
            let mut active = vec![true; state.unknowns()];
            active.iter_mut().take(8).for_each(|a| *a = false);
            let print = state.print_column();
            active.iter_mut().skip(print).for_each(|a| *a = false);
            let problem =
                Problem { observations: &observations, priors: &[], active, inflate: 1.0, bend: 20.0 };
            if let Some((state, cost)) = problem.minimise(state, 25)
                && best.as_ref().is_none_or(|b| cost < b.0)
                && state.poses.first().is_some_and(|p| p.place().z > 0.0)
            {
                best = Some((cost, state));
            }
        }
    }
    let (_, state) = best?;
    Some((*state.poses.first()?, state.cards))
}

/// Map from card millimetres to undistorted directions.
fn undistorted_map(lens: &Lens, points: &[(Point, Point)]) -> Option<Homography> {
    let pairs: Vec<(Point, Point)> =
        points.iter().filter_map(|(c, px)| Some((*c, lens.direction(*px)?.into()))).collect();
    Homography::fit(&pairs)
}

/// The two poses a map allows.
fn poses(map: &Homography) -> Vec<Pose> {
    let m = map.matrix;
    let size = 0.5 * (m.column(0).norm() + m.column(1).norm());
    if !(size > 0.0 && size.is_finite()) {
        return Vec::new();
    }
    let sign = if m[(2, 2)] < 0.0 { -1.0 } else { 1.0 };
    let m = m * (sign / size);
    let (a, b) = (m.column(0).into_owned(), m.column(1).into_owned());
    // Nearest pair of unit vectors at right angles: turn both towards their bisectors.
    let (sum, diff) = ((a + b).normalize(), (a - b).normalize());
    let x = (sum + diff).normalize();
    let turn = orthonormal(Matrix3::from_columns(&[x, sum - diff, Vector3::zeros()]));
    let shift: Vector3<f64> = m.column(2).into_owned();
    let mut out = vec![Pose { turn, shift }];
    if let Some(sight) = Unit::try_new(shift, 1e-9) {
        let about_sight = Rotation3::from_axis_angle(&sight, std::f64::consts::PI);
        let about_normal = Rotation3::from_axis_angle(&Vector3::z_axis(), std::f64::consts::PI);
        out.push(Pose { turn: about_sight.matrix() * turn * about_normal.matrix(), shift });
    }
    out.retain(|p| p.turn.iter().chain(p.shift.iter()).all(|v| v.is_finite()));
    out
}

/// Lays every card on the plane of one of them and turns all into the frame of the first.
fn spread_cards(lens: Lens, pose: Pose, reference: usize, cards: &[Vec<(Point, Point)>]) -> Option<State> {
    let mut places = Vec::with_capacity(cards.len());
    for (i, points) in cards.iter().enumerate() {
        if i == reference {
            places.push(Place::ORIGIN);
            continue;
        }
        let laid: Vec<(Point, Point)> =
            points.iter().filter_map(|(c, px)| Some((*c, on_plane(&lens, &pose, *px, 0.0)?))).collect();
        places.push(lay(&laid)?);
    }
    let first = *places.first()?;
    let (s, c) = first.angle.sin_cos();
    let turn_in = Matrix3::new(c, -s, 0.0, s, c, 0.0, 0.0, 0.0, 1.0);
    let pose = Pose {
        turn: pose.turn * turn_in,
        shift: pose.shift + pose.turn * Vector3::new(first.x, first.y, 0.0),
    };
    let cards = places.iter().map(|p| p.seen_from(&first)).collect();
    Some(State { lenses: vec![lens], poses: vec![pose], cards, print: [1.0, 1.0], free_scale: None })
}

/// Best turn and shift that lay a card's points on the plane's.
fn lay(pairs: &[(Point, Point)]) -> Option<Place> {
    if pairs.len() < 3 {
        return None;
    }
    let n = pairs.len() as f64;
    let (mut a, mut b) = (Point::ZERO, Point::ZERO);
    for (p, q) in pairs {
        a += p.to_vec2() / n;
        b += q.to_vec2() / n;
    }
    let (mut dot, mut cross) = (0.0, 0.0);
    for (p, q) in pairs {
        let (p, q) = (*p - a, *q - b);
        dot += p.dot(q);
        cross += p.cross(q);
    }
    let angle = cross.atan2(dot);
    let turned = Place { x: 0.0, y: 0.0, angle }.apply(a);
    angle.is_finite().then_some(Place { x: b.x - turned.x, y: b.y - turned.y, angle })
}

const _: () = assert!(PER_PHOTO == 14, "eight of the lens come first");
