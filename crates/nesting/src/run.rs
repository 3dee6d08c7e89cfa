//! Workers, their moves, and the best of what they find.

use std::sync::atomic::AtomicBool;
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::{Duration, Instant};

use crate::effort::{Effort, Progress};
use crate::layout::{Layout, Left, Placement, SheetUsed};
use crate::prepare::turned;
use crate::random::Random;
use crate::search::budget::{Budget, Share, Stop};
use crate::search::first::next_board;
use crate::search::problem::{Arrangement, Board, Item, Pose, Problem};
use crate::search::relax::Hand;
use crate::search::seek::Scratch;
use crate::search::sheets::{Score, better};

/// One stuff's problem with its first layout.
#[derive(Debug, Clone)]
pub(crate) struct Job {
    pub(crate) problem: Problem,
    pub(crate) start: Arrangement,
}

/// A worker's rules: works until stopped, posting what is better.
pub(crate) type Work =
    fn(&Problem, &Arrangement, &mut Hand<'_>, &mut dyn FnMut(Arrangement, Score)) -> Result<(), Stop>;

/// Best arrangement of each job, and the moves that give it again.
pub(crate) struct Done {
    pub(crate) best: Vec<Arrangement>,
    pub(crate) moves: u64,
}

/// Runs `effort.threads` workers on every job. The best of a job's workers counts, on a tie the first.
pub(crate) fn run(
    jobs: &[Job],
    work: Work,
    effort: &Effort,
    cancel: &AtomicBool,
    tell: &mut dyn FnMut(&Progress),
) -> Done {
    let begun = Instant::now();
    // A century when the seconds are beyond the clock.
    let end = effort.seconds.map(|s| begun + Duration::from_secs_f64(s.min(3e9)));
    let workers = jobs.len() * effort.threads;
    let budget = Budget::new(workers, effort.threads, effort.moves, end, cancel);
    let mut found: Vec<Option<(Arrangement, Score)>> = vec![None; workers];
    let mut shown: Vec<(Arrangement, Option<Score>)> = jobs.iter().map(|j| (j.start.clone(), None)).collect();
    std::thread::scope(|scope| {
        let (send, receive) = channel::<(usize, Arrangement, Score)>();
        for me in 0..workers {
            let job = &jobs[me / effort.threads];
            let (send, budget) = (send.clone(), &budget);
            let hand = move || Hand {
                share: Share::new(budget, me),
                rng: Random::new(effort.seed, (me % effort.threads) as u64),
                scratch: Scratch::default(),
            };
            let body = move || {
                if job.problem.items.is_empty() {
                    return;
                }
                let mut post = |a: Arrangement, s: Score| {
                    // The other end only goes away when the run is over.
                    send.send((me, a, s)).ok();
                };
                // Stopped or finished comes to the same: what was found has been posted.
                work(&job.problem, &job.start, &mut hand(), &mut post).ok();
            };
            let named = std::thread::Builder::new().name(format!("nesting {me}"));
            // No thread to be had: this worker's share is not made; the others and the first layout remain.
            named.spawn_scoped(scope, body).ok();
        }
        drop(send);
        let mut told = Instant::now();
        let mut news = true;
        loop {
            match receive.recv_timeout(Duration::from_millis(100)) {
                Ok((me, a, s)) => {
                    let show = &mut shown[me / effort.threads];
                    if show.1.as_ref().is_none_or(|old| better(&s, old)) {
                        *show = (a.clone(), Some(s));
                        news = true;
                    }
                    found[me] = Some((a, s));
                }
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            if told.elapsed() >= Duration::from_millis(100) {
                told = Instant::now();
                let bests: Vec<Arrangement> =
                    if news { shown.iter().map(|s| s.0.clone()).collect() } else { Vec::new() };
                tell(&Progress {
                    moves: budget.moves(),
                    seconds: begun.elapsed().as_secs_f64(),
                    better: news.then(|| layout(jobs, &bests)),
                });
                news = false;
            }
        }
    });
    let best = jobs
        .iter()
        .enumerate()
        .map(|(k, job)| {
            let mut best: Option<(Arrangement, Score)> = None;
            for (a, s) in
                found[k * effort.threads..(k + 1) * effort.threads].iter_mut().filter_map(Option::take)
            {
                if best.as_ref().is_none_or(|b| better(&s, &b.1)) {
                    best = Some((a, s));
                }
            }
            best.map_or_else(|| job.start.clone(), |b| b.0)
        })
        .collect();
    Done { best, moves: budget.moves() }
}

/// The arrangements of all jobs as one layout: sheets numbered anew within each kind from the fullest to the emptiest
/// (held ones keep their numbers), placements in the order of the pieces. Copies on sheets that are missing are left.
pub(crate) fn layout(jobs: &[Job], bests: &[Arrangement]) -> Layout {
    let mut all: Vec<(SheetUsed, Placement)> = Vec::new();
    let mut left = Vec::new();
    for (job, best) in jobs.iter().zip(bests) {
        let p = &job.problem;
        let boards = renumbered(p, best);
        let mut add = |item: &Item, board: Board, pose: &Pose| {
            let ground = &p.grounds[board.ground];
            if ground.missing {
                left.push(Left { piece: item.piece, copy: item.copy });
                return;
            }
            let at = kurbo::Vec2::new(pose.x, pose.y) - turned(p.shapes[item.shape].centre, pose.deg);
            let used = SheetUsed { stock: ground.stock, nth: board.nth };
            let turn_deg = pose.deg.rem_euclid(360.0);
            all.push((used, Placement { piece: item.piece, copy: item.copy, sheet: 0, turn_deg, at }));
        };
        for (item, pose) in p.items.iter().zip(&best.poses) {
            if let Some(board) = boards.get(pose.board) {
                add(item, *board, pose);
            }
        }
        for h in &p.held {
            add(&h.item, Board { ground: h.ground, nth: h.nth }, &h.pose);
        }
    }
    let mut sheets: Vec<SheetUsed> = all.iter().map(|a| a.0).collect();
    sheets.sort_by_key(|s| (s.stock, s.nth));
    sheets.dedup();
    let mut placements: Vec<Placement> = all
        .into_iter()
        .map(|(used, p)| Placement { sheet: sheets.iter().position(|s| *s == used).unwrap_or(0), ..p })
        .collect();
    placements.sort_by_key(|p| (p.piece, p.copy));
    left.sort_unstable();
    Layout { sheets, placements, left }
}

/// Boards with the numbers they are to have, in the arrangement's order.
fn renumbered(problem: &Problem, a: &Arrangement) -> Vec<Board> {
    let mut load = vec![0.0; a.boards.len()];
    for (item, pose) in problem.items.iter().zip(&a.poses) {
        if let Some(l) = load.get_mut(pose.board) {
            *l += problem.shapes[item.shape].area;
        }
    }
    let mut order: Vec<usize> = (0..a.boards.len()).collect();
    order.sort_by(|&x, &y| load[y].total_cmp(&load[x]).then(x.cmp(&y)));
    let mut out = a.boards.clone();
    let mut taken: Vec<Board> = a.boards.iter().copied().filter(|b| problem.is_held(*b)).collect();
    for k in order {
        let b = a.boards[k];
        if !problem.is_held(b)
            && let Some(new) = next_board(problem, &taken, b.ground)
        {
            taken.push(new);
            out[k] = new;
        }
    }
    out
}
