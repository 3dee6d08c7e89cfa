//! What makes one doubt a whole photo, however well its cards fit.

/// Something about a photo that a person should know before trusting what was measured in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PhotoDoubt {
    /// The lens bends more than three standard deviations of what phones' main cameras do. That is reckoned with, and worth saying.
    StrongLens {
        /// First coefficient of its bend, negative where straight lines bulge outwards.
        k1: f64,
        /// Second coefficient.
        k2: f64,
    },
    /// Width and height stand in no proportion that a camera takes: a side seems cut off.
    OddShape {
        /// Width of the upright picture, pixels.
        width: u32,
        /// Height of the upright picture, pixels.
        height: u32,
    },
    /// The cards want the lens's axis clearly elsewhere than in the picture's middle, or another focal length than recorded: a side was cut off, or the
    /// picture was straightened by a program.
    OffCentre {
        /// Where the axis seems to lie against the picture's middle, pixels to the right.
        right_px: f64,
        /// And down.
        down_px: f64,
    },
}

impl std::fmt::Display for PhotoDoubt {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::StrongLens { .. } => write!(
                f,
                "This photo's lens bends straight lines strongly, as a wide-angle lens does. That is reckoned with; still, the main camera from farther away is surer."
            ),
            Self::OddShape { width, height } => write!(
                f,
                "This photo has {width} × {height} pixels, a shape that no camera takes by itself: a side seems cut off. Use the original."
            ),
            Self::OffCentre { .. } => write!(
                f,
                "The cards look as if this photo had been cut, zoomed or straightened after it was taken. Use the original from the camera."
            ),
        }
    }
}

/// Longer side over shorter that cameras and phones take: square, 4:3, 3:2, 16:9, and whole screens of 18:9 to 21:9 (common practice, no source).
const SHAPES: [f64; 10] =
    [1.0, 4.0 / 3.0, 3.0 / 2.0, 16.0 / 9.0, 2.0, 18.5 / 9.0, 19.0 / 9.0, 19.5 / 9.0, 20.0 / 9.0, 21.0 / 9.0];
/// Sensors miss these by up to so much: 3280 × 2464, 5344 × 4016, 4928 × 3264.
const NEAR_SHAPE: f64 = 0.007;

/// Whether no camera takes a picture of this shape.
pub(crate) fn odd_shape(width: u32, height: u32) -> bool {
    let (long, short) = (f64::from(width.max(height)), f64::from(width.min(height).max(1)));
    SHAPES.iter().all(|s| (long / short / s - 1.0).abs() > NEAR_SHAPE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shapes_of_sensors_are_no_cuts() {
        for (w, h) in [
            (4032, 3024),
            (3024, 4032),
            (4000, 3000),
            (3280, 2464),
            (5344, 4016),
            (6000, 4000),
            (4928, 3264),
            (3840, 2160),
            (4000, 1800),
            (4624, 2080),
            (3024, 3024),
            (640, 480),
        ] {
            assert!(!odd_shape(w, h), "{w} × {h}");
        }
        for (w, h) in [(3629, 3024), (4032, 2722), (2822, 4032), (3225, 3024)] {
            assert!(odd_shape(w, h), "{w} × {h}");
        }
    }
}
