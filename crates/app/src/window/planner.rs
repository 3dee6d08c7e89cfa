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

/// Which job, counted by those opened or begun, and which revision of it.
pub(super) type Asked = (u64, u64);

#[derive(Debug, Default)]
struct Next {
    request: Option<(Asked, Arc<Job>)>,
    stop: bool,
}

/// Asks for plans and hands them out.
#[derive(Debug)]
pub(super) struct PlanThread {
    inbox: Arc<Inbox>,
    answers: Receiver<(Asked, Plan)>,
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

    /// Asks for the plan of a job; an older request that was not begun is forgotten.
    pub(super) fn ask(&self, asked: Asked, job: Arc<Job>) {
        self.inbox.next.lock().unwrap_or_else(PoisonError::into_inner).request = Some((asked, job));
        self.inbox.changed.notify_one();
    }

    /// The newest answer that has come for the job of that epoch, with its revision; answers for other jobs are dropped.
    pub(super) fn answer(&self, epoch: u64) -> Option<(u64, Plan)> {
        let of_job = self.answers.try_iter().filter(|((of, _), _)| *of == epoch);
        of_job.last().map(|((_, revision), plan)| (revision, plan))
    }
}

impl Drop for PlanThread {
    fn drop(&mut self) {
        self.inbox.next.lock().unwrap_or_else(PoisonError::into_inner).stop = true;
        self.inbox.changed.notify_one();
    }
}

fn work(inbox: &Inbox, send: &Sender<(Asked, Plan)>, wake: impl Fn()) {
    let mut planner = Planner::default();
    loop {
        let (asked, job) = {
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
        if send.send((asked, planner.plan(&job))).is_err() {
            return;
        }
        wake();
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use coldwright_job::{Edit, apply};

    use super::*;

    #[test]
    fn an_answer_for_a_job_that_has_been_left_is_dropped() {
        let (woke, wakes) = channel();
        let thread = PlanThread::start(move || woke.send(()).unwrap_or(())).unwrap();
        let left = apply(&Job::default(), &Edit::AddWall { name: "Left".to_owned() }).unwrap();
        // Both jobs are at the same revision; the answer for the first comes after the second was begun.
        thread.ask((1, 1), Arc::new(left));
        wakes.recv_timeout(Duration::from_secs(60)).unwrap();
        assert!(thread.answer(2).is_none(), "the plan of the job that was left");
        thread.ask((2, 1), Arc::new(Job::default()));
        let since = Instant::now();
        let (revision, plan) = loop {
            if let Some(answer) = thread.answer(2) {
                break answer;
            }
            assert!(since.elapsed() < Duration::from_secs(60));
            thread::sleep(Duration::from_millis(5));
        };
        assert_eq!((revision, plan.walls.len()), (1, 0));
    }
}
