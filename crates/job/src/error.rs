//! What can go wrong with a job.

use coldwright_canvas::CanvasError;

use crate::corners::JointId;
use crate::document::{EdgeId, TickId, WallId};

/// Why an edit, or a file, was refused. Each message says what to do instead.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// An edit names a wall that is not in the job.
    #[error("wall number {} is not in this job", .0.0)]
    NoWall(WallId),
    /// An edit names an edge that is not in the template.
    #[error("edge number {} is not in this template", .0.0)]
    NoEdge(EdgeId),
    /// An edit names a tick that is not in the template.
    #[error("tick number {} is not in this template", .0.0)]
    NoTick(TickId),
    /// A drawing file's outline cannot be a template.
    #[error("{file} cannot be a template: {why}")]
    Drawn {
        /// The file's name.
        file: String,
        /// Why, and what to do.
        why: String,
    },
    /// A card setting was given for a wall without photos.
    #[error("{0} has no photo yet; add one first")]
    NoPhoto(String),
    /// A second photo of a wall was measured by another kind of card.
    #[error(
        "the {photos} photo(s) of {wall} show another kind of card; photos measured together need the same cards"
    )]
    MixedCards {
        /// The wall.
        wall: String,
        /// How many photos it has.
        photos: usize,
    },
    /// Photos that would make a file this program would not open again.
    #[error(
        "with this photo the job would hold more than {0} MB of photos; take one out first, or save it smaller"
    )]
    TooManyPhotos(u64),
    /// A table of taped numbers that no notebook holds.
    #[error("the table is longer than {0} thousand letters; paste only the shape's own lines")]
    LongTable(usize),
    /// A distance taped between ticks that cannot be.
    #[error(
        "a taped distance of {mm} mm cannot be; it goes from one tick to another, above 0 mm, sure to 0.02 to 200 mm"
    )]
    Distance {
        /// What was given, mm.
        mm: f64,
    },
    /// A wall with no layers.
    #[error("{0} needs at least one layer of foam")]
    NoLayers(String),
    /// A thickness of nothing, less, or absurd.
    #[error("layer {layer} of {wall} cannot be {mm} mm thick; give a thickness above 0, up to 1000 mm")]
    Thickness {
        /// The wall.
        wall: String,
        /// Layer number, 1 = outermost.
        layer: usize,
        /// What was given, mm.
        mm: f64,
    },
    /// A stick thickness below nothing or absurd.
    #[error("sticks cannot be {mm} mm thick; measure one and give 0 to 100 mm")]
    Stick {
        /// What was given, mm.
        mm: f64,
    },
    /// A bevel past what a foam edge can be.
    #[error("a bevel of {degrees}° on {edge} cannot be cut; give an angle between -75° and 75°")]
    Bevel {
        /// The edge.
        edge: String,
        /// What was given.
        degrees: f64,
    },
    /// An edge without any bevel entry.
    #[error("{0} needs a bevel; give 0° for a square edge")]
    NoBevel(String),
    /// A gap below nothing or absurd.
    #[error("a gap of {mm} mm cannot be; give 0 to 200 mm")]
    Gap {
        /// What was given, mm.
        mm: f64,
    },
    /// Smoothing past its limit.
    #[error("smoothing of {mm} mm is too much; at most 2 mm, or measure the tick again")]
    Smoothing {
        /// What was given, mm.
        mm: f64,
    },
    /// A space before a layer that is below nothing or absurd.
    #[error("the space before layer {layer} of {wall} cannot be {mm} mm; give 0 to 1000 mm")]
    Space {
        /// The wall.
        wall: String,
        /// Layer number, 1 = outermost.
        layer: usize,
        /// What was given, mm.
        mm: f64,
    },
    /// A liner whose sheet or bond line cannot be.
    #[error("the liner's {what} cannot be {mm} mm; give up to 100 mm, the sheet more than nothing")]
    Liner {
        /// Which.
        what: &'static str,
        /// What was given, mm.
        mm: f64,
    },
    /// A hollow, strips or kerfs that cannot be.
    #[error("the hollow behind {wall}: {why}")]
    Hollow {
        /// The wall.
        wall: String,
        /// What is wrong with it.
        why: String,
    },
    /// A stepped lid that cannot be.
    #[error("the stepped lid {wall} {why}")]
    Lid {
        /// The wall.
        wall: String,
        /// What it needs.
        why: &'static str,
    },
    /// A trim taken while fitting that cannot be.
    #[error("the trim on {edge} of {wall} {why}")]
    Trim {
        /// The wall.
        wall: String,
        /// The edge.
        edge: String,
        /// What is wrong with it.
        why: String,
    },
    /// A further template that cannot be, or one that is not there.
    #[error("a further template of {wall} {why}")]
    Further {
        /// The wall.
        wall: String,
        /// What is wrong with it.
        why: &'static str,
    },
    /// A hole that cannot be.
    #[error("the hole {name} {why}")]
    Hole {
        /// Its name.
        name: String,
        /// What it needs.
        why: &'static str,
    },
    /// A place that is not a number, or kilometres away.
    #[error("that point is not a place that can be used; give finite coordinates")]
    Place,
    /// A measured print length more than 5 % off.
    #[error(
        "the printed {way} measures {mm} mm where {true_mm} mm is right: more than 5 % off; print again at 100 % with scaling off"
    )]
    PrintedScale {
        /// Width or height.
        way: &'static str,
        /// What it should measure, mm.
        true_mm: f64,
        /// What was measured, mm.
        mm: f64,
    },
    /// A break after the last tick of an edge.
    #[error("no tick follows tick {} on its edge; click on to begin the next edge", .0.0)]
    NothingAfter(TickId),
    /// An edge without any tick.
    #[error("{0} has no tick; an edge is measured by at least one")]
    NoTicks(String),
    /// Joining at a tick that no two edges share.
    #[error("tick {} is not a corner that two edges share", .0.0)]
    NotACorner(TickId),
    /// An edge with bevels at several places was to be split or joined.
    #[error(
        "{0} has bevels at several places, which cannot be shared out; give it one bevel first, then type the places again"
    )]
    SeveralBevels(String),
    /// Two edges of different bevels were to be joined.
    #[error("{0} and {1} have different bevels; give both the same before they become one edge")]
    TwoBevels(String, String),
    /// A compartment that cannot be behind this wall.
    #[error("{wall} {why}")]
    Compartment {
        /// The wall.
        wall: String,
        /// What is in the way, and the way out.
        why: String,
    },
    /// An edit names a joint that is not in the job.
    #[error("joint number {} is not in this job", .0.0)]
    NoJoint(JointId),
    /// An angle no two walls meet at.
    #[error("walls cannot meet at {degrees}°; give the angle inside the box, 15 to 345°")]
    JointAngle {
        /// What was given.
        degrees: f64,
    },
    /// A typed box that cannot be.
    #[error("{0}")]
    Box(String),
    /// An edge can meet one other edge only.
    #[error("{edge} of {wall} already meets another wall; part the two first")]
    JoinedAlready {
        /// The wall.
        wall: String,
        /// The edge.
        edge: String,
    },
    /// Both edges of a joint are of one wall.
    #[error("{0} cannot meet itself; choose an edge of another wall")]
    JoinedToItself(String),
    /// An opening of nothing, less, or absurd.
    #[error("an opening cannot measure {mm} mm; give more than 0, up to 10 m")]
    OpeningSize {
        /// What was given, mm.
        mm: f64,
    },
    /// The corners of an opening are rounder than it is wide.
    #[error("a corner of {mm} mm is too round for this opening; at most {most} mm")]
    OpeningCorner {
        /// What was given, mm.
        mm: f64,
        /// Half the smaller side, mm.
        most: f64,
    },
    /// A space or width of the cutting that cannot be.
    #[error("{what} cannot be {mm} mm; give 0 to {most} mm")]
    Cutting {
        /// Which.
        what: &'static str,
        /// What was given, mm.
        mm: f64,
        /// The most that is taken, mm.
        most: f64,
    },
    /// A saw's throat that cannot be.
    #[error("a throat of {mm} mm cannot be; measure from blade to column, 50 mm to 10 m")]
    Throat {
        /// What was given, mm.
        mm: f64,
    },
    /// A table that tilts past what foam can be cut at.
    #[error("a table that tilts {degrees}° cannot be; give 0 to 75°")]
    Tilt {
        /// What was given.
        degrees: u8,
    },
    /// More spare than pieces.
    #[error("{0} % of spare foam is too much; give 0 to 100 %")]
    Spare(u8),
    /// A can that gives nothing, or a tank.
    #[error("a can of {0} litres cannot be; give what its maker states, 1 to 10000 litres")]
    Can(u32),
    /// Two kinds of sheet of one name.
    #[error("there is already a sheet called {0}; give each its own name")]
    SheetNameTaken(String),
    /// A sheet that cannot be.
    #[error("the sheet {name} {why}")]
    Sheet {
        /// Its name.
        name: String,
        /// What it needs.
        why: &'static str,
    },
    /// The outline of a sheet that cannot be, in a sentence.
    #[error("{0}")]
    SheetOutline(String),
    /// A seam that is no line.
    #[error("a seam of layer {layer} is no line that can be cut; draw it again")]
    Seam {
        /// The layer.
        layer: u32,
    },
    /// An empty name.
    #[error("{0} needs a name")]
    NoName(&'static str),
    /// Two walls of one name would mark their pieces alike.
    #[error("there is already a wall called {0}; pieces of both would carry the same mark")]
    WallNameTaken(String),
    /// The file is not a job.
    #[error("this is not a Coldwright job: {0}")]
    NotAJob(String),
    /// The file's version is newer than the program.
    #[error(
        "this job was saved by a newer Coldwright (file version {found}, this program reads up to {known}); nothing was changed"
    )]
    Newer {
        /// Version in the file.
        found: u32,
        /// The newest this program reads.
        known: u32,
    },
    /// The file is a job but damaged.
    #[error("the job file is damaged: {0}; the file was left as it is")]
    Damaged(String),
    /// The file would unpack to more than any honest job.
    #[error("the job file unpacks to more than {0} MB and was not opened")]
    Swollen(u64),
    /// A value in the job cannot be written.
    #[error("the job cannot be written: {0}")]
    Write(String),
    /// The photo cannot be used.
    #[error(transparent)]
    Canvas(#[from] CanvasError),
}
