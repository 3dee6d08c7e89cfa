//! The tape as a second witness: its weight, its own test, and who is named when it disagrees.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

use coldwright_canvas::measured::{Suspect, TapedLength, Tied, tie};
use kurbo::Point;
use nalgebra::DMatrix;
use proptest::prelude::*;

fn length(from: usize, to: usize, length_mm: f64, sd_mm: f64) -> TapedLength {
    TapedLength { from, to, length_mm, sd_mm, counts: true }
}

/// A rectangle of 900 by 600 mm.
fn corners() -> Vec<Point> {
    [(0.0, 0.0), (900.0, 0.0), (900.0, 600.0), (0.0, 600.0)].map(Point::from).to_vec()
}

/// Points that are right but for one scale known to a share: as a photo of cards printed at an unknown size gives them.
fn scaled(points: &[Point], sd: f64, own_mm: f64) -> DMatrix<f64> {
    let n = 2 * points.len();
    let flat: Vec<f64> = points.iter().flat_map(|p| [p.x, p.y]).collect();
    DMatrix::from_fn(n, n, |i, j| flat[i] * flat[j] * sd * sd + if i == j { own_mm * own_mm } else { 0.0 })
}

fn tied(points: &[Point], cov: &DMatrix<f64>, lengths: &[TapedLength]) -> Tied {
    tie(points, cov, lengths).unwrap()
}

#[test]
fn one_tape_sets_the_scale_by_its_weight() {
    // Printed 0.4 % too small, so that all reads 0.4 % too long; the print is stated to 0.15 %, the tape to 0.5 mm.
    let truth = corners();
    let read: Vec<Point> = truth.iter().map(|p| (p.to_vec2() * 1.004).to_point()).collect();
    let cov = scaled(&read, 0.0015, 0.05);
    let diagonal = truth[0].distance(truth[2]);
    let t = tied(&read, &cov, &[length(0, 2, diagonal, 0.5)]);
    // By hand: the print's say is worth (0.0015 × 1086)² and the ends' 2 × 0.05², the tape's 0.25.
    let own = (0.0015 * diagonal * 1.004_f64).powi(2) + 2.0 * 0.05_f64.powi(2);
    let left = 0.004 * diagonal * 0.25 / (own + 0.25);
    assert!((t.checks[0].left_mm + left).abs() < 1e-3, "{} {left}", t.checks[0].left_mm);
    assert!((t.checks[0].sigmas + 0.004 * diagonal / (own + 0.25).sqrt()).abs() < 1e-3);
    // A side that nobody taped is set right with it.
    let side = t.points[2].distance(t.points[3]);
    assert!((side - 900.0).abs() < 0.4, "{side}");
    let sd = t.cov_mm2[(2, 2)].sqrt();
    assert!(sd < cov[(2, 2)].sqrt() / 2.0, "the far corner is known better: {sd}");
}

#[test]
fn a_print_of_99_and_a_half_per_cent_is_told_by_one_tape() {
    let read: Vec<Point> = corners().iter().map(|p| (p.to_vec2() / 0.995).to_point()).collect();
    let cov = scaled(&read, 0.001, 0.2);
    let t = tied(&read, &cov, &[length(0, 2, corners()[0].distance(corners()[2]), 0.5)]);
    assert_eq!(t.suspect, Some(Suspect::Length(0)));
    assert!(t.checks[0].sigmas < -3.3, "{:?}", t.checks[0]);
    // Told only: it does not move the points.
    let mut only = length(0, 2, 1081.67, 0.5);
    only.counts = false;
    let t = tied(&read, &cov, &[only]);
    assert_eq!((t.points, t.cov_mm2, t.suspect), (read, cov, Some(Suspect::Length(0))));
}

#[test]
fn a_wrong_point_is_told_from_a_wrong_tape() {
    let truth = corners();
    let cov = DMatrix::from_diagonal_element(8, 8, 0.25);
    let d = |i: usize, j: usize| truth[i].distance(truth[j]);
    let all = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];
    let lengths: Vec<_> = all.iter().map(|(i, j)| length(*i, *j, d(*i, *j), 0.5)).collect();
    let mut points = truth.clone();
    points[2] += (6.0, 6.0);
    assert_eq!(tied(&points, &cov, &lengths).suspect, Some(Suspect::Point(2)));
    let mut wrong = lengths.clone();
    wrong[4].length_mm += 8.0;
    assert_eq!(tied(&truth, &cov, &wrong).suspect, Some(Suspect::Length(4)));
    let t = tied(&truth, &cov, &lengths);
    assert_eq!(t.suspect, None);
    assert!(t.points.iter().zip(&truth).all(|(a, b)| a.distance(*b) < 1e-9));
}

#[test]
fn what_cannot_be_is_refused() {
    let (points, cov) = (corners(), DMatrix::from_diagonal_element(8, 8, 1.0));
    for bad in
        [length(0, 0, 5.0, 1.0), length(0, 9, 5.0, 1.0), length(0, 1, -5.0, 1.0), length(0, 1, 5.0, 0.0)]
    {
        assert!(tie(&points, &cov, &[bad]).is_err(), "{bad:?}");
    }
    assert!(tie(&points, &DMatrix::zeros(3, 3), &[]).is_err());
}

proptest! {
    /// Points off by as much as stated and tapes off by as much as stated are suspected in about 1 of 1000 measurements.
    #[test]
    fn the_answer_is_no_worse_than_without_the_tape(noise in proptest::collection::vec(-1.2f64..1.2, 14)) {
        let truth = corners();
        let cov = DMatrix::from_diagonal_element(8, 8, 1.0);
        let points: Vec<Point> =
            truth.iter().enumerate().map(|(i, p)| *p + (noise[2 * i], noise[2 * i + 1])).collect();
        let all = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2), (1, 3)];
        let lengths: Vec<_> = all
            .iter()
            .enumerate()
            .map(|(k, (i, j))| length(*i, *j, truth[*i].distance(truth[*j]) + 0.3 * noise[8 + k], 0.3))
            .collect();
        let t = tied(&points, &cov, &lengths);
        prop_assert_eq!(t.suspect, None);
        // Taped lengths come out nearly as taped, and no variance grew.
        for (c, _) in t.checks.iter().zip(&lengths) {
            prop_assert!(c.left_mm.abs() < 1.2, "{:?}", c);
        }
        for k in 0..8 {
            prop_assert!(t.cov_mm2[(k, k)] <= 1.0 + 1e-9);
        }
    }
}
