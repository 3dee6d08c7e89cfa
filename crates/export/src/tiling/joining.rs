//! Joining marks: on each seam two crosses with a label no other pair has, far apart and where possible clear of the
//! drawing.
//!
//! A cross has a long arm square to the seam. It runs through the whole overlap and on into the page; where the
//! neighbour's trimmed edge comes to lie it has a thick tick. So a page laid on its neighbour shows at a glance
//! whether edge, height and label agree.

use kurbo::{Point, Rect, Vec2};

use super::grid::{Grid, page_name};
use super::ink::Ink;
use crate::drawing::{Anchor, Drawing, Text};
use crate::font;
use crate::layer::Layer;
use crate::pen::Pen;

/// How far the long arm runs beyond the overlap into the page, in mm.
const BEYOND_MM: f64 = 5.0;
/// Half the short arm, along the seam, in mm.
const SHORT_MM: f64 = 4.0;
/// Half the thick ticks, in mm.
const TICK_MM: f64 = 1.5;
/// Room for the label beyond the arm, in mm.
const LABEL_MM: f64 = 9.0;
/// Distance of the first place tried from the window's corner, beyond the overlap: clear of the marks of the seam
/// round the corner, in mm.
const CORNER_MM: f64 = 20.0;
/// Least distance of two crosses on one half of a seam, in mm.
const APART_MM: f64 = 25.0;
/// Type size of labels in points.
const LABEL_PT: f64 = 9.0;

/// A cross, in drawing mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cross {
    pub label: String,
    pub at: Point,
    /// The two pages it is on: left and right, or upper and lower.
    pub pages: [(usize, usize); 2],
    /// Along x for pages side by side, along y for pages one above the other.
    across: Vec2,
    half: f64,
}

/// A seam's words for the page that lies on top, in drawing mm.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Hint {
    pub page: (usize, usize),
    text: Text,
}

impl Cross {
    /// Room it takes with its labels on both pages.
    pub fn room(&self) -> Rect {
        room(self.at, self.across, self.half)
    }

    /// Draws the part that is on `page`, in drawing mm.
    pub fn draw(&self, drawing: &mut Drawing, page: (usize, usize)) {
        // The first of the pair lies left or above; `inward` points from the seam into the page.
        let first = page == self.pages[0];
        let inward = if (self.across.x > 0.0) == first { -self.across } else { self.across };
        let along = Vec2::new(self.across.y, self.across.x);
        let (edge, end) = (self.at - inward * self.half, self.at + inward * (self.half + BEYOND_MM));
        drawing.straight(edge, end, Pen::MARK, Layer::Joining);
        drawing.straight(self.at - along * SHORT_MM, self.at + along * SHORT_MM, Pen::MARK, Layer::Joining);
        let landing = self.at + inward * self.half;
        drawing.straight(landing - along * TICK_MM, landing + along * TICK_MM, Pen::MARK_END, Layer::Joining);
        let cap = font::em_mm(LABEL_PT) * font::CAP_EM;
        let (at, anchor) = if self.across.x > 0.0 {
            let anchor = if inward.x < 0.0 { Anchor::End } else { Anchor::Start };
            (end + inward * 1.2 - Vec2::new(0.0, cap / 2.0), anchor)
        } else {
            let down = if inward.y > 0.0 { 1.2 } else { -1.2 - cap };
            (end + Vec2::new(0.0, down), Anchor::Middle)
        };
        drawing.text(words(at, self.label.clone(), anchor, 0.0));
    }
}

impl Hint {
    /// Room it takes.
    pub fn room(&self) -> Rect {
        let [a, b, c, d] = self.text.corners();
        Rect::from_points(a, c).union_pt(b).union_pt(d)
    }

    /// Draws it, in drawing mm.
    pub fn draw(&self, drawing: &mut Drawing) {
        drawing.text(self.text.clone());
    }
}

fn words(at: Point, words: String, anchor: Anchor, angle: f64) -> Text {
    Text { at, words, height_pt: LABEL_PT, angle, anchor, bold: false, layer: Layer::Joining }
}

fn room(at: Point, across: Vec2, half: f64) -> Rect {
    let along = Vec2::new(across.y, across.x);
    let reach = across * (half + BEYOND_MM + LABEL_MM) + along * (SHORT_MM + 0.5);
    Rect::from_points(at - reach, at + reach)
}

