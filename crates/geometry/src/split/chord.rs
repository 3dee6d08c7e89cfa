//! A region cut along part of a straight line, exactly: no region library, so that nothing is lost or gained.
//!
//! Where the line crosses the boundary a point is put in; each piece of the line inside the region that is to be cut is walked
//! both ways; what is walked round then are the parts (the usual walk of faces over half-edges; M. de Berg and others,
//! Computational Geometry, 3rd ed. 2008, section 2.2).

use kurbo::{Point, Vec2};

use crate::Ring;
use crate::section::{inside, signed_area};

/// A straight line with a direction.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Line {
    pub at: Point,
    /// Unit vector.
    pub along: Vec2,
}

impl Line {
    /// Distance to the left of it, mm.
    pub fn height(&self, p: Point) -> f64 {
        self.along.cross(p - self.at)
    }

    /// Place along it, mm.
    pub fn place(&self, p: Point) -> f64 {
        self.along.dot(p - self.at)
    }

    /// The line `by` mm farther to its left.
    pub fn left(&self, by: f64) -> Self {
        Self { at: self.at + self.along.turn_90() * by, along: self.along }
    }
}

/// From where to where along the line.
pub(crate) type Chord = (f64, f64);

/// Where a boundary crosses the line.
#[derive(Debug, Clone, Copy)]
struct Crossing {
    /// Which boundary, 0 = outer.
    ring: usize,
    /// The segment that crosses, by its first point.
    segment: usize,
    /// Place along the line.
    place: f64,
    at: Point,
}

/// The line moved aside by less than a micrometre, so that it meets no corner of the region.
fn clear_of_corners(region: &Ring, line: Line) -> Line {
    let corners = || std::iter::once(&region.outer).chain(&region.holes).flatten();
    (0..12)
        .map(|k| line.left(f64::from(k) * 6.1e-8))
        .find(|l| corners().all(|p| l.height(*p).abs() > 1e-9))
        .unwrap_or(line)
}

fn crossings(region: &Ring, line: &Line) -> Vec<Crossing> {
    let mut out = Vec::new();
    for (ring, points) in std::iter::once(&region.outer).chain(&region.holes).enumerate() {
        let n = points.len();
        for segment in 0..n {
            let (a, b) = (points[segment], points[(segment + 1) % n]);
            let (ha, hb) = (line.height(a), line.height(b));
            if (ha > 0.0) != (hb > 0.0) {
                let at = a + (b - a) * (ha / (ha - hb));
                out.push(Crossing { ring, segment, place: line.place(at), at });
            }
        }
    }
    out.sort_by(|a, b| a.place.total_cmp(&b.place));
    out
}

/// The pieces of the line inside the region.
pub(crate) fn chords(region: &Ring, line: Line) -> Vec<Chord> {
    let line = clear_of_corners(region, line);
    crossings(region, &line).chunks_exact(2).map(|c| (c[0].place, c[1].place)).collect()
}

/// The region cut along those of its chords that `wanted` picks.
pub(crate) fn cut(region: &Ring, line: Line, wanted: &dyn Fn(Chord) -> bool) -> Vec<Ring> {
    let line = clear_of_corners(region, line);
    let all = crossings(region, &line);
    let picked: Vec<&[Crossing]> = all.chunks_exact(2).filter(|c| wanted((c[0].place, c[1].place))).collect();
    if picked.is_empty() {
        return vec![region.clone()];
    }
    // Every boundary with the crossings put in; `next` leads on along it, at a crossing across the chord instead.
    let mut points: Vec<Point> = Vec::new();
    let mut next: Vec<usize> = Vec::new();
    let mut ends: Vec<Vec<usize>> = vec![Vec::new(); picked.len()];
    for (ring, corners) in std::iter::once(&region.outer).chain(&region.holes).enumerate() {
        let first = points.len();
        for (segment, p) in corners.iter().enumerate() {
            points.push(*p);
            let mut here: Vec<(f64, usize, Point)> = picked
                .iter()
                .enumerate()
                .flat_map(|(k, c)| c.iter().map(move |x| (k, x)))
                .filter(|(_, x)| x.ring == ring && x.segment == segment)
                .map(|(k, x)| (x.at.distance(*p), k, x.at))
                .collect();
            here.sort_by(|a, b| a.0.total_cmp(&b.0));
            for (_, k, at) in here {
                ends[k].push(points.len());
                points.push(at);
            }
        }
        let last = points.len();
        next.extend((first..last).map(|i| if i + 1 == last { first } else { i + 1 }));
    }
    // The walk that comes along the boundary to one end goes over the chord and on from its other end.
    let mut over: Vec<Option<usize>> = vec![None; points.len()];
    for pair in &ends {
        if let [a, b] = pair[..] {
            (over[a], over[b]) = (Some(b), Some(a));
        }
    }
    let mut seen = vec![false; points.len()];
    let mut loops: Vec<Vec<Point>> = Vec::new();
    // A walk is known by the points from which it goes along the boundary; each point is such a one in one walk.
    for start in 0..points.len() {
        if seen[start] {
            continue;
        }
        let mut walk = Vec::new();
        let mut i = start;
        for _ in 0..=2 * points.len() {
            if std::mem::replace(&mut seen[i], true) {
                break;
            }
            walk.push(points[i]);
            i = next[i];
            if let Some(far) = over[i] {
                walk.push(points[i]);
                i = far;
            }
        }
        loops.push(walk);
    }
    assemble(loops)
}

