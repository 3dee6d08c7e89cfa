//! The sheets in use, to scale and side by side, with the pieces where they lie.

use std::sync::Arc;

use coldwright_geometry::{Ring, bounds, roomy};
use coldwright_job::{BreakDown, Edit, LaidOut, PieceId, Step};
use egui::{Align2, Color32, Shape, Stroke, Ui, Vec2};
use kurbo::{Affine, Point, Rect};

use crate::actions::{Action, Command};
use crate::board::{Board, EyeKey};
use crate::fill::{Face, filled};
use crate::parts::{by, command, hint_line};
use crate::ruler::dashed;
use crate::shown::Shown;
use crate::start::middle;
use crate::theme::{Palette, mix, words};
use crate::view::{Grab, View};

/// Room between two sheets, as a share of the largest sheet's longer side.
const BETWEEN: f64 = 0.07;
/// The rows of sheets are about this much wider than high.
const ASPECT: f64 = 1.5;

/// What is drawn of the layout shown last.
#[derive(Debug, Default)]
pub(crate) struct SheetsCache {
    of: Option<Arc<LaidOut>>,
    sheets: Vec<Sheet>,
    bounds: Rect,
    /// Pieces where they were drawn last.
    drawn: Vec<(PieceId, egui::Pos2)>,
}

#[derive(Debug)]
struct Sheet {
    outline: Vec<Point>,
    pieces: Vec<Lying>,
    offcut: Option<Rect>,
    /// Straight cuts that bring it to the saw's throat, in their order.
    cuts: Vec<[Point; 2]>,
    stock: usize,
    nth: u32,
    foot: Point,
    /// From the sheet's frame to the board.
    flat: Affine,
}

#[derive(Debug)]
struct Lying {
    id: PieceId,
    mark: String,
    face: Face,
    /// Where its mark stands: a place well inside.
    inside: Point,
}

impl SheetsCache {
    fn update(&mut self, laid: &Arc<LaidOut>) {
        if self.of.as_ref().is_some_and(|l| Arc::ptr_eq(l, laid)) {
            return;
        }
        self.of = Some(laid.clone());
        (self.sheets, self.bounds) = put_side_by_side(laid);
    }

    /// Where a piece's middle was drawn last.
    pub(crate) fn on_screen(&self, id: PieceId) -> Option<egui::Pos2> {
        self.drawn.iter().find(|d| d.0 == id).map(|d| d.1)
    }

    /// The sheet a piece lies on, and its lines.
    fn lying(&self, id: PieceId) -> Option<(&Sheet, &Lying)> {
        self.sheets.iter().find_map(|s| Some((s, s.pieces.iter().find(|p| p.id == id)?)))
    }

    /// The sheet at a place of the board.
    fn sheet_at(&self, at: Point) -> Option<&Sheet> {
        self.sheets.iter().find(|s| bounds(&s.outline).contains(at))
    }

    fn at(&self, at: Point) -> Option<PieceId> {
        self.sheets.iter().flat_map(|s| &s.pieces).find(|p| p.face.holds(at)).map(|p| p.id)
    }
}

