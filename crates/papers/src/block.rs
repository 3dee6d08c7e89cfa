//! Rows of words set as a block where they fit inside a piece, in fewer rows or smaller type where they must.

use std::f64::consts::FRAC_PI_2;

use coldwright_export::{Anchor, Drawing, Layer, Text, font};
use coldwright_geometry::Ring;
use kurbo::Vec2;

use crate::room::{Quad, Room};

/// Least type on paper, points.
const LEAST_PT: f64 = 9.0;
/// Distance from baseline to baseline in parts of the type size.
const PITCH_EM: f64 = 1.25;

/// One row of words.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Row {
    pub(crate) words: String,
    pub(crate) pt: f64,
    pub(crate) bold: bool,
}

impl Row {
    pub(crate) fn new(words: impl Into<String>, pt: f64, bold: bool) -> Row {
        Row { words: words.into(), pt, bold }
    }

    fn width(&self) -> f64 {
        font::text_width_mm(&self.words, self.pt, self.bold)
    }

    fn height(&self) -> f64 {
        font::em_mm(self.pt) * PITCH_EM
    }

    /// The row as two of about equal length; `None` for a single word.
    fn halved(&self) -> Option<[Row; 2]> {
        let middle = self.words.len() as f64 / 2.0;
        let cut = self
            .words
            .match_indices(' ')
            .map(|(at, _)| at)
            .min_by(|a, b| (*a as f64 - middle).abs().total_cmp(&(*b as f64 - middle).abs()))?;
        let (left, right) = self.words.split_at(cut);
        Some([left, right.trim_start()].map(|words| Row { words: words.to_owned(), ..self.clone() }))
    }
}

/// Sets rows inside one part of a piece, along its long side. What does not fit as one block is set as several, then in
/// halves and in smaller type (9 pt least); rows without any place inside go below the piece.
pub(crate) fn set(drawing: &mut Drawing, room: &mut Room, part: &Ring, rows: &[Row]) {
    let bounds = part.bounds();
    let lying = bounds.width() * 1.6 >= bounds.height();
    let angles = if lying { [0.0, FRAC_PI_2] } else { [FRAC_PI_2, 0.0] };
    // What still has to find a place, last first. Each round places something or parts it further, so it ends.
    let mut open: Vec<Vec<Row>> = vec![rows.to_vec()];
    while let Some(rows) = open.pop() {
        let size = block_size(&rows);
        if let Some(quad) = room.roomiest(size, &angles, part) {
            write(drawing, room, quad, &rows);
            continue;
        }
        if rows.len() > 1 {
            // The first rows matter most: they find their place before the rest.
            let first = if rows.len() > 3 { 2 } else { 1 };
            let (head, rest) = rows.split_at(first);
            open.push(rest.to_vec());
            open.push(head.to_vec());
            continue;
        }
        let Some(row) = rows.first() else { continue };
        let smaller = (row.pt * 0.75).max(LEAST_PT);
        if row.pt > LEAST_PT {
            open.push(vec![Row { pt: smaller, ..row.clone() }]);
        } else if let Some(halves) = row.halved().filter(|h| h.iter().all(|half| half.words.len() >= 4)) {
            let halves_fit = room.roomiest(block_size(&halves), &angles, part).is_some();
            if halves_fit {
                open.push(halves.to_vec());
            } else {
                outside(drawing, room, part, &angles, row);
            }
        } else {
            outside(drawing, room, part, &angles, row);
        }
    }
}

/// A row that has no place of its own on any one page: across a seam, else below the piece.
fn outside(drawing: &mut Drawing, room: &mut Room, part: &Ring, angles: &[f64], row: &Row) {
    let rows = [row.clone()];
    let size = block_size(&rows);
    let across = room.across_seams(|room| room.roomiest(size, angles, part));
    let quad = across.unwrap_or_else(|| room.below(size));
    write(drawing, room, quad, &rows);
}

fn block_size(rows: &[Row]) -> (f64, f64) {
    (rows.iter().map(Row::width).fold(0.0, f64::max), rows.iter().map(Row::height).sum())
}

fn write(drawing: &mut Drawing, room: &mut Room, quad: Quad, rows: &[Row]) {
    let up: Vec2 = quad.along.turn_90();
    let mut drop = quad.half.y;
    for row in rows {
        drop -= row.height();
        drawing.text(Text {
            at: quad.middle - quad.along * quad.half.x + up * (drop + font::em_mm(row.pt) * font::DESCENT_EM),
            words: row.words.clone(),
            height_pt: row.pt,
            angle: quad.along.atan2(),
            anchor: Anchor::Start,
            bold: row.bold,
            layer: Layer::Words,
        });
    }
    room.take(quad);
}
