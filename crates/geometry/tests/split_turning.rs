//! Parts that can be turned behind the opening, seams moved by hand, and what a seam does not keep to.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::allow_attributes, reason = "a test may stop")]

mod common;

use coldwright_geometry::{
    Layer, Opening, Point, Room, Seam, SeamFault, SeamStyle, SplitRules, TurnLimit, Vec2, depth_to_turn,
    layers, seam_end_moved, seam_faults, seam_moved, split, split_by,
};
use common::{polygon, wall};
use proptest::prelude::*;

fn layer(points: &[(f64, f64)], thickness: f64) -> Layer {
    layers(&wall(polygon(points, &[0.0]), 0.0, &[thickness])).unwrap().layers.remove(0)
}

fn board(w: f64, h: f64, thickness: f64) -> Layer {
    layer(&[(0., 0.), (w, 0.), (w, h), (0., h)], thickness)
}

fn seam(from: (f64, f64), to: (f64, f64)) -> Seam {
    Seam { from: from.into(), to: to.into(), style: SeamStyle::Butt }
}

#[test]
fn a_long_bar_behind_a_thin_counter_is_as_long_as_the_sum_says() {
    // d = ℓ t / s for a long bar (`depth_to_turn`): 25 mm foam 300 wide in a 310 × 200 opening has 200 mm beside it, so 100 mm of depth
    // turn 100 · 200 / 25 = 800 mm.
    let opening = Opening::Rect { w: 310.0, h: 200.0 };
    let limit = TurnLimit::new(opening, 25.0, Room { depth: 100.0, wall: 0.0 }).unwrap();
    assert!((opening.widest_slot(300.0) - 200.0).abs() < 1e-6);
    assert!((limit.longest(300.0) - 800.0).abs() < 0.1, "{}", limit.longest(300.0));
    assert!(limit.allows(300.0, 799.0) && !limit.allows(300.0, 801.0));
    // The widest of that length is at least as wide, and is allowed.
    let (long, wide) = (limit.longest(120.0), limit.widest(limit.longest(120.0)));
    assert!(wide >= 119.9 && limit.allows(wide, long), "{wide}");
    // No depth at all turns nothing.
    let none = TurnLimit::new(opening, 25.0, Room { depth: 0.0, wall: 0.0 }).unwrap();
    assert!(none.longest(100.0) <= 0.0 && !none.allows(100.0, 100.0));
}

#[test]
fn a_seam_moved_as_a_whole_ends_at_the_rim_again() {
    // A trapezium: 900 at the foot, 500 at the top, 400 high.
    let foam = layer(&[(0., 0.), (900., 0.), (700., 400.), (200., 400.)], 25.0);
    let level = seam((100.0, 200.0), (800.0, 200.0));
    let moved = seam_moved(&foam, &level, Vec2::new(0.0, 100.0));
    assert!((moved.from - Point::new(150.0, 300.0)).hypot() < 1e-3, "{moved:?}");
    assert!((moved.to - Point::new(750.0, 300.0)).hypot() < 1e-3, "{moved:?}");
    assert_eq!(split_by(&foam, &[moved], 0.0).unwrap().len(), 2);
    // An end at another seam, well inside the foam, only goes along.
    let cross = seam((400.0, 0.0), (400.0, 200.0));
    let moved = seam_moved(&foam, &cross, Vec2::new(50.0, 0.0));
    assert!(
        (moved.from - Point::new(450.0, 0.0)).hypot() < 1e-3
            && (moved.to - Point::new(450.0, 200.0)).hypot() < 1e-3
    );
    // An end let go near the rim lands on it, farther in it stays where it was put.
    let near = seam_end_moved(&foam, &cross, false, Point::new(430.0, 391.0), 12.0);
    assert!((near.to.y - 400.0).abs() < 1e-3, "{near:?}");
    let far = seam_end_moved(&foam, &cross, false, Point::new(430.0, 360.0), 12.0);
    assert!((far.to - Point::new(430.0, 360.0)).hypot() < 1e-9, "{far:?}");
}

