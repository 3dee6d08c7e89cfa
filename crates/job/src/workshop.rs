//! What the shop has and can do: sheets, saw, the opening that pieces must pass.

use coldwright_geometry::Length;
use kurbo::Point;

use crate::document::WallId;

/// The hole every piece must pass on its way in.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Opening {
    /// Its shape.
    pub shape: OpeningShape,
    /// Free depth behind it in the bare cavity, where the person has measured it: room to turn a piece.
    pub behind: Option<Length>,
    /// The wall it is in, whose foam is cut through there; `None` where that is not said.
    pub place: Option<OpeningPlace>,
}

/// Where an opening is.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct OpeningPlace {
    /// The wall: the top, as a rule.
    pub wall: WallId,
    /// Its middle: along the bottom (or after) edge from its left end, and up (or forward) from it, seen from inside the box.
    /// Its width lies along that edge.
    pub at: (Length, Length),
}

/// The shape of an opening.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum OpeningShape {
    /// A rectangle, its corners rounded by `corner` (0: sharp).
    Rectangle {
        /// One side.
        width: Length,
        /// The other.
        height: Length,
        /// Radius of the corners.
        corner: Length,
    },
    /// A circle.
    Round {
        /// Its diameter.
        diameter: Length,
    },
}

/// Sheets of one kind, owned or to be bought.
#[derive(Clone, Debug, PartialEq)]
pub struct StockSheet {
    /// What the person calls it; one name in a job.
    pub name: String,
    /// What it is made of, as the layers say it.
    pub material: String,
    /// Measured thickness.
    pub thickness: Length,
    /// Its shape.
    pub shape: SheetShape,
    /// How many are owned; `None`: as many as wanted can be bought.
    pub owned: Option<u32>,
}

/// The shape of a sheet.
#[derive(Clone, Debug, PartialEq)]
pub enum SheetShape {
    /// A whole or sawn rectangle.
    Rectangle {
        /// Across.
        width: Length,
        /// Along.
        length: Length,
    },
    /// An off-cut, its corners in mm.
    Outline(Vec<Point>),
}

impl Default for StockSheet {
    /// The sheet of the trade, four feet by eight, an inch thick.
    fn default() -> Self {
        StockSheet {
            name: "Full sheet".to_owned(),
            material: "XPS".to_owned(),
            thickness: Length::from_64ths(64),
            shape: SheetShape::Rectangle {
                width: Length::from_64ths(48 * 64),
                length: Length::from_64ths(96 * 64),
            },
            owned: None,
        }
    }
}

/// How pieces are cut and kept apart.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Cutting {
    /// Width the blade takes away.
    pub kerf: Length,
    /// Least distance wanted between two pieces on a sheet.
    pub apart: Length,
    /// Least distance from a piece to the sheet's edge.
    pub margin: Length,
    /// From blade to column: the widest part the saw takes; `None` where nothing is in the way.
    pub throat: Option<Length>,
    /// Farthest the saw table tilts away from the column, degrees, and the other way, with the piece always on the same side of
    /// the blade. Both ways alike where no saw is stated: a piece fed from the blade's other side is cut the other way.
    pub tilt: (u8, u8),
    /// Width of the blade.
    pub blade: Length,
    /// Seams of neighbouring layers stay this far apart.
    pub stagger: Length,
    /// Seams stay this far from corners and cut-outs.
    pub clear: Length,
    /// Foam bought beyond what the pieces need, per cent, for spoiled ones.
    pub spare: u8,
    /// Litres of set foam that one can of filler gives, as its maker states.
    pub can_litres: u32,
    /// Radius the liner's inside corners are filled to; 0 for none.
    pub fillet: Length,
}

impl Default for Cutting {
    /// A band saw of common size; common practice, no source.
    fn default() -> Self {
        Cutting {
            kerf: Length::from_micrometres(1_500),
            apart: Length::from_micrometres(6_000),
            margin: Length::from_micrometres(6_000),
            throat: None,
            tilt: (45, 45),
            blade: Length::from_64ths(32),
            stagger: Length::from_micrometres(50_000),
            clear: Length::from_micrometres(50_000),
            spare: 10,
            can_litres: 40,
            fillet: Length::from_micrometres(10_000),
        }
    }
}

/// Names a piece: wall, layer and part.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PieceId {
    /// The wall.
    pub wall: WallId,
    /// 1 = outermost.
    pub layer: u32,
    /// 0 for a layer in one piece or its first part.
    pub part: u32,
}

/// The seams of one layer as a person wants them, instead of those worked out.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerSeams {
    /// The wall.
    pub wall: WallId,
    /// 1 = outermost.
    pub layer: u32,
    /// The seams; none keeps the layer whole.
    pub seams: Vec<Seam>,
}

/// A straight cut through a layer, in the wall's frame.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Seam {
    /// One end, mm.
    pub from: Point,
    /// The other, mm.
    pub to: Point,
    /// How the parts meet.
    pub style: SeamStyle,
}

/// How two parts of a layer meet.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum SeamStyle {
    /// Square end to square end.
    #[default]
    Butt,
    /// Half the thickness overlaps by this width.
    HalfLap(Length),
}

/// A layout a person has kept: which sheets, and where each piece lies.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct KeptLayout {
    /// The seed it was searched with.
    pub seed: u64,
    /// Moves made; the same seed and moves give the same layout again.
    pub moves: u64,
    /// The pieces.
    pub places: Vec<KeptPlace>,
    /// Pieces for which the sheets ran out.
    pub left: Vec<PieceId>,
    /// Sheets that were wanting for them: name of the stock they would be like, how many.
    pub short: Vec<(String, u32)>,
}

/// Where one piece lies.
#[derive(Clone, Debug, PartialEq)]
pub struct KeptPlace {
    /// The piece.
    pub piece: PieceId,
    /// Name of the stock it is cut from.
    pub stock: String,
    /// Which sheet of that stock, from 0.
    pub nth: u32,
    /// Turn, degrees counter-clockwise about the wall frame's origin.
    pub turn_deg: f64,
    /// Shift after the turn, mm in the sheet's frame.
    pub at: Point,
    /// Held there by the person.
    pub locked: bool,
}
