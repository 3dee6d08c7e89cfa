//! The document: what the person has said and measured, and nothing that can be worked out from it.

use std::fmt;
use std::sync::Arc;

use coldwright_canvas::{CardKind, CardSeen};
use coldwright_export::Paper;
use coldwright_geometry::{EdgeKind, FixedFace, Length, Show, Unit};
use kurbo::Point;

use crate::compartments::Compartment;
use crate::corners::{EdgeOf, Joint, JointId};
use crate::distances::TapedDistance;
use crate::further::Further;
use crate::hole::Hole;
use crate::hollow::HollowBehind;
use crate::lid::SteppedLid;
use crate::lining::{Fitted, Lining};
use crate::seen_again::SeenAgain;
use crate::taped::Taped;
use crate::without_cards::{KnownRectangle, Sketch};
use crate::workshop::{Cutting, KeptLayout, LayerSeams, Opening, PieceId, StockSheet};

/// Names one wall of a job; stable for the life of the job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WallId(pub u32);

/// Names one photo of a job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PhotoId(pub u32);

/// Names one tick of a wall's template; unique in the job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct TickId(pub u32);

/// Names one edge of a wall's template; unique in the job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EdgeId(pub u32);

/// The whole document. A small value: photo bytes are shared, so a copy is cheap.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What the person calls it.
    pub name: String,
    /// Units that bare numbers are read in and lengths are shown in.
    pub units: Units,
    /// Paper the patterns are made for.
    pub paper: Paper,
    /// What a printed 100 mm measured, width then height, where the person has measured it.
    pub printed_100_mm: Option<(Length, Length)>,
    /// Photos as imported, less position and owner.
    pub photos: Vec<Photo>,
    /// The walls, in the order they are listed.
    pub walls: Vec<Wall>,
    /// Where walls meet.
    pub joints: Vec<Joint>,
    /// Compartments behind walls of the first one.
    pub compartments: Vec<Compartment>,
    /// The hole every piece must pass; `None` where nothing is in the way.
    pub opening: Option<Opening>,
    /// Sheets owned and on sale.
    pub stock: Vec<StockSheet>,
    /// Saw and spaces.
    pub cutting: Cutting,
    /// Layers whose seams a person has laid by hand.
    pub seams: Vec<LayerSeams>,
    /// The fitting order a person wants; empty: as worked out.
    pub order: Vec<PieceId>,
    /// Where the pieces lie on the sheets, once laid out.
    pub layout: Option<KeptLayout>,
    /// The next free number for a wall, photo, tick or edge. Goes back only with undo.
    pub next_id: u32,
}

/// Units of a job.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum Units {
    /// Millimetres, one decimal shown.
    #[default]
    Millimetres,
    /// Inches, shown to the sixteenth.
    Inches,
}

impl Units {
    /// The unit of a number typed without one.
    pub fn bare(self) -> Unit {
        match self {
            Units::Millimetres => Unit::Mm,
            Units::Inches => Unit::Inch,
        }
    }

    /// How lengths are shown.
    pub fn show(self) -> Show {
        match self {
            Units::Millimetres => Show::Mm { decimals: 1 },
            Units::Inches => Show::Inches { denominator: 16 },
        }
    }
}

/// A photo: its name and its bytes as they are stored.
#[derive(Clone, PartialEq)]
pub struct Photo {
    /// Its number.
    pub id: PhotoId,
    /// The file name it came with, without folders.
    pub name: String,
    /// The picture file's bytes, less position and owner. `None` when the job was opened without its photo: the
    /// outline still stands, only the picture cannot be shown.
    pub bytes: Option<Arc<[u8]>>,
}

impl fmt::Debug for Photo {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let bytes = self.bytes.as_ref().map(|b| b.len());
        f.debug_struct("Photo")
            .field("id", &self.id)
            .field("name", &self.name)
            .field("bytes", &bytes)
            .finish()
    }
}

/// One side of the box.
#[derive(Clone, Debug, PartialEq)]
pub struct Wall {
    /// Its number.
    pub id: WallId,
    /// What the person calls it; the first word of each of its pieces' marks.
    pub name: String,
    /// How it stands in the boat: which way its arrow points.
    pub stands: Stands,
    /// The measured shape.
    pub template: Template,
    /// Further templates at other depths; with any of them bevels come out of the templates together.
    pub further: Vec<Further>,
    /// Layers from the outer (hull) face to the inner (box) face.
    pub layers: Vec<LayerStock>,
    /// The face that stays where it is when layers change.
    pub fixed: FixedFace,
    /// How its pieces are cut.
    pub cut: CutStyle,
    /// The panel on its inner face; `None` where it has none.
    pub liner: Option<Lining>,
    /// A lid that plugs its opening in steps; `None` for a plain wall.
    pub lid: Option<SteppedLid>,
    /// The hollow behind its outer face, where it was measured.
    pub hollow: Option<HollowBehind>,
    /// Trims taken while its layers were fitted, carried to the layers after.
    pub fitted: Vec<Fitted>,
}

