//! The layers of each wall with what its joints take.

use super::BoxWall;
use super::joint::{Joined, Joint, joined};
use super::take::{Ask, Gaps, loft};
use crate::layers::{check, face, layer, slab};
use crate::told::Told;
use crate::{GeometryError, LayerSet, Ring};

/// The layers of each wall, outermost first, with what each gives up to its neighbours.
///
/// Needs no poses: walls that are not joined give what [`crate::layers_as_fitted`] gives. One wall that cannot be made does
/// not keep the others from it.
///
/// # Errors
/// [`GeometryError::BadJoint`] for joints that name no edge or cannot be; inside, what [`crate::layers`] says of that wall.
///
/// # Examples
/// 4 in of foam on the neighbour takes 4 in off an edge that stops short of it:
/// ```
/// use coldwright_geometry::{PlainBox, joined_layers, plain_box};
/// let (walls, joints) = plain_box(&PlainBox { thicknesses: vec![50.8, 50.8], ..PlainBox::default() })?;
/// let sets = joined_layers(&walls, &joints)?;
/// assert!(sets.iter().all(Result::is_ok));
/// # Ok::<(), coldwright_geometry::GeometryError>(())
/// ```
pub fn joined_layers(
    walls: &[BoxWall],
    joints: &[Joint],
) -> Result<Vec<Result<LayerSet, GeometryError>>, GeometryError> {
    let joined = joined(walls, joints)?;
    Ok((0..walls.len()).map(|wall| of_wall(walls, joints, &joined, wall)).collect())
}

fn of_wall(
    walls: &[BoxWall],
    joints: &[Joint],
    joined: &Joined,
    wall: usize,
) -> Result<LayerSet, GeometryError> {
    let this = &walls[wall];
    check(&this.shape.thicknesses)?;
    crate::fitted::check(&this.shape, &this.fitted)?;
    let mut out = Vec::with_capacity(this.shape.thicknesses.len());
    let mut told = Told::default();
    let mut from = 0.0;
    for (i, thickness) in this.shape.thicknesses.iter().enumerate() {
        let (number, to) = (i + 1, from + thickness);
        let shape = loft(walls, joints, joined, wall, Ask::Layer(number), Gaps::Kept)?;
        let begins = from + space(this, i, *thickness)?;
        let (outer, inner) = (face(&shape, begins, number)?, face(&shape, to, number)?);
        for n in outer.notices.iter().chain(&inner.notices) {
            told.tell(n, number);
        }
        out.push(layer(&shape, number, (begins, &outer), (to, &inner)));
        from = to;
    }
    Ok(LayerSet { layers: out, notices: told.all() })
}

/// The space before a layer, mm: less than the layer and its space together.
fn space(wall: &BoxWall, index: usize, thickness: f64) -> Result<f64, GeometryError> {
    let space = wall.spaces.get(index).copied().unwrap_or(0.0);
    if (0.0..thickness).contains(&space) {
        return Ok(space);
    }
    let what = format!("before layer {} is {space} mm of {thickness} mm in all", index + 1);
    Err(GeometryError::BadSpace { what })
}

/// Volume of each layer of a wall if no gap were left, mm³.
pub(crate) fn gapless(
    walls: &[BoxWall],
    joints: &[Joint],
    joined: &Joined,
    wall: usize,
) -> Result<Vec<f64>, GeometryError> {
    let mut from = 0.0;
    let mut out = Vec::new();
    for (i, thickness) in walls[wall].shape.thicknesses.iter().enumerate() {
        let (number, to) = (i + 1, from + thickness);
        let shape = loft(walls, joints, joined, wall, Ask::Layer(number), Gaps::Closed)?;
        let begins = from + space(&walls[wall], i, *thickness)?;
        let (a, b) = (face(&shape, begins, number)?, face(&shape, to, number)?);
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        out.push(slab(&shape, (begins, area(&a.rings), &a), (to, area(&b.rings), &b)));
        from = to;
    }
    Ok(out)
}
