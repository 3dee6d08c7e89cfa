//! The foam at any depth of a wall, always from the template itself.

use kurbo::Point;

use crate::fitted::Trims;
use crate::holes::Hole;
use crate::moved::Mover;
use crate::outline::Run;
use crate::regions::{distinct, tidy, without, wound};
use crate::section::{distance, segments, signed_area, span};
use crate::simple::{is_clear, pieces, self_crossing};
use crate::slice::{Slice, slice};
use crate::step::Kind;
use crate::{Edge, GeometryError, Notice, Outline, Ring, Section, Side, WallShape};

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

/// The foam within a drawn ring, and whether that is the ring itself.
pub(crate) fn whole(slice: &Slice) -> (Vec<Ring>, bool) {
    if let Some(stepped) = &slice.stepped {
        let outer = distinct(&stepped.ring);
        if outer.len() > 2 && signed_area(&outer) > 0.0 && is_clear(&outer, &stepped.loops) {
            return (vec![Ring { outer, holes: Vec::new() }], true);
        }
        if stepped.loops.is_empty() && stepped.kinds.iter().all(|k| *k != Kind::Apart) {
            // The same ring as drawn below.
            return (wound(std::slice::from_ref(&slice.ring)), false);
        }
    }
    let outer = distinct(&slice.ring);
    if outer.len() > 2 && signed_area(&outer) > 0.0 && self_crossing(&pieces(&outer)).is_none() {
        return (vec![Ring { outer, holes: Vec::new() }], true);
    }
    (wound(std::slice::from_ref(&slice.ring)), false)
}

/// A wall's sides ready to be cut at any depth of a range.
#[derive(Debug, Clone)]
pub(crate) struct Loft {
    pub sides: Vec<Mover>,
    cutouts: Vec<Hole>,
    z0: f64,
    /// Depth at which the cut-outs are as drawn.
    holes_at: f64,
}

/// Which way all sides of a wall lean, from outer to inner face.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Leans {
    /// Out, or upright.
    Out,
    /// In, or upright.
    In,
    /// Some each way.
    Both,
}

/// The foam at one depth with what became of each side.
#[derive(Debug, Clone)]
pub(crate) struct Cut {
    pub rings: Vec<Ring>,
    /// Parameters left of each side; None when nothing of it is left.
    pub kept: Vec<Option<(f64, f64)>>,
    /// Parameters at the corners of each side that is kept, also where it is carried on past the template's.
    pub spans: Vec<(f64, f64)>,
    pub notices: Vec<Notice>,
    /// The ring as drawn is the foam (cut-outs apart): neighbours meet and no side is used up.
    pub clean: bool,
    /// The same, but neighbours may also step at the template's corner, one moved out and the other in.
    pub sound: bool,
    /// The sides drawn, in ring order.
    pub live: Vec<usize>,
    /// The ring as drawn, three points a corner, with how each corner is joined; None when it is not the foam or a side is bent.
    pub drawn: Option<(Vec<Point>, Vec<Kind>)>,
}

impl Cut {
    /// Whether each corner is joined the same way at another depth, so that it has moved along a straight line.
    pub fn moves_straight_to(&self, other: &Self) -> bool {
        let (Some((_, mine)), Some((_, theirs))) = (&self.drawn, &other.drawn) else { return false };
        // Where end and start are one place any way of joining them has just begun.
        let alike = |(a, b): (&Kind, &Kind)| a == b || *a == Kind::Meets || *b == Kind::Meets;
        self.live == other.live && mine.iter().zip(theirs).all(alike)
    }
}

impl Loft {
    /// For depths from `low` to `high`.
    pub fn new(wall: &WallShape, low: f64, high: f64) -> Result<Self, GeometryError> {
        Self::trimmed(&wall.outline, wall.template_z(), (low, high), |_| Trims::default())
    }

    /// An outline known at depth `z0`, with trims on its edges, for depths from `low` to `high`.
    pub fn trimmed(
        outline: &Outline,
        z0: f64,
        (low, high): (f64, f64),
        trims: impl Fn(&Side) -> Trims,
    ) -> Result<Self, GeometryError> {
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
        let sides = outline
            .sides()
            .iter()
            .zip(outline.runs())
            .map(|(s, r)| Mover::new(&s.edge, r, low - z0, high - z0, trims(s)))
            .collect();
        let cutouts = outline.holes();
        Ok(Self { sides, cutouts, z0, holes_at: z0 })
    }

    /// Sides known at depth `z` itself, without bevels; cut-outs as drawn at `holes_at`.
    pub fn level(
        sides: &[(Edge, Run)],
        cutouts: Vec<Hole>,
        z: f64,
        holes_at: f64,
        trims: impl Fn(u32) -> Trims,
    ) -> Self {
        let sides = sides.iter().map(|(e, r)| Mover::new(e, r, 0.0, 0.0, trims(e.id))).collect();
        Self { sides, cutouts, z0: z, holes_at }
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
        tidy(without(&whole(&self.slice(z)).0, &self.holes(z)))
    }

    /// Area of the foam at depth `z`, mm².
    pub fn area(&self, z: f64) -> f64 {
        self.region(z).iter().map(Ring::area).sum()
    }

    /// The cut-outs at depth `z`.
    fn holes(&self, z: f64) -> Vec<Ring> {
        self.cutouts.iter().flat_map(|c| c.at(z - self.holes_at)).collect()
    }

    /// The foam within a ring, cut-outs taken out: all they take at any depth (`most`), or at every depth.
    pub fn holed(&self, outer: Vec<Point>, (from, to): (f64, f64), most: bool) -> Vec<Ring> {
        let (a, b) = (from - self.holes_at, to - self.holes_at);
        let holes: Vec<Ring> =
            self.cutouts.iter().flat_map(|c| if most { c.any(a, b) } else { c.all(a, b) }).collect();
        tidy(without(&[Ring { outer, holes: Vec::new() }], &holes))
    }

