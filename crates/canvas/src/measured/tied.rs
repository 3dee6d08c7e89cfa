//! Points that are known together, tied by taped distances: the tape as a second witness, with its own weight.
//!
//! Least squares with correlated observations: the points as first known, with their joint covariance, and the distances (E. M. Mikhail and F. Ackermann,
//! "Observations and Least Squares" (1976), ch. 7). Each distance and each point is judged by its correction over that correction's own standard deviation
//! (Baarda 1968, as in [`super::adjust`]), so that a wrong point is told from a wrong distance where there is enough to tell by.

use kurbo::{Point, Vec2};
use nalgebra::{DMatrix, DVector};

use super::{SUSPICIOUS, check_tape};
use crate::error::CanvasError;

/// A taped distance between two of the points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TapedLength {
    /// From this point, counted from 0.
    pub from: usize,
    /// To this one.
    pub to: usize,
    /// Distance, mm.
    pub length_mm: f64,
    /// Standard uncertainty, mm, above zero.
    pub sd_mm: f64,
    /// It counts in the answer; otherwise it is only compared with it.
    pub counts: bool,
}

/// A taped distance held against the points as they were known without it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthCheck {
    /// The distance by the points before any tape counted, mm.
    pub without_mm: f64,
    /// Its standard uncertainty, mm.
    pub without_sd_mm: f64,
    /// Taped minus that, mm.
    pub misfit_mm: f64,
    /// That misfit in standard deviations of both together.
    pub sigmas: f64,
    /// Taped minus the distance in the answer, mm: what is left.
    pub left_mm: f64,
}

/// Which measurement to doubt first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// One of the distances, counted from 0.
    Length(usize),
    /// One of the points.
    Point(usize),
}

/// Points after the distances have had their say.
#[derive(Debug, Clone, PartialEq)]
pub struct Tied {
    /// The points, in the order given, mm.
    pub points: Vec<Point>,
    /// Their joint covariance, mm²: x and y of each point in turn.
    pub cov_mm2: DMatrix<f64>,
    /// One for each distance.
    pub checks: Vec<LengthCheck>,
    /// What to measure again first, when the distances contradict the points by more than both explain (beyond 1 of 1000 good ones).
    pub suspect: Option<Suspect>,
}

/// A point must stand out by this much more than any distance to be named instead of it: with one distance nothing tells the two apart.
const CLEARLY: f64 = 1.02;

/// Ties points by taped distances. `cov_mm2` is the points' joint covariance (x and y of each in turn).
///
/// # Errors
/// A distance or uncertainty that is not above zero, a distance that names no point or one point twice, points in one place, numbers that are not finite.
///
/// # Examples
/// ```
/// use coldwright_canvas::measured::{TapedLength, tie};
/// use coldwright_canvas::Point;
/// use nalgebra::DMatrix;
/// // Each end known to 1 mm along the line between them, the tape to 1 mm: the tape has a third to say beside variance 2.
/// let cov = DMatrix::from_diagonal_element(4, 4, 1.0);
/// let length = TapedLength { from: 0, to: 1, length_mm: 1003.0, sd_mm: 1.0, counts: true };
/// let tied = tie(&[Point::new(0.0, 0.0), Point::new(1000.0, 0.0)], &cov, &[length])?;
/// assert!((tied.points[0].distance(tied.points[1]) - 1002.0).abs() < 1e-9);
/// # Ok::<(), coldwright_canvas::CanvasError>(())
/// ```
pub fn tie(points: &[Point], cov_mm2: &DMatrix<f64>, lengths: &[TapedLength]) -> Result<Tied, CanvasError> {
    check(points, cov_mm2, lengths)?;
    let counting: Vec<(usize, &TapedLength)> = lengths.iter().enumerate().filter(|l| l.1.counts).collect();
    let (n, m) = (2 * points.len(), counting.len());
    let mut at = points.to_vec();
    let mut out_cov = cov_mm2.clone();
    let mut doubts: Vec<(Suspect, f64)> = Vec::new();
    for round in 0..ROUNDS {
        if m == 0 {
            break;
        }
        let mut rows = DMatrix::<f64>::zeros(m, n);
        let mut misses = DVector::<f64>::zeros(m);
        for (i, (_, l)) in counting.iter().enumerate() {
            let (distance, row) = answer(&at, l)?;
            for (k, v) in row {
                rows[(i, k)] = v;
            }
            misses[i] = l.length_mm - distance;
        }
        let moved =
            DVector::from_iterator(n, at.iter().zip(points).flat_map(|(p, q)| [p.x - q.x, p.y - q.y]));
        let by_tape = cov_mm2 * rows.transpose();
        let mut both = &rows * &by_tape;
        for (i, (_, l)) in counting.iter().enumerate() {
            both[(i, i)] += l.sd_mm.powi(2);
        }
        let weights = both.cholesky().ok_or(NOT_FINITE)?.inverse();
        let step = &by_tape * (&weights * (&misses + &rows * moved));
        let mut change = 0.0_f64;
        for (k, (p, q)) in at.iter_mut().zip(points).enumerate() {
            let next = *q + Vec2::new(step[2 * k], step[2 * k + 1]);
            change = change.max(next.distance(*p));
            *p = next;
        }
        if change < 1e-10 || round + 1 == ROUNDS {
            let taken = &by_tape * &weights * by_tape.transpose();
            out_cov = cov_mm2 - &taken;
            doubts = judged(&counting, &misses, &weights, &step, &taken);
            break;
        }
    }
    if !(at.iter().all(|p| p.is_finite()) && out_cov.iter().all(|v| v.is_finite())) {
        return Err(NOT_FINITE);
    }
    let mut checks = Vec::with_capacity(lengths.len());
    for (i, l) in lengths.iter().enumerate() {
        let (without_mm, row) = answer(points, l)?;
        let without_sd_mm = quad(&row, cov_mm2).max(0.0).sqrt();
        let misfit_mm = l.length_mm - without_mm;
        let (now, row) = answer(&at, l)?;
        let left_mm = l.length_mm - now;
        if !l.counts {
            let sd = (quad(&row, &out_cov).max(0.0) + l.sd_mm.powi(2)).sqrt();
            doubts.push((Suspect::Length(i), (left_mm / sd).abs()));
        }
        let sigmas = misfit_mm / without_sd_mm.hypot(l.sd_mm);
        checks.push(LengthCheck { without_mm, without_sd_mm, misfit_mm, sigmas, left_mm });
    }
    let worst = doubts.into_iter().filter(|s| s.1 > SUSPICIOUS).max_by(|a, b| a.1.total_cmp(&b.1));
    Ok(Tied { points: at, cov_mm2: out_cov, checks, suspect: worst.map(|w| w.0) })
}

