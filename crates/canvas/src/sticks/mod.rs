//! The sticks of a template found in a photo, and the ticks they propose.
//!
//! A proposal, never a silent answer: every tick has a score, and the person confirms, drags or deletes. Line segments (R. Grompone von Gioi et al., "LSD: a
//! line segment detector", Image Processing On Line 2 (2012), as the crate `lsdetect` has it) are laid on the solved plane, where a lath's two sides are
//! parallel at the lath's own width; that width is typed, or voted for by all pairs. Collinear pieces are joined through crossings; what is not of the wood that
//! most are of is left out; ends are where the wood stops and a cut goes across, and an end counts as a tip when nothing of the template lies beyond it.

mod ends;
mod laths;
mod segments;
mod wood;

use kurbo::{Point, Vec2};

use crate::error::CanvasError;
use crate::picture::Picture;
use crate::plane::{PlaneSolve, finite};
use crate::snap::{SnapKind, snap_on_plane};
use ends::End;

/// What a proposed tick stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StickKind {
    /// A corner of a stick's square end.
    SquareCorner,
    /// The point of a stick cut to a point.
    Apex,
    /// A place on a stick's outer long edge.
    Edge,
}

/// A tick proposed for the outline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StickTick {
    /// Pixel of the upright picture, on the stick's top.
    pub px: Point,
    /// What it stands on.
    pub kind: StickKind,
    /// Which stick of [`Sticks::laths`], from 0.
    pub lath: usize,
    /// How many sticks high its top probably lies, from 1.
    pub lap: u32,
    /// How well it is seen, 0 to 1.
    pub score: f64,
}

/// A stick found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lath {
    /// Middle of each end, mm in the plane frame, at the height of one stick.
    pub ends: [Point; 2],
    /// How many sticks high its top probably lies, from 1.
    pub lap: u32,
    /// Share of both sides that is seen, 0 to 1.
    pub score: f64,
}

/// What to know beforehand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StickOptions {
    /// Width of the sticks, mm; `None` lets the picture vote.
    pub width_mm: Option<f64>,
    /// Thickness of the sticks, mm.
    pub thickness_mm: f64,
}

impl Default for StickOptions {
    fn default() -> Self {
        Self { width_mm: None, thickness_mm: 5.0 }
    }
}

/// All sticks of a photo.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sticks {
    /// Width of the sticks, mm, as typed or voted; 0 when no two sides agreed.
    pub width_mm: f64,
    /// Sticks, longest first.
    pub laths: Vec<Lath>,
    /// Proposed ticks, counter-clockwise round their middle.
    pub ticks: Vec<StickTick>,
}

