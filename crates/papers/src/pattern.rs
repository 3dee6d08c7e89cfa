//! The full-size pattern of one layer of one wall.
//!
//! The box side always lies up, so a pattern is the wall as seen from inside the box, the same way round as the outline on the
//! screen and as every other pattern of the wall. Where an edge leans the other way its words say so ("saw 8.0° outward"): the
//! cut line is still the face one looks at. Edges the job's saw can only make with the hull face up are on a second pattern,
//! which says that it is a mirror image.

use coldwright_export::{Drawing, Layer, PageGrid, Pen, TileOptions, page_grid};
use coldwright_geometry::{Layer as Foam, LayerSet, Outline, Ring};
use coldwright_job::{Along, CutStyle, HollowLayer, Job, PieceId, Plan, Wall, WallPlan};
use kurbo::{Rect, Vec2};

use crate::block::{self, Row};
use crate::edge_words::{EdgeWords, Edges};
use crate::error::PapersError;
use crate::faced;
use crate::faces::{faces, path};
use crate::glyph::{self, Flies};
use crate::matching;
use crate::neighbours::{self, Meeting, Met};
use crate::pages;
use crate::room::{Quad, Room};
use crate::seams::{self, SeamEdge};
use crate::second_face;
use crate::wording::{self, Face};

/// White round the ink of a pattern, mm.
pub(crate) const WHITE_MM: f64 = 4.0;

/// The full-size drawing of one layer as a whole, box side up, in the wall's frame (mm, x right, y up, seen from inside the
/// box), whatever pieces it is cut into.
///
/// On the layer [`Layer::Cut`] is the outline to cut along: for bevelled cuts the box face, with the hull face dashed on
/// [`Layer::OtherFace`]; for square cuts the one outline. [`Layer::Marks`] and [`Layer::Words`] carry the piece's mark, a staff
/// that points up (or forward, on floors and lids) with a pennant that flies to the right, thickness, bevels, neighbours, and
/// match crosses that lie at the same place on every layer. The line of known length on [`Layer::Check`] is added by the
/// writers, below the drawing. Words stand inside the piece on all its faces where they fit, else below it; and clear of the
/// seams of the pages it is printed on, as far as the job's own paper goes.
///
/// # Errors
/// [`PapersError::NoSuchWall`], [`PapersError::NoLayers`], [`PapersError::NoSuchLayer`], [`PapersError::NothingToCut`],
/// [`PapersError::NotFinite`].
pub fn pattern(job: &Job, plan: &WallPlan, layer: usize) -> Result<Drawing, PapersError> {
    let wall = job.wall(plan.id).ok_or(PapersError::NoSuchWall { number: plan.id.0 })?;
    let set = plan.layers.as_deref().ok_or_else(|| PapersError::NoLayers { wall: wall.name.clone() })?;
    let foam = layer_of(set, wall, layer)?;
    let name = wording::wall_name(job, wall);
    let mark = wording::mark(&name, layer, None);
    let crosses = matching::points(set);
    let cut = Cut {
        plan,
        set,
        wall,
        foam,
        name: &name,
        mark: &mark,
        part: None,
        seams: &[],
        meetings: &[],
        crosses,
    };
    Ok(one(job, cut, &pages::options_or_plain(job, job.paper))?.drawing)
}

/// The full-size drawing of one piece of the plan: a layer that is cut into parts gives one for each.
///
/// As [`pattern`] draws it, and at each seam the part it joins, with marks that carry the same name at the same place on both
/// parts; where half the thickness overlaps, which half comes off and up to which line.
///
/// # Errors
/// Those of [`pattern`], and [`PapersError::NoSuchPiece`].
pub fn piece_pattern(job: &Job, plan: &Plan, piece: PieceId) -> Result<Drawing, PapersError> {
    of_piece(job, plan, piece, |cut, paper| Ok(one(job, cut, paper)?.drawing))?
}

