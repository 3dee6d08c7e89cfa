//! What the board says while there is nothing on it.

use coldwright_job::Edit;
use egui::{Align, Layout, RichText, TextStyle, Ui, Vec2};

use crate::actions::Action;
use crate::parts::button;
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

/// No wall yet: what to do first.
pub(crate) fn empty(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    middle(
        ui,
        "Lay printed cards round your stick template and take a photo from above.",
        "Choose that photo, and the outline is traced on it; or type measured points, or take a drawing.",
        |ui| {
            ui.horizontal_wrapped(|ui| {
                if button(ui, "Choose photo…", true).clicked() {
                    queue.push(Action::AddPhoto { wall: None, path: None });
                }
                if button(ui, "Choose drawing…", false).clicked() {
                    queue.push(Action::AddDrawing { wall: None, path: None });
                }
                if button(ui, "Start without a photo", false).clicked() {
                    queue.push(Action::Edit(Edit::AddWall { name: shown.job.free_wall_name() }, None));
                    view.next_step = Some(coldwright_job::Step::Outline);
                }
                if button(ui, "Open a sample", false).clicked() {
                    queue.push(Action::OpenSample(0));
                }
            });
            ui.add_space(8.0);
            crate::path_field::photo(ui, None, view, queue);
        },
    );
}

/// Two sentences in the middle of the board, and what can be done.
pub(crate) fn middle(ui: &mut Ui, first: &str, second: &str, below: impl FnOnce(&mut Ui)) {
    let p = Palette::at(ui);
    let room = ui.available_rect_before_wrap();
    let width = (room.width() - 64.0).clamp(120.0, 460.0);
    let at = egui::Rect::from_min_size(
        egui::pos2(room.center().x - width / 2.0, room.min.y + (room.height() * 0.36).max(24.0)),
        Vec2::new(width, 200.0),
    );
    ui.scope_builder(egui::UiBuilder::new().max_rect(at).layout(Layout::top_down(Align::Min)), |ui| {
        ui.spacing_mut().item_spacing.y = 8.0;
        ui.add(egui::Label::new(RichText::new(first).text_style(TextStyle::Heading).color(p.ink)).wrap());
        ui.add(egui::Label::new(RichText::new(second).color(p.quiet)).wrap());
        ui.add_space(8.0);
        below(ui);
    });
}