/// How much each distance that counts, and each point, is to be doubted: its correction in that correction's standard deviations.
fn judged(
    counting: &[(usize, &TapedLength)],
    misses: &DVector<f64>,
    weights: &DMatrix<f64>,
    step: &DVector<f64>,
    taken: &DMatrix<f64>,
) -> Vec<(Suspect, f64)> {
    let mut out = Vec::new();
    for (i, (number, l)) in counting.iter().enumerate() {
        // The correction left is R S⁻¹ r with variance R S⁻¹ R.
        let sd = l.sd_mm.powi(2) * weights[(i, i)].max(0.0).sqrt();
        if sd > 1e-9 {
            out.push((Suspect::Length(*number), (misses[i] / sd).abs()));
        }
    }
    for k in 0..step.len() / 2 {
        let moved = Vec2::new(step[2 * k], step[2 * k + 1]);
        if moved.hypot() > 1e-6 {
            let way = moved / moved.hypot();
            let row = [(2 * k, way.x), (2 * k + 1, way.y)];
            let sd = quad(&row, taken).max(0.0).sqrt();
            if sd > 1e-9 {
                out.push((Suspect::Point(k), moved.hypot() / sd / CLEARLY));
            }
        }
    }
    out
}

/// The distance by the points, and how it answers to their coordinates.
fn answer(at: &[Point], l: &TapedLength) -> Result<(f64, [(usize, f64); 4]), CanvasError> {
    let (Some(a), Some(b)) = (at.get(l.from), at.get(l.to)) else { return Err(NO_POINTS) };
    let d = *b - *a;
    let distance = d.hypot();
    if distance < 1e-6 {
        return Err(NO_POINTS);
    }
    let way = d / distance;
    let (i, j) = (2 * l.from, 2 * l.to);
    Ok((distance, [(i, -way.x), (i + 1, -way.y), (j, way.x), (j + 1, way.y)]))
}

fn quad(row: &[(usize, f64)], cov: &DMatrix<f64>) -> f64 {
    row.iter().map(|(i, a)| row.iter().map(|(j, b)| a * b * cov[(*i, *j)]).sum::<f64>()).sum()
}

fn check(points: &[Point], cov: &DMatrix<f64>, lengths: &[TapedLength]) -> Result<(), CanvasError> {
    let finite = points.iter().all(|p| p.is_finite()) && cov.iter().all(|v| v.is_finite());
    if !finite || cov.nrows() != 2 * points.len() || cov.ncols() != cov.nrows() {
        return Err(NOT_FINITE);
    }
    for l in lengths {
        check_tape(l.length_mm, l.sd_mm)?;
        if l.from == l.to || l.from.max(l.to) >= points.len() {
            return Err(NO_POINTS);
        }
    }
    Ok(())
}

const ROUNDS: usize = 30;
const NOT_FINITE: CanvasError = CanvasError::BadNumber {
    what: "place of a point",
    rule: "a number, with its uncertainty",
    value: f64::NAN,
};
const NO_POINTS: CanvasError = CanvasError::BadNumber {
    what: "distance between the two points",
    rule: "above zero, between two different points",
    value: 0.0,
};
