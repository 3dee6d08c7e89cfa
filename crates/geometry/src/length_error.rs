//! Why a written length or angle is not taken, and how to write it instead.

/// A written length or angle that cannot be taken. Each message says how to write it instead.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum LengthError {
    /// Nothing was written.
    #[error("nothing is written here; write a length like 40 1/2 in or 1030 mm")]
    Empty,
    /// Not a number at all, or not finite.
    #[error("\"{text}\" is not a number; write a length in digits, like 40 1/2 in or 1030 mm")]
    NotANumber {
        /// What was written.
        text: String,
    },
    /// A word that is no unit.
    #[error("\"{word}\" is not a unit this program knows; write mm, cm, m, in or ft after the number")]
    UnknownWord {
        /// The word.
        word: String,
    },
    /// A letter stands where a digit was meant.
    #[error("\"{text}\" mixes letters and digits; if a letter stands for a zero or a one, write the digit")]
    LetterForDigit {
        /// The piece of text.
        text: String,
    },
    /// An exponent.
    #[error("\"{text}\" is written with an exponent; write the number out in full, like 1000 mm")]
    Exponent {
        /// What was written.
        text: String,
    },
    /// A comma or point that may part thousands or decimals.
    #[error(
        "\"{text}\" can be read two ways; write {whole} for the large number, or {decimal} for the small one"
    )]
    ThousandsOrDecimal {
        /// What was written.
        text: String,
        /// Written as thousands.
        whole: String,
        /// Written as a decimal.
        decimal: String,
    },
    /// More than one comma or point in a number.
    #[error(
        "\"{text}\" has more than one comma or point; write the number with one decimal point and no thousands marks"
    )]
    TwoSeparators {
        /// The number.
        text: String,
    },
    /// A fraction over zero.
    #[error("\"{text}\" has a zero below the line; write a fraction like 1/2")]
    ZeroBelow {
        /// The fraction.
        text: String,
    },
    /// After a whole number the fraction is one or more.
    #[error(
        "the fraction {text} after a whole number is not less than one; carry it over, like 41 1/4 for 40 5/4"
    )]
    ImproperFraction {
        /// The fraction.
        text: String,
    },
    /// Two fractions in a row.
    #[error("there are two fractions in \"{text}\"; write one number and one fraction, like 40 1/2")]
    TwoFractions {
        /// What was written.
        text: String,
    },
    /// A decimal and a fraction in one number.
    #[error("\"{text}\" mixes a decimal and a fraction; write 40.5 or 40 1/2")]
    DecimalAndFraction {
        /// What was written.
        text: String,
    },
    /// Several numbers without units between them.
    #[error("\"{text}\" can be read in more than one way; put a unit after each number, like 3 ft 4 1/2 in")]
    NumbersWithoutUnits {
        /// What was written.
        text: String,
    },
    /// Dashes as in a table of offsets, outside one.
    #[error(
        "\"{text}\" looks like feet-inches-eighths, which is read only in a table of offsets; write it like 2 ft 3 1/2 in"
    )]
    OffsetsOutsideTable {
        /// What was written.
        text: String,
    },
    /// Not a feet-inches-eighths value, or its parts are out of range.
    #[error(
        "\"{text}\" is not feet-inches-eighths; write three numbers like 2-3-4, inches up to 11, eighths up to 7, + for a sixteenth more"
    )]
    NotOffsets {
        /// What was written.
        text: String,
    },
    /// Units that do not follow each other.
    #[error(
        "the units in \"{text}\" do not go together; write one unit, or feet then inches, or metres then smaller ones"
    )]
    UnitOrder {
        /// What was written.
        text: String,
    },
    /// Inches or smaller metric parts too large for the unit before.
    #[error(
        "\"{text}\" has a part too large to follow the one before; carry it over, like 4 ft 2 in for 3 ft 14 in"
    )]
    PartTooLarge {
        /// What was written.
        text: String,
    },
    /// A dash or sign where none belongs.
    #[error(
        "the dash or sign in \"{text}\" can be read in more than one way; write 40 1/2 in, or put a minus only at the very front"
    )]
    StrayDash {
        /// What was written.
        text: String,
    },
    /// Something left over that belongs to no number.
    #[error(
        "\"{text}\" has something that is not part of a length (\"{rest}\"); write only the number, its unit, and strong, heavy, light or shy"
    )]
    LeftOver {
        /// What was written.
        text: String,
        /// The part not understood.
        rest: String,
    },
    /// Beyond a kilometre, or more digits than can be kept.
    #[error("{text} is more than a kilometre or has too many digits; check the unit and the decimal point")]
    TooLong {
        /// What was written.
        text: String,
    },
    /// Not an angle.
    #[error("\"{text}\" is not an angle; write degrees like 12.5 or -8")]
    NotAnAngle {
        /// What was written.
        text: String,
    },
    /// An angle beyond a full turn.
    #[error("{text} is more than a full turn; write an angle between -360 and 360 degrees")]
    AngleTooLarge {
        /// What was written.
        text: String,
    },
}
