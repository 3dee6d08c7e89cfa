//! The opening every piece must pass, and what passes it.

mod bind;
mod hole;
mod hull;
mod passage;
mod room;

pub use bind::{Bind, binds};
pub use hole::Opening;
pub use hull::{Extent, extent, narrowest};
pub use passage::{Passage, Turning, passage};
pub use room::{Room, depth_to_turn};

pub(crate) use hull::{convex_hull, directions};
