//! The edge of a lath's top face, told from its foot.
//!
//! Across an edge the light has three levels where the lath's side is seen: top, side, what lies beyond; and two where it is hidden. Where the recovered
//! camera says how wide the side must look, the three levels and the place of the edge are fitted together, so that a side of a pixel or two does not pull
//! the edge outwards, and the foot is never taken for the top.

use kurbo::{Point, Vec2};

use super::arms::Arm;
use super::patch::{Colour, Patch, apart};

/// How far inside the edge the light is looked at, pixels.
const INSIDE: f64 = 3.0;
/// And outside the foot.
const OUTSIDE: f64 = 1.5;
const STEP: f64 = 0.5;
/// Rows of one strip along the arm, three quarters of a pixel apart.
const ROWS: usize = 5;
/// How far the strips may turn the line found before, radians.
const TURN: f64 = 0.03;
/// Blurs tried, pixels.
const BLURS: [f64; 3] = [0.7, 1.1, 1.6];
/// A side narrower than this does not show as a level of its own.
const NARROW: f64 = 0.6;
/// How strongly a lath's side is taken to look like its top in shade, in samples; matters where the side is hardly a pixel wide.
const LIKE: f64 = 0.1;
const SHADE: f64 = 0.5;
/// The step from top to side against that to what lies beyond: with less, the edge seen would be the foot, and the top's own not to be seen at all.
const SEEN: f64 = 0.28;
/// An edge this far away is another one, pixels.
const ELSEWHERE: f64 = 0.8;
/// How much worse (mean square) a fit may be whose top can be told from the side.
const WORSE: f64 = 3.0;

/// Where the edge lies and the light on both sides.
pub(super) struct Step {
    /// Offset of the top's edge from the line at the corner, outwards, pixels, and how much it grows along the arm.
    pub(super) offset: f64,
    pub(super) slope: f64,
    pub(super) inside: Colour,
    pub(super) outside: Colour,
    /// Least mean square of an edge elsewhere, against this one's: near 1 when it might as well lie there.
    pub(super) doubt: f64,
    /// What is left unexplained, root mean square.
    pub(super) scatter: f64,
}

