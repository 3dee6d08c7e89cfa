//! Lengths as people write them, outlines from measured ticks, and the tapered foam layers that follow from them.
//!
//! ```
//! use coldwright_geometry::{Length, Show, Unit, Writing, parse_length, show_length};
//!
//! let reading = parse_length("3' 4 1/2\"", Unit::Inch, Writing::Plain)?;
//! assert_eq!(reading.length, Length::from_micrometres(1_028_700));
//! assert_eq!(show_length(reading.length, Show::Inches { denominator: 16 }), "40 1/2 in");
//! # Ok::<(), coldwright_geometry::LengthError>(())
//! ```

mod banded;
mod bevel;
mod build;
mod crossing;
mod curve;
#[cfg(test)]
mod dice;
mod edge;
mod error;
mod fit;
mod fitted;
mod freedom;
mod holes;
mod hollow;
mod joined;
mod known;
mod layer;
mod layers;
mod length;
mod length_error;
mod lid;
mod liner;
mod loft;
mod lofted;
mod moved;
mod natural;
mod notice;
mod odd;
mod offset;
mod opening;
mod outline;
mod parse;
mod reader;
mod regions;
mod roomy;
mod round;
mod said;
mod saw;
mod scan;
mod section;
mod show;
mod simple;
mod slice;
mod split;
mod spread;
mod square;
mod step;
mod strangers;
mod strips;
mod templates;
mod told;
mod volume;
mod wall;
mod weights;

pub use bevel::{Bevel, BevelStation};
pub use edge::{Cutout, Edge, EdgeKind, Tick, mirror_cutout, mirror_edges};
pub use error::GeometryError;
pub use fitted::{AsFitted, TrimStation};
pub use hollow::Hollow;
pub use joined::{
    Bow, BoxWall, CellOwner, CornerCell, CornerClash, EdgeAt, Facet, Filler, Folded, FoldedGroup, Inside,
    Joint, JointKind, JointMisfit, LayerSurface, MisfitKind, PlacedRing, PlainBox, Pose, Stand, StraightSeam,
    Sump, Surface, WallFiller, Xyz, bows, corner_cells, corner_clashes, faceted_box, filler, fold, inside,
    joined_layers, lifts, plain_box, stand_behind, straight_seams, sump, surfaces, usable,
};
pub use kurbo::{BezPath, Point, Rect, Vec2};
pub use layer::{BevelMark, Layer, LayerSet, Proud};
pub use layers::{layers, layers_as_fitted, layers_spaced};
pub use length::Length;
pub use length_error::LengthError;
pub use lid::{DrilledLayer, Lid, LidLayer, LidStep};
pub use liner::{Liner, LinerEdge, LinerPanel, liner_panel};
pub use loft::outline_at;
pub use notice::{End, Notice, Severity};
pub use offset::{Join, offset};
pub use opening::{
    Bind, Extent, Opening, Passage, Room, Turning, binds, depth_to_turn, extent, narrowest, passage,
};
pub use outline::{Carry, Corner, Outline, Side};
pub use parse::{Reading, Unit, ValueNote, Writing, parse_angle, parse_length};
pub use roomy::roomy;
pub use saw::{Saw, SawLimit, least_radius};
pub use section::{Ring, Section, bounds, signed_area};
pub use show::{Show, show_length};
pub use split::{
    Part, Reaches, Seam, SeamFault, SeamSide, SeamStyle, SplitRules, TurnLimit, seam_end_moved, seam_faults,
    seam_moved, split, split_by,
};
pub use spread::Spread;
pub use strips::{Kerfing, Strip, strip_gap, strip_width, strips};
pub use templates::{Template, TemplatedWall};
pub use wall::{FixedFace, TemplateDepth, WallShape};
