//! Without cards: a large rectangle of known size, or a two-point sketch.

use kurbo::{Point, Vec2};

use crate::card::{CardSeen, Crossing};
use crate::error::CanvasError;

/// A rectangle seen in a photo, measured by its sides and diagonals. As a card of its own it goes into [`crate::solve`], alone or beside others; give its size's
/// uncertainty as the print scale's.
#[derive(Debug, Clone, PartialEq)]
pub struct Rectangle {
    /// Its corners as a card, for [`crate::PhotoCards::cards`].
    pub card: CardSeen,
    /// How far its corner is from square, degrees.
    pub out_of_square_deg: f64,
    /// By how much sides and diagonals contradict each other, mm on a diagonal: 0 when they agree; more than the tape explains is a misread.
    pub contradiction_mm: f64,
}

/// A rectangle from width, height and both diagonals, mm, its corners clicked in the order top-left, top-right, bottom-right, bottom-left (pixels,
/// each with a standard uncertainty); the first diagonal joins top-left and bottom-right.
///
/// Opposite sides are taken as equal; the diagonals then tell the angle between them, d₁² − d₂² = 4 w h cos θ at the top-left corner's neighbours, and check
/// the sides, d₁² + d₂² = 2 (w² + h²), the parallelogram law.
///
/// # Errors
/// A length or uncertainty that is not above zero, diagonals that no such frame has, clicks that are not finite.
pub fn rectangle(
    width_mm: f64,
    height_mm: f64,
    diagonals_mm: (f64, f64),
    corners_px: [Point; 4],
    sd_px: f64,
) -> Result<Rectangle, CanvasError> {
    let (d1, d2) = diagonals_mm;
    for (what, value) in [
        ("rectangle's width", width_mm),
        ("rectangle's height", height_mm),
        ("first diagonal", d1),
        ("second diagonal", d2),
        ("click uncertainty", sd_px),
    ] {
        if !(value.is_finite() && value > 0.0) {
            return Err(CanvasError::BadNumber { what, rule: "above zero", value });
        }
    }
    if let Some(p) = corners_px.iter().find(|p| !p.is_finite()) {
        return Err(CanvasError::OffPlane { x: p.x, y: p.y });
    }
    let cosine = (d1 * d1 - d2 * d2) / (4.0 * width_mm * height_mm);
    let expected = (2.0 * (width_mm * width_mm + height_mm * height_mm)).sqrt();
    let contradiction_mm = (d1.hypot(d2) - expected) / std::f64::consts::SQRT_2;
    if cosine.abs() > 0.2 {
        let rule = "as long as the other, within a few degrees of square";
        return Err(CanvasError::BadNumber { what: "second diagonal", rule, value: d2 });
    }
    // From the top-left corner: the top side along x, the left side downwards.
    let across = Vec2::new(width_mm, 0.0);
    let down = Vec2::new(cosine, -(1.0 - cosine * cosine).sqrt()) * height_mm;
    let middle = (across + down) / 2.0;
    let places = [Vec2::ZERO, across, across + down, down].map(|v| (v - middle).to_point());
    let crossings =
        places.into_iter().zip(corners_px).map(|(card_mm, px)| Crossing { card_mm, px, sd_px }).collect();
    Ok(Rectangle {
        card: CardSeen { number: 0, half_size: false, crossings, corners_px },
        out_of_square_deg: cosine.asin().to_degrees(),
        contradiction_mm,
    })
}

/// Millimetres a pixel from two points a known distance apart: a sketch only. It knows nothing of tilt or lens; at 5 degrees of tilt a metre is off by
/// 16 mm, at 20 degrees by 59 (design figures of this program), so whatever is drawn from it must be labelled a sketch.
///
/// # Errors
/// A distance that is not above zero, or two points in one place.
pub fn sketch_scale(a: Point, b: Point, distance_mm: f64) -> Result<f64, CanvasError> {
    let px = a.distance(b);
    if !(distance_mm.is_finite() && distance_mm > 0.0) {
        return Err(CanvasError::BadNumber {
            what: "known distance",
            rule: "above zero",
            value: distance_mm,
        });
    }
    if !(px.is_finite() && px > 1.0) {
        return Err(CanvasError::BadNumber { what: "distance clicked", rule: "above a pixel", value: px });
    }
    Ok(distance_mm / px)
}
