//! All that the screen may ask, and the one table of commands with label, hint, shortcut and enabled-rule.

use std::sync::Arc;

use coldwright_job::{DrawnFile, Edit, Step, WallId};
use egui::{Key, KeyboardShortcut, Modifiers};

use crate::icons::Icon;
use crate::shown::Shown;
use crate::view::View;

/// A wish of the person, carried out by the program after the frame is drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Action {
    /// Change the job. Edits with the same gesture key are one undo step.
    Edit(Edit, Option<u64>),
    /// The gesture is over.
    EndGesture,
    /// One step back.
    Undo,
    /// One step forward.
    Redo,
    /// Begin an empty job.
    NewJob,
    /// Open a job: the path typed or dropped, or `None` to ask with the system's dialog.
    OpenJob(Option<String>),
    /// Save where it was opened; ask where it has no file yet.
    SaveJob,
    /// Save to this path, or ask.
    SaveJobAs(Option<String>),
    /// Put a photo into the job.
    AddPhoto {
        /// The wall it shows; `None` for a new wall.
        wall: Option<WallId>,
        /// The path typed or dropped, or `None` to ask.
        path: Option<String>,
    },
    /// Put a table of taped numbers from a file in the place of a wall's table.
    ReadTable {
        /// The wall.
        wall: WallId,
        /// The path typed or dropped, or `None` to ask.
        path: Option<String>,
    },
    /// Read a drawing file (SVG or DXF) for a wall.
    AddDrawing {
        /// The wall it shows; a new one where it is `None` or has points already.
        wall: Option<WallId>,
        /// The path typed or dropped, or `None` to ask.
        path: Option<String>,
    },
    /// Make an outline of a drawing file that was read a wall's template.
    TakeDrawing {
        /// The wall it shows.
        wall: Option<WallId>,
        /// The file.
        file: Arc<DrawnFile>,
        /// Which outline, from 0.
        outline: usize,
        /// Millimetres in the file's unit.
        unit_mm: f64,
    },
    /// Make all papers.
    MakePapers {
        /// The folder typed, or `None` to ask.
        folder: Option<String>,
    },
    /// Look for the best way to lay the pieces out on the sheets.
    LayOut,
    /// End the search for a layout with the best it has; nothing else under way is touched.
    StopLaying,
    /// Show the folder the last papers are in with the system's own means.
    ShowFolder(String),
    /// Take a message away.
    Dismiss(u64),
    /// Take up the recovered work.
    TakeUpRecovered,
    /// Leave the recovered work.
    LeaveRecovered,
    /// Stop waiting for the work under way; the search for a layout goes on.
    Cancel,
    /// End the program.
    Quit,
    /// Open one of the shipped samples, from 0.
    OpenSample(usize),
}

/// A command that has a button, a key, or both.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Command {
    /// Back.
    Undo,
    /// Forward.
    Redo,
    /// Open a job.
    Open,
    /// Save the job.
    Save,
    /// Light or dark.
    Theme,
    /// Show all of the board.
    Fit,
    /// Select nothing.
    Drop,
    /// Take the selected tick away.
    RemoveTick,
    /// Make the selected tick a corner, or no corner.
    Corner,
    /// The next click begins a new edge.
    NewEdge,
    /// Save under another name.
    SaveAs,
    /// An empty job.
    New,
}

