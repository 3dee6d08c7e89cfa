//! Ticks as they stand on the outline's board, and what lies near the pointer.

use coldwright_job::{EdgeId, Place, TickId, Wall};
use egui::Pos2;
use kurbo::Point;

use crate::board::Board;
use crate::view::{Selected, View};

/// How near the pointer takes hold of a tick, screen points.
const NEAR: f32 = 10.0;

/// A tick as it stands on this board.
pub(crate) struct Spot {
    pub(crate) id: TickId,
    pub(crate) number: usize,
    pub(crate) at: Point,
    pub(crate) on: Pos2,
}

/// Ticks on the board: where the document says for the photo shown, so that a drag is followed without waiting.
pub(crate) fn spots(
    board: &Board,
    wall: &Wall,
    view: &View,
    photo: Option<coldwright_job::PhotoId>,
) -> Vec<Spot> {
    let mut out: Vec<Spot> = Vec::new();
    for edge in &wall.template.edges {
        for id in &edge.ticks {
            if out.iter().any(|s| s.id == *id) {
                continue;
            }
            let mark = view.lines.marks.iter().find(|m| m.id == *id);
            let direct = match (wall.template.tick(*id).map(|t| &t.place), photo) {
                (Some(Place::Pixel { photo, px, .. }), Some(here)) if *photo == here => Some(*px),
                _ => None,
            };
            let Some(at) = direct.or_else(|| mark.map(|m| m.at)) else { continue };
            out.push(Spot { id: *id, number: out.len() + 1, at, on: board.put(at) });
        }
    }
    out
}

/// The tick that the pointer takes hold of.
pub(crate) fn nearest(spots: &[Spot], to: Pos2) -> Option<&Spot> {
    let near = spots.iter().min_by(|a, b| a.on.distance_sq(to).total_cmp(&b.on.distance_sq(to)))?;
    (near.on.distance(to) <= NEAR).then_some(near)
}

/// Which edge a click goes to, and before which of its ticks.
pub(crate) fn where_to(
    wall: &Wall,
    spots: &[Spot],
    at: Pos2,
    view: &View,
) -> (Option<EdgeId>, Option<usize>) {
    let edges = &wall.template.edges;
    let current = match view.selected {
        Selected::Edge(id) => wall.template.edge(id),
        Selected::Tick(id) => edges.iter().rev().find(|e| e.ticks.contains(&id)),
        _ => None,
    };
    let Some(edge) = current.or(edges.last()) else { return (None, None) };
    let on = |id: &TickId| spots.iter().find(|s| s.id == *id).map(|s| s.on);
    for (index, pair) in edge.ticks.windows(2).enumerate() {
        if let [a, b] = pair
            && let (Some(a), Some(b)) = (on(a), on(b))
            && beside(a, b, at)
        {
            return (Some(edge.id), Some(index + 1));
        }
    }
    let after = view.tick().and_then(|t| edge.ticks.iter().position(|k| *k == t)).map(|i| i + 1);
    (Some(edge.id), after.filter(|i| *i < edge.ticks.len()))
}

/// Whether a click falls on the stretch between two ticks.
fn beside(a: Pos2, b: Pos2, at: Pos2) -> bool {
    let along = b - a;
    let long = along.length();
    if long < 2.0 * NEAR {
        return false;
    }
    let t = (at - a).dot(along) / long;
    let off = ((at - a).x * along.y - (at - a).y * along.x).abs() / long;
    t > NEAR && t < long - NEAR && off < NEAR
}
