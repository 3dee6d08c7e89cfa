//! One side of the box: its template, its layers and which face stays.

use crate::Outline;

/// How deep in the wall the template was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum TemplateDepth {
    /// So much (mm) from the outer (hull) face.
    FromOuter(f64),
    /// So much (mm) from the inner (box) face.
    FromInner(f64),
}

impl TemplateDepth {
    /// Depth from the outer face in a wall `total` mm thick, mm. A depth counted from the inner face moves with the layers'
    /// sum, so that a template taken at the fixed face stays there.
    #[must_use]
    pub fn from_outer(self, total: f64) -> f64 {
        match self {
            Self::FromOuter(d) => d,
            Self::FromInner(d) => total - d,
        }
    }
}

/// Which face of the wall stays where it is when layers change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum FixedFace {
    /// The hull face: work goes inward.
    #[default]
    Outer,
    /// The box face: work goes outward from a liner.
    Inner,
}

/// One wall's shape: an outline known at one depth, and layers of stated thickness.
///
/// Depth z is 0 at the outer face and grows towards the box. An edge stands `(z − z0)·tan(bevel) − gap` farther out
/// along its outward normal than at the template's depth z0.
#[derive(Debug, Clone, PartialEq)]
pub struct WallShape {
    /// The template.
    pub outline: Outline,
    /// Where the template was taken.
    pub template_depth: TemplateDepth,
    /// The face that stays. It does not change the sums here: the template's depth is already counted from a face.
    pub fixed: FixedFace,
    /// Thickness of each layer, mm, outer to inner; at least one, each more than 0.
    pub thicknesses: Vec<f64>,
}

impl WallShape {
    /// Total thickness, mm.
    #[must_use]
    pub fn thickness(&self) -> f64 {
        self.thicknesses.iter().sum()
    }

    /// The template's depth from the outer face, mm.
    #[must_use]
    pub fn template_z(&self) -> f64 {
        self.template_depth.from_outer(self.thickness())
    }
}
