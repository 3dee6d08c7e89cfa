//! A click moved onto the corner or edge it was meant for.
//!
//! The neighbourhood is put back into linear light (IEC 61966-2-1), where an edge blurred by a lens keeps its place. Edge points are the ridges of the
//! gradient (J. Canny, "A computational approach to edge detection", IEEE Transactions on Pattern Analysis 8 (1986)), to a part of a pixel;
//! straight edges are voted for by their direction and offset (R. Duda and P. Hart, "Use of the Hough transformation to detect lines and curves in
//! pictures", Communications of the ACM 15 (1972)) and fitted by least squares. A corner is where two of them cross, both seen right up to it.

mod arms;
mod lines;
mod patch;
mod step;

use kurbo::{Point, Vec2};

use arms::{Arm, arm};
use lines::{Line, lines};
use patch::{Patch, apart};
use step::Step;

use crate::error::CanvasError;
use crate::picture::Picture;
use crate::plane::PlaneSolve;

/// What a click was moved onto.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SnapKind {
    /// The crossing of two straight edges, such as a stick's end with its side.
    Corner,
    /// The nearest place of one straight edge.
    Edge,
    /// Nothing clear enough: the click is left alone.
    Nothing,
}

/// A click after snapping.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Snap {
    /// The place, pixels; the click itself when there was nothing to snap to.
    pub px: Point,
    /// Standard uncertainty of each coordinate, pixels; for an edge, across it. Infinite when nothing was found.
    pub sd_px: f64,
    /// What was found.
    pub kind: SnapKind,
    /// Contrast of the fainter edge, share of white in linear light, 0 to 1; when nothing was found, of the best edge seen.
    pub contrast: f64,
}

/// Least contrast of an edge worth snapping to, in linear light.
const LEAST_CONTRAST: f64 = 0.02;
/// And of the fainter edge of a corner: below this, grain and shadows are taken for edges too often.
const CORNER_CONTRAST: f64 = 0.1;
/// Least mean square that an edge elsewhere must leave, against that of the edge taken. Below this one corner in eight was more than a pixel off.
const LEAST_DOUBT: f64 = 1.6;
/// Greatest scatter of an edge of a corner about its line, pixels. With 0.45 eight of 232 clicks more were left alone, all within a pixel of the truth.
const MOST_SCATTER_PX: f64 = 0.6;
/// Greatest uncertainty of a corner: a flat one slides along its edges. With 0.3 five of 376 clicks more were left alone, four of them within a pixel
/// of the truth.
const CORNER_SD_PX: f64 = 0.5;
/// How much of an edge, from its corner on, must be seen, pixels.
const SEEN_PX: f64 = 7.0;
/// How far an edge may seem to go on beyond its corner, pixels: blur rounds it off.
const RUNS_ON_PX: f64 = 4.0;
/// How far an edge must go on both ways to be snapped to as such, pixels: a click near its end was meant for the corner.
const EDGE_SEEN_PX: f64 = 10.0;
/// A second corner with this share of the best one's score makes the choice unsure.
const RIVAL: f64 = 0.6;
/// How far an edge may be moved to the top's own, pixels; farther, it is another edge's business.
const MOST_MOVED_PX: f64 = 2.5;
/// Beyond the radius: how much of the edges is taken into account, pixels.
const AROUND_PX: f64 = 24.0;

/// Moves a click onto the corner it was meant for within `radius_px`, or onto an edge, or leaves it alone.
///
/// A proposal to be shown, not a silent answer. Radii of 6 to 40 pixels make sense; others are brought into that range. Where two corners are almost
/// as likely, the click is left alone or goes to the edge. Where the plane is solved, [`snap_on_plane`] knows more.
pub fn snap(picture: &Picture, px: Point, radius_px: f64) -> Snap {
    snap_leaning(picture, px, radius_px, None)
}

