//! The room left inside the foam, and the cavity it stands in.
//!
//! Volumes follow from the divergence theorem: of a body bounded by flat faces, a third of the sum over its faces of area times
//! distance of the face's plane from any one place, counted along the outward normal. With that place on the surface of the
//! water the surface itself counts for nothing, so that the volume below a height needs the walls' faces only, clipped there.

use kurbo::Point;

use super::bent::{Patch, patches};
use super::bowed::bows;
use super::joint::{Joined, Joint, joined};
use super::rim::rim;
use super::space::{Pose, Xyz};
use super::take::{Ask, Gaps, loft};
use super::wall::{BoxWall, Surface};
use super::{Folded, FoldedGroup};
use crate::layers::face;
use crate::section::{segments, signed_area};
use crate::volume::volume;
use crate::{GeometryError, Ring};

/// Steps of height at which the volume is told.
const STEPS: u32 = 20;
/// Parts of a layer's thickness in each of which its volume is worked out.
const FOAM_STEPS: u32 = 2;
/// Less height than this is no room, mm.
const LEAST: f64 = 1.0;

/// One group's cavity and the room inside its foam.
#[derive(Debug, Clone, PartialEq)]
pub struct Inside {
    /// Places of the group's walls in the list.
    pub walls: Vec<usize>,
    /// Height of the floor's foam at its lowest, and of the lowest place of an edge that meets no wall (else the highest place of
    /// the room): the brim, mm in the box frame.
    pub floor: f64,
    /// The brim.
    pub brim: f64,
    /// Room inside the foam below the brim, mm³.
    pub room: f64,
    /// The empty cavity below the lowest open edge of the outer faces, mm³.
    pub cavity: f64,
    /// Height above the floor's lowest place (mm) and the room below it (mm³), from nothing to the brim.
    pub below: Vec<(f64, f64)>,
    /// Foam of each wall of the group as it is cut, mm³: all of it when no edge is open, else what lies below both the brim and
    /// the lowest open edge of the outer faces.
    pub foam: Vec<f64>,
    /// What neither foam nor room takes up of the cavity, up to the same height, mm³: the gaps left on edges, cut-outs, and
    /// hollows, as where mitred walls of unequal foam meet. Less than nothing where foam is claimed twice. Walls as measured
    /// meet only to their uncertainty, which shows here as a small share of the cavity of either sign.
    pub left_over: f64,
    /// The inner faces that bound the room, in the box frame, with the place of the wall each is of; a bent wall's in triangles.
    pub faces: Vec<(usize, Vec<Xyz>)>,
}

/// The room inside every group of joined walls that holds any.
///
/// The room ends at the inner faces as if no gap were left; gaps are told as left over. Boxes may be convex or not. A bent wall
/// runs as its neighbours' edges do, and its foam counts as its developed layers do: a sheet bent to radius R is 1 part in
/// R ÷ thickness longer on one face than on the other, which shows as left over.
///
/// # Errors
/// [`GeometryError::BadJoint`] for joints that cannot be; [`GeometryError::BentWall`] for a wall that is not said to be bent and is
/// shown so by a neighbour's edge that is joined to it and bows by more than 5 mm, or a bent one with too few flat neighbours to
/// tell how it runs; else what the faces refuse.
///
/// # Examples
/// A box 900 × 500 × 550 mm with four inches of foam on the floor and the sides, open on top:
/// ```
/// use coldwright_geometry::{PlainBox, fold, inside, plain_box};
/// let (walls, joints) = plain_box(&PlainBox::default())?;
/// let room = inside(&walls, &joints, &fold(&walls, &joints)?)?.remove(0).room;
/// assert!((room / ((900.0 - 203.2) * (500.0 - 203.2) * (550.0 - 101.6)) - 1.0).abs() < 1e-9);
/// # Ok::<(), coldwright_geometry::GeometryError>(())
/// ```
pub fn inside(walls: &[BoxWall], joints: &[Joint], folded: &Folded) -> Result<Vec<Inside>, GeometryError> {
    let joined = joined(walls, joints)?;
    let bows = bows(walls, joints);
    let mut out = Vec::new();
    for group in folded.groups.iter().filter(|g| g.walls.len() > 1) {
        if let Some(bow) = bows.iter().find(|b| group.walls.contains(&b.wall)) {
            return Err(GeometryError::BentWall { wall: walls[bow.wall].name.clone() });
        }
        let bent = group.walls.iter().any(|w| walls[*w].surface == Surface::Bent);
        let faces = |ask: Ask| -> Result<Skin, GeometryError> {
            let (mut flat, mut rims) = (Vec::new(), Vec::new());
            for w in group.walls.iter().copied().filter(|w| walls[*w].surface == Surface::Flat) {
                let depth = if ask == Ask::Empty { 0.0 } else { walls[w].shape.thickness() };
                // Only faces that meet enclose anything.
                let shape = loft(walls, joints, &joined, w, ask, Gaps::Closed)?;
                let pose = folded.poses[w];
                if bent {
                    let placed = |e: &Vec<Point>| e.iter().map(|p| pose.place(*p, depth)).collect();
                    rims.push((w, rim(&shape, depth).iter().map(placed).collect()));
                }
                flat.push(Face { wall: w, pose, depth, rings: face(&shape, depth, 0)?.rings });
            }
            Ok(Skin { flat, bent: patches(walls, joints, &joined, &group.walls, &rims)? })
        };
        let (outer, inner) = (faces(Ask::Empty)?, faces(Ask::Room)?);
        let Some((mut one, level)) = of_group(group, &joined, &outer, &inner, walls) else { continue };
        // Foam lies within the cavity; where all of that lies below, no face is cut.
        let height = if outer.places().all(|p| p.z < level) { f64::INFINITY } else { level };
        for w in &group.walls {
            let share = [&outer, &inner].map(|s| s.bent_share(*w, level));
            one.foam.push(match share {
                [Some(a), Some(b)] => {
                    let all = foam(walls, joints, &joined, *w, &Pose::default(), f64::INFINITY)?;
                    0.5 * (a + b) * all
                }
                _ => foam(walls, joints, &joined, *w, &folded.poses[*w], height)?,
            });
        }
        let amid = outer.middle();
        one.left_over = outer.below(level, amid) - inner.below(level, amid) - one.foam.iter().sum::<f64>();
        out.push(one);
    }
    Ok(out)
}

