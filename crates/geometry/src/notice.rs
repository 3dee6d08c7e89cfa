//! Things the person should know that do not stop the work.

use std::fmt;

use kurbo::Point;

use crate::Show;
use crate::said::{place, rough, said};

/// How much a notice asks of the person.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Good to know.
    Note,
    /// Look at it before cutting.
    Look,
    /// The result must not be cut as it is.
    Stop,
}

/// Which end of an edge, in ring order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum End {
    /// Where the edge starts.
    Start,
    /// Where the edge ends.
    Finish,
}

/// Something found while an outline or its layers were made. [`Notice::words`] gives the sentence to show.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum Notice {
    /// An edge was carried farther past its last tick than half a tick spacing.
    CarriedFar {
        /// Edge id.
        edge: u32,
        /// Name of the edge.
        name: String,
        /// Which end.
        end: End,
        /// How far it was carried, mm.
        length: f64,
        /// Standard uncertainty of the edge at the corner, mm.
        sd: f64,
    },
    /// A tick stands farther off its neighbours' curve than its uncertainty and the curve's freedom explain.
    TickOffCurve {
        /// Tick id.
        tick: u32,
        /// Edge id.
        edge: u32,
        /// Distance off the curve of the other ticks, mm.
        distance: f64,
        /// Ids of other ticks of which one may be the wrong one instead: the run is explained almost as well by each.
        or: Vec<u32>,
    },
    /// The moved edges cross too far away; the corner was cut square.
    CornerCutSquare {
        /// Ids of the edge that ends and the edge that starts there.
        between: (u32, u32),
        /// Where the template's corner is.
        at: Point,
        /// Layer number, when known.
        layer: Option<usize>,
    },
    /// The edges were given clockwise and have been turned round.
    RingReversed,
    /// Ticks at one place were merged into one.
    MergedTicks {
        /// Edge id.
        edge: u32,
        /// Tick kept.
        kept: u32,
        /// Tick merged into it.
        dropped: u32,
    },
    /// A neck or a part of the piece is gone at this depth.
    NarrowNeckLost {
        /// Depth from the outer face, mm.
        depth: f64,
        /// Parts left.
        parts: usize,
        /// Layer number, when known.
        layer: Option<usize>,
    },
    /// A cut-out reaches over the edge of the piece at this depth: it is a bay in it, no hole.
    BreaksOut {
        /// Name of the cut-out.
        name: String,
        /// Depth from the outer face, mm.
        depth: f64,
        /// Layer number, when known.
        layer: Option<usize>,
    },
    /// An edge has no length left at this depth.
    EdgeVanished {
        /// Edge id.
        edge: u32,
        /// Name of the edge.
        name: String,
        /// Depth from the outer face, mm.
        depth: f64,
        /// Layer number, when known.
        layer: Option<usize>,
    },
    /// A bevel over 45° leaves a thin edge that breaks.
    FeatherEdge {
        /// Edge id.
        edge: u32,
        /// Name of the edge.
        name: String,
        /// Steepest bevel on it, radians.
        angle: f64,
    },
    /// The fair curve was smoothed away from its ticks, as asked.
    Smoothed {
        /// Edge id.
        edge: u32,
        /// Name of the edge.
        name: String,
        /// Largest distance from a tick, mm.
        largest: f64,
    },
}

impl Notice {
    /// How much this asks of the person.
    #[must_use]
    pub fn severity(&self) -> Severity {
        match self {
            Self::RingReversed
            | Self::MergedTicks { .. }
            | Self::Smoothed { .. }
            | Self::EdgeVanished { .. } => Severity::Note,
            Self::CarriedFar { .. }
            | Self::TickOffCurve { .. }
            | Self::CornerCutSquare { .. }
            | Self::NarrowNeckLost { .. }
            | Self::BreaksOut { .. }
            | Self::FeatherEdge { .. } => Severity::Look,
        }
    }

    /// The same notice with the layer it was found on.
    #[must_use]
    pub(crate) fn on_layer(mut self, number: usize) -> Self {
        match &mut self {
            Self::CornerCutSquare { layer, .. }
            | Self::NarrowNeckLost { layer, .. }
            | Self::BreaksOut { layer, .. }
            | Self::EdgeVanished { layer, .. } => {
                *layer = Some(number);
            }
            _ => {}
        }
        self
    }
}

