//! What a wall's layers carry besides foam: the liner on its inner face, and trims taken while they were fitted.

use coldwright_geometry as geo;
use coldwright_geometry::Length;

use crate::document::{EdgeId, Wall};
use crate::error::JobError;

/// The liner panel of a wall: a last layer of another stock, glued on the foam's inner face.
///
/// The radius of the fillet in its corners is the job's ([`crate::Cutting::fillet`]).
#[derive(Clone, Debug, PartialEq)]
pub struct Lining {
    /// Thickness of the sheet, more than nothing, up to 100 mm.
    pub sheet: Length,
    /// What it is made of, in the person's words.
    pub material: String,
    /// Thickness of the bond line between foam and sheet, up to 100 mm.
    pub bond: Length,
    /// What it meets where a person says so; an edge not named meets what its joint says, and a panel that runs past where it
    /// has none.
    pub edges: Vec<(EdgeId, LiningEdge)>,
}

/// What a liner panel meets at an edge.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum LiningEdge {
    /// The neighbour's panel, which runs past: this one stops at its face.
    #[default]
    StopsShort,
    /// The neighbour's panel, which stops on this one: this one goes to the foam.
    RunsPast,
    /// No panel and no fillet: a rim, or the edge of an opening.
    Free,
}

impl Default for Lining {
    fn default() -> Self {
        Lining {
            sheet: Length::from_micrometres(3_000),
            material: "Laminate".to_owned(),
            bond: Length::from_micrometres(500),
            edges: Vec::new(),
        }
    }
}

impl Lining {
    /// What a person said of an edge.
    pub fn said(&self, edge: EdgeId) -> Option<LiningEdge> {
        self.edges.iter().find(|e| e.0 == edge).map(|e| e.1)
    }

    pub(crate) fn check(&self) -> Result<(), JobError> {
        if !(self.sheet.mm() > 0.0 && self.sheet.mm() <= 100.0) {
            return Err(JobError::Liner { what: "sheet", mm: self.sheet.mm() });
        }
        if !(0.0..=100.0).contains(&self.bond.mm()) {
            return Err(JobError::Liner { what: "bond line", mm: self.bond.mm() });
        }
        Ok(())
    }
}

/// What fitting one layer taught about one edge, carried to the layers after it.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// The layer fitted, 1 = outermost.
    pub layer: u32,
    /// The edge.
    pub edge: EdgeId,
    /// What was taken off at stations along the edge, in ring order as for bevels; one entry counts for the whole edge.
    pub trims: Vec<TrimAt>,
}

/// What was taken off at one place of an edge.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct TrimAt {
    /// Fraction of the edge's length from its first corner, 0 to 1.
    pub at: f64,
    /// Foam taken off there, square to the edge; below nothing where the layer was that much short.
    pub trim: Length,
}

/// Farthest a layer is trimmed while it is fitted, mm; more is another wall.
const MOST_TRIM: f64 = 100.0;

impl Fitted {
    pub(crate) fn check(&self, wall: &Wall) -> Result<(), JobError> {
        let edge = wall.template.edge(self.edge).ok_or(JobError::NoEdge(self.edge))?;
        let bad = |why: String| Err(JobError::Trim { wall: wall.name.clone(), edge: edge.name.clone(), why });
        if !(1..=wall.layers.len()).contains(&(self.layer as usize)) {
            return bad(format!("belongs to layer {}, which is not there", self.layer));
        }
        if self.trims.is_empty() {
            return bad("has no place".to_owned());
        }
        for (i, t) in self.trims.iter().enumerate() {
            if !(0.0..=1.0).contains(&t.at) {
                return bad("lies off the edge; give a share of it, 0 to 100 %".to_owned());
            }
            if t.trim.mm().abs() > MOST_TRIM {
                return bad(format!(
                    "of {} mm is more than {MOST_TRIM} mm; measure the wall again",
                    t.trim.mm()
                ));
            }
            if self.trims.iter().take(i).any(|o| (o.at - t.at).abs() < 1e-9) {
                return bad("is given twice at one place".to_owned());
            }
        }
        Ok(())
    }
}

/// The trims of a wall as the sums know them; those of layers no longer there are left out.
pub(crate) fn as_fitted(wall: &Wall) -> Vec<geo::AsFitted> {
    let there = |f: &&Fitted| f.layer as usize <= wall.layers.len() && wall.template.edge(f.edge).is_some();
    let one = |f: &Fitted| geo::AsFitted {
        layer: f.layer as usize,
        edge: f.edge.0,
        stations: f.trims.iter().map(|t| geo::TrimStation { at: t.at, trim: t.trim.mm() }).collect(),
    };
    wall.fitted.iter().filter(there).map(one).collect()
}

impl Wall {
    /// What a layer is made of, 1 = outermost; the liner panel is counted after the last layer of foam.
    pub fn material(&self, layer: usize) -> &str {
        let foam = layer.checked_sub(1).and_then(|i| self.layers.get(i)).map(|l| l.material.as_str());
        let liner = || self.liner.as_ref().filter(|_| layer == self.layers.len() + 1);
        foam.or_else(|| liner().map(|l| l.material.as_str())).unwrap_or("").trim()
    }

    /// How many layers it has, the liner panel counted.
    pub fn layer_count(&self) -> usize {
        self.layers.len() + usize::from(self.liner.is_some())
    }

    /// Foam and spaces together: from the hull face to the foam's inner face.
    pub fn thickness(&self) -> Length {
        self.layers.iter().map(|l| l.thickness + l.before).sum()
    }

    /// The space before each layer, mm; empty where there is none at all.
    pub(crate) fn spaces(&self) -> Vec<f64> {
        let all: Vec<f64> = self.layers.iter().map(|l| l.before.mm()).collect();
        if all.iter().all(|s| *s == 0.0) { Vec::new() } else { all }
    }
}
