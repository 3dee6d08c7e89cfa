//! The outline as a whole: how the wall stands, its edges, the next tick, and typed points where there is no photo.

use coldwright_geometry::EdgeKind;
use coldwright_job::{Height, Stands, Wall, WallEdit};
use egui::{Id, RichText, Ui, Vec2};

use crate::actions::{Action, Command};
use crate::edit_box::{Bound, EditBox, Read, exactly};
use crate::parts::{NONE, big, choice, choices, fact, group, heading, hint, hint_line, mm, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH};
use crate::view::View;

use super::{tape_checks, taped, templates, typed};

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &wall.name);
    let outline = shown.wall_plan(view).and_then(|w| w.outline.clone());
    let size = outline.as_ref().map(|o| o.bounds());
    let size =
        size.map_or(NONE.to_owned(), |b| format!("{} × {}", bare(shown, b.width()), mm(shown, b.height())));
    big(
        ui,
        &size,
        if outline.is_some() { "over all, wide and high" } else { "over all, once the edges close" },
    );
    fact(ui, "Once round", &outline.map_or(NONE.to_owned(), |o| mm(shown, o.perimeter())));
    let photo = wall.template.sightings.is_some();
    if photo {
        next_tick(ui, shown, wall, view);
    } else {
        if taped::how(ui, shown, wall, view, queue) {
            typed::next_point(ui, shown, wall, view, queue);
        }
    }
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
    templates::choose(ui, wall, view, queue);
    templates::further(ui, shown, wall, view, queue);
    if photo {
        edges(ui, wall, view);
        super::hole::list(ui, shown, wall, view, queue);
    } else {
        super::photo::seen_from(ui, wall, queue);
        edges(ui, wall, view);
        typed::drawing(ui, wall, queue);
        super::hole::list(ui, shown, wall, view, queue);
        typed::table(ui, shown, wall, view, queue);
    }
    tape_checks::show(ui, shown, wall, view, queue);
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
fn next_tick(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View) {
    group(ui, "The next click");
    ui.horizontal(|ui| {
        if choice(ui, view.new_edge, "New edge").on_hover_text(Command::NewEdge.hint(ui.ctx())).clicked() {
            view.new_edge = !view.new_edge;
        }
        let goes_on = view.edge().and_then(|id| wall.template.edge(id)).or(wall.template.edges.last());
        let words = match goes_on {
            Some(edge) if !view.new_edge => format!("It goes on with {}.", edge.name),
            _ => "It begins a new edge.".to_owned(),
        };
        hint_line(ui, &words);
    });
    let hover = "For a cut layer, a sheet of cardboard or a drawn line: click to click along its edge in the photo, and ticks are set along it.";
    if choice(ui, view.following.on, "Follow the photo's edge").on_hover_text(hover).clicked() {
        view.following.on = !view.following.on;
    }
    if view.following.on {
        hint(
            ui,
            "Each click follows the edge from the tick in hand. The upper edge of a cut layer stands as high as the layer is thick.",
        );
        height_box(ui, shown, view);
        return;
    }
    hint(ui, "Click on the upper rim of the stick. How many sticks lie there, one on the other?");
    if let Some(height) = laps(ui, view.height) {
        view.height = height;
    }
    height_box(ui, shown, view);
}

fn height_box(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let current = match view.height {
        Height::Stated(l) => exactly(shown.job.units, l),
        Height::Laps(_) => String::new(),
    };
    row(ui, "Or so high", |ui| {
        let boxed = EditBox {
            key: Id::unique("next height"),
            name: "Height of the next tick",
            current,
            hint: "above the floor",
            width: value_width(ui),
            again: false,
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
