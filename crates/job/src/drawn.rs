//! Drawing files as templates: an outline of an SVG or DXF becomes ticks and edges.
//!
//! Corners of the drawing become ends of edges; between them a side is straight, or a fair curve through as few points of
//! the drawn line as keep it within [`DRAWN_WITHIN_MM`], which is measured and said.

use std::collections::BTreeMap;

use coldwright_export::{ClosedOutline, ExportError, read_dxf, read_svg};
use coldwright_geometry::{self as geo, EdgeKind, Spread};
use kurbo::{Affine, BezPath, PathEl, PathSeg, Point, Rect, Shape, Vec2};

use crate::edit_template::plain_edge;
use crate::error::JobError;
use crate::template::{Edge, Place, Template, Tick};
use crate::{EdgeId, TickId};

/// How near the fair curves are brought to the drawn line, mm: far below what foam can be cut to, and above the noise of
/// drawings rounded to a hundredth.
pub const DRAWN_WITHIN_MM: f64 = 0.05;
/// Standard uncertainty of a drawn point, mm: what drawings are rounded to. What it was drawn from is the person's to know.
const DRAWN_SD: f64 = 0.05;
/// Curves of the file are followed by lines this near, mm.
const FLAT: f64 = 0.002;
/// A turn beyond this is a corner, radians, whatever it may be part of: 25°.
const CORNER: f64 = 0.436;
/// A kink between true curves beyond this is a corner, radians: 2°.
const KINK: f64 = 0.035;
/// Lines that would stand farther than this off the curve they may have been made from are straight sides, mm: no program
/// flattens so coarsely.
const COARSE: f64 = 0.3;
/// A line this many times as long as the one it runs on into is a straight side that meets a curve without a corner.
const LONGER: f64 = 5.0;
/// Sides are at least this long, mm: ticks nearer than half a millimetre count as one.
const SHORTEST: f64 = 1.0;
/// Corners and points that are too many to be a template.
const MOST: usize = 2000;

/// A drawing file with its closed outlines, waiting for a person to say which, and in what unit.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnFile {
    /// File name without folders.
    pub name: String,
    /// Millimetres in the file's unit; `None` when the file does not say.
    pub unit_mm: Option<f64>,
    /// Closed outlines, the largest first; at least one.
    pub outlines: Vec<ClosedOutline>,
    /// Sentences on what was left out.
    pub notes: Vec<String>,
}

/// An outline turned into straight and fair sides.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnTrace {
    /// Name of the file it is from.
    pub file: String,
    /// The sides, counter-clockwise, the lowest first; each begins with the point the one before ended with.
    pub sides: Vec<DrawnSide>,
    /// Farthest the outline that is kept lies from the drawn line, mm.
    pub off_mm: f64,
}

/// One side of a drawn outline.
#[derive(Clone, Debug, PartialEq)]
pub struct DrawnSide {
    /// Straight, or fair through its points.
    pub kind: EdgeKind,
    /// Points of the drawing, mm, x right, y up.
    pub points: Vec<Point>,
}

impl DrawnFile {
    /// Reads an SVG or a DXF in text form; which of the two is told by the contents.
    ///
    /// # Errors
    /// When the bytes are neither, are damaged, or hold no closed outline: one sentence.
    pub fn read(name: &str, bytes: &[u8]) -> Result<DrawnFile, ExportError> {
        let text = String::from_utf8_lossy(bytes);
        let text = text.trim_start_matches('\u{feff}');
        let read = if text.trim_start().starts_with('<') { read_svg(text)? } else { read_dxf(text)? };
        let found = read.closed()?;
        let mut notes = Vec::new();
        let kinds: Vec<String> = read.passed_over.iter().map(|(kind, n)| format!("{n} {kind}")).collect();
        if !kinds.is_empty() {
            notes.push(format!("Of the drawing these were not read: {}.", kinds.join(", ")));
        }
        if found.open > 0 {
            let (lines, do_not) =
                if found.open == 1 { ("line", "does not close") } else { ("lines", "do not close") };
            notes.push(format!("{} {lines} of the drawing {do_not} and were left out.", found.open));
        }
        Ok(DrawnFile { name: name.to_owned(), unit_mm: read.unit_mm, outlines: found.outlines, notes })
    }

    /// Width and height of an outline (from 0) for a unit of so many millimetres.
    pub fn size_mm(&self, outline: usize, unit_mm: f64) -> (f64, f64) {
        let size = self.outlines.get(outline).map_or(Rect::ZERO, |o| o.path.bounding_box());
        (size.width() * unit_mm, size.height() * unit_mm)
    }

