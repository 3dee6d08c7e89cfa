//! One edge: its kind, bevel, gap and ticks.

use coldwright_geometry::EdgeKind;
use coldwright_job::{EdgeId, Stands, Wall, WallEdit};
use egui::{Id, Ui};

use crate::actions::{Action, Command};
use crate::edit_box::Bound;
use crate::parts::{NONE, choice, choices, fact, group, heading_with, hint, mm, row, small_mm, value_width};
use crate::shown::Shown;
use crate::view::{Selected, View};

use super::bevel;
use super::outline::wall_edit;

pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    id: EdgeId,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let Some(edge) = wall.template.edge(id) else { return };
    if heading_with(ui, &edge.name, "All edges") {
        view.selected = Selected::Step;
    }
    let side = shown.wall_plan(view).and_then(|w| w.outline.clone()).and_then(|o| {
        o.sides().iter().find(|s| s.edge.id == id.0).map(|s| (s.length, s.start_carry, s.end_carry))
    });
    fact(ui, "Corner to corner", &side.map_or(NONE.to_owned(), |(length, ..)| mm(shown, length)));
    group(ui, "");
    row(ui, "Edge name", |ui| {
        let bound = Bound {
            job: shown.job,
            key: Id::unique(("edge name", id)),
            name: "Edge name",
            hint: "",
            width: value_width(ui),
        };
        bound.words(ui, &mut view.drafts, &edge.name, queue, |n| wall_edit(wall, WallEdit::NameEdge(id, n)));
    });
    row(ui, "It runs", |ui| {
        let options = [(EdgeKind::Straight, "straight"), (EdgeKind::Fair, "fair")];
        if let Some(kind) = choices(ui, edge.kind, &options) {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::EdgeKind(id, kind)), None));
        }
    });
    let base = wall.template.base == Some(id);
    let word = match wall.stands {
        Stands::Upright => "This edge is the bottom",
        Stands::Floor | Stands::Lid => "This edge is the after edge",
    };
    if choice(ui, base, word).clicked() && !base {
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Base(id)), None));
    }
    bevel::show(ui, shown, wall, edge, view, queue);
    group(ui, "");
    row(ui, "Gap for foam", |ui| {
        let bound = Bound {
            job: shown.job,
            key: Id::unique(("gap", id)),
            name: "Gap",
            hint: "",
            width: value_width(ui),
        };
        bound.length(ui, &mut view.drafts, Some(edge.gap), queue, |l| {
            l.map(|l| wall_edit(wall, WallEdit::Gap(id, l)))
        });
    });
    row(ui, "Smooth, at most", |ui| {
        // Always there, so that nothing below moves when straight becomes fair.
        ui.add_enabled_ui(edge.kind == EdgeKind::Fair, |ui| {
            let key = Id::unique(("smoothing", id));
            let bound =
                Bound { job: shown.job, key, name: "Smoothing", hint: "0 to 2 mm", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(edge.smoothing), queue, |l| {
                l.map(|l| wall_edit(wall, WallEdit::Smoothing(id, l)))
            });
        });
    });
    group(ui, "Ticks on this edge");
    hint(
        ui,
        "The next click on the photo adds a tick at the end of this edge, or between two where it falls on their line.",
    );
    if choice(ui, view.new_edge, "New edge").on_hover_text(Command::NewEdge.hint(ui.ctx())).clicked() {
        view.new_edge = !view.new_edge;
    }
    let numbers = numbers(shown, wall, view);
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
        for tick in &edge.ticks {
            if choice(ui, false, &numbers(*tick)).clicked() {
                view.select_tick(*tick);
            }
        }
    });
    group(ui, "Carried past its ticks");
    let carried = |carry: Option<coldwright_geometry::Carry>| match carry {
        Some(c) if c.length > 0.05 => format!("{} ± {}", mm(shown, c.length), small_mm(1.96 * c.sd)),
        Some(_) => "measured corner".to_owned(),
        None => NONE.to_owned(),
    };
    fact(ui, "At its start", &carried(side.map(|s| s.1)));
    fact(ui, "At its end", &carried(side.map(|s| s.2)));
}

/// The number a tick is shown by.
pub(super) fn numbers<'a>(
    shown: &Shown<'a>,
    wall: &'a Wall,
    view: &View,
) -> impl Fn(coldwright_job::TickId) -> String + use<'a> {
    let plan = shown.wall_plan(view).map(|w| w.ticks.clone());
    move |id| {
        let placed = plan.as_ref().and_then(|t| t.iter().find(|t| t.id == id)).map(|t| t.number);
        let along = || {
            let mut seen = Vec::new();
            for t in wall.template.edges.iter().flat_map(|e| &e.ticks) {
                if !seen.contains(t) {
                    seen.push(*t);
                }
            }
            seen.iter().position(|t| *t == id).map(|i| i + 1)
        };
        placed.or_else(along).map_or_else(|| "?".to_owned(), |n| n.to_string())
    }
}
