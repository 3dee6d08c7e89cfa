//! The first layers of a wall over a hollow: laid out flat along the surface, with the joints of their strips or their kerfs.

use std::sync::Arc;

use coldwright_geometry as geo;
use coldwright_geometry::{
    GeometryError, Kerfing, Layer, LayerSet, Outline, Part, Point, Ring, Severity, Strip,
};

use crate::document::{CutStyle, Job, Wall, WallId};
use crate::hollow::{Along, FirstLayers, HollowBehind};
use crate::layered;
use crate::plan::WallPlan;
use crate::problem::{Problem, Step};

/// What follows from the hollow behind a wall.
#[derive(Clone, Debug, PartialEq)]
pub struct HollowPlan {
    /// The hollow under the straightedge.
    pub hollow: geo::Hollow,
    /// How the straightedge lies.
    pub along: Along,
    /// Where it begins in the wall's frame, mm.
    pub from: f64,
    /// Deepest gap, and its place from the beginning of the straightedge, mm.
    pub deepest: (f64, f64),
    /// Tightest radius, mm; `None` where nothing is hollow.
    pub tightest: Option<f64>,
    /// Void left behind layer 1 as it is made, mm³.
    pub void: f64,
    /// Void left before the first layer that is flat where layers before it follow the hollow, mm³; 0 where none is flat, or
    /// all are.
    pub before_flat: f64,
    /// What each of the first layers is made into, layer 1 first.
    pub layers: Vec<HollowLayer>,
}

impl HollowPlan {
    /// The strip of a layer that a place of it, laid out flat, is on.
    pub fn strip_at(&self, layer: usize, at: Point) -> Option<&Strip> {
        let HollowLayer::Strips { strips, cuts } = self.layers.get(layer.checked_sub(1)?)? else {
            return None;
        };
        let x = if self.along == Along::Across { at.x } else { at.y };
        let inner = cuts.get(1..cuts.len().saturating_sub(1)).unwrap_or_default();
        strips.get(inner.partition_point(|c| *c <= x))
    }

    /// Where the kerfs of a layer lie along the straightedge, the layer laid out flat, mm; none where it has none.
    pub fn kerfs(&self, layer: usize) -> &[f64] {
        match layer.checked_sub(1).and_then(|i| self.layers.get(i)) {
            Some(HollowLayer::Kerfs { at, .. }) => at,
            _ => &[],
        }
    }
}

/// What one layer over a hollow is made into.
#[derive(Clone, Debug, PartialEq)]
pub enum HollowLayer {
    /// Strips, and where they begin and end in the layer laid out flat (in the wall's frame, along the straightedge), mm.
    Strips {
        /// The strips, from the beginning of the straightedge.
        strips: Vec<Strip>,
        /// One more than there are strips.
        cuts: Vec<f64>,
    },
    /// Kerfs on the box side.
    Kerfs {
        /// Depth of each, mm.
        depth: f64,
        /// Width of each, mm.
        width: f64,
        /// Distance from one to the next, mm.
        spacing: f64,
        /// Where they lie in the layer laid out flat (in the wall's frame, along the straightedge), mm.
        at: Vec<f64>,
        /// Where the bend begins in the layer laid out flat, mm.
        from: f64,
        /// And where it ends.
        to: f64,
    },
}

/// The last layers laid out, and what they followed from.
#[derive(Debug)]
pub(crate) struct Kept {
    wall: WallId,
    set: Arc<LayerSet>,
    hollow: HollowBehind,
    result: Result<(Arc<LayerSet>, Arc<HollowPlan>), GeometryError>,
}

/// Lays the first layers of every wall over a hollow out flat.
pub(crate) fn lay_out(job: &Job, walls: &mut [WallPlan], kept: &mut Vec<Kept>) {
    let mut now = Vec::new();
    for plan in walls.iter_mut() {
        let Some(wall) = job.wall(plan.id).filter(|w| w.lid.is_none()) else { continue };
        let (Some(hollow), Some(outline), Some(set)) = (&wall.hollow, plan.outline.as_deref(), &plan.layers)
        else {
            continue;
        };
        let old =
            kept.iter().position(|k| k.wall == wall.id && k.hollow == *hollow && layered::same(&k.set, set));
        let one = old.map(|at| kept.swap_remove(at));
        let one = one.unwrap_or_else(|| Kept {
            wall: wall.id,
            set: set.clone(),
            hollow: hollow.clone(),
            result: made(wall, hollow, outline, set),
        });
        match &one.result {
            Ok((set, of)) => {
                plan.layers = Some(set.clone());
                plan.filler.hollow = of.void + of.before_flat;
                plan.hollow = Some(of.clone());
                let told = crate::hollow_told::told(job, wall, plan, of);
                plan.problems.extend(told);
            }
            Err(why) => {
                let sentence = format!("{}: {}", wall.name, why.words(job.units.show()));
                plan.problems.push(Problem::new(Step::Layers, Severity::Stop, wall.id, sentence));
            }
        }
        now.push(one);
    }
    *kept = now;
}

