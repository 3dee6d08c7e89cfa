//! The layers of a wall from its closed outlines.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, LayerSet, Outline};

use crate::document::Wall;

use crate::further::{self, LoftPlan};
use crate::lining::as_fitted;
use crate::template::TakenAt;

/// The layers of a wall, and what its templates made of them.
#[derive(Clone, Debug)]
pub(crate) struct Layered {
    pub(crate) layers: Result<Option<Arc<LayerSet>>, GeometryError>,
    /// With several templates: the first one's outline with their bevels.
    pub(crate) loft: Option<(Arc<Outline>, Arc<LoftPlan>)>,
}

/// The layers that follow from the outlines of a wall's templates, the first one first.
pub(crate) fn layered(wall: &Wall, outlines: &[Option<Arc<Outline>>]) -> Layered {
    if let (Some(lid), Some(Some(outline))) = (&wall.lid, outlines.first()) {
        return Layered {
            layers: crate::lid::layers(wall, lid, outline).map(|set| Some(Arc::new(set))),
            loft: None,
        };
    }
    match further::lofted(wall, outlines) {
        Some(Ok((outline, set, plan))) => {
            Layered { layers: Ok(Some(Arc::new(set))), loft: Some((Arc::new(outline), Arc::new(plan))) }
        }
        Some(Err(why)) => Layered { layers: Err(why), loft: None },
        None => {
            let first = outlines.first().and_then(Option::as_ref);
            Layered { layers: first.map(|o| cut_layers(wall, o).map(Arc::new)).transpose(), loft: None }
        }
    }
}

/// The layers of a wall that follow from one outline, as it stands alone.
pub(crate) fn cut_layers(wall: &Wall, outline: &Outline) -> Result<LayerSet, GeometryError> {
    geo::layers_spaced(&shape_of(wall, outline), &wall.spaces(), &as_fitted(wall))
}

/// Whether two are equal, without looking into them where they are one and the same.
pub(crate) fn same<T: PartialEq>(a: &Arc<T>, b: &Arc<T>) -> bool {
    Arc::ptr_eq(a, b) || a == b
}

impl TakenAt {
    /// The same as the sums know it, mm.
    pub(crate) fn to_geometry(self) -> geo::TemplateDepth {
        match self {
            TakenAt::FromOuter(l) => geo::TemplateDepth::FromOuter(l.mm()),
            TakenAt::FromInner(l) => geo::TemplateDepth::FromInner(l.mm()),
        }
    }
}

/// The wall's shape as the sums know it.
pub(crate) fn shape_of(wall: &Wall, outline: &Outline) -> geo::WallShape {
    geo::WallShape {
        outline: outline.clone(),
        template_depth: wall.template.taken_at.to_geometry(),
        fixed: wall.fixed,
        thicknesses: wall.layers.iter().map(|l| l.thickness.mm()).collect(),
    }
}

/// The same as a part of the box, where a layer and the space before it are one slab, and the space is told apart.
pub(crate) fn box_wall(wall: &Wall, outline: &Outline, stand: geo::Stand) -> geo::BoxWall {
    let mut shape = shape_of(wall, outline);
    let spaces = wall.spaces();
    for (thickness, space) in shape.thicknesses.iter_mut().zip(&spaces) {
        *thickness += space;
    }
    let plain = geo::BoxWall::new(wall.name.clone(), shape, stand);
    geo::BoxWall { spaces, fitted: as_fitted(wall), ..plain }
}
