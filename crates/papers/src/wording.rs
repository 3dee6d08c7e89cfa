//! The words on papers, each said in one place.

use coldwright_export::font;
use coldwright_geometry::{Length, Proud, Show, show_length};
use coldwright_job::{CutStyle, Job, Passes, PlannedPiece, Units, Wall};

/// The face towards the box or towards the hull.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Face {
    Box,
    Hull,
}

impl Face {
    /// "box side" or "hull side".
    pub(crate) fn side(self) -> &'static str {
        match self {
            Face::Box => "box side",
            Face::Hull => "hull side",
        }
    }
}

/// The wall's name as the typeface can write it: its own, or its number where letters are lacking.
pub(crate) fn wall_name(job: &Job, wall: &Wall) -> String {
    let name = wall.name.trim();
    if !name.is_empty() && font::lacking(name, true).is_empty() && font::lacking(name, false).is_empty() {
        return name.to_owned();
    }
    let number = job.walls.iter().position(|w| w.id == wall.id).map_or(0, |at| at + 1);
    format!("Wall {number}")
}

/// Words a person typed, as the typeface can write them: letters it lacks are left out rather than drawn as empty boxes; where
/// nothing is left, `otherwise`.
pub(crate) fn readable(words: &str, otherwise: &str) -> String {
    let lacking = font::lacking(words, false);
    let kept: String = words.chars().filter(|c| !lacking.contains(c)).collect();
    let kept = kept.trim();
    if kept.is_empty() { otherwise.to_owned() } else { kept.to_owned() }
}

/// "Hull 3", or "Hull 3 b" for the second of several parts.
pub(crate) fn mark(name: &str, layer: usize, part: Option<usize>) -> String {
    match part {
        None => format!("{name} {layer}"),
        Some(part) => format!("{name} {layer} {}", part_letters(part)),
    }
}

/// The mark of a piece of the plan: its letter only where its layer is in parts.
pub(crate) fn piece_mark(name: &str, piece: &PlannedPiece) -> String {
    mark(name, piece.id.layer as usize, (piece.parts > 1).then_some(piece.id.part as usize))
}

/// a, b, … z, aa, ab, …
pub(crate) fn part_letters(part: usize) -> String {
    let letter = char::from(b'a' + (part % 26) as u8);
    if part < 26 { letter.to_string() } else { format!("{}{letter}", part_letters(part / 26 - 1)) }
}

/// A 95 % uncertainty as the job shows lengths, rounded up: to a tenth of a millimetre, or to 1/32 in.
pub(crate) fn uncertainty(job: &Job, mm: f64) -> String {
    let (step, show) = match job.units {
        Units::Millimetres => (0.1, Show::Mm { decimals: 1 }),
        Units::Inches => (25.4 / 32.0, Show::Inches { denominator: 32 }),
    };
    // A hair under a whole step is that step, not the next.
    let up = ((mm / step - 1e-6).ceil().max(1.0)) * step;
    Length::from_mm(up).map_or_else(|_| format!("{up:.1} mm"), |length| show_length(length, show))
}

/// An angle's size: "12.5°".
pub(crate) fn degrees(angle: f64) -> String {
    format!("{:.1}°", angle.abs().to_degrees())
}

/// "12.5° open", "8.0° closed" or "square".
pub(crate) fn lean(angle: f64) -> String {
    match Proud::of(angle) {
        Proud::BoxFace => format!("{} open", degrees(angle)),
        Proud::HullFace => format!("{} closed", degrees(angle)),
        Proud::Square => "square".to_owned(),
    }
}

/// Which face stands proud; nothing for a square edge.
pub(crate) fn proud(angle: f64) -> Option<&'static str> {
    match Proud::of(angle) {
        Proud::BoxFace => Some("box face proud"),
        Proud::HullFace => Some("hull face proud"),
        Proud::Square => None,
    }
}

/// How the saw is tilted with this face up: "saw 12.5° inward" when the cut runs in under the piece, "outward" when it runs
/// out below it.
pub(crate) fn saw(angle: f64, up: Face) -> String {
    match (Proud::of(angle), saw_way(angle, up)) {
        (Proud::Square, way) => way.to_owned(),
        (_, way) => way.replacen("saw", &format!("saw {}", degrees(angle)), 1),
    }
}

/// The same without the angle, where it has just been said.
pub(crate) fn saw_way(angle: f64, up: Face) -> &'static str {
    match (Proud::of(angle), up) {
        (Proud::Square, _) => "saw square",
        (Proud::BoxFace, Face::Box) | (Proud::HullFace, Face::Hull) => "saw inward",
        _ => "saw outward",
    }
}

/// Whether a piece passes the opening, in words.
pub(crate) fn passes(job: &Job, passes: Passes) -> String {
    match passes {
        Passes::Through { .. } => {
            passes.spare(job).map_or_else(|| "just passes".to_owned(), |spare| format!("{spare} to spare"))
        }
        Passes::NoRoom { needs } => format!("needs {} behind it", job.show_mm(needs)),
        Passes::MayThread { short } => format!("{} too wide, try threading", job.show_mm(short)),
        Passes::Stuck { short } => format!("{} too wide", job.show_mm(short)),
    }
}

/// How a wall's pieces are cut, in words.
pub(crate) fn cut_style(style: CutStyle) -> &'static str {
    match style {
        CutStyle::SquareFits => "square, fits",
        CutStyle::SquareFills => "square, trim to fit",
        CutStyle::Bevelled => "bevelled",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bevels_in_words() {
        let rad = f64::to_radians;
        assert_eq!(lean(rad(12.5)), "12.5° open");
        assert_eq!(lean(rad(-8.0)), "8.0° closed");
        assert_eq!((lean(rad(0.04)), proud(0.0)), ("square".to_owned(), None));
        assert_eq!(saw(rad(12.5), Face::Box), "saw 12.5° inward");
        assert_eq!(saw(rad(-12.5), Face::Box), "saw 12.5° outward");
        assert_eq!(saw(rad(-12.5), Face::Hull), "saw 12.5° inward");
        assert_eq!(saw(0.0, Face::Hull), "saw square");
    }

    #[test]
    fn uncertainties_are_rounded_up_and_never_nothing() {
        let mm = Job::default();
        let inch = Job { units: Units::Inches, ..Job::default() };
        for (value, in_mm, in_inches) in [
            (0.0, "0.1 mm", "1/32 in"),
            (0.31, "0.4 mm", "1/32 in"),
            (1.5875, "1.6 mm", "1/16 in"),
            (30.0, "30.0 mm", "1 3/16 in"),
        ] {
            assert_eq!(
                (uncertainty(&mm, value).as_str(), uncertainty(&inch, value).as_str()),
                (in_mm, in_inches)
            );
        }
    }

    #[test]
    fn parts_are_lettered_past_z() {
        assert_eq!([0, 25, 26, 52].map(part_letters), ["a", "z", "aa", "ba"]);
        assert_eq!(mark("Hull", 3, Some(1)), "Hull 3 b");
    }
}
