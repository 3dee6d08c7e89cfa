//! The job: its name, units and file, and its walls.

use coldwright_job::{Edit, Units, WallEdit};
use egui::{Id, Ui};

use crate::actions::{Action, Command};
use crate::edit_box::Bound;
use crate::parts::{
    button, choices, command, group, group_with, heading, heading_with, hint, rest, row, value_width,
};
use crate::path_field;
use crate::shown::Shown;
use crate::view::{Selected, View};

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    if shown.wall(view).is_none() {
        heading(ui, "Job and walls");
    } else if heading_with(ui, "Job and walls", "Done") {
        view.selected = Selected::Step;
    }
    let job = shown.job;
    row(ui, "Job name", |ui| {
        let bound = Bound {
            job,
            key: Id::unique("job name"),
            name: "Job name",
            hint: "",
            width: value_width_left(ui),
        };
        bound.words(ui, &mut view.drafts, &job.name, queue, Edit::NameJob);
    });
    row(ui, "Lengths in", |ui| {
        let options = [(Units::Millimetres, "mm"), (Units::Inches, "inches")];
        if let Some(units) = choices(ui, job.units, &options) {
            queue.push(Action::Edit(Edit::SetUnits(units), None));
        }
    });

    if group_with(ui, "Walls", "Add wall") {
        queue.push(Action::Edit(Edit::AddWall { name: job.free_wall_name() }, None));
    }
    for wall in &job.walls {
        ui.horizontal(|ui| {
            let here = view.wall == Some(wall.id);
            let width = ui.available_width() - 68.0 - 8.0;
            let label = egui::RichText::new(&wall.name);
            let choice = ui
                .push_id(wall.id, |ui| {
                    let size = egui::vec2(width, crate::theme::TOUCH);
                    let choice = egui::Button::selectable(here, (label, egui::Atom::grow()));
                    ui.allocate_ui(size, |ui| {
                        ui.set_max_width(width);
                        ui.add_sized(size, choice.truncate().frame_when_inactive(true))
                    })
                    .inner
                })
                .inner;
            if choice.clicked() {
                view.wall = Some(wall.id);
            }
            let remove = rest(ui, "Remove", true);
            let remove = remove.accessible_name(format!("Remove wall {}", wall.name));
            if remove.on_hover_text("Undo brings it back.").clicked() {
                queue.push(Action::Edit(Edit::RemoveWall(wall.id), None));
            }
        });
    }
    if let Some(wall) = shown.wall(view) {
        row(ui, "Rename", |ui| {
            let key = Id::unique(("wall name", wall.id));
            let bound = Bound { job, key, name: "Wall name", hint: "", width: value_width_left(ui) };
            bound.words(ui, &mut view.drafts, &wall.name, queue, |n| Edit::Wall(wall.id, WallEdit::Name(n)));
        });
    } else {
        hint(ui, "A wall is one side of the box: a hull side, a floor, a lid.");
    }

    group(ui, "File");
    hint(ui, &file_words(shown));
    path_field::job(ui, view, queue);
    let typed = view.job_path.trim().to_owned();
    ui.horizontal_wrapped(|ui| {
        if button(ui, "Open…", false).clicked() {
            queue.push(Action::OpenJob(Some(typed.clone()).filter(|t| !t.is_empty())));
        }
        if button(ui, "Save as…", false).clicked() {
            queue.push(Action::SaveJobAs(Some(typed.clone()).filter(|t| !t.is_empty())));
        }
        for (index, label) in ["First sample", "Second sample"].into_iter().enumerate() {
            if button(ui, label, false).clicked() {
                queue.push(Action::OpenSample(index));
            }
        }
        if command(ui, Command::New, shown, view, false).clicked() {
            queue.push(Action::NewJob);
        }
    });
    hint(ui, "With a path typed, Open and Save as use it; without one they ask.");
    if job.walls.is_empty() {
        super::plain_box::show(ui, shown, view, queue);
    }
}

fn value_width_left(ui: &Ui) -> f32 {
    value_width(ui).min(ui.available_width())
}

fn file_words(shown: &Shown<'_>) -> String {
    match (shown.file_name, shown.unsaved) {
        (Some(name), true) => format!("{name}, with changes that are not saved."),
        (Some(name), false) => format!("{name}, saved."),
        (None, _) => "This job has no file yet.".to_owned(),
    }
}
