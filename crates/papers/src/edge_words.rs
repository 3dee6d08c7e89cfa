//! Along each edge of a piece: its name, its bevel and the saw's tilt, and numbered stations where a changing bevel is set.

use std::f64::consts::{FRAC_PI_2, PI};

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_geometry::{Layer as Foam, Outline, Side};
use kurbo::{Point, Vec2};

use crate::faced::Sides;
use crate::neighbours::Met;
use crate::room::{CLEAR_MM, Quad, Room};
use crate::stations::{Station, Told, stations};
use crate::wording::{self, Face};

/// Type along the edges, points.
const PT: f64 = 9.0;
/// Distance from baseline to baseline in parts of the type size.
const PITCH_EM: f64 = 1.2;
/// How far in from the edge words are tried, mm.
const DEEPEST_MM: f64 = 30.0;
/// Length of a station's mark inside the piece, mm.
const MARK_MM: f64 = 5.0;

/// White between the bold words of a row and the plain ones, mm.
const BETWEEN_MM: f64 = 2.0;

/// How the edges of a piece are cut.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Edges {
    /// Bevelled, this face up.
    Bevelled(Face),
    /// Square.
    Square,
}

/// What the words of all edges depend on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct EdgeWords<'a> {
    pub(crate) outline: &'a Outline,
    pub(crate) foam: &'a Foam,
    /// Its sides on both faces.
    pub(crate) sides: &'a [Sides],
    /// The edge that is the bottom, or the after edge of a floor or lid.
    pub(crate) base: Option<u32>,
    pub(crate) cut: Edges,
    /// Edges that the saw makes with the other face up.
    pub(crate) elsewhere: &'a [u32],
    /// What other walls' pieces do at the edges.
    pub(crate) meetings: &'a [Met],
    /// Everything mirrored left to right, as seen from the hull.
    pub(crate) mirrored: bool,
}

impl EdgeWords<'_> {
    /// Writes the edges of one layer: stations first, as they have only one place; then the names.
    pub(crate) fn write(&self, drawing: &mut Drawing, room: &mut Room) {
        let told = |side: &Side| {
            let mut told = stations(side.edge.id, self.foam, self.sides);
            if self.mirrored {
                told.stations.iter_mut().for_each(|station| *station = station.mirrored());
            }
            told
        };
        let sides: Vec<(&Side, Told)> = self.outline.sides().iter().map(|s| (s, told(s))).collect();
        if let Edges::Bevelled(up) = self.cut {
            let here = |side: &Side, told: &Told| told.varies && !self.elsewhere.contains(&side.edge.id);
            let changing =
                sides.iter().filter(|(side, told)| here(side, told)).flat_map(|(_, told)| &told.stations);
            for (number, station) in changing.enumerate() {
                mark(drawing, room, station, number + 1, up);
            }
        }
        for (side, told) in &sides {
            self.name(drawing, room, side, told);
        }
    }

    fn name(&self, drawing: &mut Drawing, room: &mut Room, side: &Side, told: &Told) {
        let stations = &told.stations;
        let Some(middle) = stations.get(stations.len() / 2) else { return };
        let name = wording::readable(&side.edge.name, "edge");
        let name = if self.base == Some(side.edge.id) { format!("{name}, base edge") } else { name };
        let said: Vec<String> = match (self.cut, wording::proud(middle.angle)) {
            (Edges::Bevelled(up), _) if self.elsewhere.contains(&side.edge.id) => vec![match up {
                Face::Box => "saw it hull face up: second pattern".to_owned(),
                Face::Hull => "saw it box side up: first pattern".to_owned(),
            }],
            (Edges::Bevelled(_), _) if told.varies => {
                vec!["bevel changes: set it at each number".to_owned()]
            }
            (Edges::Bevelled(up), Some(proud)) => {
                vec![wording::lean(middle.angle), proud.to_owned(), wording::saw(middle.angle, up)]
            }
            _ => vec!["cut square".to_owned()],
        };
        let meets = self.meetings.iter().filter(|m| m.edge == side.edge.id).map(|m| m.words.clone());
        let said: Vec<String> = said.into_iter().chain(meets).collect();
        let bold = Words { name: Some(name), rest: String::new() };
        let rest = |words: &[String]| Words { name: None, rest: words.join(" · ") };
        let variants = [
            vec![Words { rest: said.join(" · "), ..bold.clone() }],
            vec![bold.clone(), rest(&said)],
            [vec![bold], said.iter().map(|word| rest(std::slice::from_ref(word))).collect()].concat(),
        ];
        // Every station is a place to try, from the middle outwards.
        let mut tries: Vec<&Station> = stations.iter().collect();
        tries.sort_by(|a, b| a.hull.distance(middle.hull).total_cmp(&b.hull.distance(middle.hull)));
        let slide = (side.length / 2.0).max(20.0);
        let mut inside = |room: &mut Room| {
            variants.iter().any(|rows| {
                tries
                    .iter()
                    .any(|station| along(drawing, room, (station.farther_in(), station.outward), slide, rows))
            })
        };
        let done = inside(room) || room.across_seams(&mut inside);
        if !done && let Some(rows) = variants.last() {
            beside(drawing, room, middle, rows);
        }
    }
}

