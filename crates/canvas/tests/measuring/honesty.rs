//! Whether what is stated about uncertainty, and about bad cards, comes true over many made-up photographs.

use crate::common::exact;
use crate::scene::{Dice, Scene};
use coldwright_canvas::{CanvasError, PhotoCards, PhotoDoubt, Point, SolveOptions, solve};
use kurbo::Vec2;

/// How many photographs: a quick run by default, 2,000 with COLDWRIGHT_TEST_SLOW=1.
fn photos(quick: usize) -> usize {
    if std::env::var_os("COLDWRIGHT_TEST_SLOW").is_some() { 2000 } else { quick }
}

#[test]
fn stated_intervals_hold() {
    let mut dice = Dice(20_261_124);
    let (mut inside, mut all) = (0.0, 0.0);
    for n in 0..photos(250) {
        let scene = Scene::random(&mut dice, 2 + n % 4);
        let photo = scene.photo(0.02, &mut dice);
        let Ok(solved) = solve(&[photo], &SolveOptions::default()) else { panic!("photo {n} did not solve") };
        let ends: Vec<Point> =
            (0..4).map(|_| Point::new(dice.between(-350.0, 350.0), dice.between(-230.0, 230.0))).collect();
        let clicks: Vec<_> = ends
            .iter()
            .map(|p| {
                let mut click = exact(0, scene.tip(*p, 5.0).unwrap(), 5.0);
                click.px += (0.5 * dice.normal(), 0.5 * dice.normal());
                click.sd_px = 0.5;
                click.height_mm += 0.3 * dice.normal();
                click.height_sd_mm = 0.3;
                click
            })
            .collect();
        let placed = solved.place(&clicks).unwrap();
        for (i, j) in [(0, 1), (2, 3)] {
            let error = placed.points[i].distance(placed.points[j]) - ends[i].distance(ends[j]);
            inside += f64::from(u8::from(error.abs() <= 1.96 * placed.distance_sd(i, j).unwrap()));
            all += 1.0;
        }
    }
    let share = inside / all;
    println!("the stated 95 % interval of a distance held for {:.1} % of {all}", share * 100.0);
    // 500 trials scatter by 1 % about 95 %.
    assert!((0.92..0.98).contains(&share), "{share}");
}

#[test]
fn intervals_hold_with_exact_clicks() {
    let mut dice = Dice(77);
    let (mut inside, mut all) = (0.0, 0.0);
    for n in 0..photos(250) {
        let scene = Scene::random(&mut dice, 2 + n % 4);
        let solved = solve(&[scene.photo(0.02, &mut dice)], &SolveOptions::default()).unwrap();
        let (a, b) = (
            Point::new(dice.between(-400.0, -200.0), dice.between(-230.0, 230.0)),
            Point::new(300.0, dice.between(-200.0, 200.0)),
        );
        let placed = solved.place(&[a, b].map(|p| exact(0, scene.tip(p, 5.0).unwrap(), 5.0))).unwrap();
        let error = placed.points[0].distance(placed.points[1]) - a.distance(b);
        inside += f64::from(u8::from(error.abs() <= 1.96 * placed.distance_sd(0, 1).unwrap()));
        all += 1.0;
    }
    let share = inside / all;
    println!("with exact clicks it held for {:.1} % of {all}", share * 100.0);
    assert!((0.90..0.99).contains(&share), "{share}");
}

