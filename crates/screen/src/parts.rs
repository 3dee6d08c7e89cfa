//! Small parts every column is made of: rows, facts, choices, problems.

use coldwright_job::Severity;
use egui::text::LayoutJob;
use egui::{
    Align, Button, Color32, Layout, Response, RichText, Role, Sense, Stroke, TextFormat, TextStyle, Ui, Vec2,
    WidgetInfo,
};

use crate::actions::Command;
use crate::icons::Icon;
use crate::shown::Shown;
use crate::theme::{NUMBER, Palette, TOUCH, WORDS, mix, words};
use crate::view::View;

/// What stands where a reading is not there yet.
pub(crate) const NONE: &str = "–";
/// Width of the words before a value.
pub(crate) const LABEL: f32 = 120.0;

/// The name of the thing selected, always one line.
pub(crate) fn heading(ui: &mut Ui, name: &str) {
    let _ = with_button(ui, name, TextStyle::Heading, Palette::at(ui).ink, None);
}

/// The name of the thing selected, with the way out of it at the end of the line; gives whether that was taken.
pub(crate) fn heading_with(ui: &mut Ui, name: &str, label: &str) -> bool {
    with_button(ui, name, TextStyle::Heading, Palette::at(ui).ink, Some(label))
}

/// A quiet word that begins a group, with room and a divider above.
pub(crate) fn group(ui: &mut Ui, word: &str) {
    divider(ui);
    if !word.is_empty() {
        ui.label(RichText::new(word).color(Palette::at(ui).quiet));
    }
}

/// The same with a button at the end of the line, where it stays however long the group below grows.
pub(crate) fn group_with(ui: &mut Ui, word: &str, label: &str) -> bool {
    divider(ui);
    with_button(ui, word, TextStyle::Body, Palette::at(ui).quiet, Some(label))
}

fn divider(ui: &mut Ui) {
    let p = Palette::at(ui);
    ui.add_space(8.0);
    let (line, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 1.0), Sense::hover());
    ui.painter().hline(line.x_range(), line.center().y, Stroke::new(1.0, p.hair));
}

fn with_button(ui: &mut Ui, name: &str, style: TextStyle, colour: Color32, label: Option<&str>) -> bool {
    let room = Vec2::new(ui.available_width(), TOUCH);
    ui.allocate_ui_with_layout(room, Layout::right_to_left(Align::Center), |ui| {
        ui.set_min_height(TOUCH);
        let clicked = label.is_some_and(|label| button(ui, label, false).clicked());
        let rest = Vec2::new(ui.available_width(), TOUCH);
        ui.allocate_ui_with_layout(rest, Layout::left_to_right(Align::Center), |ui| {
            ui.add(egui::Label::new(RichText::new(name).text_style(style).color(colour)).truncate());
        });
        clicked
    })
    .inner
}

/// A quiet sentence.
pub(crate) fn hint(ui: &mut Ui, words: &str) {
    let p = Palette::at(ui);
    ui.add(egui::Label::new(RichText::new(words).color(p.quiet)).wrap());
}

/// A quiet sentence on what is left of a line, cut where it is too long: it never makes the line higher.
pub(crate) fn hint_line(ui: &mut Ui, sentence: &str) {
    let width = ui.available_size_before_wrap().x - 1.0;
    if width < 80.0 {
        return;
    }
    let p = Palette::at(ui);
    let mut job = LayoutJob::simple_singleline(sentence.to_owned(), words(), p.quiet);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width);
    let galley = ui.painter().layout_job(job);
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, TOUCH), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, sentence));
    let at = egui::pos2(rect.min.x, rect.center().y - galley.size().y / 2.0);
    ui.painter().galley(at, galley, p.quiet);
}

/// A row: words in quiet, then what stands behind them.
pub(crate) fn row<R>(ui: &mut Ui, label: &str, add: impl FnOnce(&mut Ui) -> R) -> R {
    row_high(ui, label, TOUCH, add)
}

fn row_high<R>(ui: &mut Ui, label: &str, high: f32, add: impl FnOnce(&mut Ui) -> R) -> R {
    let p = Palette::at(ui);
    ui.horizontal_top(|ui| {
        ui.allocate_ui_with_layout(Vec2::new(LABEL, high), Layout::left_to_right(Align::Center), |ui| {
            ui.set_width(LABEL);
            ui.set_min_height(high);
            ui.add(egui::Label::new(RichText::new(label).color(p.quiet)).wrap());
        });
        add(ui)
    })
    .inner
}

