//! Which edges of a layer a part keeps, with the bevels along them.

use kurbo::{Point, Vec2};

use crate::section::segments;
use crate::{BevelMark, Layer, Proud};

/// The layer's outer boundaries with the edge of every segment, found from the bevel marks on them.
pub(crate) struct Edges {
    segments: Vec<Segment>,
    /// Marks with their order along the boundaries.
    marks: Vec<(f64, BevelMark)>,
    /// Edges in the layer's order.
    order: Vec<u32>,
    /// The inner face's boundaries.
    inner: Vec<Vec<Point>>,
    thickness: f64,
}

/// A bevel seen at the faces is believed where it differs from the marks by more than the first, and by less than the second,
/// radians (0.2° and 30°): below, the marks are finer; above, the other face's corner lies there.
const BELIEVED: (f64, f64) = (0.0035, 0.52);

struct Segment {
    a: Point,
    b: Point,
    /// Order of its start along the boundaries.
    order: f64,
    /// Length of its boundary, mm.
    round: f64,
    edge: Option<u32>,
    /// Bevel at its ends, radians.
    angles: (f64, f64),
}

/// A run of one edge left on a part.
pub(crate) struct Stretch {
    /// Bevel of greatest size along it.
    pub steepest: f64,
    pub middle: Point,
}

impl Edges {
    pub fn of(layer: &Layer) -> Self {
        let mut out = Self {
            segments: Vec::new(),
            marks: Vec::new(),
            order: layer.bevels.iter().map(|m| m.edge).collect(),
            inner: layer.inner.rings.iter().map(|r| r.outer.clone()).collect(),
            thickness: layer.to - layer.from,
        };
        let mut before = 0.0;
        for ring in &layer.outer.rings {
            out.add(&ring.outer, &layer.bevels, before);
            before += crate::section::ring_length(&ring.outer) + 1.0;
        }
        out
    }

    fn add(&mut self, ring: &[Point], marks: &[BevelMark], before: f64) {
        let n = ring.len();
        let mut starts = Vec::with_capacity(n);
        let mut total = 0.0;
        for (a, b) in segments(ring) {
            starts.push(total);
            total += a.distance(b);
        }
        // Marks of this boundary by their place along it.
        let mut here: Vec<(f64, usize, BevelMark)> = Vec::new();
        for m in marks {
            let near = segments(ring)
                .enumerate()
                .map(|(i, (a, b))| (crate::section::distance(&[a, b], m.at), i, a))
                .min_by(|p, q| p.0.total_cmp(&q.0));
            if let Some((far, i, a)) = near
                && far < 0.5
            {
                here.push((starts[i] + a.distance(m.at), i, *m));
            }
        }
        here.sort_by(|p, q| p.0.total_cmp(&q.0));
        let first = here.first().map_or(0.0, |m| m.0);
        let order = |s: f64| before + (s - first).rem_euclid(total.max(1e-9));
        self.marks.extend(here.iter().map(|(s, _, m)| (order(*s), *m)));
        let mut owner: Vec<Option<(u32, f64, f64)>> = vec![None; n];
        for (k, (s1, i1, m1)) in here.iter().enumerate() {
            let (s2, i2, m2) = here[(k + 1) % here.len()];
            let span = (s2 - s1).rem_euclid(total);
            let span = if span > 0.0 { span } else { total };
            // Segments from the first mark to the second; the first is shared by both sides of its mark.
            let steps = if i2 == *i1 && s2 > *s1 { 0 } else { (i2 + n - i1 - 1) % n + 1 };
            let turn = |j: usize| {
                let (a, b, c) = (ring[(j + n - 1) % n], ring[j], ring[(j + 1) % n]);
                let (u, v) = (b - a, c - b);
                u.cross(v).atan2(u.dot(v)).abs()
            };
            let same = m1.edge == m2.edge;
            let corner = (1..=steps).max_by(|p, q| turn((i1 + p) % n).total_cmp(&turn((i1 + q) % n)));
            for step in 0..=steps {
                let i = (i1 + step) % n;
                let part = |at: f64| (((at - s1).rem_euclid(total)) / span).clamp(0.0, 1.0);
                let blend = |at: f64| m1.angle + (m2.angle - m1.angle) * part(at);
                let of = if same {
                    let from = if step == 0 { m1.angle } else { blend(starts[i]) };
                    let to = if step == steps { m2.angle } else { blend(starts[(i + 1) % n]) };
                    (m1.edge, from, to)
                } else if corner.is_none_or(|c| step < c) {
                    (m1.edge, m1.angle, m1.angle)
                } else {
                    (m2.edge, m2.angle, m2.angle)
                };
                owner[i] = Some(match owner[i] {
                    // The segment under a mark keeps the bevels of both its halves.
                    Some(old) if old.0 == of.0 && old.1.abs() > of.1.abs() => (of.0, old.1, of.2),
                    _ => of,
                });
            }
        }
        for (i, (a, b)) in segments(ring).enumerate() {
            let (edge, from, to) = owner[i].map_or((None, 0.0, 0.0), |(e, f, t)| (Some(e), f, t));
            self.segments.push(Segment {
                a,
                b,
                order: order(starts[i]),
                round: total,
                edge,
                angles: (from, to),
            });
        }
    }

