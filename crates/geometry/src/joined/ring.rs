//! Poses by least squares: the ring of walls closed.
//!
//! Unknown are every wall's pose and every corner's place in the box. Observed are each wall's own corners (with their
//! spread), that the wall is flat, and the angles at joints. What does not fit is named by the test of single observations
//! (W. Baarda, A testing procedure for use in geodetic networks, 1968: a residual over its own standard deviation).

use kurbo::Point;

use super::dense::{Normal, Row};
use super::faceted::interior;
use super::space::{Pose, Xyz};
use crate::Spread;

/// How well a flat wall is a plane, mm.
const FLAT: f64 = 1.0;
/// How far a bent or twisted wall's developed outline stands off the box at its corners: square to it and within it, mm.
const BENT: (f64, f64) = (50.0, 5.0);
/// No corner is known better than this, mm.
const BEST: f64 = 0.05;
/// What a corner found wrong is worth after, mm.
const DOUBTED: f64 = 500.0;

/// One wall corner seen as one corner of the box.
#[derive(Debug, Clone)]
pub(crate) struct Seen {
    pub wall: usize,
    /// The side whose end it is.
    pub side: usize,
    pub corner: usize,
    pub at: Point,
    pub spread: Spread,
    pub bent: bool,
    pub doubted: bool,
}

/// One angle between two walls, at a wall's edge.
#[derive(Debug, Clone)]
pub(crate) struct Turn {
    pub joint: usize,
    pub a: usize,
    pub b: usize,
    /// Direction of the edge in `a`'s frame.
    pub way: Xyz,
    pub angle: f64,
    pub sd: f64,
}

/// Everything observed of walls that hang together.
#[derive(Debug, Clone, Default)]
pub(crate) struct Ring {
    pub seen: Vec<Seen>,
    pub turns: Vec<Turn>,
}

/// The answer.
#[derive(Debug, Clone)]
pub(crate) struct Closed {
    pub sum: f64,
    pub freedom: usize,
    /// Worst single observation: size over its standard deviation, and which.
    pub worst: Option<(f64, Blame)>,
}

/// An observation that does not fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Blame {
    /// Of `seen`, and how far it lies off, mm.
    Corner(usize, f64),
    /// Of `turns`, and by how much, radians.
    Turn(usize, f64),
}

impl Ring {
    /// Improves the poses of `walls` (the first stays) and the places of the corners.
    pub fn close(&self, walls: &[usize], poses: &mut [Pose], corners: &mut [Xyz]) -> Option<Closed> {
        let mut used: Vec<usize> = self.seen.iter().map(|s| s.corner).collect();
        used.sort_unstable();
        used.dedup();
        let unknowns = 6 * (walls.len() - 1) + 3 * used.len();
        let pose_at =
            |wall: usize| walls.iter().position(|w| *w == wall).and_then(|k| (k > 0).then(|| 6 * (k - 1)));
        let place_at =
            |corner: usize| 6 * (walls.len() - 1) + 3 * used.binary_search(&corner).unwrap_or_default();
        let mut rows = self.rows(poses, corners, &pose_at, &place_at);
        // Newton's steps of Gauss halve the digits each time from a good start; twenty are far more than it takes.
        for _ in 0..20 {
            let step = Normal::new(&rows, unknowns)?.step(&rows);
            if !step.iter().all(|s| s.is_finite()) {
                return None;
            }
            let three = |at: usize| Xyz::new(step[at], step[at + 1], step[at + 2]);
            for wall in walls {
                if let Some(at) = pose_at(*wall) {
                    poses[*wall] = poses[*wall].nudged(three(at), three(at + 3));
                }
            }
            for corner in &used {
                corners[*corner] = corners[*corner] + three(place_at(*corner));
            }
            rows = self.rows(poses, corners, &pose_at, &place_at);
            if step.iter().fold(0.0, |m: f64, s| m.max(s.abs())) < 1e-9 {
                break;
            }
        }
        let normal = Normal::new(&rows, unknowns)?;
        let sum = rows.iter().map(|r| r.residual * r.residual).sum();
        let mut worst: Option<(f64, Blame)> = None;
        for (i, row) in rows.iter().enumerate() {
            let left = normal.redundancy(row);
            // An observation that nothing else checks cannot be blamed.
            if left < 0.01 {
                continue;
            }
            let size = row.residual.abs() / left.sqrt();
            if worst.as_ref().is_none_or(|w| size > w.0) {
                worst = Some((size, self.blame(i, poses, corners)));
            }
        }
        Some(Closed { sum, freedom: rows.len().saturating_sub(unknowns), worst })
    }

