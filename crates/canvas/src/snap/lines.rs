//! Straight edges near a click.

use kurbo::{Point, Vec2};

use super::patch::EdgePoint;

/// Directions voted for, and how many degrees each spans.
const TURNS: usize = 60;
const OFFSET_PX: f64 = 1.25;

/// A straight edge: the points p with normal · (p − click) = offset, between two places along it.
pub(super) struct Line {
    pub(super) normal: Vec2,
    pub(super) offset: f64,
    pub(super) contrast: f64,
    /// Scatter of its points, pixels.
    pub(super) scatter: f64,
    /// Where its points lie along it, measured from the foot of the click, rising.
    pub(super) along: Vec<f64>,
}

impl Line {
    pub(super) fn direction(&self) -> Vec2 {
        Vec2::new(-self.normal.y, self.normal.x)
    }

    /// Points between two distances from a place along the line, one way, as a share of the pixels there.
    fn seen(&self, from: f64, to: f64) -> f64 {
        let (a, b) = if from < to { (from, to) } else { (to, from) };
        let count = self.along.iter().filter(|t| (a..b).contains(*t)).count();
        count as f64 / (b - a).max(1.0)
    }

    /// How far the edge goes on without a gap from a place, one way (sign), pixels.
    pub(super) fn reach(&self, from: f64, sign: f64) -> f64 {
        let mut end = 1.5;
        while end < 40.0 && self.seen(from + sign * end, from + sign * (end + 3.0)) > 0.3 {
            end += 1.5;
        }
        end
    }
}

/// Gaussian of one pixel, both ways.
pub(super) fn smooth(plane: &mut [f64], size: usize) {
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
pub(super) fn lines(points: &[EdgePoint], click: Point) -> Vec<Line> {
    let reach = points.iter().map(|p| p.at.distance(click)).fold(1.0, f64::max);
    let offsets = (2.0 * reach / OFFSET_PX).ceil() as usize + 1;
    let mut free: Vec<bool> = vec![true; points.len()];
    let mut out = Vec::new();
    for _ in 0..14 {
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
