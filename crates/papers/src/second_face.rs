//! The second pattern of a piece, for edges that the job's saw makes only with the hull face up.
//!
//! A saw's table tilts far one way and little the other, so an edge that leans too much to be cut with the box side up may be
//! cut with the piece turned over. What lies up then is the hull face, seen from the hull: a mirror image, on purpose, and the
//! pattern says so in words, by its pennant and by its title. Both crosses, pricked through the foam, bring it to its place.

use coldwright_export::{Drawing, Layer, PageGrid, Pen, TileOptions, page_grid};
use coldwright_geometry::{Layer as Foam, Ring, Saw, SawLimit};
use coldwright_job::{CutStyle, Job, Wall};
use kurbo::{Affine, Point, Rect};

use crate::block::{self, Row};
use crate::edge_words::{EdgeWords, Edges};
use crate::faced;
use crate::faces::{faces, path};
use crate::glyph::{self, Flies};
use crate::pattern::{Cut, Piece, WHITE_MM, base_edge, staff};
use crate::room::{Quad, Room};
use crate::wire_template::flipped;
use crate::wording::{self, Face};

/// Ids of the edges of a bevelled piece that the saw cannot make with the box side up and can with the hull face up.
pub(crate) fn edges(job: &Job, wall: &Wall, foam: &Foam) -> Vec<u32> {
    if wall.cut != CutStyle::Bevelled {
        return Vec::new();
    }
    let cutting = &job.cutting;
    let (far, back) = (f64::from(cutting.tilt.0).to_radians(), f64::from(cutting.tilt.1).to_radians());
    let throat = cutting.throat.map_or(f64::INFINITY, coldwright_geometry::Length::mm);
    let saw = |tilt, tilt_back| Saw { tilt, tilt_back, throat, blade: cutting.blade.mm() };
    let too_steep = |limits: Vec<SawLimit>| -> Vec<u32> {
        let edge = |limit: SawLimit| if let SawLimit::Tilt { edge, .. } = limit { Some(edge) } else { None };
        limits.into_iter().filter_map(edge).collect()
    };
    // The sums take the hull face to be up; with the box side up the two ways to tilt change places.
    let hull_up = too_steep(saw(far, back).limits(foam));
    let mut out = too_steep(saw(back, far).limits(foam));
    out.retain(|edge| !hull_up.contains(edge));
    out.sort_unstable();
    out.dedup();
    out
}

/// Whether a piece has no edges but these.
pub(crate) fn all_of(foam: &Foam, edges: &[u32]) -> bool {
    foam.bevels.iter().all(|mark| edges.contains(&mark.edge))
}

/// The mirrored pattern on its pages; `None` where the saw makes every edge with the box side up.
pub(crate) fn pattern(job: &Job, cut: Cut<'_>, paper: &TileOptions) -> Option<Piece> {
    let here = edges(job, cut.wall, cut.foam);
    let lines = faces(cut.foam, cut.wall.cut);
    let hull = lines.down.filter(|_| !here.is_empty())?;
    let mirrored = |rings: &[Ring]| rings.iter().map(|ring| flipped(ring, Affine::FLIP_X)).collect();
    let turned = Turned { cut, here, up: mirrored(hull), down: mirrored(lines.up) };
    let mut bare = Drawing::new(format!("{}, hull face, mirror image", cut.mark), Rect::ZERO);
    for ring in &turned.down {
        bare.line(path(ring), Pen::OTHER_FACE, Layer::OtherFace);
    }
    for ring in &turned.up {
        bare.line(path(ring), Pen::CUT, Layer::Cut);
    }
    bare.bounds = bare.ink().unwrap_or(Rect::ZERO).inflate(WHITE_MM, WHITE_MM);
    let grid = page_grid(&bare, paper).ok();
    let drawing = turned.worded(bare.clone(), grid.as_ref());
    // Words beside the piece need paper too.
    let grid = page_grid(&drawing, paper).ok();
    Some(Piece { drawing: turned.worded(bare, grid.as_ref()), grid })
}

/// A piece as seen from the hull.
#[derive(Debug)]
struct Turned<'a> {
    cut: Cut<'a>,
    /// Edges cut by this pattern.
    here: Vec<u32>,
    up: Vec<Ring>,
    down: Vec<Ring>,
}

impl Turned<'_> {
    fn worded(&self, mut drawing: Drawing, grid: Option<&PageGrid>) -> Drawing {
        let Cut { plan, wall, foam, mark, crosses, .. } = self.cut;
        let mut room = Room::new(&[&self.up, &self.down]).on_pages(grid);
        let mut letters = Vec::new();
        for (at, letter) in crosses.into_iter().flatten().zip(["A", "B"]) {
            let at = Point::new(-at.x, at.y);
            let quad = Quad::new(at, 2.0 * glyph::CROSS_MM, 2.0 * glyph::CROSS_MM, 0.0);
            if !room.across_seams(|room| room.inside(quad)) {
                continue;
            }
            glyph::match_cross(&mut drawing, at, letter);
            room.take(Quad::new(at, 2.0 * glyph::CROSS_MM + 1.0, 2.0 * glyph::CROSS_MM + 1.0, 0.0));
            letters.push(letter);
        }
        let outline = plan.outline.as_deref();
        let sides = || outline.into_iter().flat_map(coldwright_geometry::Outline::sides);
        let names: Vec<String> = sides()
            .filter(|side| self.here.contains(&side.edge.id))
            .map(|side| wording::readable(&side.edge.name, "edge"))
            .collect();
        let all_here = all_of(foam, &self.here);
        let small = |words: String| Row::new(words, 10.0, false);
        let mut rows =
            vec![Row::new(mark, 24.0, true), Row::new("hull face up, mirrored on purpose", 12.0, true)];
        if all_here {
            rows.push(small("second pattern, for every edge".to_owned()));
        } else {
            rows.push(small(format!("second pattern, for {} only", names.join(", "))));
            rows.push(small("saw all other edges first, box side up".to_owned()));
        }
        rows.push(small(match letters.as_slice() {
            [] => "turn the foam over and lay this to its sawn edges".to_owned(),
            [one] => format!("prick {one} square through, turn the foam over, lay {one} on {one}"),
            _ => "prick A and B square through, turn the foam over, lay A on A, B on B".to_owned(),
        }));
        rows.push(small("cut the solid line, hull face; dashed is the box face".to_owned()));
        rows.push(small("the pennant flies to the left".to_owned()));
        rows.push(small("dust mask, eye protection, saw guard on".to_owned()));
        for ring in &self.up {
            block::set(&mut drawing, &mut room, ring, &rows);
        }
        if let Some(outline) = outline {
            let elsewhere: Vec<u32> =
                sides().map(|side| side.edge.id).filter(|id| !self.here.contains(id)).collect();
            let words = EdgeWords {
                outline,
                foam,
                sides: &faced::sides(foam),
                base: base_edge(wall, outline),
                cut: Edges::Bevelled(Face::Hull),
                elsewhere: &elsewhere,
                meetings: &[],
                mirrored: true,
            };
            words.write(&mut drawing, &mut room);
        }
        for ring in &self.up {
            staff(&mut drawing, &mut room, ring, wall.stands.arrow_word(), Flies::Left);
        }
        drawing.bounds = drawing.ink().unwrap_or(room.bounds).inflate(WHITE_MM, WHITE_MM);
        drawing
    }
}