/// All crosses, and the hints that have room, seam by seam.
pub(super) fn joins(grid: &Grid, ink: &Ink, first_seam: usize) -> (Vec<Cross>, Vec<Hint>) {
    let (mut crosses, mut hints) = (Vec::new(), Vec::new());
    let mut seam = first_seam;
    for page @ (row, column) in grid.pages.iter().copied() {
        for (next, across) in
            [((row, column + 1), Vec2::new(1.0, 0.0)), ((row + 1, column), Vec2::new(0.0, 1.0))]
        {
            if !grid.pages.contains(&next) {
                continue;
            }
            let (a, b) = (grid.window(page.0, page.1), grid.window(next.0, next.1));
            let strip = a.intersect(b);
            let places = places(strip, across, ink, grid.overlap);
            for (at, letter) in places.into_iter().zip(["a", "b"]) {
                let label = format!("{seam}{letter}");
                crosses.push(Cross { label, at, pages: [page, next], across, half: grid.overlap / 2.0 });
            }
            seam += 1;
            hints.extend(hint(strip, across, ink, page, next, places));
        }
    }
    (crosses, hints)
}

/// Two places in the strip, one in each outer part of its length: the farthest out that are clear of all ink; where a line
/// runs along the whole strip, the farthest out that are clear of words.
fn places(strip: Rect, across: Vec2, ink: &Ink, overlap: f64) -> [Point; 2] {
    let along = Vec2::new(across.y, across.x);
    let length = along.x * strip.width() + along.y * strip.height();
    let inset = overlap + CORNER_MM;
    let middle = strip.center();
    let reach = (length / 2.0 - inset).max(length / 8.0);
    let outer = length / 2.0 - overlap - SHORT_MM;
    let place = |far: f64| middle + along * far;
    let room = |at: Point| room(at, across, overlap / 2.0);
    let steps = |from: f64, to: f64, step: f64| {
        (0..2000).map(move |i| from + step * f64::from(i)).take_while(move |far| (far - to) * step <= 0.0)
    };
    let own_half = [-1.0, 1.0].map(|side| {
        // Inwards first, as marks far apart tell a turn better; then outwards; then closer to the middle.
        let tries = || {
            let near = steps(reach, 0.35 * reach, -4.0);
            near.chain(steps(reach, outer, 2.0))
                .chain(steps(0.35 * reach, 0.1 * reach, -2.0))
                .map(move |far| side * far)
        };
        let clear = tries().find(|far| ink.clear(room(place(*far))));
        clear.or_else(|| tries().find(|far| ink.clear_of_words(room(place(*far)))))
    });
    // A half full of words: as far from the other cross as the other half has room.
    let other_half = |other: f64| {
        steps(-outer, outer, 2.0)
            .filter(|far| (far - other).abs() > APART_MM && ink.clear_of_words(room(place(*far))))
            .max_by(|a, b| (a - other).abs().total_cmp(&(b - other).abs()))
    };
    let [low, high] = match own_half {
        [Some(low), Some(high)] => [low, high],
        [Some(low), None] => [low, other_half(low).unwrap_or(reach)],
        [None, Some(high)] => [other_half(high).unwrap_or(-reach), high],
        [None, None] => [-reach, reach],
    };
    [place(low), place(high)]
}

/// What to do with the page that lies on top (the right or lower one), beside its edge, where that is clear.
fn hint(
    strip: Rect,
    across: Vec2,
    ink: &Ink,
    under: (usize, usize),
    on_top: (usize, usize),
    places: [Point; 2],
) -> Option<Hint> {
    let along = Vec2::new(across.y, across.x);
    let text = format!("trim here, lay on {}", page_name(under.0, under.1));
    let half = font::text_width_mm(&text, LABEL_PT, false) / 2.0 + 2.0;
    let (low, high) = ((places[0] - strip.center()).dot(along), (places[1] - strip.center()).dot(along));
    let (low, high) = (low.min(high) + half + SHORT_MM, low.max(high) - half - SHORT_MM);
    // The trimmed edge is the strip's left edge, or its upper edge; the words stand just inside.
    let edge = if across.x > 0.0 { Vec2::new(strip.x0 + 4.2, 0.0) } else { Vec2::new(0.0, strip.y1 - 4.2) };
    let steps = (0..100).map(|i| f64::from((i + 1) / 2) * if i % 2 == 0 { 4.0 } else { -4.0 });
    let at = steps.filter(|far| (low..=high).contains(far)).find_map(|far| {
        let centre = strip.center().to_vec2();
        let at = (edge + Vec2::new(along.x * centre.x, along.y * centre.y) + along * far).to_point();
        let reach = along * half + across * 4.0;
        ink.clear(Rect::from_points(at - reach, at + reach)).then_some(at)
    })?;
    let angle = if across.x > 0.0 { std::f64::consts::FRAC_PI_2 } else { 0.0 };
    Some(Hint { page: on_top, text: words(at, text, Anchor::Middle, angle) })
}
