//! A click moved onto the corner or edge it was meant for.
//!
//! The neighbourhood is put back into linear light (IEC 61966-2-1), where an edge blurred by a lens keeps its place. Edge points are the ridges of the
//! gradient (J. Canny, "A computational approach to edge detection", IEEE Transactions on Pattern Analysis 8 (1986)), to a part of a pixel;
//! straight edges are voted for by their direction and offset (R. Duda and P. Hart, "Use of the Hough transformation to detect lines and curves in
//! pictures", Communications of the ACM 15 (1972)) and fitted by least squares. A corner is where two of them cross, both seen right up to it.

use kurbo::{Point, Vec2};

use crate::picture::{LumaPlane, Picture};

/// What a click was moved onto.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SnapKind {
    /// The crossing of two straight edges, such as a stick's end with its side.
    Corner,
    /// The nearest place of one straight edge.
    Edge,
    /// Nothing clear enough: the click is left alone.
    Nothing,
}

/// A click after snapping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snap {
    /// The place, pixels; the click itself when there was nothing to snap to.
    pub px: Point,
    /// Standard uncertainty of each coordinate, pixels; for an edge, across it. Infinite when nothing was found.
    pub sd_px: f64,
    /// What was found.
    pub kind: SnapKind,
    /// Contrast of the fainter edge, share of white in linear light, 0 to 1; when nothing was found, of the best edge seen.
    pub contrast: f64,
}

/// Least contrast of an edge worth snapping to, in linear light.
const LEAST_CONTRAST: f64 = 0.02;
/// How much of an edge, from its corner on, must be seen, pixels.
const SEEN_PX: f64 = 7.0;
/// How far an edge may seem to go on beyond its corner, pixels: blur rounds it off.
const RUNS_ON_PX: f64 = 4.0;
/// A second corner with this share of the best one's score makes the choice unsure.
const RIVAL: f64 = 0.6;
/// Directions voted for, and how many degrees each spans.
const TURNS: usize = 60;
const OFFSET_PX: f64 = 1.25;

/// Moves a click onto the corner it was meant for within `radius_px`, or onto an edge, or leaves it alone.
///
/// A proposal to be shown, not a silent answer: on rendered photographs of laths, from clicks up to 8 px off, two thirds of the corners are taken, half
/// of those to 0.5 px and nine in ten to 3.4 px; the rest sit on a neighbouring corner (a lath's foot, a shadow).
///
/// Radii of 6 to 40 pixels make sense; others are brought into that range. Where two corners are almost as likely, the
/// click is left alone or goes to the edge.
pub fn snap(picture: &Picture, px: Point, radius_px: f64) -> Snap {
    let nothing = Snap { px, sd_px: f64::INFINITY, kind: SnapKind::Nothing, contrast: 0.0 };
    if !(px.is_finite() && radius_px.is_finite()) {
        return nothing;
    }
    let radius = radius_px.clamp(6.0, 40.0);
    let Some(points) = edge_points(picture.luma(), px, radius + 12.0) else { return nothing };
    let lines = lines(&points, px);
    let best_seen = lines.iter().map(|l| l.contrast).fold(0.0, f64::max);
    if let Some(corner) = corner(picture.luma(), &lines, px, radius) {
        return corner;
    }
    edge(&lines, px, radius).unwrap_or(Snap { contrast: best_seen, ..nothing })
}

/// A place on an edge: where, which way the light rises, how strongly.
struct EdgePoint {
    at: Point,
    rise: Vec2,
    strength: f64,
}

/// A straight edge: the points p with normal · (p − click) = offset, between two places along it.
struct Line {
    normal: Vec2,
    offset: f64,
    contrast: f64,
    /// Scatter of its points, pixels.
    scatter: f64,
    /// Where its points lie along it, measured from the foot of the click, rising.
    along: Vec<f64>,
}

impl Line {
    fn direction(&self) -> Vec2 {
        Vec2::new(-self.normal.y, self.normal.x)
    }

    /// Points between two distances from a place along the line, one way, as a share of the pixels there.
    fn seen(&self, from: f64, to: f64) -> f64 {
        let (a, b) = if from < to { (from, to) } else { (to, from) };
        let count = self.along.iter().filter(|t| (a..b).contains(*t)).count();
        count as f64 / (b - a).max(1.0)
    }