    /// Turns an outline (from 0) into sides.
    ///
    /// # Errors
    /// [`JobError::Drawn`] when there is no such outline, when it crosses itself, or when its size in this unit is no wall's.
    pub fn trace(&self, outline: usize, unit_mm: f64) -> Result<DrawnTrace, JobError> {
        let no = |why: String| JobError::Drawn { file: self.name.clone(), why };
        let found =
            self.outlines.get(outline).ok_or_else(|| no(format!("it has no outline {}", outline + 1)))?;
        let (wide, high) = self.size_mm(outline, unit_mm);
        if !(wide.max(high) >= 20.0 && wide.max(high) <= 20_000.0) {
            let size = format!("its outline would be {wide:.1} by {high:.1} mm; say another unit");
            return Err(no(size));
        }
        let ring = ring(&(Affine::scale(unit_mm) * found.path.clone()));
        if ring.len() < 3 || ring.iter().filter(|v| v.ends).count() > MOST {
            return Err(no("its outline has no sides a wall could have".to_owned()));
        }
        let mut runs = runs(&ring);
        let lowest =
            (0..runs.len()).min_by(|a, b| level(&runs[*a]).total_cmp(&level(&runs[*b]))).unwrap_or(0);
        runs.rotate_left(lowest);
        let (sides, off_mm) = fitted(&runs).map_err(|e| no(e.to_string()))?;
        Ok(DrawnTrace { file: self.name.clone(), sides, off_mm })
    }
}

impl DrawnTrace {
    /// Puts the sides into a template in place of what was there; ids are taken from `next` on.
    pub(crate) fn put(&self, template: &mut Template, next: &mut u32) {
        let mut take = || {
            *next += 1;
            *next - 1
        };
        let corners: Vec<TickId> = self.sides.iter().map(|_| TickId(take())).collect();
        // Holes stay; whatever else was measured before is of another shape.
        *template = Template {
            seen_from: template.seen_from,
            taken_at: template.taken_at,
            stick: template.stick,
            holes: std::mem::take(&mut template.holes),
            ..Template::default()
        };
        for (index, side) in self.sides.iter().enumerate() {
            let mut edge = Edge { kind: side.kind, ..plain_edge(EdgeId(take()), template) };
            let last = side.points.len().saturating_sub(1);
            for (k, at) in side.points.iter().enumerate() {
                let id = match k {
                    0 => corners[index],
                    k if k == last => corners[(index + 1) % corners.len()],
                    _ => TickId(take()),
                };
                edge.ticks.push(id);
                if k < last {
                    template.ticks.push(Tick { id, place: Place::Typed { at: *at, sd: DRAWN_SD } });
                }
            }
            template.edges.push(edge);
        }
        template.base = template.edges.first().map(|e| e.id);
        template.drawn_from = Some(self.file.clone());
    }
}

/// A point of the drawn line; `ends` when a side ends there.
#[derive(Clone, Copy, Debug)]
struct Vertex {
    at: Point,
    ends: bool,
}

/// A stretch of the drawn line in the working form.
struct Stretch {
    seg: PathSeg,
    length: f64,
    line: bool,
}

/// The drawn line as points, with the ends of sides marked.
fn ring(path: &BezPath) -> Vec<Vertex> {
    let stretches = stretches(path);
    let n = stretches.len();
    let mut out: Vec<Vertex> = Vec::new();
    for (i, stretch) in stretches.iter().enumerate() {
        let before = &stretches[(i + n - 1) % n];
        out.push(Vertex { at: start(&stretch.seg), ends: side_ends(before, stretch) });
        if !stretch.line {
            let mut inner = Vec::new();
            kurbo::flatten(BezPath::from_path_segments(std::iter::once(stretch.seg)), FLAT, |el| {
                if let PathEl::LineTo(p) = el {
                    inner.push(p);
                }
            });
            inner.pop();
            out.extend(inner.into_iter().map(|at| Vertex { at, ends: false }));
        }
    }
    // Ends of sides nearer than a tick's width are one.
    let mut kept: Vec<Vertex> = Vec::with_capacity(out.len());
    for v in out {
        match kept.iter().rev().find(|k| k.ends) {
            Some(end) if v.ends && end.at.distance(v.at) < SHORTEST => {}
            _ => kept.push(v),
        }
    }
    if let Some(first) = kept.iter().find(|k| k.ends).map(|k| k.at)
        && let Some(last) = kept.iter().rposition(|k| k.ends)
        && last > 0
        && kept[last].at.distance(first) < SHORTEST
        && kept.iter().filter(|k| k.ends).count() > 1
    {
        kept[last].ends = false;
    }
    // A wall needs two sides at least: a round one is parted where it is leftmost, lowest, rightmost and highest.
    if kept.iter().filter(|v| v.ends).count() < 2 {
        type Place = fn(&Point) -> f64;
        let ways: [Place; 4] = [|p| p.x, |p| p.y, |p| -p.x, |p| -p.y];
        for way in ways {
            let far = (0..kept.len()).min_by(|a, b| way(&kept[*a].at).total_cmp(&way(&kept[*b].at)));
            if let Some(far) = far {
                let near = kept.iter().any(|v| v.ends && v.at.distance(kept[far].at) < SHORTEST);
                kept[far].ends = kept[far].ends || !near;
            }
        }
    }
    kept
}

