//! The parts a layer falls into, each a layer of its own.

use kurbo::Point;

use super::chord::{Chord, Line, chords, cut};
use super::marks::{Edges, Stretch};
use super::seam::{Seam, SeamStyle};
use crate::opening::convex_hull;
use crate::regions::{common, either};
use crate::section::{segments, span};
use crate::{GeometryError, Layer, Ring, Section};

/// A seam may end so far inside the foam and counts as reaching its edge, mm: what a hand draws.
const REACH: f64 = 5.0;
/// Parts and faces of parts smaller than this are dust, mm².
const DUST: f64 = 1.0;

/// Part of a layer.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its place from left to right, then from bottom to top, from 0.
    pub index: usize,
    /// The part as a layer: faces, square cuts, marks, areas and volumes are its own. Where a half-lap reaches over the seam,
    /// `fits` and `fills` take it in: the part is cut out along them, then half its thickness is taken off along the seam.
    pub layer: Layer,
    /// Its sides that are seams.
    pub seams: Vec<SeamSide>,
}

impl Part {
    /// a, b, … z, aa, ab, …
    #[must_use]
    pub fn letter(&self) -> String {
        let mut out = Vec::new();
        let mut n = self.index + 1;
        while n > 0 {
            n -= 1;
            out.push(char::from(b'a' + u8::try_from(n % 26).unwrap_or(0)));
            n /= 26;
        }
        out.iter().rev().collect()
    }
}

/// A side of a part that lies at a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamSide {
    /// Number of the seam in the list given, from 0.
    pub seam: usize,
    /// One end of the side (of the seam's own line less half the kerf), the part on the left of the way to `to`.
    pub from: Point,
    /// The other end.
    pub to: Point,
    /// Which half of the thickness reaches over the other part.
    pub reaches: Reaches,
}

/// What reaches over at a seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reaches {
    /// Nothing: a butt.
    Neither,
    /// The half towards the hull reaches so far past the seam's line, mm; the half towards the box stays as far behind it.
    HullHalf(f64),
    /// The half towards the box, mm.
    BoxHalf(f64),
}

/// The regions of a layer on their way.
struct Regions {
    /// Everything, cut as for butts: which part is which.
    core: Vec<Ring>,
    fits: Vec<Ring>,
    outer: Vec<Ring>,
    inner: Vec<Ring>,
}