    /// How far the edge goes on without a gap from a place, one way (sign), pixels.
    fn reach(&self, from: f64, sign: f64) -> f64 {
        let mut end = 1.5;
        while end < 40.0 && self.seen(from + sign * end, from + sign * (end + 3.0)) > 0.3 {
            end += 1.5;
        }
        end
    }
}

fn edge_points(luma: &LumaPlane, centre: Point, reach: f64) -> Option<Vec<EdgePoint>> {
    let (w, h) = (f64::from(luma.width()), f64::from(luma.height()));
    let size = 2 * reach.ceil() as usize + 1;
    let (x0, y0) = (centre.x.round() - reach.ceil(), centre.y.round() - reach.ceil());
    if !(x0 >= 0.0 && y0 >= 0.0 && x0 + (size as f64) < w && y0 + (size as f64) < h) {
        return None;
    }
    let light = crate::finder::linear_light();
    let mut plane = Vec::with_capacity(size * size);
    for y in 0..size {
        let row = luma.row(y0 as usize + y);
        for x in 0..size {
            plane.push(*light.get(usize::from(*row.get(x0 as usize + x)?))?);
        }
    }
    smooth(&mut plane, size);
    let at = |x: usize, y: usize| plane.get(y * size + x).copied().unwrap_or(0.0);
    let slope =
        |x: usize, y: usize| Vec2::new(at(x + 1, y) - at(x - 1, y), at(x, y + 1) - at(x, y - 1)) * 0.5;
    let mut out = Vec::new();
    for y in 2..size - 2 {
        for x in 2..size - 2 {
            let rise = slope(x, y);
            let strength = rise.hypot();
            if strength < 0.003 {
                continue;
            }
            // Compare with the neighbours across the edge, along the nearer axis.
            let flat = rise.x.abs() >= rise.y.abs();
            let (before, after) =
                if flat { (slope(x - 1, y), slope(x + 1, y)) } else { (slope(x, y - 1), slope(x, y + 1)) };
            let (b, a) = (before.dot(rise) / strength, after.dot(rise) / strength);
            if strength < b || strength <= a {
                continue;
            }
            let bow = b - 2.0 * strength + a;
            let shift = if bow < 0.0 { (0.5 * (b - a) / bow).clamp(-0.5, 0.5) } else { 0.0 };
            let step = if flat { Vec2::new(shift, 0.0) } else { Vec2::new(0.0, shift) };
            out.push(EdgePoint {
                at: Point::new(x0 + x as f64, y0 + y as f64) + step,
                rise: rise / strength,
                strength,
            });
        }
    }
    Some(out)
}

/// Gaussian of one pixel, both ways.
fn smooth(plane: &mut [f64], size: usize) {
    const KERNEL: [f64; 7] = [0.004_43, 0.054_01, 0.242_04, 0.399_04, 0.242_04, 0.054_01, 0.004_43];
    for stride in [1, size] {
        let source = plane.to_vec();
        for (i, value) in plane.iter_mut().enumerate() {
            let place = if stride == 1 { i % size } else { i / size };
            let mut sum = 0.0;
            for (k, weight) in KERNEL.iter().enumerate() {
                let to = (place + k).saturating_sub(3).min(size - 1);
                let index = i - place * stride + to * stride;
                sum += weight * source.get(index).copied().unwrap_or(0.0);
            }
            *value = sum;
        }
    }
}

