//! Where words may stand on a piece: inside every face, across no line, over no other words.

use coldwright_export::PageGrid;
use coldwright_geometry::Ring;
use kurbo::{Point, Rect, Vec2};

/// How far a thinned line may lie from the real one, mm; a quarter of the clear space kept round words.
const THIN_MM: f64 = 0.3;
/// Clear space kept between words and any line, mm.
pub(crate) const CLEAR_MM: f64 = 1.5;
/// Clear space kept between words and other words, mm.
const WORDS_APART_MM: f64 = 2.5;
/// Places tried along the longer side of a piece.
const TRIES: f64 = 56.0;
/// What a place loses on a page that would be printed for it alone, mm of room.
const NEW_PAGE_MM: f64 = 1.0e4;

/// A turned rectangle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Quad {
    /// Its middle.
    pub(crate) middle: Point,
    /// Half its width and height, mm.
    pub(crate) half: Vec2,
    /// Direction of its width, of length 1.
    pub(crate) along: Vec2,
}

impl Quad {
    pub(crate) fn new(middle: Point, width: f64, height: f64, angle: f64) -> Quad {
        Quad { middle, half: Vec2::new(width / 2.0, height / 2.0), along: Vec2::from_angle(angle) }
    }

    fn grown(self, by: f64) -> Quad {
        Quad { half: self.half + Vec2::new(by, by), ..self }
    }

    pub(crate) fn corners(self) -> [Point; 4] {
        let (x, y) = (self.along * self.half.x, Vec2::new(-self.along.y, self.along.x) * self.half.y);
        [self.middle - x - y, self.middle + x - y, self.middle + x + y, self.middle - x + y]
    }

    fn bounds(self) -> Rect {
        let [a, b, c, d] = self.corners();
        Rect::from_points(a, b).union_pt(c).union_pt(d)
    }

    /// The point in the rectangle's own frame.
    fn local(self, p: Point) -> Vec2 {
        let v = p - self.middle;
        Vec2::new(v.dot(self.along), self.along.cross(v))
    }

    /// Whether a stretch of line has a point within the rectangle (slab clipping).
    fn meets(self, a: Point, b: Point) -> bool {
        let (p, q) = (self.local(a), self.local(b));
        let (mut from, mut to) = (0.0_f64, 1.0_f64);
        for (start, end, half) in [(p.x, q.x, self.half.x), (p.y, q.y, self.half.y)] {
            let d = end - start;
            if d.abs() < 1e-12 {
                if start.abs() > half {
                    return false;
                }
                continue;
            }
            let (one, two) = ((-half - start) / d, (half - start) / d);
            from = from.max(one.min(two));
            to = to.min(one.max(two));
        }
        from <= to
    }

    /// Whether two rectangles overlap (separating axes).
    fn overlaps(self, other: Quad) -> bool {
        let apart = |a: Quad, b: Quad| {
            let local = b.corners().map(|p| a.local(p));
            let span = |f: fn(&Vec2) -> f64| {
                let values = local.iter().map(f);
                (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
            };
            let ((x0, x1), (y0, y1)) = (span(|v| v.x), span(|v| v.y));
            x1 < -a.half.x || x0 > a.half.x || y1 < -a.half.y || y0 > a.half.y
        };
        !(apart(self, other) || apart(other, self))
    }
}

/// The lines and words on a piece so far.
#[derive(Debug, Clone)]
pub(crate) struct Room {
    /// Rings of each face, thinned; words must be inside all faces.
    faces: Vec<Vec<Ring>>,
    lines: Vec<(Point, Point)>,
    /// Words and signs so far, with the upright boxes round them.
    taken: Vec<(Quad, Rect)>,
    /// Strips where pages overlap, likewise; words must meet none.
    seams: Vec<(Quad, Rect)>,
    /// How many of the faces words must be inside of.
    heeded: usize,
    /// Parts of the plane whose pages are printed anyway; empty when nothing is known of pages.
    printed: Vec<Rect>,
    /// Round all faces.
    pub(crate) bounds: Rect,
}

impl Room {
    /// The room on a piece whose faces have these rings.
    pub(crate) fn new(faces: &[&[Ring]]) -> Room {
        let faces: Vec<Vec<Ring>> = faces.iter().map(|rings| rings.iter().map(thinned).collect()).collect();
        let rings =
            || faces.iter().flatten().flat_map(|ring| std::iter::once(&ring.outer).chain(&ring.holes));
        let lines = rings().flat_map(|ring| sides(ring)).collect();
        let bounds = faces.iter().flatten().map(Ring::bounds).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO);
        let heeded = faces.len();
        Room { faces, lines, taken: Vec::new(), seams: Vec::new(), heeded, printed: Vec::new(), bounds }
    }

