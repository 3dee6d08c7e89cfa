//! One wall as a part of the box.

use crate::{AsFitted, WallShape};

/// How a wall stands in the box.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Stand {
    /// It is underfoot, or part of it (one side of a V): its frame's y runs forward.
    Floor,
    /// Upright or leaning: its frame's y runs up.
    #[default]
    Side,
    /// The counter or lid side: its frame's y runs forward.
    Top,
}

/// How the surface behind a wall runs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Surface {
    /// A plane.
    #[default]
    Flat,
    /// Bent or twisted, as a hull is: its foam is bent to it, its outline is the developed one, and where it runs in the box
    /// follows from the edges of its neighbours.
    Bent,
}

/// One wall of the box.
///
/// Its outline is measured in the **empty** cavity: edges reach to the neighbours' outer faces, whatever foam the neighbours
/// will have; the bevel of an edge is the lean of the neighbour's outer face. What each layer gives up to the neighbour's foam
/// is the joint's business.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxWall {
    /// Name shown to the person, e.g. "hull side".
    pub name: String,
    /// Outline, template depth and layers.
    pub shape: WallShape,
    /// Trims taken while its layers were fitted.
    pub fitted: Vec<AsFitted>,
    /// The space before each layer that holds no foam, mm, already counted into that layer's thickness in `shape`: the layer is
    /// cut from behind it. Empty: none.
    pub spaces: Vec<f64>,
    /// How it stands.
    pub stand: Stand,
    /// How the surface behind it runs.
    pub surface: Surface,
}

impl BoxWall {
    /// A flat wall without trims.
    #[must_use]
    pub fn new(name: impl Into<String>, shape: WallShape, stand: Stand) -> Self {
        Self {
            name: name.into(),
            shape,
            fitted: Vec::new(),
            spaces: Vec::new(),
            stand,
            surface: Surface::Flat,
        }
    }

    /// The same wall, bent.
    #[must_use]
    pub fn bent(self) -> Self {
        Self { surface: Surface::Bent, ..self }
    }

    /// Place of an edge in the ring.
    pub(crate) fn side(&self, edge: u32) -> Option<usize> {
        self.shape.outline.sides().iter().position(|s| s.edge.id == edge)
    }

    /// "the hull side's lower edge".
    pub(crate) fn edge_words(&self, edge: u32) -> String {
        let name = self
            .side(edge)
            .and_then(|i| self.shape.outline.sides().get(i))
            .map_or_else(|| format!("edge {edge}"), |s| s.edge.name.clone());
        format!("the {}'s {name}", self.name)
    }
}
