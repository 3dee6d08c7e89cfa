//! The edge of a cut layer, a sheet of cardboard or a drawn line, followed from click to click.
//!
//! The cheapest way through the picture from one click to the next, where the ridges of the gradient are cheap and everything else is dear (E. Mortensen and
//! W. Barrett, "Intelligent scissors for image composition", SIGGRAPH (1995); cheapest ways by E. Dijkstra, "A note on two problems in connexion with
//! graphs", Numerische Mathematik 1 (1959)). The way is then laid onto the ridge to a part of a pixel and thinned to ticks (U. Ramer, "An iterative procedure
//! for the polygonal approximation of plane curves", Computer Graphics and Image Processing 1 (1972)). Lines drawn with a pencil or pen are followed along
//! their nearer flank.

mod field;
mod thin;
mod way;

use kurbo::Point;

use crate::error::CanvasError;
use crate::picture::Picture;
use crate::plane::finite;
use field::Field;

/// How an edge is followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FollowOptions {
    /// How far from the clicks the edge may begin and end, pixels: each click goes to the strongest edge so near it.
    pub snap_px: f64,
    /// How far beyond the clicks' own box the edge may run, as a share of their distance.
    pub margin: f64,
    /// How far the edge may lie from the straight lines between its ticks, pixels: the measuring noise.
    pub tick_px: f64,
}

impl Default for FollowOptions {
    /// Six pixels round the clicks, a box a third larger on each side, ticks to three quarters of a pixel.
    fn default() -> Self {
        Self { snap_px: 6.0, margin: 0.35, tick_px: 0.75 }
    }
}

/// An edge followed.
#[derive(Debug, Clone, PartialEq)]
pub struct Followed {
    /// The edge, a point every pixel or so, from the first click to the second.
    pub path_px: Vec<Point>,
    /// The few points of it that say where it runs; the first and last are the path's own.
    pub ticks_px: Vec<Point>,
    /// Share of the path on which an edge is to be seen, 0 to 1; the rest was bridged.
    pub seen: f64,
    /// Typical change of light across the edge, share of white in linear light.
    pub contrast: f64,
}

/// Least share of a path on which an edge must be seen: a path over nothing is an invention.
const LEAST_SEEN: f64 = 0.6;
/// Pixels searched at most; larger boxes are searched at a coarser step, and the edge is laid onto the full picture afterwards.
const MOST_NODES: f64 = 600_000.0;
/// Least room round the clicks, pixels.
const ROOM_PX: f64 = 40.0;

/// Follows the edge from one click to the next.
///
/// A proposal to be shown: the person clicks nearer together where it takes a wrong way.
///
/// # Errors
/// A click that is no place in the picture, two clicks on one place, options out of range, or no edge to be seen between the clicks.
pub fn follow_edge(
    picture: &Picture,
    from_px: Point,
    to_px: Point,
    options: &FollowOptions,
) -> Result<Followed, CanvasError> {
    let (wide, high) = (f64::from(picture.width()), f64::from(picture.height()));
    for (what, value, most) in [
        ("click across", from_px.x, wide - 1.0),
        ("click down", from_px.y, high - 1.0),
        ("click across", to_px.x, wide - 1.0),
        ("click down", to_px.y, high - 1.0),
    ] {
        finite(what, value)?;
        if !(0.0..=most).contains(&value) {
            return Err(CanvasError::BadNumber { what, rule: "a place in the picture", value });
        }
    }
    for (what, value, most) in [
        ("reach of a click", options.snap_px, 50.0),
        ("room beside the clicks", options.margin, 5.0),
        ("distance of ticks", options.tick_px, 50.0),
    ] {
        if !(value.is_finite() && (0.0..=most).contains(&value)) {
            return Err(CanvasError::BadNumber { what, rule: "zero or more, and not absurd", value });
        }
    }
    let far = from_px.distance(to_px);
    if far < 2.0 {
        return Err(CanvasError::BadNumber {
            what: "distance of two clicks",
            rule: "two pixels or more",
            value: far,
        });
    }
    let room = ROOM_PX.max(options.margin * far);
    let low = |a: f64, b: f64| (a.min(b) - room).max(0.0).floor();
    let up = |a: f64, b: f64, most: f64| (a.max(b) + room).min(most - 1.0).ceil();
    let (x0, y0) = (low(from_px.x, to_px.x), low(from_px.y, to_px.y));
    let (x1, y1) = (up(from_px.x, to_px.x, wide), up(from_px.y, to_px.y, high));
    let step = ((x1 - x0) * (y1 - y0) / MOST_NODES).sqrt().ceil().max(1.0) as usize;
    let none = || CanvasError::NoEdge { x0: from_px.x, y0: from_px.y, x1: to_px.x, y1: to_px.y };
    let field = Field::new(picture, (x0, y0), (x1, y1), step).ok_or_else(none)?;
    let (a, b) = (field.strongest(from_px, options.snap_px), field.strongest(to_px, options.snap_px));
    let nodes = way::cheapest(&field, a, b).ok_or_else(none)?;
    let coarse: Vec<Point> = nodes.iter().map(|n| field.place(*n)).collect();
    let fine = thin::onto_ridge(picture, &coarse, step);
    let seen = fine.iter().filter(|p| p.seen).count() as f64 / fine.len().max(1) as f64;
    if seen < LEAST_SEEN {
        return Err(none());
    }
    let mut contrasts: Vec<f64> = fine.iter().filter(|p| p.seen).map(|p| p.contrast).collect();
    contrasts.sort_by(f64::total_cmp);
    let contrast = contrasts.get(contrasts.len() / 2).copied().unwrap_or(0.0);
    let path_px = thin::smoothed(&fine);
    let ticks_px = thin::thinned(&path_px, options.tick_px);
    Ok(Followed { path_px, ticks_px, seen, contrast })
}
