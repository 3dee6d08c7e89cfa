//! A box typed by its corners.

use super::joint::{EdgeAt, Joint, JointKind};
use super::space::{Pose, Xyz};
use super::wall::{BoxWall, Stand};
use crate::{
    Bevel, Edge, EdgeKind, FixedFace, GeometryError, Outline, Point, Spread, TemplateDepth, Tick, WallShape,
};

/// One flat wall of a box typed by its corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Facet {
    /// Name of the wall.
    pub name: String,
    /// How it stands.
    pub stand: Stand,
    /// Its corners as places in the list of corners, counter-clockwise seen from inside the box.
    pub corners: Vec<usize>,
    /// Its layers, mm, outer to inner.
    pub thicknesses: Vec<f64>,
}

/// Walls and joints of a box whose cavity has flat sides between `corners` (mm, box frame).
///
/// Facets that share two corners in opposite order are joined there, by `kind(first facet, second facet)`; corners count as
/// known to `sd` mm. Edges without a second facet are left unjoined.
///
/// # Errors
/// [`GeometryError::NotFinite`] for a bad corner, [`GeometryError::BadJoint`] for an angle that cannot be, else as
/// [`Outline::new`].
pub fn faceted_box(
    corners: &[Xyz],
    facets: &[Facet],
    sd: f64,
    kind: impl Fn(usize, usize) -> JointKind,
) -> Result<(Vec<BoxWall>, Vec<Joint>), GeometryError> {
    let at = |i: usize| {
        corners
            .get(i)
            .copied()
            .filter(|c| c.is_finite())
            .ok_or_else(|| GeometryError::NotFinite { what: format!("corner {} of the box", i + 1) })
    };
    let mut poses = Vec::new();
    for f in facets {
        let places = f.corners.iter().map(|i| at(*i)).collect::<Result<Vec<_>, _>>()?;
        poses.push(stand(f.stand, &places));
    }
    let next = |f: &Facet, k: usize| (f.corners[k], f.corners[(k + 1) % f.corners.len()]);
    let across = |a: usize, k: usize| {
        let (from, to) = next(&facets[a], k);
        facets.iter().enumerate().find_map(|(b, g)| {
            let found = (0..g.corners.len()).find(|j| b != a && next(g, *j) == (to, from));
            found.map(|j| (b, j))
        })
    };
    let mut joints = Vec::new();
    let mut walls = Vec::new();
    for (a, f) in facets.iter().enumerate() {
        let mut edges = Vec::new();
        for k in 0..f.corners.len() {
            let (from, to) = next(f, k);
            let ends = [at(from)?, at(to)?];
            let meets = across(a, k);
            let angle = meets.map(|(b, _)| interior(&poses[a], &poses[b], ends[1] - ends[0]));
            let told = angle.is_some_and(told_by_bevel);
            let lean = angle.filter(|_| told).map_or(0.0, |w| w - std::f64::consts::FRAC_PI_2);
            if let (Some((b, j)), Some(angle)) = (meets, angle)
                && (a, k) < (b, j)
            {
                let edge = |wall: usize, k: usize| EdgeAt { wall, edge: k as u32 + 1 };
                let joint = Joint::new(edge(a, k), edge(b, j), kind(a, b));
                joints.push(if told { joint } else { joint.at_angle(angle) });
            }
            let local = |i: usize, p: Xyz| {
                let l = poses[a].local(p);
                Tick { id: i as u32 + 1, at: Point::new(l.x, l.y), spread: Spread::round(sd) }
            };
            let ticks = vec![local(from, ends[0]), local(to, ends[1])];
            edges.push(Edge {
                id: k as u32 + 1,
                name: edge_name(f.stand, &ticks, meets.map(|(b, _)| facets[b].name.as_str())),
                kind: EdgeKind::Straight,
                ticks,
                bevel: Bevel::constant(lean)?,
                gap: 0.0,
                smoothing: 0.0,
            });
        }
        let shape = WallShape {
            outline: Outline::new(edges, vec![])?.0,
            template_depth: TemplateDepth::FromOuter(0.0),
            fixed: FixedFace::Outer,
            thicknesses: f.thicknesses.clone(),
        };
        walls.push(BoxWall::new(f.name.clone(), shape, f.stand));
    }
    Ok((walls, joints))
}

fn told_by_bevel(angle: f64) -> bool {
    (angle - std::f64::consts::FRAC_PI_2).abs() <= Bevel::STEEPEST
}

/// Interior angle where wall `b` meets the edge of wall `a` that runs along `way`, radians, 0..2π.
pub(crate) fn interior(a: &Pose, b: &Pose, way: Xyz) -> f64 {
    let out = way.unit().cross(a.inward());
    let n = b.inward();
    (-n.dot(out)).atan2(-n.dot(a.inward())).rem_euclid(std::f64::consts::TAU)
}

/// The frame of a flat wall from its corners (Newell's normal): y up on sides, forward on floors and tops.
fn stand(stand: Stand, corners: &[Xyz]) -> Pose {
    let mut n = Xyz::default();
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        n = n + a.cross(*b);
    }
    let z = n.unit();
    let wish = if stand == Stand::Side { Xyz::new(0.0, 0.0, 1.0) } else { Xyz::new(1.0, 0.0, 0.0) };
    let y = wish - z * wish.dot(z);
    let y = if y.length() > 1e-6 { y.unit() } else { Xyz::new(0.0, 1.0, 0.0).cross(z).unit() };
    Pose { axes: [y.cross(z), y, z], origin: corners.first().copied().unwrap_or_default() }
}

fn edge_name(stand: Stand, ticks: &[Tick], neighbour: Option<&str>) -> String {
    let [a, b] = ticks else { return "edge".to_owned() };
    let way = b.at - a.at;
    let up = -way.x / way.hypot().max(1e-300);
    match neighbour {
        _ if stand == Stand::Side && up < -0.9 => "lower edge".to_owned(),
        _ if stand == Stand::Side && up > 0.9 => "upper edge".to_owned(),
        Some(name) => format!("edge at the {name}"),
        None => "free edge".to_owned(),
    }
}
