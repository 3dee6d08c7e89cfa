//! What does not fit where walls meet.

use std::f64::consts::PI;

use super::BoxWall;
use super::joint::{EdgeAt, Joint};
use crate::{Length, Show, show_length};

/// One joint at which measurements contradict each other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointMisfit {
    /// Place of the joint in the list of joints.
    pub joint: usize,
    /// What disagrees.
    pub kind: MisfitKind,
    /// The disagreement over its standard uncertainty.
    pub normalised: f64,
    /// What `normalised` may be before it is told; such that a box without mistakes raises any alarm at all once in
    /// 10 000 boxes, if uncertainties are as stated.
    pub limit: f64,
}

/// What disagrees at a joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MisfitKind {
    /// Two edges that are one line differ in length.
    Length {
        /// The longer one.
        longer: EdgeAt,
        /// The other.
        shorter: EdgeAt,
        /// By how much, mm.
        by: f64,
    },
    /// Two edges tell different interior angles, or one that the closed ring contradicts.
    Angle {
        /// By how much, radians.
        by: f64,
    },
    /// The lengths agree, but the ring does not close: this wall's corner at the end of this edge stands off.
    Apart {
        /// The edge at whose end it is.
        edge: EdgeAt,
        /// By how much, mm.
        by: f64,
    },
}

impl JointMisfit {
    /// The sentence to show.
    #[must_use]
    pub fn words(&self, walls: &[BoxWall], joints: &[Joint], show: Show) -> String {
        let edge = |e: EdgeAt| {
            walls.get(e.wall).map_or_else(|| format!("edge {}", e.edge), |w| w.edge_words(e.edge))
        };
        let name =
            |e: EdgeAt| walls.get(e.wall).map_or_else(|| format!("wall {}", e.wall + 1), |w| w.name.clone());
        let mm = |v: f64| show_length(Length::from_micrometres((v * 1000.0).round() as i64), show);
        match self.kind {
            MisfitKind::Length { longer, shorter, by } => {
                format!("{} is {} longer than the {}'s", edge(longer), mm(by), name(shorter))
            }
            MisfitKind::Angle { by } => {
                let degrees = by.abs() * 180.0 / PI;
                joints.get(self.joint).map_or_else(String::new, |j| {
                    format!(
                        "the angle between the {} and the {} disagrees by {degrees:.1}°",
                        name(j.a),
                        name(j.b)
                    )
                })
            }
            MisfitKind::Apart { edge: at, by } => joints.get(self.joint).map_or_else(String::new, |j| {
                let other = if j.a == at { j.b } else { j.a };
                format!("{} stands {} off the {} when the box is closed", edge(at), mm(by), name(other))
            }),
        }
    }
}
