//! Keys and dropped files: from what came in to commands, and from commands to wishes.

use coldwright_job::{Edit, Step, WallEdit};
use egui::Ui;

use crate::actions::{Action, Command, TABLE};
use crate::shown::Shown;
use crate::view::{Selected, View};

/// Commands asked for by keys in this frame.
pub(crate) fn asked(ui: &Ui, shown: &Shown<'_>, view: &mut View) -> Vec<Command> {
    let typing = ui.ctx().text_edit_focused();
    let mut out = Vec::new();
    for e in TABLE {
        let Some(key) = e.key.filter(|_| !(typing && e.not_while_typing)) else { continue };
        if ui.input_mut(|i| i.consume_shortcut(&key)) && (e.enabled)(shown, view) {
            out.push(e.command);
        }
    }
    if let Some(waiting) = view.after.take() {
        out.push(waiting);
    }
    out
}

/// Files dropped on the window: a job is opened, a drawing read, anything else is taken for a photo of the wall shown.
pub(crate) fn dropped(ui: &Ui, view: &View, queue: &mut Vec<Action>) {
    let paths: Vec<String> =
        ui.input(|i| i.raw.dropped_files.iter().map(|f| f.path().to_string_lossy().into_owned()).collect());
    for path in paths {
        queue.push(crate::path_field::action(path, view.wall));
    }
}

/// Carries commands out: those of the view at once, the others as wishes. One that leaves the document waits for a
/// half-typed text to be taken first.
pub(crate) fn run(ui: &Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>, asked: Vec<Command>) {
    for command in asked {
        let leaves = matches!(command, Command::Save | Command::SaveAs | Command::Open | Command::New);
        let typing = ui.ctx().text_edit_focused().then(|| ui.memory(egui::Memory::focused)).flatten();
        if let Some(id) = typing.filter(|_| leaves) {
            ui.memory_mut(|m| m.surrender_focus(id));
            view.after = Some(command);
            ui.ctx().request_repaint();
            continue;
        }
        match command {
            Command::Undo => queue.push(Action::Undo),
            Command::Redo => queue.push(Action::Redo),
            Command::Open => queue.push(Action::OpenJob(None)),
            Command::Save => queue.push(Action::SaveJob),
            Command::SaveAs => queue.push(Action::SaveJobAs(None)),
            Command::New => queue.push(Action::NewJob),
            Command::Theme => {
                view.dark = !view.dark;
                ui.ctx().request_repaint();
            }
            Command::Fit => {
                for eye in view.eyes.values_mut() {
                    eye.fit = true;
                }
                view.turn = View::default().turn;
                ui.ctx().request_repaint();
            }
            Command::Drop => {
                view.selected = Selected::Step;
                view.new_edge = false;
                view.drawing = None;
                (view.piece, view.seam, view.cutting, view.joint) = (None, None, false, None);
                ui.ctx().request_repaint();
            }
            Command::NewEdge => {
                view.new_edge = !view.new_edge;
                view.next_step = Some(Step::Outline);
            }
            Command::RemoveTick => edit(view, queue, WallEdit::RemoveTick),
            Command::Corner => {
                let corner = shown.wall(view).is_some_and(|w| view.tick().is_some_and(|t| is_corner(w, t)));
                edit(view, queue, |id| if corner { WallEdit::JoinAt(id) } else { WallEdit::MakeCorner(id) });
            }
        }
    }
}

fn edit(view: &View, queue: &mut Vec<Action>, of: impl Fn(coldwright_job::TickId) -> WallEdit) {
    if let (Some(wall), Some(tick)) = (view.wall, view.tick()) {
        queue.push(Action::Edit(Edit::Wall(wall, of(tick)), None));
    }
}

/// The word for what a corner at the tick does: it ends an edge there, takes the corner away, or closes the ring.
pub(crate) fn corner_word(wall: &coldwright_job::Wall, tick: Option<coldwright_job::TickId>) -> &'static str {
    match tick {
        Some(tick) if closes(wall, tick) => "Close the ring here",
        Some(tick) if is_corner(wall, tick) => "No corner",
        _ => "Corner here",
    }
}

/// Whether a corner at the tick closes the ring: it is the first of all, and the last edge does not end there yet.
pub(crate) fn closes(wall: &coldwright_job::Wall, tick: coldwright_job::TickId) -> bool {
    let edges = &wall.template.edges;
    edges.len() > 1
        && edges.first().is_some_and(|e| e.ticks.first() == Some(&tick))
        && edges.last().is_some_and(|e| !e.ticks.contains(&tick))
}

/// Whether a click on this tick now closes the ring: the person traces from corner to corner and has come to the last
/// edge. Edges that are carried to where they cross are closed by the word beside the tick only.
pub(crate) fn click_closes(wall: &coldwright_job::Wall, tick: coldwright_job::TickId, view: &View) -> bool {
    let Some(last) = wall.template.edges.last() else { return false };
    let begun_at_a_corner = last.ticks.first().is_some_and(|t| is_corner(wall, *t));
    let tracing = view.tick().is_some_and(|t| t == tick || last.ticks.last() == Some(&t));
    closes(wall, tick) && begun_at_a_corner && tracing && !view.new_edge
}

/// Whether two edges share the tick.
pub(crate) fn is_corner(wall: &coldwright_job::Wall, tick: coldwright_job::TickId) -> bool {
    wall.template.edges.iter().filter(|e| e.ticks.contains(&tick)).count() > 1
}
