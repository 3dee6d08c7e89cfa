//! Photos on the board: textures of at most 1024 pixels, made when they come into sight, kept until another photo.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;
use std::fmt;
use std::sync::Arc;

use coldwright_canvas::Picture;
use egui::{Color32, ColorImage, Context, Painter, Pos2, Rect, TextureHandle, TextureOptions, pos2};
use kurbo::Point;

/// Side of a tile, texture pixels. Small enough for any graphics card and for making one between two frames.
const SIDE: u32 = 1024;
/// Tiles made in one frame at most: a frame must not be held up.
const A_FRAME: usize = 6;
/// Tiles kept at most, 4 MB each.
const KEPT: usize = 64;

/// Level (each halves the picture), column, row.
type Key = (u32, u32, u32);

/// The tiles of the photo shown last.
#[derive(Default)]
pub(crate) struct Tiles {
    of: Option<Arc<Picture>>,
    kept: BTreeMap<Key, TextureHandle>,
}

impl fmt::Debug for Tiles {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Tiles").field("kept", &self.kept.len()).finish()
    }
}

impl Tiles {
    /// Draws the part of the picture that is seen. `put` says where a pixel stands on the screen, `scale` how many
    /// screen points one has.
    pub(crate) fn draw(
        &mut self,
        painter: &Painter,
        picture: &Arc<Picture>,
        scale: f64,
        seen: kurbo::Rect,
        put: impl Fn(Point) -> Pos2,
    ) {
        if !self.of.as_ref().is_some_and(|p| Arc::ptr_eq(p, picture)) {
            self.of = Some(picture.clone());
            self.kept.clear();
        }
        let ctx = painter.ctx();
        let dense = scale * f64::from(ctx.pixels_per_point());
        let level = (1.0 / dense.max(1e-6)).log2().floor().clamp(0.0, 5.0) as u32;
        let span = SIDE << level;
        let (columns, rows) = (picture.width().div_ceil(span), picture.height().div_ceil(span));
        let first = |v: f64| (v.max(0.0) / f64::from(span)) as u32;
        let (x0, y0) = (first(seen.x0), first(seen.y0));
        let (x1, y1) =
            (first(seen.x1).min(columns.saturating_sub(1)), first(seen.y1).min(rows.saturating_sub(1)));
        if self.kept.len() > KEPT {
            self.kept.retain(|(l, x, y), _| *l == level && (x0..=x1).contains(x) && (y0..=y1).contains(y));
        }
        let mut made = 0;
        for y in y0..=y1 {
            for x in x0..=x1 {
                let key = (level, x, y);
                let tile = match self.kept.entry(key) {
                    Entry::Occupied(there) => there.into_mut(),
                    Entry::Vacant(_) if made == A_FRAME => {
                        ctx.request_repaint();
                        continue;
                    }
                    Entry::Vacant(place) => {
                        made += 1;
                        place.insert(load(ctx, picture, key))
                    }
                };
                let [w, h] = tile.size();
                let corner = Point::new(f64::from(x * span) - 0.5, f64::from(y * span) - 0.5);
                let size = kurbo::Vec2::new((w << level) as f64, (h << level) as f64);
                let place = Rect::from_two_pos(put(corner), put(corner + size));
                let whole = Rect::from_min_max(Pos2::ZERO, pos2(1.0, 1.0));
                painter.image(tile.id(), place, whole, Color32::WHITE);
            }
        }
    }
}

fn load(ctx: &Context, picture: &Picture, (level, x, y): Key) -> TextureHandle {
    let step = 1_usize << level;
    let (left, top) = ((x * SIDE) as usize * step, (y * SIDE) as usize * step);
    let (width, height) = (picture.width() as usize, picture.height() as usize);
    let side = SIDE as usize;
    let (w, h) = ((width - left).div_ceil(step).min(side), (height - top).div_ceil(step).min(side));
    let rgb = picture.rgb();
    let mut pixels = Vec::with_capacity(w * h);
    for row in 0..h {
        let ys = top + row * step..(top + (row + 1) * step).min(height);
        for column in 0..w {
            let xs = left + column * step..(left + (column + 1) * step).min(width);
            let mut sum = [0_u32; 3];
            for yy in ys.clone() {
                let line = &rgb[(yy * width + xs.start) * 3..(yy * width + xs.end) * 3];
                for pixel in line.chunks_exact(3) {
                    for (s, v) in sum.iter_mut().zip(pixel) {
                        *s += u32::from(*v);
                    }
                }
            }
            let count = (ys.len() * xs.len()).max(1) as u32;
            let [r, g, b] = sum.map(|s| (s / count) as u8);
            pixels.push(Color32::from_rgb(r, g, b));
        }
    }
    let name = format!("photo {level} {x} {y}");
    ctx.load_texture(name, ColorImage::new([w, h], pixels), TextureOptions::LINEAR)
}