/// Like [`snap`], knowing the camera: a stick's top edge and its foot are told apart by where the foot of a point `height_mm` above the floor must be
/// seen from it. The corner or edge given is always that of the top.
///
/// # Errors
/// A photo that was not solved, a height that is not finite, or a pixel that looks past the plane.
pub fn snap_on_plane(
    picture: &Picture,
    solved: &PlaneSolve,
    photo: usize,
    px: Point,
    radius_px: f64,
    height_mm: f64,
) -> Result<Snap, CanvasError> {
    let at = solved.to_plane(photo, px, height_mm)?;
    let foot = solved.to_pixel(photo, at, 0.0)? - px;
    Ok(snap_leaning(picture, px, radius_px, Some(foot)))
}

fn snap_leaning(picture: &Picture, px: Point, radius_px: f64, foot: Option<Vec2>) -> Snap {
    let nothing = Snap { px, sd_px: f64::INFINITY, kind: SnapKind::Nothing, contrast: 0.0 };
    if !(px.is_finite() && radius_px.is_finite()) {
        return nothing;
    }
    let radius = radius_px.clamp(6.0, 40.0);
    let window = [AROUND_PX, 12.0].iter().find_map(|a| Patch::new(picture, px, radius + a));
    let Some(patch) = window else { return nothing };
    let lines = lines(&patch.edge_points(), px);
    let best_seen = lines.iter().map(|l| l.contrast).fold(0.0, f64::max);
    if let Some(corner) = corner(&patch, &lines, px, radius, foot) {
        return corner;
    }
    edge(&lines, px, radius, foot).unwrap_or(Snap { contrast: best_seen, ..nothing })
}