/// Sheets in rows, longer side along the row.
fn put_side_by_side(laid: &LaidOut) -> (Vec<Sheet>, Rect) {
    let request = &laid.asked.request;
    let boxes: Vec<Rect> = laid
        .layout
        .sheets
        .iter()
        .map(|s| bounds(request.stock.get(s.stock).map_or(&[], |s| s.outline.as_slice())))
        .collect();
    let longest = boxes.iter().map(|b| b.width().max(b.height())).fold(1.0, f64::max);
    let gap = longest * BETWEEN;
    let turned = |b: &Rect| b.height() > b.width();
    let size = |b: &Rect| if turned(b) { (b.height(), b.width()) } else { (b.width(), b.height()) };
    let area: f64 = boxes.iter().map(|b| (size(b).0 + gap) * (size(b).1 + 2.0 * gap)).sum();
    let row = (area * ASPECT).sqrt().max(longest);
    let (mut x, mut y, mut high) = (0.0, 0.0, 0.0_f64);
    let mut sheets = Vec::new();
    let mut all: Option<Rect> = None;
    for (index, used) in laid.layout.sheets.iter().enumerate() {
        let Some(stock) = request.stock.get(used.stock) else { continue };
        let b = boxes[index];
        let (w, h) = size(&b);
        if x > 0.0 && x + w > row * 1.05 {
            x = 0.0;
            y -= high + 2.0 * gap;
            high = 0.0;
        }
        // A sheet that is longer than wide lies on its side: turned, never mirrored.
        let flat = if turned(&b) {
            Affine::translate((x + b.y1, y - h - b.x0)) * Affine::rotate(std::f64::consts::FRAC_PI_2)
        } else {
            Affine::translate((x - b.x0, y - h - b.y0))
        };
        let pieces = laid.layout.placements.iter().filter(|p| p.sheet == index).filter_map(|place| {
            let piece = request.pieces.get(place.piece)?;
            let ring: Vec<Point> = piece.outline.iter().map(|q| flat * place.apply(*q)).collect();
            let inside = inside(&ring);
            let id = *laid.asked.ids.get(place.piece)?;
            Some(Lying { id, mark: piece.id.clone(), face: filled(vec![ring]), inside })
        });
        let offcut = laid.offcuts.iter().find(|o| o.sheet == index).map(|o| flat.transform_rect_bbox(o.rect));
        let cuts = match laid.break_downs.get(index) {
            Some(BreakDown::Cuts(cuts)) => cuts.iter().map(|c| [flat * c.from, flat * c.to]).collect(),
            _ => Vec::new(),
        };
        sheets.push(Sheet {
            outline: stock.outline.iter().map(|q| flat * *q).collect(),
            pieces: pieces.collect(),
            offcut,
            cuts,
            stock: used.stock,
            nth: used.nth,
            foot: Point::new(x, y - h),
            flat,
        });
        let here = Rect::new(x, y - h - gap, x + w, y);
        all = Some(all.map_or(here, |a| a.union(here)));
        x += w + gap;
        high = high.max(h);
    }
    (sheets, all.unwrap_or(Rect::new(0.0, 0.0, 1000.0, 600.0)))
}

/// A place inside a ring with room about it for words.
pub(crate) fn inside(ring: &[Point]) -> Point {
    roomy(&Ring { outer: ring.to_vec(), holes: Vec::new() }, 4.0)
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let at_work = shown.busy.iter().any(|b| b.step == Step::Sheets);
    let Some(laid) = shown.laying.filter(|_| at_work).or(shown.plan.laid.as_ref()) else {
        let (first, second) = if shown.plan.pieces.is_empty() {
            (
                "No pieces to lay out yet.",
                "They follow from the layers: close an outline and give its layers.",
            )
        } else {
            (
                "Nothing laid out yet.",
                "List the sheets you have and those you can buy in the column, then choose \"Lay out pieces\".",
            )
        };
        middle(ui, first, second, |_| {});
        return;
    };
    let sound = laid.is_sound() || at_work;
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal(|ui| {
            if command(ui, Command::Fit, shown, view, false).clicked() {
                for eye in view.eyes.values_mut() {
                    eye.fit = true;
                }
            }
            let said = if at_work {
                "The best so far."
            } else if sound {
                "Seen from the box side, as cut. Dashed: the largest off-cut left whole. Drag a piece to hold it elsewhere."
            } else {
                "Out of date: the pieces or sheets have changed. Lay them out again before you cut."
            };
            hint_line(ui, said);
        });
    });
    let mut cache = std::mem::take(&mut view.sheets);
    cache.update(laid);
    let mut board = Board::open(ui, "Sheets with pieces", EyeKey::Sheets, cache.bounds, true, view);
    let may = shown.plan_is_current && !at_work;
    let moving = drag(ui, &board, shown, &cache, may, view, queue);
    board.pan(ui, view);
    if board.response.clicked()
        && let Some(pointer) = board.response.interact_pointer_pos()
    {
        match cache.at(board.at(pointer)) {
            Some(id) => view.select_piece(id),
            None => view.piece = None,
        }
    }
    let p = Palette::at(ui);
    for sheet in &cache.sheets {
        draw(&board, shown, sheet, view.piece, sound, &p);
    }
    cache.drawn = cache.sheets.iter().flat_map(|s| &s.pieces).map(|l| (l.id, board.put(l.inside))).collect();
    if let Some((id, by)) = moving
        && let Some((_, piece)) = cache.lying(id)
    {
        for points in &piece.face.rings {
            let moved: Vec<Point> = points.iter().map(|q| *q + by).collect();
            let line = crate::plan_view::thinned(&board, &moved);
            board.painter.add(Shape::closed_line(line, Stroke::new(2.0, p.hand)));
        }
        mark(&board, piece.inside + by, f64::MAX, &piece.mark, false, p.hand);
    }
    view.sheets = cache;
}