/// The second pattern of a piece, mirrored on purpose, for the edges that the job's saw makes only with the hull face up; `None`
/// where it makes every edge with the box side up.
///
/// # Errors
/// Those of [`piece_pattern`].
pub fn second_pattern(job: &Job, plan: &Plan, piece: PieceId) -> Result<Option<Drawing>, PapersError> {
    of_piece(job, plan, piece, |cut, paper| second_face::pattern(job, cut, paper).map(|piece| piece.drawing))
}

/// Whether a piece has a second pattern.
pub fn has_second_pattern(job: &Job, plan: &Plan, piece: PieceId) -> bool {
    let wall = job.wall(piece.wall).zip(plan.piece(piece));
    wall.is_some_and(|(wall, planned)| !second_face::edges(job, wall, &planned.layer).is_empty())
}

/// Gathers what a piece's patterns follow from.
fn of_piece<T>(
    job: &Job,
    plan: &Plan,
    piece: PieceId,
    draw: impl FnOnce(Cut<'_>, &TileOptions) -> T,
) -> Result<T, PapersError> {
    let wall = job.wall(piece.wall).ok_or(PapersError::NoSuchWall { number: piece.wall.0 })?;
    let no_layers = || PapersError::NoLayers { wall: wall.name.clone() };
    let of_wall = plan.wall(piece.wall).ok_or_else(no_layers)?;
    let set = of_wall.layers.as_deref().ok_or_else(no_layers)?;
    let whole = layer_of(set, wall, piece.layer as usize)?;
    let name = wording::wall_name(job, wall);
    let planned = plan.piece(piece).ok_or_else(|| PapersError::NoSuchPiece {
        mark: wording::mark(&name, whole.number, Some(piece.part as usize)),
    })?;
    let mark = wording::piece_mark(&name, planned);
    let seams = seams::of_layer(job, plan, wall, whole);
    let cut = Cut {
        plan: of_wall,
        set,
        wall,
        foam: &planned.layer,
        name: &name,
        mark: &mark,
        part: Some((piece.part as usize, planned.parts)),
        seams: seams.get(piece.part as usize).map_or(&[], Vec::as_slice),
        meetings: &neighbours::meetings(job, plan, wall, whole.number),
        crosses: matching::points(set),
    };
    Ok(draw(cut, &pages::options_or_plain(job, job.paper)))
}

fn layer_of<'a>(set: &'a LayerSet, wall: &Wall, layer: usize) -> Result<&'a Foam, PapersError> {
    let found = set.layers.iter().find(|foam| foam.number == layer);
    found.ok_or_else(|| PapersError::NoSuchLayer { wall: wall.name.clone(), layer, has: set.layers.len() })
}

/// A pattern and the pages its words keep to.
#[derive(Debug, Clone)]
pub(crate) struct Piece {
    pub(crate) drawing: Drawing,
    /// `None` where the pages could not be laid out; what is wrong is said when they are made.
    pub(crate) grid: Option<PageGrid>,
}

/// What is drawn, and what its words follow from.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Cut<'a> {
    pub(crate) plan: &'a WallPlan,
    pub(crate) set: &'a LayerSet,
    pub(crate) wall: &'a Wall,
    /// The layer, or the part of it.
    pub(crate) foam: &'a Foam,
    /// The wall's name as it can be written.
    pub(crate) name: &'a str,
    pub(crate) mark: &'a str,
    /// Which part of how many; `None` for a layer as a whole.
    pub(crate) part: Option<(usize, usize)>,
    pub(crate) seams: &'a [SeamEdge],
    /// Other walls' pieces at its edges.
    pub(crate) meetings: &'a [Meeting],
    /// The match crosses of the wall.
    pub(crate) crosses: Option<[kurbo::Point; 2]>,
}

