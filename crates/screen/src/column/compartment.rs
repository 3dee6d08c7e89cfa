//! A second compartment behind a wall: a freezer beside the fridge, with an opening of its own.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Compartment, Edit, Opening, OpeningShape, Wall, compartment_behind};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{EditBox, Read, exactly};
use crate::parts::{button, button_if, group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::opening_place;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "A second compartment");
    for one in &shown.job.compartments {
        there(ui, shown, one, view, queue);
    }
    let Some(wall) = shown.wall(view) else { return };
    begin(ui, shown, wall, view, queue);
}

/// Begins one behind the wall shown.
fn begin(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    row(ui, "Call it", |ui| {
        let boxed = EditBox {
            key: Id::unique("compartment name"),
            name: "Name of the second compartment",
            current: view.compartment.clone(),
            hint: "Freezer",
            width: value_width(ui),
            again: false,
        };
        let read = |text: &str| Ok(Read { value: text.trim().to_owned(), echo: None });
        if let Some(name) = boxed.show(ui, &mut view.drafts, read, |_: &String| Ok(())) {
            view.compartment = name;
        }
    });
    let name = if view.compartment.is_empty() { "Freezer" } else { view.compartment.as_str() };
    match compartment_behind(shown.job, shown.plan, wall.id, name)
        .and_then(|edit| coldwright_job::apply(shown.job, &edit).map(|_| edit))
    {
        Ok(edit) => {
            if button(ui, &format!("Begin it behind {}", wall.name), false).clicked() {
                queue.push(Action::Edit(edit, None));
                view.compartment.clear();
            }
            hint(
                ui,
                "It gets its own wall there, back to back with this one. Add its other walls, join them to that one, and measure them.",
            );
        }
        Err(why) => {
            let _ = button_if(ui, &format!("Begin it behind {}", wall.name), false, false);
            hint(ui, &coldwright_job::sentence_case(&why.to_string()));
        }
    }
}

/// One that is there: where it is, and its opening.
fn there(ui: &mut Ui, shown: &Shown<'_>, one: &Compartment, view: &mut View, queue: &mut Vec<Action>) {
    let front = shown.job.wall(one.front).map_or("", |w| w.name.as_str());
    hint(ui, &format!("{}, behind {front}", one.name));
    let sides = match one.opening.map(|o| o.shape) {
        Some(OpeningShape::Rectangle { width, height, .. }) => [Some(width), Some(height)],
        Some(OpeningShape::Round { diameter }) => [Some(diameter), Some(diameter)],
        None => [None, None],
    };
    for (at, label) in ["Opening, width", "Opening, height"].into_iter().enumerate() {
        row(ui, label, |ui| {
            let key = ("compartment opening", one.back, at);
            let slot = view.compartment_sides.get(&one.back).copied().unwrap_or(sides);
            let boxed = EditBox {
                key: Id::unique(key),
                name: &format!("{label} of {}", one.name),
                current: slot[at].map(|l| exactly(shown.job.units, l)).unwrap_or_default(),
                hint: "none",
                width: value_width(ui),
                again: false,
            };
            let read = |text: &str| {
                let read =
                    parse_length(text, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
                Ok(Read { value: read.length, echo: Some(read.words) })
            };
            let edit = |l: Length| {
                let mut both = slot;
                both[at] = Some(l);
                let is = one.opening;
                let opening = both[0].zip(both[1]).map(|(width, height)| Opening {
                    shape: OpeningShape::Rectangle { width, height, corner: Length::default() },
                    behind: is.and_then(|o| o.behind),
                    place: is.and_then(|o| o.place),
                });
                (both, opening.map(|o| Edit::CompartmentOpening(one.back, Some(o))))
            };
            let accept = |l: &Length| match edit(*l).1 {
                Some(edit) => coldwright_job::apply(shown.job, &edit).map(|_| ()).map_err(|e| e.to_string()),
                None => Ok(()),
            };
            if let Some(l) = boxed.show(ui, &mut view.drafts, read, accept) {
                let (both, edit) = edit(l);
                view.compartment_sides.insert(one.back, both);
                if let Some(edit) = edit {
                    view.compartment_sides.remove(&one.back);
                    queue.push(Action::Edit(edit, None));
                }
            }
        });
    }
    if let Some(opening) = one.opening {
        let name = format!("the opening of {}", one.name);
        opening_place::show(ui, shown, view, queue, (opening, &name), &|o| {
            Edit::CompartmentOpening(one.back, Some(o))
        });
    }
    if one.opening.is_some() && button(ui, "Nothing in the way", false).clicked() {
        queue.push(Action::Edit(Edit::CompartmentOpening(one.back, None), None));
    }
}
