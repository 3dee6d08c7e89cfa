//! Ticks that stand off their edge: on a straight one by their distance from the line of the others, on a bent one by the odds of a slip.

use kurbo::Point;

use crate::EdgeKind;
use crate::fit::{Fitted, fair, line};
use crate::odd::{ALMOST, STRANGE, slip_odds};

/// A tick that stands off its edge.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Stranger {
    /// Its index.
    pub index: usize,
    /// How far it stands off the others' curve, mm.
    pub off: f64,
    /// Other ticks (indices) of which one may be the wrong one instead: each explains the run almost as well.
    pub or: Vec<usize>,
}

impl Fitted {
    /// Ticks that their uncertainty and the curve's freedom do not explain, worst first.
    pub fn strangers(&self) -> Vec<Stranger> {
        /// Standard uncertainties beyond which a tick is strange: one honest tick in 370.
        const LIMIT: f64 = 3.0;
        /// Never flag less than this, mm: no template is that good.
        const FLOOR: f64 = 0.3;
        let mut left = self.clone();
        let mut index: Vec<usize> = (0..self.ticks.len()).collect();
        let mut out: Vec<Stranger> = Vec::new();
        // The worst one first, then again without it: its neighbours are judged by honest ticks only.
        for _ in 0..self.ticks.len().div_ceil(4).min(20) {
            let found = if left.curve.is_line() {
                (0..left.ticks.len())
                    .filter_map(|i| left.left_out(i).map(|(off, sd)| (i, off, off / sd.max(1e-9))))
                    .filter(|(_, off, ratio)| *off > FLOOR && *ratio > LIMIT)
                    .max_by(|a, b| a.2.total_cmp(&b.2))
                    .into_iter()
                    .collect()
            } else {
                left.slipped(FLOOR)
            };
            let Some((worst, off, _)) = found.first().copied() else { break };
            let named = |i: usize| out.iter().any(|s| s.index == i || s.or.contains(&i));
            let others = found.iter().skip(1).filter_map(|f| index.get(f.0).copied());
            let or: Vec<usize> = others.filter(|i| !named(*i)).collect();
            let index = index.remove(worst);
            if !named(index) {
                out.push(Stranger { index, off, or });
            }
            left.ticks.remove(worst);
            let refit = if left.kind == EdgeKind::Straight {
                line(&left.ticks, (false, false)).map(|c| {
                    let j = c.at(0.0);
                    let at = left.ticks.iter().map(|t| (t.at - j.p).dot(j.d1)).collect();
                    (c, at)
                })
            } else if left.ticks.len() > 2 {
                fair(&left.ticks, 0.0, (false, false))
            } else {
                None
            };
            let Some((curve, at)) = refit else { break };
            (left.curve, left.at, left.pinned) = (curve, at, (false, false));
        }
        out
    }

    /// The tick of a bent edge whose slip explains the run best, with those that explain it almost as well: index, distance off the others'
    /// curve, log odds.
    fn slipped(&self, floor: f64) -> Vec<(usize, f64, f64)> {
        let places: Vec<Point> = self.ticks.iter().map(|t| t.at).collect();
        let sd: Vec<f64> = (0..places.len()).map(|i| self.normal_variance(i).max(0.0).sqrt()).collect();
        let odds = slip_odds(&places, &sd);
        let best = odds.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let mut all: Vec<(usize, f64, f64)> = odds
            .iter()
            .enumerate()
            .filter(|(_, o)| **o > STRANGE && **o > best - ALMOST)
            .filter_map(|(i, o)| Some((i, self.left_out(i)?.0, *o)))
            .filter(|f| f.1 > floor)
            .collect();
        all.sort_by(|a, b| b.2.total_cmp(&a.2));
        all
    }
}
