//! What unit tests share: even numbers from a seed, and the corners of random stars.

use kurbo::{Point, Vec2};

/// Even numbers from a seed (Knuth's MMIX constants).
pub(crate) struct Dice(pub u64);

impl Dice {
    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        a + (b - a) * (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// `n` corners about the origin, counter-clockwise, 300 mm off it on average; their radii differ by `rough` at most.
    pub fn star(&mut self, n: usize, rough: f64) -> Vec<Point> {
        let corner = |i: usize| {
            let w = std::f64::consts::TAU * (i as f64 + self.between(-0.3, 0.3)) / n as f64;
            let r = 300.0 * (1.0 + self.between(-rough, rough));
            (Vec2::from_angle(w) * r).to_point()
        };
        (0..n).map(corner).collect()
    }
}
