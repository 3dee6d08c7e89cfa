//! Stations along a baseline and the distances of the outline there, chosen so that straight lines between them stay within a
//! stated distance of it.
//!
//! A ring is parted where it turns back along the baseline; each part is a line with one distance at each station, but for
//! steps square to the baseline, which have two. Stations stand at corners, at even spacing, and closer where the outline
//! curves: the spacing is halved until the error is small enough.

use coldwright_geometry::Ring;
use kurbo::{Point, Vec2};

use crate::room::thin;

/// How far a thinned ring may lie from the real one, mm: part of the stated error.
const THIN_MM: f64 = 0.04;
/// Turns sharper than this are corners and get a station of their own, radians.
const CORNER: f64 = 12.0 * std::f64::consts::PI / 180.0;
/// A piece of outline that advances less than this along the baseline runs square to it, mm.
const SQUARE_MM: f64 = 1.0e-6;
/// Even stations nearer than this to a corner's are left out where the error allows, mm.
const CROWDED_MM: f64 = 4.0;
/// How often the spacing may be halved: 100 mm become 0.8 mm.
const HALVINGS: u32 = 7;

/// Which side of the foam a line of the table is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Edge {
    /// The outline nearer to the baseline: the foam lies beyond it.
    Near,
    /// The outline farther from the baseline: the foam lies before it.
    Far,
}

/// A stretch of outline that never turns back along the baseline, left to right.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Chain {
    pub(crate) edge: Edge,
    /// In the table's frame: x along the baseline, y the distance from it, mm.
    pub(crate) points: Vec<Point>,
}

/// The chains of rings given in the table's frame, near ones first, each kind by its left end.
pub(crate) fn chains(rings: &[Ring]) -> Vec<Chain> {
    let mut out = Vec::new();
    for ring in rings {
        for points in std::iter::once(&ring.outer).chain(&ring.holes) {
            out.extend(chains_of(&thin(points, THIN_MM)));
        }
    }
    out.sort_by(|a, b| {
        let left = |c: &Chain| c.points.first().map_or((0.0, 0.0), |p| (p.x, p.y));
        a.edge.cmp(&b.edge).then(left(a).0.total_cmp(&left(b).0)).then(left(a).1.total_cmp(&left(b).1))
    });
    out
}

/// The chains of one ring; counter-clockwise rings run rightwards on their near side, holes the other way round.
fn chains_of(ring: &[Point]) -> Vec<Chain> {
    let count = ring.len();
    let way = |i: usize| {
        let dx = ring[(i + 1) % count].x - ring[i % count].x;
        if dx.abs() < SQUARE_MM {
            0
        } else if dx > 0.0 {
            1
        } else {
            -1
        }
    };
    // A start where the ring turns back, so that no chain is split by the end of the list.
    let before = |i: usize| (1..=count).map(|k| way(i + count - k)).find(|w| *w != 0).unwrap_or(0);
    let Some(start) = (0..count).find(|i| way(*i) != 0 && before(*i) == -way(*i)) else { return Vec::new() };
    let mut out: Vec<(i32, Vec<Point>)> = Vec::new();
    for i in start..start + count {
        let (from, to, way) = (ring[i % count], ring[(i + 1) % count], way(i));
        match out.last_mut() {
            Some((last, points)) if way == 0 || way == *last => {
                let _ = last;
                points.push(to);
            }
            _ => out.push((way, vec![from, to])),
        }
    }
    out.into_iter()
        .map(|(way, mut points)| {
            // What runs square to the baseline at the end only closes the ring towards the next chain.
            while points.len() > 2
                && (points[points.len() - 1].x - points[points.len() - 2].x).abs() < SQUARE_MM
            {
                points.pop();
            }
            if way < 0 {
                points.reverse();
            }
            Chain { edge: if way > 0 { Edge::Near } else { Edge::Far }, points }
        })
        .collect()
}

impl Chain {
    fn span(&self) -> (f64, f64) {
        let end = |p: Option<&Point>| p.map_or(0.0, |p| p.x);
        (end(self.points.first()), end(self.points.last()))
    }

    /// The distances at a station: none outside the chain, two at a step square to the baseline.
    pub(crate) fn at(&self, x: f64) -> Vec<f64> {
        let (from, to) = self.span();
        if x < from - 1e-9 || x > to + 1e-9 {
            return Vec::new();
        }
        let on: Vec<f64> = self.points.iter().filter(|p| (p.x - x).abs() < 1e-9).map(|p| p.y).collect();
        match (on.first(), on.last()) {
            (Some(a), Some(b)) if (a - b).abs() > 1e-6 => vec![*a, *b],
            (Some(a), _) => vec![*a],
            _ => self
                .points
                .windows(2)
                .find(|w| w[0].x <= x && x <= w[1].x)
                .map(|w| w[0].y + (w[1].y - w[0].y) * (x - w[0].x) / (w[1].x - w[0].x))
                .into_iter()
                .collect(),
        }
    }

    /// Farthest any point of the chain between two stations lies from the straight line between them, and where.
    fn off(&self, from: f64, to: f64) -> (f64, f64) {
        let (left, right) = self.span();
        let (a, b) = (from.max(left), to.min(right));
        let ends = (self.at(a).last().copied(), self.at(b).first().copied());
        let (Some(y0), Some(y1)) = ends else { return (0.0, from) };
        if b - a < SQUARE_MM {
            return (0.0, from);
        }
        let (p, d) = (Point::new(a, y0), Vec2::new(b - a, y1 - y0));
        self.points
            .iter()
            .filter(|q| q.x > a + 1e-9 && q.x < b - 1e-9)
            .map(|q| ((*q - p).cross(d).abs() / d.hypot(), q.x))
            .max_by(|m, n| m.0.total_cmp(&n.0))
            .unwrap_or((0.0, from))
    }
}

