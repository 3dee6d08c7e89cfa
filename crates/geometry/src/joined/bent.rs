//! Where a bent wall's faces run in the box.
//!
//! A bent wall is spanned between its neighbours' edges: between four of them by the bilinearly blended patch (S. Coons, Surfaces
//! for computer-aided design of space forms, MIT 1967), which is the hull itself where that is ruled from edge to edge; between
//! another number by a fan about their middle.

use super::joint::{Joined, Joint};
use super::space::Xyz;
use super::wall::{BoxWall, Surface};
use crate::GeometryError;

/// Pieces of a patch along a curved edge. An edge of 8 m radius and 1 m length is off its chords by 0.007 mm, one of 1 m radius by
/// 0.05 mm; the patch's area stays right to 1 in 10⁴.
const PIECES: usize = 48;
/// Pieces between straight edges: a twisted patch bends although its edges do not.
const TWISTED: usize = 12;

/// One face of a bent wall.
#[derive(Debug, Clone)]
pub(crate) struct Patch {
    pub wall: usize,
    /// Its edges in ring order, from corner to corner.
    pub edges: Vec<Vec<Xyz>>,
    /// Counter-clockwise seen from inside the box.
    pub triangles: Vec<[Xyz; 3]>,
}

/// One face of each bent wall of a group, between the edges of the flat walls' faces in the box frame (`known`, by wall).
pub(crate) fn patches(
    walls: &[BoxWall],
    joints: &[Joint],
    joined: &Joined,
    group: &[usize],
    known: &[(usize, Vec<Vec<Xyz>>)],
) -> Result<Vec<Patch>, GeometryError> {
    let bent = |w: usize| walls[w].surface == Surface::Bent;
    group
        .iter()
        .copied()
        .filter(|w| bent(*w))
        .map(|wall| {
            let edges = borders(joints, joined, wall, known)
                .ok_or_else(|| GeometryError::BentWall { wall: walls[wall].name.clone() })?;
            let triangles = if let [low, right, high, left] = edges.as_slice() {
                coons(low, right, high, left)
            } else {
                fan(&edges)
            };
            Ok(Patch { wall, edges, triangles })
        })
        .collect()
}

/// The edges of a bent wall as its flat neighbours have them; straight between where there is none.
fn borders(
    joints: &[Joint],
    joined: &Joined,
    wall: usize,
    known: &[(usize, Vec<Vec<Xyz>>)],
) -> Option<Vec<Vec<Xyz>>> {
    let n = joined[wall].len();
    let found: Vec<Option<Vec<Xyz>>> = joined[wall]
        .iter()
        .map(|at| {
            let (number, half) = (*at)?;
            let other = joints[number].half(half.other()).wall;
            let side = joined[other].iter().position(|j| *j == Some((number, half.other())))?;
            let line = known.iter().find(|(w, _)| *w == other)?.1.get(side)?;
            Some(line.iter().rev().copied().collect())
        })
        .collect();
    (0..n)
        .map(|i| {
            found[i].clone().or_else(|| {
                let before = *found[(i + n - 1) % n].as_ref()?.last()?;
                let after = *found[(i + 1) % n].as_ref()?.first()?;
                Some(vec![before, after])
            })
        })
        .collect()
}

/// Places at `pieces` equal steps of a line's length.
fn steps(line: &[Xyz], pieces: usize) -> Vec<Xyz> {
    let mut upto = vec![0.0];
    for w in line.windows(2) {
        upto.push(upto[upto.len() - 1] + (w[1] - w[0]).length());
    }
    let whole = upto[upto.len() - 1];
    (0..=pieces)
        .map(|k| {
            let want = whole * k as f64 / pieces as f64;
            let i = upto.partition_point(|l| *l < want).clamp(1, upto.len() - 1);
            let share = (want - upto[i - 1]) / (upto[i] - upto[i - 1]).max(1e-300);
            line[i - 1] + (line[i] - line[i - 1]) * share.clamp(0.0, 1.0)
        })
        .collect()
}

fn coons(low: &[Xyz], right: &[Xyz], high: &[Xyz], left: &[Xyz]) -> Vec<[Xyz; 3]> {
    let back = |e: &[Xyz]| e.iter().rev().copied().collect::<Vec<_>>();
    let pieces = |a: &[Xyz], b: &[Xyz]| if a.len() > 2 || b.len() > 2 { PIECES } else { TWISTED };
    let (nu, nv) = (pieces(low, high), pieces(right, left));
    let (c0, c1) = (steps(low, nu), steps(&back(high), nu));
    let (d0, d1) = (steps(&back(left), nv), steps(right, nv));
    let at = |i: usize, j: usize| {
        let (u, v) = (i as f64 / nu as f64, j as f64 / nv as f64);
        let corners = (c0[0] * (1.0 - u) + c0[nu] * u) * (1.0 - v) + (c1[0] * (1.0 - u) + c1[nu] * u) * v;
        c0[i] * (1.0 - v) + c1[i] * v + d0[j] * (1.0 - u) + d1[j] * u - corners
    };
    let mut out = Vec::with_capacity(4 * nu * nv);
    for i in 0..nu {
        for j in 0..nv {
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            let m = (a + b + c + d) * 0.25;
            out.extend([[a, b, m], [b, c, m], [c, d, m], [d, a, m]]);
        }
    }
    out
}

fn fan(edges: &[Vec<Xyz>]) -> Vec<[Xyz; 3]> {
    let all: Vec<Xyz> = edges.iter().flat_map(|e| e.iter().skip(1)).copied().collect();
    let middle = all.iter().fold(Xyz::default(), |s, p| s + *p) * (1.0 / all.len().max(1) as f64);
    all.iter().zip(all.iter().cycle().skip(1)).map(|(a, b)| [middle, *a, *b]).collect()
}

impl Patch {
    /// Every corner of its triangles.
    pub fn places(&self) -> impl Iterator<Item = Xyz> + '_ {
        self.triangles.iter().flatten().copied()
    }

    /// What this face adds to the volume below a height, mm³, reckoned from one place on the surface there: a third of the triple
    /// product of the triangles below, which is area times distance.
    pub fn below(&self, surface: Xyz) -> f64 {
        let of = |[a, b, c]: [Xyz; 3]| -(a - surface).dot((b - surface).cross(c - surface)) / 6.0;
        self.under(surface.z).map(of).sum()
    }

    /// Share of its area below a height.
    pub fn share(&self, height: f64) -> f64 {
        let area = |[a, b, c]: [Xyz; 3]| 0.5 * (b - a).cross(c - a).length();
        let whole: f64 = self.triangles.iter().copied().map(area).sum();
        self.under(height).map(area).sum::<f64>() / whole.max(1e-300)
    }

    /// The triangles' parts below a height.
    fn under(&self, height: f64) -> impl Iterator<Item = [Xyz; 3]> + '_ {
        self.triangles.iter().flat_map(move |t| {
            // At most a quadrangle.
            let mut part = [Xyz::default(); 4];
            let mut count = 0;
            for k in 0..3 {
                let (a, b) = (t[k], t[(k + 1) % 3]);
                if a.z <= height {
                    part[count] = a;
                    count += 1;
                }
                if (a.z <= height) != (b.z <= height) {
                    part[count] = a + (b - a) * ((height - a.z) / (b.z - a.z));
                    count += 1;
                }
            }
            (2..count).map(move |k| [part[0], part[k - 1], part[k]])
        })
    }
}
