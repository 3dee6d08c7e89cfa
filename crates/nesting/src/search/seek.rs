//! The best place for one piece among the others: many places tried roughly, the best few followed downhill.
//!
//! After Gardeyn, Vanden Berghe and Wauters (arXiv:2509.13329, 2025), section on the search for a placement: samples
//! over the whole sheet and about the present place, then coordinate descent along the axes, the diagonals and the turn.

use crate::random::Random;
use crate::request::Turns;
use crate::search::problem::Pose;
use crate::search::scene::Scene;
use crate::search::shape::Body;

/// How hard to look.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Look {
    /// Places tried anywhere.
    pub(crate) wide: usize,
    /// Places tried about the present one.
    pub(crate) near: usize,
    /// How many of the best are followed.
    pub(crate) follow: usize,
}

/// A place and its weighted badness.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Found {
    pub(crate) pose: Pose,
    pub(crate) cost: f32,
}

/// Bodies used again from call to call.
#[derive(Debug, Clone, Default)]
pub(crate) struct Scratch {
    body: Body,
}

/// The centre's nearest place at which a box about it lies in the rectangle; `None` when it is too large.
pub(crate) fn within(rect: &[f64; 4], extent: &[f64; 4], x: f64, y: f64) -> Option<(f64, f64)> {
    let (x0, x1) = (rect[0] - extent[0], rect[2] - extent[2]);
    let (y0, y1) = (rect[1] - extent[1], rect[3] - extent[3]);
    (x0 <= x1 && y0 <= y1).then(|| (x.clamp(x0, x1), y.clamp(y0, y1)))
}

fn any_turn(turns: &Turns, natural: &[f64], rng: &mut Random) -> f64 {
    match turns {
        Turns::Only(list) => list.get(rng.below(list.len())).copied().unwrap_or(0.0),
        Turns::Any if natural.is_empty() || rng.below(2) == 0 => rng.between(0.0, 360.0),
        Turns::Any => natural[rng.below(natural.len())] + 90.0 * rng.below(4) as f64,
    }
}

/// The best place found for an item that lies somewhere (or is lifted). Never outside the boards' rectangles; `None`
/// when it fits no board in any turn tried.
pub(crate) fn seek(
    scene: &Scene<'_>,
    i: usize,
    look: &Look,
    rng: &mut Random,
    scratch: &mut Scratch,
) -> Option<Found> {
    let shape = scene.shape(i);
    let here = scene.poses[i];
    let lies = here.board != usize::MAX;
    let areas: Vec<f64> = scene.rects.iter().map(|r| (r[2] - r[0]) * (r[3] - r[1])).collect();
    let all: f64 = areas.iter().sum();
    let mut best: Vec<Found> = Vec::with_capacity(look.follow + 1);
    let mut limit = f32::INFINITY;
    let mut consider = |pose: Pose, best: &mut Vec<Found>, limit: &mut f32| {
        shape.put(pose.deg, pose.x, pose.y, &mut scratch.body);
        let cost = scene.cost(i, pose.board, &scratch.body, *limit);
        if cost < *limit || best.len() < look.follow {
            let apart = shape.narrow * 0.05;
            let twin = best.iter().position(|f| {
                f.pose.board == pose.board
                    && (f.pose.x - pose.x).abs() < apart
                    && (f.pose.y - pose.y).abs() < apart
                    && (f.pose.deg - pose.deg).abs() < 1.0
            });
            match twin {
                Some(k) if best[k].cost <= cost => return,
                Some(k) => {
                    best.remove(k);
                }
                None => {}
            }
            let at = best.partition_point(|f| f.cost <= cost);
            best.insert(at, Found { pose, cost });
            best.truncate(look.follow);
            if best.len() == look.follow {
                *limit = best.last().map_or(f32::INFINITY, |f| f.cost);
            }
        }
    };
    if lies {
        consider(here, &mut best, &mut limit);
        for _ in 0..look.near {
            let deg = match &shape.turns {
                Turns::Any => here.deg + rng.normal() * 5.0,
                only @ Turns::Only(_) if rng.below(4) == 0 => any_turn(only, &[], rng),
                Turns::Only(_) => here.deg,
            };
            let rect = &scene.rects[here.board];
            let x = here.x + rng.normal() * shape.narrow * 0.25;
            let y = here.y + rng.normal() * shape.narrow * 0.25;
            if let Some((x, y)) = within(rect, &shape.extent(deg), x, y) {
                consider(Pose { board: here.board, deg, x, y }, &mut best, &mut limit);
            }
        }
    }
    for _ in 0..look.wide {
        let mut at = rng.between(0.0, all);
        let mut board = 0;
        while board + 1 < areas.len() && at >= areas[board] {
            at -= areas[board];
            board += 1;
        }
        let deg = any_turn(&shape.turns, &shape.natural, rng);
        let e = shape.extent(deg);
        let r = &scene.rects[board];
        let (x0, x1, y0, y1) = (r[0] - e[0], r[2] - e[2], r[1] - e[1], r[3] - e[3]);
        if x0 <= x1 && y0 <= y1 {
            let pose = Pose { board, deg, x: rng.between(x0, x1), y: rng.between(y0, y1) };
            consider(pose, &mut best, &mut limit);
            if best.first().is_some_and(|f| f.cost <= 0.0) {
                break;
            }
        }
    }
    let mut winner: Option<Found> = None;
    for f in best {
        let f = descend(scene, i, f, 0.25, 0.02, rng, scratch);
        if winner.is_none_or(|w| f.cost < w.cost) {
            winner = Some(f);
        }
    }
    winner.map(|f| descend(scene, i, f, 0.02, 0.001, rng, scratch))
}

