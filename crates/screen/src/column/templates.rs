//! The templates of a wall: which one is in hand, where a further one was taken, how it lies to the first, and which edges go
//! together.

use coldwright_geometry::{Length, Outline, parse_angle};
use coldwright_job::{EdgeId, Edit, Further, Lies, Stands, TakenAt, Wall, WallEdit, WallPlan};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, degrees, rounded};
use crate::parts::{button, choice, choices, fact, group, hint, mm, row, value_width};
use crate::shown::Shown;
use crate::view::{Selected, View};

use super::layers;
use super::outline::wall_edit;

/// How the templates are called, in their order.
const NAMES: [&str; 12] =
    ["1st", "2nd", "3rd", "4th", "5th", "6th", "7th", "8th", "9th", "10th", "11th", "12th"];

/// Which template is in hand, and a way to begin another.
pub(super) fn choose(ui: &mut Ui, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    row(ui, "Template", |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
            let here = view.template();
            for (number, name) in NAMES.iter().enumerate().take(1 + wall.further.len()) {
                if choice(ui, here == number, name).clicked() && here != number {
                    take(view, number);
                }
            }
            let more = wall.further.len() + 1 < NAMES.len();
            let hover = "Measured at another depth of the same wall. Bevels then come out of the templates.";
            if more && button(ui, "Add template", false).on_hover_text(hover).clicked() {
                let mut further = wall.further.clone();
                let mut next = Further::default();
                next.template.seen_from = wall.template.seen_from;
                next.template.stick = wall.template.stick;
                next.template.taken_at = TakenAt::FromInner(Length::default());
                further.push(next);
                take(view, further.len());
                queue.push(Action::Edit(wall_edit(wall, WallEdit::Further(further)), None));
            }
        });
    });
}

/// Takes another template in hand.
fn take(view: &mut View, number: usize) {
    view.take_template(number);
    view.selected = Selected::Step;
    view.new_edge = false;
}

/// What is to be said of a further template; nothing for the first.
pub(super) fn further(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let number = view.template();
    let Some(this) = number.checked_sub(1).and_then(|i| wall.further.get(i)) else { return };
    let with = |change: &dyn Fn(&mut Further)| -> Edit {
        let mut all = wall.further.clone();
        all.get_mut(number - 1).map(change);
        wall_edit(wall, WallEdit::Further(all))
    };
    layers::taken_at(ui, shown, wall, view, queue);
    group(ui, "It lies to the first one");
    let same = this.lies == Lies::AsFirst;
    let ways = [(true, "measured from the same place"), (false, "by its own bottom edge")];
    if let Some(as_first) = choices(ui, same, &ways) {
        let lies = if as_first { Lies::AsFirst } else { Lies::default() };
        queue.push(Action::Edit(with(&|f| f.lies = lies), None));
    }
    if let Lies::ByBottom { across, up, turn_deg } = this.lies {
        let up_word =
            if wall.stands == Stands::Upright { "Its left end, up" } else { "Its left end, forward" };
        for (label, current, right) in [("Its left end, right", across, true), (up_word, up, false)] {
            row(ui, label, |ui| {
                let key = Id::unique(("lies", wall.id, number, right));
                let bound = Bound { job: shown.job, key, name: label, hint: "", width: value_width(ui) };
                bound.length(ui, &mut view.drafts, Some(current), queue, |l| {
                    let l = l?;
                    let (across, up) = if right { (l, up) } else { (across, l) };
                    Some(with(&|f| f.lies = Lies::ByBottom { across, up, turn_deg }))
                });
            });
        }
        row(ui, "It is turned", |ui| {
            let key = Id::unique(("lies turned", wall.id, number));
            let bound = Bound { job: shown.job, key, name: "It is turned", hint: "", width: value_width(ui) };
            let read = |text: &str| {
                let turn_deg = parse_angle(text).map_err(|e| e.to_string())?.to_degrees();
                let way = if turn_deg < 0.0 { "to the right" } else { "to the left" };
                let echo = Some(format!("{} {way}", degrees(turn_deg.abs())));
                Ok(Read { value: with(&|f| f.lies = Lies::ByBottom { across, up, turn_deg }), echo })
            };
            bound.run(ui, &mut view.drafts, rounded(turn_deg, 6, "°"), queue, read);
        });
    }
    let words = if same {
        "Its points are typed in the first one's coordinates."
    } else {
        "From the left end of the first one's bottom (or after) edge to the left end of this one's, seen from inside the box."
    };
    hint(ui, words);
    matched(ui, shown, wall, number, &|edge| with(&|f| f.begins = edge), view, queue);
    group(ui, "");
    if button(ui, "Remove this template", false).clicked() {
        let mut all = wall.further.clone();
        all.remove(number - 1);
        take(view, 0);
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Further(all)), None));
    }
}

