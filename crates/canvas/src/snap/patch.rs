//! A small window of a picture in linear light, three colours.

use kurbo::{Point, Vec2};

use super::lines::smooth;
use crate::gradient;
use crate::picture::Picture;

/// Linear light of red, green and blue.
pub(super) type Colour = [f64; 3];

/// How far apart two colours are, as a share of white in one channel.
pub(super) fn apart(a: Colour, b: Colour) -> f64 {
    (((a[0] - b[0]).powi(2) + (a[1] - b[1]).powi(2) + (a[2] - b[2]).powi(2)) / 3.0).sqrt()
}

/// A place on an edge: where, which way the light changes, how strongly.
pub(super) struct EdgePoint {
    pub(super) at: Point,
    pub(super) rise: Vec2,
    pub(super) strength: f64,
}

/// A square window.
pub(super) struct Patch {
    x0: f64,
    y0: f64,
    size: usize,
    data: [Vec<f64>; 3],
}

impl Patch {
    /// The window of ±`reach` round a place; `None` where it would leave the picture.
    pub(super) fn new(picture: &Picture, centre: Point, reach: f64) -> Option<Self> {
        let (w, h) = (f64::from(picture.width()), f64::from(picture.height()));
        let size = 2 * reach.ceil() as usize + 1;
        let (x0, y0) = (centre.x.round() - reach.ceil(), centre.y.round() - reach.ceil());
        if !(x0 >= 0.0 && y0 >= 0.0 && x0 + (size as f64) < w && y0 + (size as f64) < h) {
            return None;
        }
        let light = crate::finder::linear_light();
        let mut data = [(); 3].map(|()| Vec::with_capacity(size * size));
        for y in 0..size {
            let from = 3 * ((y0 as usize + y) * picture.width() as usize + x0 as usize);
            for px in picture.rgb().get(from..from + 3 * size)?.chunks_exact(3) {
                for (out, v) in data.iter_mut().zip(px) {
                    out.push(*light.get(usize::from(*v))?);
                }
            }
        }
        Some(Self { x0, y0, size, data })
    }

    /// Colour between pixels, bilinear; `None` outside the window.
    pub(super) fn at(&self, p: Point) -> Option<Colour> {
        let (x, y) = (p.x - self.x0, p.y - self.y0);
        let last = (self.size - 1) as f64;
        if !(x >= 0.0 && y >= 0.0 && x < last && y < last) {
            return None;
        }
        let at = y as usize * self.size + x as usize;
        let (fx, fy) = (x.fract(), y.fract());
        let mut out = [0.0; 3];
        for (o, d) in out.iter_mut().zip(&self.data) {
            let v = |i: usize| d.get(i).copied().unwrap_or(0.0);
            *o = (v(at) * (1.0 - fx) + v(at + 1) * fx) * (1.0 - fy)
                + (v(at + self.size) * (1.0 - fx) + v(at + self.size + 1) * fx) * fy;
        }
        Some(out)
    }

    /// Ridges of the colour gradient after a smoothing of one pixel, to a part of a pixel. Its direction and strength are those of the largest change
    /// over all three colours (S. Di Zenzo, "A note on the gradient of a multi-image", Computer Vision, Graphics, and Image Processing 33 (1986)); its
    /// sign is that of the brightness.
    pub(super) fn edge_points(&self) -> Vec<EdgePoint> {
        let n = self.size;
        let smoothed = self.data.clone().map(|mut d| {
            smooth(&mut d, n);
            d
        });
        let mut field = vec![Vec2::ZERO; n * n];
        for y in 1..n - 1 {
            for x in 1..n - 1 {
                let each = smoothed.each_ref().map(|d| {
                    let v = |x: usize, y: usize| d.get(y * n + x).copied().unwrap_or(0.0);
                    Vec2::new(v(x + 1, y) - v(x - 1, y), v(x, y + 1) - v(x, y - 1)) * 0.5
                });
                if let Some(f) = field.get_mut(y * n + x) {
                    *f = gradient::of_colours(each);
                }
            }
        }
        let at = |x: usize, y: usize| field.get(y * n + x).copied().unwrap_or(Vec2::ZERO);
        let mut out = Vec::new();
        for y in 2..n - 2 {
            for x in 2..n - 2 {
                let rise = at(x, y);
                let strength = rise.hypot();
                if strength < 0.003 {
                    continue;
                }
                // Compare with the neighbours across the edge, along the nearer axis.
                let flat = rise.x.abs() >= rise.y.abs();
                let (before, after) =
                    if flat { (at(x - 1, y), at(x + 1, y)) } else { (at(x, y - 1), at(x, y + 1)) };
                let (b, a) = (before.dot(rise).abs() / strength, after.dot(rise).abs() / strength);
                if strength < b || strength <= a {
                    continue;
                }
                let bow = b - 2.0 * strength + a;
                let shift = if bow < 0.0 { (0.5 * (b - a) / bow).clamp(-0.5, 0.5) } else { 0.0 };
                let step = if flat { Vec2::new(shift, 0.0) } else { Vec2::new(0.0, shift) };
                out.push(EdgePoint {
                    at: Point::new(self.x0 + x as f64, self.y0 + y as f64) + step,
                    rise: rise / strength,
                    strength,
                });
            }
        }
        out
    }
}
