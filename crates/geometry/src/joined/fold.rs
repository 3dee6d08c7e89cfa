//! Poses by folding the walls at their joints.

use std::collections::BTreeMap;
use std::f64::consts::FRAC_PI_2;

use kurbo::Vec2;

use super::chance::{as_deviate, deviate};
use super::joint::{EdgeAt, Half, Joined, Joint, joined};
use super::misfit::{JointMisfit, MisfitKind};
use super::outer::{ANGLE_SD, Outer, spreads};
use super::rim::{rim, run_length};
use super::ring::{Blame, Ring, Seen, Turn};
use super::space::{Pose, Xyz};
use super::take::{Ask, Gaps, loft};
use super::wall::{BoxWall, Stand, Surface};
use crate::GeometryError;
use crate::section::{signed_area, span};

/// The walls where they stand.
#[derive(Debug, Clone, PartialEq)]
pub struct Folded {
    /// Where each wall stands. Walls of one group share a frame: z up (the floors' mean inward direction, else the y of the
    /// side with most joints), x forward (a floor's or top's y), y to port. A wall alone stands in its own frame turned so.
    pub poses: Vec<Pose>,
    /// Walls that hang together by joints.
    pub groups: Vec<FoldedGroup>,
    /// What does not fit, worst first.
    pub misfits: Vec<JointMisfit>,
    /// For each joint how far the two edges' ends stand apart, mm.
    pub apart: Vec<f64>,
}

/// Walls that hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct FoldedGroup {
    /// Places of the walls in the list; the first one is where folding began.
    pub walls: Vec<usize>,
    /// Sum of squares of all weighted residuals.
    pub chi2: f64,
    /// Observations more than needed.
    pub freedom: usize,
}

impl Folded {
    /// How often a box without mistakes raises any alarm, if uncertainties are as stated: shared out over all its tests.
    pub const FALSE_ALARM: f64 = 1e-4;
}

/// Folds the walls at their joints and closes the ring by least squares.
///
/// A side of a joint counts with its corners' spreads, angles with 1°, a flat wall with 1 mm of flatness; a bent wall's corners
/// only loosely, its edges' lengths fully. Curved edges meet at their end corners.
///
/// # Errors
/// [`GeometryError::BadJoint`] as for [`super::joined_layers`]; a joint between walls that cannot be placed.
pub fn fold(walls: &[BoxWall], joints: &[Joint]) -> Result<Folded, GeometryError> {
    let joined = joined(walls, joints)?;
    let outers = (0..walls.len())
        .map(|w| {
            let loft = loft(walls, joints, &joined, w, Ask::Empty, Gaps::Closed)?;
            Ok(Outer { sides: rim(&loft, 0.0), spreads: spreads(&walls[w]) })
        })
        .collect::<Result<Vec<_>, GeometryError>>()?;
    let mut work =
        Work { walls, joints, joined: &joined, outers: &outers, poses: vec![Pose::default(); walls.len()] };
    let groups = work.groups();
    let tests = 2 * joints.len() + groups.len();
    let limit = deviate(Folded::FALSE_ALARM / tests.max(1) as f64);
    let mut misfits = work.lengths(limit);
    misfits.extend(work.angles(limit));
    let mut out = Vec::new();
    for group in groups {
        let told = misfits.len();
        out.push(work.close(group, limit, &mut misfits, told)?);
    }
    misfits.sort_by(|a, b| b.normalised.total_cmp(&a.normalised));
    let apart = (0..joints.len()).map(|j| work.apart(j)).collect();
    let poses = work.poses;
    if !poses.iter().all(|p| p.origin.is_finite() && p.axes.iter().all(|a| a.is_finite())) {
        return Err(GeometryError::NotFinite { what: "the place of a wall".to_owned() });
    }
    Ok(Folded { poses, groups: out, misfits, apart })
}

struct Work<'a> {
    walls: &'a [BoxWall],
    joints: &'a [Joint],
    joined: &'a Joined,
    outers: &'a [Outer],
    poses: Vec<Pose>,
}