/// Fits the step across an arm. `outward` is the unit normal away from the surface, `side_px` the width at which the side is seen (0 when hidden or
/// unknown), `search` how far in and out to look.
pub(super) fn fit(
    patch: &Patch,
    corner: Point,
    arm: &Arm<'_>,
    outward: Vec2,
    turn: f64,
    side_px: f64,
    search: (f64, f64),
) -> Option<Step> {
    // In an acute corner the other side comes near: begin farther along.
    let from = ((INSIDE + 2.5) / turn.tan().abs().max(0.2)).clamp(3.5, 14.0);
    let from = if turn < std::f64::consts::FRAC_PI_2 { from } else { 3.5 };
    let to = arm.reach.min(32.0).max(from + 4.0);
    let rows = ((to - from) / 0.75) as usize;
    // The side of an upper lath is a half or a third of what its height would show.
    let widths: Vec<f64> =
        [1.0, 0.5, 1.0 / 3.0].iter().map(|share| share * side_px).filter(|w| *w > NARROW).collect();
    let widths = if widths.is_empty() { vec![0.0] } else { widths };
    let most = widths.iter().copied().fold(0.0, f64::max);
    let first = -(INSIDE + search.0);
    let count = ((INSIDE + search.0 + search.1 + most + OUTSIDE) / STEP) as usize + 1;
    let mut strips: Vec<(f64, Vec<Colour>)> = Vec::new();
    for part in 0..rows.div_ceil(ROWS) {
        let here = part * ROWS..rows.min((part + 1) * ROWS);
        let middle = from + 0.75 * 0.5 * (here.start + here.end - 1) as f64;
        let mut strip = Vec::with_capacity(count);
        for k in 0..count {
            let s = first + STEP * k as f64;
            let (mut sum, mut n) = ([0.0; 3], 0.0);
            for r in here.clone() {
                let p = corner + arm.way * (from + 0.75 * r as f64) + outward * s;
                let Some(v) = patch.at(p) else { continue };
                for (a, b) in sum.iter_mut().zip(v) {
                    *a += b;
                }
                n += 1.0;
            }
            if n < 1.0 {
                break;
            }
            strip.push(sum.map(|v| v / n));
        }
        if strip.len() == count {
            strips.push((middle, strip));
        }
    }
    if strips.is_empty() {
        return None;
    }
    let mut profile = vec![[0.0; 3]; count];
    for (_, strip) in &strips {
        for (p, v) in profile.iter_mut().zip(strip) {
            for (a, b) in p.iter_mut().zip(v) {
                *a += b / strips.len() as f64;
            }
        }
    }
    let mut tried = Tried { profile: &profile, first, plain: None, seen: None, all: Vec::new() };
    let tries = ((search.0 + search.1) / 0.1) as usize;
    for wide in &widths {
        for i in 0..=tries {
            for blur in BLURS {
                tried.look(-search.0 + 0.1 * i as f64, *wide, blur);
            }
        }
    }
    let coarse = tried.choice()?;
    for i in -4..=4 {
        for blur in [0.55, 0.7, 0.9, 1.1, 1.35, 1.6] {
            tried.look(coarse.offset + 0.02 * f64::from(i), coarse.wide, blur);
        }
    }
    let best = tried.choice()?;
    let [inside, side, beyond] = best.levels;
    let outside = if best.wide > 0.0 { side } else { beyond };
    let elsewhere = tried.all.iter().filter(|a| (a.0 - best.offset).abs() > ELSEWHERE);
    let doubt = elsewhere.map(|a| a.1).fold(f64::INFINITY, f64::min) / best.left.max(1e-9);
    let places: Vec<(f64, f64)> =
        strips.iter().map(|(t, strip)| (*t, best.offset_in(strip, first))).collect();
    let (offset, slope) = straight(&places, best.offset)?;
    Some(Step { offset, slope, doubt, inside, outside, scatter: best.left.sqrt() })
}

/// A line through places along the arm and their offsets: offset at the corner and slope. Places far off the middle one do not count; few places hardly
/// turn the line.
fn straight(places: &[(f64, f64)], middle: f64) -> Option<(f64, f64)> {
    let near: Vec<&(f64, f64)> = places.iter().filter(|p| (p.1 - middle).abs() < 0.75).collect();
    if near.len() < 2 {
        return Some((middle, 0.0));
    }
    let n = near.len() as f64;
    let (t, o) = near.iter().fold((0.0, 0.0), |s, p| (s.0 + p.0 / n, s.1 + p.1 / n));
    let (mut tt, mut to) = (0.0, 0.0);
    for p in &near {
        tt += (p.0 - t).powi(2);
        to += (p.0 - t) * (p.1 - o);
    }
    let slope = to / (tt + (0.2 / TURN).powi(2));
    let offset = o - slope * t;
    (offset.is_finite() && slope.is_finite()).then_some((offset, slope))
}

/// One fit of the levels.
#[derive(Clone, Copy)]
struct Fit {
    blur: f64,
    offset: f64,
    wide: f64,
    left: f64,
    levels: [Colour; 3],
}

impl Fit {
    /// Where these levels lie best in one strip.
    fn offset_in(&self, strip: &[Colour], first: f64) -> f64 {
        let misfit = |offset: f64| {
            let mut sum = 0.0;
            for (k, v) in strip.iter().enumerate() {
                let s = first + STEP * k as f64 - offset;
                let (a, b) = (rise(s / self.blur), rise((s - self.wide) / self.blur));
                for c in 0..3 {
                    let [inside, side, beyond] = self.levels.map(|l| l[c]);
                    let side = if self.wide > 0.0 { side * (a - b) } else { 0.0 };
                    sum += (v[c] - inside * (1.0 - a) - side - beyond * b).powi(2);
                }
            }
            sum
        };
        let tries = (-20..=20).map(|i| self.offset + 0.05 * f64::from(i));
        tries.min_by(|a, b| misfit(*a).total_cmp(&misfit(*b))).unwrap_or(self.offset)
    }
}

