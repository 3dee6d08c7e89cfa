//! The walls with the openings that lie in them cut through their foam.

use std::borrow::Cow;

use coldwright_geometry::Length;

use crate::document::Job;
use crate::hole::{Hole, HoleShape};
use crate::workshop::{Opening, OpeningShape};

impl Job {
    /// Every opening: the job's own, then those of further compartments.
    pub fn openings(&self) -> impl Iterator<Item = &Opening> {
        self.opening.iter().chain(self.compartments.iter().filter_map(|c| c.opening.as_ref()))
    }
}

/// The job with each opening that has a place as a hole, square to its wall; the job itself where none has.
pub(crate) fn opened(job: &Job) -> Cow<'_, Job> {
    let mut open = Cow::Borrowed(job);
    for opening in job.openings() {
        let Some((place, hole)) = opening.place.zip(hole(opening)) else { continue };
        if let Some(wall) = open.to_mut().walls.iter_mut().find(|w| w.id == place.wall) {
            wall.template.holes.push(hole);
        }
    }
    open
}

fn hole(opening: &Opening) -> Option<Hole> {
    let shape = match opening.shape {
        OpeningShape::Rectangle { width, height, corner } => {
            HoleShape::Rectangle { width, height, corner, turn_deg: 0.0 }
        }
        OpeningShape::Round { diameter } => HoleShape::Round { diameter },
    };
    let at = opening.place?.at;
    Some(Hole { shape, ..Hole::round("the opening", at, Length::default()) })
}