fn start(seg: &PathSeg) -> Point {
    kurbo::ParamCurve::start(seg)
}

/// The path's stretches without those of no length, straight ones that go on in one line joined.
fn stretches(path: &BezPath) -> Vec<Stretch> {
    let mut out: Vec<Stretch> = Vec::new();
    for seg in path.segments() {
        let length = kurbo::ParamCurveArclen::arclen(&seg, 1e-3);
        if length < 1e-3 {
            continue;
        }
        let line = matches!(seg, PathSeg::Line(_));
        if let (PathSeg::Line(l), Some(Stretch { seg: PathSeg::Line(before), length: long, .. })) =
            (seg, out.last_mut())
        {
            let straight = kurbo::Line::new(before.p0, l.p1);
            let along = straight.p1 - straight.p0;
            let off = along.cross(before.p1 - straight.p0).abs() / along.hypot().max(1e-9);
            let turn = (before.p1 - before.p0).normalize().dot((l.p1 - l.p0).normalize());
            if off < FLAT && turn > 0.9999 && (*long).min(length) > 4.0 {
                *before = straight;
                *long = along.hypot();
                continue;
            }
        }
        out.push(Stretch { seg, length, line });
    }
    out
}

/// The direction a stretch sets out in: towards the first of its points that lies elsewhere.
fn way(seg: &PathSeg) -> Vec2 {
    let points = match seg {
        PathSeg::Line(l) => vec![l.p1],
        PathSeg::Quad(q) => vec![q.p1, q.p2],
        PathSeg::Cubic(c) => vec![c.p1, c.p2, c.p3],
    };
    let first = start(seg);
    points.iter().map(|p| *p - first).find(|v| v.hypot() > 1e-6).map_or(Vec2::ZERO, Vec2::normalize)
}

/// Whether a side ends between two stretches.
fn side_ends(before: &Stretch, after: &Stretch) -> bool {
    let (a, b) = (-way(&before.seg.reverse()), way(&after.seg));
    let turn = a.cross(b).atan2(a.dot(b)).abs();
    if turn > CORNER {
        return true;
    }
    if !(before.line && after.line) {
        return turn > KINK || (before.line && before.length > 10.0) || (after.line && after.length > 10.0);
    }
    let (short, long) = (before.length.min(after.length), before.length.max(after.length));
    // A chord of length l of a curve that turns by t over it stands l·t/8 off it.
    short * turn / 8.0 > COARSE || (long > 10.0 && long > LONGER * short)
}

/// The points of each side, its end the next one's start.
fn runs(ring: &[Vertex]) -> Vec<Vec<Point>> {
    let n = ring.len();
    let ends: Vec<usize> = (0..n).filter(|i| ring[*i].ends).collect();
    ends.iter()
        .enumerate()
        .map(|(k, from)| {
            let to = ends[(k + 1) % ends.len()];
            let count = if to > *from { to - from } else { to + n - from };
            (0..=count).map(|i| ring[(from + i) % n].at).collect()
        })
        .collect()
}

/// How low and level a side runs from left to right; the least is the bottom. Sides that run otherwise come far behind.
fn level(run: &[Point]) -> f64 {
    let (Some(a), Some(b)) = (run.first(), run.last()) else { return f64::INFINITY };
    let along = *b - *a;
    let level = along.x > along.y.abs();
    0.5 * (a.y + b.y) + if level { 0.0 } else { 1.0e7 }
}

