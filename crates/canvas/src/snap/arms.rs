//! The two edges that leave a corner.

use kurbo::Vec2;

use super::lines::Line;

/// One way along a line from a corner.
pub(super) struct Arm<'a> {
    pub(super) line: &'a Line,
    /// Unit vector from the corner along the edge.
    pub(super) way: Vec2,
    /// How far the edge is seen, pixels, and how far it goes on beyond the corner the other way.
    pub(super) reach: f64,
    pub(super) beyond: f64,
}

pub(super) fn arm(line: &Line, at: Vec2) -> Arm<'_> {
    let t = at.dot(line.direction());
    let (up, down) = (line.reach(t, 1.0), line.reach(t, -1.0));
    if up >= down {
        Arm { line, way: line.direction(), reach: up, beyond: down }
    } else {
        Arm { line, way: -line.direction(), reach: down, beyond: up }
    }
}
