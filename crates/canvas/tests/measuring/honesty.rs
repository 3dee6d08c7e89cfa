//! Whether what is stated about uncertainty, and about bad cards, comes true over many made-up photographs.

use crate::common::exact;
use crate::scene::{Dice, Scene};
use coldwright_canvas::{Point, SolveOptions, solve};

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
    let mut missed = Vec::new();
    for n in 0..photos(90) {
        let mut scene = Scene::random(&mut dice, 4 + n % 3);
        if !solve(&[scene.photo(0.02, &mut dice)], &SolveOptions::default()).unwrap().bad_cards().is_empty() {
            alarms += 1.0;
        }
        let which = n % scene.cards.len();
        match n % 3 {
            0 => scene.cards[which].scale = 0.995,
            1 => scene.cards[which].lift = 8.0,
            _ => scene.cards[which].curl = 5.0,
        }
        let solved = solve(&[scene.photo(0.02, &mut dice)], &SolveOptions::default()).unwrap();
        bad += 1.0;
        if solved.bad_cards().iter().any(|b| b.number == scene.cards[which].number) {
            caught += 1.0;
        } else {
            missed.push((n % 3, scene.cards.len(), solved.bad_cards().to_vec()));
        }
    }
    println!("caught {caught} of {bad}, false alarms {alarms} of {bad}");
    assert!(caught / bad >= 0.95, "caught {caught} of {bad}; missed {missed:?}");
    assert!(alarms / bad < 0.02, "{alarms} false alarms of {bad}");
}
