//! Moves handed out to workers so that a run stopped by the clock can be repeated by its count.
//!
//! Every worker draws moves in small blocks under one lock. When time is up, the largest count drawn so far becomes the
//! limit and the others work up to it: the outcome depends on seed, threads and count only.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::time::Instant;

/// Moves in a block: few enough to stop within tens of milliseconds, enough that the lock costs nothing.
const BLOCK: u64 = 16;

/// No more moves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Stop;

#[derive(Debug)]
struct State {
    limit: Option<u64>,
    drawn: Vec<u64>,
    waiting: Vec<bool>,
    running: usize,
}

/// The moves of all workers of a run.
#[derive(Debug)]
pub(crate) struct Budget<'c> {
    state: Mutex<State>,
    changed: Condvar,
    deadline: Option<Instant>,
    cancel: &'c AtomicBool,
    at_once: usize,
}

/// One worker's share.
#[derive(Debug)]
pub(crate) struct Share<'b> {
    budget: &'b Budget<'b>,
    me: usize,
    left: u64,
    done: u64,
    busy: bool,
}

impl<'c> Budget<'c> {
    /// For `workers`, of whom `at_once` may run at the same time.
    pub(crate) fn new(
        workers: usize,
        at_once: usize,
        moves: Option<u64>,
        deadline: Option<Instant>,
        cancel: &'c AtomicBool,
    ) -> Budget<'c> {
        let state =
            State { limit: moves, drawn: vec![0; workers], waiting: vec![false; workers], running: 0 };
        Budget {
            state: Mutex::new(state),
            changed: Condvar::new(),
            deadline,
            cancel,
            at_once: at_once.max(1),
        }
    }

    fn lock(&self) -> MutexGuard<'_, State> {
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The most moves a worker has drawn.
    pub(crate) fn moves(&self) -> u64 {
        self.lock().drawn.iter().copied().max().unwrap_or(0)
    }
}

impl<'b> Share<'b> {
    /// The share of worker `me`.
    pub(crate) fn new(budget: &'b Budget<'b>, me: usize) -> Share<'b> {
        Share { budget, me, left: 0, done: 0, busy: false }
    }

    /// Moves made so far.
    pub(crate) fn done(&self) -> u64 {
        self.done
    }

    /// Asks for one more move.
    pub(crate) fn step(&mut self) -> Result<(), Stop> {
        if self.left == 0 {
            self.draw()?;
        }
        self.left -= 1;
        self.done += 1;
        Ok(())
    }

    fn draw(&mut self) -> Result<(), Stop> {
        let b = self.budget;
        let mut s = b.lock();
        if self.busy {
            self.busy = false;
            s.running -= 1;
            b.changed.notify_all();
        }
        s.waiting[self.me] = true;
        loop {
            let late = b.deadline.is_some_and(|d| Instant::now() >= d);
            if late || b.cancel.load(Ordering::Relaxed) {
                let most = s.drawn.iter().copied().max().unwrap_or(0);
                s.limit = Some(s.limit.map_or(most, |l| l.min(most)));
            }
            let mine = s.drawn[self.me];
            if s.limit.is_some_and(|l| mine >= l) {
                s.waiting[self.me] = false;
                b.changed.notify_all();
                return Err(Stop);
            }
            let first = s.drawn.iter().zip(&s.waiting).all(|(d, w)| !w || *d >= mine);
            if s.running < b.at_once && first {
                let block = s.limit.map_or(BLOCK, |l| BLOCK.min(l - mine));
                s.waiting[self.me] = false;
                s.drawn[self.me] += block;
                s.running += 1;
                self.left = block;
                self.busy = true;
                return Ok(());
            }
            s = b.changed.wait(s).unwrap_or_else(PoisonError::into_inner);
        }
    }
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        if self.busy {
            let mut s = self.budget.lock();
            s.running -= 1;
            self.budget.changed.notify_all();
        }
    }
}
