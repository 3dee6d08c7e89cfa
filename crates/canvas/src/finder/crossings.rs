//! The 32 crossings of our own card, measured one by one, the covered and doubtful ones left out.

use kurbo::{Point, Vec2};
use nalgebra::{Matrix6, Vector6};

use super::saddle::saddle;
use super::tags::Tag;
use crate::card::{CROSSING_X_MM, CROSSING_Y_MM, Crossing, SQUARE_MM, TAG_MM};
use crate::homography::Homography;
use crate::picture::LumaPlane;

/// Window of the saddle fit: a share of a checker square, within these pixels. Wider averages more noise, but reaches into the next square
/// and the bend of the lens.
const WINDOW_SHARE: f64 = 0.33;
const WINDOW_PX: (f64, f64) = (3.0, 9.0);
/// Error that stays however clean the picture is (compression, sharpening), pixels.
const FLOOR_SD_PX: f64 = 0.015;

struct Candidate {
    card_mm: Point,
    px: Point,
    sd_px: f64,
}

/// Measures the crossings of one card.
pub(crate) fn measure(luma: &LumaPlane, tag: &Tag, half_size: bool) -> Vec<Crossing> {
    let scale = if half_size { 0.5 } else { 1.0 };
    let half = TAG_MM / 2.0 * scale;
    let square = [(-half, half), (half, half), (half, -half), (-half, -half)].map(Point::from);
    let pairs: Vec<_> = square.into_iter().zip(tag.corners).collect();
    let Some(mut map) = Homography::fit(&pairs) else { return Vec::new() };
    let mut bend = Bend::default();
    let mut found: Vec<Candidate> = Vec::new();
    // Predicted from the tag alone first, then twice from the crossings themselves.
    for round in 0..3 {
        found = candidates(luma, &map, &bend, scale, round == 0);
        reject_strays(&mut found);
        let pairs: Vec<_> = found.iter().map(|c| (c.card_mm, c.px)).collect();
        if pairs.len() < 6 {
            break;
        }
        if let Some(better) = Homography::fit(&pairs) {
            map = better;
            bend = Bend::fit(&map, &pairs);
        }
    }
    found.into_iter().map(|c| Crossing { card_mm: c.card_mm, px: c.px, sd_px: c.sd_px }).collect()
}

fn candidates(luma: &LumaPlane, map: &Homography, bend: &Bend, scale: f64, first: bool) -> Vec<Candidate> {
    let mut out = Vec::new();
    let place = |p: Point| map.apply(p).map(|q| q + bend.at(p).to_vec2());
    for (column, x) in CROSSING_X_MM.into_iter().enumerate() {
        for (row, y) in CROSSING_Y_MM.into_iter().enumerate() {
            let card_mm = Point::new(x * scale, y * scale);
            let arm = SQUARE_MM * scale;
            let Some(guess) = place(card_mm) else { continue };
            let (Some(right), Some(up)) = (place(card_mm + (arm, 0.0)), place(card_mm + (0.0, arm))) else {
                continue;
            };
            let (across, along) = (right - guess, up - guess);
            // The thinnest way through a square limits the window.
            let thin = across.cross(along).abs() / across.hypot().max(along.hypot()).max(1e-9);
            let radius = (WINDOW_SHARE * thin).clamp(WINDOW_PX.0, WINDOW_PX.1);
            // The first prediction is only as good as the tag's corners.
            let Some(px) = saddle(luma, guess, radius) else { continue };
            let drift = if first { 0.25 * thin } else { (0.08 * thin).max(1.0) };
            if px.distance(guess) > drift {
                continue;
            }
            let top_left_black = (column % 2 + row).is_multiple_of(2);
            let Some(look) = Look::at(luma, px, across, along, top_left_black) else { continue };
            if !look.clean() {
                continue;
            }
            let sd_px = FLOOR_SD_PX.hypot(0.3 * look.noise / look.contrast);
            out.push(Candidate { card_mm, px, sd_px });
        }
    }
    out
}

/// What the four squares round a crossing look like.
struct Look {
    contrast: f64,
    noise: f64,
    spread: f64,
}

