//! The one error of shapes: what is wrong, where, and what to do about it.

use kurbo::Point;

use crate::Show;
use crate::said::in_units;

/// Why an outline or a layer cannot be made.
///
/// Each message is one sentence in lower case that names the offending thing and a way out. Lengths and places are mm.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GeometryError {
    /// A coordinate, angle or thickness is not a number, is infinite, or is beyond a kilometre.
    #[error("{what} is not a usable number; type or measure it again")]
    NotFinite {
        /// The thing with the bad number, e.g. `tick 7 of edge "top"`.
        what: String,
    },
    /// Fewer than two edges were given, or two straight ones: they enclose nothing.
    #[error(
        "an outline needs at least three edges (two when one is a fair curve), this one has {has}; add the missing edges"
    )]
    TooFewEdges {
        /// How many edges were given.
        has: usize,
    },
    /// An edge has too few different ticks to fix a line.
    #[error(
        "edge \"{edge}\" has {has} usable tick(s) and needs {needs}; add a tick on it, or a shared tick at its corner"
    )]
    EdgeNeedsTicks {
        /// Name of the edge.
        edge: String,
        /// Different ticks it has.
        has: usize,
        /// Different ticks it needs.
        needs: usize,
    },
    /// Two edges have the same id, so that a joint or a bevel would not know which is meant.
    #[error("two edges have the number {id}; give each edge its own number")]
    RepeatedEdge {
        /// The id used twice.
        id: u32,
    },
    /// Neighbouring edges run on without meeting.
    #[error("edges \"{first}\" and \"{second}\" do not meet near ({:.1}, {:.1}) mm; add one tick at their corner and give it to both", near.x, near.y)]
    NoCorner {
        /// Edge that ends there.
        first: String,
        /// Edge that starts there.
        second: String,
        /// Where the corner was looked for.
        near: Point,
    },
    /// The outline crosses or touches itself.
    #[error("the outline crosses itself where edges \"{first}\" and \"{second}\" meet near ({:.1}, {:.1}) mm; check the order of the ticks there", at.x, at.y)]
    SelfCrossing {
        /// One edge.
        first: String,
        /// The other edge (may be the same one).
        second: String,
        /// The place.
        at: Point,
    },
    /// The outline encloses less than 1 mm².
    #[error("the outline encloses no area; check that its edges go round the piece once")]
    NoArea,
    /// A cut-out has fewer than three different points, crosses itself or lies outside.
    #[error("cut-out \"{name}\" {why}; draw it again inside the outline")]
    BadCutout {
        /// Name of the cut-out.
        name: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A bevel is steeper than 75° or has no station.
    #[error("bevel {what}; a bevel must be between -75° and 75°, at stations from 0 to 1")]
    BadBevel {
        /// What is wrong with it.
        what: String,
    },
    /// A gap or smoothing outside its range.
    #[error("{what} of edge \"{edge}\" is {mm} mm; it must be between {least} and {most} mm")]
    OutOfRange {
        /// `gap` or `smoothing`.
        what: &'static str,
        /// Name of the edge.
        edge: String,
        /// The value.
        mm: f64,
        /// Least value taken.
        least: f64,
        /// Greatest value taken.
        most: f64,
    },
    /// The wall has no layer.
    #[error("the wall has no layers; give at least one thickness")]
    NoLayers,
    /// A layer's thickness is zero, negative or absurd.
    #[error("layer {layer} is {mm} mm thick; a thickness must be more than 0 and at most 1000 mm")]
    NegativeThickness {
        /// Layer number, 1 = outermost.
        layer: usize,
        /// Its thickness in mm.
        mm: f64,
    },
    /// Nothing of the piece is left at this depth.
    #[error(
        "nothing is left of layer {layer} at {depth:.1} mm from the outer face; make the wall thinner there, or check the bevels"
    )]
    EmptyAtDepth {
        /// Layer number, 1 = outermost; 0 when one depth was asked for.
        layer: usize,
        /// Depth from the outer face, mm.
        depth: f64,
    },
    /// A trim typed for a layer or edge that is not there, or one too large.
    #[error("the trim {what}; give it again, at most 100 mm, at stations from 0 to 1")]
    BadTrim {
        /// What is wrong with it, after "the trim".
        what: String,
    },
    /// A hollow, strip or kerf that cannot be.
    #[error("a hollow {what}; measure again, or allow wider gaps")]
    Hollow {
        /// What is wrong with it, after "a hollow".
        what: String,
    },
    /// Several templates that do not go together.
    #[error("the templates {what}; give each its depth and the same edges all round")]
    Templates {
        /// What is wrong with them, after "the templates".
        what: String,
    },
    /// A joint names no edge, an edge twice, or an angle that cannot be; or the joined walls do not make a box.
    #[error("joint {joint} {what}")]
    BadJoint {
        /// The joint, 1 = first.
        joint: usize,
        /// What is wrong with it and the way out.
        what: String,
    },
    /// The room inside is asked of a box with a wall whose neighbours' edges show it bent although it is not said to be, or with a
    /// bent one that no flat neighbours hold.
    #[error(
        "{wall} is bent, and how it runs is not known; say that it is bent and join it to flat walls, or give it as flat parts"
    )]
    BentWall {
        /// The wall's name.
        wall: String,
    },
    /// A typed box that cannot be.
    #[error("the box's {what}; type it again")]
    PlainBox {
        /// What is wrong with it.
        what: String,
    },
    /// A depth so far from the template that the moved edges leave the range of numbers kept.
    #[error(
        "depth {depth} mm is more than 2000 mm from the template; check the template's depth and the layers"
    )]
    DepthTooFar {
        /// The depth, mm.
        depth: f64,
    },
    /// An opening that cannot be: a side, a diameter, a radius or the room behind it.
    #[error("the opening {what}; measure it again, in mm, each side more than 0 and at most 10 m")]
    Opening {
        /// What is wrong with it, after "the opening".
        what: String,
    },
    /// A seam that does not go across the piece, or lies where none can be.
    #[error("seam {seam} of layer {layer} {why}")]
    Seam {
        /// Layer number, 1 = outermost.
        layer: usize,
        /// Number of the seam, 1 = first.
        seam: usize,
        /// What is wrong with it and what would help, after "seam 2 of layer 1".
        why: String,
    },
    /// A layer that cannot be split as asked.
    #[error("layer {layer} cannot be split: {why}")]
    Split {
        /// Layer number, 1 = outermost.
        layer: usize,
        /// The limit that stops it and what would help.
        why: String,
    },
    /// A space between layers that is negative, absurd or of no layer.
    #[error("the space {what}; give one from 0 to 1000 mm for each layer, the first before layer 1")]
    BadSpace {
        /// What is wrong with it, after "the space".
        what: String,
    },
    /// A liner that cannot be, or one against an edge the outline has not.
    #[error(
        "the liner {what}; give its sheet more than 0 and at most 100 mm, bond and fillet from 0 to 100 mm"
    )]
    BadLiner {
        /// What is wrong with it, after "the liner".
        what: String,
    },
}

impl GeometryError {
    /// The sentence to show, with lengths and places in the given units; `Display` gives it in millimetres.
    ///
    /// # Examples
    /// ```
    /// use coldwright_geometry::{GeometryError, Show};
    /// let e = GeometryError::EmptyAtDepth { layer: 2, depth: 50.8 };
    /// assert!(e.to_string().contains("at 50.8 mm from the outer face"));
    /// assert!(e.words(Show::Inches { denominator: 16 }).contains("at 2 in from the outer face"));
    /// ```
    #[must_use]
    pub fn words(&self, show: Show) -> String {
        in_units(&self.to_string(), show)
    }
}
