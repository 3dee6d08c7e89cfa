//! The largest rectangle left whole on a sheet.
//!
//! Method: the sheet in cells, those touched by a piece, a blocked region or the outside are taken; the largest rectangle
//! of free cells by the stack method for histograms (folklore; e.g. Morgan, "Programming from Specifications", 1994); then
//! its four sides are pushed out to what stops them, exactly, by halving.

use kurbo::{Point, Rect};

use crate::layout::Layout;
use crate::region::outside;
use crate::request::Request;
use crate::ring::{bounds, inside, line_to_line, sides};

/// Cells along the longer side of a sheet.
const CELLS: f64 = 400.0;
/// Rectangles narrower than this are waste, mm (common practice, no source).
const NARROWEST: f64 = 50.0;

/// A rectangle of sheet that no piece touches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Offcut {
    /// Index into the layout's sheets.
    pub sheet: usize,
    /// The rectangle in the sheet's frame, mm; it keeps the cutter's width from every piece.
    pub rect: Rect,
}

/// The largest free rectangle of every sheet in use, where one at least 50 mm wide is left.
pub fn offcuts(request: &Request, layout: &Layout) -> Vec<Offcut> {
    let one = |sheet: usize| {
        let stock = &request.stock[layout.sheets[sheet].stock];
        let pieces: Vec<Vec<Point>> = layout
            .placements
            .iter()
            .filter(|p| p.sheet == sheet)
            .map(|p| request.pieces[p.piece].outline.iter().map(|q| p.apply(*q)).collect())
            .collect();
        let blocked = outside(&stock.outline, &stock.blocked);
        let rect = largest(bounds(&stock.outline), &pieces, request.kerf, &blocked)?;
        (rect.width().min(rect.height()) >= NARROWEST).then_some(Offcut { sheet, rect })
    };
    (0..layout.sheets.len()).filter_map(one).collect()
}

fn largest(sheet: Rect, pieces: &[Vec<Point>], kerf: f64, blocked: &[Vec<Point>]) -> Option<Rect> {
    let cell = sheet.width().max(sheet.height()) / CELLS;
    let (nx, ny) = ((sheet.width() / cell).floor() as usize, (sheet.height() / cell).floor() as usize);
    let mut taken = vec![false; nx * ny];
    let all = pieces.iter().map(|p| (p, kerf)).chain(blocked.iter().map(|b| (b, 0.0)));
    for (ring, keep) in all {
        mark(&mut taken, nx, ny, sheet, cell, ring, keep);
    }
    let mut heights = vec![0usize; nx + 1];
    let mut best: Option<(usize, usize, usize, usize)> = None;
    let size = |b: &(usize, usize, usize, usize)| (b.2 - b.0) * (b.3 - b.1);
    for j in 0..ny {
        let mut stack: Vec<(usize, usize)> = Vec::new();
        for i in 0..=nx {
            if i < nx {
                heights[i] = if taken[j * nx + i] { 0 } else { heights[i] + 1 };
            }
            let h = if i < nx { heights[i] } else { 0 };
            let mut from = i;
            while let Some((start, tall)) = stack.pop_if(|t| t.1 >= h) {
                let b = (start, j + 1 - tall, i, j + 1);
                if best.as_ref().is_none_or(|old| size(&b) > size(old)) {
                    best = Some(b);
                }
                from = start;
            }
            stack.push((from, h));
        }
    }
    let (i0, j0, i1, j1) = best.filter(|b| size(b) > 0)?;
    let (x, y) = (|i: usize| sheet.x0 + cell * i as f64, |j: usize| sheet.y0 + cell * j as f64);
    Some(pushed(Rect::new(x(i0), y(j0), x(i1), y(j1)), sheet, cell, pieces, kerf, blocked))
}

/// Marks cells that a ring, or what lies within `keep` of it, touches.
fn mark(taken: &mut [bool], nx: usize, ny: usize, sheet: Rect, cell: f64, ring: &[Point], keep: f64) {
    let b = bounds(ring).inflate(keep, keep);
    let clip = |v: f64, n: usize| (v / cell).floor().clamp(0.0, n as f64) as usize;
    let (i0, i1) = (clip(b.x0 - sheet.x0, nx), (clip(b.x1 - sheet.x0, nx) + 1).min(nx));
    let (j0, j1) = (clip(b.y0 - sheet.y0, ny), (clip(b.y1 - sheet.y0, ny) + 1).min(ny));
    for j in j0..j1 {
        for i in i0..i1 {
            if !taken[j * nx + i] {
                let (x, y) = (sheet.x0 + cell * i as f64, sheet.y0 + cell * j as f64);
                taken[j * nx + i] = touches(Rect::new(x, y, x + cell, y + cell), ring, keep);
            }
        }
    }
}

/// Whether a rectangle comes nearer than `keep` to a ring, or overlaps it.
fn touches(rect: Rect, ring: &[Point], keep: f64) -> bool {
    let far = rect.inflate(keep, keep);
    let near = |(a, b): (Point, Point)| {
        let s = Rect::from_points(a, b);
        s.x0 < far.x1 && s.x1 > far.x0 && s.y0 < far.y1 && s.y1 > far.y0
    };
    if inside(ring, rect.center()) {
        return true;
    }
    if !sides(ring).any(near) {
        return false;
    }
    // A little smaller, so that lying against a ring is no touch.
    let r = rect.inset(-1e-6);
    let corners = crate::region::rect_ring(r);
    let distance = line_to_line(&corners, ring);
    distance < keep - 2e-6 || distance <= 0.0 || ring.first().is_some_and(|p| r.contains(*p))
}

fn pushed(
    mut r: Rect,
    sheet: Rect,
    cell: f64,
    pieces: &[Vec<Point>],
    kerf: f64,
    blocked: &[Vec<Point>],
) -> Rect {
    let free = |r: Rect| {
        r.x0 >= sheet.x0
            && r.y0 >= sheet.y0
            && r.x1 <= sheet.x1
            && r.y1 <= sheet.y1
            && !pieces.iter().any(|p| touches(r, p, kerf))
            && !blocked.iter().any(|b| touches(r, b, 0.0))
    };
    for side in 0..4 {
        let moved = |r: Rect, by: f64| match side {
            0 => Rect::new(r.x0 - by, r.y0, r.x1, r.y1),
            1 => Rect::new(r.x0, r.y0 - by, r.x1, r.y1),
            2 => Rect::new(r.x0, r.y0, r.x1 + by, r.y1),
            _ => Rect::new(r.x0, r.y0, r.x1, r.y1 + by),
        };
        // What a whole cell leaves, by halving to a hundredth of a mm; the sheet's own edge is tried exactly.
        let edge = [r.x0 - sheet.x0, r.y0 - sheet.y0, sheet.x1 - r.x1, sheet.y1 - r.y1][side];
        if edge > 0.0 && edge < 2.0 * cell && free(moved(r, edge)) {
            r = moved(r, edge);
            continue;
        }
        let mut step = cell;
        while step > 0.01 {
            if free(moved(r, step)) {
                r = moved(r, step);
            } else {
                step *= 0.5;
            }
        }
    }
    r
}
