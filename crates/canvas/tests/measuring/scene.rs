//! Made-up photographs of cards: points projected through a known camera, with noise of known size.

use coldwright_canvas::{CardSeen, Crossing, Lens, PAPER_MM, PhotoCards, Point, Pose, crossings_mm};
use nalgebra::{Rotation3, Vector3};

/// A small generator with a seed, so that every run is the same (D. Lehmer's multiplicative congruential method, 64 bits of PCG's constants).
pub struct Dice(pub u64);

impl Dice {
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 11) as f64) / ((1u64 << 53) as f64)
    }
    pub fn between(&mut self, a: f64, b: f64) -> f64 {
        a + (b - a) * self.unit()
    }
    pub fn normal(&mut self) -> f64 {
        (-2.0 * (1.0 - self.unit()).ln()).sqrt() * (std::f64::consts::TAU * self.unit()).cos()
    }
}

/// A card lying in the scene.
#[derive(Clone, Copy)]
pub struct Laid {
    pub number: u32,
    pub x: f64,
    pub y: f64,
    pub angle: f64,
    pub scale: f64,
    pub lift: f64,
    /// Rise of the card's right edge, mm, as a parabola from its middle.
    pub curl: f64,
}

pub fn laid(number: u32, x: f64, y: f64, angle: f64) -> Laid {
    Laid { number, x, y, angle, scale: 1.0, lift: 0.0, curl: 0.0 }
}

impl Laid {
    /// A card point in the scene.
    pub fn place(&self, p: Point) -> Vector3<f64> {
        let (s, c) = self.angle.sin_cos();
        let q = Point::new(p.x * self.scale, p.y * self.scale);
        let rise = if p.x > 0.0 { self.curl * (p.x / 122.5).powi(2) } else { 0.0 };
        Vector3::new(self.x + c * q.x - s * q.y, self.y + s * q.x + c * q.y, self.lift + rise)
    }
}

#[derive(Clone)]
pub struct Scene {
    pub width: u32,
    pub height: u32,
    pub lens: Lens,
    pub pose: Pose,
    pub cards: Vec<Laid>,
    pub focal_prior: Option<f64>,
}

/// A camera over (x, y) looking at (ax, ay), `h` mm up, turned by `roll`.
pub fn pose(eye: Vector3<f64>, at: Vector3<f64>, roll: f64) -> Pose {
    let z = (at - eye).normalize();
    let aside = if z.x.abs() < 0.9 { Vector3::x() } else { Vector3::y() };
    let x = (aside - z * aside.dot(&z)).normalize();
    let y = z.cross(&x);
    let base = nalgebra::Matrix3::from_rows(&[x.transpose(), y.transpose(), z.transpose()]);
    let turn = Rotation3::from_axis_angle(&Vector3::z_axis(), roll).matrix() * base;
    Pose { turn, shift: -(turn * eye) }
}

impl Scene {
    /// Four cards round a template of a metre, a phone camera at 1.4 m, tilted.
    pub fn usual() -> Self {
        let lens = Lens { k1: 0.03, k2: -0.01, ..Lens::plain(3050.0, Point::new(2020.0, 1500.0)) };
        Self {
            width: 4032,
            height: 3024,
            lens,
            pose: pose(Vector3::new(150.0, -450.0, 1400.0), Vector3::new(20.0, 30.0, 0.0), 0.1),
            cards: vec![
                laid(3, -480.0, 300.0, 0.3),
                laid(5, 450.0, 280.0, -2.0),
                laid(7, -430.0, -320.0, 1.4),
                laid(12, 470.0, -250.0, 2.9),
            ],
            focal_prior: Some(3028.0),
        }
    }

    /// A random photo of `count` cards whose lens is drawn from what the solver takes for granted.
    pub fn random(dice: &mut Dice, count: usize) -> Self {
        let f35 = dice.between(25.0, 27.0);
        let focal_prior = f35 / 43.266_615_305_567_87 * 4032f64.hypot(3024.0);
        let focal = focal_prior * (1.0 + 0.03 * dice.normal());
        let lens = Lens {
            focal_px: focal,
            k1: 0.05 * dice.normal(),
            k2: 0.05 * dice.normal(),
            k3: 0.005 * dice.normal(),
            p1: 0.0003 * dice.normal(),
            p2: 0.0003 * dice.normal(),
            centre_px: Point::new(
                2015.5 + 0.005 * focal * dice.normal(),
                1511.5 + 0.005 * focal * dice.normal(),
            ),
        };
        let tilt = dice.between(5.0, 30.0).to_radians();
        let way = dice.between(0.0, std::f64::consts::TAU);
        let h = dice.between(1250.0, 1600.0);
        let eye = Vector3::new(h * tilt.tan() * way.cos(), h * tilt.tan() * way.sin(), h);
        let pose = pose(
            eye,
            Vector3::new(dice.between(-40.0, 40.0), dice.between(-40.0, 40.0), 0.0),
            dice.between(-3.0, 3.0),
        );
        let mut cards = Vec::new();
        for n in 0..count {
            let a = (n as f64 + dice.between(0.2, 0.6)) / count as f64 * std::f64::consts::TAU;
            let r = dice.between(0.85, 1.05);
            cards.push(laid(n as u32 + 1, 480.0 * r * a.cos(), 360.0 * r * a.sin(), dice.between(-3.0, 3.0)));
        }
        Self { width: 4032, height: 3024, lens, pose, cards, focal_prior: Some(focal_prior) }
    }

    /// Pixel of a place in the scene, z above the cards' print.
    pub fn pixel(&self, p: Vector3<f64>) -> Option<Point> {
        let q = self.pose.turn * p + self.pose.shift;
        self.lens.pixel([q.x, q.y, q.z])
    }

    /// Pixel of a template point, height above the floor.
    pub fn tip(&self, at: Point, height: f64) -> Option<Point> {
        self.pixel(Vector3::new(at.x, at.y, height - PAPER_MM))
    }

    /// The crossings in the picture, with noise.
    pub fn photo(&self, noise: f64, dice: &mut Dice) -> PhotoCards {
        let mut cards = Vec::new();
        for laid in &self.cards {
            let mut crossings = Vec::new();
            for card_mm in crossings_mm(laid.number > 100) {
                let Some(px) = self.pixel(laid.place(card_mm)) else { continue };
                let inside = px.x > 8.0
                    && px.y > 8.0
                    && px.x < f64::from(self.width) - 9.0
                    && px.y < f64::from(self.height) - 9.0;
                if inside {
                    let px = Point::new(px.x + noise * dice.normal(), px.y + noise * dice.normal());
                    crossings.push(Crossing { card_mm, px, sd_px: noise.max(0.015) });
                }
            }
            if crossings.len() >= 8 {
                let half_size = laid.number > 100;
                cards.push(CardSeen {
                    number: laid.number,
                    half_size,
                    crossings,
                    corners_px: [Point::ZERO; 4],
                });
            }
        }
        PhotoCards { width: self.width, height: self.height, focal_prior_px: self.focal_prior, cards }
    }

    /// A scene place in the frame of the lowest-numbered card.
    pub fn in_frame(&self, p: Point) -> Point {
        let first = self.cards.iter().min_by_key(|c| c.number).unwrap();
        let (s, c) = first.angle.sin_cos();
        let (dx, dy) = (p.x - first.x, p.y - first.y);
        Point::new(c * dx + s * dy, -s * dx + c * dy)
    }
}
