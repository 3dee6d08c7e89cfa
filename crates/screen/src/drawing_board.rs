//! A drawing file that is asked about: its outlines on the board, the one chosen in hand.

use std::sync::Arc;

use coldwright_job::{DrawnFile, WallId};
use egui::{Align2, Stroke, Ui};
use kurbo::{Affine, PathEl, Point, Rect, Shape};

use crate::board::{Board, EyeKey};
use crate::fill::{Face, filled};
use crate::parts::by;
use crate::ruler::dimension;
use crate::shown::Shown;
use crate::theme::{Palette, words};
use crate::view::View;

/// More outlines than this are no choice for a person; the largest are shown.
pub(crate) const MOST: usize = 24;
/// Farthest a line on the board lies from the drawing's curve, where the whole is 1000 wide or high.
const FLAT: f64 = 0.2;

/// A drawing waiting for an answer.
#[derive(Debug)]
pub(crate) struct AskedDrawing {
    /// The wall it was meant for.
    pub(crate) wall: Option<WallId>,
    pub(crate) file: Arc<DrawnFile>,
    /// The outline chosen, from 0.
    pub(crate) outline: usize,
    /// Millimetres in the file's unit, once said.
    pub(crate) unit_mm: Option<f64>,
    /// Each outline as lines and filled, in the board's own measure.
    lines: Vec<(Vec<Point>, Face)>,
    bounds: Rect,
}

impl AskedDrawing {
    pub(crate) fn new(wall: Option<WallId>, file: Arc<DrawnFile>) -> AskedDrawing {
        let boxes = file.outlines.iter().take(MOST).map(|o| o.path.bounding_box());
        let bounds = boxes.reduce(|a, b| a.union(b)).unwrap_or_default();
        // Whatever the unit may be, the board shows it as large as a wall.
        let size = Affine::scale(1000.0 / bounds.width().max(bounds.height()).max(f64::MIN_POSITIVE));
        let bounds = size.transform_rect_bbox(bounds);
        let lines = file.outlines.iter().take(MOST).map(|outline| {
            let mut points = Vec::new();
            kurbo::flatten(size * outline.path.clone(), FLAT, |el| match el {
                PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
                PathEl::ClosePath => points.extend(points.first().copied()),
                _ => {}
            });
            (points.clone(), filled(vec![points]))
        });
        AskedDrawing { wall, outline: 0, unit_mm: file.unit_mm, lines: lines.collect(), bounds, file }
    }

    /// Width and height of an outline, mm, once the unit is known.
    pub(crate) fn size(&self, outline: usize) -> Option<(f64, f64)> {
        self.unit_mm.map(|mm| self.file.size_mm(outline, mm))
    }
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let Some(mut asked) = view.drawing.take() else { return };
    let p = Palette::at(ui);
    let room = asked.bounds.inset(asked.bounds.width().max(asked.bounds.height()) * 0.08);
    let mut board = Board::open(ui, "Outlines of the drawing", EyeKey::Drawing, room, true, view);
    board.pan(ui, view);
    if board.response.clicked()
        && let Some(pointer) = board.response.interact_pointer_pos()
    {
        let at = board.at(pointer);
        // The smallest one under the pointer: the others hold it.
        if let Some(under) = asked.lines.iter().rposition(|(_, face)| face.holds(at)) {
            asked.outline = under;
        }
    }
    for (index, (points, face)) in asked.lines.iter().enumerate() {
        let here = index == asked.outline;
        if here {
            face.paint(&board, p.hand.gamma_multiply(0.10));
        }
        let stroke = if here { Stroke::new(2.0, p.hand) } else { Stroke::new(1.0, p.ink) };
        board.painter.line(board.line(points), stroke);
    }
    let several = asked.lines.len() > 1;
    for (index, (points, _)) in asked.lines.iter().enumerate().filter(|_| several) {
        let top = points.iter().max_by(|a, b| (a.y - a.x).total_cmp(&(b.y - b.x)));
        let colour = if index == asked.outline { p.hand } else { p.quiet };
        if let Some(top) = top {
            let at = board.put(*top) + egui::vec2(-4.0, -4.0);
            board.painter.text(at, Align2::RIGHT_BOTTOM, (index + 1).to_string(), words(), colour);
        }
    }
    if let (Some((wide, high)), Some((points, _))) =
        (asked.size(asked.outline), asked.lines.get(asked.outline))
    {
        let b = coldwright_geometry::bounds(points);
        let [a, c] = [Point::new(b.x0, b.y0), Point::new(b.x1, b.y0)].map(|q| board.put(q));
        let said = by(shown, wide, high);
        dimension(&board.painter, a, c, -32.0, &said, p.quiet);
    }
    view.drawing = Some(asked);
}