/// The outward corner of one even surface: two edges that end there, with the same light inside along both. Edges that run on belong to laths or
/// shadows crossing; different light inside means a top edge was paired with a bottom one.
fn corner(patch: &Patch, lines: &[Line], click: Point, radius: f64, foot: Option<Vec2>) -> Option<Snap> {
    let mut found: Vec<(f64, f64, Snap)> = Vec::new();
    for (i, a) in lines.iter().enumerate() {
        for b in lines.iter().take(i) {
            let cross = a.normal.cross(b.normal);
            // Below 20 degrees the crossing slides along the edges.
            if cross.abs() < 0.34
                || a.contrast.min(b.contrast) < LEAST_CONTRAST
                || a.scatter.max(b.scatter) > MOST_SCATTER_PX
            {
                continue;
            }
            let at = Vec2::new(
                (a.offset * b.normal.y - b.offset * a.normal.y) / cross,
                (b.offset * a.normal.x - a.offset * b.normal.x) / cross,
            );
            if at.hypot() > radius + MOST_MOVED_PX {
                continue;
            }
            let (ra, rb) = (arm(a, at), arm(b, at));
            if ra.reach.min(rb.reach) < SEEN_PX || ra.beyond.max(rb.beyond) > RUNS_ON_PX {
                continue;
            }
            let turn = ra.way.dot(rb.way).clamp(-1.0, 1.0).acos();
            let step = |arm: &Arm<'_>, other: Vec2| {
                let n = arm.line.normal;
                let outward = if n.dot(other) > 0.0 { -n } else { n };
                let side = foot.map_or(0.0, |f| f.dot(outward).max(0.0));
                let inward = MOST_MOVED_PX.max(if side > 0.6 { side + 1.0 } else { 0.0 });
                let s = step::fit(patch, click + at, arm, outward, turn, side, (inward, 1.5))?;
                Some((at + outward * s.offset, arm.way + outward * s.slope, s))
            };
            let (Some((pa, wa, sa)), Some((pb, wb, sb))) = (step(&ra, rb.way), step(&rb, ra.way)) else {
                continue;
            };
            let at = pa + wa * ((pb - pa).cross(wb) / wa.cross(wb));
            let far = at.hypot();
            if far > radius {
                continue;
            }
            let px = click + at;
            let Some((deep, grain)) = step::deep(patch, px, ra.way, rb.way) else { continue };
            let contrast = apart(sa.inside, sa.outside).min(apart(sb.inside, sb.outside));
            let uneven = apart(sa.inside, sb.inside).max(apart(sa.inside, deep)).max(apart(sb.inside, deep));
            let bright = deep.iter().sum::<f64>() / 3.0;
            if contrast < CORNER_CONTRAST
                || uneven > 0.25 * contrast + 0.08 * bright
                || grain > 0.5 * contrast + 0.04 * bright
            {
                continue;
            }
            let sd = |l: &Line, s: &Step| {
                (l.scatter.max(0.1) / (l.along.len() as f64 / 4.0).max(1.0).sqrt())
                    .hypot(0.5 * s.scatter / contrast)
            };
            let sd_px = sd(a, &sa).hypot(sd(b, &sb)) / cross.abs();
            if sd_px > CORNER_SD_PX {
                continue;
            }
            let score = contrast.min(0.3).sqrt()
                * (ra.reach.min(rb.reach) / 20.0).min(1.0)
                * (-(far / (0.6 * radius)).powi(2)).exp()
                * (1.0 - 2.0 * uneven / (contrast + 2.0 * bright)).max(0.05);
            found.push((score, sa.doubt.min(sb.doubt), Snap { px, sd_px, kind: SnapKind::Corner, contrast }));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (score, doubt, best) = *found.first()?;
    // Two corners almost as likely, or an edge that might as well lie elsewhere: the person decides.
    let rival = found.iter().any(|f| f.0 > RIVAL * score && f.2.px.distance(best.px) > 1.2);
    let nothing = Snap { px: click, sd_px: f64::INFINITY, kind: SnapKind::Nothing, contrast: best.contrast };
    Some(if rival || doubt < LEAST_DOUBT { nothing } else { best })
}

/// The nearest edge that runs on both ways; with the camera known, the top's where the nearest is its foot.
fn edge(lines: &[Line], click: Point, radius: f64, foot: Option<Vec2>) -> Option<Snap> {
    let clear = |l: &&Line| l.contrast >= LEAST_CONTRAST && l.scatter < 0.45 && l.offset.abs() <= radius;
    let nearest = lines
        .iter()
        .filter(clear)
        .filter(|l| l.reach(0.0, 1.0).min(l.reach(0.0, -1.0)) >= EDGE_SEEN_PX)
        .min_by(|a, b| a.offset.abs().total_cmp(&b.offset.abs()))?;
    let top = foot.and_then(|foot| {
        lines.iter().filter(clear).find(|l| {
            let same = l.normal.dot(nearest.normal);
            [1.0, 0.5, 1.0 / 3.0].iter().any(|share| {
                let side = share * foot.dot(nearest.normal);
                side.abs() > 1.5
                    && same.abs() > 0.99
                    && (l.offset * same.signum() + side - nearest.offset).abs() < 0.8
            })
        })
    });
    let l = top.unwrap_or(nearest);
    Some(Snap {
        px: click + l.normal * l.offset,
        sd_px: l.scatter.max(0.08) / (l.along.len() as f64 / 4.0).max(1.0).sqrt(),
        kind: SnapKind::Edge,
        contrast: l.contrast,
    })
}

#[cfg(test)]
mod tests {
    use super::lines::smooth;
    use super::*;
    use crate::facts::PhotoFacts;

    /// A picture of a rule that gives linear light at a place, averaged over each pixel and blurred, in sRGB coding.
    fn drawn(rule: impl Fn(f64, f64) -> f64) -> Picture {
        let (w, h) = (120usize, 120usize);
        let mut light = Vec::with_capacity(w * h);
        for y in 0..h {
            for x in 0..w {
                let mut sum = 0.0;
                for k in 0..64 {
                    let (dx, dy) = (f64::from(k % 8), f64::from(k / 8));
                    sum += rule(x as f64 + (dx - 3.5) / 8.0, y as f64 + (dy - 3.5) / 8.0);
                }
                light.push(sum / 64.0);
            }
        }
        smooth(&mut light, w);
        let rgb = light
            .iter()
            .flat_map(|l| {
                let v = if *l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 };
                [(v * 255.0).round() as u8; 3]
            })
            .collect();
        Picture::from_rgb(w as u32, h as u32, rgb, PhotoFacts::default()).unwrap()
    }

    /// A lath with its end at `tip`, leaving to the lower left at an angle, 26 px wide.
    fn lath(tip: Point, angle: f64, light: f64, floor: f64) -> Picture {
        let (s, c) = angle.sin_cos();
        drawn(move |x, y| {
            let (dx, dy) = (x - tip.x, y - tip.y);
            let (u, v) = (c * dx + s * dy, -s * dx + c * dy);
            if u < 0.0 && (0.0..26.0).contains(&v) { light } else { floor }
        })
    }

    #[test]
    fn a_click_near_a_lath_corner_goes_onto_it() {
        let tip = Point::new(60.3, 51.8);
        for angle in [0.0f64, 0.4, 1.1, 2.0, 3.3, 5.2] {
            for (light, floor) in [(0.5, 0.1), (0.15, 0.4)] {
                let picture = lath(tip, angle, light, floor);
                for k in 0..6 {
                    let click = tip + Vec2::from_angle(f64::from(k)) * (1.0 + f64::from(k));
                    let snap = snap(&picture, click, 14.0);
                    assert_eq!(
                        snap.kind,
                        SnapKind::Corner,
                        "angle {angle} light {light} click {k}: {snap:?}"
                    );
                    assert!(
                        snap.px.distance(tip) < 0.2,
                        "angle {angle} light {light}: off by {}",
                        snap.px.distance(tip)
                    );
                    assert!(
                        (snap.contrast - (light - floor).abs()).abs() < 0.35 * (light - floor).abs(),
                        "{snap:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn low_contrast_leaves_the_click_alone_and_says_so() {
        let picture = lath(Point::new(60.3, 51.8), 0.3, 0.200, 0.206);
        let click = Point::new(62.0, 50.0);
        let snap = snap(&picture, click, 14.0);
        assert_eq!((snap.kind, snap.px), (SnapKind::Nothing, click));
        assert!(snap.contrast < LEAST_CONTRAST && snap.sd_px.is_infinite());
    }

    #[test]
    fn one_straight_edge_takes_the_nearest_place() {
        let picture = drawn(|x, y| if 0.6 * x + 0.8 * y < 80.25 { 0.1 } else { 0.5 });
        let snap = snap(&picture, Point::new(58.0, 52.0), 12.0);
        assert_eq!(snap.kind, SnapKind::Edge);
        assert!((0.6 * snap.px.x + 0.8 * snap.px.y - 80.25).abs() < 0.05, "{snap:?}");
    }

    #[test]
    fn an_edge_that_runs_on_is_no_corner() {
        // A lath's side passing under another one: a T, and nobody's corner.
        let picture = drawn(|x, y| {
            if y < 60.2 {
                0.5
            } else if x < 55.4 {
                0.3
            } else {
                0.05
            }
        });
        let snap = snap(&picture, Point::new(57.0, 62.0), 12.0);
        assert_ne!(snap.kind, SnapKind::Corner, "{snap:?}");
    }

    #[test]
    fn clicks_at_the_rim_or_nowhere_are_left_alone() {
        let picture = lath(Point::new(60.0, 50.0), 0.3, 0.5, 0.1);
        for click in
            [Point::new(1.0, 1.0), Point::new(-50.0, 4.0), Point::new(1e9, 0.0), Point::new(f64::NAN, 3.0)]
        {
            assert_eq!(snap(&picture, click, 14.0).kind, SnapKind::Nothing);
        }
    }
}
