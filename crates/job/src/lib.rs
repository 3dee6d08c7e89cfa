//! The document of a Coldwright job: its bytes, its history, and the plan that follows from it.
//!
//! ```
//! use coldwright_job::{from_bytes, to_bytes, Edit, History, Job};
//!
//! let mut history = History::new(Job::default());
//! history.edit(&Edit::AddWall { name: "Hull side".into() }, None)?;
//! let bytes = to_bytes(history.job())?;
//! assert_eq!(from_bytes(&bytes)?, **history.job());
//! # Ok::<(), coldwright_job::JobError>(())
//! ```
//!
//! It refuses files that are damaged, newer than the program, or that would swell past any honest job; it never
//! touches the file system and draws nothing.

mod box_checks;
mod boxed;
mod buy;
mod check;
mod checks;
mod compartments;
mod corners;
mod cutting_order;
mod distances;
mod document;
mod drawn;
mod edit;
mod edit_box;
mod edit_further;
mod edit_shop;
mod edit_taped;
mod edit_template;
mod edit_wall;
mod enough;
mod error;
mod file;
mod filling;
mod format;
mod format_further;
mod format_hole;
mod format_hollow;
mod format_layers;
mod format_shop;
mod format_taped;
mod format_template;
mod further;
mod held;
mod history;
mod hole;
mod hollow;
mod hollow_told;
mod hollowed;
mod layered;
mod lid;
mod lined;
mod lining;
mod measured;
mod opened;
mod order;
mod passing;
mod photo_checks;
mod pieces;
mod placing;
mod plan;
mod problem;
mod said;
mod saw;
mod sawn;
mod seams;
mod seen_again;
mod sheets;
mod stage;
mod taped;
mod template;
mod without_cards;
mod workshop;

pub use boxed::{BoxPlan, Clear, Stow};
pub use buy::{Purchase, Quantity, purchases};
pub use checks::checks;
pub use coldwright_geometry::Severity;
pub use compartments::{Compartment, MirroredEdge, compartment_behind};
pub use corners::{EdgeOf, Joint, JointId, JointKind};
pub use cutting_order::CUTTING_RULE;
pub use distances::{CheckedDistance, Diagonal, TapedDistance};
pub use document::{CutStyle, EdgeId, Job, LayerStock, Photo, PhotoId, Stands, TickId, Units, Wall, WallId};
pub use drawn::{DRAWN_WITHIN_MM, DrawnFile, DrawnSide, DrawnTrace, drawn_units};
pub use edit::{DEFAULT_CLICK_PX, Edit, apply};
pub use edit_box::TypedBox;
pub use edit_wall::WallEdit;
pub use enough::{Enough, enough};
pub use error::JobError;
pub use file::{FILE_VERSION, from_bytes, from_json, photo_entry, to_bytes, to_json};
pub use filling::{Filling, LIFT_MM, filling};
pub use further::{Further, Lies, LoftPlan, TemplatePlan};
pub use history::History;
pub use hole::{Hole, HoleShape};
pub use hollow::{Along, FirstLayers, HollowBehind, HollowShape};
pub use hollow_told::saw_limits;
pub use hollowed::{HollowLayer, HollowPlan};
pub use lid::{SteppedLid, lid_opening};
pub use lining::{Fitted, Lining, LiningEdge, TrimAt};
pub use measured::Measured;
pub use passing::Passes;
pub use pieces::{PlannedPiece, PlannedSeams};
pub use plan::{PlacedTick, Plan, Planner, Standing, WallPlan, plan};
pub use problem::{Problem, Step, sentence_case};
pub use sawn::BreakDown;
pub use seams::{seam_end_moved, seam_moved};
pub use seen_again::{FoundHeight, SeenAgain};
pub use sheets::{LaidOut, SheetRequest, keep_layout, sheet_request};
pub use stage::{PRINT_SD_MEASURED, PRINT_SD_UNMEASURED};
pub use taped::{OffsetLine, Residual, Taped, TapedFit, TapedWay};
pub use template::{BevelAt, Edge, Height, Place, SeenFrom, Sighting, Sightings, TakenAt, Template, Tick};
pub use without_cards::{KnownRectangle, Sketch};
pub use workshop::{
    Cutting, KeptLayout, KeptPlace, LayerSeams, Opening, OpeningPlace, OpeningShape, PieceId, Seam,
    SeamStyle, SheetShape, StockSheet,
};
