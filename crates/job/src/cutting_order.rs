//! The order at the saw: what is likeliest to be spoiled comes first, while there is most foam left to cut it anew from.

use std::cmp::Reverse;

use coldwright_geometry::{Proud, narrowest, signed_area};

use crate::document::{CutStyle, Job};
use crate::pieces::PlannedPiece;

/// The rule of the order at the saw, one sentence (common practice, no source).
pub const CUTTING_RULE: &str = "Pieces with the most bevelled edges first, of these the slivers under 100 mm from the narrowest on, then the largest.";

/// A piece narrower than this is a sliver, mm.
const SLIVER: f64 = 100.0;

/// Gives every piece its turn at the saw.
pub(crate) fn sort(job: &Job, pieces: &mut [PlannedPiece]) {
    let key = |p: &PlannedPiece| {
        let bevelled = job.wall(p.id.wall).is_some_and(|w| w.cut == CutStyle::Bevelled);
        let mut edges: Vec<u32> =
            p.layer.bevels.iter().filter(|m| m.proud != Proud::Square).map(|m| m.edge).collect();
        edges.sort_unstable();
        edges.dedup();
        let width = narrowest(&p.outline).map_or(0.0, |e| e.width).min(SLIVER);
        // Whole millimetres, so that rounding does not change the order.
        (
            Reverse(if bevelled { edges.len() } else { 0 }),
            width.round() as u64,
            Reverse(signed_area(&p.outline).abs().round() as u64),
            p.id,
        )
    };
    let mut order: Vec<usize> = (0..pieces.len()).collect();
    order.sort_by_cached_key(|i| pieces.get(*i).map(key));
    for (turn, index) in order.into_iter().enumerate() {
        if let Some(piece) = pieces.get_mut(index) {
            piece.cut = turn;
        }
    }
}
