//! The box: walls that meet at joints.

mod chance;
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
mod take;
mod wall;

pub use faceted::{Facet, faceted_box};
pub use fold::{Folded, FoldedGroup, fold};
pub use inside::{Inside, inside};
pub use joint::{EdgeAt, Joint, JointKind};
pub use layers::joined_layers;
pub use misfit::{JointMisfit, MisfitKind};
pub use plain::{PlainBox, plain_box};
pub use space::{Pose, Xyz};
pub use wall::{BoxWall, Stand, Surface};
