//! The drawing's ink as straight pieces, and its parts inside a window.

use kurbo::{Affine, BezPath, Point, Rect, Shape};

use crate::drawing::{Drawing, Fill, Item, Line, one_line};
use crate::flat::{self, Run};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// Farthest a straight piece may lie from the curve where a curve is cut at a window's edge, in mm.
const FLAT_MM: f64 = 0.005;
/// The same for the outlines of letters that are cut; they are only read.
const LETTER_FLAT_MM: f64 = 0.02;

/// Points nearer than this to the last kept one are passed over where only the way of the ink matters, in mm. Less than
/// half the smallest overlap (4 mm), so what is missed beyond a seam's middle is still on the neighbour's page.
const THIN_MM: f64 = 2.0;

/// A straight piece of ink.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Segment {
    pub from: Point,
    pub to: Point,
}

impl Segment {
    /// Whether any of it lies in the rectangle.
    pub fn meets(&self, rect: Rect) -> bool {
        clip(self.from, self.to, rect).is_some()
    }
}

/// A drawing prepared for being cut into pages.
#[derive(Debug, Clone)]
pub(super) struct Ink {
    /// Round all ink.
    pub bounds: Rect,
    /// The way of all ink, nowhere farther than [`THIN_MM`] from it; words by the edges of their box.
    pub segments: Vec<Segment>,
    parts: Vec<Part>,
    /// Closed rings to cut along.
    rings: Vec<Run>,
}

#[derive(Debug, Clone)]
struct Part {
    item: Item,
    ink: Rect,
    /// For a line with dashes: each dash. For words: their letters. Else the item itself.
    runs: Vec<Run>,
}

impl Ink {
    /// `None` when the drawing has no ink.
    pub fn of(drawing: &Drawing) -> Option<Ink> {
        Ink::read(drawing, true)
    }

    /// Only the ways of the ink, for choosing pages: nothing can be cut from it.
    pub fn ways(drawing: &Drawing) -> Option<Ink> {
        Ink::read(drawing, false)
    }

    fn read(drawing: &Drawing, parts: bool) -> Option<Ink> {
        let mut out =
            Ink { bounds: drawing.ink()?, segments: Vec::new(), parts: Vec::new(), rings: Vec::new() };
        for item in &drawing.items {
            let Some(ink) = item.ink() else { continue };
            let runs = match item {
                Item::Line(line) => {
                    let whole = flat::runs(&line.path, FLAT_MM);
                    out.add(&whole);
                    if line.layer == Layer::Cut {
                        out.rings.extend(whole.iter().filter(|run| run.closed).cloned());
                    }
                    match line.pen.dash_mm {
                        Some((on, off)) if parts => {
                            let dashes: BezPath =
                                kurbo::dash(line.path.elements().iter().copied(), 0.0, &[on, off]).collect();
                            flat::runs(&dashes, FLAT_MM)
                        }
                        _ => whole,
                    }
                }
                Item::Fill(fill) => {
                    let runs = flat::runs(&fill.path, FLAT_MM);
                    out.add(&runs);
                    runs
                }
                Item::Text(text) => {
                    out.add(&[Run { points: text.corners().to_vec(), closed: true }]);
                    if !parts {
                        continue;
                    }
                    let turn = Affine::translate(text.start().to_vec2()) * Affine::rotate(text.angle);
                    flat::runs(
                        &(turn * font::outlines(&one_line(&text.words), text.height_pt, text.bold)),
                        LETTER_FLAT_MM,
                    )
                }
            };
            if parts {
                out.parts.push(Part { item: item.clone(), ink, runs });
            }
        }
        Some(out)
    }

    fn add(&mut self, runs: &[Run]) {
        for run in runs {
            let mut from = run.points[0];
            let mut last = from;
            for (_, to) in pairs(run) {
                if to.distance(from) >= THIN_MM {
                    self.segments.push(Segment { from, to });
                    from = to;
                }
                last = to;
            }
            // The end is always kept, and a run all nearer than that still has one piece.
            self.segments.push(Segment { from, to: last });
        }
    }

    /// Whether the point lies inside what is cut out.
    pub fn inside_cut(&self, p: Point) -> bool {
        let crossings = self.rings.iter().flat_map(pairs).filter(|(a, b)| {
            (a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x)
        });
        crossings.count() % 2 == 1
    }