/// A numbered mark across both faces' lines, with the bevel there.
fn mark(drawing: &mut Drawing, room: &mut Room, station: &Station, number: usize, up: Face) {
    let inner = station.farther_in() - station.outward * MARK_MM;
    let (long, outer) = (station.farther_out() - inner, station.farther_out());
    drawing.straight(inner, outer, Pen::MARK, Layer::Marks);
    room.take(Quad::new(inner.midpoint(outer), long.hypot() - 1.0, 0.4, station.outward.atan2()));
    let mut rest = vec![wording::lean(station.angle)];
    rest.extend(wording::proud(station.angle).map(str::to_owned));
    rest.push(wording::saw_way(station.angle, up).to_owned());
    let numbered = |rest: String| Words { name: Some(number.to_string()), rest };
    let plain = |rest: &str| Words { name: None, rest: rest.to_owned() };
    let variants = [
        vec![numbered(rest.join(" · "))],
        vec![numbered(rest[0].clone()), plain(&rest[1..].join(" · "))],
        std::iter::once(numbered(rest[0].clone())).chain(rest[1..].iter().map(|r| plain(r))).collect(),
        vec![numbered(rest[0].clone())],
    ];
    let mut inside = |room: &mut Room| {
        variants.iter().any(|rows| along(drawing, room, (inner, station.outward), 36.0, rows))
    };
    let done = inside(room) || room.across_seams(&mut inside);
    if !done {
        beside(drawing, room, station, &variants[3]);
    }
}

/// One row: bold words, then plain ones.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Words {
    pub(crate) name: Option<String>,
    pub(crate) rest: String,
}

impl Words {
    fn parts(&self) -> impl Iterator<Item = (&str, bool, f64)> {
        let name = self.name.iter().map(|words| (words.as_str(), true));
        let rest = Some((self.rest.as_str(), false)).filter(|(words, _)| !words.is_empty());
        name.chain(rest).map(|(words, bold)| (words, bold, font::text_width_mm(words, PT, bold)))
    }

    fn width(&self) -> f64 {
        let parts: Vec<f64> = self.parts().map(|(.., width)| width).collect();
        parts.iter().sum::<f64>() + BETWEEN_MM * parts.len().saturating_sub(1) as f64
    }
}

/// Rows of words as a block along an edge, just inside it, at the first free place; whether there is one.
pub(crate) fn along(
    drawing: &mut Drawing,
    room: &mut Room,
    (at, outward): (Point, Vec2),
    slide: f64,
    rows: &[Words],
) -> bool {
    let angle = readable_angle(outward.turn_90().atan2());
    let tangent = Vec2::from_angle(angle);
    let (width, height) = block_size(rows);
    let insets = (0..).map(|i| CLEAR_MM + 0.6 + 2.0 * f64::from(i)).take_while(|inset| *inset <= DEEPEST_MM);
    for inset in insets {
        let moves = (0..).map(|i| 4.0 * f64::from(i)).take_while(|moved| *moved <= slide);
        for moved in moves.flat_map(|moved| [moved, -moved]) {
            let middle = at - outward * (inset + height / 2.0) + tangent * moved;
            let quad = Quad::new(middle, width, height, angle);
            if room.inside(quad) {
                write(drawing, room, quad, rows);
                return true;
            }
        }
    }
    false
}

/// Outside the piece, where nothing fits inside: beyond both faces' lines, clear of the cut.
pub(crate) fn beside(drawing: &mut Drawing, room: &mut Room, station: &Station, rows: &[Words]) {
    let angle = readable_angle(station.outward.turn_90().atan2());
    let (width, height) = block_size(rows);
    let at = |out: f64| Quad::new(station.farther_out() + station.outward * out, width, height, angle);
    let first = CLEAR_MM + 1.0 + height / 2.0;
    // Bounded; beyond a hand's breadth nobody would see which edge is meant.
    let free = (0..30).map(|step| at(first + 3.0 * f64::from(step))).find(|quad| room.outside(*quad));
    let quad = free.unwrap_or_else(|| room.below((width, height)));
    write(drawing, room, quad, rows);
}

/// Words never stand on their heads: the baseline runs rightward, or upward when it is upright.
fn readable_angle(angle: f64) -> f64 {
    let turned = (angle + PI).rem_euclid(PI);
    // Within 6° of upright all baselines run upward, so that both ends of a panel read from one side.
    if turned > FRAC_PI_2 + 0.105 { turned - PI } else { turned }
}

fn pitch() -> f64 {
    font::em_mm(PT) * PITCH_EM
}

fn block_size(rows: &[Words]) -> (f64, f64) {
    (rows.iter().map(Words::width).fold(0.0, f64::max), pitch() * rows.len() as f64)
}

fn write(drawing: &mut Drawing, room: &mut Room, quad: Quad, rows: &[Words]) {
    let up = quad.along.turn_90();
    for (i, row) in rows.iter().enumerate() {
        let drop = quad.half.y - pitch() * (i as f64 + 1.0) + font::em_mm(PT) * font::DESCENT_EM;
        let mut at = quad.middle + up * drop - quad.along * (row.width() / 2.0);
        for (words, bold, width) in row.parts() {
            drawing.text(Text {
                at,
                words: words.to_owned(),
                height_pt: PT,
                angle: quad.along.atan2(),
                anchor: Anchor::Start,
                bold,
                layer: Layer::Words,
            });
            at += quad.along * (width + BETWEEN_MM);
        }
    }
    room.take(quad);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_read_from_below_or_from_the_right() {
        for degrees in 0..720 {
            let angle = readable_angle(f64::from(degrees).to_radians());
            assert!(angle > -FRAC_PI_2 + 0.1 && angle <= FRAC_PI_2 + 0.106, "{degrees}: {angle}");
            let turns = (angle - f64::from(degrees).to_radians()) / PI;
            assert!((turns - turns.round()).abs() < 1e-9, "{degrees}: the baseline left its edge");
        }
    }
}
