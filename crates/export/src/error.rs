//! What can go wrong when a drawing is written.

use crate::layer::Layer;

/// Everything this crate refuses, with the thing that offends.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ExportError {
    /// A coordinate, size, angle or shade of an item is not a finite number.
    #[error("item {item} on the layer \"{}\" has a {what} that is not a number; nothing was written", layer.plain_name())]
    NotFinite {
        /// Place in `Drawing::items`, from 0.
        item: usize,
        /// The layer the item is on.
        layer: Layer,
        /// What is not finite: "point", "pen width", ...
        what: &'static str,
    },
    /// A size, shade or dash is a number, but not one that can be drawn.
    #[error("item {item} on the layer \"{}\" has a {what} of {value}, which cannot be drawn", layer.plain_name())]
    OutOfRange {
        /// Place in `Drawing::items`, from 0.
        item: usize,
        /// The layer the item is on.
        layer: Layer,
        /// What is out of range.
        what: &'static str,
        /// The value given.
        value: f64,
    },
    /// The drawing's bounds are empty, reversed or not finite.
    #[error("the drawing \"{title}\" has no size: its bounds are {width} by {height} mm")]
    NoSize {
        /// The drawing's title.
        title: String,
        /// Width of the bounds in mm.
        width: f64,
        /// Height of the bounds in mm.
        height: f64,
    },
    /// There is no ink to put on paper.
    #[error("there is nothing to draw in \"{title}\"")]
    NothingToDraw {
        /// The drawing's title.
        title: String,
    },
    /// A PDF was asked for without pages.
    #[error("a PDF needs at least one page")]
    NoPages,
    /// The flattening error is not a usable length.
    #[error("curves cannot be flattened to {mm} mm; give a length from 0.0001 to 1 mm")]
    Flatten {
        /// The length asked for in mm.
        mm: f64,
    },
    /// The words are not the name of a paper.
    #[error(
        "\"{text}\" is not a paper we know; say a4, letter, a3, tabloid, or a roll with its width such as roll-610mm or roll-24in"
    )]
    UnknownPaper {
        /// What was typed.
        text: String,
    },
    /// A roll is too narrow or too wide to print on.
    #[error("a roll {width_mm} mm wide cannot be used; give a width from 210 to 2000 mm")]
    RollWidth {
        /// The width asked for in mm.
        width_mm: f64,
    },
    /// The margin is smaller than printers can keep, or leaves no paper.
    #[error("a margin of {mm} mm cannot be used; give 12.7 to 40 mm")]
    Margin {
        /// The margin asked for in mm.
        mm: f64,
    },
    /// The overlap of neighbouring pages is too small for the joining marks, or leaves no paper.
    #[error("an overlap of {mm} mm cannot be used; give 8 to 40 mm")]
    Overlap {
        /// The overlap asked for in mm.
        mm: f64,
    },
    /// The printer correction is beyond what a sound printer needs.
    #[error(
        "the print is {percent} % off along {axis}; no printer is that far out, so switch scaling off in the print dialog (100 %, no fit to page) and measure again"
    )]
    PrintCorrection {
        /// "x" or "y".
        axis: &'static str,
        /// Deviation in per cent, with its sign, as text with one decimal.
        percent: String,
    },
    /// A measured length of the printed check square is not a length.
    #[error("{value} is no measured length; type what the printed 100 mm line measures in mm")]
    Measured {
        /// What was given.
        value: f64,
    },
    /// The drawing would take an absurd number of pages.
    #[error(
        "\"{title}\" would take {pages} pages, more than {most}; use larger paper or check the drawing's unit"
    )]
    TooManyPages {
        /// The drawing's title.
        title: String,
        /// Pages needed.
        pages: usize,
        /// Most pages allowed.
        most: usize,
    },
    /// A page is smaller than nothing or longer than readers accept.
    #[error("page {page} is {width} by {height} mm; a side must be more than 0 and at most 5080 mm (200 in)")]
    PageSize {
        /// Page number from 1.
        page: usize,
        /// Width in mm.
        width: f64,
        /// Height in mm.
        height: f64,
    },
    /// The embedded font could not be used.
    #[error("the font that comes with the program cannot be used: {reason}")]
    Font {
        /// What the font library says.
        reason: String,
    },
    /// A DXF file cannot be read at a line.
    #[error("line {line} of the DXF file should be {wanted}, but says \"{found}\"")]
    DxfLine {
        /// Line number from 1.
        line: usize,
        /// What should stand there.
        wanted: &'static str,
        /// What stands there, shortened.
        found: String,
    },
    /// Pages were laid out for another paper, overlap, margin or printer correction than they are to be made with.
    #[error(
        "the pages of \"{title}\" were laid out for another paper or another print correction; lay them out again"
    )]
    OtherGrid {
        /// The drawing's title.
        title: String,
    },
    /// The bytes are a DXF in the binary form, or no DXF at all.
    #[error("this is not a DXF in text form; save it as an ASCII DXF")]
    NoDxf,
    /// A DXF has nothing in it that is an outline.
    #[error("the DXF file has no line, polyline, arc, circle, ellipse or spline; it has {found}")]
    DxfEmpty {
        /// What was passed over, such as "2 SPLINE, 1 INSERT", or "nothing".
        found: String,
    },
    /// The text is no SVG, or a damaged one.
    #[error("this is no SVG that can be read: {reason}")]
    NoSvg {
        /// What the reader says.
        reason: String,
    },
    /// An SVG has no path in it.
    #[error("the SVG file has no path, line or shape; it has {found}")]
    SvgEmpty {
        /// What was passed over, such as "1 image", or "nothing".
        found: String,
    },
    /// A drawing has lines, but none that close, and a template needs an outline.
    #[error(
        "the drawing has no closed outline{}; join the ends of the lines in the drawing program and save it again",
        gap.as_ref().map_or_else(String::new, |gap| format!(": the ends of its {lines} lines are {gap} apart (in the drawing's unit) at best"))
    )]
    NothingClosed {
        /// Lines that are not closed.
        lines: usize,
        /// The smallest gap between the two ends of a row of lines, in the file's unit.
        gap: Option<String>,
    },
}
