//! Flat foam on a hollow surface: strips laid side by side, and sheets bent on kerfs.

use crate::{GeometryError, Hollow};

/// One strip of a first layer laid along a hollow.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// 1 at place 0 of the straightedge.
    pub number: usize,
    /// Where it begins and ends along the straightedge, mm.
    pub from: f64,
    /// See `from`.
    pub to: f64,
    /// Width of its hull face, mm.
    pub width: f64,
    /// Largest gap left behind it, mm.
    pub gap: f64,
    /// Bevel of its first and second edge, radians: half the turn to the neighbour. Open (negative where the box face is the
    /// narrower one, as on a hollow hull); 0 where the joint may stay square.
    pub bevels: (f64, f64),
    /// Void left behind it, mm² for each mm of its length.
    pub void_area: f64,
}

/// Widest flat strip that leaves at most `gap` mm behind it on a hollow of `radius` mm: √(8·R·gap), from gap = w²/(8R).
#[must_use]
pub fn strip_width(radius: f64, gap: f64) -> f64 {
    (8.0 * radius.max(0.0) * gap.max(0.0)).sqrt()
}

/// Gap behind a flat strip of `width` mm on a hollow of `radius` mm: w²/(8R), good while the strip is narrow against the
/// radius.
#[must_use]
pub fn strip_gap(radius: f64, width: f64) -> f64 {
    width * width / (8.0 * radius)
}

/// The fewest strips of `thickness` mm over a hollow that leave at most `gap` mm behind each and are at most `widest` mm wide,
/// their gaps made as even as can be. Joints that would stand open (or bind) by more than `square_up_to` mm at the box face are
/// bevelled.
///
/// # Errors
/// [`GeometryError::Hollow`] for a gap, width or thickness that is not more than 0, or more than 1000 strips.
pub fn strips(
    hollow: &Hollow,
    gap: f64,
    widest: f64,
    thickness: f64,
    square_up_to: f64,
) -> Result<Vec<Strip>, GeometryError> {
    /// More than this nobody cuts.
    const MOST: usize = 1000;
    let fine = |v: f64| v.is_finite() && v > 0.0;
    if !(fine(gap) && fine(widest) && fine(thickness) && square_up_to >= 0.0) {
        return Err(GeometryError::Hollow {
            what: "cannot be covered by strips of no width, thickness or allowed gap".to_owned(),
        });
    }
    let Some(fewest) = cuts(hollow, gap, widest, MOST) else {
        return Err(GeometryError::Hollow { what: format!("would need more than {MOST} strips") });
    };
    // The least gap that the same number of strips can keep.
    let (mut lo, mut hi) = (0.0, gap);
    let mut best = fewest;
    for _ in 0..40 {
        let mid = 0.5 * (lo + hi);
        match cuts(hollow, mid, widest, best.len() - 1) {
            Some(c) => (best, hi) = (c, mid),
            None => lo = mid,
        }
    }
    let chord = |a: f64, b: f64| ((hollow.gap(b) - hollow.gap(a)) / (b - a)).atan();
    let turn = |k: usize| -> f64 {
        match (best.get(k.wrapping_sub(1)), best.get(k), best.get(k + 1)) {
            (Some(a), Some(b), Some(c)) => chord(*b, *c) - chord(*a, *b),
            _ => 0.0,
        }
    };
    let bevel = |k: usize| {
        let t = turn(k);
        // Square edges turned towards each other bind or open at the box face by 2·t·tan(turn/2).
        if 2.0 * thickness * (0.5 * t).tan().abs() > square_up_to { 0.5 * t } else { 0.0 }
    };
    Ok(best
        .windows(2)
        .enumerate()
        .filter_map(|(i, w)| match w {
            [a, b] => Some(Strip {
                number: i + 1,
                from: *a,
                to: *b,
                width: (b - a).hypot(hollow.gap(*b) - hollow.gap(*a)),
                gap: behind(hollow, *a, *b),
                bevels: (bevel(i), bevel(i + 1)),
                void_area: hollow.between(*a, *b),
            }),
            _ => None,
        })
        .collect())
}

