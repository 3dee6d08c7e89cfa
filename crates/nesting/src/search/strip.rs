//! The shortest strip: shrink, remove the overlap, shrink again.
//!
//! Exploration and compression as in Gardeyn, Vanden Berghe and Wauters (arXiv:2509.13329, 2025), sections on the two
//! phases; here they take turns without knowing how long the run will be, so that a count of moves repeats it.

use crate::search::budget::Stop;
use crate::search::problem::{Arrangement, Pose, Problem};
use crate::search::relax::{Hand, Patience, relax};
use crate::search::scene::Scene;
use crate::search::seek::Look;
use crate::search::sheets::{Score, exchange};
use crate::search::squeeze::{Steps, all_in, reach, shorten, squeeze};

/// Works until stopped. `post` hears of every shorter strip.
pub(crate) fn work(
    problem: &Problem,
    start: &Arrangement,
    hand: &mut Hand<'_>,
    post: &mut dyn FnMut(Arrangement, Score),
) -> Result<(), Stop> {
    let look = Look { wide: 40, near: 20, follow: 3 };
    let patient = Patience { rounds: 100, strikes: 3 };
    let hasty = Patience { rounds: 30, strikes: 1 };
    let brief = Patience { rounds: 50, strikes: 2 };
    let mut scene = Scene::of(problem, start);
    let low = problem.grounds[0].rect[0];
    let mut best = reach(&scene, 0, 0);
    let mut sound: Vec<Pose> = scene.poses[..scene.movable].to_vec();
    post(scene.arrangement(), [best, 0.0, 0.0]);
    let mut step = 0.1;
    let mut failed: Vec<(f32, Vec<Pose>)> = Vec::new();
    loop {
        // Explore: shrink while it goes well; after a failure exchange large pieces and try the same length again.
        let mut failures = 0;
        let mut goal = best * (1.0 - step);
        scene.rects[0][2] = low + best;
        scene.put_all(&sound);
        shorten(&mut scene, 0, 0, goal, hand);
        while failures < 8 {
            let patience = if step > 0.002 { &hasty } else { &patient };
            if relax(&mut scene, &look, patience, hand)? && all_in(&scene) {
                best = reach(&scene, 0, 0);
                sound.copy_from_slice(&scene.poses[..scene.movable]);
                post(scene.arrangement(), [best, 0.0, 0.0]);
                failed.clear();
                failures = 0;
                goal = best * (1.0 - step);
                shorten(&mut scene, 0, 0, goal, hand);
                continue;
            }
            if step > 0.002 {
                // Too bold a step: back to the sound layout and a smaller one.
                step = (step * 0.5_f64).max(0.001);
                goal = best * (1.0 - step);
                scene.rects[0][2] = low + best;
                scene.put_all(&sound);
                shorten(&mut scene, 0, 0, goal, hand);
                continue;
            }
            failures += 1;
            let loss = scene.total();
            let at = failed.partition_point(|f| f.0 <= loss);
            failed.insert(at, (loss, scene.poses[..scene.movable].to_vec()));
            failed.truncate(8);
            let pick = hand.rng.below(failed.len()).min(hand.rng.below(failed.len()));
            scene.put_all(&failed[pick].1);
            exchange(&mut scene, 1, hand);
        }
        // Compress: small steps from the best.
        scene.rects[0][2] = low + best;
        scene.put_all(&sound);
        let steps = Steps { from: 0.000_5, to: 0.000_01, less: 0.6 };
        squeeze(&mut scene, 0, &steps, &look, &brief, u64::MAX, hand, &mut |s, length| {
            best = length;
            sound.copy_from_slice(&s.poses[..s.movable]);
            post(s.arrangement(), [length, 0.0, 0.0]);
        })?;
        failed.clear();
        step = 0.001;
    }
}
