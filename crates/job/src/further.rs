//! Further templates of a wall, each at its own depth: how they lie to the first, and which of their edges go together.

use std::sync::Arc;

use coldwright_canvas::PlaneSolve;
use coldwright_geometry as geo;
use coldwright_geometry::{GeometryError, LayerSet, Length, Outline, TemplatedWall};
use kurbo::Affine;

use crate::document::{EdgeId, Wall};

use crate::error::JobError;
use crate::layered;
use crate::lining::as_fitted;
use crate::measured::Measured;
use crate::plan::PlacedTick;
use crate::template::Template;

/// Another template of a wall, taken at another depth than the first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Further {
    /// Its points, edges and depth. Bevels and gaps of its edges are not used: bevels come out of the templates together,
    /// gaps are the first one's; holes are the first one's too.
    pub template: Template,
    /// How it lies to the first.
    pub lies: Lies,
    /// The edge that goes with the first template's bottom edge; `None` matches corners that lie nearest to each other.
    pub begins: Option<EdgeId>,
}

/// How a further template lies to the first one of its wall.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum Lies {
    /// Measured from the same place as the first: its points are in the first one's coordinates.
    AsFirst,
    /// By its bottom (or after) edge, seen from inside the box.
    ByBottom {
        /// Its left end is so far to the right of the left end of the first one's.
        across: Length,
        /// And so far up (or forward) from it.
        up: Length,
        /// It is turned so many degrees against the first one's, to the left above 0.
        turn_deg: f64,
    },
}

impl Default for Lies {
    fn default() -> Self {
        Lies::ByBottom { across: Length::default(), up: Length::default(), turn_deg: 0.0 }
    }
}

/// More templates of one wall than this nobody makes.
pub(crate) const MOST_FURTHER: usize = 11;

impl Further {
    pub(crate) fn check(&self, wall: &str) -> Result<(), JobError> {
        let bad = |why| Err(JobError::Further { wall: wall.to_owned(), why });
        if let Lies::ByBottom { across, up, turn_deg } = self.lies {
            if !(turn_deg.is_finite() && turn_deg.abs() <= 180.0) {
                return bad("cannot be turned more than 180°");
            }
            if !(across.mm().abs() < 1e5 && up.mm().abs() < 1e5) {
                return bad("lies too far from the first");
            }
        }
        match self.begins {
            Some(id) if self.template.edge(id).is_none() => Err(JobError::NoEdge(id)),
            _ => Ok(()),
        }
    }
}

impl Wall {
    /// A template by its number: 0 is the wall's first.
    pub fn template_at(&self, number: usize) -> Option<&Template> {
        match number {
            0 => Some(&self.template),
            n => self.further.get(n - 1).map(|f| &f.template),
        }
    }

    /// All templates, the first one first.
    pub fn templates(&self) -> impl Iterator<Item = &Template> {
        std::iter::once(&self.template).chain(self.further.iter().map(|f| &f.template))
    }
}

/// What follows from one template of a wall that has several.
#[derive(Clone, Debug, Default)]
pub struct TemplatePlan {
    /// Camera and cards, when photos show any.
    pub solve: Option<Arc<PlaneSolve>>,
    /// The ticks that have a place.
    pub ticks: Arc<Vec<PlacedTick>>,
    /// Predicted 95 % error of the distance between the two farthest ticks, mm.
    pub farthest_error: Option<f64>,
    /// What tapes and second photos say.
    pub measured: Measured,
    /// From the plane as photographed or typed to the wall.
    pub to_wall: Affine,
    /// The closed outline in the wall's frame, bevels as typed.
    pub outline: Option<Arc<Outline>>,
}

/// A wall known from several templates.
#[derive(Clone, Debug)]
pub struct LoftPlan {
    /// For each side, by template (the first one first): the edges that go together; nothing where a template takes no part.
    pub matches: Vec<Vec<Option<EdgeId>>>,
    /// How far layers may be off between and beyond the templates, mm, measuring errors apart.
    pub expected_error: f64,
    /// How far layers cut by the first template alone, as where the wall is joined, stand off these, mm; 0 where they cannot be cut.
    pub(crate) off_first: f64,
}