/// Takes a piece elsewhere with the pointer; gives it and how far while it is on its way.
fn drag(
    ui: &Ui,
    board: &Board,
    shown: &Shown<'_>,
    cache: &SheetsCache,
    may: bool,
    view: &mut View,
    queue: &mut Vec<Action>,
) -> Option<(PieceId, kurbo::Vec2)> {
    let kept = shown.job.layout.as_ref().filter(|_| may)?;
    let response = &board.response;
    let pointer = ui.input(|i| i.pointer.latest_pos());
    let over = pointer.filter(|_| response.contains_pointer()).and_then(|p| cache.at(board.at(p)));
    if over.is_some() && view.grab == Grab::Nothing {
        ui.ctx().set_cursor_icon(egui::CursorIcon::Move);
    }
    if response.drag_started()
        && view.grab == Grab::Nothing
        && let Some(at) = ui.input(|i| i.pointer.press_origin()).map(|p| board.at(p))
        && let Some(id) = cache.at(at)
    {
        view.select_piece(id);
        view.grab = Grab::Piece { id, at };
    }
    let Grab::Piece { id, at } = view.grab else { return None };
    let to = board.at(pointer.unwrap_or_else(|| board.put(at)));
    if response.dragged() {
        return Some((id, to - at));
    }
    view.grab = Grab::Nothing;
    let (from, piece) = cache.lying(id)?;
    // The sheet under the piece's middle; beside all sheets it stays on its own.
    let onto = cache.sheet_at(piece.inside + (to - at)).unwrap_or(from);
    let stock = shown.job.stock.get(onto.stock)?;
    let by = onto.flat.inverse() * Affine::translate(to - at) * from.flat;
    if to != at {
        queue.push(Action::Edit(Edit::KeepLayout(Some(kept.moved(id, &stock.name, onto.nth, by))), None));
    }
    None
}

