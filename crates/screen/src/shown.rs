//! All that the screen may read.

use std::collections::BTreeMap;
use std::sync::Arc;

use coldwright_canvas::Picture;
use coldwright_job::{Job, LaidOut, PhotoId, Plan, Severity, Step, Wall, WallPlan};

use crate::view::View;

/// Document, results and state of the program, borrowed for one frame.
#[derive(Copy, Clone, Debug)]
pub struct Shown<'a> {
    /// The document.
    pub job: &'a Job,
    /// Whether undo would change anything.
    pub can_undo: bool,
    /// Whether redo would change anything.
    pub can_redo: bool,
    /// Whether there is work that is not on disk.
    pub unsaved: bool,
    /// Name of the job's file, without folders; `None` while it has none.
    pub file_name: Option<&'a str>,
    /// The last plan worked out.
    pub plan: &'a Plan,
    /// False while a newer plan is being worked out: the last one is shown, marked out of date.
    pub plan_is_current: bool,
    /// Decoded photos that have arrived.
    pub pictures: &'a BTreeMap<PhotoId, Arc<Picture>>,
    /// Work under way.
    pub busy: &'a [Busy],
    /// The best layout of the sheets so far, while one is being looked for.
    pub laying: Option<&'a Arc<LaidOut>>,
    /// Messages, shown in a quiet strip until dismissed.
    pub messages: &'a [Message],
    /// Work that can be taken up again, as a sentence.
    pub recovered: Option<&'a str>,
    /// The last papers made.
    pub made: Option<&'a Made>,
}

/// Work under way.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Busy {
    /// The step it is for.
    pub step: Step,
    /// What is being done, a few words without full stop.
    pub words: String,
}

/// One message to the person.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Message {
    /// Its number, for dismissing it.
    pub id: u64,
    /// How much it matters.
    pub severity: Severity,
    /// One sentence: what, where, what to do.
    pub sentence: String,
}

/// The last papers made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Made {
    /// The folder they are in.
    pub folder: String,
    /// Their names and sizes in bytes, in the order made.
    pub files: Vec<(String, u64)>,
}

impl<'a> Shown<'a> {
    /// The wall the view is on.
    pub fn wall(&self, view: &View) -> Option<&'a Wall> {
        view.wall.and_then(|id| self.job.wall(id))
    }

    /// What follows from the wall the view is on.
    pub fn wall_plan(&self, view: &View) -> Option<&'a WallPlan> {
        view.wall.and_then(|id| self.plan.wall(id))
    }
}