/// Largest gap behind a flat piece from `a` to `b`, square to it.
fn behind(hollow: &Hollow, a: f64, b: f64) -> f64 {
    let (ga, gb) = (hollow.gap(a), hollow.gap(b));
    let cos = (b - a) / (b - a).hypot(gb - ga);
    (1..64)
        .map(|k| f64::from(k) / 64.0)
        .map(|u| (hollow.gap(a + (b - a) * u) - ga - (gb - ga) * u) * cos)
        .fold(0.0, f64::max)
}

/// Places of the cuts, each strip as wide as the gap allows; None when more than `most` are needed.
fn cuts(hollow: &Hollow, gap: f64, widest: f64, most: usize) -> Option<Vec<f64>> {
    let length = hollow.length();
    let mut out = vec![0.0];
    let mut from = 0.0;
    let holds = |a: f64, b: f64| {
        behind(hollow, a, b) <= gap && (b - a).hypot(hollow.gap(b) - hollow.gap(a)) <= widest
    };
    while out.len() <= most {
        if holds(from, length) {
            out.push(length);
            return Some(out);
        }
        let (mut lo, mut hi) = (from, length);
        for _ in 0..50 {
            let mid = 0.5 * (lo + hi);
            if holds(from, mid) { lo = mid } else { hi = mid }
        }
        if lo - from < 1e-3 {
            return None;
        }
        from = lo;
        out.push(from);
    }
    None
}

/// A sheet bent on kerfs cut into its hollow side.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kerfing {
    /// Turn of the whole bend, radians.
    pub angle: f64,
    /// Sheet thickness, mm.
    pub thickness: f64,
    /// Left uncut under each kerf, mm.
    pub web: f64,
    /// Width of each kerf, mm.
    pub kerf: f64,
}

impl Kerfing {
    /// Depth of each kerf, mm.
    #[must_use]
    pub fn depth(&self) -> f64 {
        self.thickness - self.web
    }

    /// Kerfs that must close to make the turn: angle × depth ÷ width, before rounding.
    #[must_use]
    pub fn exact(&self) -> f64 {
        self.angle * self.depth() / self.kerf
    }

    /// The same rounded up. Kerfs on the hollow side close as the foam bends (the box side, on a hull).
    ///
    /// # Errors
    /// [`GeometryError::Hollow`] when a number is not more than 0, the web is as thick as the sheet or more than 10 000 are
    /// needed.
    pub fn count(&self) -> Result<u32, GeometryError> {
        let fine = |v: f64| v.is_finite() && v > 0.0;
        let all = fine(self.angle) && fine(self.thickness) && fine(self.kerf) && self.web >= 0.0;
        if !(all && fine(self.depth()) && self.exact() <= 10_000.0) {
            return Err(GeometryError::Hollow {
                what: format!("cannot be kerfed with {} mm wide kerfs {} mm deep", self.kerf, self.depth()),
            });
        }
        // A whole number that rounding has lifted by a hair stays whole.
        Ok((self.exact() - 1e-9).ceil().max(1.0) as u32)
    }

    /// Length of the sheet at the middle of its web, where it keeps its length, bent to `inside` mm radius at its hollow face:
    /// angle × (R + t − web/2).
    #[must_use]
    pub fn layout(&self, inside: f64) -> f64 {
        self.angle * (inside + self.thickness - 0.5 * self.web)
    }

    /// Kerfs for a bend of `inside` mm radius at its hollow face: those that must close (the layout less the hollow face's
    /// own length, over the kerf) or those that keep the spacing at most `spacing` mm with `margin` mm free at both ends,
    /// whichever is more; with the spacing that comes out.
    ///
    /// # Errors
    /// As [`Kerfing::count`].
    pub fn spaced(&self, inside: f64, spacing: f64, margin: f64) -> Result<(u32, f64), GeometryError> {
        self.count()?;
        let layout = self.layout(inside);
        let run = layout - 2.0 * margin;
        let fine = inside >= 0.0 && spacing > 0.0 && margin >= 0.0 && run > 0.0 && run / spacing < 10_000.0;
        if !fine {
            return Err(GeometryError::Hollow {
                what: format!("cannot be kerfed every {spacing} mm with {margin} mm free at both ends"),
            });
        }
        let closing = ((layout - self.angle * inside) / self.kerf - 1e-9).ceil().max(1.0) as u32;
        let even = (run / spacing - 1e-9).ceil() as u32 + 1;
        let used = closing.max(even).max(2);
        Ok((used, run / f64::from(used - 1)))
    }
}
