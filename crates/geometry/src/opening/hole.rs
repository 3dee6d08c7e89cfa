//! The shape of an opening and the widest slab that goes through it.

use kurbo::Point;

use crate::GeometryError;

/// The clear hole that every piece must pass, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Opening {
    /// A rectangle with sharp corners.
    Rect {
        /// One side, mm.
        w: f64,
        /// The other side, mm.
        h: f64,
    },
    /// A rectangle with rounded corners.
    Rounded {
        /// One side, mm.
        w: f64,
        /// The other side, mm.
        h: f64,
        /// Radius of the corners, mm; at most half the shorter side.
        r: f64,
    },
    /// A round hole.
    Circle {
        /// Diameter, mm.
        d: f64,
    },
}

impl Opening {
    /// The opening, once its numbers are known to be usable.
    ///
    /// # Errors
    /// [`GeometryError::Opening`] when a side or diameter is not more than 0 and at most 10 m, or the radius of the corners is
    /// negative or more than half the shorter side.
    pub fn checked(self) -> Result<Self, GeometryError> {
        let side = |mm: f64| mm.is_finite() && mm > 0.0 && mm <= 10_000.0;
        let bad = |what: String| Err(GeometryError::Opening { what });
        match self {
            Self::Rect { w, h } | Self::Rounded { w, h, .. } if !(side(w) && side(h)) => {
                bad(format!("is {w} by {h} mm"))
            }
            Self::Rounded { w, h, r } if !(r >= 0.0 && r <= 0.5 * w.min(h)) => {
                bad(format!("has corners of radius {r} mm, with a shorter side of {} mm", w.min(h)))
            }
            Self::Circle { d } if !side(d) => bad(format!("is {d} mm across")),
            _ => Ok(self),
        }
    }

    /// Widest width of a flat slab `thickness` mm thick that goes through, standing square to the opening and turned in it as
    /// is best, mm; 0 when none does.
    ///
    /// Exact to rounding. The slab's section is a rectangle; opening and section are both symmetric about their centres, so that
    /// the best place is centred. Of a slab that cannot grow, either it lies along a side, or two neighbouring corners touch
    /// at one distance ρ from the centre, on both sides of the farthest point of the opening's corner; the distance c between
    /// these two points falls while ρ grows, and the ρ where c is the thickness, or (4ρ² − c²)½ is, is found by halving.
    /// The same rectangle seen the other way round, this is also the thickest slab of width `thickness`.
    ///
    /// # Examples
    /// ```
    /// use coldwright_geometry::Opening;
    /// let inch = 25.4;
    /// let hatch = Opening::Rect { w: 12.0 * inch, h: 14.0 * inch };
    /// assert!((hatch.widest_slot(1.0 * inch) / inch - 17.453).abs() < 0.0005);
    /// let round = Opening::Circle { d: 500.0 };
    /// assert!((round.widest_slot(300.0) - 400.0).abs() < 1e-9);
    /// ```
    #[must_use]
    pub fn widest_slot(&self, thickness: f64) -> f64 {
        let t = thickness;
        if !(t.is_finite() && t >= 0.0) || self.checked().is_err() {
            return 0.0;
        }
        match *self {
            Self::Circle { d } => (d * d - t * t).max(0.0).sqrt(),
            Self::Rect { w, h } => Corner::new(w, h, 0.0).widest(t),
            Self::Rounded { w, h, r } => Corner::new(w, h, r).widest(t),
        }
    }

    /// Whether a point, given from the opening's centre with the sides along the axes, lies in the opening or on its rim, to
    /// `within` mm.
    #[must_use]
    pub fn holds(&self, p: Point, within: f64) -> bool {
        let (a, b, r) = match *self {
            Self::Circle { d } => (0.0, 0.0, 0.5 * d),
            Self::Rect { w, h } => (0.5 * w, 0.5 * h, 0.0),
            Self::Rounded { w, h, r } => (0.5 * w - r, 0.5 * h - r, r),
        };
        (p.x.abs() - a).max(0.0).hypot((p.y.abs() - b).max(0.0)) <= r + within
    }
}

/// The quarter of a rectangle with a rounded corner, from its centre.
struct Corner {
    /// Half sides.
    w: f64,
    h: f64,
    r: f64,
    /// Centre of the corner's arc.
    a: f64,
    b: f64,
}

impl Corner {
    fn new(w: f64, h: f64, r: f64) -> Self {
        let (w, h) = (0.5 * w, 0.5 * h);
        Self { w, h, r, a: w - r, b: h - r }
    }

    /// Greatest x of the opening at `y`, none above it.
    fn reach(&self, y: f64) -> Option<f64> {
        let up = y - self.b;
        if up <= 0.0 {
            Some(self.w)
        } else {
            (up <= self.r + 1e-9).then(|| self.a + (self.r * self.r - up * up).max(0.0).sqrt())
        }
    }

    fn widest(&self, t: f64) -> f64 {
        let across = Self { w: self.h, h: self.w, r: self.r, a: self.b, b: self.a };
        let flat = [self.reach(0.5 * t), across.reach(0.5 * t)].into_iter().flatten().fold(0.0, f64::max);
        flat.max(self.slanted(t).unwrap_or(0.0)) * 2.0
    }

    /// Half the width of the slab of which two neighbouring corners touch either side of the opening's corner: the ends of its
    /// thickness, or of its width when it is thicker than wide.
    fn slanted(&self, t: f64) -> Option<f64> {
        let other = |rho: f64, one: f64| (4.0 * rho * rho - one * one).max(0.0).sqrt();
        let thin = self.rho(&|rho| self.chord(rho) >= t).map(|rho| other(rho, t));
        let thick = self.rho(&|rho| other(rho, self.chord(rho)) <= t);
        let thick = thick.filter(|rho| 2.0 * rho >= t).map(|rho| other(rho, t));
        thin.into_iter().chain(thick).map(|w| 0.5 * w).reduce(f64::max)
    }

    /// The greatest distance from the centre for which `holds`, which ceases to hold once; none if it never holds.
    fn rho(&self, holds: &dyn Fn(f64) -> bool) -> Option<f64> {
        let (mut lo, mut hi) = (self.w.max(self.h), self.a.hypot(self.b) + self.r);
        if !holds(lo) {
            return None;
        }
        // Halved until neighbouring numbers: at most 60 times.
        for _ in 0..100 {
            let mid = 0.5 * (lo + hi);
            if mid <= lo || mid >= hi {
                break;
            }
            if holds(mid) { lo = mid } else { hi = mid }
        }
        Some(lo)
    }

    /// Distance between the two points of the quarter's rim that are `rho` from the centre.
    fn chord(&self, rho: f64) -> f64 {
        // On the upright side below its arc, else on the arc, to the right and below of the farthest point.
        let right = |w: f64, a: f64, b: f64| {
            let y = (rho * rho - w * w).max(0.0).sqrt();
            if y <= b {
                return Point::new(w, y);
            }
            let d = a.hypot(b);
            if d <= 0.0 {
                return Point::new(w, 0.0);
            }
            let along = (rho * rho - self.r * self.r + d * d) / (2.0 * d);
            let off = (rho * rho - along * along).max(0.0).sqrt();
            Point::new((a * along + b * off) / d, (b * along - a * off) / d)
        };
        let (p, q) = (right(self.w, self.a, self.b), right(self.h, self.b, self.a));
        // The second was found with x and y changed over.
        p.distance(Point::new(q.y, q.x))
    }
}
