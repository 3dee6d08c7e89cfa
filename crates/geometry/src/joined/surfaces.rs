//! The layers' faces where they stand in the box.

use super::fold::Folded;
use super::space::{Pose, Xyz};
use crate::{LayerSet, Ring};

/// One layer of one wall where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerSurface {
    /// Place of the wall in the list of walls.
    pub wall: usize,
    /// Layer number, 1 = outermost.
    pub layer: usize,
    /// Direction into the box, of length 1: move the layer back along it to spread the walls apart.
    pub inward: Xyz,
    /// Its outer face.
    pub outer: Vec<PlacedRing>,
    /// Its inner face.
    pub inner: Vec<PlacedRing>,
}

/// One connected part of a face in the box frame, mm.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedRing {
    /// Its outer boundary, counter-clockwise seen from inside the box; the first place is not repeated.
    pub outer: Vec<Xyz>,
    /// Its holes, clockwise.
    pub holes: Vec<Vec<Xyz>>,
}

/// Both faces of every layer, placed by the walls' poses, for a picture of the box.
///
/// `sets` holds the layers of each wall in the order of the poses; `None` leaves a wall out, as one without a pose is. A bent wall
/// is shown as its developed outline lies, flat.
///
/// # Examples
/// ```
/// use coldwright_geometry::{PlainBox, fold, joined_layers, plain_box, surfaces};
/// let (walls, joints) = plain_box(&PlainBox::default())?;
/// let sets = joined_layers(&walls, &joints)?;
/// let all = surfaces(sets.iter().map(|s| s.as_ref().ok()), &fold(&walls, &joints)?);
/// assert_eq!(all.len(), 5 * 4);
/// // The floor's second layer begins one sheet above its outer face.
/// assert!((all[1].outer[0].outer[0].z - all[0].outer[0].outer[0].z - 25.4).abs() < 1e-9);
/// # Ok::<(), coldwright_geometry::GeometryError>(())
/// ```
pub fn surfaces<'a>(
    sets: impl IntoIterator<Item = Option<&'a LayerSet>>,
    folded: &Folded,
) -> Vec<LayerSurface> {
    let mut out = Vec::new();
    for (wall, (set, pose)) in sets.into_iter().zip(&folded.poses).enumerate() {
        for layer in set.into_iter().flat_map(|s| &s.layers) {
            out.push(LayerSurface {
                wall,
                layer: layer.number,
                inward: pose.inward(),
                outer: placed(&layer.outer.rings, pose, layer.from),
                inner: placed(&layer.inner.rings, pose, layer.to),
            });
        }
    }
    out
}

fn placed(rings: &[Ring], pose: &Pose, z: f64) -> Vec<PlacedRing> {
    let line = |points: &Vec<kurbo::Point>| points.iter().map(|p| pose.place(*p, z)).collect();
    rings
        .iter()
        .map(|r| PlacedRing { outer: line(&r.outer), holes: r.holes.iter().map(line).collect() })
        .collect()
}
