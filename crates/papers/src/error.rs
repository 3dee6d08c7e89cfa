//! What can go wrong when papers are made.

use coldwright_export::ExportError;

/// Everything this crate refuses, with the thing that offends.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PapersError {
    /// The job has no wall, so there is nothing to draw.
    #[error("the job has no wall yet; add one and trace its template")]
    NoWalls,
    /// A wall has no layers: its outline is not closed, or the layers could not be worked out.
    #[error("the wall \"{wall}\" has no layers yet; close its outline and look at what its steps say")]
    NoLayers {
        /// Name of the wall.
        wall: String,
    },
    /// The plan speaks of a wall the job does not have: it was made from another state of the job.
    #[error("wall {number} is not in the job; work the plan out again")]
    NoSuchWall {
        /// Number of the wall.
        number: u32,
    },
    /// A layer was asked for that the wall does not have.
    #[error("the wall \"{wall}\" has {has} layers, so there is no layer {layer}")]
    NoSuchLayer {
        /// Name of the wall.
        wall: String,
        /// Layer asked for, 1 = outermost.
        layer: usize,
        /// Layers there are.
        has: usize,
    },
    /// A piece was asked for that the plan does not have.
    #[error("there is no piece \"{mark}\" any more; work the plan out again")]
    NoSuchPiece {
        /// The mark it would have.
        mark: String,
    },
    /// Nothing is left of a layer's face, so there is no line to cut along.
    #[error("nothing is left to cut of \"{mark}\"; take its layer out or lessen the bevels")]
    NothingToCut {
        /// The piece's mark.
        mark: String,
    },
    /// A figure to be written is not a finite number.
    #[error("{what} of \"{mark}\" is not a number; nothing was written")]
    NotFinite {
        /// The piece's mark.
        mark: String,
        /// Which figure.
        what: &'static str,
    },
    /// Cards were asked for on paper they do not fit.
    #[error("cards are printed on A4 or Letter, not on {paper}")]
    CardPaper {
        /// The paper's name.
        paper: String,
    },
    /// No cards were asked for.
    #[error("ask for at least one card")]
    NoCards,
    /// A number that no card of this size carries.
    #[error("there is no card {number}: {} cards carry the numbers {low} to {high}", if *half { "half-size" } else { "full-size" })]
    CardNumber {
        /// The first number asked for that does not exist.
        number: u64,
        /// Whether half-size cards were asked for.
        half: bool,
        /// Lowest number.
        low: u32,
        /// Highest number.
        high: u32,
    },
    /// A drawing could not be written.
    #[error("{what} could not be written: {why}")]
    Export {
        /// What was being written.
        what: String,
        /// What the writer says.
        why: ExportError,
    },
}
