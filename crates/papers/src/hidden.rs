//! Lines of bodies in the round with what lies behind left out.
//!
//! Every line is looked along in short steps; a step is hidden where a face lies nearer to the eye over it, and the place where a
//! line goes into hiding is found by halving (A. Appel, The notion of quantitative invisibility and the machine rendering of
//! solids, 1967, with all faces asked at each place).

use coldwright_geometry::{Point, Xyz};

/// Steps along a line, in the unit of the picture before it is scaled, mm.
const STEP: f64 = 6.0;
/// A face must be nearer by more than this to hide a line: a line lies in faces of its own, and walls as measured meet only to
/// their uncertainty, mm.
const NEARER: f64 = 3.0;
/// Shorter glimpses between two hidden parts are left out, mm: what shows through a gap for foam.
const GLIMPSE: f64 = 12.0;
/// Halvings that find where a line goes into hiding, to a hundredth of a step.
const HALVINGS: u32 = 7;

/// A direct look at the box: turned about the upright, then tipped, both radians.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Eye {
    pub(crate) turn: f64,
    pub(crate) tip: f64,
}

impl Eye {
    /// To the right, up on the paper, and towards the eye.
    pub(crate) fn seen(self, v: Xyz) -> (Point, f64) {
        let (sin, cos) = self.turn.sin_cos();
        let (x, y) = (v.x * cos - v.y * sin, v.x * sin + v.y * cos);
        let (down, up) = self.tip.sin_cos();
        (Point::new(x, y * down + v.z * up), v.z * down - y * up)
    }
}

/// A flat face as the eye sees it.
#[derive(Debug)]
struct Seen {
    rings: Vec<Vec<Point>>,
    /// Nearness is `near + slope · (p − at)`.
    at: Point,
    near: f64,
    slope: (f64, f64),
    low: Point,
    high: Point,
}

/// Faces that hide what lies behind them.
#[derive(Debug)]
pub(crate) struct Bodies {
    eye: Eye,
    faces: Vec<Seen>,
}

impl Bodies {
    pub(crate) fn new(eye: Eye) -> Bodies {
        Bodies { eye, faces: Vec::new() }
    }

    /// Adds a flat face by its rings, the first its boundary, the others its holes. One seen edge on hides nothing.
    pub(crate) fn face(&mut self, rings: &[Vec<Xyz>]) {
        let Some(boundary) = rings.first() else { return };
        // Newell's normal.
        let normal = boundary
            .iter()
            .zip(boundary.iter().cycle().skip(1))
            .fold(Xyz::default(), |s, (a, b)| s + (*a).cross(*b));
        let (flat, towards) = self.eye.seen(normal);
        let size = normal.length();
        if size < 1e-6 || towards.abs() < 0.02 * size {
            return;
        }
        let (Some((at, near)), slope) =
            (boundary.first().map(|p| self.eye.seen(*p)), (-flat.x / towards, -flat.y / towards))
        else {
            return;
        };
        let rings: Vec<Vec<Point>> =
            rings.iter().map(|r| r.iter().map(|p| self.eye.seen(*p).0).collect()).collect();
        let (mut low, mut high) = (at, at);
        for p in rings.iter().flatten() {
            low = Point::new(low.x.min(p.x), low.y.min(p.y));
            high = Point::new(high.x.max(p.x), high.y.max(p.y));
        }
        self.faces.push(Seen { rings, at, near, slope, low, high });
    }

    /// Whether nothing lies before a place.
    pub(crate) fn shows(&self, p: Xyz) -> bool {
        let (at, near) = self.eye.seen(p);
        !self.faces.iter().any(|f| f.hides(at, near))
    }

