//! A wall's face as curves from corner to corner.

use kurbo::Point;

use crate::loft::Loft;
use crate::slice::crossing;

/// The edges of one face in ring order, each from its start corner to its end corner; neighbours share their corner.
///
/// Edges are carried or cut to where neighbours cross, also past where one of them has vanished.
pub(crate) fn rim(loft: &Loft, z: f64) -> Vec<Vec<Point>> {
    let n = loft.sides.len();
    let dz = loft.dz(z);
    // For the corner at the end of each side: place, parameter on the side that ends and on the side that starts.
    let corners: Vec<(Point, f64, f64)> = (0..n)
        .map(|i| {
            let (a, b) = (&loft.sides[i], &loft.sides[(i + 1) % n]);
            match crossing(a, dz, b, dz) {
                Some((first, second, at)) => (at, first, second),
                None => {
                    let (end, start) = (a.ends().1, b.ends().0);
                    (a.moved(end, dz).0.midpoint(b.moved(start, dz).0), end, start)
                }
            }
        })
        .collect();
    (0..n)
        .map(|i| {
            let (before, after) = (corners[(i + n - 1) % n], corners[i]);
            let mut out = vec![before.0];
            out.extend(loft.sides[i].between(before.2, after.1, dz));
            out.push(after.0);
            out
        })
        .collect()
}

/// Length of a line through points, mm.
pub(crate) fn run_length(points: &[Point]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}
