//! Joints: which edges of which walls meet, and whose foam owns the corner.

use crate::document::{EdgeId, WallId};

/// Names one joint of a job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct JointId(pub u32);

/// One edge of one wall.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EdgeOf {
    /// The wall.
    pub wall: WallId,
    /// Its edge.
    pub edge: EdgeId,
}

/// Two walls' edges that meet, stored once.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Joint {
    /// Its number.
    pub id: JointId,
    /// One edge; the kind is told from here.
    pub a: EdgeOf,
    /// The other edge.
    pub b: EdgeOf,
    /// Who owns the corner.
    pub kind: JointKind,
    /// The angle between the two outer faces inside the box, degrees, where the person has measured it; `None`: 90° and the
    /// bevels of the edges. Needed for a nearly straight knuckle and for a corner that points into the box.
    pub degrees: Option<f64>,
}

impl Joint {
    /// The layer of the other wall, 1 = outermost, that layer `number` of the wall of its first edge (`first`) or of its second
    /// ends against, where the other has `others`; `None` where it runs past all of them.
    pub fn meets(&self, first: bool, number: usize, others: usize) -> Option<usize> {
        crate::boxed::to_geometry(self, &[self.a.wall, self.b.wall])?.meets(first, number, others)
    }
}

/// Who owns the foam of a corner, told from the joint's first edge.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum JointKind {
    /// The first wall runs past in every layer, the second stops short of all its foam.
    RunsPast,
    /// The first wall stops short in every layer, the second runs past.
    StopsShort,
    /// Layers alternate; no seam goes straight through.
    Woven {
        /// The first wall's outermost layer runs past, its second stops short, and so on.
        first_runs: bool,
    },
    /// Both edges lie on the plane that halves the corner.
    Mitred,
}

impl Default for JointKind {
    fn default() -> Self {
        JointKind::Woven { first_runs: true }
    }
}
