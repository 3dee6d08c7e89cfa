//! Places and directions in the box, and where a wall stands.

use std::ops::{Add, Mul, Neg, Sub};

use kurbo::Point;

/// A place (mm) or direction in the box frame: x forward, y to port, z up.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Xyz {
    /// Forward.
    pub x: f64,
    /// To port.
    pub y: f64,
    /// Up.
    pub z: f64,
}

impl Xyz {
    /// From its three numbers.
    #[must_use]
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Scalar product.
    #[must_use]
    pub fn dot(self, o: Self) -> f64 {
        self.x * o.x + self.y * o.y + self.z * o.z
    }

    /// Vector product.
    #[must_use]
    pub fn cross(self, o: Self) -> Self {
        Self::new(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Direction of length 1; forward for no length.
    #[must_use]
    pub fn unit(self) -> Self {
        let l = self.length();
        if l > 0.0 { self * (1.0 / l) } else { Self::new(1.0, 0.0, 0.0) }
    }

    pub(crate) fn is_finite(self) -> bool {
        self.x.is_finite() && self.y.is_finite() && self.z.is_finite()
    }

    pub(crate) fn array(self) -> [f64; 3] {
        [self.x, self.y, self.z]
    }
}

impl Add for Xyz {
    type Output = Self;
    fn add(self, o: Self) -> Self {
        Self::new(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl Sub for Xyz {
    type Output = Self;
    fn sub(self, o: Self) -> Self {
        Self::new(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl Mul<f64> for Xyz {
    type Output = Self;
    fn mul(self, k: f64) -> Self {
        Self::new(self.x * k, self.y * k, self.z * k)
    }
}

impl Neg for Xyz {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

/// Where a wall stands: from its frame (x right and y up seen from inside, depth z inward) to the box frame.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pose {
    /// The wall's x, y and depth directions in the box frame; right-handed, each of length 1.
    pub axes: [Xyz; 3],
    /// The wall's origin on its outer face, mm.
    pub origin: Xyz,
}

impl Default for Pose {
    fn default() -> Self {
        Self {
            axes: [Xyz::new(1.0, 0.0, 0.0), Xyz::new(0.0, 1.0, 0.0), Xyz::new(0.0, 0.0, 1.0)],
            origin: Xyz::default(),
        }
    }
}

impl Pose {
    /// The wall's place `p` at depth `z` (mm) in the box frame.
    #[must_use]
    pub fn place(&self, p: Point, z: f64) -> Xyz {
        self.origin + self.turn(Xyz::new(p.x, p.y, z))
    }

    /// A direction of the wall's frame in the box frame.
    #[must_use]
    pub fn turn(&self, v: Xyz) -> Xyz {
        self.axes[0] * v.x + self.axes[1] * v.y + self.axes[2] * v.z
    }

    /// A place of the box in the wall's frame: x, y and depth.
    #[must_use]
    pub fn local(&self, p: Xyz) -> Xyz {
        let d = p - self.origin;
        Xyz::new(self.axes[0].dot(d), self.axes[1].dot(d), self.axes[2].dot(d))
    }

    /// Direction into the box.
    #[must_use]
    pub fn inward(&self) -> Xyz {
        self.axes[2]
    }

    /// Turned about the box frame's origin by the rotation vector `w` (radians), then moved by `by`, which applies to the
    /// wall's origin only: the origin itself is not turned.
    pub(crate) fn nudged(&self, w: Xyz, by: Xyz) -> Self {
        let axes = self.axes.map(|a| rotated(a, w));
        Self { axes: squared(axes), origin: self.origin + by }
    }

    /// The whole frame seen from another: `frame` maps the old box frame into the new.
    pub(crate) fn within(&self, frame: &Self) -> Self {
        Self { axes: self.axes.map(|a| frame.turn(a)), origin: frame.origin + frame.turn(self.origin) }
    }
}

/// Rodrigues' rotation of `v` by the vector `w`.
pub(crate) fn rotated(v: Xyz, w: Xyz) -> Xyz {
    let angle = w.length();
    if angle < 1e-300 {
        return v;
    }
    let k = w * (1.0 / angle);
    let (s, c) = angle.sin_cos();
    v * c + k.cross(v) * s + k * (k.dot(v) * (1.0 - c))
}

/// Three axes made square and of length 1 again after rounding.
fn squared(a: [Xyz; 3]) -> [Xyz; 3] {
    let z = a[2].unit();
    let x = (a[0] - z * a[0].dot(z)).unit();
    [x, z.cross(x), z]
}