#[test]
fn a_seam_is_told_what_it_does_not_keep_to() {
    let foam = board(900.0, 500.0, 25.0);
    let rules = SplitRules { stagger: 60.0, clear: 40.0, ..SplitRules::default() };
    let found = |x: f64, others: &[Seam]| seam_faults(&foam, &rules, others, &seam((x, -90.0), (x, 590.0)));
    assert!(found(450.0, &[seam((389.0, 0.0), (389.0, 500.0))]).is_empty());
    let near = found(450.0, &[seam((391.0, 0.0), (391.0, 500.0))]);
    assert!(
        matches!(near.as_slice(), [SeamFault::Stagger { distance }] if (distance - 59.0).abs() < 1e-9),
        "{near:?}"
    );
    let corner = found(870.0, &[]);
    assert!(
        matches!(corner.as_slice(), [SeamFault::Corner { distance, .. }] if (distance - 30.0).abs() < 1e-6),
        "{corner:?}"
    );
    // What the search finds is never told: it keeps all distances.
    let seams =
        split(&foam, &SplitRules { widest: 400.0, ..rules }, &[seam((0.0, 250.0), (900.0, 250.0))]).unwrap();
    assert!(!seams.is_empty());
    for s in &seams {
        assert!(seam_faults(&foam, &rules, &[seam((0.0, 250.0), (900.0, 250.0))], s).is_empty(), "{s:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// The lengths known beforehand decide as the sum itself does.
    #[test]
    fn what_is_allowed_is_what_the_sum_allows(
        w in 150.0..500.0_f64, h in 120.0..500.0_f64, t in 8.0..60.0_f64, depth in 20.0..900.0_f64,
        share in 0.05..1.0_f64, length in 50.0..3000.0_f64,
    ) {
        let opening = Opening::Rect { w, h };
        let limit = TurnLimit::new(opening, t, Room { depth, wall: 0.0 }).unwrap();
        let width = share * opening.widest_slot(t);
        prop_assume!(width > 1.0);
        let needs = depth_to_turn(length, t, opening.widest_slot(width).max(t), 0.0).unwrap();
        if needs <= depth - 0.05 {
            prop_assert!(limit.allows(width, length), "needs {needs} of {depth}");
        } else if needs > depth + 0.05 {
            prop_assert!(!limit.allows(width, length), "needs {needs} of {depth}");
        }
    }

    /// Parts cut for the turning room go through the opening and turn behind it.
    #[test]
    fn every_part_can_be_turned(
        w in 600.0..1800.0_f64, h in 250.0..700.0_f64, t in 15.0..40.0_f64, hole in (250.0..450.0_f64, 180.0..350.0_f64),
        depth in 80.0..600.0_f64,
    ) {
        let opening = Opening::Rect { w: hole.0, h: hole.1 };
        let room = Room { depth, wall: 0.0 };
        let foam = board(w, h, t);
        let rules = SplitRules {
            widest: opening.widest_slot(t),
            turning: Some(TurnLimit::new(opening, t, room).unwrap()),
            ..SplitRules::default()
        };
        let Ok(seams) = split(&foam, &rules, &[]) else { return Ok(()) };
        let parts = split_by(&foam, &seams, 0.0).unwrap();
        for part in &parts {
            let passage = part.layer.passage(&opening, Some(room)).unwrap();
            prop_assert!(passage.clearance >= -0.01, "{passage:?}");
            prop_assert!(passage.turning.is_some_and(|x| x.clearance() >= -0.02), "{passage:?}");
        }
        // Whole where it can stay whole.
        let whole = foam.passage(&opening, Some(room)).unwrap();
        if whole.clearance > 0.01 && whole.turning.is_some_and(|x| x.clearance() > 0.02) {
            prop_assert!(seams.is_empty());
        }
    }
}
