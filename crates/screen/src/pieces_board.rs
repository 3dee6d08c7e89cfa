//! One layer in plan with its parts and seams, and the opening beside it to the same scale.

use coldwright_job::{OpeningShape, PlannedPiece, Seam, SeamStyle, seam_end_moved, seam_moved};
use egui::{Shape, Stroke, Ui, Vec2};
use kurbo::{Point, Rect};

use crate::actions::{Action, Command};
use crate::board::{Board, EyeKey};
use crate::column::seams;
use crate::fill::filled;
use crate::parts::{command, hint_line, mm};
use crate::ruler::dimension;
use crate::sheets_board::{inside, mark};
use crate::shown::Shown;
use crate::start::middle;
use crate::theme::{Palette, mix, words};
use crate::view::{Grab, SeamPart, View};

/// How near a click must be to a seam, screen points.
const NEAR: f64 = 8.0;
/// Radius of the handles at a seam's ends, screen points.
const HANDLE: f32 = 5.0;
/// Shortest line that is taken for a seam, screen points.
const LEAST: f64 = 12.0;

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some(piece) = chosen(shown, view) else {
        middle(
            ui,
            "No pieces yet.",
            "They follow from the layers: close an outline and give the layers their thickness.",
            |_| {},
        );
        return;
    };
    let (wall, layer) = (piece.id.wall, piece.id.layer);
    let parts: Vec<&PlannedPiece> =
        shown.plan.pieces.iter().filter(|p| (p.id.wall, p.id.layer) == (wall, layer)).collect();
    let planned: Vec<Seam> = shown
        .plan
        .seams
        .iter()
        .find(|s| (s.wall, s.layer) == (wall, layer))
        .map(|s| s.seams.clone())
        .unwrap_or_default();
    strip(ui, shown, view, piece);
    let layer_bounds = bounds(parts.iter().flat_map(|p| &p.outline));
    let opening = opening_beside(shown, layer_bounds);
    let mut all = opening.as_ref().map_or(layer_bounds, |o| layer_bounds.union(bounds(o.iter())));
    all = all.inset(all.width().max(all.height()) * 0.08);
    let name = format!("Parts of {}", mark_of_layer(shown, piece));
    let mut board = Board::open(ui, &name, EyeKey::Layer(wall, layer), all, true, view);
    let foam = shown.plan.wall(wall).and_then(|w| w.layers.as_deref());
    let foam = foam.and_then(|set| set.layers.iter().find(|l| l.number == layer as usize));
    let at_hand = Held { seams: &planned, foam, current: shown.plan_is_current };
    let drawn = tools(ui, &board, &at_hand, view, queue);
    board.pan(ui, view);
    let p = Palette::at(ui);
    board.grid(&p, shown.job.units);
    // The part selected comes last, its outline over its neighbours'.
    for part in parts
        .iter()
        .filter(|q| view.piece != Some(q.id))
        .chain(parts.iter().filter(|q| view.piece == Some(q.id)))
    {
        draw_part(&board, part, view.piece == Some(part.id) && parts.len() > 1, &p);
    }
    for (index, seam) in planned.iter().enumerate() {
        let here = view.seam == Some(index);
        let seam = match &drawn {
            Some(Drawn::Moved(moved, now)) if *moved == index => now,
            _ => seam,
        };
        let ends = [board.put(seam.from), board.put(seam.to)];
        let stroke = if here { Stroke::new(3.0, p.hand) } else { Stroke::new(2.0, p.ink) };
        board.painter.line_segment(ends, stroke);
        if here && !view.cutting {
            for end in ends {
                board.painter.circle(end, HANDLE, p.board, Stroke::new(2.0, p.hand));
            }
        }
        if let SeamStyle::HalfLap(width) = seam.style {
            let along = (seam.to - seam.from) / (seam.to - seam.from).hypot().max(1e-9);
            let side = kurbo::Vec2::new(-along.y, along.x) * (width.mm() / 2.0);
            for side in [side, -side] {
                let ends = [board.put(seam.from + side), board.put(seam.to + side)];
                crate::ruler::dashed(&board.painter, &ends, Stroke::new(1.0, p.quiet), 6.0, 4.0);
            }
        }
    }
    if let Some(Drawn::New([a, b])) = drawn {
        board.painter.line_segment([board.put(a), board.put(b)], Stroke::new(2.0, p.hand));
    }
    if let Some(ring) = &opening {
        draw_opening(&board, shown, ring, &p);
    }
    let [a, b] = [layer_bounds.x0, layer_bounds.x1].map(|x| board.put(Point::new(x, layer_bounds.y0)));
    dimension(&board.painter, a, b, -28.0, &mm(shown, layer_bounds.width()), p.quiet);
}

