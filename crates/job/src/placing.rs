//! Ticks to places: clicked through the camera, typed, or points of a table.

use std::sync::Arc;

use coldwright_canvas::{Click, PlaneSolve, sketch_scale};
use kurbo::Point;
use nalgebra::DMatrix;

use crate::distances::Places;
use crate::seen_again::FoundHeight;
use crate::taped::TapedFit;
use crate::template::{Place, Template};
use crate::without_cards::{SKETCH_SHARE, Sketch, only_a_sketch};

/// Standard uncertainty of the height of a clicked stick edge, mm: glue and a warped lath.
const HEIGHT_SD: f64 = 0.5;

/// Ticks placed in the plane, with what follows from a table of taped numbers.
pub(crate) fn place_ticks(
    t: &Template,
    plane: Option<&Arc<PlaneSolve>>,
    heights: &[FoundHeight],
) -> Result<(Places, Option<TapedFit>), String> {
    let fit = t.taped.as_ref().map(|taped| taped.fit().map_err(|e| e.to_string())).transpose()?;
    let mut clicks = Vec::new();
    let (mut clicked, mut typed, mut taped) = (Vec::new(), Vec::new(), Vec::new());
    for tick in &t.ticks {
        match &tick.place {
            Place::Typed { at, sd } => typed.push((tick.id, *at, *sd)),
            Place::Taped { point } => {
                taped.extend(fit.as_ref().and_then(|f| f.index(point)).map(|i| (tick.id, i)));
            }
            Place::Pixel { photo, px, height } => {
                let Some(s) = &t.sightings else { continue };
                let Some(index) = s.photos.iter().position(|p| p.photo == *photo) else { continue };
                clicked.push(tick.id);
                let found = heights.iter().find(|h| h.tick == tick.id);
                clicks.push(Click {
                    photo: index,
                    px: *px,
                    height_mm: found.map_or_else(|| height.mm(t.stick), |h| h.mm),
                    sd_px: s.click_px,
                    height_sd_mm: found.map_or(HEIGHT_SD, |h| h.sd),
                });
            }
        }
    }
    if let (None, true, Some(sketch)) = (plane, only_a_sketch(t), &t.sketch) {
        return Ok((sketched(t, sketch)?, fit));
    }
    let placed = match plane {
        Some(plane) if !clicks.is_empty() => Some(plane.place(&clicks).map_err(|e| e.to_string())?),
        _ => None,
    };
    let seen = placed.as_ref().map_or(0, |p| p.points.len());
    let n = seen + typed.len() + taped.len();
    let mut places = Places {
        ids: Vec::with_capacity(n),
        points: Vec::with_capacity(n),
        cov: DMatrix::zeros(2 * n, 2 * n),
    };
    if let Some(placed) = &placed {
        places.ids.extend(&clicked);
        places.points.extend(&placed.points);
        places.cov.view_mut((0, 0), (2 * seen, 2 * seen)).copy_from(&placed.cov_mm2);
    }
    for (id, at, sd) in &typed {
        let k = 2 * places.ids.len();
        places.ids.push(*id);
        places.points.push(*at);
        (places.cov[(k, k)], places.cov[(k + 1, k + 1)]) = (sd * sd, sd * sd);
    }
    if let Some(fit) = &fit {
        let from = places.ids.len();
        for (i, (id, a)) in taped.iter().enumerate() {
            places.ids.push(*id);
            places.points.push(fit.points.get(*a).map_or(Point::ZERO, |p| p.1));
            for (j, (_, b)) in taped.iter().enumerate() {
                let block = fit.cov_mm2.view((2 * a, 2 * b), (2, 2));
                places.cov.view_mut((2 * (from + i), 2 * (from + j)), (2, 2)).copy_from(&block);
            }
        }
    }
    Ok((places, fit))
}

/// Places by two points alone: as the photo shows them, one scale for all, unsure by as much as a tilt that nobody measured makes.
fn sketched(t: &Template, sketch: &Sketch) -> Result<Places, String> {
    let scale = sketch_scale(sketch.from, sketch.to, sketch.length.mm()).map_err(|e| e.to_string())?;
    let here = t.ticks.iter().filter_map(|k| match &k.place {
        Place::Pixel { photo, px, .. } if *photo == sketch.photo => {
            Some((k.id, Point::new(px.x * scale, -px.y * scale)))
        }
        _ => None,
    });
    let (ids, points): (Vec<_>, Vec<Point>) = here.unzip();
    let n = points.len();
    let middle = points.iter().fold(kurbo::Vec2::ZERO, |s, p| s + p.to_vec2()) / n.max(1) as f64;
    let mut cov = DMatrix::zeros(2 * n, 2 * n);
    for (i, p) in points.iter().enumerate() {
        let v = (SKETCH_SHARE * (p.to_vec2() - middle).hypot().max(1.0)).powi(2);
        (cov[(2 * i, 2 * i)], cov[(2 * i + 1, 2 * i + 1)]) = (v, v);
    }
    Ok(Places { ids, points, cov })
}

/// Predicted 95 % error of the distance between the farthest two points, mm.
pub(crate) fn farthest_error(places: &Places) -> Option<f64> {
    let n = places.points.len();
    let pairs = (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
    let (i, j) = pairs.max_by(|a, b| {
        let d = |(i, j): (usize, usize)| places.points[i].distance_squared(places.points[j]);
        d(*a).total_cmp(&d(*b))
    })?;
    Some(1.96 * places.distance(i, j)?.1)
}
