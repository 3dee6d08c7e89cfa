//! Sheets in use as papers number them, and the drawings to cut them by.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text};
use coldwright_geometry::{Ring, bounds};
use coldwright_job::{
    BreakDown, Enough, Job, LaidOut, PieceId, Plan, PlannedPiece, SheetShape, StockSheet, enough,
};
use kurbo::{Affine, BezPath, Point, Rect};

use crate::block::{self, Row};
use crate::faces::{faces, path};
use crate::make::Walled;
use crate::room::Room;
use crate::seams::{self, SeamEdge};
use crate::wording::{self, Face};

/// White round a sheet's drawing, mm.
const WHITE_MM: f64 = 10.0;

/// The sheets of a layout that can be cut from, in the order of the job's stock.
#[derive(Debug, Clone)]
pub(crate) struct SheetsUsed<'a> {
    plan: &'a Plan,
    laid: &'a LaidOut,
    /// Which of the layout's sheets is sheet 1, 2, …
    order: Vec<usize>,
}

/// A piece on a sheet.
#[derive(Debug, Clone)]
pub(crate) struct Lying<'a> {
    pub(crate) w: Walled<'a>,
    pub(crate) piece: &'a PlannedPiece,
    pub(crate) mark: String,
    seams: Vec<SeamEdge>,
    /// From the wall's frame to the sheet's.
    pub(crate) place: Affine,
}

impl<'a> SheetsUsed<'a> {
    /// `None` where nothing is laid out, or the layout no longer holds.
    pub(crate) fn of(plan: &'a Plan) -> Option<SheetsUsed<'a>> {
        let laid = plan.laid.as_deref().filter(|laid| laid.is_sound() && !laid.layout.sheets.is_empty())?;
        let sheets = &laid.layout.sheets;
        let mut order: Vec<usize> = (0..sheets.len()).collect();
        order.sort_by_key(|i| sheets.get(*i).map(|s| (s.stock, s.nth)));
        Some(SheetsUsed { plan, laid, order })
    }

    /// How many sheets are in use.
    pub(crate) fn count(&self) -> usize {
        self.order.len()
    }

    /// The number of the sheet a piece lies on, from 1.
    pub(crate) fn number_of(&self, piece: PieceId) -> Option<usize> {
        let at = self.laid.asked.ids.iter().position(|id| *id == piece)?;
        let on = self.laid.layout.placements.iter().find(|p| p.piece == at)?.sheet;
        self.order.iter().position(|sheet| *sheet == on).map(|i| i + 1)
    }

    /// The kind of sheet `number` is, and which one of that kind, from 1, where there are several in use.
    pub(crate) fn stock<'j>(&self, job: &'j Job, number: usize) -> Option<(&'j StockSheet, Option<u32>)> {
        let used = self.laid.layout.sheets.get(*self.order.get(number.checked_sub(1)?)?)?;
        let alike = self.laid.layout.sheets.iter().filter(|s| s.stock == used.stock).count();
        let stock = job.stock.get(used.stock)?;
        Some((stock, (alike > 1 || stock.owned.is_some_and(|n| n > 1)).then_some(used.nth + 1)))
    }

    /// The sheet's outline, mm in its own frame.
    pub(crate) fn outline(&self, number: usize) -> &[Point] {
        let sheet = number.checked_sub(1).and_then(|i| self.order.get(i));
        let used = sheet.and_then(|s| self.laid.layout.sheets.get(*s));
        let stock = used.and_then(|used| self.laid.asked.request.stock.get(used.stock));
        stock.map_or(&[], |stock| stock.outline.as_slice())
    }

    /// The largest rectangle left whole on it.
    pub(crate) fn offcut(&self, number: usize) -> Option<Rect> {
        let sheet = self.order.get(number.checked_sub(1)?)?;
        self.laid.offcuts.iter().find(|o| o.sheet == *sheet).map(|o| o.rect)
    }

    /// How it comes to the saw.
    pub(crate) fn break_down(&self, number: usize) -> Option<&BreakDown> {
        self.laid.break_downs.get(*self.order.get(number.checked_sub(1)?)?)
    }

    /// For each material and thickness: enough, what to buy, or short by how many.
    pub(crate) fn answers(&self, job: &Job) -> Vec<Enough> {
        enough(job, self.laid)
    }

