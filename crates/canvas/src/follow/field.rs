//! How strong an edge is, and which way it runs, over a box of the picture.

use kurbo::{Point, Vec2};

use crate::gradient;
use crate::picture::Picture;

/// The gradient of a box of the picture, perhaps at a coarser step.
pub(super) struct Field {
    x0: f64,
    y0: f64,
    step: f64,
    pub(super) wide: usize,
    pub(super) high: usize,
    /// Change of linear light a pixel of the field, along the direction of its largest change.
    rise: Vec<Vec2>,
    /// A strong edge's change: the 98th hundredth of all, or what one line across the box has, where that is fewer places.
    strong: f64,
}

impl Field {
    /// The field of the box from `low` to `high` (whole pixels); `None` when that is too small or all of one light.
    pub(super) fn new(picture: &Picture, low: (f64, f64), high: (f64, f64), step: usize) -> Option<Self> {
        let (x0, y0) = (low.0 as usize, low.1 as usize);
        let wide = (high.0 as usize + 1 - x0) / step;
        let tall = (high.1 as usize + 1 - y0) / step;
        if wide < 5 || tall < 5 {
            return None;
        }
        let light = crate::finder::linear_light();
        let mut planes = [(); 3].map(|()| Vec::with_capacity(wide * tall));
        let row_len = picture.width() as usize;
        let count = (step * step) as f64;
        for y in 0..tall {
            for x in 0..wide {
                let mut sum = [0.0; 3];
                for dy in 0..step {
                    let from = 3 * ((y0 + y * step + dy) * row_len + x0 + x * step);
                    for px in picture.rgb().get(from..from + 3 * step)?.chunks_exact(3) {
                        for (s, v) in sum.iter_mut().zip(px) {
                            *s += light.get(usize::from(*v)).copied().unwrap_or(0.0);
                        }
                    }
                }
                for (plane, s) in planes.iter_mut().zip(sum) {
                    plane.push((s / count) as f32);
                }
            }
        }
        for plane in &mut planes {
            smooth(plane, wide, tall);
        }
        let rise = field_of(&planes, wide, tall);
        let mut sizes: Vec<f64> = rise.iter().map(|r| r.hypot()).collect();
        // On a plain ground the edge alone changes: it may be far less than a fiftieth of a large box.
        let at = sizes.len() - (sizes.len() / 50).min(wide + tall).max(1);
        let strong = *sizes.select_nth_unstable_by(at, f64::total_cmp).1;
        // Less than a grey step in the darkest shadow anywhere: there is nothing to follow.
        (strong > 5e-4).then_some(Self {
            x0: x0 as f64,
            y0: y0 as f64,
            step: step as f64,
            wide,
            high: tall,
            rise,
            strong,
        })
    }

    pub(super) fn rise(&self, node: usize) -> Vec2 {
        self.rise.get(node).copied().unwrap_or(Vec2::ZERO)
    }

    /// How weak the edge is here, 0 (as strong as any) to 1 (none), with the ridges told from their flanks.
    pub(super) fn weakness(&self, node: usize) -> f64 {
        let rise = self.rise(node);
        let size = rise.hypot();
        if size <= 0.0 {
            return 1.0;
        }
        let (x, y) = (node % self.wide, node / self.wide);
        let flat = rise.x.abs() >= rise.y.abs();
        let near = |forward: bool| {
            let shift = |v: usize, on: bool| match (on, forward) {
                (false, _) => v,
                (true, true) => v + 1,
                (true, false) => v.wrapping_sub(1),
            };
            let (x, y) = (shift(x, flat), shift(y, !flat));
            if x < self.wide && y < self.high { self.rise(y * self.wide + x).hypot() } else { 0.0 }
        };
        let ridge = size >= near(true) && size >= near(false);
        let strength = (size / self.strong).min(1.0);
        // Weights in the spirit of the paper: where the edge is counts as much as how strong it is.
        0.55 * (1.0 - strength) + if ridge && strength > 0.05 { 0.0 } else { 0.45 }
    }

    /// The middle of a node in the picture.
    pub(super) fn place(&self, node: usize) -> Point {
        let half = 0.5 * (self.step - 1.0);
        Point::new(
            self.x0 + (node % self.wide) as f64 * self.step + half,
            self.y0 + (node / self.wide) as f64 * self.step + half,
        )
    }

    /// The node of the strongest edge within a reach of a place; nearness breaks what is almost as strong.
    pub(super) fn strongest(&self, at: Point, reach: f64) -> usize {
        let half = 0.5 * (self.step - 1.0);
        let to = |v: f64, v0: f64, most: usize| {
            (((v - v0 - half) / self.step).round().max(0.0) as usize).min(most - 1)
        };
        let (cx, cy) = (to(at.x, self.x0, self.wide), to(at.y, self.y0, self.high));
        let r = (reach / self.step).round() as usize;
        let mut best = (cy * self.wide + cx, f64::NEG_INFINITY);
        for y in cy.saturating_sub(r)..=(cy + r).min(self.high - 1) {
            for x in cx.saturating_sub(r)..=(cx + r).min(self.wide - 1) {
                let node = y * self.wide + x;
                let far = self.place(node).distance(at);
                if far > reach.max(0.5 * self.step) {
                    continue;
                }
                let score = 1.0 - self.weakness(node) - 0.3 * far / reach.max(1.0);
                if score > best.1 {
                    best = (node, score);
                }
            }
        }
        best.0
    }
}

/// Gaussian of one pixel, both ways.
fn smooth(plane: &mut [f32], wide: usize, high: usize) {
    const KERNEL: [f32; 5] = [0.061_36, 0.244_77, 0.387_74, 0.244_77, 0.061_36];
    for across in [true, false] {
        let source = plane.to_vec();
        for (i, out) in plane.iter_mut().enumerate() {
            let (x, y) = (i % wide, i / wide);
            let mut sum = 0.0;
            for (k, w) in KERNEL.iter().enumerate() {
                let (sx, sy) = if across {
                    ((x + k).saturating_sub(2).min(wide - 1), y)
                } else {
                    (x, (y + k).saturating_sub(2).min(high - 1))
                };
                sum += w * source.get(sy * wide + sx).copied().unwrap_or(0.0);
            }
            *out = sum;
        }
    }
}

/// The gradient of the colours at every place.
fn field_of(planes: &[Vec<f32>; 3], wide: usize, high: usize) -> Vec<Vec2> {
    let mut out = vec![Vec2::ZERO; wide * high];
    for y in 1..high - 1 {
        for x in 1..wide - 1 {
            let each = planes.each_ref().map(|p| {
                let v = |x: usize, y: usize| f64::from(p.get(y * wide + x).copied().unwrap_or(0.0));
                Vec2::new(v(x + 1, y) - v(x - 1, y), v(x, y + 1) - v(x, y - 1)) * 0.5
            });
            if let Some(o) = out.get_mut(y * wide + x) {
                *o = gradient::of_colours(each);
            }
        }
    }
    out
}
