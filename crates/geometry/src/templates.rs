//! A wall known from several templates, their edges matched corner to corner.

use kurbo::Point;

use crate::curve::Jet;
use crate::outline::Run;
use crate::weights::Weights;
use crate::{AsFitted, Edge, GeometryError, Outline, TemplateDepth};

/// One template with its depth in the wall.
#[derive(Debug, Clone, PartialEq)]
pub struct Template {
    /// The outline at that depth. Its edges' bevels are not used: they come out of the templates together.
    pub outline: Outline,
    /// Where it was taken.
    pub depth: TemplateDepth,
}

/// A wall's shape between two or more templates.
///
/// Edges are matched corner to corner and equal fractions of their lengths are joined: straight between two templates, by a
/// parabola through three, a cubic through four, a not-a-knot cubic spline from five. Gaps are those of the first
/// template given, cut-outs those of the outermost one that has any.
#[derive(Debug, Clone, PartialEq)]
pub struct TemplatedWall {
    /// From outer to inner.
    pub(crate) depths: Vec<f64>,
    pub(crate) weights: Weights,
    /// For each side, in ring order of the outermost template.
    pub(crate) strands: Vec<Strand>,
    pub(crate) outlines: Vec<Outline>,
    matches: Vec<Vec<u32>>,
    /// Place of the first template given among `depths`.
    pub(crate) first: usize,
    /// Trims taken while the layers were fitted.
    pub(crate) fitted: Vec<AsFitted>,
    pub(crate) thicknesses: Vec<f64>,
    /// Depth of each layer's outer face, mm.
    pub(crate) froms: Vec<f64>,
    total: f64,
}

/// One side as all templates have it.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Strand {
    pub edge: Edge,
    /// Straight in every template.
    pub straight: bool,
    /// Fractions of the length at which it is known, 0..=1.
    pub at: Vec<f64>,
    /// For each fraction, for each template: place and derivatives by the fraction.
    pub jets: Vec<Vec<Jet>>,
}

/// Places per span of a fair curve at which a side is joined, so that what lies between (a quintic through place, direction
/// and curvature) is right to a micrometre.
const PER_SPAN: usize = 4;

impl TemplatedWall {
    /// A wall of layers `thicknesses` (mm, outer to inner) from at least two templates, in any order.
    ///
    /// `starts`, one number a template in the order given, says which of its sides (counted from 0) goes with the first side
    /// of the first one given. Without it sides go together by their edges' ids when all templates have the same ids, else so
    /// that corners lie nearest to each other; [`TemplatedWall::matches`] shows what came of it.
    ///
    /// # Errors
    /// [`GeometryError::Templates`] when there are fewer than two, two at one depth, their edges differ in number or `starts`
    /// does not fit; [`GeometryError::NoLayers`], [`GeometryError::NegativeThickness`] as for one template.
    pub fn new(
        templates: &[Template],
        thicknesses: Vec<f64>,
        starts: Option<&[usize]>,
    ) -> Result<Self, GeometryError> {
        Self::spaced(templates, thicknesses, &[], starts)
    }

    /// The same with spaces that hold no foam before the layers, as in [`crate::layers_spaced`].
    ///
    /// # Errors
    /// As [`TemplatedWall::new`], and [`GeometryError::BadSpace`].
    pub fn spaced(
        templates: &[Template],
        thicknesses: Vec<f64>,
        spaces: &[f64],
        starts: Option<&[usize]>,
    ) -> Result<Self, GeometryError> {
        crate::layers::check(&thicknesses)?;
        let froms = crate::layers::starts(&thicknesses, spaces)?;
        let bad = |what: String| Err(GeometryError::Templates { what });
        let total = crate::layers::depth(&thicknesses, spaces);
        let mut all: Vec<(f64, usize)> = Vec::new();
        for (i, t) in templates.iter().enumerate() {
            let z = t.depth.from_outer(total);
            if !z.is_finite() || z.abs() > 2000.0 {
                return Err(GeometryError::NotFinite { what: format!("the depth of template {}", i + 1) });
            }
            all.push((z, i));
        }
        let (Some(first), true) = (templates.first(), templates.len() > 1) else {
            return bad(format!("are {} and at least two are needed", templates.len()));
        };
        let n = first.outline.sides().len();
        if let Some(i) = templates.iter().position(|t| t.outline.sides().len() != n) {
            let has = templates.get(i).map_or(0, |t| t.outline.sides().len());
            return bad(format!("differ: the first has {n} edges, number {} has {has}", i + 1));
        }
        let shifts = match starts {
            Some(s) if s.len() == templates.len() && s.iter().all(|k| *k < n) => {
                s.iter().map(|k| (k + n - s[0]) % n).collect()
            }
            Some(s) => return bad(format!("and the {} starts given do not fit together", s.len())),
            None => shifts(templates),
        };
        all.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(w) = all.windows(2).find(|w| matches!(w, [a, b] if b.0 - a.0 < 1.0)) {
            return bad(format!("{} and {} are at one depth", w[0].1 + 1, w[1].1 + 1));
        }
        let depths: Vec<f64> = all.iter().map(|a| a.0).collect();
        let Some(weights) = Weights::new(&depths) else { return bad("cannot be joined".to_owned()) };
        let side = |t: usize, i: usize| (i + shifts[t]) % n;
        let strands = (0..n)
            .map(|i| {
                let runs: Vec<&Run> =
                    all.iter().map(|(_, t)| &templates[*t].outline.runs()[side(*t, i)]).collect();
                strand(&first.outline.sides()[side(0, i)].edge, &runs)
            })
            .collect();
        let matches = (0..n)
            .map(|i| all.iter().map(|(_, t)| templates[*t].outline.sides()[side(*t, i)].edge.id).collect())
            .collect();
        let outlines = all.iter().map(|(_, t)| templates[*t].outline.clone()).collect();
        let first = all.iter().position(|(_, t)| *t == 0).unwrap_or_default();
        let fitted = Vec::new();
        Ok(Self { depths, weights, strands, outlines, matches, first, fitted, thicknesses, froms, total })
    }

