//! Which walls their neighbours' edges show to be bent.
//!
//! Two flat walls meet in a straight line. Where an edge of one bows, the other is bent; where both bow, as along a hull whose
//! developed outline bows a little too, the wall with more bow in its neighbours' edges is, and its own edges tell nothing more.

use super::joint::{EdgeAt, Joint};
use super::wall::{BoxWall, Stand, Surface};

/// An edge that stands off the straight by more than this at its middle tells a bent neighbour, mm. Within it a side 500 mm from
/// its opposite one errs by two thirds of that, 0.7 %.
const BOW: f64 = 5.0;

/// A wall shown to be bent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bow {
    /// Place of the bent wall in the list.
    pub wall: usize,
    /// The neighbour's edge that bows most at it.
    pub edge: EdgeAt,
    /// How far that edge stands off the straight, mm.
    pub by: f64,
    /// Radius of the arc of that height over the edge's chord, mm.
    pub radius: f64,
}

/// Walls that are not said to be bent and are shown so by edges joined to them, each once, the most bent first.
///
/// # Examples
/// ```
/// use coldwright_geometry::{PlainBox, bows, plain_box};
/// let (walls, joints) = plain_box(&PlainBox::default())?;
/// assert!(bows(&walls, &joints).is_empty());
/// # Ok::<(), coldwright_geometry::GeometryError>(())
/// ```
#[must_use]
pub fn bows(walls: &[BoxWall], joints: &[Joint]) -> Vec<Bow> {
    let mut bent: Vec<bool> = walls.iter().map(|w| w.surface == Surface::Bent).collect();
    let told: Vec<Bow> = joints
        .iter()
        .flat_map(|j| [(j.a, j.b.wall), (j.b, j.a.wall)])
        .filter_map(|(edge, wall)| {
            let (by, chord) = off_straight(walls.get(edge.wall)?, edge.edge)?;
            let radius = (0.25 * chord * chord + by * by) / (2.0 * by.max(1e-9));
            (by > BOW && wall < walls.len() && wall != edge.wall).then_some(Bow { wall, edge, by, radius })
        })
        .collect();
    let mut out = Vec::new();
    for _ in 0..walls.len() {
        let open = |b: &&Bow| !bent[b.wall] && !bent[b.edge.wall];
        let sum = |w: usize| told.iter().filter(open).filter(|b| b.wall == w).map(|b| b.by).sum::<f64>();
        // Of two that could be it, a side: floors and tops are flat more often than not.
        let rank = |w: usize| if walls[w].stand == Stand::Side { sum(w) * 1.5 } else { sum(w) };
        let most = (0..walls.len()).max_by(|a, b| rank(*a).total_cmp(&rank(*b)));
        let Some(wall) = most.filter(|w| sum(*w) > 0.0) else { break };
        let mine = told.iter().filter(open).filter(|b| b.wall == wall);
        out.extend(mine.max_by(|a, b| a.by.total_cmp(&b.by)).copied());
        bent[wall] = true;
    }
    out
}

/// How far an edge stands off the straight between its ends, and how far they are apart, mm; None for an edge that is not there.
fn off_straight(wall: &BoxWall, edge: u32) -> Option<(f64, f64)> {
    let line = wall.shape.outline.runs().get(wall.side(edge)?)?.points(0.1);
    let (from, to) = (line.first()?, line.last()?);
    let chord = (*to - *from).hypot();
    let way = (*to - *from) / chord.max(1e-300);
    Some((line.iter().map(|p| way.cross(*p - *from).abs()).fold(0.0, f64::max), chord))
}