    /// The bevel at a point of the outer face: as the marks say, or as the other face lies there. Stations whose edge has been
    /// cut back past them leave no mark, so that the marks alone may not tell.
    fn bevel(&self, s: &Segment, p: Point, outward: Vec2) -> f64 {
        let part = (s.a.distance(p) / s.a.distance(s.b).max(1e-9)).clamp(0.0, 1.0);
        let told = s.angles.0 + (s.angles.1 - s.angles.0) * part;
        let along = outward.turn_90();
        let seen = self.inner.iter().flat_map(|r| segments(r)).filter_map(|(a, b)| {
            let (ha, hb) = (along.dot(a - p), along.dot(b - p));
            let crosses = (ha > 0.0) != (hb > 0.0);
            crosses.then(|| outward.dot(a.lerp(b, ha / (ha - hb)) - p))
        });
        let Some(out) = seen.min_by(|a, b| a.abs().total_cmp(&b.abs())) else { return told };
        let seen = (out / self.thickness).atan();
        let off = (seen - told).abs();
        if off > BELIEVED.0 && off < BELIEVED.1 { seen } else { told }
    }

    /// The segment a point lies on.
    fn at(&self, p: Point) -> Option<&Segment> {
        self.segments
            .iter()
            .map(|s| (crate::section::distance(&[s.a, s.b], p), s))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .filter(|(far, _)| *far < 1e-3)
            .map(|(_, s)| s)
    }

    /// The marks a part keeps, with one made in the middle of each run of an edge that has none left, and these runs.
    pub fn kept(
        &self,
        outer: &[Point],
        seam: &dyn Fn(Point, Point) -> bool,
    ) -> (Vec<BevelMark>, Vec<Stretch>) {
        let n = outer.len();
        let found: Vec<Option<&Segment>> = segments(outer)
            .map(|(a, b)| if seam(a, b) { None } else { self.at(a.midpoint(b)).filter(|s| s.edge.is_some()) })
            .collect();
        let edge = |i: usize| found[i % n].and_then(|s| s.edge);
        let start = (0..n).find(|i| edge(*i) != edge(i + n - 1)).unwrap_or(0);
        let mut marks: Vec<((usize, f64), BevelMark)> = Vec::new();
        let mut runs: Vec<Stretch> = Vec::new();
        let mut i = start;
        while i < start + n {
            let Some(id) = edge(i) else {
                i += 1;
                continue;
            };
            let from = i;
            while i < start + n && edge(i) == Some(id) {
                i += 1;
            }
            let run: Vec<Point> = (from..=i).map(|k| outer[k % n]).collect();
            let half = 0.5 * run.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>();
            let Some((middle, way)) = along(&run, half) else { continue };
            let steepest = [0.2, 1.0, 1.8]
                .iter()
                .filter_map(|k| along(&run, k * half))
                .filter_map(|(p, way)| Some(self.bevel(self.at(p)?, p, Vec2::new(way.y, -way.x)).abs()))
                .chain(
                    (from..i).filter_map(|k| found[k % n]).flat_map(|s| [s.angles.0.abs(), s.angles.1.abs()]),
                )
                .fold(0.0, f64::max);
            runs.push(Stretch { steepest, middle });
            // Edges in their order, each edge's marks in theirs.
            let place = self.order.iter().position(|e| *e == id).unwrap_or(usize::MAX);
            let round = found[from % n].map_or(1.0, |s| s.round).max(1e-9);
            let of_edge = self.marks.iter().filter(|m| m.1.edge == id).map(|m| m.0);
            let first = of_edge.fold(f64::INFINITY, f64::min);
            // The boundary may start within the edge: a place just before its first mark is then nearly all the way round.
            let off = |order: f64| {
                let off = (order - first).rem_euclid(round);
                if off > 0.5 * round { off - round } else { off }
            };
            let mut any = false;
            for (order, m) in self.marks.iter().filter(|(_, m)| m.edge == id) {
                let far =
                    run.windows(2).map(|w| crate::section::distance(w, m.at)).fold(f64::INFINITY, f64::min);
                if far < 1e-3 {
                    marks.push(((place, off(*order)), *m));
                    any = true;
                }
            }
            if any {
                continue;
            }
            let Some(s) = self.at(middle) else { continue };
            let outward = Vec2::new(way.y, -way.x);
            let angle = self.bevel(s, middle, outward);
            marks.push((
                (place, off(s.order + s.a.distance(middle))),
                BevelMark { edge: id, at: middle, outward, angle, proud: Proud::of(angle) },
            ));
        }
        marks.sort_by(|a, b| a.0.0.cmp(&b.0.0).then(a.0.1.total_cmp(&b.0.1)));
        (marks.into_iter().map(|m| m.1).collect(), runs)
    }
}

/// The point `s` mm along an open line, and the unit direction there.
fn along(line: &[Point], mut s: f64) -> Option<(Point, Vec2)> {
    for w in line.windows(2) {
        let l = w[0].distance(w[1]);
        if l > 0.0 && s <= l + 1e-9 {
            let way = (w[1] - w[0]) / l;
            return Some((w[0] + way * s, way));
        }
        s -= l;
    }
    None
}
