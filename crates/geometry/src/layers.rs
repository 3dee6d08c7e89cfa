//! The layers of a wall: both faces, square cuts, bevels and what they leave.

use kurbo::Point;

use crate::fitted::{AsFitted, Trims};
use crate::loft::{Cut, Leans, Loft};
use crate::regions::distinct;
use crate::section::signed_area;
use crate::simple::{pieces, self_crossing};
use crate::square::square_cuts;
use crate::told::Told;
use crate::volume::{simpson, volume};
use crate::{BevelMark, GeometryError, Layer, LayerSet, Proud, Ring, Section, WallShape};

/// All layers of a wall, outermost first.
///
/// # Errors
/// [`GeometryError`] naming the layer and, when nothing is left of it, the depth.
pub fn layers(wall: &WallShape) -> Result<LayerSet, GeometryError> {
    layers_as_fitted(wall, &[])
}

/// All layers of a wall, outermost first, with trims taken while fitting carried to the layers after.
///
/// Trims of several layers on one edge add up: each was taken from a layer that already followed those before it.
///
/// # Errors
/// As [`layers`]; [`GeometryError::BadTrim`] for a trim of no layer or edge, or one that cannot be.
pub fn layers_as_fitted(wall: &WallShape, fitted: &[AsFitted]) -> Result<LayerSet, GeometryError> {
    layers_spaced(wall, &[], fitted)
}

/// All layers of a wall, outermost first, with spaces that hold no foam: a film, a bond line, an air gap.
///
/// `spaces` holds for each layer the space before it (towards the hull), mm, 0..=1000; an empty list means none. Layer k then
/// begins that much beyond the end of layer k − 1, and a template's depth from the inner face counts the spaces in. `fitted`
/// as in [`layers_as_fitted`].
///
/// # Errors
/// As [`layers_as_fitted`]; [`GeometryError::BadSpace`] for a space that cannot be or a list of another length.
///
/// # Examples
/// A film of 0.2 mm between two layers of 25.4 mm, and nothing before the first:
/// ```
/// # use coldwright_geometry::*;
/// # let at = [(0.0, 0.0), (400.0, 0.0), (400.0, 300.0)].map(|p| Point::new(p.0, p.1));
/// # let tick = |i: usize| Tick { id: i as u32, at: at[i], spread: Spread::round(0.3) };
/// # let edges = (0..3).map(|i| Edge { id: i as u32, name: format!("edge {i}"), kind: EdgeKind::Straight,
/// #     ticks: vec![tick(i), tick((i + 1) % 3)], bevel: Bevel::default(), gap: 0.0, smoothing: 0.0 }).collect();
/// # let outline = Outline::new(edges, vec![])?.0;
/// let thicknesses = vec![25.4, 25.4];
/// let wall = WallShape { outline, template_depth: TemplateDepth::FromOuter(0.0), fixed: FixedFace::Outer, thicknesses };
/// let set = layers_spaced(&wall, &[0.0, 0.2], &[])?;
/// assert!((set.layers[1].from - 25.6).abs() < 1e-12 && (set.layers[1].to - 51.0).abs() < 1e-12);
/// # Ok::<(), GeometryError>(())
/// ```
pub fn layers_spaced(
    wall: &WallShape,
    spaces: &[f64],
    fitted: &[AsFitted],
) -> Result<LayerSet, GeometryError> {
    check(&wall.thicknesses)?;
    crate::fitted::check(wall, fitted)?;
    let starts = starts(&wall.thicknesses, spaces)?;
    let total = depth(&wall.thicknesses, spaces);
    let z0 = wall.template_depth.from_outer(total);
    let loft = |number: usize| {
        Loft::trimmed(&wall.outline, z0, (0.0, total), |side| Trims::of(fitted, side.edge.id, number))
    };
    let mut out = Vec::with_capacity(wall.thicknesses.len());
    let mut told = Told::default();
    let mut shape = loft(1)?;
    let mut before: Option<(f64, Cut)> = None;
    for (i, (from, thickness)) in starts.into_iter().zip(&wall.thicknesses).enumerate() {
        let (number, to) = (i + 1, from + thickness);
        let trimmed = fitted.iter().any(|f| f.layer + 1 == number);
        if trimmed {
            shape = loft(number)?;
        }
        let outer = match before.take() {
            Some((z, cut)) if !trimmed && z >= from => cut,
            _ => face(&shape, from, number)?,
        };
        let inner = face(&shape, to, number)?;
        for n in outer.notices.iter().chain(&inner.notices) {
            told.tell(n, number);
        }
        out.push(layer(&shape, number, (from, &outer), (to, &inner)));
        before = Some((to, inner));
    }
    Ok(LayerSet { layers: out, notices: told.all() })
}

