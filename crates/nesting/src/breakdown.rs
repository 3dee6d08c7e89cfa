//! Straight cuts that bring a sheet to sizes a saw's throat takes, before any shape is cut.

use std::collections::BTreeMap;

use kurbo::{Point, Rect};

use crate::ring::bounds;

/// Parts looked at before the search gives up; a full sheet of sixty pieces takes some hundreds.
const MOST_PARTS: usize = 50_000;

/// One straight cut from edge to edge of the part that is left after the cuts before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// One end of the cut's middle line, mm in the sheet's frame.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// The part it divides.
    pub part: Rect,
}

impl Cut {
    /// Length, mm.
    pub fn length(&self) -> f64 {
        self.from.distance(self.to)
    }
}

/// Cuts, in the order to make them, after which every part with a piece on it has a side of at most `throat` mm.
///
/// `sheet` is the width and height of an upright rectangular sheet with its corner at the origin, `placed` the outlines where they
/// lie on it, `kerf` the width of the cut. Every cut runs upright or level all across the part it divides and keeps half its
/// width from every piece. Fewest cuts, then the least length. Empty when the sheet does as it is; None where no such cuts
/// exist (pieces lie in each other's way, as in a pinwheel), or a number is not usable.
///
/// # Examples
/// ```
/// use coldwright_nesting::breakdown;
/// use kurbo::{Point, Rect};
/// let rect = |x: f64, y: f64, w: f64, h: f64| {
///     vec![Point::new(x, y), Point::new(x + w, y), Point::new(x + w, y + h), Point::new(x, y + h)]
/// };
/// let placed = [rect(0.0, 0.0, 600.0, 2000.0), rect(610.0, 0.0, 600.0, 900.0), rect(610.0, 910.0, 600.0, 900.0)];
/// // One cut all along gives two strips that a 24 in throat takes.
/// let cuts = breakdown((1220.0, 2440.0), &placed, 3.0, 615.0).expect("a way");
/// assert!(cuts.len() == 1 && cuts[0].from.x > 600.0 && cuts[0].from.x < 610.0);
/// ```
pub fn breakdown(sheet: (f64, f64), placed: &[Vec<Point>], kerf: f64, throat: f64) -> Option<Vec<Cut>> {
    let usable = |v: f64| v.is_finite() && (0.0..=1e6).contains(&v);
    let finite = placed.iter().flatten().all(|p| p.x.is_finite() && p.y.is_finite());
    if ![sheet.0, sheet.1, kerf, throat].into_iter().all(usable) || throat <= 0.0 || !finite {
        return None;
    }
    let boxes = placed.iter().filter(|r| !r.is_empty()).map(|r| bounds(r)).collect();
    let mut saw = Bench { boxes, kerf, throat, known: BTreeMap::new() };
    let whole = Rect::new(0.0, 0.0, sheet.0, sheet.1);
    saw.best(whole)?;
    let mut cuts = Vec::new();
    saw.tell(whole, &mut cuts);
    Some(cuts)
}

/// What is best for a part: how many cuts, their length, and the first of them (upright or level, where).
#[derive(Debug, Clone, Copy)]
struct Way {
    cuts: u32,
    length: f64,
    first: Option<(bool, f64)>,
}

struct Bench {
    /// A cut is upright or level: a piece is in its way by its box.
    boxes: Vec<Rect>,
    kerf: f64,
    throat: f64,
    /// Parts by their sides in micrometres.
    known: BTreeMap<[i64; 4], Option<Way>>,
}

fn key(r: Rect) -> [i64; 4] {
    [r.x0, r.y0, r.x1, r.y1].map(|v| (v * 1000.0).round() as i64)
}

impl Bench {
    fn on<'a>(&'a self, part: Rect) -> impl Iterator<Item = &'a Rect> + 'a {
        self.boxes.iter().filter(move |b| part.contains(b.center()))
    }

    fn best(&mut self, part: Rect) -> Option<Way> {
        let done = part.width().min(part.height()) <= self.throat + 1e-6 || self.on(part).next().is_none();
        if done {
            return Some(Way { cuts: 0, length: 0.0, first: None });
        }
        if let Some(known) = self.known.get(&key(part)) {
            return *known;
        }
        if self.known.len() >= MOST_PARTS {
            return None;
        }
        // Set first: a part never contains itself, but the limit must count it.
        self.known.insert(key(part), None);
        let mut best: Option<Way> = None;
        for upright in [true, false] {
            for at in self.places(part, upright) {
                let (a, b) = self.halves(part, upright, at);
                let Some(first) = self.best(a) else { continue };
                let Some(second) = self.best(b) else { continue };
                let own = if upright { part.height() } else { part.width() };
                let way = Way {
                    cuts: 1 + first.cuts + second.cuts,
                    length: own + first.length + second.length,
                    first: Some((upright, at)),
                };
                let better = |o: Way| way.cuts < o.cuts || way.cuts == o.cuts && way.length < o.length - 1e-6;
                if best.is_none_or(better) {
                    best = Some(way);
                }
            }
        }
        self.known.insert(key(part), best);
        best
    }

    /// Middle lines of the cuts worth trying: at both ends of each free gap, and where a part just fits the throat.
    fn places(&self, part: Rect, upright: bool) -> Vec<f64> {
        let range = |r: &Rect| if upright { (r.x0, r.x1) } else { (r.y0, r.y1) };
        let mut taken: Vec<(f64, f64)> = self.on(part).map(range).collect();
        taken.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (lo, hi) = range(&part);
        let half = 0.5 * self.kerf;
        let just = [lo + self.throat + half, hi - self.throat - half];
        let mut out = Vec::new();
        let mut free_from = lo;
        for (a, b) in taken.into_iter().chain([(hi, hi)]) {
            // Half a micrometre for rounding.
            if a - free_from >= self.kerf - 5e-7 {
                let (first, last) = (free_from + half, (a - half).max(free_from + half));
                out.extend([first, last]);
                out.extend(just.iter().copied().filter(|p| *p > first && *p < last));
            }
            free_from = free_from.max(b);
        }
        out.retain(|p| *p > lo + half + 1e-6 && *p < hi - half - 1e-6);
        out.sort_by(f64::total_cmp);
        out.dedup_by(|b, a| (*b - *a).abs() < 1e-6);
        out
    }

    fn halves(&self, part: Rect, upright: bool, at: f64) -> (Rect, Rect) {
        let half = 0.5 * self.kerf;
        if upright {
            (Rect { x1: at - half, ..part }, Rect { x0: at + half, ..part })
        } else {
            (Rect { y1: at - half, ..part }, Rect { y0: at + half, ..part })
        }
    }

    fn tell(&mut self, part: Rect, cuts: &mut Vec<Cut>) {
        let Some(Way { first: Some((upright, at)), .. }) = self.best(part) else { return };
        let (from, to) = if upright {
            (Point::new(at, part.y0), Point::new(at, part.y1))
        } else {
            (Point::new(part.x0, at), Point::new(part.x1, at))
        };
        cuts.push(Cut { from, to, part });
        let (a, b) = self.halves(part, upright, at);
        self.tell(a, cuts);
        self.tell(b, cuts);
    }
}
