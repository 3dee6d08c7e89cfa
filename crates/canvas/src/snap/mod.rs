//! A click moved onto the corner or edge it was meant for.
//!
//! The neighbourhood is put back into linear light (IEC 61966-2-1), where an edge blurred by a lens keeps its place. Edge points are the ridges of the
//! gradient (J. Canny, "A computational approach to edge detection", IEEE Transactions on Pattern Analysis 8 (1986)), to a part of a pixel;
//! straight edges are voted for by their direction and offset (R. Duda and P. Hart, "Use of the Hough transformation to detect lines and curves in
//! pictures", Communications of the ACM 15 (1972)) and fitted by least squares. A corner is where two of them cross, both seen right up to it.

mod arms;
mod lines;

use kurbo::{Point, Vec2};

use arms::{arm, beside, first_step};
use lines::{Line, edge_points, lines};

use crate::picture::{LumaPlane, Picture};

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
/// How much of an edge, from its corner on, must be seen, pixels.
const SEEN_PX: f64 = 7.0;
/// How far an edge may seem to go on beyond its corner, pixels: blur rounds it off.
const RUNS_ON_PX: f64 = 4.0;
/// A second corner with this share of the best one's score makes the choice unsure.
const RIVAL: f64 = 0.6;
/// How far an edge may be moved to the first clear step, pixels; farther, it is another edge's business.
const MOST_INWARD_PX: f64 = 2.5;

/// Moves a click onto the corner it was meant for within `radius_px`, or onto an edge, or leaves it alone.
///
/// A proposal to be shown, not a silent answer: on rendered photographs of laths, from clicks up to 8 px off, two thirds of the corners are taken, half
/// of those to 0.35 px and nine in ten to 2.2 px; the rest sit on a neighbouring corner (a lath's foot, a shadow).
///
/// Radii of 6 to 40 pixels make sense; others are brought into that range. Where two corners are almost as likely, the
/// click is left alone or goes to the edge.
pub fn snap(picture: &Picture, px: Point, radius_px: f64) -> Snap {
    let nothing = Snap { px, sd_px: f64::INFINITY, kind: SnapKind::Nothing, contrast: 0.0 };
    if !(px.is_finite() && radius_px.is_finite()) {
        return nothing;
    }
    let radius = radius_px.clamp(6.0, 40.0);
    let Some(points) = edge_points(picture.luma(), px, radius + 12.0) else { return nothing };
    let lines = lines(&points, px);
    let best_seen = lines.iter().map(|l| l.contrast).fold(0.0, f64::max);
    if let Some(corner) = corner(picture.luma(), &lines, px, radius) {
        return corner;
    }
    edge(&lines, px, radius).unwrap_or(Snap { contrast: best_seen, ..nothing })
}

/// The outward corner of one even surface: two edges that end there, with the same light inside along both. Edges that run on belong to laths or
/// shadows crossing; different light inside means a top edge was paired with a bottom one.
fn corner(luma: &LumaPlane, lines: &[Line], click: Point, radius: f64) -> Option<Snap> {
    let mut found: Vec<(f64, Snap)> = Vec::new();
    for (i, a) in lines.iter().enumerate() {
        for b in lines.iter().take(i) {
            let cross = a.normal.cross(b.normal);
            let contrast = a.contrast.min(b.contrast);
            // Below 25 degrees the crossing slides along the edges.
            if cross.abs() < 0.42 || contrast < LEAST_CONTRAST || a.scatter.max(b.scatter) > 0.45 {
                continue;
            }
            let at = Vec2::new(
                (a.offset * b.normal.y - b.offset * a.normal.y) / cross,
                (b.offset * a.normal.x - a.offset * b.normal.x) / cross,
            );
            let far = at.hypot();
            if far > radius {
                continue;
            }
            let (ra, rb) = (arm(a, at), arm(b, at));
            if ra.reach.min(rb.reach) < SEEN_PX || ra.beyond.max(rb.beyond) > RUNS_ON_PX {
                continue;
            }
            let (Some(da), Some(db)) =
                (first_step(luma, click + at, &ra, rb.way), first_step(luma, click + at, &rb, ra.way))
            else {
                continue;
            };
            if da.abs().max(db.abs()) > MOST_INWARD_PX {
                continue;
            }
            let moved =
                |l: &Line, inward: Vec2, d: f64| l.offset + if l.normal.dot(inward) >= 0.0 { d } else { -d };
            let (oa, ob) = (moved(a, rb.way, da), moved(b, ra.way, db));
            let at = Vec2::new(
                (oa * b.normal.y - ob * a.normal.y) / cross,
                (ob * a.normal.x - oa * b.normal.x) / cross,
            );
            let px = click + at;
            let inside = (beside(luma, px, &ra, rb.way), beside(luma, px, &rb, ra.way));
            let (Some((la, sa)), Some((lb, sb))) = inside else { continue };
            let apart = (la - lb).abs();
            if apart > 0.25 * contrast + 0.08 * la.max(lb) || sa.max(sb) > 0.5 * contrast {
                continue;
            }
            let sd = |l: &Line| l.scatter.max(0.08) / (l.along.len() as f64 / 4.0).max(1.0).sqrt();
            let sd_px = sd(a).hypot(sd(b)) / cross.abs();
            let score = contrast.min(0.3).sqrt() * (ra.reach.min(rb.reach) / 20.0).min(1.0)
                / (1.0 + (far / (0.5 * radius)).powi(2))
                * (1.0 - 2.0 * apart / (contrast + la.max(lb)));
            found.push((score, Snap { px, sd_px, kind: SnapKind::Corner, contrast }));
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (score, best) = *found.first()?;
    // Two corners almost as likely: the person decides.
    let rival = found.iter().any(|f| f.0 > RIVAL * score && f.1.px.distance(best.px) > 1.2);
    (!rival).then_some(best)
}

fn edge(lines: &[Line], click: Point, radius: f64) -> Option<Snap> {
    lines
        .iter()
        .filter(|l| l.contrast >= LEAST_CONTRAST && l.scatter < 0.45 && l.offset.abs() <= radius)
        .filter(|l| l.reach(0.0, 1.0).max(l.reach(0.0, -1.0)) >= 2.0 * SEEN_PX)
        .min_by(|a, b| a.offset.abs().total_cmp(&b.offset.abs()))
        .map(|l| Snap {
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
