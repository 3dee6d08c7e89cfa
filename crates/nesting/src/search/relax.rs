//! Overlap removal: pieces in collision move one by one to better places until nothing overlaps.
//!
//! Method: guided local search over weighted pairs, Gardeyn, Vanden Berghe and Wauters, "An open-source heuristic to
//! reboot 2D nesting research" (arXiv:2509.13329, 2025), section on the separation of a layout: after every round pairs
//! still in collision gain weight, the others lose it.

use crate::random::Random;
use crate::search::budget::{Share, Stop};
use crate::search::problem::Pose;
use crate::search::scene::Scene;
use crate::search::seek::{Look, Scratch, seek};

/// When to give up.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Patience {
    /// Rounds without a clear gain before going back to the best.
    pub(crate) rounds: usize,
    /// Times to go back to the best without a gain.
    pub(crate) strikes: usize,
}

/// Tools of one worker.
#[derive(Debug)]
pub(crate) struct Hand<'b> {
    pub(crate) share: Share<'b>,
    pub(crate) rng: Random,
    pub(crate) scratch: Scratch,
}

/// Removes overlap. `true`: nothing overlaps. `false`: the scene is left at the least overlap found.
pub(crate) fn relax(
    scene: &mut Scene<'_>,
    look: &Look,
    patience: &Patience,
    hand: &mut Hand<'_>,
) -> Result<bool, Stop> {
    scene.forget();
    let mut best = scene.total();
    let mut best_poses: Vec<Pose> = scene.poses[..scene.movable].to_vec();
    let mut strikes = 0;
    let mut order: Vec<usize> = Vec::with_capacity(scene.movable);
    while best > 0.0 && strikes < patience.strikes {
        let at_start = best;
        let mut stale = 0;
        while stale < patience.rounds {
            order.clear();
            order.extend((0..scene.movable).filter(|&i| scene.loss_of(i) > 0.0));
            hand.rng.shuffle(&mut order);
            for &i in &order {
                let now = scene.cost_of(i);
                if now <= 0.0 {
                    continue;
                }
                hand.share.step()?;
                if let Some(f) = seek(scene, i, look, &mut hand.rng, &mut hand.scratch)
                    && f.cost < now
                {
                    scene.put(i, f.pose);
                }
            }
            let total = scene.total();
            if total <= 0.0 {
                return Ok(true);
            }
            stale += 1;
            if total < best {
                if total < best * 0.98 {
                    stale = 0;
                }
                best = total;
                best_poses.copy_from_slice(&scene.poses[..scene.movable]);
            }
            scene.learn();
        }
        strikes = if best < at_start * 0.98 { 0 } else { strikes + 1 };
        scene.put_all(&best_poses);
    }
    Ok(best <= 0.0)
}
