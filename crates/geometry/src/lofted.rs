//! The layers of a wall known from several templates.

use kurbo::Vec2;

use crate::curve::{Curve, Jet};
use crate::fitted::Trims;
use crate::holes::Hole;
use crate::loft::{Cut, Loft};
use crate::outline::Run;
use crate::regions::{common, either, tidy, without};
use crate::section::span;
use crate::templates::{Strand, TemplatedWall};
use crate::told::Told;
use crate::volume::volume;
use crate::{
    Bevel, BevelMark, BevelStation, Edge, GeometryError, Layer, LayerSet, Notice, Proud, Ring, Section,
};

/// Depths at which a slab is cut for its square cuts where its sides do not all lean one way, both faces included. A corner
/// that wanders between them may stand out by a sixteenth of its way through the slab.
const DEPTHS: u32 = 17;

impl TemplatedWall {
    /// The foam at `depth_mm` from the outer face; the rings are empty when nothing is left there.
    ///
    /// # Errors
    /// [`GeometryError::NotFinite`] or [`GeometryError::DepthTooFar`] for a depth that makes no sense.
    pub fn outline_at(&self, depth_mm: f64) -> Result<Section, GeometryError> {
        if !depth_mm.is_finite() {
            return Err(GeometryError::NotFinite { what: "the depth".to_owned() });
        }
        if self.depths().iter().any(|z| (z - depth_mm).abs() > 2000.0) {
            return Err(GeometryError::DepthTooFar { depth: depth_mm });
        }
        let cut = self.loft_at(depth_mm, 1).cut(depth_mm);
        Ok(Section { rings: cut.rings, notices: cut.notices })
    }

    /// All layers, outermost first; bevels are measured square to the edges.
    ///
    /// # Errors
    /// [`GeometryError::EmptyAtDepth`] naming the layer and the depth where nothing is left.
    pub fn layers(&self) -> Result<LayerSet, GeometryError> {
        let mut out = Vec::new();
        let mut told = Told::default();
        let mut before: Option<Face> = None;
        for (i, (from, thickness)) in self.froms.iter().zip(&self.thicknesses).enumerate() {
            let number = i + 1;
            let outer = match before.take() {
                Some(face) if face.z >= *from && !self.fitted.iter().any(|f| f.layer + 1 == number) => face,
                _ => Face::new(self, *from, number)?,
            };
            let inner = Face::new(self, outer.z + thickness, number)?;
            for n in outer.cut.notices.iter().chain(&inner.cut.notices) {
                told.tell(n, number);
            }
            out.push(self.layer(number, &outer, &inner));
            before = Some(inner);
        }
        let mut notices = told.all();
        for strand in &self.strands {
            let steepest = out
                .iter()
                .flat_map(|l| &l.bevels)
                .filter(|m| m.edge == strand.edge.id)
                .map(|m| m.angle)
                .fold(0.0, |m: f64, a| if a.abs() > m.abs() { a } else { m });
            if steepest.abs() > std::f64::consts::FRAC_PI_4 + 1e-9 {
                let (edge, name) = (strand.edge.id, strand.edge.name.clone());
                notices.push(Notice::FeatherEdge { edge, name, angle: steepest });
            }
        }
        Ok(LayerSet { layers: out, notices })
    }

    /// The sides at one depth as a layer has to follow them, ready to be joined with their gaps and trims.
    fn loft_at(&self, z: f64, layer: usize) -> Loft {
        let w = self.weights.at(z);
        let runs: Vec<(Edge, Run)> = self
            .strands
            .iter()
            .map(|s| (Edge { bevel: Bevel::default(), ..s.edge.clone() }, s.run(&w)))
            .collect();
        let (cutouts, holes_at) = self.holes();
        Loft::level(&runs, cutouts, z, holes_at, |edge| Trims::of(&self.fitted, edge, layer))
    }

    /// The cut-outs, and the depth at which they are as drawn.
    fn holes(&self) -> (Vec<Hole>, f64) {
        let drawn = self.outlines.iter().zip(&self.depths).find(|(o, _)| !o.cutouts().is_empty());
        drawn.map_or_else(Default::default, |(o, z)| (o.holes(), *z))
    }

