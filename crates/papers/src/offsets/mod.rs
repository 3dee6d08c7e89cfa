//! The table of offsets: stations along a straight edge and the distances of the outline from it, for people without a printer.

mod lines;
mod page;

use coldwright_export::Table;
use coldwright_geometry::{Length, Ring, Show, show_length};
use coldwright_job::{Job, PlannedPiece, Units};
use kurbo::{Point, Rect, Vec2};

use crate::faces::faces;
use crate::make::Walled;
use lines::{Chain, Edge};
pub(crate) use page::pdf_of;

/// Straight lines between the stations err less than this, mm: 1/64 in is 0.397 mm, and the last digits of the table take their
/// share.
pub(crate) const ERROR_MM: f64 = 0.35;

/// The offsets of one piece.
#[derive(Debug, Clone)]
pub(crate) struct Offsets {
    /// The piece's mark.
    pub(crate) mark: String,
    /// Columns: what each line is called and its chain.
    pub(crate) columns: Vec<(String, Chain)>,
    /// Each row: the station, then a distance for each column that has one there.
    pub(crate) rows: Vec<(f64, Vec<Option<f64>>)>,
    /// Rings of both faces in the table's frame, box face first.
    pub(crate) rings: [Vec<Ring>; 2],
    /// Width and height of all lines, mm.
    pub(crate) size: Vec2,
}

/// The offsets of one piece. The baseline runs rightwards along the lowest point of both faces, parallel to the base edge; the
/// stations count from the leftmost point, so that no number is negative and a straight edge of the board can be the baseline.
pub(crate) fn offsets(job: &Job, w: &Walled<'_>, piece: &PlannedPiece, mark: String) -> Offsets {
    let lines = faces(&piece.layer, w.wall.cut);
    let all = lines.up.iter().chain(lines.down.into_iter().flatten());
    let bounds = all.map(Ring::bounds).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
    let origin = bounds.origin();
    let moved = |rings: &[Ring]| -> Vec<Ring> { rings.iter().map(|ring| shifted(ring, origin)).collect() };
    let rings = [moved(lines.up), moved(lines.down.unwrap_or(&[]))];
    let two = lines.down.is_some();
    let mut columns = Vec::new();
    for (face, rings) in ["box face", "hull face"].iter().zip(&rings) {
        let (mut near, mut far) = (0, 0);
        for chain in lines::chains(rings) {
            let (word, count) = match chain.edge {
                Edge::Near => ("near", &mut near),
                Edge::Far => ("far", &mut far),
            };
            *count += 1;
            let number = if *count > 1 { format!(" {count}") } else { String::new() };
            let name = if two { format!("{face} {word}{number}") } else { format!("{word}{number}") };
            columns.push((name, chain));
        }
    }
    let chains: Vec<Chain> = columns.iter().map(|(_, chain)| chain.clone()).collect();
    let mut rows = Vec::new();
    for x in lines::stations(&chains, spacing(job), ERROR_MM) {
        let at: Vec<Vec<f64>> = chains.iter().map(|chain| chain.at(x)).collect();
        rows.push((x, at.iter().map(|d| d.first().copied()).collect()));
        if at.iter().any(|d| d.len() > 1) {
            rows.push((x, at.iter().map(|d| d.last().copied()).collect()));
        }
    }
    Offsets { mark, columns, rows, rings, size: bounds.size().to_vec2() }
}

/// Farthest two stations are apart, mm: a hand's breadth as a tape shows it.
pub(crate) fn spacing(job: &Job) -> f64 {
    match job.units {
        Units::Millimetres => 100.0,
        Units::Inches => 101.6,
    }
}

fn shifted(ring: &Ring, origin: Point) -> Ring {
    let moved = |points: &Vec<Point>| points.iter().map(|p| *p - origin.to_vec2()).collect();
    Ring { outer: moved(&ring.outer), holes: ring.holes.iter().map(moved).collect() }
}

