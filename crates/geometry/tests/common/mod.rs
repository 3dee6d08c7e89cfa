//! Makers of test outlines, shared by the tests of shapes.
#![allow(dead_code, reason = "each test file uses some of these")]

use coldwright_geometry::{
    Bevel, Edge, EdgeKind, FixedFace, Outline, Point, Ring, Spread, TemplateDepth, Tick, WallShape,
};

/// A tick known to `sd` mm.
pub fn tick(id: u32, x: f64, y: f64, sd: f64) -> Tick {
    Tick { id, at: Point::new(x, y), spread: Spread::round(sd) }
}

/// A straight edge between two shared corners.
pub fn side(id: u32, a: (u32, Point), b: (u32, Point), degrees: f64) -> Edge {
    let t = |(id, at): (u32, Point)| Tick { id, at, spread: Spread::round(0.1) };
    Edge {
        id,
        name: format!("side {id}"),
        kind: EdgeKind::Straight,
        ticks: vec![t(a), t(b)],
        bevel: Bevel::constant(degrees.to_radians()).expect("a bevel"),
        gap: 0.0,
        smoothing: 0.0,
    }
}

/// Straight sides through measured corners, with a bevel (degrees) each.
pub fn polygon_edges(points: &[(f64, f64)], degrees: &[f64]) -> Vec<Edge> {
    let n = points.len();
    let at = |i: usize| (100 + (i % n) as u32, Point::new(points[i % n].0, points[i % n].1));
    (0..n).map(|i| side(i as u32 + 1, at(i), at(i + 1), degrees[i % degrees.len()])).collect()
}

pub fn polygon(points: &[(f64, f64)], degrees: &[f64]) -> Outline {
    Outline::new(polygon_edges(points, degrees), vec![]).expect("an outline").0
}

pub fn wall(outline: Outline, z0: f64, thicknesses: &[f64]) -> WallShape {
    WallShape {
        outline,
        template_depth: TemplateDepth::FromOuter(z0),
        fixed: FixedFace::Outer,
        thicknesses: thicknesses.to_vec(),
    }
}

/// Numbers that look random and are the same on every run (xorshift; G. Marsaglia, Xorshift RNGs, 2003).
pub struct Dice(pub u64);

impl Dice {
    pub fn unit(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.unit()
    }

    /// Standard normal (Box and Muller 1958).
    pub fn normal(&mut self) -> f64 {
        let (u, v) = (self.unit().max(1e-300), self.unit());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }
}

pub fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} for {want}, off by {}", got - want);
}

/// Area of all parts, mm².
pub fn area(rings: &[Ring]) -> f64 {
    rings.iter().map(Ring::area).sum()
}

/// A star-shaped ring of `n` corners, now and then with nearly straight corners, tiny edges or a deep notch.
pub fn star(dice: &mut Dice, n: usize) -> Vec<(f64, f64)> {
    let mut w = 0.0;
    let mut places: Vec<(f64, f64)> = Vec::new();
    let weights: Vec<f64> = (0..n).map(|_| dice.between(0.4, 1.6)).collect();
    let total: f64 = weights.iter().sum();
    let mut before = dice.between(150., 400.);
    for weight in weights {
        w += std::f64::consts::TAU * weight / total;
        let r = match (dice.unit() * 6.0) as u32 {
            0 => before * 1.002,
            1 => dice.between(60., 120.),
            _ => dice.between(150., 400.),
        };
        places.push((r * w.cos(), r * w.sin()));
        if dice.unit() < 0.1 {
            places.push((r * w.cos() - 0.6 * w.sin(), r * w.sin() + 0.6 * w.cos()));
        }
        before = r;
    }
    places
}

/// Corners at these distances from the middle, at even angles.
pub fn round_about(radii: &[f64]) -> Vec<(f64, f64)> {
    let n = radii.len() as f64;
    let at = |(k, r): (usize, &f64)| {
        let a = std::f64::consts::TAU * k as f64 / n;
        (r * a.cos(), r * a.sin())
    };
    radii.iter().enumerate().map(at).collect()
}
