//! A straight seam in the wall's plane.

use kurbo::{Point, Vec2};

/// How the two parts meet.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub enum SeamStyle {
    /// Square end to square end.
    #[default]
    Butt,
    /// Half the thickness of each part runs over the other: the hull half of the part on the right (looking from `from` to `to`,
    /// seen from inside the box), the box half of the part on the left.
    HalfLap {
        /// How far the halves overlap, mm; half of it lies on each side of the seam's line.
        width: f64,
    },
}

impl SeamStyle {
    /// How far a part runs past the seam's line, mm.
    #[must_use]
    pub fn past(self) -> f64 {
        match self {
            Self::Butt => 0.0,
            Self::HalfLap { width } => 0.5 * width,
        }
    }
}

/// A straight seam, mm in the wall's frame. It must reach from edge to edge of the foam it divides (or to another seam); what
/// reaches beyond the foam does no harm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seam {
    /// One end.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// How the parts meet.
    pub style: SeamStyle,
}

impl Seam {
    /// Length, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.from.distance(self.to)
    }

    /// Whether it is a line of some length with usable numbers, its lap not negative and at most 200 mm.
    pub(crate) fn is_sound(&self) -> bool {
        let lap = self.style.past();
        self.from.is_finite()
            && self.to.is_finite()
            && self.length() > 0.1
            && self.length() < 1e6
            && (0.0..=100.0).contains(&lap)
    }

    /// Unit vector from end to end.
    pub(crate) fn along(&self) -> Vec2 {
        (self.to - self.from) / self.length()
    }

    /// Smallest distance between the two lines, ends included, mm.
    #[must_use]
    pub fn distance(&self, other: &Self) -> f64 {
        let (u, v) = (self.to - self.from, other.to - other.from);
        let (s1, s2) = (u.cross(other.from - self.from), u.cross(other.to - self.from));
        let (s3, s4) = (v.cross(self.from - other.from), v.cross(self.to - other.from));
        if s1 * s2 < 0.0 && s3 * s4 < 0.0 {
            return 0.0;
        }
        [
            to_line(self.from, other),
            to_line(self.to, other),
            to_line(other.from, self),
            to_line(other.to, self),
        ]
        .into_iter()
        .fold(f64::INFINITY, f64::min)
    }

    /// Distance at which a neighbouring layer's seam counts as running beside this one, mm: none where they cross at 30° or
    /// more, since only a point of them lies over the other.
    #[must_use]
    pub fn stagger(&self, other: &Self) -> Option<f64> {
        let turn = self.along().cross(other.along()).abs();
        (turn < 0.5 || self.distance(other) > 0.0)
            .then(|| self.distance(other) - self.style.past() - other.style.past())
    }
}

/// Distance from a point to a seam's line between its ends, mm.
pub(crate) fn to_line(p: Point, seam: &Seam) -> f64 {
    crate::section::distance(&[seam.from, seam.to], p)
}
