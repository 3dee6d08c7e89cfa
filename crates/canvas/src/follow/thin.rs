//! From pixels of a way to points on the edge, and from those to ticks.

use kurbo::{Point, Vec2};

use crate::picture::Picture;

/// A point of an edge.
pub(super) struct OnEdge {
    pub(super) at: Point,
    /// An edge is to be seen here; otherwise the point is where the way went.
    pub(super) seen: bool,
    /// Change of light across it, share of white.
    pub(super) contrast: f64,
}

/// Points on each side of which the way's direction is taken.
const SPAN: usize = 6;
/// How far the edge may lie from the way, in steps of the way and in pixels.
const ASIDE: (f64, f64) = (1.0, 1.5);
/// How far across the light is compared, pixels.
const REACH: f64 = 3.0;
/// Least change of light that is an edge, and least against what the light varies by beside it.
const LEAST_CONTRAST: f64 = 0.008;

/// Lays a way onto the edge: across it the place where the light's change has its middle.
pub(super) fn onto_ridge(picture: &Picture, way: &[Point], step: usize) -> Vec<OnEdge> {
    let light = crate::finder::linear_light();
    let n = way.len();
    let mut out = Vec::with_capacity(n * step);
    for i in 0..n {
        let (Some(here), Some(a), Some(b)) =
            (way.get(i), way.get(i.saturating_sub(SPAN)), way.get((i + SPAN).min(n - 1)))
        else {
            continue;
        };
        let along = *b - *a;
        if along.hypot() < 1e-9 {
            continue;
        }
        let along = along / along.hypot();
        let normal = Vec2::new(-along.y, along.x);
        let next = way.get(i + 1).copied().unwrap_or(*here);
        // A coarse way is filled in.
        for k in 0..if i + 1 < n { step } else { 1 } {
            let at = here.lerp(next, k as f64 / step as f64);
            out.push(across(picture, &light, at, normal, along, step as f64 * ASIDE.0 + ASIDE.1));
        }
    }
    out
}

fn look(picture: &Picture, light: &[f64; 256], p: Point) -> Option<[f64; 3]> {
    let (w, h) = (picture.width() as usize, picture.height() as usize);
    if !(p.x >= 0.0 && p.y >= 0.0 && p.x < (w - 1) as f64 && p.y < (h - 1) as f64) {
        return None;
    }
    let (x, y) = (p.x as usize, p.y as usize);
    let (fx, fy) = (p.x.fract(), p.y.fract());
    let rgb = picture.rgb();
    let mut out = [0.0; 3];
    for (c, o) in out.iter_mut().enumerate() {
        let at = |x: usize, y: usize| {
            rgb.get(3 * (y * w + x) + c).and_then(|v| light.get(usize::from(*v))).copied().unwrap_or(0.0)
        };
        *o = (at(x, y) * (1.0 - fx) + at(x + 1, y) * fx) * (1.0 - fy)
            + (at(x, y + 1) * (1.0 - fx) + at(x + 1, y + 1) * fx) * fy;
    }
    Some(out)
}

