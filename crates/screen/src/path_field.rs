//! Fields for typed paths: beside every file dialog, for where none can be opened.

use coldwright_job::WallId;
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{EditBox, Read};
use crate::parts::{button, hint};
use crate::view::View;

/// What a path is asked for.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum PathFor {
    Photo,
    /// A table of taped numbers.
    Table,
    /// A job to be opened.
    Open,
    /// The job, to be saved.
    Save,
    Folder,
}

/// What the wishes of this frame ask a dialog for, if anything.
pub(crate) fn asked_for(queue: &[Action]) -> Option<PathFor> {
    queue.iter().rev().find_map(|action| match action {
        Action::AddPhoto { path: None, .. } | Action::AddDrawing { path: None, .. } => Some(PathFor::Photo),
        Action::ReadTable { path: None, .. } => Some(PathFor::Table),
        Action::OpenJob(None) => Some(PathFor::Open),
        Action::SaveJob | Action::SaveJobAs(None) => Some(PathFor::Save),
        Action::MakePapers { folder: None } => Some(PathFor::Folder),
        _ => None,
    })
}

/// A box for a path. Gives the path at the moment it is taken, and whether that was by Enter.
pub(crate) fn path_box(ui: &mut Ui, view: &mut View, of: PathFor) -> Option<(String, bool)> {
    let (name, hint, current) = match of {
        PathFor::Photo => ("Path of a photo", "path of a photo or drawing", view.photo_path.clone()),
        PathFor::Table => ("Path of a table", "or its path, then Enter", view.table_path.clone()),
        PathFor::Open => ("Path of the job to open", "path of a job file", view.job_path.clone()),
        PathFor::Save => ("Path to save the job to", "path of a job file", view.job_path.clone()),
        PathFor::Folder => ("Folder for the papers", "folder", view.folder.clone()),
    };
    // One field for both ways a job's path is asked for: what is typed stays when the other is asked.
    let job = matches!(of, PathFor::Open | PathFor::Save);
    let key = Id::unique(if job { "Path of the job file" } else { name });
    if view.focus_path == Some(of) {
        view.focus_path = None;
        ui.memory_mut(|m| m.request_focus(key));
    }
    let enter = ui.input(|i| i.key_pressed(egui::Key::Enter));
    let boxed = EditBox { key, name, current, hint, width: ui.available_width(), again: true };
    let read = |text: &str| Ok(Read { value: text.trim().to_owned(), echo: None });
    let path = boxed.show(ui, &mut view.drafts, read, |_| Ok(()))?;
    match of {
        PathFor::Photo => view.photo_path.clone_from(&path),
        PathFor::Table => view.table_path.clone_from(&path),
        PathFor::Open | PathFor::Save => view.job_path.clone_from(&path),
        PathFor::Folder => view.folder.clone_from(&path),
    }
    Some((path, enter))
}

/// A path field for a photo with its button, and the hint about dropping.
pub(crate) fn photo(ui: &mut Ui, wall: Option<WallId>, view: &mut View, queue: &mut Vec<Action>) {
    let go = path_box(ui, view, PathFor::Photo).is_some_and(|(_, enter)| enter);
    let label = if is_drawing(&view.photo_path) { "Add this drawing" } else { "Add this photo" };
    let add = !view.photo_path.is_empty() && button(ui, label, true).clicked();
    if (add || go) && !view.photo_path.is_empty() {
        queue.push(action(std::mem::take(&mut view.photo_path), wall));
    }
    hint(ui, "Or drop a photo, or an SVG or DXF drawing, on the window.");
}

/// The path field of the job, with a word that says what Enter does: what was asked for last.
pub(crate) fn job(ui: &mut Ui, view: &mut View, queue: &mut Vec<Action>) {
    let of = if view.asked_job == PathFor::Save { PathFor::Save } else { PathFor::Open };
    let (word, wish): (_, fn(Option<String>) -> Action) = match of {
        PathFor::Save => ("Save the job to this path, with Enter:", Action::SaveJobAs),
        _ => ("Open the job at this path, with Enter:", Action::OpenJob),
    };
    hint(ui, word);
    if let Some((path, true)) = path_box(ui, view, of)
        && !path.is_empty()
    {
        queue.push(wish(Some(path)));
    }
}

fn is_drawing(path: &str) -> bool {
    let path = path.trim_matches(['"', '\'', ' ']).to_lowercase();
    path.ends_with(".svg") || path.ends_with(".dxf")
}

/// What a path is for, by its ending: a job is opened, a drawing is read, anything else is taken for a photo.
pub(crate) fn action(path: String, wall: Option<WallId>) -> Action {
    let name = path.to_lowercase();
    if name.ends_with(".coldwright") {
        Action::OpenJob(Some(path))
    } else if let (true, Some(wall)) = ([".csv", ".txt", ".tsv"].iter().any(|e| name.ends_with(e)), wall) {
        Action::ReadTable { wall, path: Some(path) }
    } else if is_drawing(&path) {
        Action::AddDrawing { wall, path: Some(path) }
    } else {
        Action::AddPhoto { wall, path: Some(path) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ending_says_what_a_path_is_for() {
        assert_eq!(
            action("/a/Box.COLDWRIGHT".into(), None),
            Action::OpenJob(Some("/a/Box.COLDWRIGHT".into()))
        );
        assert!(matches!(action("/a/b.CSV".into(), Some(WallId(3))), Action::ReadTable { .. }));
        for drawing in ["/a/Hull.DXF", "b.svg"] {
            assert!(matches!(action(drawing.into(), None), Action::AddDrawing { wall: None, path: Some(_) }));
        }
        assert!(matches!(
            action("/a/b.jpg".into(), Some(WallId(3))),
            Action::AddPhoto { wall: Some(WallId(3)), .. }
        ));
    }
}