    fn layer(&self, number: usize, a: &Face, b: &Face) -> Layer {
        let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
        let (area_outer, area_inner) = (area(&a.cut.rings), area(&b.cut.rings));
        let volume = volume(&|z| self.loft_at(z, number).area(z), (a.z, area_outer), (b.z, area_inner));
        let thickness = b.z - a.z;
        let (fits, fills) = self.square_cuts(number, a, b);
        let mut largest =
            (0.0, a.cut.rings.first().and_then(|r| r.outer.first()).copied().unwrap_or_default());
        let mut steepest = 0.0_f64;
        for s in &self.strands {
            for k in 0..s.at.len() {
                let (p, q) = (s.weighed(k, &a.weights), s.weighed(k, &b.weights));
                let gap = (q.p - p.p).dot(p.normal());
                if gap.abs() > largest.0 + 1e-9 {
                    largest = (gap.abs(), if gap > 0.0 { p.p } else { q.p });
                }
                steepest = steepest.max(self.angle(s, k, a.z).abs()).max(self.angle(s, k, b.z).abs());
            }
        }
        let tightest = [a, b]
            .into_iter()
            .flat_map(|f| self.strands.iter().map(move |s| (f, s)))
            .filter(|(_, s)| !s.straight)
            .flat_map(|(f, s)| {
                (0..s.at.len()).map(move |k| (s.weighed(k, &f.weights).curvature(), s.edge.gap))
            })
            // Flatter than 100 m a blade does not notice.
            .filter(|(bend, _)| *bend < -1e-5)
            .map(|(bend, gap)| (-1.0 / bend + gap).max(0.0))
            .min_by(f64::total_cmp);
        Layer {
            number,
            from: a.z,
            to: b.z,
            outer: Section { rings: a.cut.rings.clone(), notices: a.cut.notices.clone() },
            inner: Section { rings: b.cut.rings.clone(), notices: b.cut.notices.clone() },
            bevels: self.marks(a),
            area_outer,
            area_inner,
            volume,
            wedge: (volume - area(&fits) * thickness).max(0.0),
            excess: (area(&fills) * thickness - volume).max(0.0),
            fits,
            fills,
            largest_gap: largest.0,
            largest_gap_at: largest.1,
            steepest_bevel: steepest,
            tightest_inside_radius: tightest,
        }
    }

    /// Bevel of the surface at the k-th place of a side, square to the edge, radians.
    fn angle(&self, s: &Strand, k: usize, z: f64) -> f64 {
        let here = s.weighed(k, &self.weights.at(z));
        let rate = s.weighed(k, &self.weights.slopes(z)).p.to_vec2();
        rate.dot(here.normal()).atan()
    }

    /// Bevels at the corners, quarters and middle of each side on the cut line of the outer face; one where they are all alike.
    fn marks(&self, face: &Face) -> Vec<BevelMark> {
        /// Angles closer than this are one to a saw, radians.
        const ALIKE: f64 = 0.05 * std::f64::consts::PI / 180.0;
        let mut out = Vec::new();
        for s in &self.strands {
            let all: Vec<BevelMark> = [0.0, 0.25, 0.5, 0.75, 1.0]
                .into_iter()
                .map(|f| {
                    let j = s.between(f, &face.weights);
                    let rate = s.between(f, &self.weights.slopes(face.z)).p.to_vec2();
                    let outward: Vec2 = j.normal();
                    let angle = rate.dot(outward).atan();
                    let at = j.p - outward * s.edge.gap;
                    BevelMark { edge: s.edge.id, at, outward, angle, proud: Proud::of(angle) }
                })
                .collect();
            let (low, high) = span(all.iter().map(|m| m.angle));
            if high - low < ALIKE { out.extend(all.get(2)) } else { out.extend(all) }
        }
        out
    }

    /// The bevel of the surface along a side at one depth, square to the edge.
    pub(crate) fn bevel(&self, s: &Strand, z: f64) -> Result<Bevel, GeometryError> {
        let (here, slopes) = (self.weights.at(z), self.weights.slopes(z));
        let angle = |f: f64| {
            let rate = s.between(f, &slopes).p.to_vec2();
            rate.dot(s.between(f, &here).normal()).atan().clamp(-Bevel::STEEPEST, Bevel::STEEPEST)
        };
        let stations: Vec<BevelStation> =
            [0.0, 0.25, 0.5, 0.75, 1.0].map(|at| BevelStation { at, angle: angle(at) }).to_vec();
        let (low, high) = span(stations.iter().map(|s| s.angle));
        if high - low < 1e-9 { Bevel::constant(0.5 * (low + high)) } else { Bevel::from_stations(stations) }
    }