/// Cuts a layer into its parts along seams, `kerf` mm wide. Parts that lie apart from the start are parts as well.
///
/// Each part's areas are its own, exactly. Its wedge and excess are the layer's in proportion to what its faces and square cuts
/// leave between them there, so that all of them add up to the layer's less the kerf; its volume follows from these. Notices of
/// the faces stay with each part.
///
/// # Errors
/// [`GeometryError::Seam`] for a seam that is no line, stops inside the foam or goes through none of it;
/// [`GeometryError::NotFinite`] for a kerf that is none (0 to 20 mm).
///
/// # Examples
/// ```
/// # use coldwright_geometry::*;
/// # let corner = |id, x, y| Tick { id, at: Point::new(x, y), spread: Spread::round(0.1) };
/// # let c = [corner(1, 0., 0.), corner(2, 900., 0.), corner(3, 900., 400.), corner(4, 0., 400.)];
/// # let edges = (0..4).map(|i| Edge { id: i as u32 + 1, name: format!("{i}"), kind: EdgeKind::Straight,
/// #     ticks: vec![c[i], c[(i + 1) % 4]], bevel: Bevel::constant(0.0).unwrap(), gap: 0.0, smoothing: 0.0 }).collect();
/// # let outline = Outline::new(edges, vec![])?.0;
/// # let wall = WallShape { outline, template_depth: TemplateDepth::FromOuter(0.0), fixed: FixedFace::Outer, thicknesses: vec![25.0] };
/// let layer = &layers(&wall)?.layers[0]; // 900 × 400 mm
/// let seam = Seam { from: Point::new(300., 0.), to: Point::new(300., 400.), style: SeamStyle::Butt };
/// let parts = split_by(layer, &[seam], 0.0)?;
/// assert_eq!(parts.iter().map(Part::letter).collect::<String>(), "ab");
/// assert!((parts[1].layer.area_outer - 600.0 * 400.0).abs() < 1e-6);
/// # Ok::<(), GeometryError>(())
/// ```
pub fn split_by(layer: &Layer, seams: &[Seam], kerf: f64) -> Result<Vec<Part>, GeometryError> {
    if !(0.0..=20.0).contains(&kerf) {
        return Err(GeometryError::NotFinite { what: "the kerf of a seam (0 to 20 mm)".to_owned() });
    }
    let mut now = Regions {
        core: layer.fills.clone(),
        fits: layer.fits.clone(),
        outer: layer.outer.rings.clone(),
        inner: layer.inner.rings.clone(),
    };
    for (i, seam) in seams.iter().enumerate() {
        let told = |why: &str| GeometryError::Seam { layer: layer.number, seam: i + 1, why: why.to_owned() };
        if !seam.is_sound() {
            return Err(told("is no line that can be cut; draw it again, a lap at most 200 mm wide"));
        }
        let line = Line { at: seam.from, along: seam.along() };
        let reach = (0.0, seam.length());
        let chosen = chosen(&now.core, line, reach).map_err(told)?;
        let past = seam.style.past();
        now.core = sawn(&now.core, line, kerf, &chosen);
        now.fits = sawn(&now.fits, line, kerf, &chosen);
        now.outer = sawn(&now.outer, line.left(past), kerf, &chosen);
        now.inner = sawn(&now.inner, line.left(-past), kerf, &chosen);
    }
    Ok(Cutting { layer, seams, kerf, edges: Edges::of(layer) }.parts(now))
}

/// The chords of the regions that a seam covers.
fn chosen(core: &[Ring], line: Line, (from, to): Chord) -> Result<Vec<Chord>, &'static str> {
    let mut out = Vec::new();
    for (a, b) in core.iter().flat_map(|r| chords(r, line)) {
        let covered = b.min(to) - a.max(from);
        let bare = (b - a) - covered;
        if covered <= REACH.min(0.5 * (b - a)) {
            continue;
        }
        if bare > REACH {
            return Err("stops inside the foam; draw it on to the edge of the foam or to another seam");
        }
        out.push((a, b));
    }
    if out.is_empty() { Err("goes through no foam of its layer; take it away or move it") } else { Ok(out) }
}

/// Regions cut along the line, the kerf taken away.
fn sawn(regions: &[Ring], line: Line, kerf: f64, chosen: &[Chord]) -> Vec<Ring> {
    // A face's chord is cut when most of it lies along one that is cut.
    let wanted = |c: Chord| chosen.iter().any(|k| c.1.min(k.1) - c.0.max(k.0) > 0.5 * (c.1 - c.0));
    let half = 0.5 * kerf;
    let once = |regions: &[Ring], line: Line| -> Vec<Ring> {
        regions.iter().flat_map(|r| cut(r, line, &wanted)).collect()
    };
    if half <= 0.0 {
        return once(regions, line);
    }
    let mut out = once(&once(regions, line.left(half)), line.left(-half));
    let waste = |r: &Ring| {
        let place = |p: &Point| line.place(*p);
        let (lo, hi) = span(r.outer.iter().map(place));
        r.outer.iter().all(|p| line.height(*p).abs() <= half + 1e-5)
            && chosen.iter().any(|k| lo < k.1 + kerf && hi > k.0 - kerf)
    };
    out.retain(|r| !waste(r));
    out
}

struct Cutting<'a> {
    layer: &'a Layer,
    seams: &'a [Seam],
    kerf: f64,
    edges: Edges,
}

fn area(rings: &[Ring]) -> f64 {
    rings.iter().map(Ring::area).sum()
}

