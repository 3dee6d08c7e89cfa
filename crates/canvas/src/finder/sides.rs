//! A plain tag measured by the sides of its black and white cells.
//!
//! A dark square's outer corner is seen too far inside once blur and the camera's tone curve have done their work, so corners are not looked for.
//! Every straight border between a black and a white cell, the outer sides among them, is cut by short profiles; the light is made linear again
//! (IEC 61966-2-1) and the border put where it is half way between the black and the white beside it. What is left of the tone curve lets black
//! grow or shrink by one small amount all over the tag: it is an unknown of the fit, which black-to-white and white-to-black borders facing each other
//! determine.

use kurbo::{Point, Vec2};
use nalgebra::{SMatrix, SVector};

use super::tags::Tag;
use crate::card::Crossing;
use crate::homography::Homography;
use crate::picture::{LumaPlane, Picture};
use crate::tag::tag_cells;

/// Cells along a side of the black square: six of the code and one of black border on each side.
const CELLS: usize = 8;
/// Profiles on one cell's border.
const PROFILES: usize = 28;
/// Error that stays however many profiles agree (pixels read along the same rows, paper, print, what the growth does not explain), pixels.
///
/// The sixteen places come from one fit of twenty numbers and err together: over 63 tags of rendered photographs (195 to 450 px) a whole tag was shifted
/// by 0.011 px, its corners spread by 0.015 and turned by 0.017 (root mean squares), while single places scattered by 0.02 about that. Whoever takes
/// the places as independent divides the first three by 4, 3 and 3: between 0.03 and 0.05 makes those come true. With 0.03 the errors of distances in the
/// 14 photographs are 0.96 times what is stated (root mean square), with 0.04 0.88 times.
const FLOOR_SD_PX: f64 = 0.03;
/// How much the light may change along one side's outer part, as a share of the contrast.
const SLOPE: f64 = 0.1;
/// Unknowns: a cubic in u, v for x and for y, and the growth of black.
const N: usize = 2 * B + 1;
/// Terms of a cubic in u, v.
const B: usize = 10;
/// How far the cubic terms may bend the tag, pixels: what a phone lens does to a card that fills a third of the picture.
const CUBIC_SD_PX: f64 = 0.1;

/// One border cut by one profile.
struct Cut {
    /// Place on the tag, −1 … 1.
    uv: Point,
    /// Unit normal in the picture, from black to white.
    normal: Vec2,
    /// Where the border was seen minus where it was expected, along the normal, pixels.
    miss: f64,
}

/// Where a place of the tag lies in the picture: a plane's map and a cubic for the lens and for what was learned.
#[derive(Clone)]
struct Map {
    plane: Homography,
    bend: SVector<f64, N>,
}

impl Map {
    fn at(&self, uv: Point) -> Option<Point> {
        let p = self.plane.apply(uv)?;
        let b = basis(uv);
        let dot = |from: usize| (0..B).map(|k| b[k] * self.bend[from + k]).sum::<f64>();
        Some(Point::new(p.x + dot(0), p.y + dot(B)))
    }
}

fn basis(uv: Point) -> [f64; B] {
    let (u, v) = (uv.x, uv.y);
    [1.0, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v]
}

/// Where along u and v the places lie that are handed on.
const PLACES: [f64; 4] = [-1.0, -1.0 / 3.0, 1.0 / 3.0, 1.0];

