//! Layers cut into parts by straight seams, by hand or worked out.

mod chord;
mod marks;
mod part;
mod places;
mod rules;
mod seam;
mod search;

pub use part::{Part, Reaches, SeamSide, split_by};
pub use rules::SplitRules;
pub use seam::{Seam, SeamStyle};
pub use search::split;
