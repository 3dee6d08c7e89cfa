//! The largest upright rectangle within a section.

use kurbo::{Point, Rect};

/// Rows first tried.
const ROWS: usize = 40;

type Pieces = [Vec<(Point, Point)>];

/// The largest rectangle with sides along x and y that lies inside every one of the sections given by their directed pieces;
/// None when there is none. Right to about 0.1 mm of its sides where the first rows have found the right place.
pub(crate) fn largest(sections: &Pieces) -> Option<Rect> {
    let points = || sections.iter().flatten().flat_map(|(a, b)| [*a, *b]);
    let low = points().map(|p| p.y).fold(f64::INFINITY, f64::min);
    let high = points().map(|p| p.y).fold(f64::NEG_INFINITY, f64::max);
    if sections.is_empty() || sections.iter().any(Vec::is_empty) || high - low < 1.0 {
        return None;
    }
    // A little inside, where a row lies on no level piece.
    let row = |k: usize| low + 1e-4 + (high - low - 2e-4) * k as f64 / ROWS as f64;
    let mut best: Option<Rect> = None;
    for i in 0..ROWS {
        for j in i + 1..=ROWS {
            better(&mut best, widest(sections, row(i), row(j)));
        }
    }
    let mut step = (high - low) / ROWS as f64;
    // Halved until below a tenth of a millimetre.
    for _ in 0..64 {
        let Some(r) = best else { break };
        let before = r.area();
        for (p, q) in [(1., 0.), (-1., 0.), (0., 1.), (0., -1.), (1., 1.), (-1., -1.), (1., -1.), (-1., 1.)] {
            better(&mut best, widest(sections, r.y0 + p * step, r.y1 + q * step));
        }
        if best.is_some_and(|b| b.area() <= before) {
            step *= 0.5;
            if step < 0.02 {
                break;
            }
        }
    }
    best
}

fn better(best: &mut Option<Rect>, new: Option<Rect>) {
    if let Some(new) = new
        && best.is_none_or(|b| new.area() > b.area())
    {
        *best = Some(new);
    }
}

/// The widest rectangle between two rows.
fn widest(sections: &Pieces, y0: f64, y1: f64) -> Option<Rect> {
    if y1 - y0 < 1.0 {
        return None;
    }
    // Stretches of x that some piece between the rows takes up; what lies between them is wholly inside or wholly outside.
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (a, b) in sections.iter().flatten() {
        let (lo, hi) = if a.y < b.y { (*a, *b) } else { (*b, *a) };
        if hi.y <= y0 || lo.y >= y1 {
            continue;
        }
        let at = |y: f64| if hi.y > lo.y { lo.x + (hi.x - lo.x) * (y - lo.y) / (hi.y - lo.y) } else { lo.x };
        let (p, q) = (at(lo.y.max(y0)), at(hi.y.min(y1)));
        let level = hi.y <= lo.y;
        let (p, q) = if level { (lo.x, hi.x) } else { (p, q) };
        taken.push((p.min(q), p.max(q)));
    }
    taken.sort_by(|a, b| a.0.total_cmp(&b.0));
    let middle = 0.5 * (y0 + y1);
    let mut best: Option<Rect> = None;
    let mut reach = f64::NEG_INFINITY;
    for (from, to) in taken {
        if reach.is_finite() && from - reach > 1.0 {
            let rect = Rect::new(reach, y0, from, y1);
            if best.is_none_or(|b| rect.area() > b.area())
                && sections.iter().all(|s| within(s, Point::new(0.5 * (reach + from), middle)))
            {
                best = Some(rect);
            }
        }
        reach = reach.max(to);
    }
    best
}

/// Whether the pieces run round a place.
fn within(pieces: &[(Point, Point)], p: Point) -> bool {
    let mut turns = 0;
    for (a, b) in pieces {
        if (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y) {
            turns += if b.y > a.y { 1 } else { -1 };
        }
    }
    turns > 0
}
