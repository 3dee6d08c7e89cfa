//! Points tied by taped distances: two from known points fix each, further ones check.
//!
//! With more distances than needed the places are those of least squares; each distance's misfit is judged against its own part in the answer (W. Baarda,
//! "A testing procedure for use in geodetic networks", Netherlands Geodetic Commission, Publications on Geodesy 2/5 (1968)), so that the one blunder is
//! named and not its neighbours.

use coldwright_geometry::Spread;
use kurbo::{Point, Vec2};
use nalgebra::{DMatrix, DVector};

use super::table::read_rows;
use super::{MeasuredPoint, SUSPICIOUS, Style, check_tape};
use crate::error::CanvasError;

/// On which side of the line from the first known point to the second the tied points lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TieSide {
    /// Left of it (above, when it runs to the right).
    Left,
    /// Right of it.
    Right,
}

/// A taped distance between two named points.
#[derive(Debug, Clone, PartialEq)]
pub struct Measure {
    /// From this point.
    pub from: String,
    /// To this one.
    pub to: String,
    /// Distance, mm.
    pub length_mm: f64,
    /// Standard uncertainty, mm, above zero.
    pub sd_mm: f64,
}

/// A distance after the adjustment.
#[derive(Debug, Clone, PartialEq)]
pub struct Misfit {
    /// Which of the distances given, from 0.
    pub measure: usize,
    /// Taped minus computed, mm.
    pub misfit_mm: f64,
    /// The misfit in its own standard deviations; beyond 3.29 in 1 of 1000 good distances. `None` when nothing checks this distance.
    pub sigmas: Option<f64>,
}

/// Points placed by distances.
#[derive(Debug, Clone, PartialEq)]
pub struct Network {
    /// The points placed, in the order they were first named.
    pub points: Vec<MeasuredPoint>,
    /// Their joint covariance, mm²: x and y of each in turn.
    pub cov_mm2: DMatrix<f64>,
    /// Every distance with its misfit.
    pub misfits: Vec<Misfit>,
    /// More distances than needed.
    pub redundancy: usize,
    /// Root mean square misfit per degree of freedom, in stated standard deviations; 1 when all is as stated, `None` without redundancy.
    pub fit: Option<f64>,
    /// The distance (index) to tape again first.
    pub suspicious: Option<usize>,
}

/// A distance whose own misfit shows less than this share of a blunder is checked by nothing.
const CHECKED: f64 = 0.02;

/// Ties from a table: each line a point's name and its distances from the known points in their order; an empty cell was not taped.
///
/// # Errors
/// A cell that is no length, a line with too many cells, an empty table.
pub fn read_ties(text: &str, known: &[&str], style: &Style) -> Result<Vec<Measure>, CanvasError> {
    let mut out = Vec::new();
    for row in read_rows(text) {
        row.must_have(2, known.len() + 1)?;
        for (k, from) in known.iter().enumerate() {
            if !row.text(k + 1).is_empty() {
                let length_mm = row.length(k + 1, style)?;
                out.push(Measure {
                    from: (*from).to_owned(),
                    to: row.text(0).to_owned(),
                    length_mm,
                    sd_mm: style.sd_mm,
                });
            }
        }
    }
    if out.is_empty() { Err(CanvasError::EmptyTable) } else { Ok(out) }
}

/// Distances between named points from a table: from, to, length.
///
/// # Errors
/// A cell that is no length, a line that has not three cells, an empty table.
pub fn read_lengths(text: &str, style: &Style) -> Result<Vec<Measure>, CanvasError> {
    let mut out = Vec::new();
    for row in read_rows(text) {
        row.must_have(3, 3)?;
        let length_mm = row.length(2, style)?;
        out.push(Measure {
            from: row.text(0).to_owned(),
            to: row.text(1).to_owned(),
            length_mm,
            sd_mm: style.sd_mm,
        });
    }
    if out.is_empty() { Err(CanvasError::EmptyTable) } else { Ok(out) }
}

