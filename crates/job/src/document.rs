//! The document: what the person has said and measured, and nothing that can be worked out from it.

use std::fmt;
use std::sync::Arc;

use coldwright_export::Paper;
use coldwright_geometry::{FixedFace, Length, Show, Unit};

use crate::compartments::Compartment;
use crate::corners::{EdgeOf, Joint, JointId};
use crate::further::Further;
use crate::hollow::HollowBehind;
use crate::lid::SteppedLid;
use crate::lining::{Fitted, Lining};
use crate::template::Template;
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

/// 1 is A, 26 is Z, 27 is AA.
fn letters(n: u32) -> String {
    let last = char::from(b'A' + ((n - 1) % 26) as u8);
    if n <= 26 { last.to_string() } else { format!("{}{last}", letters((n - 1) / 26)) }
}
