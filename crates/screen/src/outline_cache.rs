//! The outline's lines on the board, worked out once for each plan and kept.

use std::sync::Arc;

use coldwright_canvas::PlaneSolve;
use coldwright_geometry::Outline;
use coldwright_job::{PlacedTick, TickId, Wall, WallPlan};
use kurbo::{Affine, ParamCurve, PathEl, Point, Vec2};

/// How closely curves are followed on the screen, mm: well under a pixel of any photo.
const TOLERANCE: f64 = 0.2;
/// A circle that holds 95 of 100: the square root of the chi-squared quantile for two degrees of freedom, 5.991.
const NINETY_FIVE: f64 = 2.4477;

/// One edge on the board: its sure middle and its carried ends.
#[derive(Clone, Debug)]
pub(crate) struct EdgeLine {
    pub(crate) edge: u32,
    pub(crate) sure: Vec<Point>,
    pub(crate) carried: [Vec<Point>; 2],
}

/// One tick on the board.
#[derive(Clone, Debug)]
pub(crate) struct TickMark {
    pub(crate) id: TickId,
    pub(crate) at: Point,
    pub(crate) ellipse: Vec<Point>,
}

/// Lines and marks of one wall on one board.
#[derive(Debug, Default)]
pub(crate) struct OutlineCache {
    outline: Option<Arc<Outline>>,
    ticks: Option<Arc<Vec<PlacedTick>>>,
    photo: Option<usize>,
    heights: Vec<(TickId, f64)>,
    pub(crate) lines: Vec<EdgeLine>,
    pub(crate) marks: Vec<TickMark>,
    /// The holes, in the outline's order.
    pub(crate) holes: Vec<Vec<Point>>,
}

impl OutlineCache {
    /// Brings lines and marks up to the plan, on the photo of that index or flat in the wall's frame.
    pub(crate) fn update(&mut self, wall: &Wall, plan: &WallPlan, photo: Option<usize>) {
        let t = &wall.template;
        let heights: Vec<(TickId, f64)> = t.ticks.iter().map(|k| (k.id, height(wall, k.id))).collect();
        let same_outline = match (&self.outline, &plan.outline) {
            (Some(a), Some(b)) => Arc::ptr_eq(a, b),
            (None, None) => true,
            _ => false,
        };
        let same_ticks = self.ticks.as_ref().is_some_and(|a| Arc::ptr_eq(a, &plan.ticks));
        if same_outline && same_ticks && self.photo == photo && self.heights == heights {
            return;
        }
        self.outline.clone_from(&plan.outline);
        self.ticks = Some(plan.ticks.clone());
        self.photo = photo;
        self.heights = heights;
        let over = Over { solve: plan.solve.as_deref(), photo, back: plan.to_wall.inverse() };
        let holes = plan.outline.iter().flat_map(|o| o.cutouts());
        self.holes = holes.map(|c| c.ring.iter().filter_map(|q| over.put(*q, 0.0)).collect()).collect();
        self.marks = plan.ticks.iter().filter_map(|k| over.mark(k, height(wall, k.id))).collect();
        self.lines = plan
            .outline
            .iter()
            .flat_map(|o| o.sides())
            .map(|side| {
                let ids =
                    t.edges.iter().find(|e| e.id.0 == side.edge.id).map_or(&[][..], |e| e.ticks.as_slice());
                let sum: f64 = ids.iter().map(|id| height(wall, *id)).sum();
                let mean = if ids.is_empty() { 0.0 } else { sum / ids.len() as f64 };
                over.edge(side, mean)
            })
            .collect();
    }
}

/// Height of a tick above the cards, mm; nothing for a typed one.
fn height(wall: &Wall, id: TickId) -> f64 {
    match wall.template.tick(id).map(|t| &t.place) {
        Some(coldwright_job::Place::Pixel { height, .. }) => height.mm(wall.template.stick),
        _ => 0.0,
    }
}

/// The way from the wall's frame to the board.
struct Over<'a> {
    solve: Option<&'a PlaneSolve>,
    photo: Option<usize>,
    back: Affine,
}

