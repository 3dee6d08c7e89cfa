//! The fitting order: an order in which every piece can physically go in.
//!
//! A layer goes in after the layer behind it. Where a layer stops short of another wall's foam, that foam goes in first: the
//! layer that runs past fills the corner behind the end of the other, and could not be brought there later. At a corner that
//! points into the box it is the other way about: what stops there goes in before what reaches on over it.

use std::collections::{BTreeMap, BTreeSet};

use coldwright_geometry::Severity;

use crate::document::{Job, WallId};
use crate::problem::{Problem, Step};
use crate::workshop::PieceId;

/// A layer of a wall, all its parts together.
pub(crate) type LayerOf = (WallId, u32);

/// For each layer those that must be in before it, from the stack of its wall and from the joints.
pub(crate) fn befores(job: &Job) -> BTreeMap<LayerOf, BTreeSet<LayerOf>> {
    let count = |wall: WallId| job.wall(wall).map_or(0, |w| w.layers.len() as u32);
    let all = |wall: WallId| job.wall(wall).map_or(0, |w| w.layer_count() as u32);
    let mut before: BTreeMap<LayerOf, BTreeSet<LayerOf>> = BTreeMap::new();
    for wall in &job.walls {
        for layer in 1..=all(wall.id) {
            let own = before.entry((wall.id, layer)).or_default();
            if layer > 1 {
                own.insert((wall.id, layer - 1));
            }
        }
    }
    for joint in &job.joints {
        let ends = [joint.a.wall, joint.b.wall];
        let Some(known) = crate::boxed::to_geometry(joint, &ends) else { continue };
        for (here, there, first) in [(ends[0], ends[1], true), (ends[1], ends[0], false)] {
            for layer in 1..=count(here) {
                let behind = known.ends_behind(first, layer as usize, count(there) as usize).unwrap_or(0);
                if behind > 0
                    && let Some(own) = before.get_mut(&(here, layer))
                {
                    own.insert((there, behind as u32));
                }
            }
            // A liner panel stands on the foam of every neighbour.
            if all(here) > count(here)
                && let Some(own) = before.get_mut(&(here, all(here)))
            {
                own.insert((there, count(there)));
            }
        }
    }
    before
}

/// The order of all layers, and the rings of layers that each wait for the next.
///
/// Layers without a reason to wait go by number, then by the job's order of walls. A ring is opened at its first layer, which
/// then has to come in at a tilt or in parts.
pub(crate) fn order_of(job: &Job) -> (Vec<LayerOf>, Vec<Vec<LayerOf>>) {
    let before = befores(job);
    let place = |wall: WallId| job.walls.iter().position(|w| w.id == wall).unwrap_or(usize::MAX);
    let mut left: Vec<LayerOf> = before.keys().copied().collect();
    left.sort_by_key(|(wall, layer)| (*layer, place(*wall)));
    let (mut order, mut done, mut rings) = (Vec::new(), BTreeSet::new(), Vec::new());
    while !left.is_empty() {
        let free = left.iter().position(|l| before[l].is_subset(&done));
        let at = free.unwrap_or_else(|| {
            rings.push(ring(&before, &done, left[0]));
            let first = rings.last().and_then(|r| left.iter().position(|l| r.contains(l)));
            first.unwrap_or(0)
        });
        let next = left.remove(at);
        done.insert(next);
        order.push(next);
    }
    (order, rings)
}

/// Follows what a layer waits for until it comes back to a layer already met.
fn ring(
    before: &BTreeMap<LayerOf, BTreeSet<LayerOf>>,
    done: &BTreeSet<LayerOf>,
    start: LayerOf,
) -> Vec<LayerOf> {
    let mut met = vec![start];
    loop {
        let last = met[met.len() - 1];
        let Some(next) = before.get(&last).and_then(|b| b.iter().find(|l| !done.contains(l))) else {
            return met;
        };
        if let Some(at) = met.iter().position(|l| l == next) {
            return met.split_off(at);
        }
        met.push(*next);
    }
}

/// The pieces in fitting order: the person's, where they have given one, else the one worked out; and what is wrong with it.
pub(crate) fn sorted(job: &Job, pieces: &[(PieceId, String)], problems: &mut Vec<Problem>) -> Vec<usize> {
    let (layers, rings) = order_of(job);
    let name = |l: &LayerOf| format!("{} {}", job.wall(l.0).map_or("", |w| w.name.as_str()), l.1);
    let job_problem = |severity, wall, sentence: String| Problem::new(Step::Pieces, severity, wall, sentence);
    for ring in &rings {
        let names: Vec<String> = ring.iter().map(name).collect();
        problems.push(job_problem(
            Severity::Look,
            ring[0].0,
            format!(
                "{} each wait for the next to be in place. Let one wall run past at both its corners, or bring {} in at a tilt",
                names.join(", "),
                names[0]
            ),
        ));
    }
    let natural = |p: &PieceId| layers.iter().position(|l| *l == (p.wall, p.layer)).unwrap_or(usize::MAX);
    let wished = |p: &PieceId| job.order.iter().position(|o| o == p);
    let mut indices: Vec<usize> = (0..pieces.len()).collect();
    // Pieces the person has not placed stand where the worked-out order has them, after those placed before them.
    indices.sort_by_key(|i| (natural(&pieces[*i].0), pieces[*i].0.part));
    if job.order.is_empty() {
        return indices;
    }
    let mut placed: Vec<usize> =
        indices.iter().copied().filter(|i| wished(&pieces[*i].0).is_some()).collect();
    placed.sort_by_key(|i| wished(&pieces[*i].0));
    for i in indices.into_iter().filter(|i| wished(&pieces[*i].0).is_none()) {
        let rank = natural(&pieces[i].0);
        let at = placed.iter().rposition(|p| natural(&pieces[*p].0) <= rank).map_or(0, |p| p + 1);
        placed.insert(at, i);
    }
    let before = befores(job);
    let in_rings: BTreeSet<LayerOf> = rings.into_iter().flatten().collect();
    for (place, i) in placed.iter().enumerate() {
        let (id, mark) = &pieces[*i];
        let own = (id.wall, id.layer);
        let late = placed[place + 1..].iter().find(|later| {
            let other = (pieces[**later].0.wall, pieces[**later].0.layer);
            let both_in_ring = in_rings.contains(&own) && in_rings.contains(&other);
            before.get(&own).is_some_and(|b| b.contains(&other)) && !both_in_ring
        });
        if let Some(late) = late {
            problems.push(job_problem(
                Severity::Look,
                id.wall,
                format!(
                    "{mark} goes in before {}, which has to be in its place first. Move it up",
                    pieces[*late].1
                ),
            ));
        }
    }
    placed
}
