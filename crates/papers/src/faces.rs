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
            // Where half the thickness overlaps at a seam the faces differ though every edge is square.
            let alike = Proud::of(layer.steepest_bevel) == Proud::Square
                && alike(&layer.outer.rings, &layer.inner.rings);
            let down = (!alike && !layer.outer.rings.is_empty()).then_some(layer.outer.rings.as_slice());
            Faces { up: &layer.inner.rings, down }
        }
    }
}

/// Faces nearer to one another than this are one line, mm: less than a pen is wide.
const ALIKE_MM: f64 = 0.05;

/// Whether both faces have the same lines.
fn alike(a: &[Ring], b: &[Ring]) -> bool {
    let near = |from: &[Ring], to: &[Ring]| {
        let mut points = from.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)).flatten();
        points.all(|p| to.iter().any(|ring| ring.distance_to_boundary(*p) <= ALIKE_MM))
    };
    a.len() == b.len() && near(a, b) && near(b, a)
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
