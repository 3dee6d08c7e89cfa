//! The solved plane: cameras, cards, and the way between pixels and millimetres.
//!
//! Plane frame: millimetres seen from the camera's side, x right, y up, z towards the camera; origin and direction are those of the
//! lowest-numbered card used. Heights are above the floor that the cards and the template lie on; the print, which is the plane,
//! lies one sheet of paper higher.

use kurbo::Point;
use nalgebra::{DMatrix, Matrix3, Vector3};

use crate::doubt::PhotoDoubt;
use crate::error::CanvasError;
use crate::lens::Lens;

/// Thickness of the cards' paper, mm: office paper of 80 g/m² measures about 0.1 (common practice, no source). A lath of 5 mm stands this much
/// less above the print than above the floor, which at 30 degrees off the vertical is worth 0.06 mm.
pub const PAPER_MM: f64 = 0.1;
/// Standard uncertainty of that, mm; shared by all points.
pub(crate) const PAPER_SD_MM: f64 = 0.03;

/// Where a camera stood: `camera = turn · plane + shift`, camera axes x right, y down, z forwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// Rotation from plane axes to camera axes.
    pub turn: Matrix3<f64>,
    /// Shift, mm in camera axes.
    pub shift: Vector3<f64>,
}

impl Pose {
    /// The camera's own place in the plane frame, mm (z is its height above the plane).
    pub fn place(&self) -> Vector3<f64> {
        -(self.turn.transpose() * self.shift)
    }
}

/// A card's place on the plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedCard {
    /// Card number.
    pub number: u32,
    /// Half-size card.
    pub half_size: bool,
    /// Its middle, mm in the plane frame.
    pub centre: Point,
    /// Its x axis, radians counter-clockwise from the plane's x axis.
    pub angle_rad: f64,
    /// Root mean square misfit of its points, pixels.
    pub residual_px: f64,
    /// Standard uncertainty of its middle, mm, along x and y.
    pub sd_mm: (f64, f64),
    /// Points used.
    pub points: usize,
}

/// A card that does not agree with the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BadCard {
    /// Card number.
    pub number: u32,
    /// In what way.
    pub why: BadWhy,
}

/// In what way a card disagrees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BadWhy {
    /// It measures larger or smaller than the others: printed at another scale, or lying higher or lower.
    OtherSize {
        /// Its size against the others, 1 for the same.
        scale: f64,
        /// How high above the others' plane it would have to lie to look so, mm.
        as_height_mm: f64,
    },
    /// Its points do not fit a flat card: curled, moved, or wrongly read.
    NotFlat {
        /// Root mean square misfit, pixels.
        residual_px: f64,
        /// What the other cards show, pixels.
        others_px: f64,
    },
}

impl std::fmt::Display for BadCard {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let n = self.number;
        match self.why {
            BadWhy::OtherSize { scale, as_height_mm } => {
                let (size, lie) = if scale > 1.0 { ("larger", "higher") } else { ("smaller", "lower") };
                write!(
                    f,
                    "Card {n} measures {:.2} % {size} than the others: printed at another scale, or lying {:.0} mm {lie}. Lay it flat and measure its print, or leave it out.",
                    (scale - 1.0).abs() * 100.0,
                    as_height_mm.abs()
                )
            }
            BadWhy::NotFlat { residual_px, others_px } => write!(
                f,
                "Card {n} does not fit a flat sheet: its points miss by {residual_px:.2} px, those of the others by {others_px:.2}. It may be curled or have moved; flatten it, or leave it out."
            ),
        }
    }
}

/// One point clicked in a photo.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Click {
    /// Photo, from 0.
    pub photo: usize,
    /// Pixel in the upright picture, centres at whole numbers.
    pub px: Point,
    /// Height of the point above the floor that the cards lie on, mm.
    pub height_mm: f64,
    /// Standard uncertainty of the click, each coordinate, pixels.
    pub sd_px: f64,
    /// Standard uncertainty of the height, mm.
    pub height_sd_mm: f64,
}

/// Clicked points on the plane, with their joint uncertainty.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Places, mm in the plane frame, in the order of the clicks.
    pub points: Vec<Point>,
    /// Joint covariance, mm², order x0, y0, x1, y1, …
    pub cov_mm2: DMatrix<f64>,
}

impl Placed {
    /// Standard uncertainty of the distance between two of the points, mm; `None` when a number is out of range or the
    /// points coincide.
    pub fn distance_sd(&self, i: usize, j: usize) -> Option<f64> {
        let (a, b) = (self.points.get(i)?, self.points.get(j)?);
        let d = a.distance(*b);
        if d <= 0.0 {
            return None;
        }
        let (ux, uy) = ((b.x - a.x) / d, (b.y - a.y) / d);
        let at = [(2 * i, -ux), (2 * i + 1, -uy), (2 * j, ux), (2 * j + 1, uy)];
        let mut variance = 0.0;
        for (r, wr) in at {
            for (c, wc) in at {
                variance += wr * wc * self.cov_mm2.get((r, c)).copied()?;
            }
        }
        Some(variance.max(0.0).sqrt())
    }
}

/// The plane of the cards, solved.
#[derive(Debug, Clone)]
pub struct PlaneSolve {
    pub(crate) lenses: Vec<Lens>,
    pub(crate) poses: Vec<Pose>,
    pub(crate) cards: Vec<PlacedCard>,
    pub(crate) bad: Vec<BadCard>,
    /// Joint covariance of all unknowns, in the solver's order: for each photo 8 of the lens and 6 of the pose, then the rest.
    pub(crate) cov: DMatrix<f64>,
    pub(crate) residual_px: f64,
    pub(crate) residual_mm: f64,
    pub(crate) points: usize,
    pub(crate) chi2_per_dof: f64,
    /// What makes one doubt each photo.
    pub(crate) doubts: Vec<Vec<PhotoDoubt>>,
    /// Print scale along the cards' x and y that the solve ended with.
    pub(crate) print: [f64; 2],
}