/// Sixteen places of the tag, corners among them. Empty when too little of it can be seen.
pub(crate) fn measure(picture: &Picture, tag: &Tag, black_edge_mm: f64) -> Vec<Crossing> {
    if !(black_edge_mm.is_finite() && black_edge_mm > 0.0) {
        return Vec::new();
    }
    fit(picture.luma(), tag).map_or_else(Vec::new, |(map, cov, noise)| {
        let mut out = Vec::with_capacity(16);
        for v in PLACES {
            for u in PLACES {
                let uv = Point::new(u, v);
                let Some(px) = map.at(uv) else { return Vec::new() };
                let b = basis(uv);
                let var = |from: usize| {
                    let mut sum = 0.0;
                    for i in 0..B {
                        for k in 0..B {
                            sum += b[i] * b[k] * cov[(from + i, from + k)];
                        }
                    }
                    sum
                };
                let sd = noise * (0.5 * (var(0) + var(B))).max(0.0).sqrt();
                let half = black_edge_mm / 2.0;
                // The places share what the cuts know.
                let sd_px = (1.2 * sd).hypot(FLOOR_SD_PX);
                out.push(Crossing { card_mm: Point::new(u * half, v * half), px, sd_px });
            }
        }
        out
    })
}

type Fit = (Map, SMatrix<f64, N, N>, f64);

fn fit(luma: &LumaPlane, tag: &Tag) -> Option<Fit> {
    let light = linear_light();
    let square = [(-1.0, 1.0), (1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)].map(Point::from);
    let pairs: Vec<_> = square.into_iter().zip(tag.corners).collect();
    let mut map = Map { plane: Homography::fit(&pairs)?, bend: SVector::zeros() };
    let cells = match tag_cells(tag.number) {
        Some(known) => ringed(known),
        None => cells(luma, &light, &map)?,
    };
    let mut last = None;
    for _ in 0..3 {
        let cuts = cuts(luma, &light, &map, &cells);
        let expected = borders(&cells).len() * PROFILES;
        if cuts.len() < 48 || cuts.len() * 5 < expected * 2 {
            return None;
        }
        let (step, cov, noise) = adjust(&cuts)?;
        for k in 0..2 * B {
            map.bend[k] += step[k];
        }
        let moved = (0..2 * B).map(|k| step[k].abs()).fold(0.0, f64::max);
        last = Some((map.clone(), cov, noise));
        if moved < 0.005 {
            break;
        }
    }
    last
}

/// Linear light of each byte, 0 to 1 (IEC 61966-2-1).
pub(crate) fn linear_light() -> [f64; 256] {
    let mut table = [0.0; 256];
    for (i, t) in table.iter_mut().enumerate() {
        let v = i as f64 / 255.0;
        *t = if v <= 0.04045 { v / 12.92 } else { ((v + 0.055) / 1.055).powf(2.4) };
    }
    table
}

/// Linear light at a place between pixels; `None` at the rim.
fn light_at(luma: &LumaPlane, light: &[f64; 256], p: Point) -> Option<f64> {
    let (w, h) = (luma.width() as usize, luma.height() as usize);
    if !(p.x >= 0.0 && p.y >= 0.0 && p.x < (w - 1) as f64 && p.y < (h - 1) as f64) {
        return None;
    }
    let (x, y) = (p.x as usize, p.y as usize);
    let (fx, fy) = (p.x - x as f64, p.y - y as f64);
    let (top, bottom) = (luma.row(y), luma.row(y + 1));
    let at = |row: &[u8], x: usize| row.get(x).map(|b| light[usize::from(*b)]);
    Some(
        (at(top, x)? * (1.0 - fx) + at(top, x + 1)? * fx) * (1.0 - fy)
            + (at(bottom, x)? * (1.0 - fx) + at(bottom, x + 1)? * fx) * fy,
    )
}

/// The cells that the number says, one ring of white round them: a shadow across the tag changes what is seen, not what is printed.
fn ringed(known: [[bool; CELLS]; CELLS]) -> [[bool; CELLS + 2]; CELLS + 2] {
    let mut black = [[false; CELLS + 2]; CELLS + 2];
    for (out, row) in black.iter_mut().skip(1).zip(known) {
        for (o, cell) in out.iter_mut().skip(1).zip(row) {
            *o = cell;
        }
    }
    black
}