/// How a wall stands, and so what its arrow means.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum Stands {
    /// An upright side: the arrow points up.
    #[default]
    Upright,
    /// A floor: the arrow points forward.
    Floor,
    /// A lid or top: the arrow points forward.
    Lid,
}

impl Stands {
    /// The word beside the arrow.
    pub fn arrow_word(self) -> &'static str {
        match self {
            Stands::Upright => "up",
            Stands::Floor | Stands::Lid => "forward",
        }
    }
}

/// The foam of one layer.
#[derive(Clone, Debug, PartialEq)]
pub struct LayerStock {
    /// Measured thickness, more than nothing.
    pub thickness: Length,
    /// What it is made of, in the person's words.
    pub material: String,
    /// Space before it, towards the hull, that holds no foam: a film, a bond line, an air gap.
    pub before: Length,
}

/// How pieces are cut.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum CutStyle {
    /// Square edges, the part common to every depth: never binds, the wedge is filled.
    SquareFits,
    /// Square edges, everything any depth needs: trimmed in place.
    SquareFills,
    /// Bevelled edges: both faces drawn.
    #[default]
    Bevelled,
}

/// Which side of the template faced the camera, or the person who measured it.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum SeenFrom {
    /// The side towards the box: seen as from inside.
    #[default]
    BoxSide,
    /// The side towards the hull: seen as from outside, mirrored once on entry.
    HullSide,
}

/// Where in the wall's depth the template was taken.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum TakenAt {
    /// So much in from the outer (hull) face.
    FromOuter(Length),
    /// So much out from the inner (box) face.
    FromInner(Length),
}

impl Default for TakenAt {
    fn default() -> Self {
        TakenAt::FromOuter(Length::default())
    }
}

/// A measured shape: ticks, and the edges that run through them.
#[derive(Clone, Debug, PartialEq)]
pub struct Template {
    /// Which side faced the camera.
    pub seen_from: SeenFrom,
    /// Where in the wall it was taken.
    pub taken_at: TakenAt,
    /// Thickness of the sticks: a tick on the top of a first-lap stick is this high above the cards.
    pub stick: Length,
    /// What the photos show of the cards; `None` for a shape measured without photos.
    pub sightings: Option<Sightings>,
    /// The measured points.
    pub ticks: Vec<Tick>,
    /// The edges in ring order, either way round.
    pub edges: Vec<Edge>,
    /// The edge that is the bottom of an upright wall or the after edge of a floor or lid: it runs along x.
    pub base: Option<EdgeId>,
    /// Holes for hoses, drains, pipes and stringers.
    pub holes: Vec<Hole>,
    /// Numbers measured without a photo, which ticks may be points of.
    pub taped: Option<Taped>,
    /// Distances taped between ticks.
    pub distances: Vec<TapedDistance>,
    /// Ticks clicked in a second photo, so that their heights are found.
    pub again: Vec<SeenAgain>,
    /// A rectangle of known size in a photo, beside cards or instead of them.
    pub rectangle: Option<KnownRectangle>,
    /// Two points a known distance apart: a sketch, where there is nothing better.
    pub sketch: Option<Sketch>,
    /// Name of the drawing file the points are from, for a shape that was drawn elsewhere.
    pub drawn_from: Option<String>,
}

/// Observations of cards, kept so that the plane is solved again from the same pixels.
#[derive(Clone, Debug, PartialEq)]
pub struct Sightings {
    /// The kind of card that was looked for.
    pub kind: CardKind,
    /// Measured width and height over the card's checkers (true: 245 mm and 180 mm), where the person has measured.
    pub printed: Option<(Length, Length)>,
    /// Card numbers the person has left out.
    pub left_out: Vec<u32>,
    /// Standard uncertainty of one click, photo pixels.
    pub click_px: f64,
    /// Version of the card finder that measured these.
    pub finder: u32,
    /// One entry for each photo of this template.
    pub photos: Vec<Sighting>,
}

/// What one photo shows of the cards.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// The photo.
    pub photo: PhotoId,
    /// Upright size, pixels.
    pub size: (u32, u32),
    /// Focal length from the picture's own data, pixels.
    pub focal_px: Option<f64>,
    /// The cards.
    pub cards: Vec<CardSeen>,
}

/// One measured point on the boundary.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// Its number.
    pub id: TickId,
    /// Where it was measured.
    pub place: Place,
}

/// How a tick was measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// A click in a photo.
    Pixel {
        /// The photo.
        photo: PhotoId,
        /// Upright picture, pixel centres at whole numbers, y down.
        px: Point,
        /// How high the clicked point stands above the cards.
        height: Height,
    },
    /// Typed coordinates, seen from the declared side, mm, x right, y up.
    Typed {
        /// Place, mm.
        at: Point,
        /// Standard uncertainty in each direction, mm.
        sd: f64,
    },
    /// A point of the template's table of taped numbers.
    Taped {
        /// Its name there.
        point: String,
    },
}

/// Height of a clicked point above the cards.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Height {
    /// Top of a stick that lies on so many stick thicknesses, its own counted: 1 lies on the floor.
    Laps(u8),
    /// Stated by the person.
    Stated(Length),
}

