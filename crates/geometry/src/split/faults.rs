//! What a seam laid by hand does not keep to.

use super::chord::{Line, chords};
use super::places::Around;
use super::rules::SplitRules;
use super::seam::Seam;
use crate::Layer;

/// A distance a seam does not keep.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SeamFault {
    /// A seam of a neighbouring layer runs beside it nearer than [`SplitRules::stagger`].
    Stagger {
        /// How near, mm; 0 or less where they lie over each other.
        distance: f64,
    },
    /// A corner of the layer is nearer than [`SplitRules::clear`].
    Corner {
        /// How near, mm, laps taken off.
        distance: f64,
    },
    /// A cut-out is nearer than [`SplitRules::clear`].
    CutOut {
        /// How near, mm, laps taken off; 0 or less where the seam runs into it with less of it than that on one side.
        distance: f64,
    },
}

/// The distances of `rules` that a seam through `layer` does not keep from the seams of the neighbouring layers, from corners and
/// from cut-outs: of each kind the worst. What of the seam reaches beyond the foam is left out.
#[must_use]
pub fn seam_faults(layer: &Layer, rules: &SplitRules, neighbours: &[Seam], seam: &Seam) -> Vec<SeamFault> {
    if !seam.is_sound() {
        return Vec::new();
    }
    let neighbours: Vec<Seam> = neighbours.iter().copied().filter(Seam::is_sound).collect();
    let around = Around::new(layer, rules, &neighbours);
    let line = Line { at: seam.from, along: seam.along() };
    let inside = layer.fills.iter().flat_map(|r| chords(r, line)).filter_map(|(a, b)| {
        let (a, b) = (a.max(0.0), b.min(seam.length()));
        let part = Seam { from: line.at + line.along * a, to: line.at + line.along * b, style: seam.style };
        (b - a > 1.0).then_some(part)
    });
    let mut worst: [Option<SeamFault>; 3] = [None; 3];
    for part in inside {
        for (slot, found) in worst.iter_mut().zip(around.faults(&part)) {
            if let Some(found) = found
                && slot.is_none_or(|old| found.distance() < old.distance())
            {
                *slot = Some(found);
            }
        }
    }
    worst.into_iter().flatten().collect()
}

impl SeamFault {
    /// How near, mm.
    #[must_use]
    pub fn distance(&self) -> f64 {
        match *self {
            Self::Stagger { distance } | Self::Corner { distance, .. } | Self::CutOut { distance } => {
                distance
            }
        }
    }
}
