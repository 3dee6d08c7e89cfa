//! What the room inside is good for: the rectangle that stands clear, and the sump of a V floor.

use kurbo::{Point, Rect};

use super::inside::Inside;
use super::rectangle::largest;
use super::space::Xyz;
use super::wall::{BoxWall, Stand};

/// Sections looked at over the height of what is to stand.
const LOOKS: u32 = 8;
/// Corners of two faces closer than this are one, mm: walls as measured meet only to their uncertainty.
const SAME: f64 = 5.0;

/// What a V floor holds before water reaches any other edge of the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sump {
    /// Deepest water, mm.
    pub deep: f64,
    /// Its volume, mm³.
    pub volume: f64,
}

/// The largest upright rectangle, sides along x and y of the box frame, that stands clear of all foam from `above` (mm over the
/// lowest place inside) up through `tall` mm (0 for one level); None where nothing stands.
///
/// Right to about 0.1 mm of its sides where the largest one is found; looked for from 40 rows. Walls that bulge into the room
/// between nine heights are not seen.
#[must_use]
pub fn usable(one: &Inside, above: f64, tall: f64) -> Option<Rect> {
    if !(above.is_finite() && tall.is_finite() && tall >= 0.0) || one.floor + above + tall > one.brim {
        return None;
    }
    let looks = if tall > 0.0 { LOOKS } else { 0 };
    let sections: Vec<_> = (0..=looks)
        .map(|k| section(one, one.floor + above + tall * f64::from(k) / f64::from(looks.max(1))))
        .collect();
    largest(&sections)
}

/// The sump of a room whose floors meet in a V; None when no two floors meet lower than their other corners.
#[must_use]
pub fn sump(one: &Inside, walls: &[BoxWall]) -> Option<Sump> {
    let floors: Vec<&(usize, Vec<Xyz>)> =
        one.faces.iter().filter(|(w, _)| walls.get(*w).is_some_and(|w| w.stand == Stand::Floor)).collect();
    let shared = |wall: usize, p: Xyz| {
        floors.iter().any(|(w, ring)| *w != wall && ring.iter().any(|q| (p - *q).length() < SAME))
    };
    let all = || floors.iter().flat_map(|(w, ring)| ring.iter().map(move |p| (*w, *p)));
    let keel = all().filter(|(w, p)| shared(*w, *p)).map(|(_, p)| p.z).fold(f64::INFINITY, f64::min);
    let edge = all().filter(|(w, p)| !shared(*w, *p)).map(|(_, p)| p.z).fold(f64::INFINITY, f64::min);
    let deep = edge - one.floor;
    (keel.is_finite() && edge.is_finite() && deep > SAME && keel < edge)
        .then(|| Sump { deep, volume: below(one, edge) })
}

/// Triangles of the faces, fanned: those of a face that is not convex count with their signs.
fn triangles(one: &Inside) -> impl Iterator<Item = [Xyz; 3]> + '_ {
    one.faces.iter().flat_map(|(_, ring)| {
        ring.windows(2).skip(1).filter_map(|w| match (ring.first(), w) {
            (Some(o), [a, b]) => Some([*o, *a, *b]),
            _ => None,
        })
    })
}

/// Directed pieces of the room's section at a height of the box frame, counter-clockwise seen from above.
fn section(one: &Inside, height: f64) -> Vec<(Point, Point)> {
    let mut out = Vec::new();
    for t in triangles(one) {
        let (mut up, mut down) = (None, None);
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if (a.z <= height) != (b.z <= height) {
                let p = a + (b - a) * ((height - a.z) / (b.z - a.z));
                let p = Point::new(p.x, p.y);
                if a.z <= height { up = Some(p) } else { down = Some(p) }
            }
        }
        if let (Some(up), Some(down)) = (up, down) {
            out.push((up, down));
        }
    }
    out
}

/// Room below a height, mm³: the flux of (0, 0, z − height) through the faces below (Gauss).
fn below(one: &Inside, height: f64) -> f64 {
    let mut sum = 0.0;
    for t in triangles(one) {
        let mut part: Vec<Xyz> = Vec::with_capacity(4);
        for k in 0..3 {
            let (a, b) = (t[k], t[(k + 1) % 3]);
            if a.z <= height {
                part.push(a);
            }
            if (a.z <= height) != (b.z <= height) {
                part.push(a + (b - a) * ((height - a.z) / (b.z - a.z)));
            }
        }
        for w in part.windows(2).skip(1) {
            let (Some(a), [b, c]) = (part.first(), w) else { continue };
            let flat = 0.5 * ((b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x));
            sum += flat * (height - (a.z + b.z + c.z) / 3.0);
        }
    }
    sum.max(0.0)
}
