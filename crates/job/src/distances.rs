//! Distances taped between ticks: held against the outline, and counted in it where the person says so.

use coldwright_canvas::CanvasError;
use coldwright_canvas::measured::{TapedLength, tie};
use coldwright_geometry::Length;
use kurbo::Point;
use nalgebra::DMatrix;

use crate::document::TickId;

use crate::template::Template;

/// A distance taped between two ticks.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct TapedDistance {
    /// From this tick.
    pub from: TickId,
    /// To this one.
    pub to: TickId,
    /// What the tape said.
    pub length: Length,
    /// Its standard uncertainty, mm.
    pub sd: f64,
    /// It counts in the outline by its weight; otherwise the outline is only compared with it.
    pub counts: bool,
}

/// A taped distance beside the outline's own.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct CheckedDistance {
    /// What was taped.
    pub taped: TapedDistance,
    /// The distance by all else, mm.
    pub without: f64,
    /// Its standard uncertainty, mm.
    pub without_sd: f64,
    /// Taped minus that, mm.
    pub misfit: f64,
    /// That in standard deviations of both together.
    pub sigmas: f64,
    /// Taped minus the distance in the outline as it stands, mm.
    pub left: f64,
}

/// Standard deviations beyond which a taped distance and the outline are said to disagree: 1 in 100 honest ones.
const DISAGREE: f64 = 2.58;

impl CheckedDistance {
    /// Whether the two differ by more than both explain.
    pub fn disagrees(&self) -> bool {
        self.sigmas.abs() > DISAGREE
    }

    /// The largest difference that both explain, mm.
    pub fn explained(&self) -> f64 {
        DISAGREE * self.without_sd.hypot(self.taped.sd)
    }
}

/// A diagonal that is worth a tape.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Diagonal {
    /// From this tick.
    pub from: TickId,
    /// To this one.
    pub to: TickId,
    /// Its length in the outline, mm.
    pub mm: f64,
    /// Its standard uncertainty, mm.
    pub sd: f64,
}

/// Ticks placed in the plane with their joint covariance, mm².
#[derive(Clone, Debug)]
pub(crate) struct Places {
    pub(crate) ids: Vec<TickId>,
    pub(crate) points: Vec<Point>,
    pub(crate) cov: DMatrix<f64>,
}

impl Places {
    fn index(&self, id: TickId) -> Option<usize> {
        self.ids.iter().position(|i| *i == id)
    }

    /// Length and standard uncertainty of the line between two of the places, mm.
    pub(crate) fn distance(&self, i: usize, j: usize) -> Option<(f64, f64)> {
        let (a, b) = (*self.points.get(i)?, *self.points.get(j)?);
        let mm = a.distance(b);
        let along = (b - a) / mm.max(1e-9);
        let row = [(2 * i, -along.x), (2 * i + 1, -along.y), (2 * j, along.x), (2 * j + 1, along.y)];
        let variance: f64 =
            row.iter().map(|(r, a)| row.iter().map(|(c, b)| a * b * self.cov[(*r, *c)]).sum::<f64>()).sum();
        Some((mm, variance.max(0.0).sqrt()))
    }

    /// Covariance of one place: xx, xy, yx, yy.
    pub(crate) fn own(&self, i: usize) -> [f64; 4] {
        let c = |r: usize, k: usize| self.cov[(2 * i + r, 2 * i + k)];
        [c(0, 0), c(0, 1), c(1, 0), c(1, 1)]
    }
}

/// Lets the taped distances have their say.
pub(crate) fn taken_in(
    places: &mut Places,
    taped: &[TapedDistance],
) -> Result<Vec<CheckedDistance>, CanvasError> {
    let mut known = Vec::new();
    let mut lengths = Vec::new();
    for t in taped {
        if let (Some(from), Some(to)) = (places.index(t.from), places.index(t.to)) {
            lengths.push(TapedLength { from, to, length_mm: t.length.mm(), sd_mm: t.sd, counts: t.counts });
            known.push(*t);
        }
    }
    if lengths.is_empty() {
        return Ok(Vec::new());
    }
    let tied = tie(&places.points, &places.cov, &lengths)?;
    (places.points, places.cov) = (tied.points, tied.cov_mm2);
    let checked = known.into_iter().zip(tied.checks).map(|(taped, c)| CheckedDistance {
        taped,
        without: c.without_mm,
        without_sd: c.without_sd_mm,
        misfit: c.misfit_mm,
        sigmas: c.sigmas,
        left: c.left_mm,
    });
    Ok(checked.collect())
}

/// The three lines across the outline that tell most about it: the longest between ends of edges, the longest that crosses it
/// steeply, and the longest of what remains that runs another way than both or lies well apart.
pub(crate) fn diagonals(t: &Template, places: &Places) -> Vec<Diagonal> {
    let mut ends: Vec<usize> = Vec::new();
    for id in t.edges.iter().flat_map(|e| [e.ticks.first(), e.ticks.last()]).flatten() {
        if let Some(i) = places.index(*id).filter(|i| !ends.contains(i)) {
            ends.push(i);
        }
    }
    let mut pairs: Vec<(usize, usize, f64)> = Vec::new();
    for (k, i) in ends.iter().enumerate() {
        for j in ends.iter().skip(k + 1) {
            if let (Some(a), Some(b)) = (places.points.get(*i), places.points.get(*j)) {
                pairs.push((*i, *j, a.distance(*b)));
            }
        }
    }
    pairs.sort_by(|a, b| b.2.total_cmp(&a.2).then(a.0.cmp(&b.0)).then(a.1.cmp(&b.1)));
    let way = |p: &(usize, usize, f64)| match (places.points.get(p.0), places.points.get(p.1)) {
        (Some(a), Some(b)) => (*b - *a) / p.2.max(1e-9),
        _ => kurbo::Vec2::ZERO,
    };
    let mut chosen: Vec<(usize, usize, f64)> = Vec::new();
    // Steeply first: 40°; then whatever runs at 15° to both; then whatever is left.
    for least in [0.64, 0.64, 0.26, 0.0] {
        let next = pairs.iter().find(|p| {
            let new = !chosen.iter().any(|c| (c.0, c.1) == (p.0, p.1));
            new && chosen.iter().all(|c| way(c).cross(way(p)).abs() >= least)
        });
        if let Some(p) = next.filter(|p| chosen.len() < 3 && p.2 > 1.0) {
            chosen.push(*p);
        }
    }
    let diagonal = |(i, j, mm): (usize, usize, f64)| {
        let (_, sd) = places.distance(i, j)?;
        Some(Diagonal { from: *places.ids.get(i)?, to: *places.ids.get(j)?, mm, sd })
    };
    chosen.into_iter().filter_map(diagonal).collect()
}