impl Height {
    /// Millimetres above the cards, for sticks of the given thickness.
    pub fn mm(self, stick: Length) -> f64 {
        match self {
            Height::Laps(n) => f64::from(n) * stick.mm(),
            Height::Stated(length) => length.mm(),
        }
    }
}

/// One side of the outline, corner to corner.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// Its number.
    pub id: EdgeId,
    /// What the person calls it.
    pub name: String,
    /// Straight, or bent fair through its ticks.
    pub kind: EdgeKind,
    /// Its ticks in ring order. A tick shared with the next edge is a measured corner.
    pub ticks: Vec<TickId>,
    /// Bevel at stations along the edge, in ring order; one entry is a constant bevel.
    pub bevel: Vec<BevelAt>,
    /// Clearance for bonding foam, in the layer's plane.
    pub gap: Length,
    /// How far smoothing may move the curve from a tick.
    pub smoothing: Length,
}

/// A bevel read at one place of an edge.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct BevelAt {
    /// Fraction of the edge's length from its first corner, 0 to 1.
    pub at: f64,
    /// Degrees from square; open positive, closed negative.
    pub degrees: f64,
}

impl Default for Job {
    fn default() -> Self {
        Job {
            name: "New job".to_owned(),
            units: Units::default(),
            paper: Paper::A4,
            printed_100_mm: None,
            photos: Vec::new(),
            walls: Vec::new(),
            joints: Vec::new(),
            compartments: Vec::new(),
            opening: None,
            stock: vec![StockSheet::default()],
            cutting: Cutting::default(),
            seams: Vec::new(),
            order: Vec::new(),
            layout: None,
            next_id: 1,
        }
    }
}

impl Default for Template {
    fn default() -> Self {
        Template {
            seen_from: SeenFrom::default(),
            taken_at: TakenAt::default(),
            stick: Length::from_micrometres(5_000),
            sightings: None,
            ticks: Vec::new(),
            edges: Vec::new(),
            base: None,
            holes: Vec::new(),
            taped: None,
            distances: Vec::new(),
            again: Vec::new(),
            rectangle: None,
            sketch: None,
            drawn_from: None,
        }
    }
}

impl Default for Wall {
    fn default() -> Self {
        Wall {
            id: WallId(0),
            name: "Wall".to_owned(),
            stands: Stands::default(),
            template: Template::default(),
            further: Vec::new(),
            layers: vec![LayerStock::default(); 4],
            fixed: FixedFace::Outer,
            cut: CutStyle::default(),
            liner: None,
            lid: None,
            hollow: None,
            fitted: Vec::new(),
        }
    }
}

impl Default for LayerStock {
    fn default() -> Self {
        LayerStock {
            thickness: Length::from_64ths(64),
            material: "XPS".to_owned(),
            before: Length::default(),
        }
    }
}

impl Job {
    /// The wall of that number.
    pub fn wall(&self, id: WallId) -> Option<&Wall> {
        self.walls.iter().find(|w| w.id == id)
    }

    /// The photo of that number.
    pub fn photo(&self, id: PhotoId) -> Option<&Photo> {
        self.photos.iter().find(|p| p.id == id)
    }

    /// A name for the next wall that no wall has: "Wall A", "Wall B", … Letters, since layers are numbered.
    pub fn free_wall_name(&self) -> String {
        let taken = |name: &String| self.walls.iter().any(|w| w.name.to_lowercase() == name.to_lowercase());
        (1..).map(|n| format!("Wall {}", letters(n))).find(|name| !taken(name)).unwrap_or_default()
    }

    /// The joint of that number.
    pub fn joint(&self, id: JointId) -> Option<&Joint> {
        self.joints.iter().find(|j| j.id == id)
    }

    /// The joint at an edge, if it meets another wall.
    pub fn joint_at(&self, edge: EdgeOf) -> Option<&Joint> {
        self.joints.iter().find(|j| j.a == edge || j.b == edge)
    }

    /// A length as this job shows it, unit included.
    pub fn show(&self, length: Length) -> String {
        coldwright_geometry::show_length(length, self.units.show())
    }

    /// Millimetres as this job shows lengths; the number itself where it is too large for a length.
    pub fn show_mm(&self, mm: f64) -> String {
        Length::from_mm(mm).map_or_else(|_| format!("{mm:.1} mm"), |length| self.show(length))
    }
}

impl Template {
    /// Whether this photo shows it.
    pub(crate) fn shows(&self, photo: PhotoId) -> bool {
        self.sightings.iter().flat_map(|s| &s.photos).any(|s| s.photo == photo)
    }

    /// The tick of that number.
    pub fn tick(&self, id: TickId) -> Option<&Tick> {
        self.ticks.iter().find(|t| t.id == id)
    }

    /// The edge of that number.
    pub fn edge(&self, id: EdgeId) -> Option<&Edge> {
        self.edges.iter().find(|e| e.id == id)
    }
}

/// 1 is A, 26 is Z, 27 is AA.
fn letters(n: u32) -> String {
    let last = char::from(b'A' + ((n - 1) % 26) as u8);
    if n <= 26 { last.to_string() } else { format!("{}{last}", letters((n - 1) / 26)) }
}