/// Foam of a wall below a height, mm³.
fn foam(
    walls: &[BoxWall],
    joints: &[Joint],
    joined: &Joined,
    wall: usize,
    pose: &Pose,
    height: f64,
) -> Result<f64, GeometryError> {
    let mut sum = 0.0;
    let mut from = 0.0;
    for (i, thickness) in walls[wall].shape.thicknesses.iter().enumerate() {
        let shape = loft(walls, joints, joined, wall, Ask::Layer(i + 1), Gaps::Kept)?;
        let area = |z: f64| {
            let rings = shape.region(z);
            Face { wall, pose: *pose, depth: z, rings }.area_below(height)
        };
        // The height may cut a face between two depths: in short steps each is nearly smooth.
        let steps = if height.is_finite() { FOAM_STEPS } else { 1 };
        let step = thickness / f64::from(steps);
        for k in 0..steps {
            let (a, b) = (from + step * f64::from(k), from + step * f64::from(k + 1));
            sum += volume(&area, (a, area(a)), (b, area(b)));
        }
        from += thickness;
    }
    Ok(sum)
}

/// The group's room and cavity, and the height up to which foam is compared with them.
fn of_group(
    group: &FoldedGroup,
    joined: &Joined,
    outer: &Skin,
    inner: &Skin,
    walls: &[BoxWall],
) -> Option<(Inside, f64)> {
    let places = |skin: &Skin| skin.places().map(|p| p.z).collect::<Vec<f64>>();
    let lowest = |z: &[f64]| z.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = |z: &[f64]| z.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let floor = lowest(&places(inner));
    // Corners of the outer faces at either end of an edge without a joint; the foam's own open edges lie above the same places.
    let mut open: Vec<(usize, Point)> = Vec::new();
    for w in &group.walls {
        let outline = &walls[*w].shape.outline;
        let n = outline.corners().len();
        for i in (0..n).filter(|i| joined[*w][*i].is_none()) {
            open.extend([(i + n - 1) % n, i].map(|k| (*w, outline.corners()[k].at)));
        }
    }
    let brim_of = |skin: &Skin, top: f64| {
        let heights = open.iter().filter_map(|(w, p)| {
            let face = skin.flat.iter().find(|f| f.wall == *w)?;
            // The face's own corner nearest to the open one: joints move it along the edge only.
            let near = face
                .rings
                .iter()
                .flat_map(|r| &r.outer)
                .min_by(|a, b| a.distance_squared(*p).total_cmp(&b.distance_squared(*p)))?;
            Some(face.pose.place(*near, face.depth).z)
        });
        let bent = skin.bent.iter().flat_map(|b| b.edges.iter().zip(&joined[b.wall]));
        let bent = bent.filter(|(_, at)| at.is_none()).flat_map(|(edge, _)| edge.iter().map(|p| p.z));
        heights.chain(bent).fold(top, f64::min)
    };
    let brim = brim_of(inner, highest(&places(inner)));
    let rim = brim_of(outer, highest(&places(outer)));
    if brim - floor < LEAST {
        return None;
    }
    let amid = outer.middle();
    let below = |skin: &Skin, h: f64| skin.below(h, amid);
    let at = |k: u32| (brim - floor) * f64::from(k) / f64::from(STEPS);
    let one = Inside {
        walls: group.walls.clone(),
        floor,
        brim,
        room: below(inner, brim),
        cavity: below(outer, rim),
        below: (0..=STEPS).map(|k| (at(k), below(inner, floor + at(k)).max(0.0))).collect(),
        faces: inner
            .flat
            .iter()
            .flat_map(|f| f.rings.iter().map(move |r| (f.wall, f.pose, f.depth, r)))
            .map(|(wall, pose, depth, r)| (wall, r.outer.iter().map(|p| pose.place(*p, depth)).collect()))
            .chain(inner.bent.iter().flat_map(|b| b.triangles.iter().map(|t| (b.wall, t.to_vec()))))
            .collect(),
        foam: Vec::with_capacity(group.walls.len()),
        left_over: 0.0,
    };
    // A closed box as a whole, well clear of its top; an open one up to where both foam and cavity are bounded.
    Some((one, if open.is_empty() { rim + 1.0 } else { rim.min(brim) }))
}