/// Stations for all chains: at the ends and corners of each, every `spacing` mm, and closer where straight lines between them
/// would err by more than `error_mm` less the share of thinning.
pub(crate) fn stations(chains: &[Chain], spacing: f64, error_mm: f64) -> Vec<f64> {
    let mut fixed: Vec<f64> = Vec::new();
    for chain in chains {
        fixed.extend(chain.points.first().map(|p| p.x));
        fixed.extend(chain.points.last().map(|p| p.x));
        for w in chain.points.windows(3) {
            let (a, b) = (w[1] - w[0], w[2] - w[1]);
            if a.cross(b).atan2(a.dot(b)).abs() > CORNER {
                fixed.push(w[1].x);
            }
        }
    }
    sort(&mut fixed);
    let (Some(first), Some(last)) = (fixed.first().copied(), fixed.last().copied()) else { return fixed };
    let mut all = fixed.clone();
    let even =
        (0..=((last - first) / spacing).clamp(0.0, 1.0e4) as u32).map(|i| first + spacing * f64::from(i));
    all.extend(even.filter(|x| fixed.iter().all(|f| (f - x).abs() >= CROWDED_MM)));
    sort(&mut all);
    let allowed = error_mm - THIN_MM;
    for _ in 0..HALVINGS {
        let mut more = Vec::new();
        for pair in all.windows(2) {
            let off = chains.iter().map(|c| c.off(pair[0], pair[1]));
            if off.map(|(mm, _)| mm).fold(0.0, f64::max) > allowed {
                more.push(f64::midpoint(pair[0], pair[1]));
            }
        }
        if more.is_empty() {
            return all;
        }
        all.extend(more);
        sort(&mut all);
    }
    // What is left are kinks too blunt for corners, in very steep places: each worst point becomes a station. Every turn takes
    // in one more of the points there are, so it ends.
    for _ in 0..2000 {
        let worst = all
            .windows(2)
            .flat_map(|pair| chains.iter().map(|c| c.off(pair[0], pair[1])))
            .max_by(|a, b| a.0.total_cmp(&b.0));
        match worst {
            Some((mm, x)) if mm > allowed => all.push(x),
            _ => break,
        }
        sort(&mut all);
    }
    all
}

fn sort(all: &mut Vec<f64>) {
    all.sort_by(f64::total_cmp);
    all.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ring(points: &[(f64, f64)]) -> Ring {
        Ring { outer: points.iter().map(|p| Point::from(*p)).collect(), holes: Vec::new() }
    }

    #[test]
    fn a_trapezium_has_one_near_and_one_far_line_and_stations_at_its_corners() {
        let all = chains(&[ring(&[(0.0, 0.0), (300.0, 0.0), (270.0, 200.0), (40.0, 180.0)])]);
        assert_eq!(all.iter().map(|c| c.edge).collect::<Vec<_>>(), [Edge::Near, Edge::Far]);
        let at = stations(&all, 100.0, 0.4);
        assert_eq!(at, [0.0, 40.0, 100.0, 200.0, 270.0, 300.0]);
        assert_eq!(all[1].at(40.0), [180.0]);
        assert!((all[1].at(20.0)[0] - 90.0).abs() < 1e-9);
    }

    #[test]
    fn a_step_has_two_distances_and_a_notch_two_pairs_of_lines() {
        let step = chains(&[ring(&[
            (0.0, 0.0),
            (200.0, 0.0),
            (200.0, 50.0),
            (100.0, 50.0),
            (100.0, 90.0),
            (0.0, 90.0),
        ])]);
        assert_eq!(step.len(), 2);
        assert_eq!(step[1].at(100.0), [90.0, 50.0]);
        // A notch cut in from the side makes the outline turn back along the baseline.
        let notch = chains(&[ring(&[
            (0.0, 0.0),
            (200.0, 0.0),
            (200.0, 40.0),
            (80.0, 50.0),
            (200.0, 60.0),
            (200.0, 100.0),
            (0.0, 100.0),
        ])]);
        let kinds: Vec<Edge> = notch.iter().map(|c| c.edge).collect();
        assert_eq!(kinds, [Edge::Near, Edge::Near, Edge::Far, Edge::Far]);
    }

    #[test]
    fn stations_on_a_half_circle_keep_the_error_and_a_tighter_one_needs_more() {
        let arc = (0..=720).map(|i| {
            Point::new(300.0, 0.0) + Vec2::from_angle(f64::from(i) / 720.0 * std::f64::consts::PI) * 300.0
        });
        let all = chains(&[Ring { outer: arc.collect(), holes: Vec::new() }]);
        let mut before = 0;
        for error in [2.0, 0.4, 0.1] {
            let at = stations(&all, 100.0, error);
            let table: Vec<Point> =
                at.iter().filter_map(|x| all[1].at(*x).first().map(|y| Point::new(*x, *y))).collect();
            let worst = (0..=5000)
                .map(|i| {
                    Point::new(300.0, 0.0)
                        + Vec2::from_angle(f64::from(i) / 5000.0 * std::f64::consts::PI) * 300.0
                })
                .map(|p| {
                    table
                        .windows(2)
                        .map(|w| crate::offsets::tests::distance(p, w[0], w[1]))
                        .fold(f64::MAX, f64::min)
                })
                .fold(0.0, f64::max);
            assert!(worst <= error && at.len() > before, "{error}: {worst} with {} stations", at.len());
            before = at.len();
        }
    }
}