/// Which edges go together, and ways to change that.
fn matched(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    number: usize,
    begins: &dyn Fn(Option<EdgeId>) -> Edit,
    view: &View,
    queue: &mut Vec<Action>,
) {
    group(ui, "Its edges go with the first one's");
    let Some(plan) = shown.wall_plan(view) else { return };
    let pairs = pairs(plan, number);
    if pairs.is_empty() {
        hint(ui, "Shown once both outlines are closed and have as many edges.");
        return;
    }
    // The first one's names stand in the job itself, which has this template in its place here.
    let first = |id: EdgeId| side_name(plan.templates.first(), id);
    for (a, b) in &pairs {
        fact(ui, &first(*a), wall.template.edge(*b).map_or("?", |e| e.name.as_str()));
    }
    let base = wall.further.get(number - 1).and_then(|f| f.begins);
    ui.horizontal_wrapped(|ui| {
        let hover = "Each edge of the first goes with the next one round of this.";
        if button(ui, "One edge on", false).on_hover_text(hover).clicked()
            && let Some(next) = next_round(plan, number, &pairs)
        {
            queue.push(Action::Edit(begins(Some(next)), None));
        }
        if choice(ui, base.is_none(), "Nearest corners").clicked() && base.is_some() {
            queue.push(Action::Edit(begins(None), None));
        }
    });
    if let Some(loft) = &plan.loft {
        fact(ui, "Sure between them", &format!("± {}", mm(shown, loft.expected_error)));
    }
}

fn side_name(plan: Option<&coldwright_job::TemplatePlan>, id: EdgeId) -> String {
    let sides = plan.and_then(|t| t.outline.as_deref()).map(Outline::sides);
    let side = sides.and_then(|all| all.iter().find(|s| s.edge.id == id.0));
    side.map_or_else(|| "?".to_owned(), |s| s.edge.name.clone())
}

/// Edges of the first template with those of another that go with them.
pub(crate) fn pairs(plan: &WallPlan, number: usize) -> Vec<(EdgeId, EdgeId)> {
    let rows = plan.loft.iter().flat_map(|l| &l.matches);
    rows.filter_map(|row| Some((row.first().copied()??, row.get(number).copied()??))).collect()
}

/// The edge one on round this template from the one that goes with the first one's bottom edge.
fn next_round(plan: &WallPlan, number: usize, pairs: &[(EdgeId, EdgeId)]) -> Option<EdgeId> {
    let (first, this) =
        (plan.templates.first()?.outline.as_ref()?, plan.templates.get(number)?.outline.as_ref()?);
    // The bottom edge lies on the x axis of the wall, and is the one the document begins the match with.
    let bottom = first.sides().iter().find(|s| {
        let start = s.path.elements().first().and_then(kurbo::PathEl::end_point);
        start.is_some_and(|p| p.to_vec2().hypot() < 1e-6)
    })?;
    let now = pairs.iter().find(|(a, _)| a.0 == bottom.edge.id)?.1;
    let at = this.sides().iter().position(|s| s.edge.id == now.0)?;
    Some(EdgeId(this.sides()[(at + 1) % this.sides().len()].edge.id))
}
