//! The board: one large surface that is moved by dragging and zoomed by the wheel about the pointer.

use coldwright_job::{PhotoId, Units, WallId};
use egui::{Align2, EventFilter, Painter, Pos2, Rect, Response, Role, Sense, Stroke, Ui, WidgetInfo};
use kurbo::Point;

use crate::theme::{Palette, words};
use crate::view::{Grab, View};

/// Which surface a look belongs to: each keeps its own zoom.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum EyeKey {
    Photo(PhotoId),
    Flat(WallId),
    Plan(WallId),
    Section(WallId),
    Papers(WallId),
    Layer(WallId, u32),
    Sheets,
    Drawing,
}

/// Where a board is looked at.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Eye {
    pub(crate) centre: Point,
    /// Points of the screen to one unit of the board.
    pub(crate) scale: f64,
    /// Follow the bounds until the person moves or zooms.
    pub(crate) fit: bool,
}

/// Zoom limits, screen points to a unit.
const LEAST: f64 = 0.005;
const MOST: f64 = 60.0;

/// The board of this frame.
pub(crate) struct Board {
    pub(crate) rect: Rect,
    pub(crate) response: Response,
    pub(crate) painter: Painter,
    pub(crate) eye: Eye,
    /// y of the board's units grows upwards.
    up: bool,
    key: EyeKey,
}

impl Board {
    /// Takes all the room that is left, handles zoom and gives the board. `bounds` is what "Fit" shows.
    pub(crate) fn open(
        ui: &mut Ui,
        name: &str,
        key: EyeKey,
        bounds: kurbo::Rect,
        up: bool,
        view: &mut View,
    ) -> Board {
        let (rect, response) = surface(ui, name, view);
        let painter = ui.painter_at(rect);
        let fitted = fitted(rect, bounds);
        let mut eye = view.eyes.get(&key).copied().filter(|e| !e.fit).unwrap_or(fitted);
        let mut board = Board { rect, response, painter, eye, up, key };
        if board.response.contains_pointer() {
            let (wheel, pinch, pointer) =
                ui.input(|i| (i.smooth_scroll_delta().y, i.zoom_delta(), i.pointer.hover_pos()));
            let factor = (f64::from(wheel) * 0.004).exp() * f64::from(pinch);
            if let Some(pointer) = pointer.filter(|_| (factor - 1.0).abs() > 1e-6) {
                let hold = board.at(pointer);
                eye.scale = (eye.scale * factor).clamp(LEAST, MOST);
                eye.fit = false;
                board.eye = eye;
                let moved = board.at(pointer);
                eye.centre += hold - moved;
                board.eye = eye;
            }
        }
        view.eyes.insert(key, eye);
        board
    }

    /// Where a place of the board stands on the screen.
    pub(crate) fn put(&self, p: Point) -> Pos2 {
        let c = self.rect.center();
        let d = (p - self.eye.centre) * self.eye.scale;
        let y = if self.up { -d.y } else { d.y };
        Pos2::new(c.x + d.x as f32, c.y + y as f32)
    }

    /// The place of the board under a place on the screen.
    pub(crate) fn at(&self, p: Pos2) -> Point {
        let d = p - self.rect.center();
        let y = if self.up { -d.y } else { d.y };
        self.eye.centre + kurbo::Vec2::new(f64::from(d.x), f64::from(y)) / self.eye.scale
    }

    /// A polyline of the board on the screen.
    pub(crate) fn line(&self, points: &[Point]) -> Vec<Pos2> {
        points.iter().map(|p| self.put(*p)).collect()
    }

    /// The part of the board that is seen.
    pub(crate) fn seen(&self) -> kurbo::Rect {
        kurbo::Rect::from_points(self.at(self.rect.min), self.at(self.rect.max))
    }