/// A pattern on the pages of this paper.
pub(crate) fn one(job: &Job, cut: Cut<'_>, paper: &TileOptions) -> Result<Piece, PapersError> {
    let Cut { wall, foam, mark, .. } = cut;
    check(foam, mark)?;
    let lines = faces(foam, wall.cut);
    if lines.up.is_empty() {
        return Err(PapersError::NothingToCut { mark: mark.to_owned() });
    }

    let mut bare = Drawing::new(mark, Rect::ZERO);
    for ring in lines.down.into_iter().flatten() {
        bare.line(path(ring), Pen::OTHER_FACE, Layer::OtherFace);
    }
    let up = cut.up();
    for ring in &up {
        bare.line(path(ring), Pen::CUT, Layer::Cut);
    }
    for edge in cut.seams {
        edge.lines(&mut bare, wall.cut, &up);
    }
    kerfs(&mut bare, &cut, &up);
    let ink = bare.ink().unwrap_or(Rect::ZERO);
    bare.bounds = ink.inflate(WHITE_MM, WHITE_MM);

    let grid = page_grid(&bare, paper).ok();
    let drawing = cut.worded(job, bare.clone(), grid.as_ref());
    if grid.is_none() || drawing.ink().is_none_or(|all| ink.inflate(0.1, 0.1).contains_rect(all)) {
        return Ok(Piece { drawing, grid });
    }
    // Words beside the piece need paper too: the pages are laid out for them, and the words placed again.
    let grid = page_grid(&drawing, paper).ok();
    Ok(Piece { drawing: cut.worded(job, bare, grid.as_ref()), grid })
}

/// A line along each kerf of a layer that is bent over a hollow.
fn kerfs(drawing: &mut Drawing, cut: &Cut<'_>, up: &[Ring]) {
    let Some(hollow) = cut.plan.hollow.as_deref() else { return };
    let across = hollow.along == Along::Across;
    for at in hollow.kerfs(cut.foam.number) {
        let mut hits: Vec<f64> = Vec::new();
        for ring in up.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)) {
            for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
                let ((a0, a1), (b0, b1)) =
                    if across { ((a.y, a.x), (b.y, b.x)) } else { ((a.x, a.y), (b.x, b.y)) };
                if (a1 > *at) != (b1 > *at) {
                    hits.push(a0 + (b0 - a0) * (at - a1) / (b1 - a1));
                }
            }
        }
        hits.sort_by(f64::total_cmp);
        for span in hits.chunks_exact(2) {
            let put = |v: f64| if across { kurbo::Point::new(*at, v) } else { kurbo::Point::new(v, *at) };
            drawing.straight(put(span[0]), put(span[1]), Pen::MARK, Layer::Marks);
        }
    }
}