/// All outer or all inner faces of a group.
struct Skin {
    flat: Vec<Face>,
    bent: Vec<Patch>,
}

impl Skin {
    fn places(&self) -> impl Iterator<Item = Xyz> + '_ {
        self.flat.iter().flat_map(Face::places).chain(self.bent.iter().flat_map(Patch::places))
    }

    /// Mean of the faces' places.
    fn middle(&self) -> Xyz {
        let (sum, count) = self.places().fold((Xyz::default(), 0.0), |(s, n), p| (s + p, n + 1.0));
        sum * (1.0 / f64::max(count, 1.0))
    }

    /// Volume within below a height, mm³. One place on the surface for all faces, amid them, so that faces a little apart as
    /// measured count for little.
    fn below(&self, height: f64, amid: Xyz) -> f64 {
        let surface = Xyz::new(amid.x, amid.y, height);
        let flat: f64 = self.flat.iter().map(|f| f.below(surface)).sum();
        flat + self.bent.iter().map(|b| b.below(surface)).sum::<f64>()
    }

    /// Share of a bent wall's face below a height; None for a flat wall.
    fn bent_share(&self, wall: usize, height: f64) -> Option<f64> {
        self.bent.iter().find(|b| b.wall == wall).map(|b| b.share(height))
    }
}

/// A flat face of a wall, where it stands.
struct Face {
    wall: usize,
    pose: Pose,
    depth: f64,
    rings: Vec<Ring>,
}

impl Face {
    fn places(&self) -> impl Iterator<Item = Xyz> + '_ {
        self.rings.iter().flat_map(|r| &r.outer).map(|p| self.pose.place(*p, self.depth))
    }

    /// Height of a place of the face over a height; linear in x and y.
    fn over(&self, height: f64) -> impl Fn(Point) -> f64 {
        let up = Xyz::new(self.pose.axes[0].z, self.pose.axes[1].z, self.pose.axes[2].z);
        let base = self.pose.origin.z + self.depth * up.z - height;
        move |p| base + up.x * p.x + up.y * p.y
    }

    /// Area of the face below a height, mm².
    fn area_below(&self, height: f64) -> f64 {
        let over = self.over(height);
        self.rings
            .iter()
            .flat_map(|r| std::iter::once(&r.outer).chain(&r.holes))
            .map(|ring| signed_area(&under(ring, &over)))
            .sum()
    }

    /// What this face adds to the volume below a height, mm³: a third of its area there times the distance from the surface.
    fn below(&self, surface: Xyz) -> f64 {
        let from = self.pose.place(Point::ZERO, self.depth) - surface;
        self.area_below(surface.z) * -from.dot(self.pose.inward()) / 3.0
    }
}

/// The part of a ring where `over` is at most nothing; its signed area is right for any ring (Sutherland and Hodgman 1974).
fn under(ring: &[Point], over: &impl Fn(Point) -> f64) -> Vec<Point> {
    let mut out = Vec::with_capacity(ring.len() + 2);
    for (a, b) in segments(ring) {
        let (da, db) = (over(a), over(b));
        if da <= 0.0 {
            out.push(a);
        }
        if (da < 0.0 && db > 0.0) || (da > 0.0 && db < 0.0) {
            out.push(a.lerp(b, da / (da - db)));
        }
    }
    out
}