type Made = (Arc<LayerSet>, Arc<HollowPlan>);

fn made(
    wall: &Wall,
    behind: &HollowBehind,
    outline: &Outline,
    set: &LayerSet,
) -> Result<Made, GeometryError> {
    let hollow = behind.shape.to_geometry()?;
    let bounds = outline.bounds();
    let (long, wide) = match behind.along {
        Along::Across => (bounds.width(), bounds.height()),
        Along::Up => (bounds.height(), bounds.width()),
    };
    let other = behind.other.as_ref().map(crate::hollow::HollowShape::to_geometry).transpose()?;
    // A straightedge laid the other way counts along this one's whole length.
    let second = other.as_ref().map_or(0.0, |o| o.void_area() * hollow.length().min(long));
    let from = behind.from.mm();
    let mut out = set.clone();
    let mut layers = Vec::new();
    let mut left = hollow.void_area();
    for layer in out.layers.iter_mut().take((behind.first.layers() as usize).min(wall.layers.len())) {
        let thickness = layer.to - layer.from;
        match behind.first {
            FirstLayers::Flat => {}
            FirstLayers::Strips { gap, widest, square_up_to, .. } => {
                let strips = geo::strips(&hollow, gap.mm(), widest.mm(), thickness, square_up_to.mm())?;
                let flat = Flat::of_strips(from, &strips);
                left = strips.iter().map(|s| s.void_area).sum();
                *layer = flat.lay(layer, behind.along);
                layers.push(HollowLayer::Strips { strips, cuts: flat.there.clone() });
            }
            FirstLayers::Kerfs { web, kerf, spacing, .. } => {
                let angle = hollow.slope(0.0) - hollow.slope(hollow.length());
                let kerfing = Kerfing { angle, thickness, web: web.mm(), kerf: kerf.mm() };
                let flat = Flat::of_bend(from, &hollow, web.mm());
                let layout = flat.there.last().zip(flat.there.first()).map_or(0.0, |(b, a)| b - a);
                // The radius at which the sums' own layout is this long.
                let inside = (layout / angle - thickness + 0.5 * web.mm()).max(0.0);
                let margin = spacing.mm().min(0.25 * layout) / 2.0;
                let (count, apart) = kerfing.spaced(inside, spacing.mm(), margin)?;
                left = 0.0;
                let first = flat.there.first().copied().unwrap_or(from) + margin;
                let at = (0..count).map(|k| first + apart * f64::from(k)).collect();
                *layer = flat.lay(layer, behind.along);
                layers.push(HollowLayer::Kerfs {
                    depth: kerfing.depth(),
                    width: kerf.mm(),
                    spacing: apart,
                    at,
                    from: flat.there.first().copied().unwrap_or(from),
                    to: flat.there.last().copied().unwrap_or(from),
                });
            }
        }
    }
    let across = other.as_ref().map_or(wide, |o| o.length().min(wide));
    // Layers that follow the hollow take its shape with them: the same void stands before the first flat one.
    let flat_after = !layers.is_empty() && layers.len() < wall.layers.len();
    let before_flat = if flat_after { (hollow.void_area() * across + second).max(0.0) } else { 0.0 };
    let plan = HollowPlan {
        before_flat,
        along: behind.along,
        from,
        deepest: hollow.deepest(),
        tightest: hollow.tightest_radius(),
        void: (left * across + second).max(0.0),
        layers,
        hollow,
    };
    Ok((Arc::new(out), Arc::new(plan)))
}

/// How places along the straightedge come to lie when the layer is flat: straight between places, unchanged in scale beyond.
#[derive(Debug)]
struct Flat {
    here: Vec<f64>,
    there: Vec<f64>,
}

impl Flat {
    fn of_strips(from: f64, strips: &[Strip]) -> Flat {
        let mut flat = Flat { here: vec![from], there: vec![from] };
        let mut at = from;
        for s in strips {
            at += s.width;
            flat.here.push(from + s.to);
            flat.there.push(at);
        }
        flat
    }

    /// Along the middle of what is left under the kerfs, which keeps its length; see [`Kerfing::layout`].
    fn of_bend(from: f64, hollow: &geo::Hollow, web: f64) -> Flat {
        /// Pieces of the curve: over 60° of turn the chords lose a hundred thousandth of the length.
        const PIECES: u32 = 128;
        let place = |k: u32| hollow.length() * f64::from(k) / f64::from(PIECES);
        let mut flat = Flat { here: Vec::new(), there: Vec::new() };
        let mut arc = 0.0;
        for k in 0..=PIECES {
            let x = place(k);
            if k > 0 {
                arc += (x - place(k - 1)).hypot(hollow.gap(x) - hollow.gap(place(k - 1)));
            }
            flat.here.push(from + x);
            flat.there.push(from + arc + 0.5 * web * (hollow.slope(x) - hollow.slope(0.0)));
        }
        flat
    }