    /// Keeps words off the seams of these pages, and on pages that are printed anyway where there is room.
    pub(crate) fn on_pages(mut self, grid: Option<&PageGrid>) -> Room {
        if let Some(grid) = grid {
            self.seams = grid
                .seams()
                .into_iter()
                .map(|seam| (Quad::new(seam.center(), seam.width(), seam.height(), 0.0), seam))
                .collect();
            self.printed =
                grid.windows().into_iter().filter(|page| page.inked).map(|page| page.window).collect();
        }
        self
    }

    /// Tries again with words allowed across seams: better on two pages than away from their edge.
    pub(crate) fn across_seams<T>(&mut self, place: impl FnOnce(&mut Room) -> T) -> T {
        let seams = std::mem::take(&mut self.seams);
        let placed = place(self);
        self.seams = seams;
        placed
    }

    /// Tries with words that need to be inside the first face only: where one half reaches over and the other face ends far in.
    pub(crate) fn on_first_face<T>(&mut self, place: impl FnOnce(&mut Room) -> T) -> T {
        let heeded = std::mem::replace(&mut self.heeded, 1);
        let placed = place(self);
        self.heeded = heeded;
        placed
    }

    fn off_seams(&self, quad: Quad) -> bool {
        let near = quad.bounds();
        !self.seams.iter().any(|(seam, round)| round.overlaps(near) && seam.overlaps(quad))
    }

    fn costs_a_page(&self, quad: Quad) -> bool {
        !self.printed.is_empty() && !self.printed.iter().any(|page| page.contains(quad.middle))
    }

    /// Marks the place as used.
    pub(crate) fn take(&mut self, quad: Quad) {
        self.taken.push((quad, quad.bounds()));
        self.bounds = self.bounds.union(quad.bounds());
    }

    /// Whether the place is inside the piece, on all its faces, and free.
    pub(crate) fn inside(&self, quad: Quad) -> bool {
        let within = |rings: &Vec<Ring>| rings.iter().any(|ring| ring.contains(quad.middle));
        self.free(quad) && self.faces.iter().take(self.heeded).all(within)
    }

    /// Whether the place is beside the piece and free.
    pub(crate) fn outside(&self, quad: Quad) -> bool {
        self.free(quad) && !self.faces.iter().flatten().any(|ring| ring.contains(quad.middle))
    }

    fn free(&self, quad: Quad) -> bool {
        let grown = quad.grown(CLEAR_MM);
        let near = grown.bounds();
        let apart = quad.grown(WORDS_APART_MM);
        let wide = apart.bounds();
        self.off_seams(quad)
            && !self.taken.iter().any(|(taken, round)| round.overlaps(wide) && taken.overlaps(apart))
            && !self.lines.iter().any(|(a, b)| {
                let beside = a.x.max(b.x) < near.x0
                    || a.x.min(b.x) > near.x1
                    || a.y.max(b.y) < near.y0
                    || a.y.min(b.y) > near.y1;
                !beside && grown.meets(*a, *b)
            })
    }

