//! Which tick of a bent edge is wrong: for each tick the odds that it slipped, against that the edge really bends so.
//!
//! Two stories are weighed by how likely they make the ticks as they lie. Either all ticks are as sure as stated and the edge bends as hulls do, or one tick
//! slipped as well. How hulls bend is a mixture: the curvature about the edge's own mean, changing steadily by white noise in the third derivative (G. Wahba,
//! Spline Models for Observational Data, 1990, ch. 1) of a few strengths, with or without one place where it changes at once, as flat topsides turn into a
//! bilge. The odds are the ratio of the two likelihoods (H. Jeffreys, Theory of Probability, 1939, ch. 5). Where two ticks explain the run almost
//! equally well, both are named.

use kurbo::Point;

use crate::round::{angles_round, nearest_circle};

/// Strengths of the steady change of curvature: over the edge's length it changes by this many times its mean. Equal weight each.
const CHANGES: [f64; 3] = [0.05, 0.15, 0.5];
/// Share of edges with one sudden change of curvature.
const SUDDEN: f64 = 0.4;
/// Size of a sudden change, mean curvatures.
const JUMP: f64 = 1.5;
/// Least mean curvature supposed, 1/mm: so that a batten measured straight is not called certain.
const LEAST_CURVATURE: f64 = 1.0 / 2000.0;
/// Typical size of a slip, mm.
const SLIP: f64 = 8.0;
/// Least standard uncertainty of a tick in this judgement, mm: glue, a worn stick's tip.
const LEAST_SD: f64 = 0.1;
/// Place and direction of the run are not known beforehand: so many mm.
const LOOSE: f64 = 100.0;
/// Ticks judged together.
const WINDOW: usize = 13;

/// Log odds of a slip from which a tick is called strange. With 1.5 one honest tick in 45 on random hull sections with ticks 150 to 250 mm apart is flagged,
/// with 3 one slip of 6 mm in nine is missed there.
pub(crate) const STRANGE: f64 = 2.3;
/// A tick explains a run almost as well as the best one when its log odds are this near.
pub(crate) const ALMOST: f64 = 4.0;

/// Log odds that each tick slipped; `sd` are standard uncertainties square to the edge, mm. Fewer than four ticks tell nothing: no odds.
pub(crate) fn slip_odds(places: &[Point], sd: &[f64]) -> Vec<f64> {
    let n = places.len().min(sd.len());
    if n < 4 {
        return vec![f64::NEG_INFINITY; n];
    }
    if n <= WINDOW {
        return window(places, sd).unwrap_or_else(|| vec![f64::NEG_INFINITY; n]);
    }
    // Each tick in the middle of its own window; near an end in the end's.
    let mut out = vec![f64::NEG_INFINITY; n];
    let mut from = usize::MAX;
    let mut odds: Vec<f64> = Vec::new();
    for (i, slot) in out.iter_mut().enumerate() {
        let begin = i.saturating_sub(WINDOW / 2).min(n - WINDOW);
        if begin != from {
            from = begin;
            let (Some(p), Some(s)) = (places.get(from..from + WINDOW), sd.get(from..from + WINDOW)) else {
                continue;
            };
            odds = window(p, s).unwrap_or_default();
        }
        *slot = odds.get(i - from).copied().unwrap_or(f64::NEG_INFINITY);
    }
    out
}

fn window(places: &[Point], sd: &[f64]) -> Option<Vec<f64>> {
    let n = places.len();
    let (along, height, bend) = unrolled(places)?;
    let length = along.last()? - along.first()?;
    if !(length.is_finite() && length > 1e-6) {
        return None;
    }
    let x: Vec<f64> = along.iter().map(|s| (s - along[0]) / length).collect();
    let mean = bend.max(LEAST_CURVATURE);
    let arch = 0.5 * length * length * mean;
    let noise: Vec<f64> = sd.iter().map(|s| s.max(LEAST_SD).powi(2)).collect();
    let mut plain = vec![vec![0.0; n]; n];
    let mut steady = vec![vec![0.0; n]; n];
    for i in 0..n {
        for j in 0..n {
            let pose = LOOSE * LOOSE * (1.0 + x[i] * x[j]) + arch * arch * (x[i] * x[j]).powi(2);
            plain[i][j] = pose + if i == j { noise[i] } else { 0.0 };
            // ∫ (x − v)²(y − v)² / 4 dv up to the smaller of the two.
            let (a, d) = (x[i].min(x[j]), (x[i] - x[j]).abs());
            steady[i][j] = a.powi(3) * (a * a / 5.0 + 0.5 * d * a + d * d / 3.0) / 4.0;
        }
    }
    let steps: Vec<f64> = (1..10).map(|k| f64::from(k) / 10.0).collect();
    let mut honest = Sum::new();
    let mut slipped = vec![Sum::new(); n];
    for change in CHANGES {
        let strength = (change * mean).powi(2) * length.powi(4);
        for step in std::iter::once(None).chain(steps.iter().copied().map(Some)) {
            let weight = step.map_or(1.0 - SUDDEN, |_| SUDDEN / steps.len() as f64);
            let jump: Vec<f64> = x
                .iter()
                .map(|x| step.map_or(0.0, |a| JUMP * mean * length * length * (x - a).max(0.0).powi(2) / 2.0))
                .collect();
            let cov = (0..n)
                .map(|i| (0..n).map(|j| plain[i][j] + strength * steady[i][j] + jump[i] * jump[j]).collect())
                .collect();
            let Some((information, log_det)) = inverted(cov) else { continue };
            let pull: Vec<f64> =
                information.iter().map(|row| row.iter().zip(&height).map(|(a, b)| a * b).sum()).collect();
            let chi2: f64 = pull.iter().zip(&height).map(|(a, b)| a * b).sum();
            let log = weight.ln() - 0.5 * (log_det + chi2);
            honest.add(log);
            for (i, sum) in slipped.iter_mut().enumerate() {
                // A slip adds SLIP² to the one variance: by the rank-one forms of determinant and inverse.
                let gain = SLIP * SLIP * information[i][i];
                sum.add(log - 0.5 * gain.ln_1p() + 0.5 * pull[i].powi(2) * SLIP * SLIP / (1.0 + gain));
            }
        }
    }
    let honest = honest.log()?;
    slipped.iter().map(|s| Some(s.log()? - honest)).collect()
}

