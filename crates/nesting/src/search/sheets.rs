//! Fewest bought sheets, then fewest owned ones, then the last sheet as little used as can be.
//!
//! A sheet is given up, its pieces go where they overlap least on the others, and the overlap is removed
//! ([`super::relax`]). Failed attempts are kept; the next starts from a good one with some large pieces exchanged, which is
//! the exploration of Gardeyn, Vanden Berghe and Wauters (arXiv:2509.13329, 2025) carried over from strips to sheets.

use crate::search::budget::Stop;
use crate::search::first::long_axis;
use crate::search::problem::{Arrangement, Pose, Problem};
use crate::search::relax::{Hand, Patience, relax};
use crate::search::scene::Scene;
use crate::search::seek::{Look, seek};
use crate::search::squeeze::{Steps, all_in, push_in, reach, squeeze};

/// Smaller is better, the first number first: price of the bought sheets, area of the owned ones, used length of the
/// least used one.
pub(crate) type Score = [f64; 3];

/// Compares two scores; `true` when the first is better by more than rounding.
pub(crate) fn better(a: &Score, b: &Score) -> bool {
    for (x, y) in a.iter().zip(b) {
        if (x - y).abs() > 1e-9 * (1.0 + x.abs()) {
            return x < y;
        }
    }
    false
}

/// Score of a scene without overlap.
pub(crate) fn score(scene: &Scene<'_>) -> Score {
    let grounds = scene.boards.iter().map(|b| &scene.problem.grounds[b.ground]);
    let paid = grounds.clone().map(|g| g.cost).sum();
    let owned = grounds.filter(|g| g.cost <= 0.0).map(|g| g.usable).sum();
    let last = spare_board(scene).map_or(0.0, |b| reach(scene, b, axis(scene, b)));
    [paid, owned, last]
}

fn axis(scene: &Scene<'_>, board: usize) -> usize {
    long_axis(&scene.problem.grounds[scene.boards[board].ground].rect)
}

/// Area of the items on a board, mm².
fn load(scene: &Scene<'_>, board: usize) -> f64 {
    scene.lying(board).iter().filter(|i| **i < scene.movable).map(|&i| scene.shape(i).area).sum()
}

/// The board whose remainder is to be large: the one with the most area free, of those without held copies.
fn spare_board(scene: &Scene<'_>) -> Option<usize> {
    let free = |b: usize| scene.problem.free(scene.boards[b]) - load(scene, b);
    (0..scene.boards.len())
        .filter(|b| !scene.problem.is_held(scene.boards[*b]))
        .max_by(|a, b| free(*a).total_cmp(&free(*b)).then(b.cmp(a)))
}

/// The boards that may be given up, the most valuable first: bought before owned, then the least loaded.
fn candidates(scene: &Scene<'_>) -> Vec<usize> {
    let problem = scene.problem;
    let all: f64 = scene.boards.iter().map(|b| problem.free(*b)).sum();
    let pieces = problem.area();
    let paid = scene.boards.iter().any(|b| problem.grounds[b.ground].cost > 0.0 && !problem.is_held(*b));
    let mut out: Vec<usize> = (0..scene.boards.len())
        .filter(|&b| {
            let board = scene.boards[b];
            let of_value = (problem.grounds[board.ground].cost > 0.0) == paid;
            of_value && !problem.is_held(board) && all - problem.free(board) >= pieces
        })
        .collect();
    out.sort_by(|&a, &b| load(scene, a).total_cmp(&load(scene, b)).then(b.cmp(&a)));
    out
}

/// A failed attempt: which board was given up, and the least overlap found.
struct Attempt {
    loss: f32,
    boards: Vec<crate::search::problem::Board>,
    poses: Vec<Pose>,
}

/// The arrangement on one board fewer, its items where they overlap least.
fn without<'p>(
    problem: &'p Problem,
    from: &Arrangement,
    dropped: usize,
    look: &Look,
    hand: &mut Hand<'_>,
) -> Result<Scene<'p>, Stop> {
    let mut boards = from.boards.clone();
    boards.remove(dropped);
    let mut scene = Scene::new(problem, &boards);
    let mut homeless = Vec::new();
    for (i, p) in from.poses.iter().enumerate() {
        match p.board.cmp(&dropped) {
            std::cmp::Ordering::Less => scene.put(i, *p),
            std::cmp::Ordering::Greater => scene.put(i, Pose { board: p.board - 1, ..*p }),
            std::cmp::Ordering::Equal => homeless.push(i),
        }
    }
    homeless.sort_by(|&a, &b| scene.shape(b).area.total_cmp(&scene.shape(a).area).then(a.cmp(&b)));
    for i in homeless {
        hand.share.step()?;
        // More places than usual: a piece without a place must get one, and some boards may be too small for it.
        let wide = Look { wide: look.wide * 4, near: 0, follow: look.follow };
        match seek(&scene, i, &wide, &mut hand.rng, &mut hand.scratch) {
            Some(f) => scene.put(i, f.pose),
            None => scene.put(i, anywhere(&scene, i)),
        }
    }
    Ok(scene)
}

