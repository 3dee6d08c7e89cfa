//! What there is to look at on the step shown: a list with its own place at the foot of the column, so that it comes and
//! goes without moving anything a person may be about to click on.

use coldwright_geometry::EdgeKind;
use coldwright_job::{Edit, Problem, Severity, Step, Wall, WallEdit};
use egui::{Margin, Rect, Response, RichText, Role, ScrollArea, Sense, Stroke, Ui, Vec2, WidgetInfo, vec2};

use crate::actions::Action;
use crate::parts::{button, mark};
use crate::shown::Shown;
use crate::theme::{MARGIN, Palette, TOUCH, words};
use crate::view::{Selected, View};

/// Height of the line that counts, points.
const COUNT: f32 = 28.0;
/// Room left of a sentence for its sign, and round it.
const SIGN: f32 = 24.0;
const ROUND: f32 = 4.0;

/// The problems of the step shown, the gravest first, then those of one tick, otherwise in the order of the plan.
pub(crate) fn of(shown: &Shown<'_>, view: &mut View) -> Vec<Problem> {
    let mut list: Vec<Problem> = shown
        .wall_plan(view)
        .map(|plan| plan.problems.iter().filter(|q| q.step == view.step).cloned().collect())
        .unwrap_or_default();
    if matches!(view.step, Step::Box | Step::Pieces | Step::Sheets) {
        list = shown.plan.problems().filter(|q| q.step == view.step).cloned().collect();
    }
    if view.step == Step::Papers
        && let Some(Err(why)) = crate::papers_board::pages(shown, view)
    {
        let sentence = coldwright_job::sentence_case(&why);
        let (wall, severity) = (view.wall, Severity::Stop);
        list.push(Problem { step: Step::Papers, severity, wall, edge: None, tick: None, sentence });
    }
    // A tick that stands off explains what is said of its edge, so it comes before it.
    list.sort_by_key(|q| (std::cmp::Reverse(q.severity), q.tick.is_none()));
    list
}

/// Height the list would like, points; nothing for an empty one.
pub(crate) fn height(ui: &Ui, shown: &Shown<'_>, view: &View, list: &[Problem], width: f32) -> f32 {
    if list.is_empty() {
        return 0.0;
    }
    let fair = |q| if shown.wall(view).is_some_and(|w| may_be_fair(w, q)) { TOUCH + ROUND } else { 0.0 };
    let rows: f32 = list.iter().map(|q| row_height(ui, q, width - 2.0 * MARGIN) + fair(q)).sum();
    8.0 + COUNT + rows + 8.0
}

/// Draws the list into all the room there is; a click on a sentence goes to what it is about.
pub(crate) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    list: &[Problem],
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let p = Palette::at(ui);
    let all = ui.max_rect();
    ui.painter().rect_filled(all, 0.0, p.column);
    ui.painter().hline(all.x_range(), all.min.y + 0.5, Stroke::new(1.0, p.hair));
    let moved = view.looked_at != (view.step, view.selected);
    view.looked_at = (view.step, view.selected);
    let frame = egui::Frame::NONE.inner_margin(Margin { left: 16, right: 0, top: 8, bottom: 0 });
    frame.show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        count(ui, list);
        ScrollArea::vertical().id_salt(("look list", view.step)).auto_shrink(false).show(ui, |ui| {
            ui.set_width(all.width() - 2.0 * MARGIN);
            let mut first = true;
            for q in list {
                let here = about(q, view.selected);
                let wall = shown.wall(view).filter(|w| may_be_fair(w, q));
                let (response, fair) = one(ui, q, here, wall.is_some());
                if here && moved && std::mem::take(&mut first) {
                    response.scroll_to_me(None);
                }
                if fair && let (Some(wall), Some(edge)) = (wall, q.edge) {
                    let edit = Edit::Wall(wall.id, WallEdit::EdgeKind(edge, EdgeKind::Fair));
                    queue.push(Action::Edit(edit, None));
                } else if response.clicked() {
                    go_to(q, view);
                }
            }
            ui.add_space(8.0);
        });
    });
}

fn about(q: &Problem, selected: Selected) -> bool {
    match selected {
        Selected::Tick(id) => q.tick == Some(id),
        Selected::Edge(id) => q.edge == Some(id),
        Selected::Step | Selected::Job | Selected::Hole(_) => false,
    }
}

