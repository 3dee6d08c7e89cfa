//! What is left between measured card points and the solved plane, point by point, for drawing.

use kurbo::{Point, Vec2};
use nalgebra::Vector3;

use crate::card::CardSeen;
use crate::photo_cards::PrintScale;
use crate::plane::PlaneSolve;

impl PlaneSolve {
    /// Each measured point of a photo (from 0) with its misfit: measured minus predicted, pixels of the upright picture.
    ///
    /// `print` is what the solve was told; where its uncertainty is above zero, the scale that the solve itself arrived at is used. Cards that the
    /// solve did not use are passed over, and a photo that was not solved gives an empty list.
    ///
    /// # Examples
    /// ```
    /// use coldwright_canvas::{CardSeen, PlaneSolve, PrintScale};
    ///
    /// /// The longest misfit of a photo, pixels.
    /// fn worst(solved: &PlaneSolve, photo: usize, cards: &[CardSeen]) -> f64 {
    ///     solved.misfits(photo, cards, &PrintScale::default()).iter().map(|m| m.1.hypot()).fold(0.0, f64::max)
    /// }
    /// ```
    pub fn misfits(&self, photo: usize, cards: &[CardSeen], print: &PrintScale) -> Vec<(Point, Vec2)> {
        let Ok((lens, pose)) = self.camera(photo) else { return Vec::new() };
        let [px, py] = if print.sd > 0.0 { self.print } else { [print.x, print.y] };
        let mut out = Vec::new();
        for seen in cards {
            let Some(placed) = self.cards.iter().find(|c| c.number == seen.number) else { continue };
            let (s, c) = placed.angle_rad.sin_cos();
            for point in &seen.crossings {
                let (u, v) = (point.card_mm.x * px, point.card_mm.y * py);
                let at = Vector3::new(placed.centre.x + c * u - s * v, placed.centre.y + s * u + c * v, 0.0);
                let q = pose.turn * at + pose.shift;
                let misfit = lens.pixel([q.x, q.y, q.z]).map(|p| point.px - p);
                if let Some(misfit) = misfit.filter(|m| m.is_finite()) {
                    out.push((point.px, misfit));
                }
            }
        }
        out
    }
}