    /// The same wall with trims taken while its layers were fitted, on edges of the first template given, as in
    /// [`crate::layers_as_fitted`].
    ///
    /// # Errors
    /// [`GeometryError::BadTrim`] for a trim of no layer or edge, or one that cannot be.
    pub fn as_fitted(self, fitted: &[AsFitted]) -> Result<Self, GeometryError> {
        let edges: Vec<&Edge> = self.strands.iter().map(|s| &s.edge).collect();
        crate::fitted::check_on(self.thicknesses.len(), &edges, fitted)?;
        Ok(Self { fitted: fitted.to_vec(), ..self })
    }

    /// The outline of the first template given with the bevels that come out of all of them at its depth, at five places of an
    /// edge where they change along it: the wall as one template tells it.
    ///
    /// # Errors
    /// Those of [`Outline::new`] and [`Outline::leaning`].
    pub fn bevelled(&self) -> Result<Outline, GeometryError> {
        let missing = || GeometryError::Templates { what: "are gone".to_owned() };
        let outline = self.outlines.get(self.first).ok_or_else(missing)?;
        let z = self.depths.get(self.first).copied().unwrap_or_default();
        let edges = outline
            .sides()
            .iter()
            .map(|side| {
                let strand = self.strands.iter().find(|s| s.edge.id == side.edge.id).ok_or_else(missing)?;
                Ok(Edge { bevel: self.bevel(strand, z)?, ..side.edge.clone() })
            })
            .collect::<Result<_, GeometryError>>()?;
        Outline::new(edges, outline.cutouts().to_vec())?.0.leaning(outline.leans().to_vec())
    }

    /// For each side the ids of the edges joined, from the outermost template to the innermost.
    #[must_use]
    pub fn matches(&self) -> &[Vec<u32>] {
        &self.matches
    }

    /// Depths of the templates from the outer face, rising, mm.
    #[must_use]
    pub fn depths(&self) -> &[f64] {
        &self.depths
    }

    /// How far the layers may be off between and beyond these templates, mm: what one more term of the curve from hull to box
    /// would add if the surface went on as a circle there, and a hundredth for the arithmetic.
    ///
    /// From two templates nothing is seen of the bulge; a radius of 600 mm, a tight hull, is supposed, so that flat walls are
    /// far better than this says. Measuring errors of the ticks are not in it.
    #[must_use]
    pub fn expected_error(&self) -> f64 {
        /// What offsets and fair curves are right to by themselves, mm.
        const ARITHMETIC: f64 = 0.01;
        (0..=32)
            .map(|k| self.total * f64::from(k) / 32.0)
            .flat_map(|z| self.strands.iter().map(move |s| (z, s)))
            .map(|(z, s)| s.missing(&self.depths, &self.weights, z))
            .fold(0.0, f64::max)
            + ARITHMETIC
    }
}

/// How far each template's sides are turned on against the first one's.
fn shifts(templates: &[Template]) -> Vec<usize> {
    let Some(first) = templates.first() else { return Vec::new() };
    let n = first.outline.sides().len();
    let ids = |t: &Template| t.outline.sides().iter().map(|s| s.edge.id).collect::<Vec<_>>();
    let wanted = ids(first);
    let by_id = |t: &Template| {
        let have = ids(t);
        (0..n).find(|k| (0..n).all(|i| have[(i + k) % n] == wanted[i]))
    };
    if let Some(all) = templates.iter().map(by_id).collect() {
        return all;
    }
    let corners = |t: &Template| t.outline.corners().iter().map(|c| c.at).collect::<Vec<Point>>();
    let wanted = corners(first);
    let apart =
        |have: &[Point], k: usize| -> f64 { (0..n).map(|i| (have[(i + k) % n] - wanted[i]).hypot2()).sum() };
    templates
        .iter()
        .map(|t| {
            let have = corners(t);
            (0..n).min_by(|a, b| apart(&have, *a).total_cmp(&apart(&have, *b))).unwrap_or(0)
        })
        .collect()
}

