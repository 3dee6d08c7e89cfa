//! The opening every piece must pass: its shape and its measures.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Edit, Opening, OpeningShape, apply};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{EditBox, Read, exactly};
use crate::parts::{choices, group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::opening_place;

/// An opening not yet measured whole: what has been said of it so far.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct OpeningDraft {
    kind: Option<Kind>,
    width: Option<Length>,
    height: Option<Length>,
}

#[derive(Copy, Clone, Debug, PartialEq, Eq)]
enum Kind {
    None,
    Rectangle,
    Round,
}

impl Kind {
    fn of(opening: Option<&Opening>) -> Kind {
        match opening.map(|o| o.shape) {
            None => Kind::None,
            Some(OpeningShape::Rectangle { .. }) => Kind::Rectangle,
            Some(OpeningShape::Round { .. }) => Kind::Round,
        }
    }
}

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "The opening pieces go in by");
    let is = shown.job.opening;
    let is_kind = Kind::of(is.as_ref());
    let kind = view.opening.kind.unwrap_or(is_kind);
    let kinds = [(Kind::None, "none"), (Kind::Rectangle, "rectangle"), (Kind::Round, "round")];
    if let Some(chosen) = choices(ui, kind, &kinds) {
        view.opening =
            OpeningDraft { kind: Some(chosen).filter(|k| *k != is_kind), ..OpeningDraft::default() };
        if chosen == Kind::None && is.is_some() {
            queue.push(Action::Edit(Edit::SetOpening(None), None));
            view.opening = OpeningDraft::default();
        }
    }
    match kind {
        Kind::None => hint(ui, "Without one, layers are only cut to fit the sheets."),
        Kind::Rectangle => rectangle(ui, shown, view, queue),
        Kind::Round => {
            let current = match is.map(|o| o.shape) {
                Some(OpeningShape::Round { diameter }) => Some(diameter),
                _ => None,
            };
            let of = |diameter| Edit::SetOpening(Some(with(is, OpeningShape::Round { diameter })));
            if let Some(d) = length(ui, shown, view, "Across", "Opening diameter", current, &of) {
                put(view, queue, of(d));
            }
            behind(ui, shown, view, queue);
        }
    }
}

fn rectangle(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let is = shown.job.opening;
    let (width, height, corner) = match is.map(|o| o.shape) {
        Some(OpeningShape::Rectangle { width, height, corner }) => (Some(width), Some(height), corner),
        _ => (view.opening.width, view.opening.height, Length::default()),
    };
    let of = |width, height, corner| {
        Edit::SetOpening(Some(with(is, OpeningShape::Rectangle { width, height, corner })))
    };
    // A side alone is held against a square of its own size until the other is given.
    let alone = |w| of(w, height.unwrap_or(w), corner);
    if let Some(w) = length(ui, shown, view, "Width", "Opening width", width, &alone) {
        match height {
            Some(h) => put(view, queue, of(w, h, corner)),
            None => view.opening.width = Some(w),
        }
    }
    let alone = |h| of(width.unwrap_or(h), h, corner);
    if let Some(h) = length(ui, shown, view, "Height", "Opening height", height, &alone) {
        match width {
            Some(w) => put(view, queue, of(w, h, corner)),
            None => view.opening.height = Some(h),
        }
    }
    match (width, height) {
        (Some(w), Some(h)) if is.is_some() => {
            let rounded = |c| of(w, h, c);
            let corner = Some(corner);
            if let Some(c) =
                length(ui, shown, view, "Corner radius", "Opening corner radius", corner, &rounded)
            {
                put(view, queue, of(w, h, c));
            }
            behind(ui, shown, view, queue);
        }
        _ => hint(ui, "Give both sides of the clear hole, frame or trim taken off."),
    }
}

fn behind(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some(opening) = shown.job.opening else { return };
    row(ui, "Free depth behind", |ui| {
        let bound = crate::edit_box::Bound {
            job: shown.job,
            key: Id::unique("Free depth behind the opening"),
            name: "Free depth behind the opening",
            hint: "not measured",
            width: value_width(ui),
        };
        bound.length(ui, &mut view.drafts, opening.behind, queue, |behind| {
            Some(Edit::SetOpening(Some(Opening { behind, ..opening })))
        });
    });
    opening_place::show(ui, shown, view, queue, (opening, "the opening"), &|o| Edit::SetOpening(Some(o)));
}

fn with(is: Option<Opening>, shape: OpeningShape) -> Opening {
    Opening { shape, behind: is.and_then(|o| o.behind), place: is.and_then(|o| o.place) }
}

fn put(view: &mut View, queue: &mut Vec<Action>, edit: Edit) {
    view.opening = OpeningDraft::default();
    queue.push(Action::Edit(edit, None));
}

/// A row with a length that is held against the job's rules before it is taken.
fn length(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut View,
    label: &str,
    name: &str,
    current: Option<Length>,
    edit: &dyn Fn(Length) -> Edit,
) -> Option<Length> {
    let job = shown.job;
    row(ui, label, |ui| {
        let boxed = EditBox {
            key: Id::unique(("opening", name)),
            name,
            current: current.map(|l| exactly(job.units, l)).unwrap_or_default(),
            hint: "measure it",
            width: value_width(ui),
            again: false,
        };
        let read = |text: &str| {
            let read = parse_length(text, job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
            Ok(Read { value: read.length, echo: Some(read.words) })
        };
        let accept = |l: &Length| apply(job, &edit(*l)).map(|_| ()).map_err(|e| e.to_string());
        boxed.show(ui, &mut view.drafts, read, accept)
    })
}
