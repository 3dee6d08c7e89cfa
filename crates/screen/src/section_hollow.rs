//! Layers over a hollow in the section: strips and bent foam where they stand against the hull.

use coldwright_geometry::{Hollow, Layer};
use coldwright_job::{HollowLayer, HollowPlan};
use egui::{Color32, Shape, Stroke};
use kurbo::{Point, Vec2};

use crate::board::Board;
use crate::theme::Palette;

/// Pieces in which a bent layer is drawn; a hollow is a gentle curve.
const PIECES: u32 = 64;

/// Draws a layer as it stands over the hollow, its hull face `before` mm off the hull; false where it is none of its.
pub(crate) fn draw(
    board: &Board,
    plan: &HollowPlan,
    layer: &Layer,
    before: f64,
    (s0, s1): (f64, f64),
    fill: Color32,
    p: &Palette,
) -> bool {
    let Some(made) = layer.number.checked_sub(1).and_then(|i| plan.layers.get(i)) else { return false };
    let hull = Hull { hollow: &plan.hollow, from: plan.from };
    let thickness = layer.to - layer.from;
    let ink = Stroke::new(1.0, p.ink);
    match made {
        HollowLayer::Strips { strips, .. } => {
            for (i, s) in strips.iter().enumerate() {
                let (a, b) = (hull.at(s.from), hull.at(s.to));
                if 0.5 * (a.x + b.x) < s0 || 0.5 * (a.x + b.x) > s1 {
                    continue;
                }
                let along = (b - a) / (b - a).hypot();
                let inward = Vec2::new(-along.y, along.x);
                let bevels = (
                    if i > 0 { s.bevels.0 } else { 0.0 },
                    if i + 1 < strips.len() { s.bevels.1 } else { 0.0 },
                );
                let corner =
                    |foot: Point, out: Vec2, bevel: f64, z: f64| foot + inward * z + out * (z * bevel.tan());
                let (low, high) = (before, before + thickness);
                let ring = [
                    corner(a, -along, bevels.0, low),
                    corner(b, along, bevels.1, low),
                    corner(b, along, bevels.1, high),
                    corner(a, -along, bevels.0, high),
                ];
                board.painter.add(Shape::convex_polygon(board.line(&ring), fill, ink));
            }
        }
        HollowLayer::Kerfs { .. } => {
            let length = plan.hollow.length();
            let places: Vec<f64> = (0..=PIECES).map(|k| length * f64::from(k) / f64::from(PIECES)).collect();
            let line = |off: f64| places.iter().map(|x| hull.off(*x, off)).collect::<Vec<Point>>();
            let (low, high) = (line(before), line(before + thickness));
            for (a, b) in low.windows(2).zip(high.windows(2)) {
                let quad = board.line(&[a[0], a[1], b[1], b[0]]);
                board.painter.add(Shape::convex_polygon(quad, fill, Stroke::new(1.0, fill)));
            }
            let mut ring = low;
            ring.extend(high.into_iter().rev());
            board.painter.add(Shape::closed_line(board.line(&ring), ink));
        }
    }
    true
}

/// The middle of such a layer, of its middle strip where it is made of strips; `None` where it is flat.
pub(crate) fn middle(plan: &HollowPlan, layer: &Layer) -> Option<Point> {
    let hull = Hull { hollow: &plan.hollow, from: plan.from };
    let off = 0.5 * (layer.from + layer.to);
    Some(match plan.layers.get(layer.number.checked_sub(1)?)? {
        HollowLayer::Strips { strips, .. } => {
            let s = strips.get(strips.len() / 2)?;
            let (a, b) = (hull.at(s.from), hull.at(s.to));
            let along = (b - a) / (b - a).hypot();
            a.midpoint(b) + Vec2::new(-along.y, along.x) * off
        }
        HollowLayer::Kerfs { .. } => hull.off(0.5 * plan.hollow.length(), off),
    })
}

/// The surface behind the wall in the section: across it the straightedge, up the depth from it.
struct Hull<'a> {
    hollow: &'a Hollow,
    from: f64,
}

impl Hull<'_> {
    fn at(&self, x: f64) -> Point {
        Point::new(self.from + x, -self.hollow.gap(x))
    }

    /// So much off the surface, towards the box.
    fn off(&self, x: f64, off: f64) -> Point {
        // The gap grows where the surface falls away.
        let (sin, cos) = self.hollow.slope(x).sin_cos();
        self.at(x) + Vec2::new(sin, cos) * off
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn off_a_round_hull_towards_its_middle() {
        let hollow = Hollow::round(900.0, 800.0).expect("a hollow");
        let hull = Hull { hollow: &hollow, from: 50.0 };
        // The circle's middle stands over the straightedge's middle.
        let middle = Point::new(450.0, (900.0_f64.powi(2) - 400.0_f64.powi(2)).sqrt());
        for x in [0.0, 130.0, 400.0, 770.0] {
            assert!((hull.at(x).distance(middle) - 900.0).abs() < 1e-9);
            assert!((hull.off(x, 25.0).distance(middle) - 875.0).abs() < 1e-9);
        }
    }
}
