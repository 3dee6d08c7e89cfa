//! What can go wrong between picture bytes and millimetres.

/// Why a picture could not be read or a plane not be solved. Every message says what to do next.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum CanvasError {
    /// The file holds no bytes at all.
    #[error("the photo file is empty (0 bytes); copy it again from the camera or phone")]
    Empty,
    /// The bytes begin like no picture format that is read here.
    #[error("this is no photo that can be read ({found}); give a JPEG, PNG, WebP, TIFF or HEIC picture")]
    NotAPhoto {
        /// What the first bytes look like, in words.
        found: String,
    },
    /// The header claims more pixels than are accepted; nothing was allocated.
    #[error(
        "the picture claims {width} × {height} pixels, more than the {limit_megapixels} megapixels accepted; save it smaller or check the file"
    )]
    TooLarge {
        /// Claimed width, pixels.
        width: u64,
        /// Claimed height, pixels.
        height: u64,
        /// The limit in force, megapixels.
        limit_megapixels: u64,
    },
    /// The picture has no width or no height, or is too small to measure in.
    #[error("the picture is only {width} × {height} pixels, too small to measure in; use the original photo")]
    TooSmall {
        /// Width, pixels.
        width: u64,
        /// Height, pixels.
        height: u64,
    },
    /// The file stops before the picture is complete.
    #[error(
        "the {format} file is cut short or damaged ({detail}); copy it again, half a picture is not measured"
    )]
    Truncated {
        /// Format name, as the person knows it.
        format: &'static str,
        /// Where it broke, in words.
        detail: String,
    },
    /// The format is known but this variety of it is not read.
    #[error("this {format} picture cannot be read ({detail}); save it as an ordinary JPEG or PNG")]
    Unsupported {
        /// Format name.
        format: &'static str,
        /// What is unusual about it.
        detail: String,
    },
    /// No photo was given to the solver.
    #[error("no photo to measure in; open at least one photo with cards lying round the template")]
    NoPhotos,
    /// No card is left to measure with.
    #[error(
        "photo {photo} shows no card that can be used; lay at least two, better four, printed cards flat round the template and take it again"
    )]
    NoCards {
        /// Photo number, from 1.
        photo: usize,
    },
    /// A photo shares no card with the others.
    #[error(
        "photo {photo} shares no card with the other photos; measure it alone or take it again with the same cards lying still"
    )]
    NoSharedCard {
        /// Photo number, from 1.
        photo: usize,
    },
    /// A card has too few crossings to say where it lies.
    #[error(
        "card {number} in photo {photo} has only {has} measured points, {needs} are needed; leave it out or uncover it"
    )]
    CardTooPoor {
        /// Card number.
        number: u32,
        /// Photo number, from 1.
        photo: usize,
        /// Points it has.
        has: usize,
        /// Points needed.
        needs: usize,
    },
    /// The card is given twice in one photo.
    #[error("card {number} is given twice in photo {photo}; print each number once, or leave it out")]
    CardTwice {
        /// Card number.
        number: u32,
        /// Photo number, from 1.
        photo: usize,
    },
    /// The same number is full size in one photo and half size in another.
    #[error("card {number} is full size in one photo and half size in another; leave it out")]
    CardSizesDiffer {
        /// Card number.
        number: u32,
    },
    /// A card that spoils everything; without it the others fit.
    #[error(
        "card {number} does not fit the others at all, its number may be read wrong or its print be of another size; leave it out, the others fit without it"
    )]
    CardForeign {
        /// Card number.
        number: u32,
    },
    /// No camera explains the cards.
    #[error(
        "the cards do not fit one flat plane seen by one camera ({detail}); check that they lie flat and that the picture is uncropped"
    )]
    NoFit {
        /// What failed, in words.
        detail: String,
    },
    /// A point does not lie on the plane in front of the camera.
    #[error(
        "the point at pixel ({x:.1}, {y:.1}) looks past the plane or is too far outside the picture; pick a point on the template"
    )]
    OffPlane {
        /// Pixel x.
        x: f64,
        /// Pixel y.
        y: f64,
    },
    /// A place on the plane cannot be seen by the camera.
    #[error("the place ({x:.1} mm, {y:.1} mm) lies behind the camera or beyond what its lens can show")]
    BehindCamera {
        /// Plane x, mm.
        x: f64,
        /// Plane y, mm.
        y: f64,
    },
    /// A photo number that was not solved.
    #[error("there is no photo {photo} in this measurement, it has {count}")]
    NoSuchPhoto {
        /// Photo number, from 1.
        photo: usize,
        /// How many there are.
        count: usize,
    },
    /// A number given is not usable.
    #[error("the {what} must be {rule}, not {value}")]
    BadNumber {
        /// What the number is.
        what: &'static str,
        /// What it must be.
        rule: &'static str,
        /// What was given.
        value: f64,
    },
    /// A table without a single line of numbers.
    #[error("the table holds no line of numbers; type one line a point, cells parted by tabs or semicolons")]
    EmptyTable,
    /// A cell of a table that cannot be read.
    #[error("line {line}, cell {cell}: {why}")]
    BadCell {
        /// Line of the text, from 1.
        line: usize,
        /// Cell of the line, from 1.
        cell: usize,
        /// Why it is refused, and what to write.
        why: String,
    },
    /// A line with too few or too many cells.
    #[error(
        "line {line} has {has} cells, {from} to {to} are needed; part them by tabs or semicolons, above all where a comma is the decimal mark"
    )]
    BadRow {
        /// Line of the text, from 1.
        line: usize,
        /// Cells it has.
        has: usize,
        /// Fewest needed.
        from: usize,
        /// Most that have a meaning.
        to: usize,
    },
    /// Two taped distances that reach no common point.
    #[error("the two distances to {name} do not meet, they fail by {gap_mm:.0} mm; tape both again")]
    TiesDoNotMeet {
        /// The point's name.
        name: String,
        /// By how much, mm.
        gap_mm: f64,
    },
    /// A point that the distances do not fix.
    #[error(
        "{name} is not fixed by the distances; tape it from two points that are known or fixed themselves"
    )]
    LooseTies {
        /// The point's name.
        name: String,
    },
    /// A distance that names a point the table has not.
    #[error("no point of the table is called {name}; a distance goes from one of its points to another")]
    UnknownPoint {
        /// The name given.
        name: String,
    },
    /// A height that the photos cannot give.
    #[error(
        "a height needs the same point clicked in two photos taken from clearly different places; take one more from the side"
    )]
    NoSecondView,
    /// Nothing to follow between two clicks.
    #[error(
        "no edge is to be seen from {x0:.0}, {y0:.0} to {x1:.0}, {y1:.0}; click on the edge itself, nearer together, or take the photo against a plainer ground"
    )]
    NoEdge {
        /// First click, pixels.
        x0: f64,
        /// First click, pixels.
        y0: f64,
        /// Second click, pixels.
        x1: f64,
        /// Second click, pixels.
        y1: f64,
    },
}