    /// The parts of a line that show, as the eye sees them.
    pub(crate) fn showing(&self, line: &[Xyz]) -> Vec<Vec<Point>> {
        let mut out: Vec<Vec<Point>> = Vec::new();
        let mut open: Option<Vec<Point>> = None;
        for pair in line.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            let long = (b - a).length();
            let steps = (long / STEP).ceil().clamp(1.0, 1000.0) as u32;
            let at = |t: f64| a + (b - a) * t;
            let mut before = self.shows(at(0.0));
            if before && open.is_none() {
                open = Some(vec![self.eye.seen(a).0]);
            }
            for k in 1..=steps {
                let (from, to) = (f64::from(k - 1) / f64::from(steps), f64::from(k) / f64::from(steps));
                let now = self.shows(at(to));
                if now != before {
                    let turn = self.eye.seen(at(self.turning(&at, from, to, before))).0;
                    if now {
                        open = Some(vec![turn]);
                    } else if let Some(mut part) = open.take() {
                        part.push(turn);
                        out.push(part);
                    }
                }
                before = now;
            }
            if let Some(part) = open.as_mut() {
                part.push(self.eye.seen(b).0);
            }
        }
        out.extend(open);
        let long = |part: &[Point]| part.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
        let whole = long(&line.iter().map(|p| self.eye.seen(*p).0).collect::<Vec<_>>());
        out.retain(|part| long(part) > GLIMPSE.min(0.999 * whole));
        out
    }

    /// Where between two shares of a line it goes into hiding or comes out.
    fn turning(&self, at: &dyn Fn(f64) -> Xyz, mut from: f64, mut to: f64, shown: bool) -> f64 {
        for _ in 0..HALVINGS {
            let mid = 0.5 * (from + to);
            if self.shows(at(mid)) == shown { from = mid } else { to = mid }
        }
        0.5 * (from + to)
    }
}

impl Seen {
    fn hides(&self, p: Point, near: f64) -> bool {
        let beside = p.x < self.low.x || p.y < self.low.y || p.x > self.high.x || p.y > self.high.y;
        if beside {
            return false;
        }
        let d = p - self.at;
        self.near + self.slope.0 * d.x + self.slope.1 * d.y > near + NEARER
            && self.rings.iter().filter(|r| holds(r, p)).count() % 2 == 1
    }
}

/// Whether a place lies in a ring, by the lines it crosses to the right of it.
fn holds(ring: &[Point], p: Point) -> bool {
    let sides = ring.iter().zip(ring.iter().cycle().skip(1));
    sides
        .filter(|(a, b)| (a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
        .count()
        % 2
        == 1
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(z: f64, half: f64) -> Vec<Xyz> {
        [(-half, -half), (half, -half), (half, half), (-half, half)].map(|(x, y)| Xyz::new(x, y, z)).to_vec()
    }

    const ABOVE: Eye = Eye { turn: 0.0, tip: std::f64::consts::FRAC_PI_2 };

    #[test]
    fn a_line_under_a_plate_shows_on_both_sides_of_it() {
        let mut bodies = Bodies::new(ABOVE);
        bodies.face(&[square(50.0, 100.0)]);
        let line = [Xyz::new(-300.0, 10.0, 0.0), Xyz::new(300.0, 10.0, 0.0)];
        let parts = bodies.showing(&line);
        assert_eq!(parts.len(), 2);
        let ends: Vec<f64> = parts.iter().flatten().map(|p| p.x).collect();
        for (got, want) in ends.iter().zip([-300.0, -100.0, 100.0, 300.0]) {
            assert!((got - want).abs() < 0.1, "{ends:?}");
        }
        // Over the plate, and in it, nothing is hidden.
        for z in [50.0, 60.0] {
            assert_eq!(bodies.showing(&line.map(|p| Xyz::new(p.x, p.y, z))).len(), 1);
        }
    }

    #[test]
    fn a_hole_in_a_plate_lets_a_line_through() {
        let mut bodies = Bodies::new(ABOVE);
        bodies.face(&[square(50.0, 100.0), square(50.0, 40.0)]);
        let line = [Xyz::new(-90.0, 0.0, 0.0), Xyz::new(90.0, 0.0, 0.0)];
        let parts = bodies.showing(&line);
        assert_eq!(parts.len(), 1);
        assert!((parts[0][0].x + 40.0).abs() < 0.1 && (parts[0][1].x - 40.0).abs() < 0.1, "{parts:?}");
    }

    #[test]
    fn a_cube_shows_nine_of_its_twelve_edges() {
        let eye = Eye { turn: 0.6, tip: 0.5 };
        let c = |i: usize| {
            let at = |bit: usize| if i >> bit & 1 == 1 { 200.0 } else { 0.0 };
            Xyz::new(at(0), at(1), at(2))
        };
        let mut bodies = Bodies::new(eye);
        for face in [[0, 1, 3, 2], [4, 5, 7, 6], [0, 1, 5, 4], [2, 3, 7, 6], [0, 2, 6, 4], [1, 3, 7, 5]] {
            bodies.face(&[face.map(c).to_vec()]);
        }
        let mut shown = 0;
        for i in 0..8 {
            for bit in [1, 2, 4] {
                if i & bit == 0 && !bodies.showing(&[c(i), c(i | bit)]).is_empty() {
                    shown += 1;
                }
            }
        }
        // The three edges at the corner turned away are hidden.
        assert_eq!(shown, 9);
    }
}