/// Every piece's offsets in one table, each number in millimetres, in inches and sixteenths with what is left over, and in
/// feet-inches-eighths.
pub(crate) fn table(all: &[Offsets]) -> Table {
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in all.iter().flat_map(|offsets| &offsets.columns) {
        if !names.contains(&name.as_str()) {
            names.push(name);
        }
    }
    let measured = std::iter::once("station").chain(names.iter().copied());
    let units = ["mm", "in, rest in thousandths", "ft-in-eighths, + a sixteenth"];
    let head = units.iter().flat_map(|unit| measured.clone().map(move |name| format!("{name} ({unit})")));
    let mut table = Table::new(["piece".to_owned(), "row".to_owned()].into_iter().chain(head));
    for offsets in all {
        for (number, (x, at)) in offsets.rows.iter().enumerate() {
            let values: Vec<Option<f64>> = std::iter::once(Some(*x))
                .chain(names.iter().map(|name| {
                    let column = offsets.columns.iter().position(|(own, _)| own == name)?;
                    at.get(column).copied().flatten()
                }))
                .collect();
            let said =
                |words: fn(f64) -> String| values.iter().map(move |v| v.map_or_else(String::new, words));
            table.row(
                [offsets.mark.clone(), (number + 1).to_string()]
                    .into_iter()
                    .chain(said(millimetres))
                    .chain(said(sixteenths))
                    .chain(said(eighths)),
            );
        }
    }
    table
}

/// "412.3": to a tenth of a millimetre.
pub(crate) fn millimetres(mm: f64) -> String {
    let text = format!("{mm:.1}");
    if text == "-0.0" { "0.0".to_owned() } else { text }
}

/// "16 3/16 +12": the nearest sixteenth of an inch, and the thousandths of an inch by which the length is more or less.
pub(crate) fn sixteenths(mm: f64) -> String {
    let whole = (mm / 25.4 * 16.0).round();
    let rest = ((mm / 25.4 - whole / 16.0) * 1000.0).round();
    let inches = Length::from_inches(whole / 16.0).map_or_else(
        |_| format!("{:.4}", mm / 25.4),
        |length| show_length(length, Show::Inches { denominator: 16 }),
    );
    let inches = inches.trim_end_matches(" in");
    if rest.abs() < 0.5 { inches.to_owned() } else { format!("{inches} {rest:+}") }
}

/// "1-04-1+": feet, inches, eighths, and a plus for a sixteenth more.
pub(crate) fn eighths(mm: f64) -> String {
    Length::from_mm(mm)
        .map_or_else(|_| millimetres(mm), |length| show_length(length, Show::FeetInchesEighths))
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    pub(crate) fn distance(p: Point, a: Point, b: Point) -> f64 {
        let d = b - a;
        let t = if d.hypot2() > 0.0 { ((p - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
        p.distance(a + d * t)
    }

    #[test]
    fn numbers_in_three_writings() {
        // 16 3/16 in = 411.1625 mm; 2 ft 3 9/16 in is written 2-03-4+ in a table of offsets (common practice, no source).
        assert_eq!(sixteenths(411.1625), "16 3/16");
        assert_eq!(sixteenths(411.1625 + 0.254), "16 3/16 +10");
        assert_eq!(sixteenths(411.1625 - 0.254), "16 3/16 -10");
        assert_eq!(eighths((27.0 + 9.0 / 16.0) * 25.4), "2-03-4+");
        assert_eq!((millimetres(0.04), millimetres(-0.01)), ("0.0".to_owned(), "0.0".to_owned()));
        for i in 0..2000 {
            let mm = f64::from(i) * 0.731;
            let words = sixteenths(mm);
            let (inches, rest) = match words.rsplit_once(' ') {
                Some((inches, rest)) if rest.starts_with(['+', '-']) => {
                    (inches.to_owned(), rest.parse::<f64>().unwrap())
                }
                _ => (words.clone(), 0.0),
            };
            let value: f64 = inches
                .split(' ')
                .map(|part| match part.split_once('/') {
                    Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
                    None => part.parse().unwrap(),
                })
                .sum();
            assert!(((value + rest / 1000.0) * 25.4 - mm).abs() <= 0.0128, "{mm}: {words}");
        }
    }
}