/// The edge on a short profile across the way.
fn across(picture: &Picture, light: &[f64; 256], at: Point, normal: Vec2, along: Vec2, aside: f64) -> OnEdge {
    let nothing = OnEdge { at, seen: false, contrast: 0.0 };
    const STEP: f64 = 0.5;
    let half = ((aside + REACH) / STEP).ceil() as i32;
    let mut profile: Vec<[f64; 3]> = Vec::with_capacity(2 * half as usize + 1);
    for k in -half..=half {
        let mut sum = [0.0; 3];
        // A mean over three pixels along the edge.
        for t in [-1.0, 0.0, 1.0] {
            let Some(v) = look(picture, light, at + normal * (STEP * f64::from(k)) + along * t) else {
                return nothing;
            };
            for (s, v) in sum.iter_mut().zip(v) {
                *s += v / 3.0;
            }
        }
        profile.push(sum);
    }
    let change = |k: usize| -> [f64; 3] {
        let (Some(a), Some(b)) = (profile.get(k.saturating_sub(2)), profile.get(k + 2)) else {
            return [0.0; 3];
        };
        [b[0] - a[0], b[1] - a[1], b[2] - a[2]]
    };
    let size = |c: [f64; 3]| (c.iter().map(|v| v * v).sum::<f64>() / 3.0).sqrt();
    let limit = (aside / STEP).round() as usize;
    let middle = half as usize;
    let best = (middle - limit..=middle + limit).max_by(|a, b| size(change(*a)).total_cmp(&size(change(*b))));
    let Some(best) = best else { return nothing };
    // To a part of a step: the top of a parabola.
    let (l, m, r) = (size(change(best.saturating_sub(1))), size(change(best)), size(change(best + 1)));
    let bow = l - 2.0 * m + r;
    let part = if bow < 0.0 { (0.5 * (l - r) / bow).clamp(-0.5, 0.5) } else { 0.0 };
    let offset = STEP * (best as f64 + part - middle as f64);
    let ends = 2 * REACH as usize;
    let (Some(a), Some(b)) =
        (profile.get(best.saturating_sub(ends)), profile.get((best + ends).min(profile.len() - 1)))
    else {
        return nothing;
    };
    // A drawn line is as light on both sides: its flank counts.
    let contrast = size([b[0] - a[0], b[1] - a[1], b[2] - a[2]]).max(m);
    OnEdge { at: at + normal * offset, seen: m > LEAST_CONTRAST, contrast }
}

/// Points far off the middle of their neighbours are brought back, and all are averaged a little: neighbouring points share no more than a pixel's noise.
pub(super) fn smoothed(points: &[OnEdge]) -> Vec<Point> {
    const NEAR: usize = 3;
    let n = points.len();
    let mut out: Vec<Point> = Vec::with_capacity(n);
    for i in 0..n {
        let k = NEAR.min(i).min(n - 1 - i);
        let near = points.get(i - k..=i + k).unwrap_or(&[]);
        let weight = |p: &OnEdge| if p.seen { 1.0 } else { 0.2 };
        let total: f64 = near.iter().map(weight).sum();
        let sum = near.iter().fold(Vec2::ZERO, |s, p| s + p.at.to_vec2() * weight(p));
        if total > 0.0 {
            let p = (sum / total).to_point();
            if out.last().is_none_or(|o| o.distance(p) > 1e-6) {
                out.push(p);
            }
        }
    }
    out
}

/// Fewest points of a path that leave none of it farther than a tolerance from the lines between them.
pub(super) fn thinned(path: &[Point], tolerance: f64) -> Vec<Point> {
    let n = path.len();
    let mut keep = vec![false; n];
    let mut open: Vec<(usize, usize)> = Vec::new();
    if let (Some(first), true) = (keep.first_mut(), n > 0) {
        *first = true;
        open.push((0, n - 1));
    }
    if let Some(last) = keep.last_mut() {
        *last = true;
    }
    while let Some((a, b)) = open.pop() {
        let (Some(p), Some(q)) = (path.get(a), path.get(b)) else { continue };
        let d = *q - *p;
        let off = |r: &Point| {
            let t = if d.hypot2() > 0.0 { ((*r - *p).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
            r.distance(*p + d * t)
        };
        let worst =
            (a + 1..b).filter_map(|i| Some((i, off(path.get(i)?)))).max_by(|a, b| a.1.total_cmp(&b.1));
        if let Some((i, far)) = worst
            && far > tolerance
        {
            if let Some(k) = keep.get_mut(i) {
                *k = true;
            }
            open.push((a, i));
            open.push((i, b));
        }
    }
    path.iter().zip(keep).filter(|p| p.1).map(|p| *p.0).collect()
}
