//! The foam at any depth of a wall, always from the template itself.

use kurbo::Point;

use crate::moved::Mover;
use crate::regions::{tidy, without, wound};
use crate::slice::{Slice, slice};
use crate::{GeometryError, Notice, Ring, Section, WallShape};

/// Farthest from the template that is worked out, mm.
const FARTHEST: f64 = 2000.0;

/// The foam at `depth_mm` from the outer face; the rings are empty when nothing is left there.
///
/// The depth may lie outside the wall, to see how the outline goes on.
///
/// # Errors
/// [`GeometryError::NotFinite`] or [`GeometryError::DepthTooFar`] for a depth that makes no sense.
///
/// # Examples
/// A piece 400 × 300 mm at its outer face, its sides leaning out by 10°, 50 mm deeper:
/// ```
/// use coldwright_geometry::*;
/// let corner = |id, x, y| Tick { id, at: Point::new(x, y), spread: Spread::round(0.3) };
/// let ticks = [corner(1, 0.0, 0.0), corner(2, 400.0, 0.0), corner(3, 400.0, 300.0), corner(4, 0.0, 300.0)];
/// let bevel = Bevel::constant(10_f64.to_radians())?;
/// let edges = (0..4)
///     .map(|i| Edge {
///         id: i as u32,
///         name: format!("edge {i}"),
///         kind: EdgeKind::Straight,
///         ticks: vec![ticks[i], ticks[(i + 1) % 4]],
///         bevel: bevel.clone(),
///         gap: 0.0,
///         smoothing: 0.0,
///     })
///     .collect();
/// let (outline, _) = Outline::new(edges, vec![])?;
/// let wall = WallShape { outline, template_depth: TemplateDepth::FromOuter(0.0), fixed: FixedFace::Outer, thicknesses: vec![50.0] };
/// let section = outline_at(&wall, 50.0)?;
/// let grown = 2.0 * 50.0 * 10_f64.to_radians().tan();
/// assert!((section.area() - (400.0 + grown) * (300.0 + grown)).abs() < 0.01);
/// # Ok::<(), GeometryError>(())
/// ```
pub fn outline_at(wall: &WallShape, depth_mm: f64) -> Result<Section, GeometryError> {
    let loft = Loft::new(wall, depth_mm, depth_mm)?;
    let cut = loft.cut(depth_mm);
    Ok(Section { rings: cut.rings, notices: cut.notices })
}

/// A wall's sides ready to be cut at any depth of a range.
#[derive(Debug, Clone)]
pub(crate) struct Loft {
    pub sides: Vec<Mover>,
    cutouts: Vec<Ring>,
    z0: f64,
}

/// The foam at one depth with what became of each side.
#[derive(Debug, Clone)]
pub(crate) struct Cut {
    pub rings: Vec<Ring>,
    /// Parameters left of each side; None when nothing of it is left.
    pub kept: Vec<Option<(f64, f64)>>,
    pub notices: Vec<Notice>,
}

impl Loft {
    /// For depths from `low` to `high`.
    pub fn new(wall: &WallShape, low: f64, high: f64) -> Result<Self, GeometryError> {
        let z0 = wall.template_z();
        if !z0.is_finite() {
            return Err(GeometryError::NotFinite { what: "the template's depth".to_owned() });
        }
        for depth in [low, high] {
            if !depth.is_finite() {
                return Err(GeometryError::NotFinite { what: "the depth".to_owned() });
            }
            if (depth - z0).abs() > FARTHEST {
                return Err(GeometryError::DepthTooFar { depth });
            }
        }
        let runs = wall.outline.runs();
        let sides = wall
            .outline
            .sides()
            .iter()
            .zip(runs)
            .map(|(s, r)| Mover::new(&s.edge, r, low - z0, high - z0))
            .collect();
        let cutouts = wall
            .outline
            .cutouts()
            .iter()
            .map(|c| Ring { outer: c.ring.clone(), holes: Vec::new() })
            .collect();
        Ok(Self { sides, cutouts, z0 })
    }

    /// Depth off the template.
    pub fn dz(&self, z: f64) -> f64 {
        z - self.z0
    }

    pub fn slice(&self, z: f64) -> Slice {
        slice(&self.sides, self.dz(z))
    }

    /// The foam at depth `z` without a look at its sides.
    pub fn region(&self, z: f64) -> Vec<Ring> {
        tidy(without(&wound(&[self.slice(z).ring]), &self.cutouts))
    }

    /// The foam at depth `z`.
    pub fn cut(&self, z: f64) -> Cut {
        let slice = self.slice(z);
        let whole = wound(std::slice::from_ref(&slice.ring));
        let drawn = crate::section::signed_area(&slice.ring);
        let left: f64 = whole.iter().map(Ring::area).sum();
        // The ring as drawn is the foam: every side is there. Otherwise look at each.
        let all_there = whole.len() == 1 && (drawn - left).abs() <= 1e-9 * drawn.abs().max(1.0);
        let mut notices = slice.notices.clone();
        let kept: Vec<_> = self
            .sides
            .iter()
            .zip(&slice.kept)
            .map(|(side, k)| (k.0 < k.1 && (all_there || self.shows(side, *k, z, &whole))).then_some(*k))
            .collect();
        let rings = tidy(without(&whole, &self.cutouts));
        if !rings.is_empty() {
            for (side, k) in self.sides.iter().zip(&kept) {
                if k.is_none() {
                    notices.push(Notice::EdgeVanished {
                        edge: side.id,
                        name: side.name.clone(),
                        depth: z,
                        layer: None,
                    });
                }
            }
            if rings.len() > 1 {
                notices.push(Notice::NarrowNeckLost { depth: z, parts: rings.len(), layer: None });
            }
        }
        Cut { rings, kept, notices }
    }

    /// Whether some place of the side lies on the foam's boundary at depth `z`.
    fn shows(&self, side: &Mover, kept: (f64, f64), z: f64, rings: &[Ring]) -> bool {
        (0..=16).any(|k| {
            // Not the very ends: they touch the neighbours.
            let t = kept.0 + (kept.1 - kept.0) * (0.02 + 0.06 * f64::from(k));
            let p: Point = side.moved(t, self.dz(z)).0;
            rings.iter().any(|r| r.distance_to_boundary(p) < 0.01)
        })
    }
}