    /// Distance from a point to the nearest line, seam or words, mm.
    pub(crate) fn clearance(&self, p: Point) -> f64 {
        let mut least = f64::INFINITY;
        for (a, b) in &self.lines {
            // The box round a line is looked at first: most lines are farther than the nearest so far.
            let aside = (a.x.min(b.x) - p.x).max(p.x - a.x.max(b.x)).max(0.0);
            let above = (a.y.min(b.y) - p.y).max(p.y - a.y.max(b.y)).max(0.0);
            if aside * aside + above * above >= least {
                continue;
            }
            let (d, v) = (*b - *a, p - *a);
            let t = if d.hypot2() > 0.0 { (v.dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
            least = least.min((v - d * t).hypot2());
        }
        let words = self.taken.iter().chain(&self.seams).map(|(q, _)| {
            let v = q.local(p);
            Vec2::new((v.x.abs() - q.half.x).max(0.0), (v.y.abs() - q.half.y).max(0.0)).hypot()
        });
        words.fold(least.sqrt(), f64::min)
    }

    /// The place for a rectangle that has most room round it, over all angles; `within` limits it to one part.
    pub(crate) fn roomiest(&self, size: (f64, f64), angles: &[f64], within: &Ring) -> Option<Quad> {
        let (bounds, within) = (within.bounds(), thinned(within));
        let step = (bounds.width().max(bounds.height()) / TRIES).clamp(1.0, 30.0);
        for angle in angles {
            let mut best: Option<(f64, Quad)> = None;
            for middle in grid(bounds, step) {
                let quad = Quad::new(middle, size.0, size.1, *angle);
                if !self.inside(quad) || !within.contains(middle) {
                    continue;
                }
                // A tie in a plain panel goes to the place nearer its middle.
                let new_page = if self.costs_a_page(quad) { NEW_PAGE_MM } else { 0.0 };
                let score = self.clearance(middle) - 0.05 * middle.distance(bounds.center()) - new_page;
                if best.is_none_or(|(other, _)| score > other) {
                    best = Some((score, quad));
                }
            }
            if let Some((_, quad)) = best {
                return Some(quad);
            }
        }
        None
    }

    /// The free place for an upright rectangle inside the part that is nearest to a point.
    pub(crate) fn nearest(&self, size: (f64, f64), to: Point, within: &Ring) -> Option<Quad> {
        let (bounds, within) = (within.bounds(), thinned(within));
        let step = (bounds.width().max(bounds.height()) / TRIES).clamp(1.0, 30.0);
        let mut best: Option<(f64, Quad)> = None;
        for middle in grid(bounds, step) {
            let (far, quad) = (middle.distance(to), Quad::new(middle, size.0, size.1, 0.0));
            if best.is_none_or(|(other, _)| far < other) && self.inside(quad) && within.contains(middle) {
                best = Some((far, quad));
            }
        }
        best.map(|(_, quad)| quad)
    }

    /// A place below everything drawn so far, at the left of the piece or as far right and down of it as keeps the words on
    /// one page.
    pub(crate) fn below(&self, size: (f64, f64)) -> Quad {
        let first = Point::new(self.bounds.x0 + size.0 / 2.0, self.bounds.y0 - WORDS_APART_MM - size.1 / 2.0);
        let at = |right: f64, down: f64| Quad::new(first + Vec2::new(right, -down), size.0, size.1, 0.0);
        let steps = |most: u32| (0..=most).map(|i| 2.0 * f64::from(i));
        let places = steps(20).flat_map(|down| steps(200).map(move |right| at(right, down)));
        places.into_iter().find(|quad| self.off_seams(*quad)).unwrap_or_else(|| at(0.0, 0.0))
    }
}

/// Middles of a grid over a rectangle, row by row from the top.
fn grid(bounds: Rect, step: f64) -> impl Iterator<Item = Point> {
    let count = |length: f64| ((length / step).floor() as usize).clamp(1, 400);
    let (across, down) = (count(bounds.width()), count(bounds.height()));
    (0..=down).flat_map(move |row| {
        (0..=across).map(move |column| {
            let x = bounds.x0 + bounds.width() * column as f64 / across as f64;
            Point::new(x, bounds.y1 - bounds.height() * row as f64 / down as f64)
        })
    })
}

fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

/// The ring with fewer points, nowhere farther than [`THIN_MM`] from it.
pub(crate) fn thinned(ring: &Ring) -> Ring {
    Ring {
        outer: thin(&ring.outer, THIN_MM),
        holes: ring.holes.iter().map(|hole| thin(hole, THIN_MM)).collect(),
    }
}

/// Points of a closed ring that are needed to stay within `mm` of it (Ramer 1972; Douglas and Peucker 1973), the ring
/// first parted at its first point and at the point farthest from that.
pub(crate) fn thin(ring: &[Point], mm: f64) -> Vec<Point> {
    let Some(first) = ring.first() else { return Vec::new() };
    let far = (0..ring.len()).max_by(|a, b| ring[*a].distance(*first).total_cmp(&ring[*b].distance(*first)));
    let Some(far) = far.filter(|far| *far > 0) else { return ring.to_vec() };
    let mut closed = ring.to_vec();
    closed.push(*first);
    let mut keep = vec![false; closed.len()];
    let mut open = vec![(0, far), (far, closed.len() - 1)];
    while let Some((a, b)) = open.pop() {
        (keep[a], keep[b]) = (true, true);
        let (p, d) = (closed[a], closed[b] - closed[a]);
        let long = d.hypot2();
        let mut worst = (mm * mm, None);
        for (i, q) in closed.iter().enumerate().take(b).skip(a + 1) {
            let v = *q - p;
            let t = if long > 0.0 { (v.dot(d) / long).clamp(0.0, 1.0) } else { 0.0 };
            let off = (v - d * t).hypot2();
            if off > worst.0 {
                worst = (off, Some(i));
            }
        }
        if let Some(worst) = worst.1 {
            open.extend([(a, worst), (worst, b)]);
        }
    }
    closed.pop();
    closed.into_iter().zip(keep).filter(|(_, keep)| *keep).map(|(p, _)| p).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(side: f64) -> Ring {
        Ring { outer: Rect::new(0.0, 0.0, side, side).path_points(), holes: Vec::new() }
    }

    trait Corners {
        fn path_points(self) -> Vec<Point>;
    }

    impl Corners for Rect {
        fn path_points(self) -> Vec<Point> {
            vec![
                Point::new(self.x0, self.y0),
                Point::new(self.x1, self.y0),
                Point::new(self.x1, self.y1),
                Point::new(self.x0, self.y1),
            ]
        }
    }

    #[test]
    fn the_roomiest_place_in_a_square_is_its_middle() {
        let ring = square(100.0);
        let room = Room::new(&[std::slice::from_ref(&ring)]);
        let quad = room.roomiest((40.0, 10.0), &[0.0], &ring).unwrap();
        assert!(quad.middle.distance(Point::new(50.0, 50.0)) < 2.0, "{quad:?}");
        assert!(room.roomiest((98.0, 10.0), &[0.0], &ring).is_none());
    }

    #[test]
    fn lines_words_and_the_other_face_are_kept_clear_of() {
        let (ring, other) = (square(100.0), square(60.0));
        let mut room = Room::new(&[std::slice::from_ref(&ring), std::slice::from_ref(&other)]);
        let quad = |x: f64, y: f64| Quad::new(Point::new(x, y), 10.0, 10.0, 0.3);
        assert!(
            room.inside(quad(30.0, 30.0)) && !room.inside(quad(80.0, 80.0)) && !room.inside(quad(60.0, 30.0))
        );
        assert!(room.outside(quad(130.0, 30.0)) && !room.outside(quad(80.0, 30.0)));
        room.take(quad(30.0, 30.0));
        assert!(!room.inside(quad(36.0, 30.0)) && room.inside(quad(47.5, 30.0)));
    }

    #[test]
    fn a_thinned_circle_stays_within_what_is_said() {
        for mm in [1.0, 0.1, 0.01] {
            let circle: Vec<Point> = (0..2000)
                .map(|i| {
                    Point::ORIGIN + Vec2::from_angle(f64::from(i) * std::f64::consts::TAU / 2000.0) * 80.0
                })
                .collect();
            let few = thin(&circle, mm);
            let worst = sides(&few).map(|(a, b)| 80.0 - a.midpoint(b).to_vec2().hypot()).fold(0.0, f64::max);
            assert!(worst <= mm && few.len() < 600, "{mm}: {worst}, {} points", few.len());
        }
    }
}
