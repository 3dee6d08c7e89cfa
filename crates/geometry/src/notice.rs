//! Things the person should know that do not stop the work.

use std::fmt;

use kurbo::Point;

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

/// Something found while an outline or its layers were made. `Display` gives the sentence to show.
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
            | Self::FeatherEdge { .. } => Severity::Look,
        }
    }

    /// The same notice with the layer it was found on.
    #[must_use]
    pub(crate) fn on_layer(mut self, number: usize) -> Self {
        match &mut self {
            Self::CornerCutSquare { layer, .. }
            | Self::NarrowNeckLost { layer, .. }
            | Self::EdgeVanished { layer, .. } => {
                *layer = Some(number);
            }
            _ => {}
        }
        self
    }
}

impl fmt::Display for Notice {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let on = |layer: &Option<usize>| layer.map_or_else(String::new, |n| format!(" of layer {n}"));
        match self {
            Self::CarriedFar { name, end, length, sd, .. } => {
                let end = if *end == End::Start { "first" } else { "last" };
                write!(
                    f,
                    "Edge \"{name}\" was carried {length:.0} mm past its {end} tick, to within ± {:.1} mm. Add a tick at the corner.",
                    1.96 * sd
                )
            }
            Self::TickOffCurve { tick, distance, .. } => write!(
                f,
                "Tick {tick} stands {distance:.1} mm off the curve of its neighbours. Look at it in the photo, or make it a corner."
            ),
            Self::CornerCutSquare { at, layer, .. } => write!(
                f,
                "The moved edges at the corner near ({:.0}, {:.0}) mm{} cross too far away, so the corner is cut square. Trim it when fitting.",
                at.x,
                at.y,
                on(layer)
            ),
            Self::RingReversed => write!(f, "The edges were given clockwise and have been turned round."),
            Self::MergedTicks { kept, dropped, .. } => {
                write!(f, "Ticks {kept} and {dropped} are at the same place and count as one.")
            }
            Self::NarrowNeckLost { depth, parts, layer } => write!(
                f,
                "A narrow part{} is gone at {depth:.1} mm from the outer face and {parts} part{} left. Check it before cutting.",
                on(layer),
                if *parts == 1 { " is" } else { "s are" }
            ),
            Self::EdgeVanished { name, depth, layer, .. } => {
                write!(
                    f,
                    "Edge \"{name}\"{} has no length left at {depth:.1} mm from the outer face.",
                    on(layer)
                )
            }
            Self::FeatherEdge { name, angle, .. } => write!(
                f,
                "Edge \"{name}\" leans {:.0}° and leaves a thin edge that breaks. Cut it square, or blunt it.",
                angle.abs().to_degrees()
            ),
            Self::Smoothed { name, largest, .. } => {
                write!(f, "Edge \"{name}\" was smoothed by up to {largest:.1} mm, as asked.")
            }
        }
    }
}
