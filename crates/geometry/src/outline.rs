//! A closed ring of edges.

use kurbo::{BezPath, Point, Rect, Vec2};

use crate::curve::Curve;
use crate::holes::Hole;
use crate::section::{bounds, ring_length, signed_area};
use crate::{Bevel, Cutout, Edge, GeometryError, Notice, Spread};

/// A closed ring of edges, counter-clockwise seen from inside the box, plus cut-outs.
#[derive(Debug, Clone, PartialEq)]
pub struct Outline {
    sides: Vec<Side>,
    corners: Vec<Corner>,
    cutouts: Vec<Cutout>,
    /// One for each cut-out.
    leans: Vec<Vec2>,
    runs: Vec<Run>,
}

/// An edge as it runs from corner to corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Side {
    /// The edge it was made from.
    pub edge: Edge,
    /// From its start corner to its end corner, mm.
    pub path: BezPath,
    /// How far it was carried before its first tick.
    pub start_carry: Carry,
    /// How far it was carried past its last tick.
    pub end_carry: Carry,
    /// Length from corner to corner, mm.
    pub length: f64,
}

/// An edge carried past a tick to its corner.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Carry {
    /// Length carried, mm; 0 when the tick is the corner.
    pub length: f64,
    /// Standard uncertainty of the edge, square to itself, at the corner, mm.
    pub sd: f64,
}

/// Where two edges meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Place, mm.
    pub at: Point,
    /// Ids of the edge that ends here and the edge that starts here.
    pub between: (u32, u32),
    /// Whether a tick marks it; otherwise it is where the carried edges cross.
    pub measured: bool,
    /// How well it is known.
    pub spread: Spread,
}

/// A side's curve between its corners.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Run {
    pub curve: Curve,
    /// Parameters at the start and end corner.
    pub from: f64,
    pub to: f64,
    pub length: f64,
}

impl Run {
    /// Polyline through the curve within `tolerance` of it.
    pub fn points(&self, tolerance: f64) -> Vec<Point> {
        if self.curve.is_line() {
            return vec![self.curve.at(self.from).p, self.curve.at(self.to).p];
        }
        let mut out = Vec::new();
        for w in self.curve.breaks(self.from, self.to).windows(2) {
            let [a, b] = w else { continue };
            // Chord error κ·l²/8: the pieces follow from the greatest curvature met at nine places.
            let bend = (0..=8)
                .map(|k| self.curve.at(a + (b - a) * f64::from(k) / 8.0).curvature().abs())
                .fold(0.0, f64::max);
            let pieces = (self.curve.length(*a, *b) * (bend / (8.0 * tolerance)).sqrt() * 1.05)
                .ceil()
                .clamp(1.0, 20_000.0);
            out.extend((0..pieces as u32).map(|k| self.curve.at(a + (b - a) * f64::from(k) / pieces).p));
        }
        out.push(self.curve.at(self.to).p);
        out
    }
}

impl Outline {
    /// Makes an outline from edges in ring order and cut-outs.
    ///
    /// Neighbouring edges that share a tick (last of one, first of the next) have a measured corner there; otherwise the
    /// corner is where the two carried curves cross. Edges given clockwise are turned round and a notice says so.
    ///
    /// # Errors
    /// [`GeometryError`] naming the edge or the place, and what to do.
    pub fn new(edges: Vec<Edge>, cutouts: Vec<Cutout>) -> Result<(Self, Vec<Notice>), GeometryError> {
        crate::build::build(edges, cutouts)
    }

    pub(crate) fn from_parts(
        sides: Vec<Side>,
        corners: Vec<Corner>,
        cutouts: Vec<Cutout>,
        runs: Vec<Run>,
    ) -> Self {
        let leans = vec![Vec2::ZERO; cutouts.len()];
        Self { sides, corners, cutouts, leans, runs }
    }

