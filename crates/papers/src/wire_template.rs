//! Pairs of end templates for a hot wire: one on each face of the foam, with the same numbers, so that two people who call the
//! numbers cut the bevel in one pass.

use coldwright_export::{Anchor, Drawing, Layer, PageGrid, Pen, Text, TileOptions, font, page_grid};
use coldwright_geometry::{Layer as Foam, Ring};
use coldwright_job::{Job, PlannedPiece};
use kurbo::{Affine, Point, Rect, Vec2};

use crate::block::{self, Row};
use crate::faces::path;
use crate::glyph::{self, Flies};
use crate::make::Walled;
use crate::pattern::Piece;
use crate::room::{Quad, Room};
use crate::seams::SeamEdge;
use crate::wire::{Wired, wired};
use crate::wording::{self, Face};

/// Length of the run the wire warms up on before the first number, mm.
const LEAD_MM: f64 = 30.0;
/// Length of a number's mark, mm.
const MARK_MM: f64 = 5.0;
const PT: f64 = 10.0;

/// Both templates of a layer, the box side's first. The hull side's is the mirror image, as it is seen from the hull.
pub(crate) fn pair(
    job: &Job,
    w: &Walled<'_>,
    piece: &PlannedPiece,
    seams: &[SeamEdge],
    crosses: Option<[Point; 2]>,
    paper: &TileOptions,
) -> Option<[Piece; 2]> {
    let Wired::Pair(ends, along) = wired(w, piece, seams) else { return None };
    let mark = wording::piece_mark(&wording::wall_name(job, w.wall), piece);
    let foam: &Foam = &piece.layer;
    let one = |face: Face| {
        let flip = match face {
            Face::Box => Affine::IDENTITY,
            Face::Hull => Affine::FLIP_X,
        };
        let rings = match face {
            Face::Box => &foam.inner.rings,
            Face::Hull => &foam.outer.rings,
        };
        let rings: Vec<Ring> = rings.iter().map(|ring| flipped(ring, flip)).collect();
        let turned = |v: Vec2| (flip * v.to_point()).to_vec2();
        let at: Vec<(Point, Vec2)> = ends
            .iter()
            .map(|e| (flip * if face == Face::Box { e.boxed } else { e.hull }, turned(e.outward)))
            .collect();
        let crosses = crosses.map(|both| both.map(|p| flip * p));
        Template { job, w, foam, mark: &mark, face, rings, at, along: turned(along), crosses }.drawn(paper)
    };
    Some([one(Face::Box), one(Face::Hull)])
}

pub(crate) fn flipped(ring: &Ring, flip: Affine) -> Ring {
    let moved = |points: &Vec<Point>| points.iter().map(|p| flip * *p).collect();
    Ring { outer: moved(&ring.outer), holes: ring.holes.iter().map(moved).collect() }
}

/// One template of a pair, in the frame it is seen in.
struct Template<'a> {
    job: &'a Job,
    w: &'a Walled<'a>,
    foam: &'a Foam,
    mark: &'a str,
    face: Face,
    rings: Vec<Ring>,
    at: Vec<(Point, Vec2)>,
    along: Vec2,
    crosses: Option<[Point; 2]>,
}