fn draw(board: &Board, shown: &Shown<'_>, sheet: &Sheet, chosen: Option<PieceId>, sound: bool, p: &Palette) {
    let ink = if sound { p.ink } else { mix(p.board, p.quiet, 0.8) };
    let ground = filled(vec![sheet.outline.clone()]);
    ground.paint(board, mix(p.board, p.column, 0.7));
    let ring = |points: &[Point], stroke: Stroke| {
        board.painter.add(Shape::closed_line(crate::plan_view::thinned(board, points), stroke));
    };
    ring(&sheet.outline, Stroke::new(1.0, p.quiet));
    if let Some(offcut) = sheet.offcut {
        let corners = [
            Point::new(offcut.x0, offcut.y0),
            Point::new(offcut.x1, offcut.y0),
            Point::new(offcut.x1, offcut.y1),
            Point::new(offcut.x0, offcut.y1),
            Point::new(offcut.x0, offcut.y0),
        ];
        dashed(&board.painter, &board.line(&corners), Stroke::new(1.0, p.quiet), 6.0, 4.0);
        let said = by(shown, offcut.width(), offcut.height());
        let _ = fitted_words(board, offcut.center(), offcut.width(), &said, p.quiet);
    }
    for (number, cut) in sheet.cuts.iter().enumerate() {
        let ends = board.line(cut);
        board.painter.line_segment([ends[0], ends[1]], Stroke::new(1.5, p.hull));
        let along = (ends[1] - ends[0]).normalized();
        let at = ends[0] + along * 10.0;
        let said = (number + 1).to_string();
        let galley = board.painter.layout_no_wrap(said, words(), p.hull);
        let rect = Align2::CENTER_CENTER.anchor_size(at, galley.size());
        board.painter.rect_filled(rect.expand2(Vec2::new(3.0, 0.0)), 2.0, mix(p.board, p.column, 0.7));
        board.painter.galley(rect.min, galley, p.hull);
    }
    let kept = shown.job.layout.as_ref();
    for piece in &sheet.pieces {
        let here = chosen == Some(piece.id);
        let fill = if !sound {
            mix(p.board, p.hair, 0.5)
        } else if here {
            mix(p.board, p.hand, 0.22)
        } else {
            mix(p.board, p.cold, 0.16)
        };
        piece.face.paint(board, fill);
        for points in &piece.face.rings {
            ring(points, Stroke::new(if here { 2.0 } else { 1.5 }, if here { p.hand } else { ink }));
        }
    }
    // Words over all pieces, so that no neighbour covers them.
    for piece in &sheet.pieces {
        let here = chosen == Some(piece.id);
        let wide = piece.face.rings.first().map_or(0.0, |r| bounds(r).width());
        let held = kept.is_some_and(|k| k.places.iter().any(|q| q.piece == piece.id && q.locked));
        mark(board, piece.inside, wide, &piece.mark, held, if here { p.hand } else { ink });
    }
    let Some(stock) = shown.job.stock.get(sheet.stock) else { return };
    let foot = board.put(sheet.foot) + Vec2::new(0.0, 4.0);
    let width = (bounds(&sheet.outline).width() * board.eye.scale) as f32;
    let said = format!("{}, {} {}", stock.name, stock.material, shown.job.show(stock.thickness));
    let mut job = egui::text::LayoutJob::simple_singleline(said, words(), p.quiet);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width.max(40.0));
    board.painter.galley(foot, board.painter.layout_job(job), p.quiet);
}

/// Words centred at a place, left out where there is no room for them; gives whether there was.
pub(crate) fn fitted_words(board: &Board, at: Point, wide_mm: f64, said: &str, colour: Color32) -> bool {
    let room = (wide_mm * board.eye.scale) as f32;
    let galley = board.painter.layout_no_wrap(said.to_owned(), words(), colour);
    let fits = galley.size().x <= room - 4.0;
    if fits {
        let rect = Align2::CENTER_CENTER.anchor_size(board.put(at), galley.size());
        board.painter.galley(rect.min, galley, colour);
    }
    fits
}

/// A piece's mark; where it does not fit whole, its last word (the layer and the part) still tells the pieces apart.
pub(crate) fn mark(board: &Board, at: Point, wide_mm: f64, said: &str, held: bool, colour: Color32) {
    let whole = if held { format!("{said}, held") } else { said.to_owned() };
    if !fitted_words(board, at, wide_mm, &whole, colour) {
        let last = said.rsplit(' ').next().unwrap_or_default();
        let short = if held { format!("{last}, held") } else { last.to_owned() };
        let _ = fitted_words(board, at, wide_mm, &short, colour)
            || fitted_words(board, at, wide_mm, last, colour);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mark_stands_inside_an_angled_piece() {
        let l = [(0.0, 0.0), (100.0, 0.0), (100.0, 20.0), (20.0, 20.0), (20.0, 100.0), (0.0, 100.0)];
        let ring: Vec<Point> = l.map(|(x, y)| Point::new(x, y)).to_vec();
        let face = filled(vec![ring.clone()]);
        assert!(face.holds(inside(&ring)), "{:?}", inside(&ring));
        assert!(!face.holds(Point::new(60.0, 60.0)));
    }
}