    fn blame(&self, row: usize, poses: &[Pose], corners: &[Xyz]) -> Blame {
        let i = row / 3;
        match self.seen.get(i) {
            Some(s) => Blame::Corner(i, (poses[s.wall].place(s.at, 0.0) - corners[s.corner]).length()),
            None => {
                let k = row - 3 * self.seen.len();
                let off = self.turns.get(k).map_or(0.0, |t| off(t, poses));
                Blame::Turn(k, off)
            }
        }
    }

    fn rows(
        &self,
        poses: &[Pose],
        corners: &[Xyz],
        pose_at: &dyn Fn(usize) -> Option<usize>,
        place_at: &dyn Fn(usize) -> usize,
    ) -> Vec<Row> {
        let mut out = Vec::new();
        for s in &self.seen {
            let pose = &poses[s.wall];
            let arm = corners[s.corner] - pose.origin;
            let local = pose.local(corners[s.corner]);
            let off = [local.x - s.at.x, local.y - s.at.y, local.z];
            for weights in s.weights() {
                let axis = (0..3).fold(Xyz::default(), |v, k| v + pose.axes[k] * weights[k]);
                let mut row = Row { slopes: Vec::with_capacity(9), residual: 0.0 };
                row.residual = (0..3).map(|k| weights[k] * off[k]).sum();
                let place = place_at(s.corner);
                row.slopes.extend(axis.array().iter().enumerate().map(|(k, v)| (place + k, *v)));
                if let Some(at) = pose_at(s.wall) {
                    // The axes turn by w×axis, so that axis·arm changes by w·(axis×arm).
                    let turn = axis.cross(arm);
                    row.slopes.extend(turn.array().iter().enumerate().map(|(k, v)| (at + k, *v)));
                    row.slopes.extend(axis.array().iter().enumerate().map(|(k, v)| (at + 3 + k, -v)));
                }
                out.push(row);
            }
        }
        for t in &self.turns {
            let a = &poses[t.a];
            let way = a.turn(t.way).unit();
            // A turn of b about minus (outward × inward) opens the angle.
            let axis = -(way.cross(a.inward()).cross(a.inward())) * (1.0 / t.sd);
            let mut row = Row { slopes: Vec::new(), residual: off(t, poses) / t.sd };
            for (wall, sign) in [(t.b, 1.0), (t.a, -1.0)] {
                if let Some(at) = pose_at(wall) {
                    row.slopes.extend(axis.array().iter().enumerate().map(|(k, v)| (at + k, sign * v)));
                }
            }
            out.push(row);
        }
        out
    }
}

/// The angle as it stands less the one observed, radians.
fn off(t: &Turn, poses: &[Pose]) -> f64 {
    use std::f64::consts::{PI, TAU};
    let stands = interior(&poses[t.a], &poses[t.b], poses[t.a].turn(t.way));
    (stands - t.angle + PI).rem_euclid(TAU) - PI
}

impl Seen {
    /// Three rows that turn the offset in the wall's frame into deviates of size 1.
    fn weights(&self) -> [[f64; 3]; 3] {
        let more = if self.doubted {
            DOUBTED
        } else if self.bent {
            BENT.1
        } else {
            BEST
        };
        let (xx, xy, yy) = (self.spread.xx + more * more, self.spread.xy, self.spread.yy + more * more);
        // Inverse of Cholesky's triangle of the covariance.
        let l11 = xx.sqrt();
        let l21 = xy / l11;
        let l22 = (yy - l21 * l21).max(BEST * BEST).sqrt();
        let flat = if self.doubted {
            DOUBTED
        } else if self.bent {
            BENT.0
        } else {
            FLAT
        };
        [[1.0 / l11, 0.0, 0.0], [-l21 / (l11 * l22), 1.0 / l22, 0.0], [0.0, 0.0, 1.0 / flat]]
    }
}