impl Cutting<'_> {
    fn parts(&self, all: Regions) -> Vec<Part> {
        let mut cores: Vec<Ring> = all.core.into_iter().filter(|r| r.area() >= DUST).collect();
        // To the millimetre, so that rounding does not change the order.
        cores.sort_by(|a, b| {
            let key = |r: &Ring| [r.bounds().x0, r.bounds().y0, r.bounds().x1].map(f64::round);
            let (a, b) = (key(a), key(b));
            a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1])).then(a[2].total_cmp(&b[2]))
        });
        let (fits, outer, inner) =
            (given(&cores, all.fits), given(&cores, all.outer), given(&cores, all.inner));
        let mut parts: Vec<Part> = cores
            .into_iter()
            .zip(fits.into_iter().zip(outer).zip(inner))
            .enumerate()
            .map(|(index, (core, ((fits, outer), inner)))| self.part(index, core, fits, outer, inner))
            .collect();
        // The largest gap is where it was.
        let at = self.layer.largest_gap_at;
        let far = |p: &Part| {
            let near = |r: &Ring| r.distance_to_boundary(at);
            p.layer.outer.rings.iter().chain(&p.layer.inner.rings).map(near).fold(f64::INFINITY, f64::min)
        };
        if let Some(p) = parts.iter_mut().min_by(|a, b| far(a).total_cmp(&far(b))) {
            (p.layer.largest_gap, p.layer.largest_gap_at) = (self.layer.largest_gap, at);
        }
        parts
    }

    fn part(&self, index: usize, core: Ring, fits: Vec<Ring>, outer: Vec<Ring>, inner: Vec<Ring>) -> Part {
        let whole = self.layer;
        let thickness = whole.to - whole.from;
        let (area_outer, area_inner) = (area(&outer), area(&inner));
        // What lies between the faces and each square cut, shared out.
        let share = |of: f64, all: f64, mine: f64| {
            if all > 1e-9 { (of * mine.max(0.0) / all).clamp(0.0, of) } else { 0.0 }
        };
        let faces = |outer: f64, inner: f64| outer + inner;
        let all = faces(whole.area_outer, whole.area_inner);
        let mine = faces(area_outer, area_inner);
        let (fits_area, fills_area) = (area(&fits), core.area());
        let wedge = share(whole.wedge, all - 2.0 * area(&whole.fits), mine - 2.0 * fits_area);
        let excess = share(whole.excess, 2.0 * area(&whole.fills) - all, 2.0 * fills_area - mine);
        let volume = (fits_area * thickness + wedge).max(0.0);
        let on_seam = |a: Point, b: Point| self.on_seam(a, b, 0);
        let mut bevels = Vec::new();
        let mut runs: Vec<Stretch> = Vec::new();
        for r in &outer {
            let (marks, stretches) = self.edges.kept(&r.outer, &on_seam);
            bevels.extend(marks);
            runs.extend(stretches);
        }
        let steep = runs.iter().max_by(|a, b| a.steepest.total_cmp(&b.steepest));
        let steepest_bevel = steep.map_or(0.0, |s| s.steepest).min(whole.steepest_bevel);
        let largest_gap = (thickness * steepest_bevel.tan()).min(whole.largest_gap);
        let largest_gap_at =
            steep.map(|s| s.middle).or(core.outer.first().copied()).unwrap_or(whole.largest_gap_at);
        let seams = self.sides(&core);
        let mut fills = vec![core];
        let mut fits = fits;
        if seams.iter().any(|s| s.reaches != Reaches::Neither) {
            let both = either(&outer, &inner);
            fits = either(&fits, &common(&whole.fits, &both));
            fills = either(&fills, &common(&whole.fills, &both));
        }
        let bent_in = outer.iter().any(|r| {
            r.outer.len() > 2 && {
                let n = r.outer.len();
                (0..n).any(|i| {
                    let (a, b, c) = (r.outer[(i + n - 1) % n], r.outer[i], r.outer[(i + 1) % n]);
                    (b - a).cross(c - b) < -1e-9 && !self.on_seam(a, b, 0) && !self.on_seam(b, c, 0)
                })
            }
        });
        let face = |of: &Section, rings: Vec<Ring>| Section { rings, notices: of.notices.clone() };
        let layer = Layer {
            number: whole.number,
            from: whole.from,
            to: whole.to,
            outer: face(&whole.outer, outer),
            inner: face(&whole.inner, inner),
            fits,
            fills,
            bevels,
            area_outer,
            area_inner,
            volume,
            wedge,
            excess,
            largest_gap,
            largest_gap_at,
            steepest_bevel,
            tightest_inside_radius: whole.tightest_inside_radius.filter(|_| bent_in),
        };
        Part { index, layer, seams }
    }

    /// Whether a side of a face lies along a seam; `face` 0 outer, 1 core.
    fn on_seam(&self, a: Point, b: Point, face: usize) -> bool {
        self.seams.iter().any(|s| self.side_of(s, a, b, face).is_some())
    }

    /// The line of a seam a side lies along.
    fn side_of(&self, s: &Seam, a: Point, b: Point, face: usize) -> Option<Line> {
        let by = if face == 0 { s.style.past() } else { 0.0 };
        let line = Line { at: s.from, along: s.along() }.left(by);
        let half = 0.5 * self.kerf;
        let near = |h: f64| (h.abs() - half).abs() < 2e-6;
        let (ha, hb) = (line.height(a), line.height(b));
        let middle = line.place(a.midpoint(b));
        (near(ha)
            && near(hb)
            && ha * hb >= -1e-9
            && (-REACH..=s.length() + REACH).contains(&middle)
            && a.distance(b) > 1e-6)
            .then_some(line)
    }

    fn sides(&self, core: &Ring) -> Vec<SeamSide> {
        let mut out = Vec::new();
        for (k, s) in self.seams.iter().enumerate() {
            for (a, b) in segments(&core.outer) {
                let Some(line) = self.side_of(s, a, b, 1) else { continue };
                // The part lies to the left of its own boundary.
                let left = (b - a).dot(line.along) > 0.0;
                let reaches = match s.style {
                    SeamStyle::Butt => Reaches::Neither,
                    SeamStyle::HalfLap { .. } if left => Reaches::BoxHalf(s.style.past()),
                    SeamStyle::HalfLap { .. } => Reaches::HullHalf(s.style.past()),
                };
                out.push(SeamSide { seam: k, from: a, to: b, reaches });
            }
        }
        out
    }
}

