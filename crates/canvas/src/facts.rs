//! What a photo says about itself: orientation, focal length, sizes. Position, owner and serial numbers are never read.

/// Diagonal of the 36 × 24 mm frame that "35 mm equivalent" refers to, mm.
pub const FULL_FRAME_DIAGONAL_MM: f64 = 43.266_615_305_567_87;

/// Facts of a photo that matter for measuring.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PhotoFacts {
    /// Orientation tag, 1 to 8 (1 when there is none). The decoded picture is already upright.
    pub orientation: u8,
    /// Width and height as stored in the file, before it is turned upright, pixels.
    pub stored: (u32, u32),
    /// Focal length as 35 mm equivalent, mm, if the camera wrote it.
    pub focal_35mm: Option<f64>,
    /// True focal length of the lens, mm, if the camera wrote it.
    pub focal_mm: Option<f64>,
    /// What may spoil the measuring.
    pub warnings: Vec<PhotoWarning>,
}

impl PhotoFacts {
    /// Focal length in pixels from the 35 mm equivalent, through the picture's diagonal. `None` when unknown, or when
    /// the picture was cropped or zoomed so that the record no longer holds.
    ///
    /// # Examples
    /// ```
    /// use coldwright_canvas::PhotoFacts;
    /// let facts = PhotoFacts { stored: (4032, 3024), focal_35mm: Some(26.0), ..PhotoFacts::default() };
    /// assert!((facts.focal_px().unwrap() - 3028.7).abs() < 0.1);
    /// ```
    pub fn focal_px(&self) -> Option<f64> {
        let unreliable = self.warnings.iter().any(|w| matches!(w, PhotoWarning::Cropped { .. }));
        let diagonal = f64::from(self.stored.0).hypot(f64::from(self.stored.1));
        match self.focal_35mm {
            Some(f) if !unreliable && diagonal > 0.0 => Some(f / FULL_FRAME_DIAGONAL_MM * diagonal),
            _ => None,
        }
    }
}

/// Something in the photo's own record that a person should know before trusting it.
#[derive(Debug, Clone, PartialEq)]
pub enum PhotoWarning {
    /// The sizes in the record are not the picture's: it was cropped, resized or edited after it was taken.
    Cropped {
        /// Size the record tells, pixels as stored.
        recorded: (u32, u32),
        /// Size of the picture, pixels as stored.
        actual: (u32, u32),
    },
    /// The file was changed later than the picture was taken.
    Edited,
    /// Taken with digital zoom: the picture's edges are gone.
    DigitalZoom {
        /// Zoom ratio.
        ratio: f64,
    },
    /// A wide-angle lens bends the picture strongly.
    WideAngle {
        /// 35 mm equivalent, mm.
        focal_35mm: f64,
    },
    /// No focal length is recorded; it is found from the cards alone.
    NoFocalLength,
    /// The record could not be read and is ignored.
    UnreadableRecord,
}

impl std::fmt::Display for PhotoWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Cropped { recorded, actual } => write!(
                f,
                "The photo was cropped or resized after it was taken: it records {} × {} pixels and has {} × {}. Use the original.",
                recorded.0, recorded.1, actual.0, actual.1
            ),
            Self::Edited => write!(
                f,
                "The photo was edited after it was taken, which may have shifted or bent it. Use the original from the camera."
            ),
            Self::DigitalZoom { ratio } => write!(
                f,
                "The photo was taken with {ratio:.1} times digital zoom. Better step closer and take it without zoom."
            ),
            Self::WideAngle { focal_35mm } => write!(
                f,
                "The photo was taken with a wide-angle lens ({focal_35mm:.0} mm equivalent). Better use the main camera from farther away."
            ),
            Self::NoFocalLength => write!(
                f,
                "The photo does not tell its focal length; it is found from the cards, so lay four or more."
            ),
            Self::UnreadableRecord => write!(f, "The photo's record (EXIF) is damaged and is ignored."),
        }
    }
}