/// Whether these can be layers.
pub(crate) fn check(thicknesses: &[f64]) -> Result<(), GeometryError> {
    if thicknesses.is_empty() {
        return Err(GeometryError::NoLayers);
    }
    for (i, mm) in thicknesses.iter().enumerate() {
        if !mm.is_finite() || *mm <= 0.0 || *mm > 1000.0 {
            return Err(GeometryError::NegativeThickness { layer: i + 1, mm: *mm });
        }
    }
    Ok(())
}

/// Depth of the inner face, mm.
pub(crate) fn depth(thicknesses: &[f64], spaces: &[f64]) -> f64 {
    thicknesses.iter().sum::<f64>() + spaces.iter().sum::<f64>()
}

/// Depth of each layer's outer face, mm, whether the spaces can be.
pub(crate) fn starts(thicknesses: &[f64], spaces: &[f64]) -> Result<Vec<f64>, GeometryError> {
    if !spaces.is_empty() && spaces.len() != thicknesses.len() {
        let (has, needs) = (spaces.len(), thicknesses.len());
        return Err(GeometryError::BadSpace { what: format!("list has {has} spaces for {needs} layers") });
    }
    let mut out = Vec::with_capacity(thicknesses.len());
    let mut z = 0.0;
    for (i, thickness) in thicknesses.iter().enumerate() {
        let space = spaces.get(i).copied().unwrap_or(0.0);
        if !(space.is_finite() && (0.0..=1000.0).contains(&space)) {
            return Err(GeometryError::BadSpace { what: format!("before layer {} is {space} mm", i + 1) });
        }
        out.push(z + space);
        z = z + space + thickness;
    }
    Ok(out)
}

pub(crate) fn face(loft: &Loft, z: f64, layer: usize) -> Result<Cut, GeometryError> {
    let cut = loft.cut(z);
    if cut.rings.is_empty() { Err(GeometryError::EmptyAtDepth { layer, depth: z }) } else { Ok(cut) }
}

pub(crate) fn layer(loft: &Loft, number: usize, outer: (f64, &Cut), inner: (f64, &Cut)) -> Layer {
    let ((from, a), (to, b)) = (outer, inner);
    let (fits, fills) = square_cuts(loft, outer, inner);
    let area = |rings: &[Ring]| rings.iter().map(Ring::area).sum::<f64>();
    let (area_outer, area_inner) = (area(&a.rings), area(&b.rings));
    let volume = slab(loft, (from, area_outer, a), (to, area_inner, b));
    let thickness = to - from;
    let (largest_gap, largest_gap_at) = largest_gap(loft, outer, inner);
    let alive = |i: usize| a.kept[i].is_some() || b.kept[i].is_some();
    let steepest = loft
        .sides
        .iter()
        .enumerate()
        .filter(|(i, _)| alive(*i))
        .map(|(_, s)| s.bevel().steepest().abs())
        .fold(0.0, f64::max);
    Layer {
        number,
        from,
        to,
        outer: Section { rings: a.rings.clone(), notices: a.notices.clone() },
        inner: Section { rings: b.rings.clone(), notices: b.notices.clone() },
        bevels: marks(loft, from, a),
        area_outer,
        area_inner,
        volume,
        wedge: (volume - area(&fits) * thickness).max(0.0),
        excess: (area(&fills) * thickness - volume).max(0.0),
        fits,
        fills,
        largest_gap,
        largest_gap_at,
        steepest_bevel: steepest,
        tightest_inside_radius: tightest(loft, outer, inner),
    }
}

