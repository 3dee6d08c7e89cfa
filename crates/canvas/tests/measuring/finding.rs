//! Cards found in spoiled photographs: covered, shadowed, doubled, foreign, absent.

use crate::common::exact;
use coldwright_canvas::{
    CanvasError, CardKind, CardNote, CardsFound, Homography, Limits, PhotoCards, PhotoFacts, Picture, Point,
    SolveOptions, find_cards, solve, tag_cells,
};

fn demo() -> Picture {
    let path =
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples/photos/demo-hull-side.jpg");
    Picture::decode(&std::fs::read(path).unwrap(), &Limits::default()).unwrap()
}

/// The picture with every pixel changed by a rule of its place and colour.
pub fn changed(picture: &Picture, rule: impl Fn(usize, usize, [u8; 3]) -> [u8; 3]) -> Picture {
    let w = picture.width() as usize;
    let rgb: Vec<u8> = picture
        .rgb()
        .chunks(3)
        .enumerate()
        .flat_map(|(i, p)| rule(i % w, i / w, [p[0], p[1], p[2]]))
        .collect();
    Picture::from_rgb(picture.width(), picture.height(), rgb, picture.facts().clone()).unwrap()
}

/// Largest distance between the same crossings of two findings, and how many there are.
fn worst_move(a: &CardsFound, b: &CardsFound) -> (f64, usize) {
    let (mut worst, mut count) = (0.0f64, 0);
    for card in &b.cards {
        let other = a.cards.iter().find(|c| c.number == card.number).unwrap();
        for c in &card.crossings {
            if let Some(o) = other.crossings.iter().find(|o| o.card_mm == c.card_mm) {
                worst = worst.max(o.px.distance(c.px));
                count += 1;
            }
        }
    }
    (worst, count)
}

#[test]
fn a_covered_corner_costs_only_its_own_crossings() {
    let picture = demo();
    let clear = find_cards(&picture, CardKind::Printed);
    assert_eq!(clear.cards.iter().map(|c| c.crossings.len()).collect::<Vec<_>>(), [32; 5]);
    assert!(clear.notes.is_empty());
    let card = &clear.cards[2];
    let spot = card.crossings[31].px;
    let covered = changed(&picture, |x, y, px| {
        let near = Point::new(x as f64, y as f64).distance(spot) < 90.0;
        if near { [171, 140, 96] } else { px }
    });
    let found = find_cards(&covered, CardKind::Printed);
    let (worst, count) = worst_move(&clear, &found);
    let left = found.cards.iter().find(|c| c.number == card.number).unwrap().crossings.len();
    assert!((16..32).contains(&left), "{left} crossings left");
    assert!(worst < 0.12 && count > 140, "a crossing beside the cover moved by {worst} px");
    assert!(found.notes.contains(&CardNote::PartlyCovered { number: card.number, used: left, of: 32 }));
}

#[test]
fn a_shadow_edge_over_the_cards_does_no_harm() {
    let picture = demo();
    let clear = find_cards(&picture, CardKind::Printed);
    let w = picture.width() as usize;
    // A hard diagonal edge, 40 % of the light behind it (encoded value about two thirds).
    let shadowed =
        changed(
            &picture,
            |x, y, px| if x + 2 * y > w { px.map(|v| (f64::from(v) * 0.66) as u8) } else { px },
        );
    let found = find_cards(&shadowed, CardKind::Printed);
    let (worst, count) = worst_move(&clear, &found);
    assert!(count > 130 && worst < 0.2, "{count} crossings, worst moved by {worst} px");
    let solved = solve(&[PhotoCards::new(&shadowed, &found)], &SolveOptions::default()).unwrap();
    let before = solve(&[PhotoCards::new(&picture, &clear)], &SolveOptions::default()).unwrap();
    let ends = [exact(0, Point::new(900.0, 800.0), 5.0), exact(0, Point::new(2200.0, 1500.0), 5.0)];
    let d = |s: &coldwright_canvas::PlaneSolve| {
        let p = s.place(&ends).unwrap().points;
        p[0].distance(p[1])
    };
    assert!((d(&solved) - d(&before)).abs() < 0.1, "{} {}", d(&solved), d(&before));
}

#[test]
fn dim_and_faint_photos_are_still_measured() {
    let picture = demo();
    let clear = find_cards(&picture, CardKind::Printed);
    let dim = changed(&picture, |_, _, px| px.map(|v| 10 + v / 4));
    let (worst, count) = worst_move(&clear, &find_cards(&dim, CardKind::Printed));
    assert!(count >= 150 && worst < 0.2, "{count} crossings, worst moved by {worst} px");
}

#[test]
fn a_number_seen_twice_is_left_out_with_a_note() {
    let picture = demo();
    let clear = find_cards(&picture, CardKind::Printed);
    let card = &clear.cards[1];
    let xs = card.corners_px.map(|c| c.x);
    let ys = card.corners_px.map(|c| c.y);
    let (x0, x1) =
        (xs.iter().copied().fold(f64::MAX, f64::min) - 30.0, xs.iter().copied().fold(0.0, f64::max) + 30.0);
    let (y0, y1) =
        (ys.iter().copied().fold(f64::MAX, f64::min) - 30.0, ys.iter().copied().fold(0.0, f64::max) + 30.0);
    // A copy of its tag, put on the middle of the floor.
    let (dx, dy) = (1500.0 - x0, 1000.0 - y0);
    let w = picture.width() as usize;
    let source = picture.rgb().to_vec();
    let doubled = changed(&picture, |x, y, px| {
        let (sx, sy) = (x as f64 - dx, y as f64 - dy);
        if (x0..x1).contains(&sx) && (y0..y1).contains(&sy) {
            let at = 3 * (sy as usize * w + sx as usize);
            [source[at], source[at + 1], source[at + 2]]
        } else {
            px
        }
    });
    let found = find_cards(&doubled, CardKind::Printed);
    assert!(found.notes.contains(&CardNote::Doubled { number: card.number }), "{:?}", found.notes);
    assert_eq!(found.cards.len(), 4);
    assert!(found.cards.iter().all(|c| c.number != card.number));
}

