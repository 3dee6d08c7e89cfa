//! What would stop or spoil the work, each in one sentence.

use std::fmt;

use coldwright_geometry::Severity;

use crate::document::{EdgeId, TickId, WallId};

/// A step of the job, in the order the data flows.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Step {
    /// The photo and its cards.
    Photo,
    /// The traced outline.
    Outline,
    /// Layers of foam.
    Layers,
    /// Walls joined to a box.
    Box,
    /// Layers cut into pieces that go through the opening.
    Pieces,
    /// Pieces laid out on sheets.
    Sheets,
    /// Patterns and files.
    Papers,
}

/// One problem: what, where, what to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Problem {
    /// The step it belongs to.
    pub step: Step,
    /// How much it matters.
    pub severity: Severity,
    /// The wall, when it belongs to one.
    pub wall: Option<WallId>,
    /// The edge, when it belongs to one.
    pub edge: Option<EdgeId>,
    /// The tick, when it belongs to one.
    pub tick: Option<TickId>,
    /// One sentence with a full stop.
    pub sentence: String,
}

impl fmt::Display for Problem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl Problem {
    pub(crate) fn new(step: Step, severity: Severity, wall: WallId, sentence: impl Into<String>) -> Problem {
        Problem {
            step,
            severity,
            wall: Some(wall),
            edge: None,
            tick: None,
            sentence: sentence_case(&sentence.into()),
        }
    }
}

/// First letter large, one full stop: a library's message becomes a sentence.
///
/// # Examples
/// ```
/// assert_eq!(coldwright_job::sentence_case("the file is empty"), "The file is empty.");
/// ```
pub fn sentence_case(text: &str) -> String {
    let text = text.trim();
    let mut chars = text.chars();
    let mut out: String = chars.next().map(|c| c.to_uppercase().collect::<String>()).unwrap_or_default();
    out.push_str(chars.as_str());
    if !out.ends_with(['.', '!', '?']) {
        out.push('.');
    }
    out
}