/// Room left behind the words of a row.
pub(crate) fn value_width(ui: &Ui) -> f32 {
    ui.available_width().max(80.0)
}

/// A number with its unit in quiet.
pub(crate) fn number(ui: &Ui, text: &str, bold: bool) -> LayoutJob {
    let p = Palette::at(ui);
    let font = if bold { TextStyle::Name("number".into()).resolve(ui.style()) } else { words() };
    let mut job = LayoutJob::default();
    let (value, unit) = split_unit(text);
    let format =
        |font, color| TextFormat { font_id: font, color, valign: Align::BOTTOM, ..TextFormat::default() };
    job.append(value, 0.0, format(font, p.ink));
    let mut behind = format(words(), p.quiet);
    if bold {
        // The small words stand on the line of the large number: Noto Sans is 1.362 high, of that 0.293 below the line.
        behind.line_height = Some(WORDS * 1.362 + (NUMBER - WORDS) * 0.293);
    }
    job.append(unit, 0.0, behind);
    job
}

/// Splits "1 030.4 mm ± 0.3" after the last digit before the unit; words without digits are all value.
fn split_unit(text: &str) -> (&str, &str) {
    let at = text.find(|c: char| c.is_alphabetic()).filter(|at| *at > 0);
    let Some(at) = at else { return (text, "") };
    let start = text[..at].trim_end().len();
    text.split_at(start)
}

/// A row with a number that cannot be changed.
pub(crate) fn fact(ui: &mut Ui, label: &str, value: &str) {
    row_high(ui, label, 20.0, |ui| {
        let job = number(ui, value, false);
        ui.allocate_ui_with_layout(
            Vec2::new(ui.available_width(), 20.0),
            Layout::left_to_right(Align::Center),
            |ui| {
                ui.add(egui::Label::new(job).wrap());
            },
        );
    });
}

/// The one number that matters, with a word below it.
pub(crate) fn big(ui: &mut Ui, value: &str, caption: &str) {
    let p = Palette::at(ui);
    ui.vertical(|ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let job = number(ui, value, true);
        ui.label(job);
        ui.add(egui::Label::new(RichText::new(caption).color(p.quiet)).wrap());
    });
}

/// A few plain choices side by side, or below each other where they do not fit; gives the one just chosen.
pub(crate) fn choices<T: Copy + PartialEq>(ui: &mut Ui, current: T, options: &[(T, &str)]) -> Option<T> {
    let mut chosen = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = Vec2::new(4.0, 4.0);
        for (value, label) in options {
            if choice(ui, *value == current, label).clicked() && *value != current {
                chosen = Some(*value);
            }
        }
    });
    chosen
}

/// A list that drops down, as wide as a value: what is chosen, and the choices that `add` draws.
pub(crate) fn drop_down(
    ui: &mut Ui,
    key: impl egui::AsIdSalt,
    chosen: &str,
    name: String,
    add: impl FnOnce(&mut Ui),
) {
    let drawn = egui::ComboBox::from_id_salt(key)
        .width(value_width(ui))
        .selected_text(chosen)
        .icon(|ui, rect, visuals, _| {
            let square = egui::Rect::from_center_size(rect.center(), Vec2::splat(16.0));
            Icon::More.paint(ui.painter(), square, visuals.fg_stroke.color);
        })
        .truncate()
        .height(320.0)
        .show_ui(ui, add);
    drawn.response.accessible_name(name);
}

/// One plain choice.
pub(crate) fn choice(ui: &mut Ui, selected: bool, label: &str) -> Response {
    let p = Palette::at(ui);
    let text = RichText::new(label).color(if selected { p.hand } else { p.ink });
    let button =
        Button::selectable(selected, text).frame_when_inactive(true).min_size(Vec2::new(TOUCH, TOUCH));
    let response = ui.add(button);
    if selected {
        frame(ui, &response);
    }
    response
}

/// A frame in hand, over the button: one of the button's own would make it wider.
fn frame(ui: &Ui, button: &Response) {
    let stroke = Stroke::new(1.5, Palette::at(ui).hand);
    ui.painter().rect_stroke(button.rect, 2.0, stroke, egui::StrokeKind::Inside);
}