/// Straight edges by vote, strongest first, each point used once.
fn lines(points: &[EdgePoint], click: Point) -> Vec<Line> {
    let reach = points.iter().map(|p| p.at.distance(click)).fold(1.0, f64::max);
    let offsets = (2.0 * reach / OFFSET_PX).ceil() as usize + 1;
    let mut free: Vec<bool> = vec![true; points.len()];
    let mut out = Vec::new();
    for _ in 0..10 {
        let mut votes = vec![0.0; TURNS * offsets];
        for (p, _) in points.iter().zip(&free).filter(|(_, f)| **f) {
            let turn =
                p.rise.atan2().rem_euclid(std::f64::consts::TAU) / std::f64::consts::TAU * TURNS as f64;
            for near in [turn.floor(), turn.floor() + 1.0] {
                let t = near as usize % TURNS;
                let normal = Vec2::from_angle(t as f64 / TURNS as f64 * std::f64::consts::TAU);
                let o = ((p.at - click).dot(normal) + reach) / OFFSET_PX;
                let share = (1.0 - (turn - near).abs()) * p.strength.min(0.05);
                for (slot, part) in [(o.floor(), 1.0 - o.fract()), (o.floor() + 1.0, o.fract())] {
                    if let Some(v) = votes.get_mut(t * offsets + (slot.max(0.0) as usize).min(offsets - 1)) {
                        *v += share * part;
                    }
                }
            }
        }
        let Some((best, vote)) = votes.iter().copied().enumerate().max_by(|a, b| a.1.total_cmp(&b.1)) else {
            break;
        };
        if vote <= 0.0 {
            break;
        }
        let normal = Vec2::from_angle((best / offsets) as f64 / TURNS as f64 * std::f64::consts::TAU);
        let offset = (best % offsets) as f64 * OFFSET_PX - reach;
        let Some((line, used)) = fit(points, &free, click, normal, offset) else { break };
        for i in used {
            if let Some(f) = free.get_mut(i) {
                *f = false;
            }
        }
        if line.along.len() >= 6 {
            out.push(line);
        }
    }
    out
}

/// Least squares through the free points near a voted line, repeated as the line moves.
fn fit(
    points: &[EdgePoint],
    free: &[bool],
    click: Point,
    normal: Vec2,
    offset: f64,
) -> Option<(Line, Vec<usize>)> {
    let (mut normal, mut offset) = (normal, offset);
    let mut used = Vec::new();
    let mut spread = 0.0;
    for width in [2.5, 1.5, 1.0, 1.0] {
        let near =
            |p: &EdgePoint| ((p.at - click).dot(normal) - offset).abs() < width && p.rise.dot(normal) > 0.9;
        used = points
            .iter()
            .enumerate()
            .filter(|(i, p)| free.get(*i).copied().unwrap_or(false) && near(p))
            .map(|(i, _)| i)
            .collect();
        let chosen: Vec<&EdgePoint> = used.iter().filter_map(|i| points.get(*i)).collect();
        if chosen.len() < 5 {
            return if used.is_empty() { None } else { Some((empty(normal, offset), used)) };
        }
        let n = chosen.len() as f64;
        let mean = chosen.iter().fold(Vec2::ZERO, |s, p| s + (p.at - click)) / n;
        let (mut xx, mut xy, mut yy) = (0.0, 0.0, 0.0);
        for p in &chosen {
            let d = p.at - click - mean;
            xx += d.x * d.x;
            xy += d.x * d.y;
            yy += d.y * d.y;
        }
        let angle = 0.5 * (2.0 * xy).atan2(xx - yy);
        let turned = Vec2::new(-angle.sin(), angle.cos());
        normal = if turned.dot(normal) < 0.0 { -turned } else { turned };
        offset = mean.dot(normal);
        spread =
            (chosen.iter().map(|p| ((p.at - click).dot(normal) - offset).powi(2)).sum::<f64>() / n).sqrt();
    }
    let mut line = Line { scatter: spread, ..empty(normal, offset) };
    let direction = line.direction();
    let mut strengths: Vec<f64> = used.iter().filter_map(|i| points.get(*i)).map(|p| p.strength).collect();
    strengths.sort_by(f64::total_cmp);
    // An edge of contrast c blurred by s pixels rises by at most c / (s √2π); s is about 1.4 after the smoothing.
    line.contrast =
        strengths.get(strengths.len() / 2).copied().unwrap_or(0.0) * 1.4 * std::f64::consts::TAU.sqrt();
    line.along = used.iter().filter_map(|i| points.get(*i)).map(|p| (p.at - click).dot(direction)).collect();
    line.along.sort_by(f64::total_cmp);
    Some((line, used))
}

fn empty(normal: Vec2, offset: f64) -> Line {
    Line { normal, offset, contrast: 0.0, scatter: 0.0, along: Vec::new() }
}

/// One way along a line from a corner.
struct Arm<'a> {
    line: &'a Line,
    /// Unit vector from the corner along the edge.
    way: Vec2,
    /// How far the edge is seen, pixels, and how far it goes on beyond the corner the other way.
    reach: f64,
    beyond: f64,
}

fn arm(line: &Line, at: Vec2) -> Arm<'_> {
    let t = at.dot(line.direction());
    let (up, down) = (line.reach(t, 1.0), line.reach(t, -1.0));
    if up >= down {
        Arm { line, way: line.direction(), reach: up, beyond: down }
    } else {
        Arm { line, way: -line.direction(), reach: down, beyond: up }
    }
}