/// The middle of the largest board.
fn anywhere(scene: &Scene<'_>, i: usize) -> Pose {
    let area = |r: &[f64; 4]| (r[2] - r[0]) * (r[3] - r[1]);
    let board = (0..scene.rects.len())
        .max_by(|a, b| area(&scene.rects[*a]).total_cmp(&area(&scene.rects[*b])).then(b.cmp(a)))
        .unwrap_or(0);
    let r = scene.rects[board];
    let deg = match &scene.shape(i).turns {
        crate::request::Turns::Only(list) => list.first().copied().unwrap_or(0.0),
        crate::request::Turns::Any => scene.shape(i).natural.first().copied().unwrap_or(0.0),
    };
    let mut p = Pose { board, deg, x: (r[0] + r[2]) / 2.0, y: (r[1] + r[3]) / 2.0 };
    push_in(scene, i, &mut p);
    p
}

/// Exchanges the places of a few pieces, larger ones preferred.
pub(crate) fn exchange(scene: &mut Scene<'_>, pairs: usize, hand: &mut Hand<'_>) {
    let n = scene.movable;
    if n < 2 {
        return;
    }
    let pick = |hand: &mut Hand<'_>| {
        let (a, b) = (hand.rng.below(n), hand.rng.below(n));
        if scene.shape(a).area >= scene.shape(b).area { a } else { b }
    };
    let mut swaps = Vec::new();
    for _ in 0..pairs {
        let (a, mut b) = (pick(hand), pick(hand));
        for _ in 0..8 {
            if scene.problem.items[a].shape != scene.problem.items[b].shape {
                break;
            }
            b = pick(hand);
        }
        swaps.push((a, b));
    }
    for (a, b) in swaps {
        let (mut p, mut q) = (scene.poses[a], scene.poses[b]);
        std::mem::swap(&mut p.board, &mut q.board);
        std::mem::swap(&mut p.x, &mut q.x);
        std::mem::swap(&mut p.y, &mut q.y);
        push_in(scene, a, &mut p);
        push_in(scene, b, &mut q);
        scene.put(a, p);
        scene.put(b, q);
    }
}

/// Works until stopped, or until nothing more can be gained. `post` hears of every better arrangement.
pub(crate) fn work(
    problem: &Problem,
    start: &Arrangement,
    hand: &mut Hand<'_>,
    post: &mut dyn FnMut(Arrangement, Score),
) -> Result<(), Stop> {
    let mut scene = Scene::of(problem, start);
    let mut best = start.clone();
    let mut best_score = score(&scene);
    let look = Look { wide: 40 + 6 * scene.boards.len(), near: 20, follow: 3 };
    let patience = Patience { rounds: 60, strikes: 2 };
    let n = problem.items.len().max(1) as u64;
    let mut failed: Vec<Attempt> = Vec::new();
    let mut idle = 0;
    for round in 0u64.. {
        let begun = hand.share.done();
        // Drop sheets for a while; the while grows, so that both halves get their share of any run.
        let allowance = 200 * n * (round + 1);
        loop {
            let options = candidates(&Scene::of(problem, &best));
            if options.is_empty() || hand.share.done() - begun >= allowance {
                break;
            }
            let fresh = failed.len() < 2 || hand.rng.below(4) == 0;
            let mut trial = if fresh {
                let pick = hand.rng.below(options.len().min(3)).min(hand.rng.below(options.len()));
                without(problem, &best, options[pick], &look, hand)?
            } else {
                let (a, b) = (hand.rng.below(failed.len()), hand.rng.below(failed.len()));
                let from = &failed[a.min(b)];
                let mut trial = Scene::new(problem, &from.boards);
                trial.put_all(&from.poses);
                let pairs = 1 + hand.rng.below(2);
                exchange(&mut trial, pairs, hand);
                trial
            };
            let done = relax(&mut trial, &look, &patience, hand)?;
            if done && all_in(&trial) {
                best = trial.arrangement();
                best_score = score(&trial);
                failed.clear();
                idle = 0;
                post(best.clone(), best_score);
            } else {
                let now = trial.arrangement();
                let loss = trial.total();
                let at = failed.partition_point(|f| f.loss <= loss);
                failed.insert(at, Attempt { loss, boards: now.boards, poses: now.poses });
                failed.truncate(8);
            }
        }
        // Then make the remainder of the last sheet larger.
        scene = Scene::of(problem, &best);
        let mut gained = false;
        if let Some(b) = spare_board(&scene) {
            let steps = Steps { from: 0.1, to: 0.004, less: 0.5 };
            let short = Patience { rounds: 40, strikes: 1 };
            let most = 60 * n * (round + 1);
            squeeze(&mut scene, b, &steps, &look, &short, most, hand, &mut |s, _| {
                let now = score(s);
                if better(&now, &best_score) {
                    best_score = now;
                    best = s.arrangement();
                    gained = true;
                    post(best.clone(), now);
                }
            })?;
        }
        idle = if gained { 0 } else { idle + 1 };
        if idle >= 3 && candidates(&Scene::of(problem, &best)).is_empty() {
            return Ok(());
        }
        if hand.share.done() == begun {
            hand.share.step()?;
        }
    }
    Ok(())
}