fn strand(edge: &Edge, runs: &[&Run]) -> Strand {
    let straight = runs.iter().all(|r| r.curve.is_line());
    let mut at = vec![0.0, 1.0];
    if !straight {
        for r in runs {
            let breaks = r.curve.breaks(r.from, r.to);
            for w in breaks.windows(2) {
                let [a, b] = w else { continue };
                at.extend((0..PER_SPAN).map(|k| {
                    let t = a + (b - a) * k as f64 / PER_SPAN as f64;
                    r.curve.length(r.from, t) / r.length
                }));
            }
        }
        at.retain(|f| (0.0..=1.0).contains(f));
        at.sort_by(f64::total_cmp);
        at.dedup_by(|b, a| *b - *a < 1e-4);
        if let Some(last) = at.last_mut() {
            *last = 1.0;
        }
    }
    let jets = at.iter().map(|f| runs.iter().map(|r| by_fraction(r, *f)).collect()).collect();
    Strand { edge: edge.clone(), straight, at, jets }
}

/// Place and derivatives by the fraction of the length.
fn by_fraction(run: &Run, fraction: f64) -> Jet {
    let (mut lo, mut hi) = (run.from, run.to);
    let mut t = lo + fraction * (hi - lo);
    if !run.curve.is_line() {
        // Newton's steps kept within halvings; 60 of these alone reach a nanometre.
        for _ in 0..60 {
            let off = run.curve.length(run.from, t) - fraction * run.length;
            (lo, hi) = if off > 0.0 { (lo, t) } else { (t, hi) };
            let next = t - off / run.curve.at(t).d1.hypot().max(1e-300);
            let step = if next > lo && next < hi { next } else { 0.5 * (lo + hi) };
            let done = (step - t).abs() < 1e-12 * (1.0 + t.abs());
            t = step;
            if done {
                break;
            }
        }
        if fraction <= 0.0 {
            t = run.from;
        } else if fraction >= 1.0 {
            t = run.to;
        }
    }
    let j = run.curve.at(t);
    Jet {
        p: j.p,
        d1: j.tangent() * run.length,
        d2: j.tangent().turn_90() * (j.curvature() * run.length.powi(2)),
    }
}

impl Strand {
    /// Place and derivatives by the fraction at the k-th place, templates weighed by `w`.
    pub fn weighed(&self, k: usize, w: &[f64]) -> Jet {
        let zero = Jet { p: Point::ZERO, d1: kurbo::Vec2::ZERO, d2: kurbo::Vec2::ZERO };
        self.jets.get(k).map_or(zero, |all| {
            all.iter().zip(w).fold(zero, |s, (j, w)| Jet {
                p: s.p + j.p.to_vec2() * *w,
                d1: s.d1 + j.d1 * *w,
                d2: s.d2 + j.d2 * *w,
            })
        })
    }

    /// See [`TemplatedWall::expected_error`], at one depth.
    fn missing(&self, depths: &[f64], weights: &Weights, z: f64) -> f64 {
        /// Supposed where nothing is known, mm: a tight hull.
        const RADIUS: f64 = 600.0;
        /// The surface is no circle; half as much again.
        const MARGIN: f64 = 1.5;
        // Depths that decide there: all of a polynomial, of a spline the four nearest.
        let mut near: Vec<f64> = depths.to_vec();
        near.sort_by(|a, b| (a - z).abs().total_cmp(&(b - z).abs()));
        near.truncate(4);
        let product: f64 = near.iter().map(|k| (z - k).abs()).product();
        let (slopes, bends) = (weights.slopes(z), weights.bends(z));
        let here = weights.at(z);
        (0..self.at.len())
            .map(|k| {
                let n = self.weighed(k, &here).normal();
                // Outward rate and bend of the surface over the depth.
                let f1 = self.weighed(k, &slopes).p.to_vec2().dot(n);
                let f2 = self.weighed(k, &bends).p.to_vec2().dot(n);
                let lean = 1.0 + f1 * f1;
                MARGIN
                    * product
                    * match near.len() {
                        // Derivatives of a circle of that slope and bend.
                        2 => lean.powf(1.5) / RADIUS / 2.0,
                        3 => (3.0 * f1 * f2 * f2 / lean).abs() / 6.0,
                        _ => (3.0 * f2.powi(3) / lean * (1.0 + 4.0 * f1 * f1 / lean)).abs() / 24.0,
                    }
            })
            .fold(0.0, f64::max)
    }
}