/// Chooses the points of each side, and says how far the outline through them lies from the drawn line.
fn fitted(runs: &[Vec<Point>]) -> Result<(Vec<DrawnSide>, f64), geo::GeometryError> {
    // Places in each run that are ticks.
    let mut chosen: Vec<Vec<usize>> = runs.iter().map(|run| first_choice(run)).collect();
    let mut off = 0.0;
    for round in 0..14 {
        let outline = outline(runs, &chosen)?;
        off = 0.0;
        let mut more = false;
        for ((run, ticks), side) in runs.iter().zip(&mut chosen).zip(outline.sides()) {
            let line = flat(&side.path);
            let away = |p: Point| distance(&line, p);
            off = run.windows(2).map(|w| away(w[0].midpoint(w[1])).max(away(w[0]))).fold(off, f64::max);
            if run.len() == 2 {
                continue;
            }
            let mut added = Vec::new();
            for pair in ticks.windows(2) {
                let worst = (pair[0] + 1..pair[1])
                    .map(|i| (i, away(run[i])))
                    .filter(|(i, far)| {
                        *far > DRAWN_WITHIN_MM
                            && run[*i].distance(run[pair[0]]).min(run[*i].distance(run[pair[1]])) > SHORTEST
                    })
                    .max_by(|a, b| a.1.total_cmp(&b.1));
                added.extend(worst.map(|(i, _)| i));
            }
            more |= !added.is_empty();
            ticks.extend(added);
            ticks.sort_unstable();
        }
        if !more || round == 13 {
            break;
        }
    }
    let sides = runs.iter().zip(&chosen).map(|(run, ticks)| side(run, ticks)).collect();
    Ok((sides, off))
}

/// Both ends of a straight side; of a curved one five places evenly along it, or as many as it has room for.
fn first_choice(run: &[Point]) -> Vec<usize> {
    let last = run.len() - 1;
    let mut along = vec![0.0];
    for w in run.windows(2) {
        along.push(along[along.len() - 1] + w[0].distance(w[1]));
    }
    let length = along[last];
    let count = if last == 1 { 1 } else { ((length / (2.0 * SHORTEST)) as usize).clamp(1, 4) };
    let mut out: Vec<usize> = (0..=count)
        .filter_map(|k| {
            let wanted = length * k as f64 / count as f64;
            (0..=last).min_by(|a, b| (along[*a] - wanted).abs().total_cmp(&(along[*b] - wanted).abs()))
        })
        .collect();
    out.dedup();
    // Nearer than ticks may be: only the ends.
    let apart = out.windows(2).all(|w| run[w[0]].distance(run[w[1]]) > SHORTEST);
    if apart { out } else { vec![0, last] }
}

fn side(run: &[Point], ticks: &[usize]) -> DrawnSide {
    let kind = if run.len() == 2 { EdgeKind::Straight } else { EdgeKind::Fair };
    DrawnSide { kind, points: ticks.iter().map(|i| run[*i]).collect() }
}

fn outline(runs: &[Vec<Point>], chosen: &[Vec<usize>]) -> Result<geo::Outline, geo::GeometryError> {
    let n = runs.len();
    let mut id = n as u32;
    let edges = runs.iter().zip(chosen).enumerate().map(|(k, (run, ticks))| {
        let side = side(run, ticks);
        let last = side.points.len() - 1;
        let ticks = side.points.iter().enumerate().map(|(i, at)| {
            let id = match i {
                0 => k as u32,
                i if i == last => ((k + 1) % n) as u32,
                _ => {
                    id += 1;
                    id
                }
            };
            geo::Tick { id, at: *at, spread: Spread::round(DRAWN_SD) }
        });
        geo::Edge {
            id: k as u32,
            name: format!("Edge {}", k + 1),
            kind: side.kind,
            ticks: ticks.collect(),
            bevel: geo::Bevel::default(),
            gap: 0.0,
            smoothing: 0.0,
        }
    });
    Ok(geo::Outline::new(edges.collect(), Vec::new())?.0)
}

fn flat(path: &BezPath) -> Vec<Point> {
    let mut out = Vec::new();
    kurbo::flatten(path, FLAT, |el| {
        if let PathEl::MoveTo(p) | PathEl::LineTo(p) = el {
            out.push(p);
        }
    });
    out
}

fn distance(line: &[Point], p: Point) -> f64 {
    let near = |w: &[Point]| {
        let along: Vec2 = w[1] - w[0];
        let t = ((p - w[0]).dot(along) / along.hypot2().max(1e-18)).clamp(0.0, 1.0);
        (w[0] + along * t).distance(p)
    };
    line.windows(2).map(near).fold(f64::INFINITY, f64::min)
}

/// Units that a drawing's numbers may be in, with their names; the last three are the pixel of SVG as programs have taken it.
pub fn drawn_units() -> BTreeMap<&'static str, f64> {
    BTreeMap::from([
        ("mm", 1.0),
        ("cm", 10.0),
        ("m", 1000.0),
        ("in", 25.4),
        ("ft", 304.8),
        ("1/96in", 25.4 / 96.0),
        ("1/90in", 25.4 / 90.0),
        ("1/72in", 25.4 / 72.0),
    ])
}
