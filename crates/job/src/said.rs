//! What the tape, a second photo and a photo without cards have to say, in words.

use coldwright_geometry::{Severity, Show, show_length};

use crate::document::{TickId, WallId};

use crate::measured::Measured;
use crate::plan::PlacedTick;
use crate::problem::{Problem, Step};
use crate::template::Template;
use crate::without_cards::only_a_sketch;

/// All there is to say of one template: of a photo without cards, of heights, of the tape.
pub(crate) fn said_of(
    t: &Template,
    (wall, name): (WallId, &str),
    show: Show,
    measured: &Measured,
    unseen: &[(TickId, String)],
    ticks: &[PlacedTick],
) -> Vec<Problem> {
    let number = |id| ticks.iter().find(|k| k.id == id).map_or(0, |k| k.number);
    let problem =
        |step, severity, words: String| Problem::new(step, severity, wall, format!("{name}: {words}"));
    let at = |tick: TickId, words: String| Problem {
        tick: Some(tick),
        ..problem(Step::Outline, Severity::Look, words)
    };
    let mut out = Vec::new();
    if let Some(mm) = t.rectangle.and_then(|r| r.contradiction()) {
        let words = format!(
            "the rectangle's sides and diagonals contradict each other by {:.0} mm; tape all four again",
            mm.abs()
        );
        out.push(problem(Step::Photo, Severity::Look, words));
    }
    if only_a_sketch(t) && !t.ticks.is_empty() {
        let words = "this is a sketch, from two points alone; at 20° of tilt a metre is 59 mm wrong, so nothing may be cut from it. Lay cards or a known rectangle beside the template and take it again";
        out.push(problem(Step::Outline, Severity::Stop, words.to_owned()));
    }
    let lost = |(id, why): &(TickId, String)| {
        at(*id, format!("the height of tick {} is not found: {why}", number(*id)))
    };
    out.extend(unseen.iter().map(lost));
    let click = t.sightings.as_ref().map_or(1.0, |s| s.click_px);
    for h in measured.heights.iter().filter(|h| h.misses(click)) {
        let words = format!(
            "the clicks on tick {} in two photos miss each other by {:.1} px; click the same point in both",
            number(h.tick),
            h.miss_px
        );
        out.push(at(h.tick, words));
    }
    out.extend(said_of_table(measured).map(|(severity, words)| problem(Step::Outline, severity, words)));
    for d in measured.distances.iter().filter(|d| d.disagrees()) {
        let mm = show_length(d.taped.length, show);
        let suspects =
            if t.sightings.is_some() { "the cards' printed size and at both ticks" } else { "both ticks" };
        let than = if d.misfit > 0.0 { "longer" } else { "shorter" };
        let words = format!(
            "from tick {} to tick {} the tape says {mm}, {:.1} mm {than} than the outline, where {:.1} mm would be explained; tape it again, then look at {suspects}",
            number(d.taped.from),
            number(d.taped.to),
            d.misfit.abs(),
            d.explained()
        );
        out.push(at(d.taped.from, words));
    }
    out
}

/// How well the numbers of a table agree, or which to doubt.
fn said_of_table(measured: &Measured) -> Option<(Severity, String)> {
    let fit = measured.taped.as_ref()?;
    if let Some(suspect) = &fit.suspect {
        let by = fit.residuals.iter().filter(|r| suspect.ends_with(&r.what)).map(|r| r.mm.abs());
        let by = by.fold(0.0, f64::max);
        let by = if by > 0.0 { format!(" by {by:.1} mm") } else { String::new() };
        let words = format!(
            "the taped numbers contradict each other{by}; measure {suspect} again first, that explains it best"
        );
        return Some((Severity::Look, words));
    }
    let largest = fit.largest().filter(|_| fit.spare > 0)?;
    let more = match fit.spare {
        1 => "one more measurement than needed agrees".to_owned(),
        n => format!("{n} more measurements than needed agree"),
    };
    Some((Severity::Note, format!("{more}, the worst ({}) to {:.1} mm", largest.what, largest.mm.abs())))
}
