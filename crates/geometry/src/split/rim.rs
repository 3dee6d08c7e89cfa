//! Seams moved by hand, their ends brought back to the rim of the foam.

use kurbo::{Point, Vec2};

use super::chord::{Line, chords};
use super::seam::Seam;
use crate::Layer;

/// A seam that ended so near the rim, mm, or beyond it, ends at the rim again when it is moved.
const NEAR: f64 = 8.0;

/// The seam moved as a whole: ends that reached the rim of the layer, or beyond, reach it again where it lies now; ends at another
/// seam only move along. Moved off the foam it is given back as it would lie.
#[must_use]
pub fn seam_moved(layer: &Layer, seam: &Seam, by: Vec2) -> Seam {
    let moved = Seam { from: seam.from + by, to: seam.to + by, ..*seam };
    let (Some(before), Some(now)) = (stretch(layer, seam), stretch(layer, &moved)) else { return moved };
    let length = seam.length();
    let from = if before.0 > -NEAR { now.0 } else { 0.0 };
    let to = if before.1 < length + NEAR { now.1 } else { length };
    along(&moved, from, to)
}

/// The seam with one end taken to another place; an end let go inside the foam, at most `within` mm from its rim, lands on it.
#[must_use]
pub fn seam_end_moved(layer: &Layer, seam: &Seam, first: bool, to: Point, within: f64) -> Seam {
    let moved = if first { Seam { from: to, ..*seam } } else { Seam { to, ..*seam } };
    let (Some(now), length) = (stretch(layer, &moved), moved.length()) else { return moved };
    match first {
        true if now.0 < 0.0 && now.0 >= -within => along(&moved, now.0, length),
        false if now.1 > length && now.1 <= length + within => along(&moved, 0.0, now.1),
        _ => moved,
    }
}

fn along(seam: &Seam, from: f64, to: f64) -> Seam {
    let (start, unit) = (seam.from, seam.along());
    if to - from < 1.0 {
        return *seam;
    }
    Seam { from: start + unit * from, to: start + unit * to, ..*seam }
}

/// Where along the seam's line the foam it runs through begins and ends, mm from its first end; a bay it crosses counts in.
fn stretch(layer: &Layer, seam: &Seam) -> Option<(f64, f64)> {
    if !seam.is_sound() {
        return None;
    }
    let line = Line { at: seam.from, along: seam.along() };
    let length = seam.length();
    let met =
        layer.fills.iter().flat_map(|r| chords(r, line)).filter(|(a, b)| b.min(length) - a.max(0.0) > 1.0);
    met.reduce(|all, c| (all.0.min(c.0), all.1.max(c.1)))
}