    fn square_cuts(&self, number: usize, a: &Face, b: &Face) -> (Vec<Ring>, Vec<Ring>) {
        let middle = 0.5 * (a.z + b.z);
        let holes = self.holes().0;
        let leaning = self.loft_at(a.z, number).leaning_holes((a.z, b.z));
        let angles = || {
            let sides = self.strands.iter().flat_map(|s| {
                (0..s.at.len()).flat_map(move |k| [a.z, middle, b.z].map(|z| self.angle(s, k, z)))
            });
            sides.chain(holes.iter().map(|h| h.bevel))
        };
        let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
        let nested = |x: &[Ring], y: &[Ring]| area(&without(x, y)) <= 1e-9 * area(x);
        let upright = leaning.is_empty();
        if upright && angles().all(|t| t >= -1e-12) && nested(&a.cut.rings, &b.cut.rings) {
            return (a.cut.rings.clone(), b.cut.rings.clone());
        }
        if upright && angles().all(|t| t <= 1e-12) && nested(&b.cut.rings, &a.cut.rings) {
            return (b.cut.rings.clone(), a.cut.rings.clone());
        }
        let (mut fits, mut fills) = (a.cut.rings.clone(), a.cut.rings.clone());
        for k in 1..DEPTHS {
            let z = a.z + (b.z - a.z) * f64::from(k) / f64::from(DEPTHS - 1);
            let region = self.loft_at(z, number).region(z);
            fits = common(&fits, &region);
            fills = either(&fills, &region);
        }
        (tidy(without(&fits, &leaning)), tidy(fills))
    }
}

/// The foam at one face.
struct Face {
    z: f64,
    weights: Vec<f64>,
    cut: Cut,
}

impl Face {
    fn new(wall: &TemplatedWall, z: f64, layer: usize) -> Result<Self, GeometryError> {
        let cut = wall.loft_at(z, layer).cut(z);
        if cut.rings.is_empty() {
            return Err(GeometryError::EmptyAtDepth { layer, depth: z });
        }
        Ok(Self { z, weights: wall.weights.at(z), cut })
    }
}

impl Strand {
    /// The side with templates weighed by `w`: a quintic from place to place with their directions and curvatures.
    fn run(&self, w: &[f64]) -> Run {
        let jets: Vec<Jet> = (0..self.at.len()).map(|k| self.weighed(k, w)).collect();
        let curve = match (self.straight, jets.first(), jets.last()) {
            (true, Some(a), Some(b)) => Curve::line(a.p, b.p),
            _ => Curve::new(
                self.at.clone(),
                self.at
                    .windows(2)
                    .zip(jets.windows(2))
                    .filter_map(|(u, j)| match (u, j) {
                        ([u, v], [a, b]) => Some(quintic(a, b, v - u)),
                        _ => None,
                    })
                    .collect(),
            ),
        };
        let (from, to) = curve.ends();
        let length = curve.length(from, to);
        Run { curve, from, to, length }
    }

    /// Place and derivatives at any fraction.
    fn between(&self, fraction: f64, w: &[f64]) -> Jet {
        let run = self.run(w);
        run.curve.at(run.from + fraction * (run.to - run.from))
    }
}

/// Taylor coefficients about `a` of the quintic to `b`, `h` on, with both places, first and second derivatives.
fn quintic(a: &Jet, b: &Jet, h: f64) -> [Vec2; 6] {
    let d = b.p - (a.p + a.d1 * h + a.d2 * (0.5 * h * h));
    let e = b.d1 - (a.d1 + a.d2 * h);
    let f = b.d2 - a.d2;
    [
        a.p.to_vec2(),
        a.d1,
        a.d2 * 0.5,
        (d * 10.0 - e * (4.0 * h) + f * (0.5 * h * h)) / h.powi(3),
        (d * -15.0 + e * (7.0 * h) - f * (h * h)) / h.powi(4),
        (d * 6.0 - e * (3.0 * h) + f * (0.5 * h * h)) / h.powi(5),
    ]
}
