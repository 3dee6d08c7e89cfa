//! Two places that lie inside every layer of a wall, so that all its layers can be laid over one another.

use coldwright_geometry::{LayerSet, Ring};
use kurbo::Point;

use crate::glyph::CROSS_MM;
use crate::room::thinned;

/// Places tried along the longer side.
const TRIES: f64 = 40.0;

/// Two points of the wall's frame, on whole millimetres, that lie well inside every face of every layer, as far from one
/// another as can be: left first, or lower first when one is above the other. `None` when there are no two such places 40 mm
/// apart.
pub(crate) fn points(set: &LayerSet) -> Option<[Point; 2]> {
    let faces: Vec<Vec<Ring>> = set
        .layers
        .iter()
        .flat_map(|l| [&l.outer, &l.inner])
        .map(|s| s.rings.iter().map(thinned).collect())
        .collect();
    let bounds = faces.first()?.first()?.bounds();
    let step = (bounds.width().max(bounds.height()) / TRIES).max(2.0);
    let count = |length: f64| (length / step) as usize;
    let (across, up) = (count(bounds.width()), count(bounds.height()));
    let mut good: Vec<Point> = Vec::new();
    for (row, column) in (0..=up).flat_map(|row| (0..=across).map(move |column| (row, column))) {
        let p =
            Point::new((bounds.x0 + column as f64 * step).round(), (bounds.y0 + row as f64 * step).round());
        // Clear of edge words, which stand within some 10 mm of the boundary.
        let clear = |ring: &Ring| ring.contains(p) && clear_by(ring, p, CROSS_MM + 10.0);
        if faces.iter().all(|rings| rings.iter().any(clear)) {
            good.push(p);
        }
    }
    let pairs = good.iter().enumerate().flat_map(|(i, a)| good[i + 1..].iter().map(move |b| (*a, *b)));
    let (a, b) = pairs.max_by(|p, q| p.0.distance_squared(p.1).total_cmp(&q.0.distance_squared(q.1)))?;
    if a.distance(b) < 40.0 {
        return None;
    }
    let b_first = if (a.x - b.x).abs() > 1.0 { b.x < a.x } else { b.y < a.y };
    Some(if b_first { [b, a] } else { [a, b] })
}

/// Whether all of a ring's line is farther from a point than `mm`.
fn clear_by(ring: &Ring, p: Point, mm: f64) -> bool {
    std::iter::once(&ring.outer).chain(&ring.holes).all(|points| {
        points.iter().zip(points.iter().cycle().skip(1)).all(|(a, b)| {
            let beside = (a.x.min(b.x) - p.x).max(p.x - a.x.max(b.x)).max(a.y.min(b.y) - p.y);
            if beside.max(p.y - a.y.max(b.y)) > mm {
                return true;
            }
            let (d, v) = (*b - *a, p - *a);
            let t = if d.hypot2() > 0.0 { (v.dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
            (v - d * t).hypot() > mm
        })
    })
}
