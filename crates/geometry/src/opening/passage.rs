//! Does a piece go through the opening, and can it be turned behind it?

use kurbo::{Point, Vec2};

use super::hull::{Extent, convex_hull, directions, extent, narrowest};
use super::room::{Room, depth_to_turn};
use crate::section::signed_area;
use crate::{GeometryError, Layer, Opening, Ring};

/// How a piece stands to the opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Widest slot the opening leaves for this thickness, mm.
    pub slot: f64,
    /// Width of the piece in the direction it goes in, mm.
    pub width: f64,
    /// Its length in that direction, mm.
    pub length: f64,
    /// Clearance, mm: `slot` less `width`. Negative: so much is missing.
    pub clearance: f64,
    /// The way it goes in, a unit vector in the wall's frame.
    pub into: Vec2,
    /// It fails, but is not convex: it may still be threaded through, limb after limb. Not worked out.
    pub may_thread: bool,
    /// Turning behind the opening, when a room was given and the piece goes through.
    pub turning: Option<Turning>,
}

/// Room to turn a piece flat behind the opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Turning {
    /// Depth it needs, mm.
    pub needs: f64,
    /// Depth there is, mm.
    pub has: f64,
}

impl Turning {
    /// Depth to spare, mm; negative when it is missing.
    #[must_use]
    pub fn clearance(&self) -> f64 {
        self.has - self.needs
    }
}

impl Passage {
    /// Whether the piece goes through and, where the room was given, can be turned flat behind the opening.
    #[must_use]
    pub fn passes(&self) -> bool {
        self.clearance >= 0.0 && self.turning.is_none_or(|t| t.clearance() >= 0.0)
    }
}

/// The outline that must pass: the points of both faces of a layer and of what is cut for it.
fn silhouette(layer: &Layer) -> Vec<Point> {
    [&layer.outer.rings, &layer.inner.rings]
        .into_iter()
        .flatten()
        .flat_map(|r| r.outer.iter().copied())
        .collect()
}

impl Layer {
    /// How this layer, as one piece, stands to an opening: as [`passage`] with the union of both faces.
    ///
    /// # Errors
    /// As [`passage`].
    pub fn passage(&self, opening: &Opening, room: Option<Room>) -> Result<Passage, GeometryError> {
        let convex = !bent_in(&self.outer.rings) && !bent_in(&self.inner.rings);
        of_points(opening, &silhouette(self), convex, self.to - self.from, room)
    }
}

/// How a flat piece of `thickness` mm stands to an opening. For a bevelled or lapped piece give the rings of both faces.
///
/// Without a room the piece goes in along its narrowest way. With one, of all ways in which it goes through, the way is taken
/// that needs least depth to turn in ([`depth_to_turn`] for its length, its thickness and the slot that the opening leaves
/// beside its width); ways along the sides of its convex hull, square to them and every 1.5° are tried.
///
/// # Errors
/// [`GeometryError::Opening`] for an opening or room that cannot be, [`GeometryError::NoArea`] without points.
pub fn passage(
    opening: &Opening,
    rings: &[Ring],
    thickness: f64,
    room: Option<Room>,
) -> Result<Passage, GeometryError> {
    let points: Vec<Point> = rings.iter().flat_map(|r| r.outer.iter().copied()).collect();
    of_points(opening, &points, !bent_in(rings), thickness, room)
}

fn of_points(
    opening: &Opening,
    points: &[Point],
    convex: bool,
    thickness: f64,
    room: Option<Room>,
) -> Result<Passage, GeometryError> {
    opening.checked()?;
    if !(thickness.is_finite() && thickness > 0.0) {
        return Err(GeometryError::NotFinite { what: "the thickness of a piece".to_owned() });
    }
    if let Some(r) = room
        && !(r.depth.is_finite() && r.wall.is_finite() && r.depth >= 0.0 && r.wall >= 0.0)
    {
        return Err(GeometryError::Opening {
            what: format!("has {} mm behind it and a rim of {} mm", r.depth, r.wall),
        });
    }
    let hull = convex_hull(points);
    let slot = opening.widest_slot(thickness);
    let least = narrowest(&hull).ok_or(GeometryError::NoArea)?;
    let told = |e: Extent, turning: Option<Turning>| Passage {
        slot,
        width: e.width,
        length: e.length,
        clearance: slot - e.width,
        into: e.along,
        may_thread: e.width > slot && !convex,
        turning,
    };
    let Some(room) = room.filter(|_| least.width <= slot) else { return Ok(told(least, None)) };
    let ways = std::iter::once(least).chain(directions(&hull).into_iter().filter_map(|d| extent(&hull, d)));
    let mut best: Option<(Extent, f64)> = None;
    for way in ways.filter(|e| e.width <= slot) {
        // The slot left beside its width; rounding must not shut it.
        let beside = opening.widest_slot(way.width).max(thickness);
        let Some(needs) = depth_to_turn(way.length, thickness, beside, room.wall) else { continue };
        if best.is_none_or(|b| needs < b.1 - 1e-9) {
            best = Some((way, needs));
        }
    }
    Ok(best.map_or_else(
        || told(least, None),
        |(way, needs)| told(way, Some(Turning { needs, has: room.depth })),
    ))
}

/// Whether a piece has a bay: in several parts, or enclosing clearly less than its convex hull (a tenth of a per cent).
fn bent_in(rings: &[Ring]) -> bool {
    rings.len() > 1
        || rings.iter().any(|r| signed_area(&r.outer).abs() < 0.999 * signed_area(&convex_hull(&r.outer)))
}