impl Over<'_> {
    fn put(&self, wall: Point, height: f64) -> Option<Point> {
        match (self.photo, self.solve) {
            (None, _) => Some(wall),
            (Some(photo), Some(solve)) => solve.to_pixel(photo, self.back * wall, height).ok(),
            (Some(_), None) => None,
        }
    }

    fn mark(&self, tick: &PlacedTick, height: f64) -> Option<TickMark> {
        let (a, b, angle) = tick.spread.ellipse();
        let along = Vec2::from_angle(angle);
        let across = Vec2::new(-along.y, along.x);
        let ellipse = (0..=32)
            .filter_map(|i| {
                let t = f64::from(i) / 32.0 * std::f64::consts::TAU;
                let off = along * (a * NINETY_FIVE * t.cos()) + across * (b * NINETY_FIVE * t.sin());
                self.put(tick.wall + off, height)
            })
            .collect();
        Some(TickMark { id: tick.id, at: self.put(tick.wall, height)?, ellipse })
    }

    fn edge(&self, side: &coldwright_geometry::Side, height: f64) -> EdgeLine {
        let mut points: Vec<Point> = Vec::new();
        kurbo::flatten(side.path.elements().iter().copied(), TOLERANCE, |el| match el {
            PathEl::MoveTo(p) | PathEl::LineTo(p) => points.push(p),
            _ => {}
        });
        // A straight edge seen through a lens is bent: give it points to bend at.
        let points = with_points_between(&points, 20.0);
        let [start, middle, end] = split(&points, side.start_carry.length, side.end_carry.length);
        let over =
            |list: Vec<Point>| list.into_iter().filter_map(|p| self.put(p, height)).collect::<Vec<_>>();
        EdgeLine { edge: side.edge.id, sure: over(middle), carried: [over(start), over(end)] }
    }
}

fn with_points_between(points: &[Point], step: f64) -> Vec<Point> {
    let mut out: Vec<Point> = points.first().copied().into_iter().collect();
    for pair in points.windows(2) {
        if let [a, b] = pair {
            let parts = (a.distance(*b) / step).ceil().clamp(1.0, 200.0) as usize;
            let line = kurbo::Line::new(*a, *b);
            out.extend((1..=parts).map(|i| line.eval(i as f64 / parts as f64)));
        }
    }
    out
}

/// Splits a polyline after `start` and before the last `end` of its length.
fn split(points: &[Point], start: f64, end: f64) -> [Vec<Point>; 3] {
    let total: f64 = points.windows(2).map(|w| w[0].distance(w[1])).sum();
    let marks = [start.max(0.0), (total - end.max(0.0)).max(start)];
    let mut parts: [Vec<Point>; 3] = Default::default();
    let mut part = 0;
    let mut gone = 0.0;
    parts[0].extend(points.first());
    for pair in points.windows(2) {
        let (a, b) = (pair[0], pair[1]);
        let long = a.distance(b);
        while part < 2 && gone + long > marks[part] {
            let t = if long > 0.0 { ((marks[part] - gone) / long).clamp(0.0, 1.0) } else { 0.0 };
            let at = a.lerp(b, t);
            parts[part].push(at);
            part += 1;
            parts[part].push(at);
        }
        parts[part].push(b);
        gone += long;
    }
    parts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_split_where_its_ends_are_carried() {
        let line = [Point::new(0.0, 0.0), Point::new(60.0, 0.0), Point::new(100.0, 0.0)];
        let [a, b, c] = split(&line, 10.0, 25.0);
        assert_eq!(a, [Point::new(0.0, 0.0), Point::new(10.0, 0.0)]);
        assert_eq!(b, [Point::new(10.0, 0.0), Point::new(60.0, 0.0), Point::new(75.0, 0.0)]);
        assert_eq!(c, [Point::new(75.0, 0.0), Point::new(100.0, 0.0)]);
    }

    #[test]
    fn nothing_carried_leaves_it_whole() {
        let line = [Point::new(0.0, 0.0), Point::new(100.0, 0.0)];
        let [_, b, _] = split(&line, 0.0, 0.0);
        assert_eq!(b, line);
    }
}