    /// Moves the board with the pointer, when nothing else has hold of it. Call after the tools.
    pub(crate) fn pan(&mut self, ui: &Ui, view: &mut View) {
        if self.response.drag_started() && view.grab == Grab::Nothing {
            view.grab = Grab::Board { centre: self.eye.centre };
        }
        if let Grab::Board { centre } = view.grab {
            let held = ui.input(|i| i.pointer.press_origin().zip(i.pointer.latest_pos()));
            if let Some((from, to)) = held.filter(|_| self.response.dragged()) {
                self.eye.centre = centre - (self.at(to) - self.at(from));
                self.eye.fit = false;
                view.eyes.insert(self.key, self.eye);
                ui.ctx().set_cursor_icon(egui::CursorIcon::Grabbing);
            }
            if !self.response.dragged() {
                view.grab = Grab::Nothing;
            }
        }
    }

    /// Keeps the look where it is from now on, whatever the bounds do.
    pub(crate) fn hold(&mut self, view: &mut View) {
        self.eye.fit = false;
        view.eyes.insert(self.key, self.eye);
    }

    /// A grid in hair for a board in mm, in round steps of the job's units as the zoom allows.
    pub(crate) fn grid(&self, p: &Palette, units: Units) {
        let (unit, steps, word) = match units {
            Units::Millimetres => (1.0, [10.0, 50.0, 100.0, 500.0, 1000.0], "mm"),
            Units::Inches => (25.4, [0.5, 1.0, 6.0, 12.0, 36.0], "in"),
        };
        let Some(said) = steps.into_iter().find(|s| s * unit * self.eye.scale >= 24.0) else { return };
        let step = said * unit;
        let seen = self.seen();
        let stroke = Stroke::new(1.0, p.hair.gamma_multiply(0.55));
        let mut x = (seen.x0 / step).ceil() * step;
        while x <= seen.x1 {
            self.painter.vline(self.put(Point::new(x, 0.0)).x, self.rect.y_range(), stroke);
            x += step;
        }
        let mut y = (seen.y0 / step).ceil() * step;
        while y <= seen.y1 {
            self.painter.hline(self.rect.x_range(), self.put(Point::new(0.0, y)).y, stroke);
            y += step;
        }
        let note = self.rect.left_bottom() + egui::vec2(16.0, -12.0);
        self.painter.text(note, Align2::LEFT_BOTTOM, format!("grid {said} {word}"), words(), p.quiet);
    }
}

/// A focusable, named surface over all the room that is left.
pub(crate) fn surface(ui: &mut Ui, name: &str, view: &mut View) -> (Rect, Response) {
    let size = ui.available_size().max(egui::vec2(64.0, 64.0));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::labeled(Role::Canvas, true, name));
    if response.clicked() || response.drag_started() {
        response.request_focus();
    }
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|m| m.set_focus_lock_filter(response.id, filter));
    }
    if response.gained_focus() {
        // After a click the pointer shows where one is; only the keyboard needs a ring.
        view.board_ring = !ui.input(|i| i.pointer.any_down() || i.pointer.any_released());
    }
    if response.has_focus() && view.board_ring {
        let ring = Stroke::new(1.5, Palette::at(ui).hand);
        ui.painter().rect_stroke(rect.shrink(2.0), 0.0, ring, egui::StrokeKind::Inside);
    }
    view.board_id = Some(response.id);
    (rect, response)
}

fn fitted(rect: Rect, bounds: kurbo::Rect) -> Eye {
    let room = rect.shrink(32.0);
    let (w, h) = (bounds.width().max(1e-6), bounds.height().max(1e-6));
    let scale = (f64::from(room.width().max(16.0)) / w).min(f64::from(room.height().max(16.0)) / h);
    Eye { centre: bounds.center(), scale: scale.clamp(LEAST, MOST), fit: true }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_fit_with_a_margin() {
        let rect = Rect::from_min_size(Pos2::ZERO, egui::vec2(800.0, 600.0));
        let eye = fitted(rect, kurbo::Rect::new(0.0, 0.0, 1000.0, 200.0));
        assert!((eye.scale - 736.0 / 1000.0).abs() < 1e-9);
        assert_eq!(eye.centre, Point::new(500.0, 100.0));
    }
}