impl Cut<'_> {
    /// The rings to cut through along, box side up.
    pub(crate) fn up(&self) -> Vec<Ring> {
        seams::through(faces(self.foam, self.wall.cut).up, self.seams, self.wall.cut)
    }

    /// The drawing of the lines with words and marks added, clear of the seams of the pages.
    fn worded(&self, job: &Job, mut drawing: Drawing, grid: Option<&PageGrid>) -> Drawing {
        let Cut { plan, wall, foam, .. } = *self;
        let lines = faces(foam, wall.cut);
        let up = self.up();
        let both: Vec<&[Ring]> = std::iter::once(up.as_slice()).chain(lines.down).collect();
        let mut room = Room::new(&both).on_pages(grid);
        let named = self.crosses.into_iter().flatten().zip(["A", "B"]);
        let crosses: Vec<(kurbo::Point, &str)> = named
            .filter(|(at, _)| {
                let quad = Quad::new(*at, 2.0 * glyph::CROSS_MM, 2.0 * glyph::CROSS_MM, 0.0);
                // A cross is smaller than the overlap of two pages, so it is whole on one of them anyway.
                room.across_seams(|room| room.inside(quad))
            })
            .collect();
        for (at, letter) in &crosses {
            glyph::match_cross(&mut drawing, *at, letter);
            room.take(Quad::new(*at, 2.0 * glyph::CROSS_MM + 1.0, 2.0 * glyph::CROSS_MM + 1.0, 0.0));
        }
        for edge in self.seams {
            edge.write(&mut drawing, &mut room, self);
        }
        let outline = plan.outline.as_deref();
        let sides = &faced::sides(foam);
        let on = |outline| self.meetings.iter().map(|m| m.on(outline, (foam, sides), &up)).collect();
        let meetings: Vec<Met> = outline.map_or_else(Vec::new, on);
        for met in &meetings {
            met.write(&mut drawing, &mut room);
        }

        let many = self.part.is_none() && up.len() > 1;
        for (part, ring) in up.iter().enumerate() {
            let lettered = wording::mark(self.name, foam.number, Some(part));
            let said = Said {
                mark: if many { &lettered } else { self.mark },
                two_lines: lines.down.is_some(),
                crosses: &crosses.iter().map(|(_, letter)| *letter).collect::<Vec<_>>(),
                first: part == 0,
            };
            let rows = self.rows(job, said);
            block::set(&mut drawing, &mut room, ring, &rows);
        }

        if let Some(outline) = outline {
            let cut = if lines.down.is_some() { Edges::Bevelled(Face::Box) } else { Edges::Square };
            let elsewhere = &second_face::edges(job, wall, foam);
            let base = base_edge(wall, outline);
            let words = EdgeWords {
                outline,
                foam,
                sides,
                base,
                cut,
                elsewhere,
                meetings: &meetings,
                mirrored: false,
            };
            words.write(&mut drawing, &mut room);
        }
        // The staff has the most freedom, so it comes last.
        for ring in &up {
            staff(&mut drawing, &mut room, ring, wall.stands.arrow_word(), Flies::Right);
        }
        drawing.bounds = drawing.ink().unwrap_or(room.bounds).inflate(WHITE_MM, WHITE_MM);
        drawing
    }
}

/// The edge that is the bottom, or the after edge of a floor or lid: the one chosen, else the first.
pub(crate) fn base_edge(wall: &Wall, outline: &Outline) -> Option<u32> {
    wall.template.base.map(|b| b.0).or_else(|| outline.sides().first().map(|s| s.edge.id))
}

/// Nothing that is no number reaches paper.
fn check(foam: &Foam, mark: &str) -> Result<(), PapersError> {
    let numbers = [
        ("the depth", foam.from),
        ("the depth", foam.to),
        ("the area", foam.area_outer),
        ("the area", foam.area_inner),
        ("the volume", foam.volume),
        ("the wedge", foam.wedge),
        ("the trim", foam.excess),
        ("the largest gap", foam.largest_gap),
        ("the steepest bevel", foam.steepest_bevel),
    ];
    match numbers.into_iter().find(|(_, value)| !value.is_finite()) {
        Some((what, _)) => Err(PapersError::NotFinite { mark: mark.to_owned(), what }),
        None => Ok(()),
    }
}

/// What the rows of a part depend on besides its layer.
#[derive(Debug, Clone, Copy)]
struct Said<'a> {
    mark: &'a str,
    two_lines: bool,
    crosses: &'a [&'a str],
    first: bool,
}

