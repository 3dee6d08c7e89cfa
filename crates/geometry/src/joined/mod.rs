//! The box: walls that meet at joints.

mod bent;
mod cells;
mod chance;
mod corners;
mod dense;
mod faceted;
mod filler;
mod fold;
mod inside;
mod joint;
mod layers;
mod misfit;
mod outer;
mod plain;
mod rectangle;
mod rim;
mod ring;
mod room;
mod space;
mod surfaces;
mod take;
mod wall;

pub use cells::{CellOwner, CornerCell, StraightSeam, corner_cells, straight_seams};
pub use corners::{CornerClash, corner_clashes};
pub use faceted::{Facet, faceted_box};
pub use filler::{Filler, WallFiller, filler, lifts};
pub use fold::{Folded, FoldedGroup, fold};
pub use inside::{Inside, inside};
pub use joint::{EdgeAt, Joint, JointKind};
pub use layers::joined_layers;
pub use misfit::{JointMisfit, MisfitKind};
pub use plain::{PlainBox, plain_box};
pub use room::{Sump, sump, usable};
pub use space::{Pose, Xyz};
pub use surfaces::{LayerSurface, PlacedRing, surfaces};
pub use wall::{BoxWall, Stand, Surface};