/// The piece selected, or the first that goes in.
fn chosen<'a>(shown: &Shown<'a>, view: &mut View) -> Option<&'a PlannedPiece> {
    let plan = shown.plan;
    if let Some(piece) = view.piece.and_then(|id| plan.piece(id)) {
        return Some(piece);
    }
    // A part may be gone with its seam; its layer is still the one looked at.
    let same =
        view.piece.and_then(|id| plan.pieces.iter().find(|p| (p.id.wall, p.id.layer) == (id.wall, id.layer)));
    let first = same.or_else(|| plan.pieces.iter().min_by_key(|p| p.turn))?;
    view.select_piece(first.id);
    Some(first)
}

fn mark_of_layer(shown: &Shown<'_>, piece: &PlannedPiece) -> String {
    shown
        .job
        .wall(piece.id.wall)
        .map_or_else(|| piece.mark.clone(), |w| format!("{} {}", w.name, piece.id.layer))
}

fn strip(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, piece: &PlannedPiece) {
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal(|ui| {
            if command(ui, Command::Fit, shown, view, false).clicked() {
                for eye in view.eyes.values_mut() {
                    eye.fit = true;
                }
            }
            let name = mark_of_layer(shown, piece);
            let said = if view.cutting {
                "Drag a line right across the layer, from outside to outside.".to_owned()
            } else if view.seam.is_some() {
                "Drag the seam, or one of its ends; an end near the rim lands on it.".to_owned()
            } else if piece.parts > 1 {
                format!("{name} in {} parts, seen from the box side", piece.parts)
            } else {
                format!("{name} in one piece, seen from the box side")
            };
            hint_line(ui, &said);
        });
    });
}

/// What of the layer the tools work on.
struct Held<'a> {
    seams: &'a [Seam],
    foam: Option<&'a coldwright_geometry::Layer>,
    current: bool,
}

/// What is on its way while the pointer is down.
enum Drawn {
    /// A new seam from end to end.
    New([Point; 2]),
    /// A seam as it would lie, by its place in the list.
    Moved(usize, Seam),
}

impl Held<'_> {
    /// The seam near a place and what of it: an end before the whole.
    fn near(&self, board: &Board, at: Point) -> Option<(usize, SeamPart)> {
        let close = |q: Point| q.distance(at) * board.eye.scale;
        let ends = self
            .seams
            .iter()
            .enumerate()
            .flat_map(|(i, s)| [(i, SeamPart::First, close(s.from)), (i, SeamPart::Last, close(s.to))]);
        let end = ends.filter(|e| e.2 <= NEAR * 1.25).min_by(|a, b| a.2.total_cmp(&b.2));
        let far = |s: &Seam| {
            let line = kurbo::Line::new(s.from, s.to);
            kurbo::ParamCurveNearest::nearest(&line, at, 1e-6).distance_sq.sqrt() * board.eye.scale
        };
        let lines = self.seams.iter().enumerate().map(|(i, s)| (i, SeamPart::Whole, far(s)));
        let line = lines.filter(|l| l.2 <= NEAR).min_by(|a, b| a.2.total_cmp(&b.2));
        end.or(line).map(|(i, part, _)| (i, part))
    }

    /// A seam with what is held of it moved.
    fn moved(&self, board: &Board, index: usize, by: SeamPart, from: Point, to: Point) -> Option<Seam> {
        let (seam, foam) = (self.seams.get(index)?, self.foam?);
        let within = LEAST / board.eye.scale;
        Some(match by {
            SeamPart::Whole => seam_moved(foam, seam, to - from),
            SeamPart::First => seam_end_moved(foam, seam, true, seam.from + (to - from), within),
            SeamPart::Last => seam_end_moved(foam, seam, false, seam.to + (to - from), within),
        })
    }
}