impl PlaneSolve {
    /// How many photos were solved together.
    pub fn photos(&self) -> usize {
        self.lenses.len()
    }

    /// The lens of a photo (from 0).
    pub fn lens(&self, photo: usize) -> Option<Lens> {
        self.lenses.get(photo).copied()
    }

    /// Whether a photo's lens bends more than three standard deviations of what phones do: right, but worth saying.
    pub fn strong_lens(&self, photo: usize) -> bool {
        self.doubts(photo).iter().any(|d| matches!(d, PhotoDoubt::StrongLens { .. }))
    }

    /// What makes one doubt a photo as a whole (from 0), gravest first; none for a photo that was not solved.
    pub fn doubts(&self, photo: usize) -> &[PhotoDoubt] {
        self.doubts.get(photo).map_or(&[], Vec::as_slice)
    }

    /// Standard uncertainty of a photo's focal length, pixels.
    pub fn focal_sd_px(&self, photo: usize) -> Option<f64> {
        let at = photo * PER_PHOTO;
        (photo < self.photos()).then(|| self.cov.get((at, at)).copied().unwrap_or(0.0).max(0.0).sqrt())
    }

    /// Where a photo was taken from (photo from 0).
    pub fn pose(&self, photo: usize) -> Option<Pose> {
        self.poses.get(photo).copied()
    }

    /// Angle between a photo's viewing direction and straight down onto the plane, radians.
    pub fn tilt(&self, photo: usize) -> Option<f64> {
        self.poses.get(photo).map(|p| (-p.turn[(2, 2)]).clamp(-1.0, 1.0).acos())
    }

    /// Height of a photo's camera above the plane, mm.
    pub fn height_above_plane(&self, photo: usize) -> Option<f64> {
        self.poses.get(photo).map(|p| p.place().z)
    }

    /// Root mean square misfit of all points, pixels, each coordinate.
    pub fn residual_px(&self) -> f64 {
        self.residual_px
    }

    /// Root mean square misfit of all points, mm on the plane, each coordinate.
    pub fn residual_mm(&self) -> f64 {
        self.residual_mm
    }

    /// Misfit against the stated uncertainty of the points, squared, per degree of freedom, priors left out: 1 when all is
    /// as stated. Above 1 every uncertainty given here is already widened by its root.
    pub fn chi2_per_dof(&self) -> f64 {
        self.chi2_per_dof
    }

    /// Card points used.
    pub fn points(&self) -> usize {
        self.points
    }

    /// Cards that disagree with the others. They are still used: the person decides about leaving them out.
    pub fn bad_cards(&self) -> &[BadCard] {
        &self.bad
    }

    /// The cards on the plane, by number.
    pub fn cards(&self) -> &[PlacedCard] {
        &self.cards
    }

    /// Place on the plane of a point seen at a pixel, lying `height_mm` above the floor (photo from 0).
    ///
    /// # Errors
    /// A photo that was not solved, or a pixel that looks past the plane.
    pub fn to_plane(&self, photo: usize, px: Point, height_mm: f64) -> Result<Point, CanvasError> {
        let (lens, pose) = self.camera(photo)?;
        finite("height", height_mm)?;
        on_plane(lens, pose, px, height_mm - PAPER_MM).ok_or(CanvasError::OffPlane { x: px.x, y: px.y })
    }

    /// Pixel where a photo shows a place on the plane, `height_mm` above the floor (photo from 0).
    ///
    /// # Errors
    /// A photo that was not solved, or a place behind the camera.
    pub fn to_pixel(&self, photo: usize, plane: Point, height_mm: f64) -> Result<Point, CanvasError> {
        let (lens, pose) = self.camera(photo)?;
        let q = pose.turn * Vector3::new(plane.x, plane.y, height_mm - PAPER_MM) + pose.shift;
        lens.pixel([q.x, q.y, q.z]).ok_or(CanvasError::BehindCamera { x: plane.x, y: plane.y })
    }

    pub(crate) fn camera(&self, photo: usize) -> Result<(&Lens, &Pose), CanvasError> {
        match (self.lenses.get(photo), self.poses.get(photo)) {
            (Some(lens), Some(pose)) => Ok((lens, pose)),
            _ => Err(CanvasError::NoSuchPhoto { photo: photo + 1, count: self.photos() }),
        }
    }
}

/// Unknowns of each photo: focal, cx, cy, k1, k2, k3, p1, p2, then three of turning and three of shift.
pub(crate) const PER_PHOTO: usize = 14;

pub(crate) fn finite(what: &'static str, value: f64) -> Result<(), CanvasError> {
    if value.is_finite() {
        Ok(())
    } else {
        Err(CanvasError::BadNumber { what, rule: "a finite number", value })
    }
}

/// Crosses the ray of a pixel with the plane at a height.
pub(crate) fn on_plane(lens: &Lens, pose: &Pose, px: Point, height_mm: f64) -> Option<Point> {
    let (x, y) = lens.direction(px)?;
    let ray = pose.turn.transpose() * Vector3::new(x, y, 1.0);
    let eye = pose.place();
    let along = (height_mm - eye.z) / ray.z;
    // Seen at less than 1.5 degrees to the plane, a pixel is worth metres.
    if !(along > 0.0 && ray.z.abs() > 0.025 * ray.norm()) {
        return None;
    }
    let p = eye + ray * along;
    (p.x.is_finite() && p.y.is_finite()).then(|| Point::new(p.x, p.y))
}