    /// The pieces on a sheet, in the order of the plan.
    pub(crate) fn lying(&self, job: &Job, walls: &[Walled<'a>], number: usize) -> Vec<Lying<'a>> {
        let Some(sheet) = number.checked_sub(1).and_then(|i| self.order.get(i)) else { return Vec::new() };
        let placed = self.laid.layout.placements.iter().filter(|p| p.sheet == *sheet);
        let lying = placed.filter_map(|p| {
            let id = self.laid.asked.ids.get(p.piece)?;
            let w = walls.iter().find(|w| w.wall.id == id.wall)?;
            let piece = w.pieces.iter().find(|piece| piece.id == *id)?;
            let (x, y) = (p.apply(Point::new(1.0, 0.0)) - p.at, p.apply(Point::new(0.0, 1.0)) - p.at);
            let whole = w.set.layers.iter().find(|l| l.number == id.layer as usize);
            let whole = whole.filter(|_| piece.parts > 1);
            let seams = whole.map(|whole| seams::of_layer(job, self.plan, w.wall, whole)).unwrap_or_default();
            Some(Lying {
                w: *w,
                piece,
                seams: seams.into_iter().nth(id.part as usize).unwrap_or_default(),
                mark: wording::piece_mark(&wording::wall_name(job, w.wall), piece),
                place: Affine::new([x.x, x.y, y.x, y.y, p.at.x, p.at.y]),
            })
        });
        lying.collect()
    }
}

impl Lying<'_> {
    /// The lines of its faces in the sheet's frame: up, and down where they differ.
    pub(crate) fn rings(&self) -> (Vec<Ring>, Vec<Ring>) {
        let lines = faces(&self.piece.layer, self.w.wall.cut);
        let moved = |rings: &[Ring]| rings.iter().map(|ring| placed(ring, self.place)).collect();
        let up = seams::through(lines.up, &self.seams, self.w.wall.cut);
        (moved(&up), moved(lines.down.unwrap_or(&[])))
    }
}

pub(crate) fn placed(ring: &Ring, place: Affine) -> Ring {
    let moved = |points: &Vec<Point>| points.iter().map(|p| place * *p).collect();
    Ring { outer: moved(&ring.outer), holes: ring.holes.iter().map(moved).collect() }
}

/// A closed line through points.
pub(crate) fn closed(points: &[Point]) -> BezPath {
    path(&Ring { outer: points.to_vec(), holes: Vec::new() })
}

/// "Full sheet 2, XPS 25.4 mm": what a sheet is.
pub(crate) fn named(job: &Job, stock: &StockSheet, nth: Option<u32>) -> String {
    let nth = nth.map_or_else(String::new, |n| format!(" {n}"));
    let name = wording::readable(&stock.name, "sheet");
    let material = wording::readable(&stock.material, "foam");
    format!("{name}{nth}, {material} {}", job.show(stock.thickness))
}

/// "1219 mm × 2438 mm", over all where it is no rectangle.
pub(crate) fn size(job: &Job, stock: &StockSheet, outline: &[Point]) -> String {
    match &stock.shape {
        SheetShape::Rectangle { width, length } => format!("{} × {}", job.show(*width), job.show(*length)),
        SheetShape::Outline(_) => {
            let round = bounds(outline);
            let (width, height) = (job.show_mm(round.width()), job.show_mm(round.height()));
            format!("{width} × {height} over all")
        }
    }
}

/// A sheet at full size, box sides up: the outlines of its pieces to cut along, the other faces, the marks; the sheet's own
/// outline is a mark and never cut.
pub(crate) fn drawing(job: &Job, used: &SheetsUsed<'_>, walls: &[Walled<'_>], number: usize) -> Drawing {
    let outline = used.outline(number);
    let mut drawing = Drawing::new(format!("Sheet {number}"), bounds(outline).inflate(WHITE_MM, WHITE_MM));
    drawing.line(closed(outline), Pen::MARK, Layer::Marks);
    let lying = used.lying(job, walls, number);
    let rings: Vec<(Vec<Ring>, Vec<Ring>)> = lying.iter().map(Lying::rings).collect();
    for (up, down) in &rings {
        for ring in down {
            drawing.line(path(ring), Pen::OTHER_FACE, Layer::OtherFace);
        }
        for ring in up {
            drawing.line(path(ring), Pen::CUT, Layer::Cut);
        }
    }
    for (one, (up, down)) in lying.iter().zip(&rings) {
        let faces: Vec<&[Ring]> =
            std::iter::once(up.as_slice()).chain((!down.is_empty()).then_some(down.as_slice())).collect();
        let mut room = Room::new(&faces);
        let rows = [
            Row::new(one.mark.as_str(), 24.0, true),
            Row::new(format!("{} up", Face::Box.side()), 12.0, false),
        ];
        if let Some(ring) = up.first() {
            block::set(&mut drawing, &mut room, ring, &rows);
        }
    }
    if let Some((stock, nth)) = used.stock(job, number) {
        drawing.text(Text {
            at: Point::new(drawing.bounds.x0 + WHITE_MM, drawing.bounds.y1 - WHITE_MM + 2.5),
            words: format!("Sheet {number}: {}", named(job, stock, nth)),
            height_pt: 12.0,
            angle: 0.0,
            anchor: Anchor::Start,
            bold: false,
            layer: Layer::Words,
        });
    }
    drawing
}