/// Which cells are seen as black where the number is none of ours, one ring of white round them included; row 0 is the top.
fn cells(luma: &LumaPlane, light: &[f64; 256], map: &Map) -> Option<[[bool; CELLS + 2]; CELLS + 2]> {
    let mut values = [[0.0; CELLS]; CELLS];
    for (j, row) in values.iter_mut().enumerate() {
        for (i, value) in row.iter_mut().enumerate() {
            let mut sum = 0.0;
            for (a, b) in [(0.35, 0.35), (0.65, 0.35), (0.5, 0.5), (0.35, 0.65), (0.65, 0.65)] {
                sum += light_at(luma, light, map.at(on_grid(i as f64 + a, j as f64 + b))?)?.sqrt();
            }
            *value = sum / 5.0;
        }
    }
    // Light changes over a tag, a cell's black border does not: each code cell is compared with black and white near it.
    let all = values.iter().flatten().copied();
    let (low, high) = all.fold((f64::INFINITY, 0.0f64), |(l, h), v| (l.min(v), h.max(v)));
    let level = 0.5 * (low + high);
    let mut black = [[false; CELLS + 2]; CELLS + 2];
    for (j, row) in values.iter().enumerate() {
        for (i, v) in row.iter().enumerate() {
            let border = i == 0 || j == 0 || i == CELLS - 1 || j == CELLS - 1;
            black[j + 1][i + 1] = border || *v < level;
        }
    }
    Some(black)
}

/// A place in cells from the top-left corner, as u, v.
fn on_grid(i: f64, j: f64) -> Point {
    let n = CELLS as f64;
    Point::new(2.0 * i / n - 1.0, 1.0 - 2.0 * j / n)
}

/// A border between two cells: its ends in cells, and the side on which white lies, in cells.
type Border = ((f64, f64), (f64, f64), (f64, f64));

fn borders(black: &[[bool; CELLS + 2]; CELLS + 2]) -> Vec<Border> {
    let mut out = Vec::new();
    for j in 0..CELLS + 2 {
        for i in 0..CELLS + 2 {
            let (x, y) = (i as f64, j as f64);
            let here = black[j][i];
            if i + 1 < CELLS + 2 && black[j][i + 1] != here {
                out.push(((x, y - 1.0), (x, y), (if here { 1.0 } else { -1.0 }, 0.0)));
            }
            if j + 1 < CELLS + 2 && black[j + 1][i] != here {
                out.push(((x - 1.0, y), (x, y), (0.0, if here { 1.0 } else { -1.0 })));
            }
        }
    }
    out
}

fn cuts(luma: &LumaPlane, light: &[f64; 256], map: &Map, black: &[[bool; CELLS + 2]; CELLS + 2]) -> Vec<Cut> {
    let mut out = Vec::new();
    for (a, b, white) in borders(black) {
        for k in 0..PROFILES {
            let t = 0.15 + 0.7 * (k as f64 + 0.5) / PROFILES as f64;
            let (i, j) = (a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t);
            if let Some(cut) = cut(luma, light, map, (i, j), (b.0 - a.0, b.1 - a.1), white) {
                out.push(cut);
            }
        }
    }
    out
}

