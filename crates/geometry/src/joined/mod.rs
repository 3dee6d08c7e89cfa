//! The box: walls that meet at joints.

mod chance;
mod corners;
mod dense;
mod faceted;
mod fold;
mod inside;
mod joint;
mod layers;
mod misfit;
mod outer;
mod plain;
mod rim;
mod ring;
mod space;
mod surfaces;
mod take;
mod wall;

pub use corners::{CornerClash, corner_clashes};
pub use faceted::{Facet, faceted_box};
pub use fold::{Folded, FoldedGroup, fold};
pub use inside::{Inside, inside};
pub use joint::{EdgeAt, Joint, JointKind};
pub use layers::joined_layers;
pub use misfit::{JointMisfit, MisfitKind};
pub use plain::{PlainBox, plain_box};
pub use space::{Pose, Xyz};
pub use surfaces::{LayerSurface, PlacedRing, surfaces};
pub use wall::{BoxWall, Stand, Surface};
