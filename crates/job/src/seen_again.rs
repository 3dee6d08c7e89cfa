//! One point clicked in a second photo: the height of the stick there is found instead of asked.

use coldwright_canvas::{Click, PlaneSolve};
use kurbo::Point;

use crate::document::{PhotoId, TickId};

use crate::template::{Place, Template};

/// The point of a tick, clicked in a further photo.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct SeenAgain {
    /// The tick, clicked in another photo already.
    pub tick: TickId,
    /// The further photo.
    pub photo: PhotoId,
    /// Where it is there: upright picture, pixel centres at whole numbers, y down.
    pub px: Point,
}

/// A height found from two photos or more.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct FoundHeight {
    /// The tick.
    pub tick: TickId,
    /// Height above the floor that the cards lie on, mm.
    pub mm: f64,
    /// Its standard uncertainty, mm.
    pub sd: f64,
    /// Root mean square miss of the rays, pixels.
    pub miss_px: f64,
}

impl FoundHeight {
    /// Whether the clicks cannot be the same point: the rays miss each other by far more than a click is unsure.
    pub fn misses(&self, click_px: f64) -> bool {
        self.miss_px > 4.0 * click_px.max(0.25)
    }
}

/// The heights that two photos give, and a sentence for each tick whose height they do not.
pub(crate) fn heights(t: &Template, plane: Option<&PlaneSolve>) -> (Vec<FoundHeight>, Vec<(TickId, String)>) {
    let (mut found, mut said) = (Vec::new(), Vec::new());
    let (Some(plane), Some(s)) = (plane, &t.sightings) else { return (found, said) };
    let index = |id: PhotoId| s.photos.iter().position(|p| p.photo == id);
    for tick in &t.ticks {
        let Place::Pixel { photo, px, .. } = &tick.place else { continue };
        let more = t.again.iter().filter(|a| a.tick == tick.id).map(|a| (a.photo, a.px));
        let all = std::iter::once((*photo, *px)).chain(more);
        // A ray needs some weight, however sure its click is said to be.
        let sd_px = s.click_px.max(0.05);
        let clicks: Vec<Click> = all
            .filter_map(|(photo, px)| {
                Some(Click { photo: index(photo)?, px, height_mm: 0.0, sd_px, height_sd_mm: 0.0 })
            })
            .collect();
        if clicks.len() < 2 {
            continue;
        }
        match plane.raised(&clicks) {
            Ok(r) => {
                found.push(FoundHeight { tick: tick.id, mm: r.height_mm, sd: r.sd_mm, miss_px: r.miss_px });
            }
            Err(e) => said.push((tick.id, e.to_string())),
        }
    }
    (found, said)
}
