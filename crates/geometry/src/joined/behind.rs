//! Two boxes with a wall between them: the second one's divider stands back to back with the first one's.

use super::fold::Folded;
use super::space::{Pose, Xyz};
use super::wall::BoxWall;
use crate::bounds;

/// Moves the group of wall `back` so that its outer face lies on the outer face of wall `front`, seen from the other side: up
/// stays up, the middles of both faces meet. Gives the walls moved; none where both walls are of one group or not there.
pub fn stand_behind(folded: &mut Folded, walls: &[BoxWall], front: usize, back: usize) -> Vec<usize> {
    let group = folded.groups.iter().find(|g| g.walls.contains(&back)).map(|g| g.walls.clone());
    let Some(group) = group.filter(|g| !g.contains(&front)) else { return Vec::new() };
    let (Some(a), Some(b)) = (folded.poses.get(front).copied(), folded.poses.get(back).copied()) else {
        return Vec::new();
    };
    let middle = |wall: usize| {
        let corners: Vec<_> = walls.get(wall)?.shape.outline.corners().iter().map(|c| c.at).collect();
        Some(bounds(&corners).center())
    };
    let (Some(here), Some(there)) = (middle(front), middle(back)) else { return Vec::new() };
    let axes = [-a.axes[0], a.axes[1], -a.axes[2]];
    let turned = Pose { axes, origin: Xyz::default() };
    let want = Pose { axes, origin: a.place(here, 0.0) - turned.place(there, 0.0) };
    // What maps the back wall's old pose on the new one maps its group.
    let frame_axis = |v: Xyz| want.turn(Xyz::new(b.axes[0].dot(v), b.axes[1].dot(v), b.axes[2].dot(v)));
    for wall in &group {
        if let Some(pose) = folded.poses.get_mut(*wall) {
            let arm = pose.origin - b.origin;
            *pose = Pose { axes: pose.axes.map(frame_axis), origin: want.origin + frame_axis(arm) };
        }
    }
    group
}