/// Selecting, drawing and moving seams. Gives what is on its way.
fn tools(ui: &Ui, board: &Board, held: &Held<'_>, view: &mut View, queue: &mut Vec<Action>) -> Option<Drawn> {
    let response = &board.response;
    let pointer = ui.input(|i| i.pointer.latest_pos());
    let over = pointer.filter(|_| response.contains_pointer()).and_then(|p| held.near(board, board.at(p)));
    let cursor = match (view.cutting, over) {
        (true, _) => Some(egui::CursorIcon::Crosshair),
        (false, Some((_, SeamPart::Whole))) => Some(egui::CursorIcon::Move),
        (false, Some(_)) => Some(egui::CursorIcon::Grab),
        (false, None) => None,
    };
    if let Some(cursor) = cursor.filter(|_| response.contains_pointer()) {
        ui.ctx().output_mut(|o| o.cursor_icon = cursor);
    }
    if response.drag_started()
        && view.grab == Grab::Nothing
        && let Some(from) = ui.input(|i| i.pointer.press_origin()).or(pointer).map(|p| board.at(p))
    {
        if view.cutting {
            view.grab = Grab::Seam { from };
        } else if let Some((index, by)) = held.near(board, from).filter(|_| held.current) {
            view.seam = Some(index);
            view.grab = Grab::SeamHeld { index, by, at: from };
        }
    }
    let mut push = |view: &View, next: Vec<Seam>| {
        queue.extend(seams::edit(view, Some(next)).map(|e| Action::Edit(e, None)));
    };
    match view.grab {
        Grab::Seam { from } => {
            let to = board.at(pointer.unwrap_or_else(|| board.put(from)));
            if response.dragged() {
                return Some(Drawn::New([from, to]));
            }
            view.grab = Grab::Nothing;
            if from.distance(to) * board.eye.scale >= LEAST {
                let mut next = held.seams.to_vec();
                // To a hundredth of a millimetre: finer than any saw, and the file stays readable.
                let fine =
                    |q: Point| Point::new((q.x * 100.0).round() / 100.0, (q.y * 100.0).round() / 100.0);
                let style = next.last().map_or(SeamStyle::default(), |s| s.style);
                next.push(Seam { from: fine(from), to: fine(to), style });
                view.cutting = false;
                view.seam = Some(next.len() - 1);
                push(view, next);
            }
        }
        Grab::SeamHeld { index, by, at } => {
            let to = board.at(pointer.unwrap_or_else(|| board.put(at)));
            let moved = held.moved(board, index, by, at, to);
            if response.dragged() {
                return moved.map(|seam| Drawn::Moved(index, seam));
            }
            view.grab = Grab::Nothing;
            if let Some(moved) = moved.filter(|m| held.seams.get(index) != Some(m)) {
                let mut next = held.seams.to_vec();
                next[index] = moved;
                push(view, next);
            }
        }
        _ => {}
    }
    if response.clicked()
        && let Some(at) = response.interact_pointer_pos()
    {
        view.seam = held.near(board, board.at(at)).map(|(index, _)| index);
    }
    None
}

fn draw_part(board: &Board, part: &PlannedPiece, here: bool, p: &Palette) {
    let face = filled(vec![part.outline.clone()]);
    face.paint(board, if here { mix(p.board, p.hand, 0.20) } else { mix(p.board, p.cold, 0.14) });
    let points = crate::plan_view::thinned(board, &part.outline);
    let stroke = if here { Stroke::new(2.0, p.hand) } else { Stroke::new(1.5, p.ink) };
    board.painter.add(Shape::closed_line(points, stroke));
    let wide = bounds(part.outline.iter()).width();
    mark(board, inside(&part.outline), wide, &part.mark, false, if here { p.hand } else { p.ink });
}

/// The opening as a closed line right of the layer, their lower edges level.
fn opening_beside(shown: &Shown<'_>, layer: Rect) -> Option<Vec<Point>> {
    let opening = shown.job.opening?;
    let gap = layer.width().max(layer.height()) * 0.12;
    let at = Point::new(layer.x1 + gap, layer.y0);
    let ring: Vec<Point> = match opening.shape {
        OpeningShape::Rectangle { width, height, corner } => {
            let rect = Rect::from_origin_size(at, (width.mm(), height.mm()));
            outline(&kurbo::RoundedRect::from_rect(rect, corner.mm()))
        }
        OpeningShape::Round { diameter } => {
            let r = diameter.mm() / 2.0;
            outline(&kurbo::Circle::new(at + kurbo::Vec2::new(r, r), r))
        }
    };
    Some(ring)
}

/// A closed shape as points, a tenth of a millimetre fine.
fn outline(shape: &impl kurbo::Shape) -> Vec<Point> {
    let mut out = Vec::new();
    kurbo::flatten(shape.path_elements(0.1), 0.1, |el| match el {
        kurbo::PathEl::MoveTo(q) | kurbo::PathEl::LineTo(q) => out.push(q),
        _ => {}
    });
    out
}

fn draw_opening(board: &Board, shown: &Shown<'_>, ring: &[Point], p: &Palette) {
    let points = crate::plan_view::thinned(board, ring);
    board.painter.add(Shape::closed_line(points, Stroke::new(2.0, p.hull)));
    let b = bounds(ring.iter());
    let top = board.put(Point::new(b.x0, b.y1)) - Vec2::new(0.0, 6.0);
    board.painter.text(top, egui::Align2::LEFT_BOTTOM, "opening", words(), p.hull);
    let ends = [b.x0, b.x1].map(|x| board.put(Point::new(x, b.y0)));
    dimension(&board.painter, ends[0], ends[1], -28.0, &mm(shown, b.width()), p.quiet);
    let ends = [b.y0, b.y1].map(|y| board.put(Point::new(b.x1, y)));
    dimension(&board.painter, ends[0], ends[1], -28.0, &mm(shown, b.height()), p.quiet);
}

fn bounds<'a>(points: impl Iterator<Item = &'a Point>) -> Rect {
    let mut points = points;
    let Some(first) = points.next() else { return Rect::new(0.0, 0.0, 1000.0, 600.0) };
    points.fold(Rect::from_points(*first, *first), |r, q| r.union_pt(*q))
}