/// Whether bending the edge would answer the problem: a tick stands off the line of a straight edge with others.
fn may_be_fair(wall: &Wall, q: &Problem) -> bool {
    let straight = q.edge.and_then(|id| wall.template.edge(id)).is_some_and(|e| {
        e.kind == EdgeKind::Straight && e.ticks.len() >= 3 && q.tick.is_some_and(|t| e.ticks.contains(&t))
    });
    straight && q.step == Step::Outline && q.severity == Severity::Look
}

fn go_to(q: &Problem, view: &mut View) {
    if let Some(tick) = q.tick {
        view.select_tick(tick);
    } else if let Some(edge) = q.edge {
        view.select_edge(edge);
    }
    // Problems of other steps lead to where the tick or edge can be seen.
    view.next_step = Some(Step::Outline);
}

/// "2 things to look at", in the colour of the gravest.
fn count(ui: &mut Ui, list: &[Problem]) {
    let p = Palette::at(ui);
    let of = |severity| list.iter().filter(|q| q.severity == severity).count();
    let say = |n: usize, one: &str, many: &str| match n {
        0 => None,
        1 => Some(format!("1 {one}")),
        n => Some(format!("{n} {many}")),
    };
    let parts = [
        say(of(Severity::Stop), "thing to put right", "things to put right"),
        say(of(Severity::Look), "thing to look at", "things to look at"),
        say(of(Severity::Note), "note", "notes"),
    ];
    let said: Vec<String> = parts.into_iter().flatten().collect();
    let gravest = list.first().map_or(Severity::Note, |q| q.severity);
    let (_, colour, _) = mark(&p, gravest);
    ui.allocate_ui(vec2(ui.available_width(), COUNT), |ui| {
        ui.set_min_height(COUNT);
        ui.label(RichText::new(said.join(", ")).color(colour));
    });
}

fn row_height(ui: &Ui, q: &Problem, width: f32) -> f32 {
    let galley = ui.painter().layout(q.sentence.clone(), words(), Palette::at(ui).ink, sentence_width(width));
    galley.size().y + word_height(ui) + 2.0 * ROUND + 4.0
}

fn word_height(ui: &Ui) -> f32 {
    ui.painter().layout_no_wrap("look here".to_owned(), words(), Palette::at(ui).ink).size().y
}

fn sentence_width(width: f32) -> f32 {
    width - SIGN - 2.0 * ROUND
}

/// One problem. Gives its response, and whether "Make it fair" beside it was pressed.
fn one(ui: &mut Ui, problem: &Problem, here: bool, fair: bool) -> (Response, bool) {
    let p = Palette::at(ui);
    let (sign, colour, word) = mark(&p, problem.severity);
    let leads = problem.tick.is_some() || problem.edge.is_some();
    let sense = if leads { Sense::click() } else { Sense::hover() };
    let width = ui.available_width();
    let galley = ui.painter().layout(problem.sentence.clone(), words(), p.ink, sentence_width(width));
    let word = ui.painter().layout_no_wrap(word.to_owned(), words(), colour);
    let mut height = galley.size().y + word.size().y + 2.0 * ROUND;
    if fair {
        height += TOUCH + ROUND;
    }
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, height), sense);
    ui.add_space(4.0);
    response.widget_info(|| {
        WidgetInfo::labeled(if leads { Role::Button } else { Role::Label }, true, &problem.sentence)
    });
    let corner = rect.min + vec2(ROUND, ROUND);
    let down = word.size().y;
    let below = corner.y + down + galley.size().y + ROUND;
    if here {
        ui.painter().vline(rect.min.x, rect.y_range(), Stroke::new(2.0, p.hand));
    }
    if leads && (response.hovered() || response.has_focus()) {
        ui.painter().rect_stroke(rect, 2.0, Stroke::new(1.5, p.hand), egui::StrokeKind::Inside);
        ui.ctx().set_cursor_icon(egui::CursorIcon::PointingHand);
    }
    sign.paint(ui.painter(), Rect::from_min_size(corner + vec2(0.0, 1.0), Vec2::splat(16.0)), colour);
    ui.painter().galley(corner + vec2(SIGN, 0.0), word, colour);
    ui.painter().galley(corner + vec2(SIGN, down), galley, p.ink);
    let mut pressed = false;
    if fair {
        let at = Rect::from_min_size(egui::pos2(corner.x + SIGN, below), vec2(120.0, TOUCH));
        ui.scope_builder(egui::UiBuilder::new().max_rect(at), |ui| {
            let hover = "The edge is bent, not straight: let it run fair through its ticks.";
            pressed = button(ui, "Make it fair", false).on_hover_text(hover).clicked();
        });
    }
    (response, pressed)
}
