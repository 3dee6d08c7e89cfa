//! Notices gathered over many layers, each matter once.

use std::collections::BTreeSet;

use crate::Notice;

/// Each matter once, on the first layer that shows it, in the order told.
#[derive(Debug, Default)]
pub(crate) struct Told {
    all: Vec<Notice>,
    /// Matters told already that recur from depth to depth: a kind and what it is about.
    seen: BTreeSet<(u8, u64, u64, String)>,
}

impl Told {
    /// Keeps `new` as seen on layer `number`, unless its matter has been told.
    pub fn tell(&mut self, new: &Notice, number: usize) {
        let matter = match new {
            Notice::CornerCutSquare { between: (a, b), .. } => {
                Some((0, u64::from(*a), u64::from(*b), String::new()))
            }
            Notice::EdgeVanished { edge, .. } => Some((1, u64::from(*edge), 0, String::new())),
            Notice::NarrowNeckLost { parts, .. } => Some((2, *parts as u64, 0, String::new())),
            Notice::BreaksOut { name, .. } => Some((3, 0, 0, name.clone())),
            _ => None,
        };
        let is_new = match matter {
            Some(matter) => self.seen.insert(matter),
            None => !self.all.contains(new),
        };
        if is_new {
            self.all.push(new.clone().on_layer(number));
        }
    }

    /// What was told.
    pub fn all(self) -> Vec<Notice> {
        self.all
    }
}
