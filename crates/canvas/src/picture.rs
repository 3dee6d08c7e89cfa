//! A decoded picture, upright, and the limits it must keep.

use crate::error::CanvasError;
use crate::facts::PhotoFacts;

/// How large a picture may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Most pixels accepted. A larger claim is refused from the header alone.
    pub max_pixels: u64,
    /// Longest side accepted, pixels.
    pub max_side: u32,
}

impl Default for Limits {
    /// 128 megapixels: a 108 megapixel phone photo opens; longest side 40,000 pixels.
    fn default() -> Self {
        Self { max_pixels: 128_000_000, max_side: 40_000 }
    }
}

impl Limits {
    /// Checks a claimed size before anything is allocated.
    ///
    /// # Errors
    /// [`CanvasError::TooLarge`] or [`CanvasError::TooSmall`].
    pub fn check(&self, width: u64, height: u64) -> Result<(), CanvasError> {
        if width < 16 || height < 16 {
            return Err(CanvasError::TooSmall { width, height });
        }
        let side = u64::from(self.max_side);
        if width > side || height > side || width.saturating_mul(height) > self.max_pixels {
            return Err(CanvasError::TooLarge {
                width,
                height,
                limit_megapixels: self.max_pixels / 1_000_000,
            });
        }
        Ok(())
    }
}

/// Brightness of an upright picture, one byte a pixel, as encoded in the file (not linear light), row by row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LumaPlane {
    width: u32,
    height: u32,
    data: Vec<u8>,
}

impl LumaPlane {
    /// A plane from its bytes; `None` unless there are exactly `width × height` of them and both are above zero.
    pub fn new(width: u32, height: u32, data: Vec<u8>) -> Option<Self> {
        let right = width > 0 && height > 0 && data.len() as u64 == u64::from(width) * u64::from(height);
        right.then_some(Self { width, height, data })
    }

    /// Width, pixels.
    pub fn width(&self) -> u32 {
        self.width
    }

    /// Height, pixels.
    pub fn height(&self) -> u32 {
        self.height
    }

    /// All bytes, row by row from the top.
    pub fn data(&self) -> &[u8] {
        &self.data
    }

    /// One row; empty outside the picture.
    pub fn row(&self, y: usize) -> &[u8] {
        let w = self.width as usize;
        self.data.get(y * w..(y + 1) * w).unwrap_or(&[])
    }

    /// Value at a place between pixels (centres at whole numbers), bilinear; `None` outside the outermost centres.
    pub fn at(&self, x: f64, y: f64) -> Option<f64> {
        if !(x >= 0.0 && y >= 0.0 && x <= f64::from(self.width - 1) && y <= f64::from(self.height - 1)) {
            return None;
        }
        let w = self.width as usize;
        let x0 = (x as usize).min(w.saturating_sub(2));
        let y0 = (y as usize).min((self.height as usize).saturating_sub(2));
        let (fx, fy) = (x - x0 as f64, y - y0 as f64);
        let at = |xx: usize, yy: usize| {
            f64::from(
                self.data.get(yy.min(self.height as usize - 1) * w + xx.min(w - 1)).copied().unwrap_or(0),
            )
        };
        let top = at(x0, y0) * (1.0 - fx) + at(x0 + 1, y0) * fx;
        let bottom = at(x0, y0 + 1) * (1.0 - fx) + at(x0 + 1, y0 + 1) * fx;
        Some(top * (1.0 - fy) + bottom * fy)
    }
}

/// A photo as it is looked at and measured in: upright, 8 bits a channel.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    rgb: Vec<u8>,
    luma: LumaPlane,
    facts: PhotoFacts,
}

impl Picture {
    /// Reads a JPEG, PNG, WebP, TIFF or HEIC file (the last with the feature `heic`, which is on by default), known by its content and not by its name, and turns it upright.
    ///
    /// # Errors
    /// Refuses, in words: no bytes, no picture, a picture beyond the limits (before allocating), and a file that is
    /// cut short or damaged. Half a picture is never returned.
    pub fn decode(bytes: &[u8], limits: &Limits) -> Result<Self, CanvasError> {
        crate::decode::decode(bytes, limits)
    }

    /// A picture from upright RGB bytes, three a pixel.
    ///
    /// # Errors
    /// [`CanvasError::TooSmall`] when the sizes do not match the bytes or are too small.
    pub fn from_rgb(width: u32, height: u32, rgb: Vec<u8>, facts: PhotoFacts) -> Result<Self, CanvasError> {
        let data: Vec<u8> = rgb.chunks_exact(3).map(luma_of).collect();
        let right = width >= 16 && height >= 16 && rgb.len() == data.len() * 3;
        match LumaPlane::new(width, height, data) {
            Some(luma) if right => Ok(Self { rgb, luma, facts }),
            _ => Err(CanvasError::TooSmall { width: u64::from(width), height: u64::from(height) }),
        }
    }

    /// Width of the upright picture, pixels.
    pub fn width(&self) -> u32 {
        self.luma.width()
    }

    /// Height of the upright picture, pixels.
    pub fn height(&self) -> u32 {
        self.luma.height()
    }

    /// Red, green, blue, one byte each, row by row from the top.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// Brightness of each pixel.
    pub fn luma(&self) -> &LumaPlane {
        &self.luma
    }

    /// What the file says about itself.
    pub fn facts(&self) -> &PhotoFacts {
        &self.facts
    }
}

/// Brightness of one RGB pixel, by the weights of ITU-R BT.601 (the ones JPEG itself uses), rounded.
fn luma_of(rgb: &[u8]) -> u8 {
    match rgb {
        [r, g, b] => {
            ((u32::from(*r) * 19_595 + u32::from(*g) * 38_470 + u32::from(*b) * 7_471 + 32_768) >> 16) as u8
        }
        _ => 0,
    }
}
