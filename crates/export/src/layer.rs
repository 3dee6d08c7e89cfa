//! What an item of a drawing is for.

/// What an item is for. Each becomes a layer (or group) of its own in every format.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Layer {
    /// Lines to cut along.
    Cut,
    /// The outline of the face that lies down.
    OtherFace,
    /// Stations, arrows, match marks.
    Marks,
    /// Words.
    Words,
    /// Lines of known length for checking the scale; never cut.
    Check,
    /// Marks for joining pages.
    Joining,
}

impl Layer {
    /// All layers in the order they are listed in files.
    pub const ALL: [Layer; 6] =
        [Layer::Cut, Layer::OtherFace, Layer::Marks, Layer::Words, Layer::Check, Layer::Joining];

    /// The layer's name in plain words, as PDF and SVG show it.
    pub const fn plain_name(self) -> &'static str {
        match self {
            Layer::Cut => "Cut line",
            Layer::OtherFace => "Other face",
            Layer::Marks => "Marks",
            Layer::Words => "Words",
            Layer::Check => "Check size, do not cut",
            Layer::Joining => "Joining marks",
        }
    }

    /// The same name without spaces or commas, as DXF layers and SVG ids need it.
    pub const fn file_name(self) -> &'static str {
        match self {
            Layer::Cut => "Cut-line",
            Layer::OtherFace => "Other-face",
            Layer::Marks => "Marks",
            Layer::Words => "Words",
            Layer::Check => "Check-size-do-not-cut",
            Layer::Joining => "Joining-marks",
        }
    }
}