    /// Whether the rectangle is clear of all ink, words included.
    pub fn clear(&self, rect: Rect) -> bool {
        let wide = rect.inflate(THIN_MM, THIN_MM);
        self.clear_of_words(rect) && !self.segments.iter().any(|segment| segment.meets(wide))
    }

    /// Whether the rectangle is clear of all words.
    pub fn clear_of_words(&self, rect: Rect) -> bool {
        !self.parts.iter().any(|part| matches!(part.item, Item::Text(_)) && part.ink.overlaps(rect))
    }

    /// The items inside the window, cut off exactly at its edges. What lies wholly inside stays as it is; words that
    /// are cut become the outlines of their letters.
    pub fn inside(&self, window: Rect) -> Vec<Item> {
        let mut out = Vec::new();
        for part in &self.parts {
            if !window.overlaps(part.ink) {
                continue;
            }
            if window.contains_rect(part.ink) {
                out.push(part.item.clone());
                continue;
            }
            match &part.item {
                Item::Line(line) => {
                    let pen = Pen { dash_mm: None, ..line.pen };
                    let path = clip_runs(&part.runs, window);
                    if !path.elements().is_empty() {
                        out.push(Item::Line(Line { path, pen, layer: line.layer }));
                    }
                }
                Item::Fill(fill) => out.extend(clip_fill(&part.runs, window, fill.grey, fill.layer)),
                Item::Text(text) => out.extend(clip_fill(&part.runs, window, 0.0, text.layer)),
            }
        }
        out
    }
}

fn pairs(run: &Run) -> impl Iterator<Item = (Point, Point)> + '_ {
    let count = if run.closed { run.points.len() } else { run.points.len().saturating_sub(1) };
    (0..count).map(|i| (run.points[i], run.points[(i + 1) % run.points.len()]))
}

/// Runs cut to the window, each stretch inside it a run of its own.
fn clip_runs(runs: &[Run], window: Rect) -> BezPath {
    let mut path = BezPath::new();
    for run in runs {
        let whole = run.closed && run.points.iter().all(|p| window.contains(*p));
        let mut last: Option<Point> = None;
        for (a, b) in pairs(run) {
            let Some((from, to)) = clip(a, b, window) else { continue };
            if last.is_none_or(|last| last.distance(from) > 1e-9) {
                path.move_to(from);
            }
            path.line_to(to);
            last = Some(to);
        }
        if whole {
            path.close_path();
        }
    }
    path
}

/// The part of a segment inside the rectangle (Liang and Barsky 1984).
fn clip(a: Point, b: Point, rect: Rect) -> Option<(Point, Point)> {
    let d = b - a;
    let (mut t0, mut t1) = (0.0_f64, 1.0_f64);
    for (p, q) in [(-d.x, a.x - rect.x0), (d.x, rect.x1 - a.x), (-d.y, a.y - rect.y0), (d.y, rect.y1 - a.y)] {
        if p == 0.0 {
            if q < 0.0 {
                return None;
            }
        } else if p < 0.0 {
            t0 = t0.max(q / p);
        } else {
            t1 = t1.min(q / p);
        }
    }
    (t0 < t1).then(|| (a + d * t0, a + d * t1))
}

/// Rings cut to the window (Sutherland and Hodgman 1974); what runs along the edges twice encloses nothing.
fn clip_fill(runs: &[Run], window: Rect, grey: f64, layer: Layer) -> Option<Item> {
    let mut path = BezPath::new();
    for run in runs {
        let mut ring = run.points.clone();
        for side in 0..4 {
            ring = clip_side(&ring, window, side);
        }
        if ring.len() > 2 {
            path.move_to(ring[0]);
            for p in &ring[1..] {
                path.line_to(*p);
            }
            path.close_path();
        }
    }
    (path.area().abs() > 1e-6).then_some(Item::Fill(Fill { path, grey, layer }))
}

fn clip_side(ring: &[Point], window: Rect, side: usize) -> Vec<Point> {
    // How far a point lies inside this side.
    let depth = |p: Point| match side {
        0 => p.x - window.x0,
        1 => window.x1 - p.x,
        2 => p.y - window.y0,
        _ => window.y1 - p.y,
    };
    let mut out = Vec::with_capacity(ring.len() + 4);
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        let (da, db) = (depth(a), depth(b));
        if da >= 0.0 {
            out.push(a);
        }
        if (da < 0.0) != (db < 0.0) {
            out.push(a.lerp(b, da / (da - db)));
        }
    }
    out
}