impl Cut<'_> {
    fn rows(&self, job: &Job, said: Said<'_>) -> Vec<Row> {
        let Cut { set, wall, foam, name, .. } = *self;
        let layer = foam.number;
        let count = set.layers.len();
        let material = wall.material(layer);
        let thickness = job.show_mm(foam.to - foam.from);
        let mut rows = vec![
            Row::new(said.mark, 24.0, true),
            Row::new(format!("this face up: {}", Face::Box.side()), 12.0, true),
            Row::new(format!("{thickness} {material}").trim_end(), 12.0, false),
        ];
        if !said.first {
            return rows;
        }
        let small = |words: String| Row::new(words, 10.0, false);
        let neighbour = |number: usize, beyond: &str| match number {
            0 => beyond.to_owned(),
            n if n > count => beyond.to_owned(),
            n => wording::mark(name, n, None),
        };
        let (towards_hull, towards_box) =
            (neighbour(layer - 1, "the hull"), neighbour(layer + 1, "inside of the box"));
        if let Some((part, parts)) = self.part.filter(|(_, parts)| *parts > 1) {
            let joins = seams::joined(self.seams);
            let joins = if joins.is_empty() { String::new() } else { format!("; joins {joins}") };
            rows.push(small(format!("part {} of {parts}{joins}", wording::part_letters(part))));
        }
        rows.push(small(format!("layer {layer} of {count}; below it {towards_hull}, on it {towards_box}")));
        rows.push(small(match (wall.cut, said.two_lines) {
            (CutStyle::Bevelled, true) => "cut the solid line, box face; dashed is the hull face".to_owned(),
            (CutStyle::Bevelled, false) => "all edges square".to_owned(),
            (CutStyle::SquareFits, _) => {
                format!("edges square, fits; fill gaps up to {}", job.show_mm(foam.largest_gap))
            }
            (CutStyle::SquareFills, _) => "edges square, too large on purpose; trim to fit".to_owned(),
        }));
        rows.extend(self.over_hollow(job).map(&small));
        match said.crosses {
            [] => {}
            [one] => rows.push(small(format!("cross {one} lies over {one} of every layer"))),
            _ => rows.push(small("crosses A and B lie over A and B of every layer".to_owned())),
        }
        let turned = second_face::edges(job, wall, foam);
        if !turned.is_empty() && said.two_lines {
            let which = if second_face::all_of(foam, &turned) { "every edge is" } else { "some edges are" };
            rows.push(small(format!("{which} sawn hull face up, by the second pattern")));
        }
        rows.push(small("right way round when the pennant flies to the right".to_owned()));
        rows.push(small("dust mask, eye protection, saw guard on".to_owned()));
        rows
    }
}

impl Cut<'_> {
    /// What the piece is over a hollow: a strip with its joints, or a sheet that bends on kerfs.
    fn over_hollow(&self, job: &Job) -> Option<String> {
        let hollow = self.plan.hollow.as_deref()?;
        match hollow.layers.get(self.foam.number.checked_sub(1)?)? {
            HollowLayer::Kerfs { depth, width, spacing, at, .. } => Some(format!(
                "thin lines are {} kerfs on this side, {} wide, {} deep, {} apart",
                at.len(),
                job.show_mm(*width),
                job.show_mm(*depth),
                job.show_mm(*spacing)
            )),
            HollowLayer::Strips { strips, .. } => {
                let middle = self.foam.outer.rings.first()?.bounds().center();
                let strip = hollow.strip_at(self.foam.number, middle)?;
                let gap = job.show_mm(strip.gap);
                Some(format!(
                    "strip {} of {} over the hollow; up to {gap} stays behind it",
                    strip.number,
                    strips.len()
                ))
            }
        }
    }
}

/// The staff with its pennant, as large as fits, near the left of the part; below the piece where it fits nowhere.
pub(crate) fn staff(drawing: &mut Drawing, room: &mut Room, part: &Ring, word: &str, flies: Flies) {
    let bounds = part.bounds();
    let near = bounds.center() - Vec2::new(bounds.width() / 3.0, 0.0);
    for scale in [1.0, 0.7, 0.5] {
        let size = glyph::staff_size(word, scale);
        if let Some(quad) = room.nearest(size, near, part) {
            glyph::staff(drawing, quad, word, scale, flies);
            room.take(quad);
            return;
        }
    }
    let size = glyph::staff_size(word, 0.5);
    let across = room.across_seams(|room| room.nearest(size, near, part));
    let quad = across.unwrap_or_else(|| room.below(size));
    glyph::staff(drawing, quad, word, 0.5, flies);
    room.take(quad);
}