impl Template<'_> {
    fn drawn(&self, paper: &TileOptions) -> Piece {
        let mark = self.mark;
        let mut bare = Drawing::new(format!("{mark}, wire, {}", self.face.side()), Rect::ZERO);
        for ring in &self.rings {
            bare.line(path(ring), Pen::CUT, Layer::Cut);
        }
        if let Some((start, _)) = self.at.first() {
            let from = *start - self.along * LEAD_MM;
            bare.straight(from, *start, Pen::MARK_END, Layer::Marks);
        }
        bare.bounds = bare.ink().unwrap_or(Rect::ZERO).inflate(4.0, 4.0);
        let grid = page_grid(&bare, paper).ok();
        let drawing = self.worded(bare, mark, grid.as_ref());
        Piece { drawing, grid }
    }

    fn worded(&self, mut drawing: Drawing, mark: &str, grid: Option<&PageGrid>) -> Drawing {
        let mut room = Room::new(&[&self.rings]).on_pages(grid);
        let mut letters = Vec::new();
        for (at, letter) in self.crosses.into_iter().flatten().zip(["A", "B"]) {
            // A part has the crosses that lie in it.
            let quad = Quad::new(at, 2.0 * glyph::CROSS_MM, 2.0 * glyph::CROSS_MM, 0.0);
            if !room.across_seams(|room| room.inside(quad)) {
                continue;
            }
            glyph::match_cross(&mut drawing, at, letter);
            room.take(Quad::new(at, 2.0 * glyph::CROSS_MM + 1.0, 2.0 * glyph::CROSS_MM + 1.0, 0.0));
            letters.push(letter);
        }
        for (i, (at, outward)) in self.at.iter().enumerate() {
            drawing.straight(*at, *at - *outward * MARK_MM, Pen::MARK, Layer::Marks);
            number(&mut drawing, &mut room, *at, *outward, &(i + 1).to_string());
        }
        if let Some((start, outward)) = self.at.first() {
            let from = *start - self.along * LEAD_MM;
            let out = Vec2::new(self.along.y, -self.along.x);
            let out = if out.dot(*outward) < 0.0 { -out } else { out };
            drawing.straight(from - out * 2.0, from + out * 2.0, Pen::MARK_END, Layer::Marks);
            words_beside(&mut drawing, &mut room, from, -self.along, "0, lead in");
        }
        let (lies, other) = match self.face {
            Face::Box => ("box", "hull"),
            Face::Hull => ("hull", "box"),
        };
        let small = |words: String| Row::new(words, 10.0, false);
        let thickness = self.job.show_mm(self.foam.to - self.foam.from);
        let mut rows = vec![
            Row::new(mark, 24.0, true),
            Row::new(format!("hot wire, {lies} side, seen from the {lies}"), 12.0, true),
            small(format!("for foam {thickness} thick; its pair lies on the {other} side")),
        ];
        match letters.as_slice() {
            [] => rows.push(small("lay 1 over 1, square through the foam".to_owned())),
            [one] => rows.push(small(format!("pin both through {one}, square to the foam; lay 1 over 1"))),
            _ => rows.push(small("pin both through A and B, square to the foam".to_owned())),
        }
        rows.push(small(format!("start at 0, call 1 to {} and 1 again together", self.at.len())));
        rows.push(small(match self.face {
            Face::Box => "the pennant flies to the right".to_owned(),
            Face::Hull => "mirror image on purpose: the pennant flies to the left".to_owned(),
        }));
        rows.push(small("polystyrene only; moving air, gloves, never leave it on".to_owned()));
        for ring in &self.rings {
            block::set(&mut drawing, &mut room, ring, &rows);
            let word = self.w.wall.stands.arrow_word();
            let flies = if self.face == Face::Box { Flies::Right } else { Flies::Left };
            crate::pattern::staff(&mut drawing, &mut room, ring, word, flies);
        }
        drawing.bounds = drawing.ink().unwrap_or(room.bounds).inflate(4.0, 4.0);
        drawing
    }
}

/// A number just inside the line, else just outside of it.
fn number(drawing: &mut Drawing, room: &mut Room, at: Point, outward: Vec2, words: &str) {
    let (width, height) = (font::text_width_mm(words, PT, true), font::em_mm(PT) * font::CAP_EM);
    let reach = outward.x.abs() * width / 2.0 + outward.y.abs() * height / 2.0;
    let quad =
        |off: f64, aside: f64| Quad::new(at + outward * off + outward.turn_90() * aside, width, height, 0.0);
    // Deeper, then to either side of the mark: outside of the line a number is cut away with the waste.
    let inside = |room: &Room| {
        let asides = [0.0, 4.0, -4.0, 7.0, -7.0];
        let depths = (0..5).map(|i| -(MARK_MM + reach + 1.2) - 2.0 * f64::from(i));
        let mut places = asides.into_iter().flat_map(|aside| depths.clone().map(move |off| quad(off, aside)));
        places.find(|q| room.inside(*q))
    };
    let outside =
        |room: &Room| (0..6).map(|i| quad(reach + 2.5 + 2.0 * f64::from(i), 0.0)).find(|q| room.outside(*q));
    let place = inside(room)
        .or_else(|| room.across_seams(|room| inside(room)))
        .or_else(|| outside(room))
        .or_else(|| room.across_seams(|room| outside(room)));
    // Nowhere free: over the mark's foot, as a number must not be missing.
    let quad = place.unwrap_or_else(|| quad(-(MARK_MM + reach + 1.2), 0.0));
    write(drawing, quad, words, true);
    room.take(quad);
}

fn words_beside(drawing: &mut Drawing, room: &mut Room, at: Point, away: Vec2, words: &str) {
    let (width, height) = (font::text_width_mm(words, PT, false), font::em_mm(PT) * font::CAP_EM);
    let reach = away.x.abs() * width / 2.0 + away.y.abs() * height / 2.0;
    let side = away.turn_90() * (width / 2.0 + 2.5) * away.y.abs()
        + away.turn_90() * (height / 2.0 + 2.5) * away.x.abs();
    let places = [at + away * (reach + 2.0), at - away * reach + side, at - away * reach - side];
    let quad = |p: Point| Quad::new(p, width, height, 0.0);
    let free = places.into_iter().map(quad).find(|q| room.outside(*q));
    let quad = free.unwrap_or_else(|| quad(places[0]));
    write(drawing, quad, words, false);
    room.take(quad);
}

fn write(drawing: &mut Drawing, quad: Quad, words: &str, bold: bool) {
    drawing.text(Text {
        at: quad.middle - Vec2::new(0.0, quad.half.y),
        words: words.to_owned(),
        height_pt: PT,
        angle: 0.0,
        anchor: Anchor::Middle,
        bold,
        layer: Layer::Words,
    });
}