/// Downhill from a place: steps from `from` to `to` times the shape's narrow side, the turn likewise. Bounded.
pub(crate) fn descend(
    scene: &Scene<'_>,
    i: usize,
    start: Found,
    from: f64,
    to: f64,
    rng: &mut Random,
    scratch: &mut Scratch,
) -> Found {
    let shape = scene.shape(i);
    let mut now = start;
    let mut extent = shape.extent(now.pose.deg);
    let (mut sx, mut sy) = (shape.narrow * from, shape.narrow * from);
    let end = shape.narrow * to;
    // A turn moves the far end by as much as a shift does.
    let per_mm = 57.3 / (0.5 * shape.across);
    let mut sd = sx * per_mm * 0.5;
    let end_d = end * per_mm * 0.5;
    let free = matches!(shape.turns, Turns::Any);
    for _ in 0..400 {
        if now.cost <= 0.0 || (sx < end && sy < end && (!free || sd < end_d)) {
            break;
        }
        let way = rng.below(if free { 5 } else { 4 });
        let (dx, dy, dd) = match way {
            0 => (sx, 0.0, 0.0),
            1 => (0.0, sy, 0.0),
            2 => (sx * 0.707, sy * 0.707, 0.0),
            3 => (sx * 0.707, -sy * 0.707, 0.0),
            _ => (0.0, 0.0, sd),
        };
        let mut better = false;
        for sign in [1.0, -1.0] {
            let deg = now.pose.deg + sign * dd;
            let e = if way == 4 { shape.extent(deg) } else { extent };
            let rect = &scene.rects[now.pose.board];
            let Some((x, y)) = within(rect, &e, now.pose.x + sign * dx, now.pose.y + sign * dy) else {
                continue;
            };
            let pose = Pose { board: now.pose.board, deg, x, y };
            if pose == now.pose {
                continue;
            }
            shape.put(deg, x, y, &mut scratch.body);
            let cost = scene.cost(i, pose.board, &scratch.body, now.cost);
            if cost < now.cost {
                now = Found { pose, cost };
                extent = e;
                better = true;
                break;
            }
        }
        let factor = if better { 1.1 } else { 0.5 };
        match way {
            0 => sx *= factor,
            1 => sy *= factor,
            2 | 3 => {
                let f = if better { 1.1 } else { std::f64::consts::FRAC_1_SQRT_2 };
                sx *= f;
                sy *= f;
            }
            _ => sd *= factor,
        }
    }
    now
}