/// Outer boundaries, each with the holes in it.
fn assemble(loops: Vec<Vec<Point>>) -> Vec<Ring> {
    let (outers, holes): (Vec<_>, Vec<_>) = loops.into_iter().partition(|l| signed_area(l) > 0.0);
    let mut out: Vec<Ring> = outers.into_iter().map(|outer| Ring { outer, holes: Vec::new() }).collect();
    for hole in holes {
        let Some(p) = hole.first().copied() else { continue };
        if let Some(r) = out.iter_mut().find(|r| inside(&r.outer, p)) {
            r.holes.push(hole);
        }
    }
    out.retain(|r| r.area() > 1e-6);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x: f64) -> Line {
        Line { at: Point::new(x, 0.0), along: Vec2::new(0.0, 1.0) }
    }

    fn ring(points: &[(f64, f64)]) -> Vec<Point> {
        points.iter().map(|p| Point::new(p.0, p.1)).collect()
    }

    #[test]
    fn a_square_with_a_hole_is_cut_through_its_hole() {
        let region = Ring {
            outer: ring(&[(0., 0.), (100., 0.), (100., 100.), (0., 100.)]),
            holes: vec![ring(&[(40., 40.), (40., 60.), (60., 60.), (60., 40.)])],
        };
        assert_eq!(chords(&region, line(50.0)), vec![(0.0, 40.0), (60.0, 100.0)]);
        let both = cut(&region, line(50.0), &|_| true);
        assert!(
            both.len() == 2 && both.iter().all(|r| r.holes.is_empty() && (r.area() - 4800.0).abs() < 1e-9)
        );
        // One bridge only: still in one part, the hole opened.
        let one = cut(&region, line(50.0), &|c| c.0 < 50.0);
        assert!(one.len() == 1 && one[0].holes.is_empty() && (one[0].area() - 9600.0).abs() < 1e-9);
        let beside = cut(&region, line(20.0), &|_| true);
        assert!(beside.len() == 2 && beside.iter().map(|r| r.holes.len()).sum::<usize>() == 1);
        // Along a side of the hole, through corners.
        let on = cut(&region, line(40.0), &|_| true);
        assert!((on.iter().map(Ring::area).sum::<f64>() - 9600.0).abs() < 1e-9, "{on:?}");
    }

    #[test]
    fn one_leg_of_a_u_is_cut() {
        let u = ring(&[
            (0., 0.),
            (100., 0.),
            (100., 100.),
            (70., 100.),
            (70., 30.),
            (30., 30.),
            (30., 100.),
            (0., 100.),
        ]);
        let region = Ring { outer: u, holes: vec![] };
        let across = Line { at: Point::new(0.0, 60.0), along: Vec2::new(1.0, 0.0) };
        let parts = cut(&region, across, &|c| c.1 < 50.0);
        let mut areas: Vec<f64> = parts.iter().map(Ring::area).collect();
        areas.sort_by(f64::total_cmp);
        assert!(
            areas.len() == 2 && (areas[0] - 1200.0).abs() < 1e-9 && (areas[1] - 6000.0).abs() < 1e-9,
            "{areas:?}"
        );
        assert_eq!(cut(&region, across, &|_| true).len(), 3);
    }
}
