//! What the photos' plane has to say, in words.

use std::sync::Arc;

use coldwright_canvas::PlaneSolve;
use coldwright_geometry::{Length, Severity, Show, show_length};

use crate::document::WallId;
use crate::problem::{Problem, Step};

/// Predicted 95 % error of the farthest pair, mm, above which a template is looked at, and above which it must not be
/// cut from.
const AMBER: f64 = 3.0;
const RED: f64 = 8.0;
/// Four corners of a rectangle that miss by more than this, mm, are taped or clicked wrong: half of it is a tape's reading.
const RECTANGLE_MISS: f64 = 2.0;

/// What the solved plane of a template has to say: cards that disagree, photos to doubt, ticks too unsure.
/// `farthest` is what the distance of the two farthest ticks may be wrong by, mm, 95 in 100.
pub(crate) fn photo_problems(
    wall: WallId,
    name: &str,
    show: Show,
    solved: &Result<Option<Arc<PlaneSolve>>, String>,
    farthest: Option<f64>,
    out: &mut Vec<Problem>,
) {
    match solved {
        Err(why) => {
            out.push(Problem::new(Step::Photo, Severity::Stop, wall, format!("{name}: {why}")));
        }
        Ok(Some(plane)) => {
            for bad in plane.bad_cards() {
                out.push(Problem::new(Step::Photo, Severity::Look, wall, format!("{name}: {bad}")));
            }
            if plane.points() < 8 && plane.residual_mm() > RECTANGLE_MISS {
                let miss = Length::from_mm(plane.residual_mm());
                let miss = miss.map_or_else(|_| "much".to_owned(), |l| show_length(l, show));
                let sentence = format!(
                    "{name}: the rectangle's corners miss what its tapes say by {miss}; click its corners again, then tape its sides and diagonals"
                );
                out.push(Problem::new(Step::Photo, Severity::Look, wall, sentence));
            }
            for photo in 0..plane.photos() {
                let which = if plane.photos() > 1 { format!(", photo {}", photo + 1) } else { String::new() };
                for doubt in plane.doubts(photo) {
                    let sentence = format!("{name}{which}: {doubt}");
                    out.push(Problem::new(Step::Photo, Severity::Look, wall, sentence));
                }
            }
        }
        Ok(None) => {}
    }
    if let Some(error) = farthest.filter(|e| *e > AMBER) {
        let severity = if error > RED { Severity::Stop } else { Severity::Look };
        let sentence = format!(
            "{name}: the distance of the two farthest ticks may be wrong by {}. Put cards all round the template and take the photo again from higher up",
            Length::from_mm(error).map_or_else(|_| format!("{error:.1} mm"), |l| show_length(l, show))
        );
        out.push(Problem::new(Step::Photo, severity, wall, sentence));
    }
}