/// The best fits so far: of all, and of those whose top differs visibly from the side.
struct Tried<'a> {
    profile: &'a [Colour],
    first: f64,
    /// Offsets with their mean squares.
    all: Vec<(f64, f64)>,
    plain: Option<Fit>,
    seen: Option<Fit>,
}

impl Tried<'_> {
    fn look(&mut self, offset: f64, wide: f64, blur: f64) {
        let Some((left, levels)) = levels(self.profile, self.first, offset, wide, blur) else { return };
        let fit = Fit { blur, offset, wide, left, levels };
        self.all.push((offset, left));
        if self.plain.is_none_or(|b| left < b.left) {
            self.plain = Some(fit);
        }
        let clear = wide <= 0.0 || apart(levels[0], levels[1]) > SEEN * apart(levels[0], levels[2]);
        if clear && self.seen.is_none_or(|b| left < b.left) {
            self.seen = Some(fit);
        }
    }

    /// A top that looks like its side is believed only when nothing else fits.
    fn choice(&self) -> Option<Fit> {
        match (self.seen, self.plain) {
            (Some(seen), Some(plain)) if seen.left <= WORSE * plain.left => Some(seen),
            (_, plain) => plain,
        }
    }
}

/// Best levels for an edge at an offset, and the mean square that they leave, within the window round it.
fn levels(profile: &[Colour], first: f64, offset: f64, wide: f64, blur: f64) -> Option<(f64, [Colour; 3])> {
    let mut m = nalgebra::Matrix3::<f64>::zeros();
    let mut right = nalgebra::Matrix3::<f64>::zeros();
    let (mut square, mut n) = (0.0, 0.0);
    for (k, v) in profile.iter().enumerate() {
        let s = first + STEP * k as f64 - offset;
        let (a, b) = (rise(s / blur), rise((s - wide) / blur));
        let f = nalgebra::Vector3::new(1.0 - a, if wide > 0.0 { a - b } else { 0.0 }, b);
        m += f * f.transpose();
        for c in 0..3 {
            for r in 0..3 {
                right[(r, c)] += f[r] * v[c];
            }
            square += v[c] * v[c];
        }
        n += 1.0;
    }
    // The side looks like the top in shade, loosely.
    m[(1, 1)] += LIKE;
    m[(0, 1)] -= LIKE * SHADE;
    m[(1, 0)] -= LIKE * SHADE;
    m[(0, 0)] += LIKE * SHADE * SHADE;
    if n < 8.0 {
        return None;
    }
    let x = m.cholesky()?.solve(&right);
    let left = (square - x.component_mul(&right).sum()).max(0.0) / n;
    let level = |r: usize| [x[(r, 0)], x[(r, 1)], x[(r, 2)]];
    Some((left, [level(0), level(1), level(2)]))
}

/// Share of a step that a Gaussian blur of one lets through up to here (a logistic curve within 0.01 of the normal distribution's).
fn rise(s: f64) -> f64 {
    1.0 / (1.0 + (-1.702 * s).exp())
}

/// Mean colour and scatter of a surface well inside a corner.
pub(super) fn deep(patch: &Patch, corner: Point, a: Vec2, b: Vec2) -> Option<(Colour, f64)> {
    let mut values = Vec::new();
    for i in 0..6 {
        for j in 0..6 {
            let p = corner + a * (3.5 + 1.8 * f64::from(i)) + b * (3.5 + 1.8 * f64::from(j));
            values.push(patch.at(p)?);
        }
    }
    let n = values.len() as f64;
    let mut mean = [0.0; 3];
    for v in &values {
        for (m, x) in mean.iter_mut().zip(v) {
            *m += x / n;
        }
    }
    let scatter = (values.iter().map(|v| apart(*v, mean).powi(2)).sum::<f64>() / n).sqrt();
    Some((mean, scatter))
}