    /// The outline with cut-outs whose axes lean: for each cut-out how far (mm per mm of depth, towards the box) it moves in
    /// the layer's plane, the tangent of the lean along its direction. A template seen from the other side has its x turned.
    ///
    /// # Errors
    /// [`GeometryError::BadCutout`] for a lean of more than 75°; [`GeometryError::NotFinite`] for a bad number or a list
    /// that is not one for each cut-out.
    ///
    /// # Examples
    /// A drain that comes through 45° to the right: 25 mm deeper it stands 25 mm farther right.
    /// ```
    /// # use coldwright_geometry::*;
    /// # let at = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)].map(|p| Point::new(p.0, p.1));
    /// # let tick = |i: usize| Tick { id: i as u32, at: at[i], spread: Spread::round(0.3) };
    /// # let edges = (0..4).map(|i| Edge { id: i as u32, name: format!("edge {i}"), kind: EdgeKind::Straight,
    /// #     ticks: vec![tick(i), tick((i + 1) % 4)], bevel: Bevel::default(), gap: 0.0, smoothing: 0.0 }).collect();
    /// let (drain, lean) = (Cutout::round("drain", Point::new(100.0, 150.0), 30.0, Vec2::new(1.0, 0.0)), Vec2::new(1.0, 0.0));
    /// let outline = Outline::new(edges, vec![drain])?.0.leaning(vec![lean])?;
    /// let wall = WallShape { outline, template_depth: TemplateDepth::FromOuter(0.0), fixed: FixedFace::Outer, thicknesses: vec![25.0] };
    /// let section = outline_at(&wall, 25.0)?;
    /// assert!(!section.rings[0].contains(Point::new(125.0, 150.0)) && section.rings[0].contains(Point::new(100.0, 150.0)));
    /// # Ok::<(), GeometryError>(())
    /// ```
    pub fn leaning(mut self, leans: Vec<Vec2>) -> Result<Self, GeometryError> {
        if leans.len() != self.cutouts.len() || !leans.iter().all(|l| l.is_finite()) {
            return Err(GeometryError::NotFinite {
                what: "the list of leans, one for each cut-out,".to_owned(),
            });
        }
        let steepest = Bevel::STEEPEST.tan() + 1e-9;
        if let Some((c, _)) = self.cutouts.iter().zip(&leans).find(|(_, l)| l.hypot() > steepest) {
            return Err(GeometryError::BadCutout { name: c.name.clone(), why: "leans more than 75°" });
        }
        self.leans = leans;
        Ok(self)
    }

    /// How far each cut-out moves per depth; see [`Outline::leaning`].
    #[must_use]
    pub fn leans(&self) -> &[Vec2] {
        &self.leans
    }

    pub(crate) fn holes(&self) -> Vec<Hole> {
        self.cutouts.iter().zip(&self.leans).map(|(c, l)| Hole::new(c, *l)).collect()
    }

    pub(crate) fn runs(&self) -> &[Run] {
        &self.runs
    }

    /// The sides in ring order, counter-clockwise.
    #[must_use]
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The corners; the first lies at the end of the first side.
    #[must_use]
    pub fn corners(&self) -> &[Corner] {
        &self.corners
    }

    /// The cut-outs.
    #[must_use]
    pub fn cutouts(&self) -> &[Cutout] {
        &self.cutouts
    }

    /// Counter-clockwise polyline within `tolerance_mm` (at least 0.0001) of the outline, the first point not repeated.
    #[must_use]
    pub fn polyline(&self, tolerance_mm: f64) -> Vec<Point> {
        self.runs
            .iter()
            .flat_map(|r| {
                let mut points = r.points(tolerance_mm.max(1e-4));
                points.pop();
                points
            })
            .collect()
    }

    /// The outline as one closed path, mm.
    #[must_use]
    pub fn path(&self) -> BezPath {
        let mut out = BezPath::new();
        for (i, side) in self.sides.iter().enumerate() {
            out.extend(side.path.elements().iter().skip(usize::from(i > 0)).copied());
        }
        out.close_path();
        out
    }

    /// Area within the edges, without cut-outs taken off, mm².
    #[must_use]
    pub fn area(&self) -> f64 {
        signed_area(&self.polyline(0.001))
    }

    /// Length round the edges, mm.
    #[must_use]
    pub fn perimeter(&self) -> f64 {
        ring_length(&self.polyline(0.001))
    }

    /// Smallest upright rectangle round it.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        bounds(&self.polyline(0.001))
    }
}