impl Look {
    fn at(luma: &LumaPlane, px: Point, across: Vec2, along: Vec2, top_left_black: bool) -> Option<Self> {
        let mut means = [0.0; 4];
        let mut spread = 0.0f64;
        for (q, (sx, sy)) in [(-1.0, 1.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)].into_iter().enumerate() {
            let mut values = [0.0; 9];
            for (k, value) in values.iter_mut().enumerate() {
                // 0.28 to 0.62 of a square from the crossing: clear of the blurred edges and of the next square.
                let a = sx * (0.28 + 0.17 * (k % 3) as f64);
                let b = sy * (0.28 + 0.17 * (k / 3) as f64);
                let p = px + across * a + along * b;
                *value = luma.at(p.x, p.y)?;
            }
            let mean = values.iter().sum::<f64>() / 9.0;
            let var = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / 8.0;
            means[q] = mean;
            spread = spread.max(var.sqrt());
        }
        let [tl, tr, br, bl] = means;
        let (dark, light) = if top_left_black { ([tl, br], [tr, bl]) } else { ([tr, bl], [tl, br]) };
        let contrast = light[0].min(light[1]) - dark[0].max(dark[1]);
        let imbalance = (light[0] - light[1]).abs().max((dark[0] - dark[1]).abs());
        Some(Self { contrast, noise: spread, spread: spread.max(0.5 * imbalance) })
    }

    /// Black and white clearly apart, each square even: no lath, shadow edge or glare runs through.
    fn clean(&self) -> bool {
        self.contrast > 18.0 && self.spread < 0.22 * self.contrast
    }
}

/// What the lens bends a card by beyond a plane's map: a quadratic in the card's coordinates, for prediction and for finding strays.
#[derive(Debug, Clone, Copy, Default)]
struct Bend {
    x: Vector6<f64>,
    y: Vector6<f64>,
    size: f64,
}

impl Bend {
    fn basis(p: Point, size: f64) -> Vector6<f64> {
        let (u, v) = (p.x / size, p.y / size);
        Vector6::new(1.0, u, v, u * u, u * v, v * v)
    }

    fn fit(map: &Homography, pairs: &[(Point, Point)]) -> Self {
        if pairs.len() < 16 {
            return Self::default();
        }
        let size = pairs.iter().map(|p| p.0.to_vec2().hypot()).fold(1.0, f64::max);
        let mut normal = Matrix6::identity() * 1e-3;
        let (mut rx, mut ry) = (Vector6::zeros(), Vector6::zeros());
        for (p, px) in pairs {
            let Some(q) = map.apply(*p) else { continue };
            let b = Self::basis(*p, size);
            normal += b * b.transpose();
            rx += b * (px.x - q.x);
            ry += b * (px.y - q.y);
        }
        let Some(c) = normal.cholesky() else { return Self::default() };
        let (x, y) = (c.solve(&rx), c.solve(&ry));
        Self { x, y, size }
    }

    fn at(&self, p: Point) -> Point {
        if self.size <= 0.0 {
            return Point::ZERO;
        }
        let b = Self::basis(p, self.size);
        Point::new(b.dot(&self.x), b.dot(&self.y))
    }
}

/// Drops crossings that do not lie where the card's others put them, worst first.
fn reject_strays(found: &mut Vec<Candidate>) {
    for _ in 0..16 {
        if found.len() < 9 {
            return;
        }
        let pairs: Vec<_> = found.iter().map(|c| (c.card_mm, c.px)).collect();
        let Some(map) = Homography::fit(&pairs) else { return };
        let bend = Bend::fit(&map, &pairs);
        let mut misses: Vec<f64> = found
            .iter()
            .map(|c| {
                map.apply(c.card_mm)
                    .map_or(f64::INFINITY, |q| (q + bend.at(c.card_mm).to_vec2()).distance(c.px))
            })
            .collect();
        let Some((worst, miss)) = misses.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1))
        else {
            return;
        };
        misses.sort_by(f64::total_cmp);
        let typical = misses.get(misses.len() / 2).copied().unwrap_or(0.0);
        if miss <= (5.0 * typical).max(0.2) {
            return;
        }
        found.remove(worst);
    }
}
