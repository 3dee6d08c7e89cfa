//! Line segments of a photo, laid on the plane.

use kurbo::{Point, Vec2};

use crate::picture::Picture;
use crate::plane::PlaneSolve;

/// Pixels to look for segments in: laths are tens of pixels wide at this size, and time grows with it.
const LOOKED_AT: f64 = 3.3e6;
/// How much differences in warmth are raised before looking.
const WARM: i32 = 2;
/// The same for warmth as a share of the light, which shade does not change: pale wood on darker wood, lit and shaded.
const TINT: i32 = 400;
/// Shortest segment kept, mm.
const SHORTEST_MM: f64 = 4.0;
/// Half width and height of what is certainly paper round the middle of a full-size card of ours, and round a plain tag on paper lying either way, mm.
const CARD_HALF_MM: (f64, f64) = (149.0, 105.5);
const TAG_HALF_MM: (f64, f64) = (104.0, 104.0);
/// Places handed on for a plain tag.
const TAG_PLACES: usize = 16;

/// A segment on the plane, mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub(super) a: Point,
    pub(super) b: Point,
    /// Unit direction, upwards or to the right.
    pub(super) way: Vec2,
    pub(super) length: f64,
    /// Seen as a change of warmth, not of brightness.
    pub(super) warm: bool,
}

pub(super) fn segments(picture: &Picture, solved: &PlaneSolve, photo: usize, height: f64) -> Vec<Seen> {
    let (wide, high) = (picture.width() as usize, picture.height() as usize);
    let step = ((wide * high) as f64 / LOOKED_AT).sqrt().round().max(1.0) as usize;
    let (w, h) = (wide / step, high / step);
    // Brightness, and how much warmer than grey, as such and as a share: pale wood on pale concrete differs in colour only.
    let mut bright = Vec::with_capacity(w * h);
    let mut warm = Vec::with_capacity(w * h);
    let mut tint = Vec::with_capacity(w * h);
    let count = (step * step) as i32;
    for y in 0..h {
        for x in 0..w {
            let (mut b, mut r, mut all) = (0, 0, 0);
            for dy in 0..step {
                let from = 3 * ((y * step + dy) * wide + x * step);
                for px in picture.rgb().get(from..from + 3 * step).unwrap_or(&[]).chunks_exact(3) {
                    if let [red, green, blue] = px {
                        let (red, green, blue) = (i32::from(*red), i32::from(*green), i32::from(*blue));
                        b += 77 * red + 150 * green + 29 * blue;
                        r += red - blue;
                        all += red + green + blue;
                    }
                }
            }
            bright.push((b / (256 * count)).clamp(0, 255) as u8);
            warm.push((WARM * r / count + 128).clamp(0, 255) as u8);
            tint.push((TINT * r / (all + 24 * count) + 40).clamp(0, 255) as u8);
        }
    }
    // One after the other: a search holds some 13 bytes a pixel of its plane.
    let lines =
        |plane: Vec<u8>| lsdetect::detect(&plane, w, h, 1.0).into_iter().flatten().collect::<Vec<_>>();
    let (bright, warm, tint) = (lines(bright), lines(warm), lines(tint));
    let found = bright.into_iter().map(|s| (s, false)).chain(warm.into_iter().chain(tint).map(|s| (s, true)));
    let scale = step as f64;
    let full = |x: f64, y: f64| Point::new(x * scale + 0.5 * (scale - 1.0), y * scale + 0.5 * (scale - 1.0));
    let mut out = Vec::new();
    for (s, warm) in found {
        let ends = (
            solved.to_plane(photo, full(s.x1, s.y1), height),
            solved.to_plane(photo, full(s.x2, s.y2), height),
        );
        let (Ok(a), Ok(b)) = ends else { continue };
        let length = a.distance(b);
        if length < SHORTEST_MM || on_a_card(solved, a.midpoint(b)) {
            continue;
        }
        let way = (b - a) / length;
        let turned = way.x < -1e-9 || (way.x.abs() <= 1e-9 && way.y < 0.0);
        out.push(if turned {
            Seen { a: b, b: a, way: -way, length, warm }
        } else {
            Seen { a, b, way, length, warm }
        });
    }
    out.sort_by(|p, q| q.length.total_cmp(&p.length));
    out
}

fn on_a_card(solved: &PlaneSolve, p: Point) -> bool {
    solved.cards().iter().any(|card| {
        let d = p - card.centre;
        let (s, c) = card.angle_rad.sin_cos();
        let half = if card.points == TAG_PLACES { TAG_HALF_MM } else { CARD_HALF_MM };
        let scale = if card.half_size { 0.5 } else { 1.0 };
        (c * d.x + s * d.y).abs() < scale * half.0 && (c * d.y - s * d.x).abs() < scale * half.1
    })
}
