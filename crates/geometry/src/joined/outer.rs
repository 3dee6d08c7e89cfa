//! A wall's empty outer face: its edges from corner to corner, and how well they are known.

use kurbo::{Point, Vec2};

use super::wall::BoxWall;
use crate::{Side, Spread};

/// Standard uncertainty of an angle between walls, radians: a bevel gauge on a hull.
pub(crate) const ANGLE_SD: f64 = std::f64::consts::PI / 180.0;

/// One wall's empty outer face.
pub(crate) struct Outer {
    pub sides: Vec<Vec<Point>>,
    pub spreads: Vec<Spread>,
}

impl Outer {
    pub fn corner(&self, side: usize) -> Point {
        self.sides.get(side).and_then(|s| s.last()).copied().unwrap_or_default()
    }

    pub fn ends(&self, side: usize) -> (Point, Point) {
        let n = self.sides.len();
        (self.corner((side + n - 1) % n), self.corner(side))
    }

    pub fn way(&self, side: usize) -> Vec2 {
        let (a, b) = self.ends(side);
        (b - a) / (b - a).hypot().max(1e-300)
    }

    /// Variance of a side's length, mm².
    pub fn length_variance(&self, side: usize) -> f64 {
        let n = self.sides.len();
        let way = self.way(side);
        [(side + n - 1) % n, side].iter().map(|c| self.spreads[*c].along(way)).sum()
    }
}

/// How well each corner of the outer face is known: as the template's corner, and as the bevels that bring it there.
///
/// A bevel off by its uncertainty moves its side by depth ÷ cos² β times that, and a side moved alone slides its corner along
/// the other side (school geometry).
pub(crate) fn spreads(wall: &BoxWall) -> Vec<Spread> {
    let z0 = wall.shape.template_z();
    let outline = &wall.shape.outline;
    let sides = outline.sides();
    let n = sides.len();
    let moved = |at: f64, side: usize| {
        let cos = sides[side].edge.bevel.at(at).cos();
        (z0 * ANGLE_SD / (cos * cos)).powi(2)
    };
    (0..n)
        .map(|i| {
            let known = outline.corners()[i].spread;
            let [Some(a), Some(b)] = [way_at(&sides[i], true), way_at(&sides[(i + 1) % n], false)] else {
                return known;
            };
            let across = a.cross(b);
            // Nearly straight on: the corner is where the tick is, along the sides as well as it is known.
            if across.abs() < 0.1 {
                return known;
            }
            let (first, second) = (moved(1.0, i) / across.powi(2), moved(0.0, (i + 1) % n) / across.powi(2));
            Spread {
                xx: known.xx + first * b.x * b.x + second * a.x * a.x,
                xy: known.xy + first * b.x * b.y + second * a.x * a.y,
                yy: known.yy + first * b.y * b.y + second * a.y * a.y,
            }
        })
        .collect()
}

/// Direction of a side at its end or start.
fn way_at(side: &Side, end: bool) -> Option<Vec2> {
    let ticks = &side.edge.ticks;
    let pair = if end {
        [ticks.get(ticks.len().checked_sub(2)?)?, ticks.last()?]
    } else {
        [ticks.first()?, ticks.get(1)?]
    };
    let way = pair[1].at - pair[0].at;
    (way.hypot() > 0.0).then(|| way.normalize())
}
