//! How long a part may be so that it can be turned flat behind the opening.

use crate::opening::{Room, depth_to_turn};
use crate::{GeometryError, Opening};

/// Widths at which the greatest length is known beforehand.
const PLACES: usize = 48;
/// No part is longer, mm.
const LONGEST: f64 = 20_000.0;

/// The turning room behind an opening, for slabs of one thickness.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnLimit {
    opening: Opening,
    thickness: f64,
    room: Room,
    /// Widest slab that goes through, mm.
    widest: f64,
    /// Greatest length at even widths from 0 to the widest, mm; falling.
    longest: [f64; PLACES + 1],
}

impl TurnLimit {
    /// For slabs `thickness` mm thick behind `opening`, with this room.
    ///
    /// # Errors
    /// [`GeometryError::Opening`] for an opening or room that cannot be, [`GeometryError::NotFinite`] for a thickness that is none.
    pub fn new(opening: Opening, thickness: f64, room: Room) -> Result<Self, GeometryError> {
        let opening = opening.checked()?;
        if !(thickness.is_finite() && thickness > 0.0) {
            return Err(GeometryError::NotFinite { what: "the thickness of a piece".to_owned() });
        }
        if !(room.depth.is_finite() && room.wall.is_finite() && room.depth >= 0.0 && room.wall >= 0.0) {
            return Err(GeometryError::Opening {
                what: format!("has {} mm behind it and a rim of {} mm", room.depth, room.wall),
            });
        }
        let widest = opening.widest_slot(thickness);
        let mut out = Self { opening, thickness, room, widest, longest: [0.0; PLACES + 1] };
        let mut before = LONGEST;
        for k in 0..=PLACES {
            before = out.searched(out.width(k), before);
            out.longest[k] = before;
        }
        Ok(out)
    }

    fn width(&self, k: usize) -> f64 {
        self.widest * k as f64 / PLACES as f64
    }

    /// Depth needed by a slab `width` × `length`, mm; none where it does not go through.
    fn needs(&self, width: f64, length: f64) -> Option<f64> {
        // The slot left beside its width; rounding must not shut it.
        let beside = self.opening.widest_slot(width).max(self.thickness);
        depth_to_turn(length, self.thickness, beside, self.room.wall)
    }

    fn turns(&self, width: f64, length: f64) -> bool {
        self.needs(width, length).is_some_and(|d| d <= self.room.depth + 1e-6)
    }

    /// Greatest length up to `most` at a width, to a hundredth of a millimetre; 0 where none turns.
    fn searched(&self, width: f64, most: f64) -> f64 {
        if most <= 0.0 || self.turns(width, most) {
            return most;
        }
        let (mut lo, mut hi) = (0.0, most);
        while hi - lo > 0.01 {
            let mid = 0.5 * (lo + hi);
            if self.turns(width, mid) { lo = mid } else { hi = mid }
        }
        lo
    }

    /// Whether a slab of this width, moved in along its length, can be turned flat.
    #[must_use]
    pub fn allows(&self, width: f64, length: f64) -> bool {
        if self.widest <= 0.0 || width > self.widest + 1e-3 {
            return false;
        }
        let at = (width / self.widest * PLACES as f64).clamp(0.0, PLACES as f64);
        let (below, above) = (self.longest[at.floor() as usize], self.longest[at.ceil() as usize]);
        // Between two widths known beforehand the greatest length lies between theirs.
        length <= above + 1e-6 || length <= below + 0.02 && self.turns(width.min(self.widest), length)
    }

    /// Greatest length of a part of this width, mm; 0 where none turns.
    #[must_use]
    pub fn longest(&self, width: f64) -> f64 {
        if width > self.widest + 1e-3 { 0.0 } else { self.searched(width.min(self.widest), LONGEST) }
    }

    /// Greatest width of a part of this length, mm; 0 where none turns.
    #[must_use]
    pub fn widest(&self, length: f64) -> f64 {
        let (mut lo, mut hi) = (0.0, self.widest);
        if self.allows(hi, length) {
            return hi;
        }
        while hi - lo > 0.01 {
            let mid = 0.5 * (lo + hi);
            if self.allows(mid, length) { lo = mid } else { hi = mid }
        }
        lo
    }

    /// The room.
    #[must_use]
    pub fn room(&self) -> Room {
        self.room
    }
}
