//! What the sticks look like: all are of one wood, and what is as wide but of another colour is a shadow, a gap or the floor's grain.

use kurbo::Point;

use super::laths::Strip;
use crate::picture::Picture;
use crate::plane::PlaneSolve;

/// Logarithms of brightness, of red over green and of green over blue, in linear light: light and shade change the first only.
pub(super) type Look = [f64; 3];

/// How far sticks of one template differ in each, and light over a layout with them (read off 22 rendered photographs of both kinds of card: true sticks
/// reach 2.0, nearly all shadows, gaps and grain lie above 4).
const SPREAD: Look = [0.45, 0.12, 0.14];
/// Sum of squares at which a strip is of another wood.
const FOREIGN: f64 = 3.0;
/// Share of the usual difference between stick and floor that must be seen on one side at least.
const STANDS_OUT: f64 = 0.1;
/// The same close by, on one stick.
const NEARBY: Look = [0.25, 0.09, 0.11];
/// How far beyond and before where the sides were last seen an end is looked for, mm, and in what steps.
const END_MM: (f64, f64) = (30.0, 45.0);
const END_STEP_MM: f64 = 0.5;
/// Stretch compared before and after an end, steps.
const END_WINDOW: usize = 10;
/// What the change of look must be to be an end.
const END_CLEAR: f64 = 1.0;
/// Samples along a strip, and where across, in half widths.
const ALONG: usize = 48;
const INSIDE: [f64; 3] = [-0.5, 0.0, 0.5];
/// How far beside a strip the floor is looked at, mm.
const BESIDE_MM: [f64; 3] = [3.5, 5.0, 6.5];

/// The picture as it is looked up on the plane.
pub(super) struct Wood<'a> {
    picture: &'a Picture,
    solved: &'a PlaneSolve,
    photo: usize,
    height: f64,
    light: [f64; 256],
}

impl<'a> Wood<'a> {
    pub(super) fn new(picture: &'a Picture, solved: &'a PlaneSolve, photo: usize, height: f64) -> Self {
        Self { picture, solved, photo, height, light: crate::finder::linear_light() }
    }

    /// Look of one place at the sticks' height; `None` outside the picture.
    pub(super) fn at(&self, p: Point) -> Option<Look> {
        let px = self.solved.to_pixel(self.photo, p, self.height).ok()?;
        let (w, h) = (f64::from(self.picture.width()), f64::from(self.picture.height()));
        if !(px.x >= 0.0 && px.y >= 0.0 && px.x < w - 1.0 && px.y < h - 1.0) {
            return None;
        }
        let from = 3 * (px.y.round() as usize * self.picture.width() as usize + px.x.round() as usize);
        let [r, g, b] = self.picture.rgb().get(from..from + 3)? else { return None };
        let [r, g, b] = [r, g, b].map(|v| self.light.get(usize::from(*v)).copied().unwrap_or(0.0).max(0.002));
        Some([g.ln(), (r / g).ln(), (g / b).ln()])
    }

    /// Where a strip's wood ends near `rim` (both along, outwards as `out` says), from the look of its middle part; `None` where that does not change.
    pub(super) fn end(&self, s: &Strip, rim: f64, out: f64) -> Option<f64> {
        let half = 0.5 * s.width;
        let own = self.strip(s)?[0];
        let count = ((END_MM.0 + END_MM.1) / END_STEP_MM) as usize;
        let mut apart = Vec::with_capacity(count);
        for k in 0..count {
            let t = rim - END_MM.0 + END_STEP_MM * k as f64;
            let mut each: Vec<f64> = [-0.4, -0.2, 0.0, 0.2, 0.4]
                .iter()
                .filter_map(|f| self.at(s.place(out * t, f * half)))
                .map(|l| {
                    let d = (0..3).map(|c| ((l[c] - own[c]) / NEARBY[c]).powi(2)).sum::<f64>();
                    d.sqrt().min(4.0)
                })
                .collect();
            each.sort_by(f64::total_cmp);
            let Some(middle) = each.get(each.len() / 2) else { break };
            apart.push(*middle);
        }
        let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len().max(1) as f64;
        let mut best: Option<(f64, f64)> = None;
        for k in END_WINDOW..apart.len().saturating_sub(END_WINDOW) {
            let (before, after) = (mean(apart.get(k - END_WINDOW..k)?), mean(apart.get(k..k + END_WINDOW)?));
            if after - before > END_CLEAR && best.is_none_or(|b| after - before > b.1) {
                best = Some((rim - END_MM.0 + END_STEP_MM * (k as f64 - 0.5), after - before));
            }
        }
        best.map(|b| b.0)
    }