    fn at(&self, x: f64) -> f64 {
        let (Some(first), Some(last)) =
            (self.here.first().zip(self.there.first()), self.here.last().zip(self.there.last()))
        else {
            return x;
        };
        if x <= *first.0 {
            return first.1 + (x - first.0);
        }
        if x >= *last.0 {
            return last.1 + (x - last.0);
        }
        let i = self.here.partition_point(|h| *h <= x).clamp(1, self.here.len() - 1);
        let ((a, b), (p, q)) = ((self.here[i - 1], self.here[i]), (self.there[i - 1], self.there[i]));
        p + (q - p) * (x - a) / (b - a)
    }

    fn point(&self, p: Point, along: Along) -> Point {
        match along {
            Along::Across => Point::new(self.at(p.x), p.y),
            Along::Up => Point::new(p.x, self.at(p.y)),
        }
    }

    /// A ring, bent where the scale changes.
    fn ring(&self, ring: &[Point], along: Along) -> Vec<Point> {
        let of = |p: Point| if along == Along::Across { p.x } else { p.y };
        let mut out = Vec::with_capacity(ring.len() * 2);
        for (a, b) in ring.iter().zip(ring.iter().cycle().skip(1)) {
            out.push(self.point(*a, along));
            let (x, y) = (of(*a), of(*b));
            let mut between: Vec<f64> = self
                .here
                .iter()
                .map(|h| (h - x) / (y - x))
                .filter(|t| *t > 1e-9 && *t < 1.0 - 1e-9)
                .collect();
            between.sort_by(f64::total_cmp);
            out.extend(between.into_iter().map(|t| self.point(a.lerp(*b, t), along)));
        }
        out
    }

    fn lay(&self, layer: &Layer, along: Along) -> Layer {
        let rings = |all: &[Ring]| -> Vec<Ring> {
            all.iter()
                .map(|r| Ring {
                    outer: self.ring(&r.outer, along),
                    holes: r.holes.iter().map(|h| self.ring(h, along)).collect(),
                })
                .collect()
        };
        let section = |s: &geo::Section| geo::Section { rings: rings(&s.rings), notices: s.notices.clone() };
        let (outer, inner) = (section(&layer.outer), section(&layer.inner));
        let (area_outer, area_inner) = (outer.area(), inner.area());
        let grown = (area_outer + area_inner) / (layer.area_outer + layer.area_inner).max(1e-9);
        let mark = |m: &geo::BevelMark| geo::BevelMark { at: self.point(m.at, along), ..*m };
        Layer {
            fits: rings(&layer.fits),
            fills: rings(&layer.fills),
            bevels: layer.bevels.iter().map(mark).collect(),
            volume: layer.volume * grown,
            wedge: layer.wedge * grown,
            excess: layer.excess * grown,
            largest_gap_at: self.point(layer.largest_gap_at, along),
            outer,
            inner,
            area_outer,
            area_inner,
            ..layer.clone()
        }
    }
}

/// Whether a layer is made into strips.
pub(crate) fn is_strips(plan: &WallPlan, layer: &Layer) -> bool {
    let made = plan.hollow.as_deref().and_then(|h| h.layers.get(layer.number - 1));
    matches!(made, Some(HollowLayer::Strips { .. }))
}

/// The joints of a layer's strips, those that cross the foam.
pub(crate) fn joints(plan: &WallPlan, layer: &Layer) -> Option<Vec<geo::Seam>> {
    let plan = plan.hollow.as_deref()?;
    let HollowLayer::Strips { cuts, .. } = plan.layers.get(layer.number - 1)? else { return None };
    let all = geo::bounds(&layer.fills.iter().flat_map(|r| r.outer.iter().copied()).collect::<Vec<_>>());
    let (low, high) = match plan.along {
        Along::Across => (all.x0, all.x1),
        Along::Up => (all.y0, all.y1),
    };
    // A strip of less than this at the end of a layer is no strip, mm.
    let inside = |x: &&f64| **x > low + 5.0 && **x < high - 5.0;
    let inner = cuts.get(1..cuts.len().saturating_sub(1)).unwrap_or_default();
    Some(inner.iter().filter(inside).map(|x| seam(*x, plan.along, all)).collect())
}

