//! Whether a bar that has come through a slot can be turned flat behind it.

/// What lies behind the opening.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Room {
    /// Clear depth behind the opening at that point of the fitting order, mm, from the inner rim of the opening.
    pub depth: f64,
    /// Thickness of the wall or counter the opening is cut in, mm; 0 for a thin one.
    pub wall: f64,
}

/// Least depth in which a bar `length` × `thickness`, passed through a slot `slot` mm wide in a wall `wall` mm thick, can be laid
/// flat behind it, mm. None when it does not go through. The room to the sides is not limited here.
///
/// In the plane of the turn: the wall fills 0 ≤ y ≤ e beside the slot, the room lies below y = 0. Let the bar (ℓ × t) make the
/// angle θ with the wall. It can be slid in all the way while t + e cos θ ≤ s sin θ; call the least such angle θ₀. Below θ₀ it
/// must be in already but for its last corner, which may still stand up into the slot by
///
/// - η = s sin θ cos θ while s sin θ ≤ t: the corner is a right-angled triangle on a base s;
/// - η = t cos θ + (s sin θ − t) / cos θ otherwise: the bar's lower side touches one wall of the slot, its upper one the
///   other's rim.
///
/// All angles from θ₀ to 0 must be gone through, each takes the depth ℓ sin θ + t cos θ − η, hence
///
/// d = max over 0 ≤ θ ≤ θ₀ of (ℓ sin θ + t cos θ − η(θ)).
///
/// For a long bar and a thin wall that is ℓ t / s, at θ₀. A bar no longer than the slot goes through flat: d = t. An
/// own derivation, checked in the tests by moving a bar step by step.
///
/// # Examples
/// A bar 600 × 25 mm through a slot 150 mm wide in a thin counter needs 600 · 25 / 150.
/// ```
/// let d = coldwright_geometry::depth_to_turn(600.0, 25.0, 150.0, 0.0).expect("it goes through");
/// assert!((d - 100.0).abs() < 1e-6);
/// ```
#[must_use]
pub fn depth_to_turn(length: f64, thickness: f64, slot: f64, wall: f64) -> Option<f64> {
    let (l, t, s, e) = (length, thickness, slot, wall);
    if ![l, t, s, e].iter().all(|v| v.is_finite() && *v >= 0.0) || t > s {
        return None;
    }
    if l <= s {
        return Some(t);
    }
    let depth = |a: f64| {
        let (sin, cos) = a.sin_cos();
        let up = if s * sin <= t { s * sin * cos } else { t * cos + (s * sin - t) / cos.max(1e-12) };
        l * sin + t * cos - up
    };
    // s sin θ − e cos θ grows from −e to s: one angle where it is t.
    let (mut lo, mut hi) = (0.0, std::f64::consts::FRAC_PI_2);
    for _ in 0..60 {
        let a = 0.5 * (lo + hi);
        if s * a.sin() - e * a.cos() < t { lo = a } else { hi = a }
    }
    let last = lo;
    // Straight up the bar fills the slot from wall to wall and must go in whole.
    if last.cos() < 1e-7 {
        let whole = l - e;
        return Some(greatest(&|a| depth(a), (t / s).min(1.0).asin().min(last)).max(whole));
    }
    Some(greatest(&|a| depth(a), last))
}

/// Greatest value on 0..=`last`: looked for at 400 places, then narrowed about the best.
fn greatest(f: &dyn Fn(f64) -> f64, last: f64) -> f64 {
    const PLACES: u32 = 400;
    let at = |k: u32| last * f64::from(k) / f64::from(PLACES);
    let mut best = (0, f64::NEG_INFINITY);
    for k in 0..=PLACES {
        let v = f(at(k));
        if v > best.1 {
            best = (k, v);
        }
    }
    let (mut lo, mut hi) = (at(best.0.saturating_sub(1)), at((best.0 + 1).min(PLACES)));
    for _ in 0..60 {
        let (p, q) = (lo + (hi - lo) / 3.0, hi - (hi - lo) / 3.0);
        if f(p) < f(q) { lo = p } else { hi = q }
    }
    best.1.max(f(0.5 * (lo + hi)))
}