/// Volume between two faces, mm³.
pub(crate) fn slab(
    loft: &Loft,
    (from, area_outer, a): (f64, f64, &Cut),
    (to, area_inner, b): (f64, f64, &Cut),
) -> f64 {
    let (first, last) = ((from, area_outer), (to, area_inner));
    // Corners that move along straight lines: the area is a parabola over the depth, and halfway each corner is halfway.
    let clean = || loft.is_plain() && a.clean && b.clean && a.moves_straight_to(b);
    if (loft.is_steady((from, a), (to, b)) || clean())
        && let (Some((p, _)), Some((q, _))) = (&a.drawn, &b.drawn)
    {
        let middle: Vec<Point> = p.iter().zip(q).map(|(p, q)| p.midpoint(*q)).collect();
        let one_way = loft.leans() != Leans::Both;
        if one_way || self_crossing(&pieces(&distinct(&middle))).is_none() {
            return simpson(first, (0.5 * (from + to), signed_area(&middle)), last);
        }
    }
    volume(&|z| loft.area(z), first, last)
}

/// Samples of each side that are left at either face, with both distances moved.
fn left<'a>(
    loft: &'a Loft,
    a: (f64, &'a Cut),
    b: (f64, &'a Cut),
) -> impl Iterator<Item = (&'a crate::moved::Sample, f64, f64)> + 'a {
    let (d1, d2) = (loft.dz(a.0), loft.dz(b.0));
    loft.sides.iter().enumerate().flat_map(move |(i, side)| {
        let within = move |t: f64| {
            [&a.1.kept[i], &b.1.kept[i]].into_iter().flatten().any(|k| t >= k.0 - 1e-9 && t <= k.1 + 1e-9)
        };
        let any = a.1.kept[i].is_some() || b.1.kept[i].is_some();
        // A side trimmed at both ends between two samples still counts, by its first sample.
        let some = side.samples.iter().any(|s| within(s.t));
        side.samples
            .iter()
            .enumerate()
            .filter(move |(k, s)| any && (within(s.t) || !some && *k == 0))
            .map(move |(_, s)| (s, side.distance(s, d1), side.distance(s, d2)))
    })
}

fn largest_gap(loft: &Loft, a: (f64, &Cut), b: (f64, &Cut)) -> (f64, Point) {
    let mut best = (0.0, loft.sides.first().and_then(|s| s.samples.first()).map_or(Point::ZERO, |s| s.p));
    for (s, d1, d2) in left(loft, a, b) {
        let gap = (d1 - d2).abs();
        if gap > best.0 + 1e-9 {
            best = (gap, s.p + s.n * d1.min(d2));
        }
    }
    best
}

/// A side bent inward with radius r has its centre outside: moved out by d its radius is r − d.
fn tightest(loft: &Loft, a: (f64, &Cut), b: (f64, &Cut)) -> Option<f64> {
    /// Flatter than this a blade does not notice, 1/mm: a radius of 100 m.
    const FLAT: f64 = 1e-5;
    left(loft, a, b)
        .filter(|(s, ..)| s.bend < -FLAT)
        .map(|(s, d1, d2)| (-1.0 / s.bend - d1.max(d2)).max(0.0))
        .min_by(f64::total_cmp)
}

fn marks(loft: &Loft, z: f64, cut: &Cut) -> Vec<BevelMark> {
    let dz = loft.dz(z);
    let mut out = Vec::new();
    for (side, kept) in loft.sides.iter().zip(&cut.kept) {
        let Some((lo, hi)) = *kept else { continue };
        let mut stations: Vec<f64> = if side.bevel().is_constant() {
            Vec::new()
        } else {
            side.bevel().stations().iter().map(|s| side.place(s.at)).collect()
        };
        stations.retain(|t| (lo - 1e-9..=hi + 1e-9).contains(t));
        if stations.is_empty() {
            // Every edge that is left is told, though it be cut back past its stations.
            stations.push(0.5 * (lo + hi));
        }
        for t in stations {
            let s = side.sample(t);
            let (at, way) = side.moved(t, dz);
            let l = way.hypot();
            let outward = if l > 0.0 { kurbo::Vec2::new(way.y, -way.x) / l } else { s.n };
            let angle = side.angle(t);
            out.push(BevelMark { edge: side.id, at, outward, angle, proud: Proud::of(angle) });
        }
    }
    out
}
