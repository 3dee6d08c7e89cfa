//! Tags 36h11 in a picture: which numbers, and roughly where.
//!
//! The family of E. Olson, "AprilTag: a robust and flexible visual fiducial system", ICRA (2011).

use kurbo::Point;
use locus_core::{DetectorBuilder, ImageView, LocusEngine, TagFamily};

use crate::picture::LumaPlane;

/// A tag found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Tag {
    pub number: u32,
    /// Corners of the black square: top-left, top-right, bottom-right, bottom-left as printed; pixels, centres at whole numbers.
    pub corners: [Point; 4],
}

impl Tag {
    fn centre(&self) -> Point {
        let sum = self.corners.iter().fold(Point::ZERO, |s, c| s + c.to_vec2());
        Point::new(sum.x / 4.0, sum.y / 4.0)
    }

    /// Shortest side, pixels.
    pub(crate) fn size(&self) -> f64 {
        let c = &self.corners;
        [(0, 1), (1, 2), (2, 3), (3, 0)]
            .iter()
            .map(|(a, b)| c[*a].distance(c[*b]))
            .fold(f64::INFINITY, f64::min)
    }
}

/// A tag's side as the detector must see it to be sure of it, pixels.
const SEEN_PX: f64 = 60.0;
/// Cards that make a good photo; with fewer, it is worth looking closer.
const ENOUGH: usize = 4;

/// All tags, by number, and the numbers that were left out because they occur twice.
///
/// Looks at the picture reduced 4 times first, then 2 times, then whole, and stops as soon as enough tags of safe size are found.
pub(crate) fn find(luma: &LumaPlane) -> (Vec<Tag>, Vec<u32>) {
    let mut tags: Vec<Tag> = Vec::new();
    let short = luma.width().min(luma.height());
    for decimation in [4u32, 2, 1] {
        if short / decimation < 300 && decimation > 1 {
            continue;
        }
        let before = tags.len();
        for tag in detect(luma, decimation) {
            let same = tags.iter_mut().find(|t| {
                t.number == tag.number && t.centre().distance(tag.centre()) < 0.5 * t.size().max(tag.size())
            });
            match same {
                Some(t) => *t = tag,
                None => tags.push(tag),
            }
        }
        let smallest = tags.iter().map(Tag::size).fold(f64::INFINITY, f64::min);
        let safe = smallest >= SEEN_PX * f64::from(decimation);
        let gained = tags.len() > before;
        if safe && (tags.len() >= ENOUGH || (tags.len() >= 2 && !gained)) {
            break;
        }
    }
    let mut doubled: Vec<u32> = tags
        .iter()
        .map(|t| t.number)
        .filter(|n| tags.iter().filter(|t| t.number == *n).count() > 1)
        .collect();
    doubled.sort_unstable();
    doubled.dedup();
    tags.retain(|t| !doubled.contains(&t.number));
    tags.sort_by_key(|t| t.number);
    (tags, doubled)
}

fn detect(luma: &LumaPlane, decimation: u32) -> Vec<Tag> {
    let (w, h) = (luma.width() as usize, luma.height() as usize);
    let Ok(view) = ImageView::new(luma.data(), w, h, w) else { return Vec::new() };
    let engine: LocusEngine = DetectorBuilder::new()
        .with_decimation(decimation as usize)
        .with_family(TagFamily::AprilTag36h11)
        .build_engine();
    let found = engine.detect_concurrent(&[view], None, None);
    let mut tags = Vec::new();
    for d in found.into_iter().filter_map(Result::ok).flatten() {
        // Its pixel centres lie at one half; its corners run the other way round from its own upper right.
        let corners = ORDER.map(|i| Point::new(d.corners[i][0] - 0.5, d.corners[i][1] - 0.5));
        if corners.iter().all(|c| c.is_finite()) {
            tags.push(Tag { number: d.id, corners });
        }
    }
    tags
}

/// Which of the detector's corners is the printed top-left, top-right, bottom-right, bottom-left (measured on pictures with known corners).
const ORDER: [usize; 4] = [0, 1, 2, 3];
