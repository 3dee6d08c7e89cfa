//! Cuts that bring a sheet to the saw: made again on paper, no piece is touched and every part fits the throat.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

use coldwright_nesting::{Cut, breakdown};
use kurbo::{Point, Rect};
use proptest::prelude::*;

fn ring(r: Rect) -> Vec<Point> {
    vec![Point::new(r.x0, r.y0), Point::new(r.x1, r.y0), Point::new(r.x1, r.y1), Point::new(r.x0, r.y1)]
}

/// Makes the cuts one after the other; panics when one crosses a piece or does not go across one part.
fn parts(sheet: Rect, pieces: &[Rect], kerf: f64, cuts: &[Cut]) -> Vec<Rect> {
    let mut parts = vec![sheet];
    for c in cuts {
        let k = parts.iter().position(|p| p == &c.part).expect("a part that is there");
        let p = parts.remove(k);
        let h = 0.5 * kerf;
        if c.from.x == c.to.x {
            assert!((c.from.y, c.to.y) == (p.y0, p.y1), "across");
            assert!(pieces.iter().all(|b| b.x1 <= c.from.x - h + 1e-6
                || b.x0 >= c.from.x + h - 1e-6
                || b.y1 <= p.y0
                || b.y0 >= p.y1));
            parts.extend([Rect { x1: c.from.x - h, ..p }, Rect { x0: c.from.x + h, ..p }]);
        } else {
            assert!((c.from.x, c.to.x) == (p.x0, p.x1) && c.from.y == c.to.y, "across");
            assert!(pieces.iter().all(|b| b.y1 <= c.from.y - h + 1e-6
                || b.y0 >= c.from.y + h - 1e-6
                || b.x1 <= p.x0
                || b.x0 >= p.x1));
            parts.extend([Rect { y1: c.from.y - h, ..p }, Rect { y0: c.from.y + h, ..p }]);
        }
    }
    parts
}

fn sound(sheet: Rect, pieces: &[Rect], kerf: f64, throat: f64, cuts: &[Cut]) {
    for p in parts(sheet, pieces, kerf, cuts) {
        let used = pieces.iter().any(|b| p.contains(b.center()));
        assert!(!used || p.width().min(p.height()) <= throat + 1e-6, "{p:?}");
    }
}

fn asked(sheet: Rect, pieces: &[Rect], kerf: f64, throat: f64) -> Option<Vec<Cut>> {
    let rings: Vec<Vec<Point>> = pieces.iter().map(|r| ring(*r)).collect();
    breakdown((sheet.x1, sheet.y1), &rings, kerf, throat)
}

#[test]
fn known_layouts() {
    let sheet = Rect::new(0.0, 0.0, 1200.0, 1200.0);
    let r = Rect::new;
    // Does as it is, with and without pieces.
    assert_eq!(asked(sheet, &[], 3.0, 300.0), Some(vec![]));
    assert_eq!(asked(sheet, &[r(0., 0., 900., 900.)], 3.0, 1200.0), Some(vec![]));
    // One piece: the offcut beside it brings it under the throat.
    let one = [r(0., 0., 500., 900.)];
    let cuts = asked(sheet, &one, 3.0, 510.0).unwrap();
    assert_eq!(cuts.len(), 1);
    sound(sheet, &one, 3.0, 510.0, &cuts);
    // A pinwheel: every straight line across meets a piece.
    let wheel = [
        r(0., 0., 797., 397.),
        r(800., 0., 1200., 797.),
        r(403., 800., 1200., 1200.),
        r(0., 400., 400., 1200.),
    ];
    assert_eq!(asked(sheet, &wheel, 3.0, 600.0), None);
    // Closer than the kerf: no cut between.
    let close = [r(0., 0., 600., 1200.), r(602., 0., 1200., 1200.)];
    assert_eq!(asked(sheet, &close, 3.0, 700.0), None);
    assert_eq!(asked(sheet, &close, 2.0, 700.0).unwrap().len(), 1);
    // Two levels: first all across, then each half; three cuts are the fewest for four 590 mm squares and a 590 throat, one
    // already gives strips for a 600 throat.
    let four = [
        r(0., 0., 590., 590.),
        r(610., 0., 1200., 590.),
        r(0., 610., 590., 1200.),
        r(610., 610., 1200., 1200.),
    ];
    let cuts = asked(sheet, &four, 3.0, 600.0).unwrap();
    assert_eq!(cuts.len(), 1);
    assert!((cuts[0].length() - 1200.0).abs() < 1e-9);
    assert_eq!(asked(sheet, &four, 3.0, 500.0), None);
    for bad in [f64::NAN, -1.0, f64::INFINITY] {
        assert_eq!(asked(sheet, &four, bad, 600.0), None);
        assert_eq!(asked(sheet, &four, 3.0, bad), None);
    }
}

/// Cuts a rectangle at random, `depth` times over, and shrinks the rest to pieces.
fn pieces(r: Rect, dice: &mut dyn FnMut() -> f64, depth: u32, out: &mut Vec<Rect>) {
    let long = r.width().max(r.height());
    if depth == 0 || long < 260.0 {
        let p = r.inset(-2.0);
        if dice() < 0.9 && p.width() > 5.0 && p.height() > 5.0 {
            out.push(p);
        }
        return;
    }
    let at = 0.3 + 0.4 * dice();
    let (a, b) = if r.width() > r.height() {
        let x = r.x0 + at * r.width();
        (Rect { x1: x, ..r }, Rect { x0: x, ..r })
    } else {
        let y = r.y0 + at * r.height();
        (Rect { y1: y, ..r }, Rect { y0: y, ..r })
    };
    pieces(a, dice, depth - 1, out);
    pieces(b, dice, depth - 1, out);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]
    #[test]
    fn sheets_that_can_be_broken_down_are(seed in 1_u64.., depth in 1_u32..6, throat in 200.0..900.0_f64) {
        let mut s = seed;
        let mut dice = || {
            s ^= s << 13;
            s ^= s >> 7;
            s ^= s << 17;
            (s >> 11) as f64 / (1_u64 << 53) as f64
        };
        let sheet = Rect::new(0.0, 0.0, 1219.2, 2438.4);
        let mut all = Vec::new();
        pieces(sheet, &mut dice, depth, &mut all);
        // Made by cuts, so cuts exist that free every piece; the throat must take the largest.
        let needs = all.iter().map(|r| r.width().min(r.height())).fold(0.0, f64::max) + 4.0;
        let throat = throat.max(needs);
        let cuts = asked(sheet, &all, 3.0, throat);
        prop_assert!(cuts.is_some());
        sound(sheet, &all, 3.0, throat, &cuts.unwrap());
    }
}
