//! Small parts every column is made of: rows, facts, choices, problems.

use coldwright_job::{Problem, Severity, Step};
use egui::text::LayoutJob;
use egui::{
    Align, Button, Color32, Layout, Rect, Response, RichText, Role, Sense, Stroke, TextFormat, TextStyle, Ui,
    Vec2, WidgetInfo,
};

use crate::actions::Command;
use crate::icons::Icon;
use crate::shown::Shown;
use crate::theme::{NUMBER, Palette, TOUCH, WORDS, mix, words};
use crate::view::View;

/// Problems shown before the person asks for all of them.
const FEW: usize = 2;
/// Width of the words before a value.
pub(crate) const LABEL: f32 = 120.0;

/// The name of the thing selected.
pub(crate) fn heading(ui: &mut Ui, name: &str) {
    let p = Palette::at(ui);
    ui.add(egui::Label::new(RichText::new(name).text_style(TextStyle::Heading).color(p.ink)).wrap());
}

/// A quiet word that begins a group, with room and a divider above.
pub(crate) fn group(ui: &mut Ui, word: &str) {
    let p = Palette::at(ui);
    ui.add_space(8.0);
    let (line, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 1.0), Sense::hover());
    ui.painter().hline(line.x_range(), line.center().y, Stroke::new(1.0, p.hair));
    if !word.is_empty() {
        ui.label(RichText::new(word).color(p.quiet));
    }
}

/// A quiet sentence.
pub(crate) fn hint(ui: &mut Ui, words: &str) {
    let p = Palette::at(ui);
    ui.add(egui::Label::new(RichText::new(words).color(p.quiet)).wrap());
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

/// One plain choice.
pub(crate) fn choice(ui: &mut Ui, selected: bool, label: &str) -> Response {
    let p = Palette::at(ui);
    let text = RichText::new(label).color(if selected { p.hand } else { p.ink });
    let button =
        Button::selectable(selected, text).frame_when_inactive(true).min_size(Vec2::new(TOUCH, TOUCH));
    let button = if selected { button.stroke(Stroke::new(1.5, p.hand)) } else { button };
    ui.add(button)
}

/// A button for a wish; the one that comes next is in hand.
pub(crate) fn button(ui: &mut Ui, label: &str, next: bool) -> Response {
    button_if(ui, label, next, true)
}

/// A button that may be out of reach.
pub(crate) fn button_if(ui: &mut Ui, label: &str, next: bool, enabled: bool) -> Response {
    let p = Palette::at(ui);
    let mut button =
        Button::new(if next { RichText::new(label).color(p.hand) } else { RichText::new(label) })
            .min_size(Vec2::new(TOUCH, TOUCH));
    if next {
        button = button.stroke(Stroke::new(1.5, p.hand));
    }
    ui.add_enabled(enabled, button)
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

/// One problem; a click on it goes to what it is about.
pub(crate) fn problem(ui: &mut Ui, problem: &Problem) -> Response {
    let p = Palette::at(ui);
    let (sign, colour, word) = mark(&p, problem.severity);
    let leads = problem.tick.is_some() || problem.edge.is_some();
    let sense = if leads { Sense::click() } else { Sense::hover() };
    let width = ui.available_width();
    let galley = ui.painter().layout(problem.sentence.clone(), words(), p.ink, width - 28.0);
    let word = ui.painter().layout_no_wrap(word.to_owned(), words(), colour);
    let height = galley.size().y + word.size().y + 8.0;
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, height), sense);
    response.widget_info(|| {
        WidgetInfo::labeled(if leads { Role::Button } else { Role::Label }, true, &problem.sentence)
    });
    if leads && (response.hovered() || response.has_focus()) {
        ui.painter().rect_stroke(rect, 2.0, Stroke::new(1.5, p.hand), egui::StrokeKind::Inside);
        ui.ctx().set_cursor_icon(egui::CursorIcon::PointingHand);
    }
    let corner = rect.min + Vec2::new(4.0, 4.0);
    sign.paint(ui.painter(), Rect::from_min_size(corner + Vec2::new(0.0, 1.0), Vec2::splat(16.0)), colour);
    let down = word.size().y;
    ui.painter().galley(corner + Vec2::new(24.0, 0.0), word, colour);
    ui.painter().galley(corner + Vec2::new(24.0, down), galley, p.ink);
    response
}

/// What an edge or tick has to say, and whatever stops the whole step.
pub(crate) fn problems_of(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &View,
    step: Step,
    belongs: impl Fn(&Problem) -> bool,
) {
    let Some(plan) = shown.wall_plan(view) else { return };
    for q in plan.problems.iter().filter(|q| q.step == step && (belongs(q) || q.severity == Severity::Stop)) {
        problem(ui, q);
    }
}

/// The problems of a step, each leading to its tick or edge.
pub(crate) fn problems(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, step: Step) {
    let Some(plan) = shown.wall_plan(view) else { return };
    let list: Vec<&Problem> = plan.problems.iter().filter(|q| q.step == step).collect();
    if list.is_empty() {
        return;
    }
    group(ui, if step == Step::Photo { "Look at cards" } else { "" });
    // The gravest first, and only so many that what can be done about them stays in sight.
    let mut list = list;
    list.sort_by_key(|q| std::cmp::Reverse(q.severity));
    let (count, all) = (list.len(), view.all_problems);
    let most = if all || count <= FEW + 1 { count } else { FEW };
    for q in list.into_iter().take(most) {
        if problem(ui, q).clicked() {
            if let Some(tick) = q.tick {
                view.select_tick(tick);
            } else if let Some(edge) = q.edge {
                view.select_edge(edge);
            }
            // Problems of other steps lead to where the tick or edge can be seen.
            view.next_step = Some(Step::Outline);
        }
    }
    if count > FEW + 1 {
        let label = if all { "Show fewer".to_owned() } else { format!("Show {} more", count - FEW) };
        if button(ui, &label, false).clicked() {
            view.all_problems = !all;
        }
    }
}

/// Millimetres as the job shows lengths; a number out of range says so.
pub(crate) fn mm(shown: &Shown<'_>, mm: f64) -> String {
    match coldwright_geometry::Length::from_mm(mm) {
        Ok(length) => shown.job.show(length),
        Err(_) => "out of range".to_owned(),
    }
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
