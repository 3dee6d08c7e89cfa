//! A board made shorter step by step while everything still fits: the shortest strip, or the largest off-cut.

use crate::search::budget::Stop;
use crate::search::first::long_axis;
use crate::search::problem::Pose;
use crate::search::relax::{Hand, Patience, relax};
use crate::search::scene::Scene;
use crate::search::seek::{Look, within};

/// How far the bodies on a board reach along an axis, from the board's low side, mm.
pub(crate) fn reach(scene: &Scene<'_>, board: usize, axis: usize) -> f64 {
    let low = scene.problem.grounds[scene.boards[board].ground].rect[axis];
    let items = scene.lying(board).iter().filter(|i| **i < scene.movable);
    items.map(|&i| scene.box_of(i)[axis + 2] - low).fold(0.0, f64::max)
}

/// Makes a board end at `length` along an axis: items behind a random line move up by what is lost, those that still
/// stick out are pushed in; what does not fit at its turn stays where the rectangle's middle lets it, to be moved by
/// the search.
pub(crate) fn shorten(scene: &mut Scene<'_>, board: usize, axis: usize, length: f64, hand: &mut Hand<'_>) {
    let low = scene.problem.grounds[scene.boards[board].ground].rect[axis];
    let lost = scene.rects[board][axis + 2] - (low + length);
    scene.rects[board][axis + 2] = low + length;
    let line = low + hand.rng.between(0.0, length);
    let mut here: Vec<usize> = scene.lying(board).iter().copied().filter(|i| *i < scene.movable).collect();
    here.sort_unstable();
    for i in here {
        let mut p = scene.poses[i];
        let v = if axis == 0 { &mut p.x } else { &mut p.y };
        if *v > line && lost > 0.0 {
            *v -= lost;
        }
        push_in(scene, i, &mut p);
        scene.put(i, p);
    }
}

/// Moves a pose so that the body keeps to its board's rectangle, if it can at this turn.
pub(crate) fn push_in(scene: &Scene<'_>, i: usize, p: &mut Pose) {
    if let Some((x, y)) = within(&scene.rects[p.board], &scene.shape(i).extent(p.deg), p.x, p.y) {
        p.x = x;
        p.y = y;
    }
}

/// Whether every item keeps to its board's rectangle.
pub(crate) fn all_in(scene: &Scene<'_>) -> bool {
    (0..scene.movable).all(|i| {
        let (b, r) = (scene.box_of(i), scene.rects[scene.poses[i].board]);
        b[0] >= r[0] - 1e-7 && b[1] >= r[1] - 1e-7 && b[2] <= r[2] + 1e-7 && b[3] <= r[3] + 1e-7
    })
}

/// Steps of a squeeze.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Steps {
    /// First step, a share of the length.
    pub(crate) from: f64,
    /// Smallest step tried, a share of the length.
    pub(crate) to: f64,
    /// Factor of the step after a failure.
    pub(crate) less: f64,
}

/// Shortens a board as far as the search manages, from a scene without overlap, which is left at the shortest sound
/// state. Every success is told with the length reached. Ends when the smallest step fails, or at `most` moves.
#[expect(clippy::too_many_arguments, reason = "one place, and a struct would only rename them")]
pub(crate) fn squeeze(
    scene: &mut Scene<'_>,
    board: usize,
    steps: &Steps,
    look: &Look,
    patience: &Patience,
    most: u64,
    hand: &mut Hand<'_>,
    tell: &mut dyn FnMut(&Scene<'_>, f64),
) -> Result<f64, Stop> {
    let axis = long_axis(&scene.problem.grounds[scene.boards[board].ground].rect);
    let mut length = reach(scene, board, axis);
    let low = scene.problem.grounds[scene.boards[board].ground].rect[axis];
    scene.rects[board][axis + 2] = low + length;
    let mut sound: Vec<Pose> = scene.poses[..scene.movable].to_vec();
    let begun = hand.share.done();
    let mut step = steps.from;
    while step >= steps.to && length > 0.0 && hand.share.done() - begun < most {
        let goal = length * (1.0 - step);
        shorten(scene, board, axis, goal, hand);
        let done = relax(scene, look, patience, hand)?;
        if done && all_in(scene) {
            length = reach(scene, board, axis);
            sound.copy_from_slice(&scene.poses[..scene.movable]);
            tell(scene, length);
        } else {
            step *= steps.less;
            scene.rects[board][axis + 2] = low + length;
            scene.put_all(&sound);
        }
    }
    Ok(length)
}
