//! Ticks measured in the rendered photographs: honest ones are not flagged as off their curve, a slip is.

use crate::common::{measure, number, point, shared};
use crate::scene::Dice;
use coldwright_canvas::{CardKind, Click, Point};
use coldwright_geometry::{Bevel, Edge, EdgeKind, Notice, Outline, Spread, Tick};
use kurbo::Vec2;
use serde_json::Value;

/// Standard uncertainty of a hand's click, pixels.
const CLICK_PX: f64 = 0.7;

fn edge(id: u32, kind: EdgeKind, ticks: Vec<Tick>) -> Edge {
    let bevel = Bevel::constant(0.0).unwrap();
    Edge { id, name: format!("edge {id}"), kind, ticks, bevel, gap: 0.0, smoothing: 0.0 }
}

/// Flagged ticks of a fair edge closed by three straight ones far off.
fn flagged(ticks: &[Tick]) -> Vec<u32> {
    let (first, last) = (ticks[0].at, ticks[ticks.len() - 1].at);
    let chord = (last - first).normalize();
    let left = Vec2::new(-chord.y, chord.x);
    let tick = |id: u32, at: Point| Tick { id, at, spread: Spread::round(0.1) };
    let (a, b) = (first - chord * 20.0, last + chord * 20.0);
    let (c, d) = (tick(901, b + left * 900.0), tick(902, a + left * 900.0));
    let (near_b, near_a) = (tick(900, b + left * 600.0), tick(903, a + left * 600.0));
    let edges = vec![
        edge(1, EdgeKind::Fair, ticks.to_vec()),
        edge(2, EdgeKind::Straight, vec![near_b, c]),
        edge(3, EdgeKind::Straight, vec![c, d]),
        edge(4, EdgeKind::Straight, vec![d, near_a]),
    ];
    let (_, notices) = Outline::new(edges, vec![]).unwrap();
    notices
        .iter()
        .flat_map(|n| match n {
            Notice::TickOffCurve { tick, edge: 1, or, .. } => [&[*tick], or.as_slice()].concat(),
            _ => Vec::new(),
        })
        .collect()
}

/// The ticks on the bent part of a photo's outline, in order, as clicked by a hand.
fn ticks(photo: &std::path::Path, kind: CardKind, dice: &mut Dice) -> Option<Vec<Tick>> {
    let text = std::fs::read_to_string(photo.with_extension("json")).unwrap();
    let truth: Value = serde_json::from_str(&text).unwrap();
    let parts = truth["boundary"]["parts"].as_array().unwrap();
    let bent = parts.iter().find(|p| p["kind"] == "curve")?["name"].clone();
    let line: Vec<Point> = truth["boundary"]["polyline_mm"].as_array().unwrap().iter().map(point).collect();
    let (_, solved) = measure(photo, kind);
    let mut clicks: Vec<(usize, Click)> = Vec::new();
    for tip in truth["template"]["tips"].as_array().unwrap().iter().filter(|t| t["boundary_part"] == bent) {
        for touch in tip["touch"].as_array().unwrap() {
            let at = point(&touch["xy_mm"]);
            let far = |i: &usize| line[*i].distance(at);
            let along = (0..line.len()).min_by(|a, b| far(a).total_cmp(&far(b))).unwrap();
            let px = point(&touch["px_top"]) + Vec2::new(dice.normal(), dice.normal()) * CLICK_PX;
            let height_mm = number(&touch["z_top_mm"]);
            clicks.push((along, Click { photo: 0, px, height_mm, sd_px: CLICK_PX, height_sd_mm: 0.3 }));
        }
    }
    clicks.sort_by_key(|c| c.0);
    let clicks: Vec<Click> = clicks.into_iter().map(|c| c.1).collect();
    let placed = solved.place(&clicks).unwrap();
    let spread = |i: usize| {
        let c = &placed.cov_mm2;
        Spread { xx: c[(2 * i, 2 * i)], xy: c[(2 * i, 2 * i + 1)], yy: c[(2 * i + 1, 2 * i + 1)] }
    };
    Some((0..clicks.len()).map(|i| Tick { id: i as u32, at: placed.points[i], spread: spread(i) }).collect())
}

#[test]
fn honest_ticks_of_the_photos_are_left_alone() {
    let Some(shared) = shared() else { return };
    let mut dice = Dice(31);
    let (mut all, mut flags, mut slips, mut found) = (0, 0, 0, 0);
    for (folder, kind) in
        [("photos", CardKind::Plain { black_edge_mm: 150.0 }), ("photos-checker", CardKind::Printed)]
    {
        let mut photos: Vec<_> = std::fs::read_dir(shared.join(folder))
            .unwrap()
            .filter_map(|e| e.ok().map(|e| e.path()))
            .filter(|p| p.extension().is_some_and(|e| e == "jpg"))
            .collect();
        photos.sort();
        for photo in photos {
            let Some(ticks) = ticks(&photo, kind, &mut dice) else { continue };
            all += ticks.len();
            flags += flagged(&ticks).len();
            for i in 2..ticks.len().saturating_sub(2) {
                for aside in [6.0, -6.0] {
                    let mut wrong = ticks.clone();
                    let way = (ticks[i + 1].at - ticks[i - 1].at).normalize();
                    wrong[i].at += Vec2::new(-way.y, way.x) * aside;
                    slips += 1;
                    found += usize::from(flagged(&wrong).contains(&(i as u32)));
                }
            }
        }
    }
    println!("{flags} of {all} honest ticks flagged; {found} of {slips} slips of 6 mm found");
    assert!(all > 40 && flags * 50 < all, "{flags} of {all}");
    assert!(found * 10 >= slips * 9, "{found} of {slips}");
}
