//! Seams: the rules they keep to, where they are worked out, and what those laid by hand do not keep to.

use coldwright_geometry as geo;
use coldwright_geometry::{Layer, Length, Severity};

use crate::document::{Job, Wall};
use crate::passing::hole;
use crate::problem::{Problem, Step};
use crate::workshop::{Seam, SeamStyle, SheetShape};

/// What the parts of a layer must keep to. `room` is the free depth behind the opening when the layer goes in, mm.
pub(crate) fn rules(job: &Job, wall: &Wall, layer: &Layer, room: Option<f64>) -> geo::SplitRules {
    let thickness = layer.to - layer.from;
    let material = wall.material(layer.number);
    let margin = 2.0 * job.cutting.margin.mm();
    let largest = job
        .stock
        .iter()
        .filter(|s| crate::sheets::may_give(s, material, thickness))
        .filter_map(|s| match &s.shape {
            SheetShape::Rectangle { width, length } => Some((width.mm() - margin, length.mm() - margin)),
            SheetShape::Outline(_) => None,
        })
        .filter(|(w, l)| *w > 0.0 && *l > 0.0)
        .max_by(|a, b| (a.0 * a.1).total_cmp(&(b.0 * b.1)));
    let opening = job.opening_of(wall.id).as_ref().map(hole);
    let turning = opening.zip(room).and_then(|(opening, depth)| {
        geo::TurnLimit::new(opening, thickness, geo::Room { depth, wall: 0.0 }).ok()
    });
    geo::SplitRules {
        widest: opening.map_or(f64::MAX, |o| o.widest_slot(thickness)),
        turning,
        sheet: largest,
        stagger: job.cutting.stagger.mm(),
        clear: job.cutting.clear.mm(),
        ..geo::SplitRules::default()
    }
}

/// The seams of a layer worked out, and what there is to say of them. Where no parts can be turned behind the opening, it is cut
/// so that they pass it at least.
pub(crate) fn worked_out(
    job: &Job,
    wall: &Wall,
    layer: &Layer,
    neighbours: &[geo::Seam],
    room: Option<f64>,
    problems: &mut Vec<Problem>,
) -> Vec<geo::Seam> {
    let rules = rules(job, wall, layer, room);
    let mut say = |severity, why: &geo::GeometryError| {
        let sentence = format!("{} {}: {}", wall.name, layer.number, why.words(job.units.show()));
        problems.push(Problem::new(Step::Pieces, severity, wall.id, sentence));
    };
    match geo::split(layer, &rules, neighbours) {
        Ok(seams) => seams,
        Err(why) if rules.turning.is_some() => {
            match geo::split(layer, &geo::SplitRules { turning: None, ..rules }, neighbours) {
                Ok(seams) => {
                    say(Severity::Look, &why);
                    seams
                }
                Err(why) => {
                    say(Severity::Stop, &why);
                    Vec::new()
                }
            }
        }
        Err(why) => {
            say(Severity::Stop, &why);
            Vec::new()
        }
    }
}

/// Says which distances seams laid by hand do not keep: from seams of the layers beside, from corners, from cut-outs.
pub(crate) fn by_hand(
    job: &Job,
    wall: &Wall,
    layer: &Layer,
    seams: &[geo::Seam],
    neighbours: &[geo::Seam],
    problems: &mut Vec<Problem>,
) {
    let rules = rules(job, wall, layer, None);
    for (i, seam) in seams.iter().enumerate() {
        let which = if seams.len() > 1 { format!("Seam {}", i + 1) } else { "The seam".to_owned() };
        for fault in geo::seam_faults(layer, &rules, neighbours, seam) {
            let near = job.show_mm(fault.distance().max(0.0));
            let touches = fault.distance() <= 0.05;
            let (where_, keep) = match fault {
                geo::SeamFault::Stagger { .. } if touches => {
                    ("lies over a seam of the layer beside it".to_owned(), job.cutting.stagger)
                }
                geo::SeamFault::Stagger { .. } => {
                    (format!("runs {near} beside a seam of the layer next to it"), job.cutting.stagger)
                }
                geo::SeamFault::Corner { .. } if touches => {
                    ("ends in a corner".to_owned(), job.cutting.clear)
                }
                geo::SeamFault::Corner { .. } => (format!("runs {near} from a corner"), job.cutting.clear),
                geo::SeamFault::CutOut { .. } if touches => {
                    ("runs through a cut-out".to_owned(), job.cutting.clear)
                }
                geo::SeamFault::CutOut { .. } => (format!("runs {near} from a cut-out"), job.cutting.clear),
            };
            let sentence = format!(
                "{which} of {} {} {where_}. Keep {} away, or move it knowingly",
                wall.name,
                layer.number,
                job.show(keep)
            );
            problems.push(Problem::new(Step::Pieces, Severity::Look, wall.id, sentence));
        }
    }
}

/// A seam of a layer moved as a whole: ends at the rim of the foam reach it again.
pub fn seam_moved(layer: &Layer, seam: &Seam, by: kurbo::Vec2) -> Seam {
    fine(from_geometry(&geo::seam_moved(layer, &to_geometry(seam), by)))
}

/// A seam of a layer with one end taken elsewhere; let go inside the foam, at most `within` mm from its rim, it lands on it.
pub fn seam_end_moved(layer: &Layer, seam: &Seam, first: bool, to: kurbo::Point, within: f64) -> Seam {
    fine(from_geometry(&geo::seam_end_moved(layer, &to_geometry(seam), first, to, within)))
}

/// To a hundredth of a millimetre: finer than any saw, and the file stays readable.
fn fine(seam: Seam) -> Seam {
    let round =
        |q: kurbo::Point| kurbo::Point::new((q.x * 100.0).round() / 100.0, (q.y * 100.0).round() / 100.0);
    Seam { from: round(seam.from), to: round(seam.to), ..seam }
}

pub(crate) fn to_geometry(seam: &Seam) -> geo::Seam {
    let style = match seam.style {
        SeamStyle::Butt => geo::SeamStyle::Butt,
        SeamStyle::HalfLap(width) => geo::SeamStyle::HalfLap { width: width.mm() },
    };
    geo::Seam { from: seam.from, to: seam.to, style }
}

pub(crate) fn from_geometry(seam: &geo::Seam) -> Seam {
    let style = match seam.style {
        geo::SeamStyle::Butt => SeamStyle::Butt,
        geo::SeamStyle::HalfLap { width } => SeamStyle::HalfLap(Length::from_mm(width).unwrap_or_default()),
    };
    Seam { from: seam.from, to: seam.to, style }
}