/// A sum of numbers known by their logarithms.
#[derive(Clone)]
struct Sum {
    top: f64,
    sum: f64,
}

impl Sum {
    fn new() -> Self {
        Self { top: f64::NEG_INFINITY, sum: 0.0 }
    }

    fn add(&mut self, log: f64) {
        if log > self.top {
            self.sum = self.sum * (self.top - log).exp() + 1.0;
            self.top = log;
        } else {
            self.sum += (log - self.top).exp();
        }
    }

    fn log(&self) -> Option<f64> {
        let log = self.top + self.sum.ln();
        log.is_finite().then_some(log)
    }
}

/// Places by their length along the nearest circle and their distance from it, with the circle's curvature; along and off the chord for a nearly straight
/// run.
fn unrolled(places: &[Point]) -> Option<(Vec<f64>, Vec<f64>, f64)> {
    let (first, last) = (*places.first()?, *places.last()?);
    let Some((centre, radius)) = nearest_circle(places).filter(|(_, radius)| *radius < 20_000.0) else {
        let chord = last - first;
        let way = chord / chord.hypot().max(1e-9);
        let along = places.iter().map(|p| (*p - first).dot(way)).collect();
        return Some((along, places.iter().map(|p| way.cross(*p - first)).collect(), 0.0));
    };
    let angles = angles_round(places, centre);
    let way = (angles.last()? - angles.first()?).signum();
    let along = angles.iter().map(|a| way * (a - angles[0]) * radius).collect();
    let height = places.iter().map(|p| (radius - (p.to_vec2() - centre).hypot()) * way).collect();
    Some((along, height, 1.0 / radius))
}

/// Inverse and log determinant of a symmetric positive matrix, by Cholesky.
fn inverted(mut a: Vec<Vec<f64>>) -> Option<(Vec<Vec<f64>>, f64)> {
    let n = a.len();
    let mut log_det = 0.0;
    for j in 0..n {
        for i in j..n {
            let sum: f64 = (0..j).map(|k| a[i][k] * a[j][k]).sum();
            let v = a[i][j] - sum;
            if i == j {
                if !(v > 0.0 && v.is_finite()) {
                    return None;
                }
                a[j][j] = v.sqrt();
                log_det += v.ln();
            } else {
                a[i][j] = v / a[j][j];
            }
        }
    }
    // The inverse of the triangle, then its square.
    let mut low = vec![vec![0.0; n]; n];
    for j in 0..n {
        low[j][j] = 1.0 / a[j][j];
        for i in j + 1..n {
            let sum: f64 = (j..i).map(|k| a[i][k] * low[k][j]).sum();
            low[i][j] = -sum / a[i][i];
        }
    }
    let inverse = (0..n)
        .map(|i| (0..n).map(|j| (i.max(j)..n).map(|k| low[k][i] * low[k][j]).sum()).collect())
        .collect();
    Some((inverse, log_det))
}

#[cfg(test)]
mod tests {
    use kurbo::Vec2;

    use super::*;

    #[test]
    fn the_inverse_is_one() {
        let a = vec![vec![4.0, 1.0, 0.5], vec![1.0, 3.0, -0.2], vec![0.5, -0.2, 2.0]];
        let (b, log_det) = inverted(a.clone()).expect("positive");
        for (i, row) in a.iter().enumerate() {
            for j in 0..3 {
                let v: f64 = row.iter().zip(&b).map(|(v, other)| v * other[j]).sum();
                assert!((v - f64::from(i == j)).abs() < 1e-12);
            }
        }
        // By Sarrus.
        let det = 4.0 * (6.0 - 0.04) - (2.0 + 0.1) + 0.5 * (-0.2 - 1.5);
        assert!((log_det - f64::ln(det)).abs() < 1e-12);
    }

    #[test]
    fn a_slip_on_an_arc_is_the_one_most_likely() {
        let on = |i: usize, off: f64| Point::ORIGIN + Vec2::from_angle(0.2 * i as f64) * (1000.0 + off);
        let honest: Vec<Point> = (0..7).map(|i| on(i, 0.0)).collect();
        assert!(slip_odds(&honest, &[0.3; 7]).iter().all(|o| *o < 0.0));
        for wrong in 1..6 {
            let ticks: Vec<Point> = (0..7).map(|i| on(i, if i == wrong { 6.0 } else { 0.0 })).collect();
            let odds = slip_odds(&ticks, &[0.3; 7]);
            let best = (0..7).max_by(|a, b| odds[*a].total_cmp(&odds[*b]));
            assert_eq!(best, Some(wrong), "{odds:?}");
            assert!(odds[wrong] > STRANGE);
        }
    }
}