    /// Medians inside a strip and beside it, left and right.
    fn strip(&self, s: &Strip) -> Option<[Look; 3]> {
        let half = 0.5 * s.width;
        let row = |lefts: [f64; 3]| {
            let mut all: [Vec<f64>; 3] = [const { Vec::new() }; 3];
            for k in 0..ALONG {
                let t = s.from + (s.to - s.from) * (k as f64 + 0.5) / ALONG as f64;
                for left in lefts {
                    let Some(look) = self.at(s.place(t, left)) else { continue };
                    for (v, l) in all.iter_mut().zip(look) {
                        v.push(l);
                    }
                }
            }
            median_look(all)
        };
        Some([
            row(INSIDE.map(|f| f * half))?,
            row(BESIDE_MM.map(|d| half + d))?,
            row(BESIDE_MM.map(|d| -half - d))?,
        ])
    }
}

fn median_look(mut all: [Vec<f64>; 3]) -> Option<Look> {
    let mut out = [0.0; 3];
    for (o, v) in out.iter_mut().zip(&mut all) {
        let middle = v.len() / 2;
        if middle >= v.len() {
            return None;
        }
        *o = *v.select_nth_unstable_by(middle, f64::total_cmp).1;
    }
    Some(out)
}

/// What most of the strips look like, and by how much they differ from what lies beside them.
fn usual(looks: &[(f64, [Look; 3])]) -> Option<(Look, Look)> {
    let weighted = |values: &mut Vec<(f64, f64)>| {
        values.sort_by(|a, b| a.0.total_cmp(&b.0));
        let half = 0.5 * values.iter().map(|v| v.1).sum::<f64>();
        let mut sum = 0.0;
        values
            .iter()
            .find(|v| {
                sum += v.1;
                sum >= half
            })
            .map(|v| v.0)
    };
    let (mut look, mut step) = ([0.0; 3], [0.0; 3]);
    for c in 0..3 {
        look[c] = weighted(&mut looks.iter().map(|(w, l)| (l[0][c], *w)).collect())?;
        let sides = looks.iter().flat_map(|(w, l)| [(l[0][c] - l[1][c], *w), (l[0][c] - l[2][c], *w)]);
        step[c] = weighted(&mut sides.collect())?;
    }
    Some((look, step))
}

/// Takes out strips that are of another wood than most, or that nothing tells from what lies beside them. `best` are those to learn from.
pub(super) fn of_one_wood(strips: Vec<Strip>, best: &[Strip], wood: &Wood<'_>) -> Vec<Strip> {
    let weight = |s: &Strip| s.score * (s.to - s.from);
    let learnt: Vec<(f64, [Look; 3])> =
        best.iter().filter_map(|s| Some((weight(s), wood.strip(s)?))).collect();
    let Some((look, step)) = usual(&learnt) else { return strips };
    let square = |v: Look| v.iter().zip(SPREAD).map(|(v, s)| (v / s).powi(2)).sum::<f64>();
    let along = |d: Look| {
        let dot: f64 = d.iter().zip(step).zip(SPREAD).map(|((d, u), s)| d * u / (s * s)).sum();
        dot / square(step).max(1e-9)
    };
    let less = |a: Look, b: Look| [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
    strips
        .into_iter()
        .filter(|s| {
            let Some([inside, left, right]) = wood.strip(s) else { return false };
            let own = square(less(inside, look)) < FOREIGN;
            own && along(less(inside, left)).max(along(less(inside, right))) > STANDS_OUT
        })
        .collect()
}
