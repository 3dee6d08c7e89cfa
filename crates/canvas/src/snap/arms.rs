//! The two edges that leave a corner, and the light beside and across them.

use kurbo::{Point, Vec2};

use super::lines::Line;
use crate::picture::LumaPlane;

/// A step of light counts as an edge of its own from this share of the strongest on.
const CLEAR_STEP: f64 = 0.3;

/// One way along a line from a corner.
pub(super) struct Arm<'a> {
    pub(super) line: &'a Line,
    /// Unit vector from the corner along the edge.
    pub(super) way: Vec2,
    /// How far the edge is seen, pixels, and how far it goes on beyond the corner the other way.
    pub(super) reach: f64,
    pub(super) beyond: f64,
}

pub(super) fn arm(line: &Line, at: Vec2) -> Arm<'_> {
    let t = at.dot(line.direction());
    let (up, down) = (line.reach(t, 1.0), line.reach(t, -1.0));
    if up >= down {
        Arm { line, way: line.direction(), reach: up, beyond: down }
    } else {
        Arm { line, way: -line.direction(), reach: down, beyond: up }
    }
}

/// Mean linear light and its scatter beside an edge, on the side of `inward`, from near the corner outwards.
pub(super) fn beside(luma: &LumaPlane, corner: Point, arm: &Arm<'_>, inward: Vec2) -> Option<(f64, f64)> {
    let light = crate::finder::linear_light();
    let side = if arm.line.normal.dot(inward) >= 0.0 { arm.line.normal } else { -arm.line.normal };
    let mut values = Vec::new();
    let mut t = 4.5;
    while t <= arm.reach.min(16.0) {
        for s in [3.0, 4.0] {
            let p = corner + arm.way * t + side * s;
            let (x, y) = (p.x.round(), p.y.round());
            if x < 0.0 || y < 0.0 {
                return None;
            }
            values.push(*light.get(usize::from(*luma.row(y as usize).get(x as usize)?))?);
        }
        t += 1.0;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let scatter = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt();
    mean.is_finite().then_some((mean, scatter))
}

/// How far inside a fitted edge the surface itself ends, pixels, negative outside: a lath's top edge and its foot lie a few pixels apart, and the
/// stronger of the two is found first. The light across the edge, averaged along it, tells them apart: coming from inside, the first clear step is
/// the surface's own.
pub(super) fn first_step(luma: &LumaPlane, corner: Point, arm: &Arm<'_>, inward: Vec2) -> Option<f64> {
    const FROM: f64 = 7.0;
    const STEP: f64 = 0.25;
    const COUNT: usize = 56;
    let light = crate::finder::linear_light();
    let side = if arm.line.normal.dot(inward) >= 0.0 { arm.line.normal } else { -arm.line.normal };
    let mut profile = [0.0; COUNT];
    let length = arm.reach.min(18.0) - 4.0;
    let rows = (length * 2.0).max(4.0) as usize;
    for (k, value) in profile.iter_mut().enumerate() {
        let s = FROM - STEP * k as f64;
        for r in 0..rows {
            let p = corner + arm.way * (4.0 + length * (r as f64 + 0.5) / rows as f64) + side * s;
            *value += crate::finder::light_at(luma, &light, p)?;
        }
        *value /= rows as f64;
    }
    // Slope over one pixel, which is also the least that two edges must be apart to show as two.
    let slope: Vec<f64> = profile.windows(5).map(|w| (w[4] - w[0]).abs()).collect();
    let most = slope.iter().copied().fold(0.0, f64::max);
    // The surface's own light, and the largest departure from it up to just outside the fitted edge.
    let own = profile.iter().take(8).sum::<f64>() / 8.0;
    let to = (FROM / STEP) as usize + 8;
    let departure = profile.iter().take(to).map(|v| (v - own).abs()).fold(0.0, f64::max);
    for k in 6..slope.len() - 1 {
        let (b, m, a) = (slope[k - 1], slope[k], slope[k + 1]);
        if m >= b && m > a && m > CLEAR_STEP * most {
            // Grain and scratches are left again on their other side; a surface's end is not.
            let lasts = profile.iter().take(to).skip(k + 8).all(|v| (v - own).abs() > CLEAR_STEP * departure);
            if !lasts {
                continue;
            }
            // The middle of the rise: its very top is flat where pixels are read between their centres.
            let near = k.saturating_sub(5)..(k + 6).min(slope.len());
            let (mut weight, mut place) = (0.0, 0.0);
            for (j, v) in slope.iter().enumerate().take(near.end).skip(near.start) {
                let w = (v - 0.5 * m).max(0.0);
                weight += w;
                place += w * j as f64;
            }
            return Some(FROM - STEP * (place / weight + 2.0));
        }
    }
    None
}