/// The wall's layers from all its closed templates, with the first one's outline as they tell its bevels; `None` where only
/// one is closed.
pub(crate) fn lofted(
    wall: &Wall,
    outlines: &[Option<Arc<Outline>>],
) -> Option<Result<(Outline, LayerSet, LoftPlan), GeometryError>> {
    outlines.first()?.as_ref()?;
    let part: Vec<usize> = (0..outlines.len()).filter(|i| outlines[*i].is_some()).collect();
    (part.len() > 1).then(|| loft(wall, outlines, &part))
}

fn loft(
    wall: &Wall,
    outlines: &[Option<Arc<Outline>>],
    part: &[usize],
) -> Result<(Outline, LayerSet, LoftPlan), GeometryError> {
    let all: Vec<geo::Template> = part
        .iter()
        .filter_map(|i| {
            let depth = wall.template_at(*i)?.taken_at.to_geometry();
            Some(geo::Template { outline: outlines[*i].as_deref()?.clone(), depth })
        })
        .collect();
    let thicknesses: Vec<f64> = wall.layers.iter().map(|l| l.thickness.mm()).collect();
    let spaces = wall.spaces();
    let make = |starts: Option<&[usize]>| TemplatedWall::spaced(&all, thicknesses.clone(), &spaces, starts);
    let mut made = make(None)?;
    let said = |i: &usize| i.checked_sub(1).and_then(|k| wall.further.get(k)).and_then(|f| f.begins);
    if part.iter().any(|i| said(i).is_some()) {
        let base = wall.template.base.map_or(0, |b| b.0);
        let place = |o: &Outline, id: u32| o.sides().iter().position(|s| s.edge.id == id);
        let row = made.matches().iter().find(|row| row.contains(&base)).or(made.matches().first());
        let row = row.cloned().unwrap_or_default();
        let starts: Vec<usize> = part
            .iter()
            .zip(&all)
            .map(|(i, t)| {
                let found = said(i).and_then(|id| place(&t.outline, id.0));
                // The others keep what lay nearest.
                found.or_else(|| row.iter().find_map(|id| place(&t.outline, *id))).unwrap_or(0)
            })
            .collect();
        made = make(Some(&starts))?;
    }
    let made = made.as_fitted(&as_fitted(wall))?;
    let owner = |id: &u32| (0..outlines.len()).find(|i| owns(outlines, *i, *id));
    let row = |ids: &Vec<u32>| {
        let mut row = vec![None; outlines.len()];
        for id in ids {
            if let Some(i) = owner(id) {
                row[i] = Some(EdgeId(*id));
            }
        }
        row
    };
    let outline = made.bevelled()?;
    let set = made.layers()?;
    let off_first = layered::cut_layers(wall, &outline).map_or(0.0, |plain| apart(&set, &plain));
    let plan = LoftPlan {
        matches: made.matches().iter().map(row).collect(),
        expected_error: made.expected_error(),
        off_first,
    };
    Ok((outline, set, plan))
}

fn owns(outlines: &[Option<Arc<Outline>>], index: usize, id: u32) -> bool {
    outlines[index].as_ref().is_some_and(|o| o.sides().iter().any(|s| s.edge.id == id))
}

/// How far the layers of one set stand off those of another, mm: the farthest of some hundred places on each line.
pub(crate) fn apart(a: &LayerSet, b: &LayerSet) -> f64 {
    let faces = |l: &geo::Layer| [l.outer.rings.clone(), l.inner.rings.clone()];
    let lines = |rings: &[geo::Ring]| rings.iter().map(|r| r.outer.clone()).collect::<Vec<_>>();
    a.layers
        .iter()
        .zip(&b.layers)
        .flat_map(|(x, y)| faces(x).into_iter().zip(faces(y)))
        .map(|(x, y)| farthest(&lines(&x), &lines(&y)))
        .fold(0.0, f64::max)
}

fn farthest(from: &[Vec<kurbo::Point>], to: &[Vec<kurbo::Point>]) -> f64 {
    use kurbo::ParamCurveNearest;
    let sides: Vec<kurbo::Line> = to
        .iter()
        .flat_map(|r| r.iter().zip(r.iter().cycle().skip(1)).map(|(a, b)| kurbo::Line::new(*a, *b)))
        .collect();
    let step = (from.iter().map(Vec::len).sum::<usize>() / 200).max(1);
    let off = |p: &kurbo::Point| {
        sides.iter().map(|s| s.nearest(*p, 1e-3).distance_sq).fold(f64::INFINITY, f64::min).sqrt()
    };
    from.iter().flatten().step_by(step).map(off).filter(|d| d.is_finite()).fold(0.0, f64::max)
}