fn cut(
    luma: &LumaPlane,
    light: &[f64; 256],
    map: &Map,
    (i, j): (f64, f64),
    along: (f64, f64),
    white: (f64, f64),
) -> Option<Cut> {
    let uv = on_grid(i, j);
    let at = map.at(uv)?;
    let tangent = map.at(on_grid(i + 0.1 * along.0, j + 0.1 * along.1))?
        - map.at(on_grid(i - 0.1 * along.0, j - 0.1 * along.1))?;
    let to_white = map.at(on_grid(i + 0.4 * white.0, j + 0.4 * white.1))? - at;
    let mut normal = Vec2::new(-tangent.y, tangent.x) / tangent.hypot().max(1e-9);
    if normal.dot(to_white) < 0.0 {
        normal = -normal;
    }
    let reach = normal.dot(to_white);
    if reach.is_nan() || reach <= 2.2 {
        return None;
    }
    let value = |t: f64| light_at(luma, light, at + normal * t);
    let plateau = |sign: f64| -> Option<(f64, f64, f64)> {
        let mut v = [0.0; 4];
        for (k, v) in v.iter_mut().enumerate() {
            *v = value(sign * reach * (0.7 + 0.1 * k as f64))?;
        }
        let mean = v.iter().sum::<f64>() / 4.0;
        let slope = 0.5 * (v[0] + v[1] - v[2] - v[3]).abs();
        Some((mean, v.iter().map(|x| (x - mean).abs()).fold(0.0, f64::max), slope))
    };
    let ((dark, dark_off, dark_slope), (bright, bright_off, bright_slope)) = (plateau(-1.0)?, plateau(1.0)?);
    let contrast = bright - dark;
    // The soft edge of a shadow: half way between black and white lies elsewhere there.
    if dark_slope.max(bright_slope) > SLOPE * contrast {
        return None;
    }
    if contrast < 0.02 || bright < 1.5 * dark || dark_off.max(bright_off) > 0.3 * contrast {
        return None;
    }
    let level = 0.5 * (dark + bright);
    // Walk out from the expected place to the nearest upward crossing of the half level.
    const STEP: f64 = 0.5;
    let steps = (reach * 0.8 / STEP) as i32;
    let mut best: Option<f64> = None;
    let mut before = value(-f64::from(steps) * STEP)?;
    for n in -steps + 1..=steps {
        let now = value(f64::from(n) * STEP)?;
        if before < level && now >= level {
            let t = (f64::from(n) - 1.0 + (level - before) / (now - before)) * STEP;
            if best.is_none_or(|b| t.abs() < b.abs()) {
                best = Some(t);
            }
        }
        before = now;
    }
    Some(Cut { uv, normal, miss: best? })
}

/// Correction of the map and the growth of black, with the covariance at unit noise and the noise of one cut.
fn adjust(cuts: &[Cut]) -> Option<(SVector<f64, N>, SMatrix<f64, N, N>, f64)> {
    let rows: Vec<SVector<f64, N>> = cuts
        .iter()
        .map(|c| {
            let b = basis(c.uv);
            let mut r = SVector::<f64, N>::zeros();
            for k in 0..B {
                r[k] = b[k] * c.normal.x;
                r[B + k] = b[k] * c.normal.y;
            }
            r[2 * B] = 1.0;
            r
        })
        .collect();
    let mut weights = vec![1.0; cuts.len()];
    let mut answer = None;
    let mut noise: f64 = 0.1;
    for _ in 0..5 {
        let mut normal = SMatrix::<f64, N, N>::zeros();
        let mut right = SVector::<f64, N>::zeros();
        for ((r, c), w) in rows.iter().zip(cuts).zip(&weights) {
            normal += r * r.transpose() * *w;
            right += r * (c.miss * w);
        }
        // A tag without inner borders cannot tell the growth: held near none.
        normal[(2 * B, 2 * B)] += 1e-2;
        for k in 6..B {
            for at in [k, B + k] {
                normal[(at, at)] += (noise / CUBIC_SD_PX).powi(2);
            }
        }
        let cov = normal.try_inverse()?;
        let x = cov * right;
        let mut misses: Vec<f64> = rows.iter().zip(cuts).map(|(r, c)| (c.miss - r.dot(&x)).abs()).collect();
        let each = misses.clone();
        misses.sort_by(f64::total_cmp);
        noise = (misses.get(misses.len() / 2)? * 1.4826).max(0.01);
        for (w, m) in weights.iter_mut().zip(&each) {
            *w = if *m > 6.0 * noise { 0.0 } else { (2.0 * noise / m.max(1e-12)).min(1.0) };
        }
        answer = Some((x, cov, noise));
    }
    answer.filter(|a| a.0.iter().all(|v| v.is_finite()))
}
