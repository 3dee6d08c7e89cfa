//! Which rings of a layer are cut along, and which only show where the other face ends.

use coldwright_geometry::{Layer, Proud, Ring};
use coldwright_job::CutStyle;
use kurbo::BezPath;

/// The lines of one layer.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Faces<'a> {
    /// The face that lies up on the saw; for square cuts the one outline of both.
    pub(crate) up: &'a [Ring],
    /// The face below, for bevelled cuts whose faces differ.
    pub(crate) down: Option<&'a [Ring]>,
}

/// The lines of a layer, the box side up.
pub(crate) fn faces(layer: &Layer, style: CutStyle) -> Faces<'_> {
    match style {
        CutStyle::SquareFits => Faces { up: &layer.fits, down: None },
        CutStyle::SquareFills => Faces { up: &layer.fills, down: None },
        CutStyle::Bevelled => {
            let square = Proud::of(layer.steepest_bevel) == Proud::Square;
            let down = (!square && !layer.outer.rings.is_empty()).then_some(layer.outer.rings.as_slice());
            Faces { up: &layer.inner.rings, down }
        }
    }
}

/// A ring and its holes as closed paths.
pub(crate) fn path(ring: &Ring) -> BezPath {
    let mut path = BezPath::new();
    for points in std::iter::once(&ring.outer).chain(&ring.holes) {
        let Some((first, rest)) = points.split_first() else { continue };
        path.move_to(*first);
        for p in rest {
            path.line_to(*p);
        }
        path.close_path();
    }
    path
}
