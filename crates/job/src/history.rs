//! Undo and redo: a list of documents, each a small value.

use std::sync::Arc;

use crate::document::Job;
use crate::edit::{Edit, apply};
use crate::error::JobError;

/// The documents a person has been through since the file was opened, and where they stand.
#[derive(Clone, Debug)]
pub struct History {
    past: Vec<Arc<Job>>,
    now: Arc<Job>,
    future: Vec<Arc<Job>>,
    revision: u64,
    gesture: Option<u64>,
    saved: Arc<Job>,
}

impl History {
    /// Starts from a document that is as it stands on disk.
    pub fn new(job: Job) -> History {
        let now = Arc::new(job);
        History { past: Vec::new(), saved: now.clone(), now, future: Vec::new(), revision: 0, gesture: None }
    }

    /// Starts from work that is not on disk: taken up again after a crash.
    pub fn not_on_disk(job: Job) -> History {
        History { saved: Arc::new(Job::default()), ..History::new(job) }
    }

    /// The document as it is.
    pub fn job(&self) -> &Arc<Job> {
        &self.now
    }

    /// Rises by one with every change of the document, undo and redo included.
    pub fn revision(&self) -> u64 {
        self.revision
    }

    /// Applies an edit. Edits with the same `gesture` key (the steps of one drag, of one spell of typing) are one
    /// undo step. An edit that changes nothing leaves the revision alone.
    ///
    /// # Errors
    /// As [`apply`]; nothing changes then.
    pub fn edit(&mut self, edit: &Edit, gesture: Option<u64>) -> Result<bool, JobError> {
        let mut next = apply(&self.now, edit)?;
        // A number taken and not used is no change.
        let spent = std::mem::replace(&mut next.next_id, self.now.next_id);
        if next == *self.now {
            return Ok(false);
        }
        next.next_id = spent;
        if gesture.is_none() || gesture != self.gesture {
            self.past.push(self.now.clone());
        }
        self.gesture = gesture;
        self.now = Arc::new(next);
        self.future.clear();
        self.revision += 1;
        Ok(true)
    }

    /// Ends a gesture: the next edit is an undo step of its own.
    pub fn end_gesture(&mut self) {
        self.gesture = None;
    }

    /// Back to the document before the last step; `false` at the opening of the file.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.past.pop() else { return false };
        self.future.push(std::mem::replace(&mut self.now, before));
        self.moved();
        true
    }

    /// Forward again; `false` when there is nothing to redo.
    pub fn redo(&mut self) -> bool {
        let Some(after) = self.future.pop() else { return false };
        self.past.push(std::mem::replace(&mut self.now, after));
        self.moved();
        true
    }

    /// Whether undo would change anything.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// Whether redo would change anything.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// The document as it is now stands on disk.
    pub fn mark_saved(&mut self, saved: Arc<Job>) {
        self.saved = saved;
    }

    /// Whether there is work that is not on disk.
    pub fn unsaved(&self) -> bool {
        !Arc::ptr_eq(&self.saved, &self.now) && self.saved != self.now
    }

    fn moved(&mut self) {
        self.gesture = None;
        self.revision += 1;
    }
}