fn seam(at: f64, along: Along, all: kurbo::Rect) -> geo::Seam {
    let past = 10.0;
    let (from, to) = match along {
        Along::Across => (Point::new(at, all.y0 - past), Point::new(at, all.y1 + past)),
        Along::Up => (Point::new(all.x1 + past, at), Point::new(all.x0 - past, at)),
    };
    geo::Seam { from, to, style: geo::SeamStyle::Butt }
}

/// Bevels the strips to each other: their box faces end where the joint's bevel takes them.
pub(crate) fn bevelled(plan: &WallPlan, cut: CutStyle, whole: &Layer, parts: Vec<Part>) -> Vec<Part> {
    let Some(of) = plan.hollow.as_deref().filter(|_| cut == CutStyle::Bevelled) else { return parts };
    let Some(HollowLayer::Strips { strips, cuts }) = of.layers.get(whole.number - 1) else { return parts };
    parts.into_iter().map(|part| strip(of.along, strips, cuts, whole, part)).collect()
}

fn strip(along: Along, strips: &[Strip], cuts: &[f64], whole: &Layer, mut part: Part) -> Part {
    let all = around(&part.layer.outer.rings);
    let middle = if along == Along::Across { all.center().x } else { all.center().y };
    let inner = cuts.get(1..cuts.len().saturating_sub(1)).unwrap_or_default();
    let i = inner.partition_point(|c| *c <= middle);
    let (Some(strip), Some(a), Some(b)) = (strips.get(i), cuts.get(i), cuts.get(i + 1)) else { return part };
    let thickness = whole.to - whole.from;
    // The outermost strips go on to the edges of the layer.
    let lower = (i > 0 && strip.bevels.0 != 0.0).then_some((*a, strip.bevels.0));
    let upper = (i + 1 < strips.len() && strip.bevels.1 != 0.0).then_some((*b, strip.bevels.1));
    if lower.is_none() && upper.is_none() {
        return part;
    }
    let here = |rings: Vec<Ring>| -> Vec<Ring> {
        let room = all.inflate(5.0, 5.0);
        rings.into_iter().filter(|r| room.contains(r.bounds().center())).collect()
    };
    let low = (i > 0).then(|| *a - lower.map_or(0.0, |l| l.1.tan() * thickness));
    let high = (i + 1 < strips.len()).then(|| *b + upper.map_or(0.0, |u| u.1.tan() * thickness));
    part.layer.inner.rings = here(clip(&whole.inner.rings, whole, along, low, high));
    if low.is_some_and(|l| l < *a) || high.is_some_and(|h| h > *b) {
        let (low, high) = (low.map(|l| l.min(*a)), high.map(|h| h.max(*b)));
        part.layer.fills = here(clip(&whole.fills, whole, along, low, high));
    }
    let (x, y) = (kurbo::Vec2::new(1.0, 0.0), kurbo::Vec2::new(0.0, 1.0));
    for ((at, angle), sign) in lower.into_iter().map(|l| (l, -1.0)).chain(upper.into_iter().map(|u| (u, 1.0)))
    {
        let (on, outward) = match along {
            Along::Across => (Point::new(at, all.center().y), x * sign),
            Along::Up => (Point::new(all.center().x, at), y * sign),
        };
        let proud = geo::Proud::of(angle);
        part.layer.bevels.push(geo::BevelMark { edge: JOINT, at: on, outward, angle, proud });
        part.layer.steepest_bevel = part.layer.steepest_bevel.max(angle.abs());
    }
    part.layer.area_inner = part.layer.inner.area();
    part.layer.volume = 0.5 * (part.layer.area_outer + part.layer.area_inner) * thickness;
    part
}

/// Stands for an edge in the marks of a joint between strips, which is none of the wall's.
const JOINT: u32 = u32::MAX;

fn around(rings: &[Ring]) -> kurbo::Rect {
    geo::bounds(&rings.iter().flat_map(|r| r.outer.iter().copied()).collect::<Vec<_>>())
}

/// What of rings lies between two lines across the straightedge.
fn clip(rings: &[Ring], like: &Layer, along: Along, low: Option<f64>, high: Option<f64>) -> Vec<Ring> {
    let mut now = rings.to_vec();
    for (at, above) in [(low, true), (high, false)] {
        let Some(at) = at else { continue };
        let face = || geo::Section { rings: now.clone(), notices: Vec::new() };
        let layer =
            Layer { fits: now.clone(), fills: now.clone(), outer: face(), inner: face(), ..like.clone() };
        // A line that does not cross them takes nothing off.
        let Ok(parts) = geo::split_by(&layer, &[seam(at, along, around(&now))], 0.0) else { continue };
        let place = |p: &Part| {
            let middle = around(&p.layer.fills).center();
            if along == Along::Across { middle.x } else { middle.y }
        };
        now = parts.iter().filter(|p| (place(p) > at) == above).flat_map(|p| p.layer.fills.clone()).collect();
    }
    now
}
