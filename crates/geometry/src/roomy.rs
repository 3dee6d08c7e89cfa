//! Where words find room in a shape.

use kurbo::Point;

use crate::Ring;
use crate::section::segments;

/// Level lines looked along.
const LEVELS: u32 = 24;
/// So much of the most room is as good.
const ENOUGH: f64 = 0.75;

/// A place inside a ring where a level block `wide` times as wide as high finds nearly as much room as anywhere, the nearest such
/// to the middle of its bounds; that middle where the ring is empty. Looked for on level lines, in the middle of each stretch
/// inside the ring.
///
/// # Examples
/// ```
/// use coldwright_geometry::{Point, Ring, roomy};
/// // In a U the base is wider than the legs.
/// let u = [(0., 0.), (90., 0.), (90., 60.), (70., 60.), (70., 30.), (20., 30.), (20., 60.), (0., 60.)];
/// let u = Ring { outer: u.map(Point::from).to_vec(), holes: Vec::new() };
/// let at = roomy(&u, 4.0);
/// assert!(u.contains(at) && u.distance_to_boundary(at) > 9.0);
/// ```
#[must_use]
pub fn roomy(ring: &Ring, wide: f64) -> Point {
    let b = ring.bounds();
    let mut found: Vec<(f64, Point)> = Vec::new();
    for level in 1..LEVELS {
        let y = b.y0 + b.height() * f64::from(level) / f64::from(LEVELS);
        let sides = std::iter::once(&ring.outer).chain(&ring.holes).flat_map(|r| segments(r));
        let mut cuts: Vec<f64> = sides
            .filter(|(p, q)| (p.y > y) != (q.y > y))
            .map(|(p, q)| p.x + (q.x - p.x) * (y - p.y) / (q.y - p.y))
            .collect();
        cuts.sort_by(f64::total_cmp);
        for pair in cuts.chunks_exact(2) {
            let at = Point::new(f64::midpoint(pair[0], pair[1]), y);
            found.push((ring.distance_to_boundary(at).min((pair[1] - pair[0]) / 2.0 / wide), at));
        }
    }
    let most = found.iter().map(|(room, _)| *room).fold(0.0, f64::max);
    let good = found.into_iter().filter(|(room, _)| *room >= ENOUGH * most);
    let off = |at: &Point| at.distance_squared(b.center());
    good.min_by(|a, b| off(&a.1).total_cmp(&off(&b.1))).map_or(b.center(), |(_, at)| at)
}