/// Each region to the core it lies on most; cores in their order.
fn given(cores: &[Ring], regions: Vec<Ring>) -> Vec<Vec<Ring>> {
    let mut out: Vec<Vec<Ring>> = vec![Vec::new(); cores.len()];
    for r in regions.into_iter().filter(|r| r.area() >= DUST) {
        let own = std::slice::from_ref(&r);
        let overlap = |core: &Ring| {
            let (a, b) = (core.bounds(), r.bounds());
            let apart = a.x0 > b.x1 || b.x0 > a.x1 || a.y0 > b.y1 || b.y0 > a.y1;
            if apart || cores.len() < 2 { 0.0 } else { area(&common(std::slice::from_ref(core), own)) }
        };
        let most = (0..cores.len()).map(|k| (overlap(&cores[k]), k)).max_by(|a, b| a.0.total_cmp(&b.0));
        if let Some((_, k)) = most {
            out[k].push(r);
        }
    }
    for rings in &mut out {
        rings.sort_by(|a, b| b.area().total_cmp(&a.area()));
    }
    out
}

/// Corners of the convex hull of both faces.
pub(crate) fn hull_of(layer: &Layer) -> Vec<Point> {
    let faces = layer.outer.rings.iter().chain(&layer.inner.rings).chain(&layer.fills);
    convex_hull(&faces.flat_map(|r| r.outer.iter().copied()).collect::<Vec<_>>())
}