impl Work<'_> {
    fn side(&self, at: EdgeAt) -> usize {
        self.walls.get(at.wall).and_then(|w| w.side(at.edge)).unwrap_or_default()
    }

    /// Mean interior angle that a half tells, and how far it ranges.
    fn told(&self, joint: &Joint, half: Half) -> (f64, f64) {
        if let Some(angle) = joint.angle {
            return (angle, 0.0);
        }
        let at = joint.half(half);
        let Some(side) = self.walls[at.wall].shape.outline.sides().get(self.side(at)) else {
            return (FRAC_PI_2, 0.0);
        };
        let bevel = &side.edge.bevel;
        let all: Vec<f64> = (0..=16).map(|k| bevel.at(f64::from(k) / 16.0)).collect();
        let (low, high) = span(all.iter().copied());
        (FRAC_PI_2 + all.iter().sum::<f64>() / all.len() as f64, high - low)
    }

    /// Walls that hang together, each group from the floor or, without one, the flat wall with most joints.
    fn groups(&mut self) -> Vec<Vec<usize>> {
        let many = |w: usize| self.joined[w].iter().flatten().count();
        let mut order: Vec<usize> = (0..self.walls.len()).collect();
        order.sort_by_key(|w| {
            let wall = &self.walls[*w];
            (wall.surface == Surface::Bent, wall.stand != Stand::Floor, usize::MAX - many(*w))
        });
        let mut placed = vec![false; self.walls.len()];
        let mut out = Vec::new();
        for root in order {
            if placed[root] {
                continue;
            }
            placed[root] = true;
            self.poses[root] = Pose::default();
            let mut group = vec![root];
            // Flat walls are folded on before bent ones, whose place says little.
            for bent_too in [false, true] {
                let mut next = 0;
                while let Some(wall) = group.get(next).copied() {
                    next += 1;
                    for (number, half) in self.joined[wall].iter().flatten() {
                        let joint = &self.joints[*number];
                        let other = joint.half(half.other()).wall;
                        if placed[other] || !bent_too && self.walls[other].surface == Surface::Bent {
                            continue;
                        }
                        placed[other] = true;
                        self.poses[other] = self.folded_on(joint, *half);
                        group.push(other);
                    }
                }
            }
            out.push(group);
        }
        out
    }

    /// Where the other wall of a joint comes to stand.
    fn folded_on(&self, joint: &Joint, half: Half) -> Pose {
        let (here, there) = (joint.half(half), joint.half(half.other()));
        let pose = &self.poses[here.wall];
        let (a, b) = (&self.outers[here.wall], &self.outers[there.wall]);
        let (sa, sb) = (self.side(here), self.side(there));
        let angle = 0.5 * (self.told(joint, half).0 + self.told(joint, half.other()).0);
        let flat = |v: Vec2| Xyz::new(v.x, v.y, 0.0);
        let way = pose.turn(flat(a.way(sa)));
        let out = way.cross(pose.inward());
        let inward = out * -angle.sin() - pose.inward() * angle.cos();
        let (along, outward) = (-way, (-way).cross(inward));
        // The other wall's axes from those of its edge.
        let u = b.way(sb);
        let axes = [along * u.x + outward * u.y, along * u.y - outward * u.x, inward];
        let middle = |o: &Outer, s: usize| {
            let (p, q) = o.ends(s);
            p.midpoint(q)
        };
        let turned = Pose { axes, origin: Xyz::default() };
        let origin = pose.place(middle(a, sa), 0.0) - turned.place(middle(b, sb), 0.0);
        Pose { axes, origin }
    }

    fn lengths(&self, limit: f64) -> Vec<JointMisfit> {
        let mut out = Vec::new();
        for (number, joint) in self.joints.iter().enumerate() {
            let [a, b] = [joint.a, joint.b].map(|at| {
                let (outer, side) = (&self.outers[at.wall], self.side(at));
                (run_length(&outer.sides[side]), outer.length_variance(side))
            });
            let sd = (a.1 + b.1).sqrt().max(0.05);
            let by = a.0 - b.0;
            if by.abs() / sd > limit {
                let (longer, shorter) = if by > 0.0 { (joint.a, joint.b) } else { (joint.b, joint.a) };
                let kind = MisfitKind::Length { longer, shorter, by: by.abs() };
                out.push(JointMisfit { joint: number, kind, normalised: by.abs() / sd, limit });
            }
        }
        out
    }

    fn angles(&self, limit: f64) -> Vec<JointMisfit> {
        let mut out = Vec::new();
        for (number, joint) in self.joints.iter().enumerate().filter(|(_, j)| j.angle.is_none()) {
            let (a, b) = (self.told(joint, Half::A), self.told(joint, Half::B));
            let (by, sd) = (a.0 - b.0, (2.0 * ANGLE_SD * ANGLE_SD + a.1 * a.1 + b.1 * b.1).sqrt());
            if by.abs() / sd > limit {
                let kind = MisfitKind::Angle { by };
                out.push(JointMisfit { joint: number, kind, normalised: by.abs() / sd, limit });
            }
        }
        out
    }

    /// All that was observed of a group; corners of the joints in `doubted` count for nothing.
    fn ring(&self, group: &[usize], doubted: &[usize]) -> (Ring, Vec<Xyz>) {
        let mut names = Corners::default();
        for joint in self.joints.iter().filter(|j| group.contains(&j.a.wall)) {
            for flip in [false, true] {
                let [p, q] = [(joint.a, flip), (joint.b, !flip)].map(|(at, start)| {
                    let n = self.outers[at.wall].sides.len();
                    let side = self.side(at);
                    (at.wall, if start { (side + n - 1) % n } else { side })
                });
                names.same(p, q);
            }
        }
        let mut ring = Ring::default();
        let mut places: Vec<(Xyz, f64)> = Vec::new();
        let mut numbers: BTreeMap<(usize, usize), usize> = BTreeMap::new();
        for wall in group {
            let bent = self.walls[*wall].surface == Surface::Bent;
            for side in 0..self.outers[*wall].sides.len() {
                let Some(root) = names.root((*wall, side)) else { continue };
                let corner = *numbers.entry(root).or_insert_with(|| {
                    places.push((Xyz::default(), 0.0));
                    places.len() - 1
                });
                let at = self.outers[*wall].corner(side);
                let n = self.outers[*wall].sides.len();
                let doubt = [side, (side + 1) % n]
                    .iter()
                    .any(|s| self.joined[*wall][*s].is_some_and(|(j, _)| doubted.contains(&j)));
                let weight = if bent { 0.01 } else { 1.0 };
                let (sum, count) = &mut places[corner];
                *sum = *sum + self.poses[*wall].place(at, 0.0) * weight;
                *count += weight;
                let spread = self.outers[*wall].spreads[side];
                ring.seen.push(Seen { wall: *wall, side, corner, at, spread, bent, doubted: doubt });
            }
        }
        for (number, joint) in self.joints.iter().enumerate().filter(|(_, j)| group.contains(&j.a.wall)) {
            let both = if joint.angle.is_some() { &Half::BOTH[..1] } else { &Half::BOTH[..] };
            for half in both {
                let (a, b) = (joint.half(*half), joint.half(half.other()));
                let way = self.outers[a.wall].way(self.side(a));
                let (angle, range) = self.told(joint, *half);
                let bent = [a, b].iter().any(|e| self.walls[e.wall].surface == Surface::Bent);
                let loose = if bent { 10.0 * ANGLE_SD } else { 0.0 };
                let sd = (ANGLE_SD * ANGLE_SD + range * range + loose * loose).sqrt();
                let way = Xyz::new(way.x, way.y, 0.0);
                ring.turns.push(Turn { joint: number, a: a.wall, b: b.wall, way, angle, sd });
            }
        }
        (ring, places.into_iter().map(|(sum, count)| sum * (1.0 / count)).collect())
    }

    fn close(
        &mut self,
        group: Vec<usize>,
        limit: f64,
        misfits: &mut Vec<JointMisfit>,
        told: usize,
    ) -> Result<FoldedGroup, GeometryError> {
        let mut doubted: Vec<usize> = misfits.iter().take(told).map(|m| m.joint).collect();
        let mut out = FoldedGroup { walls: group, chi2: 0.0, freedom: 0 };
        if out.walls.len() > 1 {
            let mut first = true;
            // Each round takes out the joint that fits worst; as many rounds as joints would leave nothing.
            for _ in 0..4 {
                let (ring, mut corners) = self.ring(&out.walls, &doubted);
                let mut poses = self.poses.clone();
                let Some(closed) = ring.close(&out.walls, &mut poses, &mut corners) else {
                    let joint = ring.turns.first().map_or(1, |t| t.joint + 1);
                    let what = "does not fix where its walls stand; join more of their edges".to_owned();
                    return Err(GeometryError::BadJoint { joint, what });
                };
                self.poses = poses;
                if first {
                    (out.chi2, out.freedom) = (closed.sum, closed.freedom);
                    first = false;
                }
                let Some((size, blame)) = closed.worst else { break };
                if as_deviate(closed.sum, closed.freedom) <= limit || size <= limit {
                    break;
                }
                let Some(misfit) = self.misfit(&ring, blame, size, limit) else { break };
                doubted.push(misfit.joint);
                misfits.push(misfit);
            }
        }
        self.upright(&out.walls);
        Ok(out)
    }

    fn misfit(&self, ring: &Ring, blame: Blame, normalised: f64, limit: f64) -> Option<JointMisfit> {
        let (joint, kind) = match blame {
            Blame::Turn(k, by) => (ring.turns.get(k)?.joint, MisfitKind::Angle { by }),
            Blame::Corner(i, by) => {
                let seen = ring.seen.get(i)?;
                let sides = &self.joined[seen.wall];
                let both = [seen.side, (seen.side + 1) % sides.len()];
                // Of the two edges that end there, the joint that gapes more.
                let (joint, half) = both
                    .iter()
                    .filter_map(|s| sides[*s])
                    .max_by(|a, b| self.apart(a.0).total_cmp(&self.apart(b.0)))?;
                (joint, MisfitKind::Apart { edge: self.joints[joint].half(half), by })
            }
        };
        Some(JointMisfit { joint, kind, normalised, limit })
    }

    fn apart(&self, number: usize) -> f64 {
        let joint = &self.joints[number];
        let ends = |at: EdgeAt| {
            let (p, q) = self.outers[at.wall].ends(self.side(at));
            [p, q].map(|p| self.poses[at.wall].place(p, 0.0))
        };
        let ([a, b], [d, c]) = (ends(joint.a), ends(joint.b));
        (a - c).length().max((b - d).length())
    }

    /// Turns a group so that z is up and x forward.
    fn upright(&mut self, group: &[usize]) {
        let area = |w: usize| signed_area(&self.outers[w].sides.concat()).max(1.0);
        let sum = |stand: Stand, axis: usize| {
            group
                .iter()
                .filter(|w| self.walls[**w].stand == stand)
                .fold(Xyz::default(), |s, w| s + self.poses[*w].axes[axis] * area(*w))
        };
        let (floors, tops) = (sum(Stand::Floor, 2), sum(Stand::Top, 2));
        let flat = |w: &&usize| self.walls[**w].surface == Surface::Flat;
        let first = |stand: Stand, axis: usize| {
            let all = || group.iter().filter(|w| self.walls[**w].stand == stand);
            all().find(flat).or_else(|| all().next()).map(|w| self.poses[*w].axes[axis])
        };
        let up = if floors.length() > 0.0 {
            floors.unit()
        } else if tops.length() > 0.0 {
            -tops.unit()
        } else {
            first(Stand::Side, 1).unwrap_or(Xyz::new(0.0, 0.0, 1.0))
        };
        let wish = first(Stand::Floor, 1)
            .or_else(|| first(Stand::Top, 1))
            .or_else(|| first(Stand::Side, 0))
            .unwrap_or(Xyz::new(1.0, 0.0, 0.0));
        let x = (wish - up * wish.dot(up)).unit();
        let y = up.cross(x);
        // Rows of the frame: what maps the old axes on (x, y, z).
        let frame = Pose {
            axes: [Xyz::new(x.x, y.x, up.x), Xyz::new(x.y, y.y, up.y), Xyz::new(x.z, y.z, up.z)],
            origin: Xyz::default(),
        };
        for w in group {
            self.poses[*w] = self.poses[*w].within(&frame);
        }
    }
}

/// Which wall corners are one corner of the box.
#[derive(Debug, Default)]
struct Corners {
    parent: BTreeMap<(usize, usize), (usize, usize)>,
}

impl Corners {
    fn root(&self, mut c: (usize, usize)) -> Option<(usize, usize)> {
        let mut up = *self.parent.get(&c)?;
        while up != c {
            c = up;
            up = *self.parent.get(&c)?;
        }
        Some(c)
    }

    fn same(&mut self, p: (usize, usize), q: (usize, usize)) {
        for c in [p, q] {
            self.parent.entry(c).or_insert(c);
        }
        if let (Some(a), Some(b)) = (self.root(p), self.root(q)) {
            self.parent.insert(a.max(b), a.min(b));
        }
    }
}
