//! A plain box as a start, typed before any template exists.

use coldwright_geometry::{Length, Writing, parse_angle, parse_length};
use coldwright_job::{Edit, TypedBox, apply};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{EditBox, Read, exactly};
use crate::parts::{button, choice, group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

/// The measures of a plain box: which one a row is of.
type Part = fn(&mut TypedBox) -> &mut Length;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "Begin with a plain box");
    hint(ui, "The empty space, hull to face. Its walls come joined; measure them one by one later.");
    let rows: [(&str, Part); 3] = [
        ("Fore and aft", |b| &mut b.length),
        ("Across at the floor", |b| &mut b.width),
        ("High", |b| &mut b.depth),
    ];
    for (label, part) in rows {
        length(ui, shown, view, label, part);
    }
    row(ui, "Hull side leans", |ui| {
        let boxed = EditBox {
            key: Id::unique(("plain box", "lean")),
            name: "Hull side leans",
            current: format!("{}°", view.typed_box.lean_deg),
            hint: "0°",
            width: value_width(ui),
            again: false,
        };
        let read = |text: &str| {
            let angle = parse_angle(text).map_err(|e| e.to_string())?;
            Ok(Read { value: (angle.to_degrees() * 1e6).round() / 1e6, echo: None })
        };
        let now = view.typed_box.clone();
        let accept = |lean: &f64| held(shown, TypedBox { lean_deg: *lean, ..now.clone() });
        if let Some(lean) = boxed.show(ui, &mut view.drafts, read, accept) {
            view.typed_box.lean_deg = lean;
        }
    });
    if choice(ui, view.typed_box.top, "With foam on top").clicked() {
        view.typed_box.top = !view.typed_box.top;
    }
    if button(ui, "Add its walls", false).clicked() {
        queue.push(Action::Edit(Edit::AddBox(view.typed_box.clone()), None));
    }
}

/// Whether the job takes the box.
fn held(shown: &Shown<'_>, typed: TypedBox) -> Result<(), String> {
    apply(shown.job, &Edit::AddBox(typed)).map(|_| ()).map_err(|e| e.to_string())
}

fn length(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, label: &str, part: Part) {
    let units = shown.job.units;
    row(ui, label, |ui| {
        let boxed = EditBox {
            key: Id::unique(("plain box", label)),
            name: label,
            current: exactly(units, *part(&mut view.typed_box)),
            hint: "measure it",
            width: value_width(ui),
            again: false,
        };
        let read = |text: &str| {
            let read = parse_length(text, units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
            Ok(Read { value: read.length, echo: Some(read.words) })
        };
        let now = view.typed_box.clone();
        let accept = |l: &Length| {
            let mut typed = now.clone();
            *part(&mut typed) = *l;
            held(shown, typed)
        };
        if let Some(l) = boxed.show(ui, &mut view.drafts, read, accept) {
            *part(&mut view.typed_box) = l;
        }
    });
}