impl Notice {
    /// The sentence to show, with lengths in the given units; `Display` gives it in millimetres.
    #[must_use]
    pub fn words(&self, show: Show) -> String {
        let on = |layer: &Option<usize>| layer.map_or_else(String::new, |n| format!(" of layer {n}"));
        let length_of = |mm: f64| said(mm, show);
        match self {
            Self::CarriedFar { name, end, length, sd, .. } => {
                let end = if *end == End::Start { "first" } else { "last" };
                format!(
                    "Edge \"{name}\" was carried {} past its {end} tick, to within ± {}. Add a tick at the corner.",
                    said(*length, rough(show)),
                    length_of(1.96 * sd)
                )
            }
            Self::TickOffCurve { tick, distance, or, .. } if or.is_empty() => format!(
                "Tick {tick} stands {} off the curve of its neighbours. Look at it in the photo, or make it a corner.",
                length_of(*distance)
            ),
            Self::TickOffCurve { tick, distance, or, .. } => {
                let mut all: Vec<u32> = or.iter().copied().chain([*tick]).collect();
                all.sort_unstable();
                let last = all.pop().unwrap_or(*tick);
                let first: Vec<String> = all.iter().map(u32::to_string).collect();
                format!(
                    "One of ticks {} and {last} stands off the curve of its neighbours, tick {tick} most likely, by {}. Look at them in the photo, or make one a corner.",
                    first.join(", "),
                    length_of(*distance)
                )
            }
            Self::CornerCutSquare { at, layer, .. } => format!(
                "The moved edges at the corner near {}{} cross too far away, so the corner is cut square. Trim it when fitting.",
                place(*at, show),
                on(layer)
            ),
            Self::RingReversed => "The edges were given clockwise and have been turned round.".to_owned(),
            Self::MergedTicks { kept, dropped, .. } => {
                format!("Ticks {kept} and {dropped} are at the same place and count as one.")
            }
            Self::NarrowNeckLost { depth, parts, layer } => format!(
                "A narrow part{} is gone at {} from the outer face and {parts} part{} left. Check it before cutting.",
                on(layer),
                length_of(*depth),
                if *parts == 1 { " is" } else { "s are" }
            ),
            Self::BreaksOut { name, depth, layer } => format!(
                "The cut-out \"{name}\" reaches over the edge{}, at {} from the outer face. Move it in, or make it smaller.",
                on(layer),
                length_of(*depth)
            ),
            Self::EdgeVanished { name, depth, layer, .. } => format!(
                "Edge \"{name}\"{} has no length left at {} from the outer face.",
                on(layer),
                length_of(*depth)
            ),
            Self::FeatherEdge { name, angle, .. } => format!(
                "Edge \"{name}\" leans {:.0}° and leaves a thin edge that breaks. Cut it square, or blunt it.",
                angle.abs().to_degrees()
            ),
            Self::Smoothed { name, largest, .. } => {
                format!("Edge \"{name}\" was smoothed by up to {}, as asked.", length_of(*largest))
            }
        }
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.words(Show::Mm { decimals: 1 }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<Notice> {
        let name = || "hull".to_owned();
        vec![
            Notice::CarriedFar { edge: 1, name: name(), end: End::Start, length: 135.0, sd: 2.1 },
            Notice::TickOffCurve { tick: 4, edge: 1, distance: 2.46, or: vec![] },
            Notice::TickOffCurve { tick: 4, edge: 1, distance: 2.46, or: vec![6, 3] },
            Notice::CornerCutSquare { between: (1, 2), at: Point::new(120.4, -39.8), layer: Some(2) },
            Notice::RingReversed,
            Notice::MergedTicks { edge: 1, kept: 3, dropped: 4 },
            Notice::NarrowNeckLost { depth: 50.8, parts: 2, layer: None },
            Notice::EdgeVanished { edge: 1, name: name(), depth: 50.8, layer: Some(2) },
            Notice::BreaksOut { name: "drain".to_owned(), depth: 50.8, layer: Some(2) },
            Notice::FeatherEdge { edge: 1, name: name(), angle: 0.9 },
            Notice::Smoothed { edge: 1, name: name(), largest: 0.44 },
        ]
    }

    #[test]
    fn sentences_follow_the_units_of_the_job() {
        for n in all() {
            for show in [
                Show::Inches { denominator: 16 },
                Show::FeetInches { denominator: 16 },
                Show::FeetInchesEighths,
            ] {
                assert!(!n.words(show).contains("mm"), "{}", n.words(show));
            }
        }
        let inches = |n: &Notice| n.words(Show::Inches { denominator: 16 });
        let all = all();
        assert_eq!(
            all[0].to_string(),
            "Edge \"hull\" was carried 135 mm past its first tick, to within ± 4.1 mm. Add a tick at the corner."
        );
        assert_eq!(
            inches(&all[0]),
            "Edge \"hull\" was carried 5 5/16 in past its first tick, to within ± 3/16 in. Add a tick at the corner."
        );
        assert_eq!(
            all[2].to_string(),
            "One of ticks 3, 4 and 6 stands off the curve of its neighbours, tick 4 most likely, by 2.5 mm. Look at them in the photo, or make one a corner."
        );
        assert!(all[3].to_string().contains("near (120, -40) mm of layer 2 cross"), "{}", all[3]);
        assert!(inches(&all[3]).contains("near (4 3/4 in, -1 9/16 in) of layer 2"), "{}", inches(&all[3]));
        assert!(inches(&all[10]).contains("by up to less than 1/16 in"), "{}", inches(&all[10]));
    }
}