/// Finds the sticks in a solved photo (from 0) and proposes the outline's ticks.
///
/// `progress` is told the share done, 0 to 1, and stops the work by returning false; what was found until then is empty. A photo in which no two
/// edges are parallel at one width gives an empty list, not an error.
///
/// # Errors
/// A photo that was not solved, or a width or thickness that is not a length between 1 and 200 mm.
pub fn find_sticks(
    picture: &Picture,
    solved: &PlaneSolve,
    photo: usize,
    options: &StickOptions,
    progress: &mut dyn FnMut(f64) -> bool,
) -> Result<Sticks, CanvasError> {
    solved.camera(photo)?;
    for (what, value) in
        [("stick width", options.width_mm.unwrap_or(30.0)), ("stick thickness", options.thickness_mm)]
    {
        finite(what, value)?;
        if !(1.0..=200.0).contains(&value) {
            return Err(CanvasError::BadNumber { what, rule: "between 1 and 200 mm", value });
        }
    }
    let height = options.thickness_mm;
    let seen = segments::segments(picture, solved, photo, height);
    if !progress(0.5) {
        return Ok(Sticks::default());
    }
    let wood = wood::Wood::new(picture, solved, photo, height);
    let width = options.width_mm.or_else(|| laths::voted_width(&seen)).unwrap_or(0.0);
    let strips = if width > 0.0 { laths::strips(&seen, width, &wood) } else { Vec::new() };
    if !progress(0.7) {
        return Ok(Sticks::default());
    }
    let laps = laths::laps(&strips);
    let mut found: Vec<[End; 2]> = (0..strips.len())
        .filter_map(|i| {
            Some([ends::end(&strips, i, &seen, &wood, false)?, ends::end(&strips, i, &seen, &wood, true)?])
        })
        .collect();
    for (strip, ends) in strips.iter().zip(&mut found) {
        for (end, out) in ends.iter_mut().zip([-1.0, 1.0]).filter(|e| e.0.score <= ends::UNSEEN) {
            pointed(picture, solved, photo, height, strip, end, out);
        }
    }
    let mut out = Sticks { width_mm: width, ..Sticks::default() };
    for ((strip, lap), ends) in strips.iter().zip(&laps).zip(&found) {
        let at = |k: usize| strip.place(ends[k].along, 0.0);
        out.laths.push(Lath { ends: [at(0), at(1)], lap: *lap, score: strip.score });
    }
    let trimmed: Vec<laths::Strip> = strips
        .iter()
        .zip(&found)
        .map(|(s, e)| laths::Strip {
            from: e[0].along.min(e[1].along),
            to: e[1].along.max(e[0].along),
            ..s.clone()
        })
        .collect();
    for tick in ends::ticks(&trimmed, &found) {
        let lap = laps.get(tick.lath).copied().unwrap_or(1);
        let Ok(px) = solved.to_pixel(photo, tick.at, height) else { continue };
        let inside = px.x > 0.0
            && px.y > 0.0
            && px.x < f64::from(picture.width() - 1)
            && px.y < f64::from(picture.height() - 1);
        if !inside {
            continue;
        }
        let mut tick = StickTick { px, kind: tick.kind, lath: tick.lath, lap, score: tick.score };
        if tick.kind != StickKind::Edge {
            polish(picture, solved, photo, height * f64::from(lap), &mut tick);
        }
        if tick.score >= LEAST_SCORE {
            out.ticks.push(tick);
        }
    }
    ring_order(solved, photo, height, &mut out.ticks);
    progress(1.0);
    Ok(out)
}

/// Looks for the point of an end whose cut was not seen as lines.
fn pointed(
    picture: &Picture,
    solved: &PlaneSolve,
    photo: usize,
    height: f64,
    strip: &laths::Strip,
    end: &mut End,
    out: f64,
) {
    let guess = strip.place(end.along + out * 0.3 * strip.width, 0.0);
    let beside = strip.place(end.along + out * 0.3 * strip.width, 0.4 * strip.width);
    let (Ok(px), Ok(rim)) = (solved.to_pixel(photo, guess, height), solved.to_pixel(photo, beside, height))
    else {
        return;
    };
    let Ok(snap) = snap_on_plane(picture, solved, photo, px, px.distance(rim), height) else { return };
    let Ok(at) = solved.to_plane(photo, snap.px, height) else { return };
    let (along, across) = strip.seen_from(at);
    if snap.kind == SnapKind::Corner && across.abs() < 0.3 * strip.width && (along - end.along) * out > 2.0 {
        *end = End { along, kind: StickKind::Apex, corners: vec![at], score: 0.4 };
    }
}

/// Ticks with less are not proposed: their ends were guessed from where the sides stop, and every other one was wrong.
const LEAST_SCORE: f64 = 0.2;
/// How far a tick may be moved onto the corner seen there, pixels.
const POLISH_PX: f64 = 7.0;

fn polish(picture: &Picture, solved: &PlaneSolve, photo: usize, height: f64, tick: &mut StickTick) {
    let Ok(snap) = snap_on_plane(picture, solved, photo, tick.px, POLISH_PX, height) else { return };
    if snap.kind == SnapKind::Corner {
        tick.px = snap.px;
        tick.score = (tick.score + 0.3).min(1.0);
    }
}

/// Counter-clockwise round the middle of all, beginning at the largest x.
fn ring_order(solved: &PlaneSolve, photo: usize, height: f64, ticks: &mut Vec<StickTick>) {
    let mut placed: Vec<(Point, StickTick)> =
        ticks.iter().filter_map(|t| Some((solved.to_plane(photo, t.px, height).ok()?, *t))).collect();
    let n = placed.len().max(1) as f64;
    let middle = placed.iter().fold(Vec2::ZERO, |s, p| s + p.0.to_vec2()) / n;
    placed.sort_by(|a, b| {
        let angle = |p: &Point| (p.to_vec2() - middle).atan2();
        angle(&a.0).total_cmp(&angle(&b.0))
    });
    *ticks = placed.into_iter().map(|p| p.1).collect();
}
