//! The slim column: what belongs to the thing selected.

mod bevel;
mod edge;
mod job;
mod layers;
mod outline;
mod papers;
mod photo;

pub(crate) use photo::photo_index;

mod tick;
mod typed;

use coldwright_job::Step;
use egui::Ui;

use crate::actions::Action;
use crate::shown::Shown;
use crate::view::{Selected, View};

/// Draws the column for what is selected.
pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some(wall) = shown.wall(view).filter(|_| view.selected != Selected::Job) else {
        job::show(ui, shown, view, queue);
        return;
    };
    match (view.step, view.selected) {
        (Step::Photo, _) => photo::show(ui, shown, wall, view, queue),
        (Step::Outline, Selected::Edge(id)) => edge::show(ui, shown, wall, id, view, queue),
        (Step::Outline, Selected::Tick(id)) => tick::show(ui, shown, wall, id, view, queue),
        (Step::Outline, _) => outline::show(ui, shown, wall, view, queue),
        (Step::Layers, _) => layers::show(ui, shown, wall, view, queue),
        (Step::Papers, _) => papers::show(ui, shown, wall, view, queue),
    }
}
