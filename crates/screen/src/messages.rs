//! The quiet strip at the foot of the board: work under way, messages until dismissed, work that can be taken up again.

use coldwright_job::Step;
use egui::{RichText, Ui, Vec2};

use crate::actions::Action;
use crate::icons::Icon;
use crate::parts::{button, mark};
use crate::shown::Shown;
use crate::theme::Palette;

/// How many messages are shown at once; the rest follow as these are dismissed.
const MOST: usize = 3;

/// Whether there is anything to show.
fn any(shown: &Shown<'_>) -> bool {
    shown.recovered.is_some() || !shown.messages.is_empty() || !shown.busy.is_empty()
}

/// Draws the strip over the foot of the board.
pub(crate) fn show(ui: &Ui, board: egui::Rect, shown: &Shown<'_>, queue: &mut Vec<Action>) {
    if !any(shown) {
        return;
    }
    let p = Palette::at(ui);
    egui::Area::new(egui::Id::unique("messages"))
        .order(egui::Order::Middle)
        .pivot(egui::Align2::LEFT_BOTTOM)
        .fixed_pos(board.left_bottom())
        .constrain(false)
        .movable(false)
        .fade_in(false)
        .show(ui.ctx(), |ui| {
            let frame = egui::Frame::NONE.fill(p.column).inner_margin(egui::Margin::symmetric(16, 8));
            let drawn = frame.show(ui, |ui| {
                ui.set_width(board.width() - 32.0);
                lines(ui, shown, queue);
            });
            let rect = drawn.response.rect;
            ui.painter().hline(rect.x_range(), rect.min.y + 0.5, egui::Stroke::new(1.0, p.hair));
        });
}

fn lines(ui: &mut Ui, shown: &Shown<'_>, queue: &mut Vec<Action>) {
    let p = Palette::at(ui);
    ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
    if let Some(sentence) = shown.recovered {
        line(ui, Icon::Note, p.hand, sentence, |ui| {
            if button(ui, "Leave it", false).clicked() {
                queue.push(Action::LeaveRecovered);
            }
            if button(ui, "Take it up", true).clicked() {
                queue.push(Action::TakeUpRecovered);
            }
        });
    }
    for busy in shown.busy {
        line(ui, Icon::Work, p.hand, &format!("At work: {}", busy.words), |ui| {
            if button(ui, "Stop this", false).clicked() {
                // The search for a layout keeps the best it has; anything else is no longer waited for.
                queue.push(if busy.step == Step::Sheets { Action::StopLaying } else { Action::Cancel });
            }
        });
    }
    let waiting = shown.messages.len().saturating_sub(MOST);
    for message in shown.messages.iter().rev().take(MOST) {
        let (sign, colour, _) = mark(&p, message.severity);
        line(ui, sign, colour, &message.sentence, |ui| {
            if button(ui, "Dismiss", false).clicked() {
                queue.push(Action::Dismiss(message.id));
            }
        });
    }
    if waiting > 0 {
        ui.label(RichText::new(format!("and {waiting} more below these")).color(p.quiet));
    }
}

fn line(ui: &mut Ui, sign: Icon, colour: egui::Color32, sentence: &str, buttons: impl FnOnce(&mut Ui)) {
    let p = Palette::at(ui);
    let room = Vec2::new(ui.available_width(), crate::theme::TOUCH);
    ui.allocate_ui_with_layout(room, egui::Layout::right_to_left(egui::Align::Center), |ui| {
        buttons(ui);
        let width = (ui.available_width() - 24.0).max(80.0);
        let words = ui.painter().layout(sentence.to_owned(), crate::theme::words(), p.ink, width);
        let (rect, response) =
            ui.allocate_exact_size(Vec2::new(width + 24.0, words.size().y), egui::Sense::hover());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Label, true, sentence));
        let square = egui::Rect::from_min_size(rect.min + Vec2::new(0.0, 1.0), Vec2::splat(16.0));
        sign.paint(ui.painter(), square, colour);
        ui.painter().galley(rect.min + Vec2::new(24.0, 0.0), words, p.ink);
    });
}
