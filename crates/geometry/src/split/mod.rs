//! Layers cut into parts by straight seams, by hand or worked out.

mod chord;
mod faults;
mod marks;
mod part;
mod places;
mod rim;
mod rules;
mod seam;
mod search;
mod turning;

pub use faults::{SeamFault, seam_faults};
pub use part::{Part, Reaches, SeamSide, split_by};
pub use rim::{seam_end_moved, seam_moved};
pub use rules::SplitRules;
pub use seam::{Seam, SeamStyle};
pub use search::split;
pub use turning::TurnLimit;
