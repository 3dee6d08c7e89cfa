//! A region grown or shrunk by one distance all round.
//!
//! Each boundary segment sweeps a strip; the ring drawn along the moved segments runs through the corner itself where strips
//! overlap and round the corner where they part, so that its winding number counts the strips. What stays positive is the
//! answer (X. Chen, S. McMains, Polygon offsetting by computing winding numbers, ASME IDETC 2005).

use kurbo::{Point, Vec2};

use crate::regions::{distinct, wound};
use crate::section::{inside, signed_area};
use crate::simple::{pieces, self_crossing};
use crate::{GeometryError, Ring};

/// How the moved sides of a corner are joined where they part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Join {
    /// Carried on to their crossing; cut square on the way there where it is farther from the corner than `limit` (at least
    /// 1) times the distance.
    Mitre {
        /// Greatest distance of a mitre from the corner over the distance moved.
        limit: f64,
    },
    /// An arc about the corner.
    Round {
        /// How far the chords drawn for it may fall inside the arc, mm (at least 1e-6).
        tolerance: f64,
    },
}

/// Farthest coordinate and distance taken, mm: ten kilometres, where numbers still hold a nanometre.
const FARTHEST: f64 = 1.0e7;

/// `region` grown by `distance` mm (shrunk when negative): every part that comes out, however small.
///
/// Rings may be given either way round, with repeated points; holes are holes. Nothing left gives no rings.
///
/// # Errors
/// [`GeometryError::NotFinite`] for a bad number, [`GeometryError::SelfCrossing`] for a ring that crosses or touches itself,
/// [`GeometryError::NoArea`] when it encloses nothing, [`GeometryError::BadCutout`] for a hole that does or lies outside.
///
/// # Examples
/// Check values of a 100 mm square grown by 10 mm (Steiner: area + perimeter · r + π r²):
/// ```
/// use coldwright_geometry::{Join, Point, Ring, offset};
/// let outer = [(0., 0.), (100., 0.), (100., 100.), (0., 100.)].map(|p| Point::new(p.0, p.1)).to_vec();
/// let square = Ring { outer, holes: vec![] };
/// let grown = |join| -> Result<f64, coldwright_geometry::GeometryError> {
///     Ok(offset(&square, 10.0, join)?.iter().map(Ring::area).sum())
/// };
/// assert!((grown(Join::Mitre { limit: 4.0 })? - 14_400.0).abs() < 1e-6);
/// assert!((grown(Join::Round { tolerance: 0.0001 })? - 14_314.16).abs() < 0.01);
/// # Ok::<(), coldwright_geometry::GeometryError>(())
/// ```
pub fn offset(region: &Ring, distance: f64, join: Join) -> Result<Vec<Ring>, GeometryError> {
    if !distance.is_finite() || distance.abs() > FARTHEST {
        return Err(GeometryError::NotFinite { what: "the distance of an offset".to_owned() });
    }
    if let Join::Mitre { limit } = join
        && !(limit.is_finite() && limit >= 1.0)
    {
        return Err(GeometryError::NotFinite {
            what: "the mitre limit of an offset (at least 1)".to_owned(),
        });
    }
    if let Join::Round { tolerance } = join
        && !(tolerance.is_finite() && tolerance >= 1e-6)
    {
        return Err(GeometryError::NotFinite {
            what: "the tolerance of an offset (at least 1e-6 mm)".to_owned(),
        });
    }
    let points = || region.outer.iter().chain(region.holes.iter().flatten());
    if !points().all(|p| p.is_finite() && p.x.abs() <= FARTHEST && p.y.abs() <= FARTHEST) {
        return Err(GeometryError::NotFinite { what: "a corner of the outline".to_owned() });
    }
    // Near the origin numbers are finest.
    let away = region.outer.first().map_or(Vec2::ZERO, |p| p.to_vec2());
    let outer = tidy(&region.outer, away)?;
    let mut rings = vec![];
    for hole in &region.holes {
        let mut hole = tidy(hole, away).map_err(|e| GeometryError::BadCutout {
            name: "hole".to_owned(),
            why: if matches!(e, GeometryError::NoArea) { "encloses nothing" } else { "crosses itself" },
        })?;
        if !hole.iter().all(|p| inside(&outer, *p)) {
            return Err(GeometryError::BadCutout {
                name: "hole".to_owned(),
                why: "reaches outside the outline",
            });
        }
        hole.reverse();
        rings.push(hole);
    }
    rings.push(outer);
    let drawn: Vec<Vec<Point>> = rings.iter().map(|r| swept(r, distance, join)).collect();
    let mut out = wound(&drawn);
    for p in out.iter_mut().flat_map(|r| std::iter::once(&mut r.outer).chain(&mut r.holes)).flatten() {
        *p += away;
    }
    out.sort_by(|a, b| b.area().total_cmp(&a.area()));
    Ok(out)
}

/// Simple, counter-clockwise, without repeated points, `away` taken off.
fn tidy(ring: &[Point], away: Vec2) -> Result<Vec<Point>, GeometryError> {
    let moved: Vec<Point> = ring.iter().map(|p| *p - away).collect();
    let mut out = distinct(&moved);
    if out.len() < 3 {
        return Err(GeometryError::NoArea);
    }
    if let Some((.., at)) = self_crossing(&pieces(&out)) {
        let side = "outline".to_owned();
        return Err(GeometryError::SelfCrossing { first: side.clone(), second: side, at: at + away });
    }
    let area = signed_area(&out);
    if area.abs() < 1e-6 {
        return Err(GeometryError::NoArea);
    }
    if area < 0.0 {
        out.reverse();
    }
    Ok(out)
}

/// The ring along the moved segments.
fn swept(ring: &[Point], d: f64, join: Join) -> Vec<Point> {
    let n = ring.len();
    let mut out = Vec::with_capacity(3 * n);
    for i in 0..n {
        let (before, p, after) = (ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]);
        let unit = |v: Vec2| v / v.hypot();
        let (u, v) = (unit(p - before), unit(after - p));
        // Outward normals, to the right of a counter-clockwise walk.
        let (na, nb) = (Vec2::new(u.y, -u.x), Vec2::new(v.y, -v.x));
        let turn = u.cross(v).atan2(u.dot(v));
        let (a, b) = (p + na * d, p + nb * d);
        out.push(a);
        if turn * d > 0.0 {
            match join {
                Join::Mitre { limit } => {
                    let half = (0.5 * turn).cos();
                    let way = (na + nb) / (na + nb).hypot().max(1e-300);
                    if half * limit >= 1.0 {
                        out.push(p + way * (d / half));
                    } else if half > 1e-9 {
                        // Cut square so far out that the cut is `limit` times the distance from the corner.
                        let past = (limit - half) / (0.5 * turn).sin().abs();
                        out.push(a + u * (past * d.abs()));
                        out.push(b - v * (past * d.abs()));
                    }
                }
                Join::Round { tolerance } => {
                    let step = 2.0 * (1.0 - (tolerance / d.abs()).min(0.5)).acos();
                    let pieces = (turn.abs() / step).ceil().clamp(1.0, 10_000.0) as u32;
                    let arc = |k: u32| Vec2::from_angle(turn * f64::from(k) / f64::from(pieces));
                    out.extend((1..pieces).map(|k| {
                        let w = arc(k);
                        p + Vec2::new(w.x * na.x - w.y * na.y, w.y * na.x + w.x * na.y) * d
                    }));
                }
            }
        } else if turn * d < 0.0 {
            out.push(p);
        }
        out.push(b);
    }
    out
}
