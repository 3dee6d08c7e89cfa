//! The crossing of a checker pattern to a few hundredths of a pixel.
//!
//! A quadratic surface is fitted round the crossing; its stationary point is the crossing, as in L. Lucchese and S. Mitra, "Using saddle
//! points for subpixel feature detection in camera calibration targets", APCCAS (2002). A crossing is symmetric, so that blur and a tone curve
//! do not move it.

use kurbo::Point;
use nalgebra::{Matrix6, Vector6};

use crate::picture::LumaPlane;

/// Fits the saddle near `guess` in a window of ±`radius` pixels. `None` where there is no saddle, or where it lies farther than
/// `radius` from the guess.
pub(crate) fn saddle(luma: &LumaPlane, guess: Point, radius: f64) -> Option<Point> {
    let mut at = guess;
    for _ in 0..12 {
        let step = step(luma, at, radius)?;
        at += step.to_vec2();
        if at.distance(guess) > radius {
            return None;
        }
        if step.to_vec2().hypot() < 1e-4 {
            return Some(at);
        }
    }
    None
}

fn step(luma: &LumaPlane, at: Point, radius: f64) -> Option<Point> {
    let (w, h) = (f64::from(luma.width()), f64::from(luma.height()));
    let reach = radius + 1.0;
    if !(at.x > reach && at.y > reach && at.x < w - 1.0 - reach && at.y < h - 1.0 - reach) {
        return None;
    }
    let (x0, x1) = ((at.x - radius).ceil() as usize, (at.x + radius).floor() as usize);
    let (y0, y1) = ((at.y - radius).ceil() as usize, (at.y + radius).floor() as usize);
    let mut normal = Matrix6::zeros();
    let mut right = Vector6::zeros();
    for y in y0..=y1 {
        let row = luma.row(y);
        for x in x0..=x1 {
            let (u, v) = ((x as f64 - at.x) / radius, (y as f64 - at.y) / radius);
            let r2 = u * u + v * v;
            if r2 >= 1.0 {
                continue;
            }
            // A smooth fall to zero at the window's rim: pixels come in and go out gently as the window moves.
            let weight = (1.0 - r2) * (1.0 - r2);
            let basis = Vector6::new(u * u, u * v, v * v, u, v, 1.0);
            let value = f64::from(*row.get(x)?);
            normal += basis * basis.transpose() * weight;
            right += basis * (weight * value);
        }
    }
    let c = normal.cholesky()?.solve(&right);
    let det = 4.0 * c[0] * c[2] - c[1] * c[1];
    // A saddle curves both ways; the size must be real against the brightness steps of a byte.
    if det >= 0.0 || det.abs() < 16.0 {
        return None;
    }
    let u = (-2.0 * c[2] * c[3] + c[1] * c[4]) / det;
    let v = (-2.0 * c[0] * c[4] + c[1] * c[3]) / det;
    let far = u.hypot(v);
    if !far.is_finite() {
        return None;
    }
    let cut = (0.4 / far.max(1e-300)).min(1.0) * radius;
    Some(Point::new(u * cut, v * cut))
}
