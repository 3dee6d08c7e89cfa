//! The thread that works the plan out: newest request wins, late answers are dropped.

use std::sync::mpsc::{Receiver, Sender, channel};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::thread;

use coldwright_job::{Job, Plan, Planner};

#[derive(Debug, Default)]
struct Inbox {
    next: Mutex<Next>,
    changed: Condvar,
}

#[derive(Debug, Default)]
struct Next {
    request: Option<(u64, Arc<Job>)>,
    stop: bool,
}

/// Asks for plans and hands them out.
#[derive(Debug)]
pub(super) struct PlanThread {
    inbox: Arc<Inbox>,
    answers: Receiver<(u64, Plan)>,
}

impl PlanThread {
    /// Starts the thread; `wake` is called when an answer is there.
    pub(super) fn start(wake: impl Fn() + Send + 'static) -> std::io::Result<PlanThread> {
        let inbox = Arc::new(Inbox::default());
        let theirs = inbox.clone();
        let (send, answers) = channel();
        thread::Builder::new().name("planner".to_owned()).spawn(move || work(&theirs, &send, wake))?;
        Ok(PlanThread { inbox, answers })
    }

    /// Asks for the plan of a revision; an older request that was not begun is forgotten.
    pub(super) fn ask(&self, revision: u64, job: Arc<Job>) {
        self.inbox.next.lock().unwrap_or_else(PoisonError::into_inner).request = Some((revision, job));
        self.inbox.changed.notify_one();
    }

    /// The newest answer that has come.
    pub(super) fn answer(&self) -> Option<(u64, Plan)> {
        self.answers.try_iter().last()
    }
}

impl Drop for PlanThread {
    fn drop(&mut self) {
        self.inbox.next.lock().unwrap_or_else(PoisonError::into_inner).stop = true;
        self.inbox.changed.notify_one();
    }
}

fn work(inbox: &Inbox, send: &Sender<(u64, Plan)>, wake: impl Fn()) {
    let mut planner = Planner::default();
    loop {
        let (revision, job) = {
            let mut next = inbox.next.lock().unwrap_or_else(PoisonError::into_inner);
            loop {
                if next.stop {
                    return;
                }
                match next.request.take() {
                    Some(request) => break request,
                    None => next = inbox.changed.wait(next).unwrap_or_else(PoisonError::into_inner),
                }
            }
        };
        if send.send((revision, planner.plan(&job))).is_err() {
            return;
        }
        wake();
    }
}
