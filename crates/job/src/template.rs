//! A measured shape: ticks, the edges through them, and what they were measured by.

use coldwright_canvas::{CardKind, CardSeen};
use coldwright_geometry::{EdgeKind, Length};
use kurbo::Point;

use crate::distances::TapedDistance;
use crate::document::{EdgeId, PhotoId, TickId};
use crate::hole::Hole;
use crate::seen_again::SeenAgain;
use crate::taped::Taped;
use crate::without_cards::{KnownRectangle, Sketch};

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