/// Mean linear light and its scatter beside an edge, on the side of `inward`, from near the corner outwards.
fn beside(luma: &LumaPlane, corner: Point, arm: &Arm<'_>, inward: Vec2) -> Option<(f64, f64)> {
    let light = crate::finder::linear_light();
    let side = if arm.line.normal.dot(inward) >= 0.0 { arm.line.normal } else { -arm.line.normal };
    let mut values = Vec::new();
    let mut t = 4.5;
    while t <= arm.reach.min(16.0) {
        for s in [3.0, 4.0] {
            let p = corner + arm.way * t + side * s;
            let (x, y) = (p.x.round(), p.y.round());
            if x < 0.0 || y < 0.0 {
                return None;
            }
            values.push(*light.get(usize::from(*luma.row(y as usize).get(x as usize)?))?);
        }
        t += 1.0;
    }
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let scatter = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt();
    mean.is_finite().then_some((mean, scatter))
}

/// The outward corner of one even surface: two edges that end there, with the same light inside along both. Edges that run on belong to laths or
/// shadows crossing; different light inside means a top edge was paired with a bottom one.
fn corner(luma: &LumaPlane, lines: &[Line], click: Point, radius: f64) -> Option<Snap> {
    let mut found: Vec<(f64, Snap)> = Vec::new();
    for (i, a) in lines.iter().enumerate() {
        for b in lines.iter().take(i) {
            let cross = a.normal.cross(b.normal);
            let contrast = a.contrast.min(b.contrast);
            // Below 25 degrees the crossing slides along the edges.
            if cross.abs() < 0.42 || contrast < LEAST_CONTRAST || a.scatter.max(b.scatter) > 0.45 {
                continue;
            }
            let at = Vec2::new(
                (a.offset * b.normal.y - b.offset * a.normal.y) / cross,
                (b.offset * a.normal.x - a.offset * b.normal.x) / cross,
            );
            let far = at.hypot();
            if far > radius {
                continue;
            }
            let (ra, rb) = (arm(a, at), arm(b, at));
            if ra.reach.min(rb.reach) < SEEN_PX || ra.beyond.max(rb.beyond) > RUNS_ON_PX {
                continue;
            }
            let px = click + at;
            let inside = (beside(luma, px, &ra, rb.way), beside(luma, px, &rb, ra.way));
            let (Some((la, sa)), Some((lb, sb))) = inside else { continue };
            let apart = (la - lb).abs();
            if apart > 0.25 * contrast + 0.08 * la.max(lb) || sa.max(sb) > 0.5 * contrast {
                continue;
            }
            let sd = |l: &Line| l.scatter.max(0.08) / (l.along.len() as f64 / 4.0).max(1.0).sqrt();
            let sd_px = sd(a).hypot(sd(b)) / cross.abs();
            let score = contrast.min(0.3).sqrt() * (ra.reach.min(rb.reach) / 20.0).min(1.0)
                / (1.0 + (far / (0.5 * radius)).powi(2))
                * (1.0 - 2.0 * apart / (contrast + la.max(lb)));
            found.push((score, Snap { px, sd_px, kind: SnapKind::Corner, contrast }));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (score, best) = *found.first()?;
    // Two corners almost as likely: the person decides.
    let rival = found.iter().any(|f| f.0 > RIVAL * score && f.1.px.distance(best.px) > 1.2);
    (!rival).then_some(best)
}

fn edge(lines: &[Line], click: Point, radius: f64) -> Option<Snap> {
    lines
        .iter()
        .filter(|l| l.contrast >= LEAST_CONTRAST && l.scatter < 0.45 && l.offset.abs() <= radius)
        .filter(|l| l.reach(0.0, 1.0).max(l.reach(0.0, -1.0)) >= 2.0 * SEEN_PX)
        .min_by(|a, b| a.offset.abs().total_cmp(&b.offset.abs()))
        .map(|l| Snap {
            px: click + l.normal * l.offset,
            sd_px: l.scatter.max(0.08) / (l.along.len() as f64 / 4.0).max(1.0).sqrt(),
            kind: SnapKind::Edge,
            contrast: l.contrast,
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::facts::PhotoFacts;

    /// A picture of a rule that gives linear light at a place, averaged over each pixel and blurred, in sRGB coding.
    fn drawn(rule: impl Fn(f64, f64) -> f64) -> Picture {
        let (w, h) = (120usize, 120usize);
        let mut light = Vec::with_capacity(w * h);
        for y in 0..h {
            for x in 0..w {
                let mut sum = 0.0;
                for k in 0..64 {
                    let (dx, dy) = (f64::from(k % 8), f64::from(k / 8));
                    sum += rule(x as f64 + (dx - 3.5) / 8.0, y as f64 + (dy - 3.5) / 8.0);
                }
                light.push(sum / 64.0);
            }
        }
        smooth(&mut light, w);
        let rgb = light
            .iter()
            .flat_map(|l| {
                let v = if *l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 };
                [(v * 255.0).round() as u8; 3]
            })
            .collect();
        Picture::from_rgb(w as u32, h as u32, rgb, PhotoFacts::default()).unwrap()
    }

    /// A lath with its end at `tip`, leaving to the lower left at an angle, 26 px wide.
    fn lath(tip: Point, angle: f64, light: f64, floor: f64) -> Picture {
        let (s, c) = angle.sin_cos();
        drawn(move |x, y| {
            let (dx, dy) = (x - tip.x, y - tip.y);
            let (u, v) = (c * dx + s * dy, -s * dx + c * dy);
            if u < 0.0 && (0.0..26.0).contains(&v) { light } else { floor }
        })
    }

    #[test]
    fn a_click_near_a_lath_corner_goes_onto_it() {
        let tip = Point::new(60.3, 51.8);
        for angle in [0.0f64, 0.4, 1.1, 2.0, 3.3, 5.2] {
            for (light, floor) in [(0.5, 0.1), (0.15, 0.4)] {
                let picture = lath(tip, angle, light, floor);
                for k in 0..6 {
                    let click = tip + Vec2::from_angle(f64::from(k)) * (1.0 + f64::from(k));
                    let snap = snap(&picture, click, 14.0);
                    assert_eq!(
                        snap.kind,
                        SnapKind::Corner,
                        "angle {angle} light {light} click {k}: {snap:?}"
                    );
                    assert!(
                        snap.px.distance(tip) < 0.2,
                        "angle {angle} light {light}: off by {}",
                        snap.px.distance(tip)
                    );
                    assert!(
                        (snap.contrast - (light - floor).abs()).abs() < 0.35 * (light - floor).abs(),
                        "{snap:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn low_contrast_leaves_the_click_alone_and_says_so() {
        let picture = lath(Point::new(60.3, 51.8), 0.3, 0.200, 0.206);
        let click = Point::new(62.0, 50.0);
        let snap = snap(&picture, click, 14.0);
        assert_eq!((snap.kind, snap.px), (SnapKind::Nothing, click));
        assert!(snap.contrast < LEAST_CONTRAST && snap.sd_px.is_infinite());
    }

    #[test]
    fn one_straight_edge_takes_the_nearest_place() {
        let picture = drawn(|x, y| if 0.6 * x + 0.8 * y < 80.25 { 0.1 } else { 0.5 });
        let snap = snap(&picture, Point::new(58.0, 52.0), 12.0);
        assert_eq!(snap.kind, SnapKind::Edge);
        assert!((0.6 * snap.px.x + 0.8 * snap.px.y - 80.25).abs() < 0.05, "{snap:?}");
    }

    #[test]
    fn an_edge_that_runs_on_is_no_corner() {
        // A lath's side passing under another one: a T, and nobody's corner.
        let picture = drawn(|x, y| {
            if y < 60.2 {
                0.5
            } else if x < 55.4 {
                0.3
            } else {
                0.05
            }
        });
        let snap = snap(&picture, Point::new(57.0, 62.0), 12.0);
        assert_ne!(snap.kind, SnapKind::Corner, "{snap:?}");
    }

    #[test]
    fn clicks_at_the_rim_or_nowhere_are_left_alone() {
        let picture = lath(Point::new(60.0, 50.0), 0.3, 0.5, 0.1);
        for click in
            [Point::new(1.0, 1.0), Point::new(-50.0, 4.0), Point::new(1e9, 0.0), Point::new(f64::NAN, 3.0)]
        {
            assert_eq!(snap(&picture, click, 14.0).kind, SnapKind::Nothing);
        }
    }
}