    /// What leaning cut-outs take between two depths; regions cut at single depths leave steps there.
    pub fn leaning_holes(&self, (from, to): (f64, f64)) -> Vec<Ring> {
        let (a, b) = (from - self.holes_at, to - self.holes_at);
        self.cutouts.iter().filter(|c| !c.is_upright()).flat_map(|c| c.any(a, b)).collect()
    }

    /// Which way the sides lean; a leaning cut-out leans both ways.
    pub fn leans(&self) -> Leans {
        if !self.cutouts.iter().all(Hole::is_upright) {
            return Leans::Both;
        }
        let tans = || {
            let sides = self.sides.iter().flat_map(|s| s.samples.iter().map(|s| s.tan));
            sides.chain(self.cutouts.iter().map(|c| c.bevel))
        };
        if tans().all(|t| t >= 0.0) {
            Leans::Out
        } else if tans().all(|t| t <= 0.0) {
            Leans::In
        } else {
            Leans::Both
        }
    }

    /// Between these depths the foam only grows, or only shrinks, each corner along a straight line: all sides plain, leaning
    /// one way and without gaps, on one side of the template, and every corner joined alike at both.
    pub fn is_steady(&self, (from, a): (f64, &Cut), (to, b): (f64, &Cut)) -> bool {
        self.dz(from) * self.dz(to) >= 0.0
            && self.is_plain()
            && self.leans() != Leans::Both
            && self.sides.iter().all(|s| s.samples.iter().all(|s| s.inset.abs() < 1e-12))
            && a.moves_straight_to(b)
    }

    /// Straight sides of one bevel each and no cut-outs: while every side is there, each corner moves along a straight line.
    pub fn is_plain(&self) -> bool {
        self.cutouts.is_empty() && self.sides.iter().all(Mover::is_plain)
    }

    /// The foam at depth `z`.
    pub fn cut(&self, z: f64) -> Cut {
        let slice = self.slice(z);
        let (whole, simple) = whole(&slice);
        // The ring as drawn is the foam: every side is there. Otherwise look at each.
        let all_there = simple || {
            let drawn = signed_area(&slice.ring);
            let left: f64 = whole.iter().map(Ring::area).sum();
            whole.len() == 1 && (drawn - left).abs() <= 1e-9 * drawn.abs().max(1.0)
        };
        let mut notices = slice.notices;
        let boundary = if all_there { None } else { Some(Rows::new(&whole)) };
        let there = |side: &Mover, k| boundary.as_ref().is_none_or(|b| self.shows(side, k, z, b));
        let kept: Vec<_> = self
            .sides
            .iter()
            .zip(&slice.kept)
            .map(|(side, k)| (k.0 < k.1 && there(side, *k)).then_some(*k))
            .collect();
        let rings = tidy(without(&whole, &self.holes(z)));
        for hole in &self.cutouts {
            let inside =
                |p: &Point| whole.iter().any(|r| r.contains(*p) || r.distance_to_boundary(*p) < 1e-3);
            if !hole.at(z - self.holes_at).iter().flat_map(|r| &r.outer).all(inside) {
                notices.push(Notice::BreaksOut { name: hole.name.clone(), depth: z, layer: None });
            }
        }
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
        let drawn = slice.stepped.filter(|_| simple).map(|s| (s.ring, s.kinds));
        Cut {
            rings,
            kept,
            spans: slice.spans,
            notices,
            clean: simple && slice.clean,
            sound: simple && slice.sound,
            live: slice.live,
            drawn,
        }
    }

    /// Whether some place of the side lies on the foam's boundary at depth `z`.
    fn shows(&self, side: &Mover, kept: (f64, f64), z: f64, boundary: &Rows) -> bool {
        (0..=16).any(|k| {
            // Not the very ends: they touch the neighbours.
            let t = kept.0 + (kept.1 - kept.0) * (0.02 + 0.06 * f64::from(k));
            boundary.near(side.moved(t, self.dz(z)).0)
        })
    }
}

/// The pieces of some rings in level rows, to find what lies at a place without a look at every piece.
struct Rows {
    low: f64,
    height: f64,
    rows: Vec<Vec<(Point, Point)>>,
}

impl Rows {
    /// What counts as on the boundary, mm.
    const ON: f64 = 0.01;

    fn new(rings: &[Ring]) -> Self {
        let all =
            || rings.iter().flat_map(|r| std::iter::once(&r.outer).chain(&r.holes)).flat_map(|r| segments(r));
        let (low, high) = span(all().map(|(a, _)| a.y));
        let count = all().count().clamp(1, 4096);
        let height = ((high - low) / count as f64).max(1.0);
        let mut out = Self { low, height, rows: vec![Vec::new(); count + 1] };
        for (a, b) in all() {
            let (from, to) = (out.row(a.y.min(b.y) - Self::ON), out.row(a.y.max(b.y) + Self::ON));
            for row in out.rows.get_mut(from..=to).unwrap_or_default() {
                row.push((a, b));
            }
        }
        out
    }

    fn row(&self, y: f64) -> usize {
        (((y - self.low) / self.height).max(0.0) as usize).min(self.rows.len() - 1)
    }

    fn near(&self, p: Point) -> bool {
        self.rows.get(self.row(p.y)).is_some_and(|row| {
            row.iter().any(|(a, b)| {
                p.x >= a.x.min(b.x) - Self::ON
                    && p.x <= a.x.max(b.x) + Self::ON
                    && distance(&[*a, *b], p) < Self::ON
            })
        })
    }
}
