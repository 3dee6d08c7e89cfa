//! A slab's volume from its areas.

/// Integral of the area over the depth: Simpson's rule, halved until two rounds agree to 1 in 10⁷.
///
/// Exact at once for plane sides, whose area is a parabola over the depth.
pub(crate) fn volume(area: &dyn Fn(f64) -> f64, a: (f64, f64), b: (f64, f64)) -> f64 {
    let m = middle(area, a, b);
    halves(area, a, m, b, simpson(a, m, b), 8)
}

fn middle(area: &dyn Fn(f64) -> f64, a: (f64, f64), b: (f64, f64)) -> (f64, f64) {
    let z = 0.5 * (a.0 + b.0);
    (z, area(z))
}

/// Simpson's rule over two halves.
pub(crate) fn simpson(a: (f64, f64), m: (f64, f64), b: (f64, f64)) -> f64 {
    (b.0 - a.0) / 6.0 * (a.1 + 4.0 * m.1 + b.1)
}

type Spot = (f64, f64);

fn halves(area: &dyn Fn(f64) -> f64, a: Spot, m: Spot, b: Spot, whole: f64, left: u32) -> f64 {
    let (p, q) = (middle(area, a, m), middle(area, m, b));
    let (first, second) = (simpson(a, p, m), simpson(m, q, b));
    let two = first + second;
    if left == 0 || (two - whole).abs() <= 1e-7 * two.abs() + 1e-9 {
        two + (two - whole) / 15.0
    } else {
        halves(area, a, p, m, first, left - 1) + halves(area, m, q, b, second, left - 1)
    }
}