/// What the table says about a command.
#[derive(Copy, Clone, Debug)]
pub struct Entry {
    /// The command.
    pub command: Command,
    /// The word on its button.
    pub label: &'static str,
    /// One sentence.
    pub hint: &'static str,
    /// Its icon, for commands in the chain.
    pub icon: Option<Icon>,
    /// Its key, without those that only work while no text box has the keyboard.
    pub key: Option<KeyboardShortcut>,
    /// Whether the key is left alone while a text box has the keyboard.
    pub not_while_typing: bool,
    /// Whether it can be done now.
    pub enabled: fn(&Shown<'_>, &View) -> bool,
}

const fn key(modifiers: Modifiers, key: Key) -> Option<KeyboardShortcut> {
    Some(KeyboardShortcut::new(modifiers, key))
}

const fn entry(
    command: Command,
    label: &'static str,
    hint: &'static str,
    icon: Option<Icon>,
    key: Option<KeyboardShortcut>,
    not_while_typing: bool,
    enabled: fn(&Shown<'_>, &View) -> bool,
) -> Entry {
    Entry { command, label, hint, icon, key, not_while_typing, enabled }
}

const SHIFT_COMMAND: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

/// A tick is selected and on the board: a key must not touch what is not in sight.
fn tick_in_hand(_: &Shown<'_>, view: &View) -> bool {
    view.step == Step::Outline && view.tick().is_some()
}

/// Every command. Longer shortcuts stand before shorter ones with the same key.
pub const TABLE: &[Entry] = &[
    entry(
        Command::Redo,
        "Redo",
        "Take the undone step again.",
        Some(Icon::Redo),
        key(SHIFT_COMMAND, Key::Z),
        true,
        |s, _| s.can_redo,
    ),
    entry(
        Command::Undo,
        "Undo",
        "Go back one step.",
        Some(Icon::Undo),
        key(Modifiers::COMMAND, Key::Z),
        true,
        |s, _| s.can_undo,
    ),
    entry(
        Command::Open,
        "Open…",
        "Open a job from a file.",
        Some(Icon::Open),
        key(Modifiers::COMMAND, Key::O),
        false,
        |_, _| true,
    ),
    entry(
        Command::SaveAs,
        "Save as…",
        "Save the job under another name.",
        None,
        key(SHIFT_COMMAND, Key::S),
        false,
        |_, _| true,
    ),
    entry(
        Command::Save,
        "Save",
        "Save the job.",
        Some(Icon::Save),
        key(Modifiers::COMMAND, Key::S),
        false,
        |s, _| s.unsaved || s.file_name.is_none(),
    ),
    entry(
        Command::New,
        "New job",
        "Begin an empty job.",
        None,
        key(Modifiers::COMMAND, Key::N),
        false,
        |_, _| true,
    ),
    entry(
        Command::Theme,
        "Light or dark",
        "Change between the light and the dark theme.",
        Some(Icon::Light),
        None,
        false,
        |_, _| true,
    ),
    entry(
        Command::Fit,
        "Fit",
        "Show all of it.",
        Some(Icon::Fit),
        key(Modifiers::NONE, Key::F),
        true,
        |_, _| true,
    ),
    entry(
        Command::Drop,
        "Select nothing",
        "Let go of what is selected.",
        None,
        key(Modifiers::NONE, Key::Escape),
        true,
        |_, _| true,
    ),
    entry(
        Command::RemoveTick,
        "Remove tick",
        "Take the selected tick away.",
        None,
        key(Modifiers::NONE, Key::Delete),
        true,
        tick_in_hand,
    ),
    entry(
        Command::Corner,
        "Corner here",
        "End the edge at this tick and begin the next one with it.",
        None,
        key(Modifiers::NONE, Key::C),
        true,
        tick_in_hand,
    ),
    entry(
        Command::NewEdge,
        "New edge",
        "The next click begins a new edge.",
        None,
        key(Modifiers::NONE, Key::N),
        true,
        |_, v| v.wall.is_some(),
    ),
];

impl Command {
    /// The command's line in the table.
    pub fn entry(self) -> &'static Entry {
        TABLE.iter().find(|e| e.command == self).unwrap_or(&TABLE[0])
    }

    /// Label and key for a hover hint.
    pub fn hint(self, ctx: &egui::Context) -> String {
        let e = self.entry();
        match e.key {
            Some(k) => format!("{} ({})", e.hint, ctx.format_shortcut(&k)),
            None => e.hint.to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_command_stands_once_and_no_key_twice() {
        for (i, a) in TABLE.iter().enumerate() {
            assert!(a.label.chars().next().unwrap().is_uppercase() && a.hint.ends_with('.'));
            for b in &TABLE[i + 1..] {
                assert_ne!(a.command, b.command);
                assert!(a.key.is_none() || a.key != b.key, "{:?} and {:?}", a.command, b.command);
            }
        }
    }
}