/// A button for a wish; the one that comes next is in hand.
pub(crate) fn button(ui: &mut Ui, label: &str, next: bool) -> Response {
    button_if(ui, label, next, true)
}

/// A button that may be out of reach.
pub(crate) fn button_if(ui: &mut Ui, label: &str, next: bool, enabled: bool) -> Response {
    let p = Palette::at(ui);
    let text = if next { RichText::new(label).color(p.hand) } else { RichText::new(label) };
    let response = ui.add_enabled(enabled, Button::new(text).min_size(Vec2::new(TOUCH, TOUCH)));
    if next && enabled {
        frame(ui, &response);
    }
    response
}

/// Room for the longest word of the button that makes corners, points.
pub(crate) const CORNER: f32 = 132.0;

/// A button as wide as the longest of the words it may bear, so that its neighbours stay where they are.
pub(crate) fn wide_button(ui: &mut Ui, label: &str, width: f32, enabled: bool) -> Response {
    ui.add_enabled(enabled, Button::new(label).min_size(Vec2::new(width, TOUCH)))
}

/// A button that takes the rest of its row, so that rows end on one line.
pub(crate) fn rest(ui: &mut Ui, label: &str, enabled: bool) -> Response {
    let size = Vec2::new(ui.available_width(), TOUCH);
    ui.add_enabled_ui(enabled, |ui| ui.add_sized(size, Button::new(label))).inner
}

/// A slider for a share, 0 to 1, with a rail that can be seen on the board.
pub(crate) fn slider(ui: &mut Ui, share: &mut f64, name: &str) {
    let p = Palette::at(ui);
    ui.scope(|ui| {
        let widgets = &mut ui.visuals_mut().widgets;
        for w in [&mut widgets.inactive, &mut widgets.hovered, &mut widgets.active] {
            w.bg_fill = p.hair;
        }
        ui.visuals_mut().selection.bg_fill = mix(p.board, p.hand, 0.5);
        ui.add(egui::Slider::new(share, 0.0..=1.0).show_value(false)).accessible_name(name);
    });
}

/// The button of a command of the table.
pub(crate) fn command(ui: &mut Ui, command: Command, shown: &Shown<'_>, view: &View, next: bool) -> Response {
    let e = command.entry();
    let hint = command.hint(ui.ctx());
    button_if(ui, e.label, next, (e.enabled)(shown, view)).on_hover_text(hint)
}

/// The mark and colour of a severity.
pub(crate) fn mark(p: &Palette, severity: Severity) -> (Icon, Color32, &'static str) {
    match severity {
        Severity::Note => (Icon::Note, p.quiet, "note"),
        Severity::Look => (Icon::Look, p.look, "look here"),
        Severity::Stop => (Icon::Stop, p.stop, "cannot go on"),
    }
}

/// Millimetres as the job shows lengths; a number out of range says so.
pub(crate) fn mm(shown: &Shown<'_>, mm: f64) -> String {
    match coldwright_geometry::Length::from_mm(mm) {
        Ok(length) => shown.job.show(length),
        Err(_) => "out of range".to_owned(),
    }
}

/// Two lengths, the unit once behind both.
pub(crate) fn by(shown: &Shown<'_>, across: f64, up: f64) -> String {
    let (a, b) = (mm(shown, across), mm(shown, up));
    let ((first, unit), (_, other)) = (split_unit(&a), split_unit(&b));
    if unit == other { format!("{first} × {b}") } else { format!("{a} × {b}") }
}

/// A small error in mm, always in millimetres.
pub(crate) fn small_mm(mm: f64) -> String {
    if mm < 1.0 { format!("{mm:.2} mm") } else { format!("{mm:.1} mm") }
}

#[cfg(test)]
mod tests {
    use super::split_unit;

    #[test]
    fn units_stand_apart_from_numbers() {
        assert_eq!(split_unit("40 9/16 in"), ("40 9/16", " in"));
        assert_eq!(split_unit("1 030.4 mm ± 0.3"), ("1 030.4", " mm ± 0.3"));
        assert_eq!(split_unit("nothing yet"), ("nothing yet", ""));
        assert_eq!(split_unit("12.5°"), ("12.5°", ""));
    }
}
