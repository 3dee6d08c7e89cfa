//! The outline as a whole: how the wall stands, its edges, the next tick, and typed points where there is no photo.

use coldwright_geometry::EdgeKind;
use coldwright_job::{Height, Stands, Step, Wall, WallEdit};
use egui::{Id, RichText, Ui, Vec2};

use crate::actions::{Action, Command};
use crate::edit_box::{Bound, EditBox, Read};
use crate::parts::{big, choices, command, fact, group, heading, hint, mm, problems, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH};
use crate::view::View;

use super::typed;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &wall.name);
    if let Some(outline) = shown.wall_plan(view).and_then(|w| w.outline.clone()) {
        let b = outline.bounds();
        big(
            ui,
            &format!("{} × {}", bare(shown, b.width()), mm(shown, b.height())),
            "over all, wide and high",
        );
        fact(ui, "Once round", &mm(shown, outline.perimeter()));
    } else if shown.wall_plan(view).is_none_or(|w| w.problems.is_empty()) {
        hint(ui, "An outline needs at least two edges that close, and three ticks.");
    }
    problems(ui, shown, view, Step::Outline);
    group(ui, "");
    row(ui, "Wall name", |ui| {
        let key = Id::unique(("wall name", wall.id));
        let bound = Bound { job: shown.job, key, name: "Wall name", hint: "", width: value_width(ui) };
        bound.words(ui, &mut view.drafts, &wall.name, queue, |n| wall_edit(wall, WallEdit::Name(n)));
    });
    row(ui, "It is", |ui| {
        let options = [(Stands::Upright, "a side"), (Stands::Floor, "a floor"), (Stands::Lid, "a lid")];
        if let Some(stands) = choices(ui, wall.stands, &options) {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Stands(stands)), None));
        }
    });
    edges(ui, wall, view);
    if wall.template.sightings.is_some() {
        next_tick(ui, shown, view);
    } else {
        typed::table(ui, shown, wall, view, queue);
        group(ui, "");
        super::photo::seen_from(ui, wall, queue);
    }
}

/// An edit of this wall.
pub(super) fn wall_edit(wall: &Wall, edit: WallEdit) -> coldwright_job::Edit {
    coldwright_job::Edit::Wall(wall.id, edit)
}

/// A length without its unit, for pairs that share one.
fn bare(shown: &Shown<'_>, value: f64) -> String {
    let text = mm(shown, value);
    text.trim_end_matches(|c: char| c.is_alphabetic()).trim_end().to_owned()
}

fn edges(ui: &mut Ui, wall: &Wall, view: &mut View) {
    if wall.template.edges.is_empty() {
        return;
    }
    group(ui, "Edges");
    let p = Palette::at(ui);
    for edge in &wall.template.edges {
        ui.push_id(edge.id, |ui| {
            let kind = match edge.kind {
                EdgeKind::Straight => "straight",
                EdgeKind::Fair => "fair",
            };
            let base = if wall.template.base == Some(edge.id) { base_word(wall) } else { "" };
            let said = base.split([',', ' ']).next().is_some_and(|w| edge.name.to_lowercase().contains(w));
            let base = if said { "" } else { base };
            let button = egui::Button::new(RichText::new(&edge.name))
                .right_text(RichText::new(format!("{base}{kind}, {} ticks", edge.ticks.len())).color(p.quiet))
                .truncate()
                .min_size(Vec2::new(ui.available_width(), TOUCH));
            if ui.add(button).clicked() {
                view.select_edge(edge.id);
            }
        });
    }
}

fn base_word(wall: &Wall) -> &'static str {
    match wall.stands {
        Stands::Upright => "bottom, ",
        Stands::Floor | Stands::Lid => "after edge, ",
    }
}

/// Height and edge of the tick that the next click adds.
fn next_tick(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    group(ui, "The next click");
    if view.new_edge {
        hint(ui, "It begins a new edge.");
    }
    if command(ui, Command::NewEdge, shown, view, view.new_edge).clicked() {
        view.new_edge = !view.new_edge;
    }
    hint(ui, "Click on the upper rim of the stick. How many sticks lie there, one on the other?");
    if let Some(height) = laps(ui, view.height) {
        view.height = height;
    }
    let current = match view.height {
        Height::Stated(l) => shown.job.show(l),
        Height::Laps(_) => String::new(),
    };
    row(ui, "Or so high", |ui| {
        let boxed = EditBox {
            key: Id::unique("next height"),
            name: "Height of the next tick",
            current,
            hint: "above the floor",
            width: value_width(ui),
        };
        let read = |text: &str| {
            coldwright_geometry::parse_length(
                text,
                shown.job.units.bare(),
                coldwright_geometry::Writing::Plain,
            )
            .map(|r| Read { value: r.length, echo: Some(r.words) })
            .map_err(|e| e.to_string())
        };
        if let Some(length) = boxed.show(ui, &mut view.drafts, read, |_| Ok(())) {
            view.height = Height::Stated(length);
        }
    });
}

/// One, two or three sticks.
pub(super) fn laps(ui: &mut Ui, current: Height) -> Option<Height> {
    let options = [
        (Height::Laps(0), "on the floor"),
        (Height::Laps(1), "1 stick"),
        (Height::Laps(2), "2"),
        (Height::Laps(3), "3"),
    ];
    choices(ui, current, &options)
}
