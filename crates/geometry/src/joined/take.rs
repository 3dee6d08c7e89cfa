//! What one layer gives up along one edge.

use super::BoxWall;
use super::joint::{Half, Joined, Joint};
use crate::fitted::Trims;
use crate::loft::Loft;
use crate::outline::Outline;
use crate::{AsFitted, Bevel, BevelStation, GeometryError, TrimStation};

/// Most change of β (radians, times cos β to the power of 3/2) from one place to the next at which T ÷ cos β is worked out along an
/// edge whose bevel changes; straight between. That is right to 0.003 mm for 100 mm of foam; finer only costs time.
const TURN: f64 = 0.011;

/// How much of a wall's edges is asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Ask {
    /// What layer `number` has left.
    Layer(usize),
    /// Nothing given up: the empty cavity.
    Empty,
    /// All the neighbours' foam given up: the room left.
    Room,
}

/// Which gaps are left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Gaps {
    /// As stated.
    Kept,
    /// None.
    Closed,
}

/// The wall's sides ready to be cut at any depth of it.
pub(crate) fn loft(
    walls: &[BoxWall],
    joints: &[Joint],
    joined: &Joined,
    wall: usize,
    ask: Ask,
    gaps: Gaps,
) -> Result<Loft, GeometryError> {
    let Some(this) = walls.get(wall) else {
        return Err(GeometryError::NotFinite { what: format!("wall {}", wall + 1) });
    };
    let outline = &this.shape.outline;
    let z0 = this.shape.template_z();
    let mut sides = outline.sides().to_vec();
    let mut trims: Vec<AsFitted> = Vec::new();
    for (side, at) in sides.iter_mut().zip(joined.get(wall).into_iter().flatten()) {
        if gaps == Gaps::Closed {
            side.edge.gap = 0.0;
        }
        let Some((number, half)) = *at else { continue };
        let Some(joint) = joints.get(number) else { continue };
        let other = walls.get(joint.half(half.other()).wall).map_or(&[][..], |w| &w.shape.thicknesses);
        let depths = Depths { template: z0, whole: this.shape.thickness() };
        let (bevel, stations) = edge(joint, half, ask, &side.edge.bevel, depths, other)?;
        side.edge.bevel = bevel;
        trims.push(AsFitted { layer: 0, edge: side.edge.id, stations });
    }
    let number = match ask {
        Ask::Layer(number) => {
            trims.extend(this.fitted.iter().cloned());
            number
        }
        Ask::Empty | Ask::Room => 1,
    };
    let (cutouts, leans) = match ask {
        Ask::Layer(_) => (outline.cutouts().to_vec(), outline.leans().to_vec()),
        Ask::Empty | Ask::Room => (Vec::new(), Vec::new()),
    };
    let outline = Outline::from_parts(sides, outline.corners().to_vec(), cutouts, outline.runs().to_vec())
        .leaning(leans)?;
    Loft::trimmed(&outline, z0, (0.0, this.shape.thickness()), |side| Trims::of(&trims, side.edge.id, number))
}

/// Depths of a wall that its edges are reckoned from, mm.
#[derive(Debug, Clone, Copy)]
struct Depths {
    template: f64,
    whole: f64,
}

/// The bevel an edge gets, and how far it stands back.
fn edge(
    joint: &Joint,
    half: Half,
    ask: Ask,
    own: &Bevel,
    Depths { template: z0, whole }: Depths,
    other: &[f64],
) -> Result<(Bevel, Vec<TrimStation>), GeometryError> {
    use std::f64::consts::{FRAC_PI_2, PI};
    /// Nearer to straight than this, unequal foam ends in a step and not where the two inner planes meet, radians.
    const STRAIGHT: f64 = 15.0 * PI / 180.0;
    if ask == Ask::Room {
        // Where the inner faces meet, asked for at the inner face only: no lean is needed, and none could tell a near straight
        // knuckle.
        let theirs: f64 = other.iter().sum();
        let back = |alpha: f64| {
            let t = if (alpha - PI).abs() < STRAIGHT { whole } else { theirs };
            (t + (whole - z0) * alpha.cos()) / alpha.sin()
        };
        let angle = |at: f64| joint.angle.unwrap_or_else(|| FRAC_PI_2 + own.at(at));
        let stations = places(own).into_iter().map(|at| TrimStation { at, trim: back(angle(at)) }).collect();
        return Ok((Bevel::constant(0.0)?, stations));
    }
    let depth = match ask {
        Ask::Layer(number) => joint.ends_at(half, number, other),
        Ask::Empty | Ask::Room => Some(0.0),
    };
    let angle = |at: f64| joint.angle.unwrap_or_else(|| FRAC_PI_2 + own.at(at));
    // Lean of the surface the edge lies on.
    let lean = |alpha: f64| match depth {
        None => 0.5 * (alpha - PI),
        Some(_) if alpha < PI => (alpha - FRAC_PI_2).min(Bevel::STEEPEST),
        Some(_) => (alpha - 3.0 * FRAC_PI_2).max(-Bevel::STEEPEST),
    };
    let back = |at: f64| {
        let alpha = angle(at);
        let plain = if alpha < PI { (alpha - FRAC_PI_2).min(Bevel::STEEPEST) } else { 0.0 };
        // A mitre starts at the knuckle; so does an edge whose angle no bevel can tell (its template is at the outer face).
        let knuckle = if z0.abs() > 0.5 { z0 * (plain.tan() - lean(alpha).tan()) } else { 0.0 };
        depth.map_or(0.0, |t| if t > 0.0 { t / alpha.sin() } else { 0.0 }) + knuckle
    };
    if joint.angle.is_some() || own.is_constant() {
        let bevel = Bevel::constant(lean(angle(0.0)))?;
        return Ok((bevel, vec![TrimStation { at: 0.0, trim: back(0.0) }]));
    }
    let stations = own.stations().iter().map(|s| BevelStation { at: s.at, angle: lean(angle(s.at)) });
    let bevel = Bevel::from_stations(stations.collect())?;
    Ok((bevel, places(own).into_iter().map(|at| TrimStation { at, trim: back(at) }).collect()))
}

/// Fractions of an edge at which its bevel is looked at, rising.
fn places(own: &Bevel) -> Vec<f64> {
    let stations = own.stations();
    let mut out = vec![0.0, 1.0];
    out.extend(stations.iter().map(|s| s.at));
    for w in stations.windows(2) {
        // Between two stations the angle runs straight. Up to 15° at 75° of lean, or 75° about square, keep below the bound.
        let cos = w[0].angle.abs().max(w[1].angle.abs()).cos();
        let pieces =
            ((w[1].angle - w[0].angle).abs() / (TURN * cos.powf(1.5))).ceil().clamp(1.0, 180.0) as u32;
        let step = (w[1].at - w[0].at) / f64::from(pieces);
        out.extend((1..pieces).map(|k| w[0].at + step * f64::from(k)));
    }
    out.sort_by(f64::total_cmp);
    out.dedup_by(|b, a| *b - *a < 1e-6);
    out
}