#[test]
fn bad_cards_are_named_and_good_ones_are_not() {
    let mut dice = Dice(5);
    let (mut caught, mut bad, mut alarms) = (0.0, 0.0, 0.0);
    let (mut beside, mut missed) = (0.0, Vec::new());
    for n in 0..photos(90) {
        let mut scene = Scene::random(&mut dice, 4 + n % 3);
        if !solve(&[scene.photo(0.02, &mut dice)], &SolveOptions::default()).unwrap().bad_cards().is_empty() {
            alarms += 1.0;
        }
        let which = n % scene.cards.len();
        let mut number = scene.cards[which].number;
        match n % 4 {
            0 => scene.cards[which].scale = 0.995,
            1 => scene.cards[which].lift = 8.0,
            2 => scene.cards[which].curl = 5.0,
            _ => {}
        }
        let mut photo = scene.photo(0.02, &mut dice);
        if n % 4 == 3 {
            // Read as a half-size card; another full-size number would do no harm in one photo.
            let Some(card) = photo.cards.iter_mut().find(|c| c.number == number) else { continue };
            number += 100;
            (card.number, card.half_size) = (number, true);
            for c in &mut card.crossings {
                c.card_mm = Point::new(0.5 * c.card_mm.x, 0.5 * c.card_mm.y);
            }
        }
        bad += 1.0;
        let named: Vec<u32> = match solve(&[photo], &SolveOptions::default()) {
            Ok(solved) => solved.bad_cards().iter().map(|b| b.number).collect(),
            Err(CanvasError::CardForeign { number }) => vec![number],
            Err(e) => panic!("photo {n}: {e}"),
        };
        if named.first() == Some(&number) {
            caught += 1.0;
            beside += (named.len() - 1) as f64;
        } else {
            missed.push((n % 4, scene.cards.len(), named));
        }
    }
    println!("caught {caught} of {bad}, {beside} good cards named beside; false alarms {alarms} of {bad}");
    assert!(caught / bad >= 0.95, "caught {caught} of {bad}; missed {missed:?}");
    assert!(alarms / bad < 0.02, "{alarms} false alarms of {bad}");
}

/// A photo with a share of it cut from one side, as a program does that keeps the recorded equivalent focal length.
fn cut(photo: &PhotoCards, side: usize, share: f64) -> PhotoCards {
    let (w, h) = (f64::from(photo.width), f64::from(photo.height));
    let gone = (share * if side < 2 { w } else { h }).round();
    let (width, height) = if side < 2 { (w - gone, h) } else { (w, h - gone) };
    let shift = [Vec2::ZERO, Vec2::new(gone, 0.0), Vec2::ZERO, Vec2::new(0.0, gone)][side];
    let mut out = photo.clone();
    (out.width, out.height) = (width as u32, height as u32);
    out.focal_prior_px = photo.focal_prior_px.map(|f| f * width.hypot(height) / w.hypot(h));
    for card in &mut out.cards {
        for c in &mut card.crossings {
            c.px -= shift;
        }
        let inside = |p: Point| p.x > 8.0 && p.y > 8.0 && p.x < width - 9.0 && p.y < height - 9.0;
        card.crossings.retain(|c| inside(c.px));
    }
    out.cards.retain(|c| c.crossings.len() >= 8);
    out
}

#[test]
fn a_photo_with_a_side_cut_off_is_doubted() {
    let mut dice = Dice(61);
    let (mut caught, mut by_axis, mut all, mut alarms, mut whole) = (0.0, 0.0, 0.0, 0.0, 0.0);
    for n in 0..photos(150) {
        let photo = Scene::random(&mut dice, 4 + n % 3).photo(0.02, &mut dice);
        let honest = solve(std::slice::from_ref(&photo), &SolveOptions::default()).unwrap();
        whole += 1.0;
        alarms +=
            f64::from(u8::from(honest.doubts(0).iter().any(|d| !matches!(d, PhotoDoubt::StrongLens { .. }))));
        let cut = cut(&photo, n % 4, dice.between(0.1, 0.3));
        if cut.cards.len() < 2 {
            continue;
        }
        all += 1.0;
        match solve(&[cut], &SolveOptions::default()) {
            Ok(solved) => {
                let doubts = solved.doubts(0);
                let axis = doubts.iter().any(|d| matches!(d, PhotoDoubt::OffCentre { .. }));
                by_axis += f64::from(u8::from(axis));
                caught += f64::from(u8::from(
                    axis || doubts.iter().any(|d| matches!(d, PhotoDoubt::OddShape { .. })),
                ));
            }
            Err(_) => caught += 1.0,
        }
    }
    println!(
        "{caught} of {all} cut photos doubted, {by_axis} of them by the lens's axis; {alarms} of {whole} whole ones"
    );
    assert!(caught / all >= 0.95 && alarms / whole < 0.02, "{caught} of {all}, {alarms} false");
}
