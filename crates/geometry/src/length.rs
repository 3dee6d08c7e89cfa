//! One length, exact for 64ths of an inch and for micrometres.

use std::iter::Sum;
use std::ops::{Add, Neg, Sub};

use crate::LengthError;

/// A length, exact for every 64th of an inch and every micrometre.
///
/// Stored as whole units of 1/360 000 mm = 1/9 144 000 in. Sums saturate at the ends of the range (25 million km).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

const PER_MM: i64 = 360_000;
const PER_INCH: i64 = 9_144_000;
/// Longest length taken from outside, mm: a kilometre. Nothing in a boat is longer; a slip of the finger may be.
const LONGEST_MM: f64 = 1.0e6;

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);

    /// From millimetres, to the nearest 1/360 000 mm.
    ///
    /// # Errors
    /// [`LengthError::NotANumber`] when not finite, [`LengthError::TooLong`] beyond a kilometre.
    pub fn from_mm(mm: f64) -> Result<Self, LengthError> {
        Self::scaled(mm, mm, PER_MM)
    }

    /// From inches, to the nearest 1/9 144 000 in.
    ///
    /// # Errors
    /// As [`Length::from_mm`].
    pub fn from_inches(inches: f64) -> Result<Self, LengthError> {
        Self::scaled(inches, inches * 25.4, PER_INCH)
    }

    fn scaled(value: f64, mm: f64, per: i64) -> Result<Self, LengthError> {
        if !value.is_finite() {
            return Err(LengthError::NotANumber { text: value.to_string() });
        }
        if mm.abs() > LONGEST_MM {
            return Err(LengthError::TooLong { text: format!("{mm} mm") });
        }
        Ok(Self((value * per as f64).round() as i64))
    }

    /// From whole micrometres, exactly.
    #[must_use]
    pub const fn from_micrometres(um: i64) -> Self {
        Self(um.saturating_mul(PER_MM / 1000))
    }

    /// From whole 64ths of an inch, exactly.
    #[must_use]
    pub const fn from_64ths(n: i64) -> Self {
        Self(n.saturating_mul(PER_INCH / 64))
    }

    /// From the hidden unit, 1/360 000 mm.
    #[must_use]
    pub(crate) const fn from_units(units: i64) -> Self {
        Self(units)
    }

    /// In the hidden unit, 1/360 000 mm.
    #[must_use]
    pub(crate) const fn units(self) -> i64 {
        self.0
    }

    /// In millimetres.
    #[must_use]
    pub fn mm(self) -> f64 {
        self.0 as f64 / PER_MM as f64
    }

    /// In inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 as f64 / PER_INCH as f64
    }

    /// Whole micrometres, when the length is exactly that.
    #[must_use]
    pub const fn exact_micrometres(self) -> Option<i64> {
        if self.0 % 360 == 0 { Some(self.0 / 360) } else { None }
    }

    /// Whole 64ths of an inch, when the length is exactly that.
    #[must_use]
    pub const fn exact_64ths(self) -> Option<i64> {
        if self.0 % 142_875 == 0 { Some(self.0 / 142_875) } else { None }
    }

    /// Sum, or `None` when out of range.
    #[must_use]
    pub const fn checked_add(self, other: Self) -> Option<Self> {
        match self.0.checked_add(other.0) {
            Some(n) => Some(Self(n)),
            None => None,
        }
    }

    /// Difference, or `None` when out of range.
    #[must_use]
    pub const fn checked_sub(self, other: Self) -> Option<Self> {
        match self.0.checked_sub(other.0) {
            Some(n) => Some(Self(n)),
            None => None,
        }
    }

    /// Without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.saturating_abs())
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(self.0.saturating_neg())
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, |a, b| a + b)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sixty_fourths_and_micrometres_add_up_exactly() {
        let inch: Length = (0..64).map(|_| Length::from_64ths(1)).sum();
        assert_eq!(inch, Length::from_micrometres(25_400));
        assert_eq!(inch.exact_64ths(), Some(64));
        assert_eq!((inch - Length::from_64ths(3)).exact_64ths(), Some(61));
        assert!((inch.mm() - 25.4).abs() < 1e-15 && (inch.inches() - 1.0).abs() < 1e-15);
    }

    #[test]
    fn doors_in_refuse_what_is_no_length() {
        for bad in [f64::NAN, f64::INFINITY, -f64::INFINITY, 1e9] {
            assert!(Length::from_mm(bad).is_err() && Length::from_inches(bad).is_err(), "{bad}");
        }
        assert_eq!(Length::from_mm(-25.4).ok(), Some(-Length::from_64ths(64)));
        assert_eq!(Length::from_units(i64::MAX).checked_add(Length::from_units(1)), None);
    }
}