/// Places all points named by distances from known ones. A point is begun from the first two distances that lead to placed points, on the stated side of the
/// line between those as they stand among the known points (`side` is taken as seen from the first known point towards the second), then all are
/// adjusted together.
///
/// # Errors
/// Fewer than two known points, a distance that is not above zero, a point with too few distances, two circles that do not meet by more than the
/// tape explains, points that the distances leave loose.
///
/// # Examples
/// ```
/// use coldwright_canvas::measured::{Style, TieSide, adjust, read_ties};
/// use kurbo::Point;
/// let known = [("A", Point::new(0.0, 0.0)), ("B", Point::new(400.0, 0.0))];
/// let ties = read_ties("1; 300; 500", &["A", "B"], &Style { sd_mm: 1.0, ..Style::default() })?;
/// let placed = adjust(&known, TieSide::Left, &ties)?;
/// assert!(placed.points[0].at.distance(Point::new(0.0, 300.0)) < 1e-9); // 3-4-5
/// # Ok::<(), coldwright_canvas::CanvasError>(())
/// ```
pub fn adjust(known: &[(&str, Point)], side: TieSide, measures: &[Measure]) -> Result<Network, CanvasError> {
    let [(_, first), (_, second), ..] = known else {
        return Err(CanvasError::LooseTies { name: "every point".to_owned() });
    };
    for m in measures {
        check_tape(m.length_mm, m.sd_mm)?;
    }
    let is_known = |n: &str| known.iter().find(|k| k.0 == n).map(|k| k.1);
    let mut names: Vec<&str> = Vec::new();
    for m in measures {
        for n in [m.to.as_str(), m.from.as_str()] {
            if is_known(n).is_none() && !names.contains(&n) {
                names.push(n);
            }
        }
    }
    let mut places = begin(&names, is_known, *second - *first, side, measures)?;
    let index = |n: &str| names.iter().position(|m| *m == n);
    let n = 2 * names.len();
    let mut cov = DMatrix::<f64>::zeros(n, n);
    let loose =
        || CanvasError::LooseTies { name: names.first().map_or_else(String::new, |n| (*n).to_owned()) };
    let mut rows = DMatrix::<f64>::zeros(measures.len(), n);
    let mut misses = DVector::<f64>::zeros(measures.len());
    for round in 0..30 {
        let place = |n: &str| is_known(n).or_else(|| places.get(index(n)?).copied());
        rows.fill(0.0);
        for (i, m) in measures.iter().enumerate() {
            let (Some(a), Some(b)) = (place(&m.from), place(&m.to)) else { return Err(loose()) };
            let d = b - a;
            let length = d.hypot().max(1e-9);
            misses[i] = (m.length_mm - length) / m.sd_mm;
            let way = d / length / m.sd_mm;
            for (name, sign) in [(&m.to, 1.0), (&m.from, -1.0)] {
                if let Some(k) = index(name) {
                    rows[(i, 2 * k)] += sign * way.x;
                    rows[(i, 2 * k + 1)] += sign * way.y;
                }
            }
        }
        let normal = rows.transpose() * &rows;
        cov = normal.cholesky().ok_or_else(loose)?.inverse();
        if round == 29 {
            break;
        }
        let step = &cov * (rows.transpose() * &misses);
        for (k, p) in places.iter_mut().enumerate() {
            *p += Vec2::new(step[2 * k], step[2 * k + 1]);
        }
        if step.amax() < 1e-10 {
            break;
        }
    }
    if !(cov.iter().all(|v| v.is_finite()) && places.iter().all(|p| p.is_finite())) {
        return Err(loose());
    }
    let left = &rows * &cov * rows.transpose();
    let misfits: Vec<Misfit> = measures
        .iter()
        .enumerate()
        .map(|(i, m)| {
            let own = 1.0 - left[(i, i)];
            Misfit {
                measure: i,
                misfit_mm: misses[i] * m.sd_mm,
                sigmas: (own > CHECKED).then(|| misses[i] / own.sqrt()),
            }
        })
        .collect();
    let redundancy = measures.len().saturating_sub(n);
    let worst = misfits
        .iter()
        .filter_map(|m| Some((m.measure, m.sigmas?.abs())))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|w| w.1 > SUSPICIOUS);
    let points = names
        .iter()
        .zip(&places)
        .enumerate()
        .map(|(k, (name, at))| MeasuredPoint {
            name: (*name).to_owned(),
            at: *at,
            spread: Spread {
                xx: cov[(2 * k, 2 * k)],
                xy: cov[(2 * k, 2 * k + 1)],
                yy: cov[(2 * k + 1, 2 * k + 1)],
            },
        })
        .collect();
    let fit = (redundancy > 0).then(|| (misses.norm_squared() / redundancy as f64).sqrt());
    Ok(Network { points, cov_mm2: cov, misfits, redundancy, fit, suspicious: worst.map(|w| w.0) })
}

/// First places: each point from the first two distances to points already placed.
fn begin(
    names: &[&str],
    is_known: impl Fn(&str) -> Option<Point>,
    base: Vec2,
    side: TieSide,
    measures: &[Measure],
) -> Result<Vec<Point>, CanvasError> {
    let mut places: Vec<Option<Point>> = vec![None; names.len()];
    for _ in 0..names.len() {
        for (k, name) in names.iter().enumerate() {
            if places.get(k).copied().flatten().is_some() {
                continue;
            }
            let at = |n: &str| {
                is_known(n).or_else(|| places.get(names.iter().position(|m| *m == n)?).copied().flatten())
            };
            let mut ends: Vec<(Point, f64, f64)> = Vec::new();
            for m in measures {
                let other = if m.to == *name {
                    &m.from
                } else if m.from == *name {
                    &m.to
                } else {
                    continue;
                };
                if let Some(p) = at(other)
                    && ends.iter().all(|e| e.0.distance(p) > 1e-6)
                {
                    ends.push((p, m.length_mm, m.sd_mm));
                }
            }
            let [(a, ra, sa), (b, rb, sb), ..] = ends[..] else { continue };
            let d = b - a;
            let apart = d.hypot();
            let along = (ra * ra - rb * rb + apart * apart) / (2.0 * apart);
            let high = ra * ra - along * along;
            // How far the circles fail to meet, mm, against what the tape explains.
            let gap = (apart - ra - rb).max((ra - rb).abs() - apart);
            if gap > 6.0 * sa.hypot(sb) {
                return Err(CanvasError::TiesDoNotMeet { name: (*name).to_owned(), gap_mm: gap });
            }
            let left = Vec2::new(-d.y, d.x) / apart;
            // The wanted side is that of the known line, whichever way these two lie.
            let wanted = Vec2::new(-base.y, base.x) * if side == TieSide::Left { 1.0 } else { -1.0 };
            let left = if left.dot(wanted) < 0.0 { -left } else { left };
            if let Some(slot) = places.get_mut(k) {
                *slot = Some(a + d / apart * along + left * high.max(1e-6).sqrt());
            }
        }
    }
    let mut out = Vec::with_capacity(names.len());
    for (place, name) in places.into_iter().zip(names) {
        out.push(place.ok_or_else(|| CanvasError::LooseTies { name: (*name).to_owned() })?);
    }
    Ok(out)
}