#[test]
fn a_photo_without_cards_says_what_to_do() {
    let grey = Picture::from_rgb(1200, 900, vec![128; 1200 * 900 * 3], PhotoFacts::default()).unwrap();
    let found = find_cards(&grey, CardKind::Printed);
    assert_eq!(found, CardsFound::default());
    let error = solve(&[PhotoCards::new(&grey, &found)], &SolveOptions::default()).unwrap_err();
    assert_eq!(error, CanvasError::NoCards { photo: 1 });
    assert!(error.to_string().contains("lay at least two"));
    // The right photo looked at for the wrong kind of card: tags without checkers are no cards of ours, and the other way round is harmless.
    assert!(find_cards(&grey, CardKind::Plain { black_edge_mm: 150.0 }).cards.is_empty());
}

/// A plain tag drawn through a known map, blurred in linear light, put through sRGB coding and a contrast curve.
fn drawn_tag(number: u32, map: &Homography, curve: f64) -> Picture {
    let cells = tag_cells(number).unwrap();
    let back = map.inverse().unwrap();
    let (w, h) = (800usize, 640usize);
    let fine = 5usize;
    let mut light = vec![0.0f64; w * h];
    for (i, value) in light.iter_mut().enumerate() {
        let (x, y) = ((i % w) as f64, (i / w) as f64);
        let mut sum = 0.0;
        for k in 0..fine * fine {
            let p = Point::new(
                x - 0.5 + ((k % fine) as f64 + 0.5) / fine as f64,
                y - 0.5 + ((k / fine) as f64 + 0.5) / fine as f64,
            );
            let q = back.apply(p).unwrap();
            let (u, v) = ((q.x + 75.0) / 18.75, (75.0 - q.y) / 18.75);
            let inside = (0.0..8.0).contains(&u) && (0.0..8.0).contains(&v);
            let black = inside && cells[v as usize][u as usize];
            let paper = q.x.abs() < 100.0 && q.y.abs() < 100.0;
            sum += if black {
                0.03
            } else if paper {
                0.75
            } else {
                0.2
            };
        }
        *value = sum / (fine * fine) as f64;
    }
    let kernel: Vec<f64> = (-4..=4).map(|d| (-0.5 * (f64::from(d) / 0.9).powi(2)).exp()).collect();
    let total: f64 = kernel.iter().sum();
    for (dx, dy) in [(1i32, 0i32), (0, 1)] {
        let source = light.clone();
        for y in 4..h - 4 {
            for x in 4..w - 4 {
                let mut sum = 0.0;
                for (k, weight) in kernel.iter().enumerate() {
                    let d = k as i32 - 4;
                    let at = (y as i32 + d * dy) as usize * w + (x as i32 + d * dx) as usize;
                    sum += source[at] * weight / total;
                }
                light[y * w + x] = sum;
            }
        }
    }
    let rgb = light
        .iter()
        .flat_map(|l| {
            let v = if *l <= 0.003_130_8 { 12.92 * l } else { 1.055 * l.powf(1.0 / 2.4) - 0.055 };
            let bent = v + curve * v * (1.0 - v) * (2.0 * v - 1.0);
            [(bent * 255.0).round().clamp(0.0, 255.0) as u8; 3]
        })
        .collect();
    Picture::from_rgb(w as u32, h as u32, rgb, PhotoFacts::default()).unwrap()
}

#[test]
fn a_plain_tag_is_measured_whatever_the_tone_curve() {
    let from = [(-75.0, 75.0), (75.0, 75.0), (75.0, -75.0), (-75.0, -75.0)].map(Point::from);
    let to = [(240.3, 150.8), (560.6, 120.2), (590.1, 470.7), (215.9, 440.4)].map(Point::from);
    let pairs: Vec<_> = from.into_iter().zip(to).collect();
    let map = Homography::fit(&pairs).unwrap();
    for curve in [0.0, 0.5, 1.0] {
        let picture = drawn_tag(23, &map, curve);
        let found = find_cards(&picture, CardKind::Plain { black_edge_mm: 150.0 });
        assert_eq!(found.cards.len(), 1, "curve {curve}: {:?}", found.notes);
        assert_eq!((found.cards[0].number, found.cards[0].crossings.len()), (23, 16));
        for c in &found.cards[0].crossings {
            let miss = c.px.distance(map.apply(c.card_mm).unwrap());
            assert!(
                miss < 0.05 && miss < 4.0 * c.sd_px,
                "curve {curve}: {:?} off by {miss:.3} px, stated {:.3}",
                c.card_mm,
                c.sd_px
            );
        }
        // The same tag asked for as our own card has no checkers and is left out.
        assert!(matches!(
            find_cards(&picture, CardKind::Printed).notes[..],
            [CardNote::NoCheckers { number: 23 }]
        ));
    }
}
