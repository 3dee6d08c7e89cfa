//! The solve on made-up photographs, where every answer is known.

use crate::common::exact;
use crate::scene::{Dice, Scene, laid, pose};
use coldwright_canvas::{
    BadWhy, CanvasError, CardSeen, Click, Crossing, Lens, PAPER_MM, PhotoCards, Point, PrintScale,
    SolveOptions, rectangle, sketch_scale, solve,
};
use nalgebra::Vector3;

/// A lens that agrees with its priors, so that exact points give back exactly it.
fn ordinary() -> Scene {
    let mut scene = Scene::usual();
    scene.lens = Lens::plain(3028.0, Point::new(2015.5, 1511.5));
    scene
}

#[test]
fn exact_points_give_back_the_camera() {
    let scene = ordinary();
    let solved = solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions::default()).unwrap();
    assert!(solved.residual_px() < 1e-7, "residual {}", solved.residual_px());
    assert!((solved.lens(0).unwrap().focal_px - 3028.0).abs() < 1e-6);
    for card in solved.cards() {
        let truth = scene.cards.iter().find(|c| c.number == card.number).unwrap();
        let at = scene.in_frame(Point::new(truth.x, truth.y));
        assert!(
            card.centre.distance(at) < 1e-6,
            "card {} at {:?} instead of {at:?}",
            card.number,
            card.centre
        );
    }
    for (x, y, h) in [(0.0, 0.0, 0.0), (300.0, -200.0, 5.0), (-350.0, 250.0, 12.0)] {
        let px = scene.tip(Point::new(x, y), h).unwrap();
        let found = solved.to_plane(0, px, h).unwrap();
        let truth = scene.in_frame(Point::new(x, y));
        assert!(found.distance(truth) < 1e-6, "{found:?} {truth:?}");
        assert!(solved.to_pixel(0, truth, h).unwrap().distance(px) < 1e-6);
    }
    assert!((solved.height_above_plane(0).unwrap() - 1400.0).abs() < 1e-5);
    assert!(solved.bad_cards().is_empty());
}

#[test]
fn a_bent_lens_is_found_from_the_cards() {
    let scene = Scene::usual();
    let solved = solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions::default()).unwrap();
    let (px, far) =
        (scene.tip(Point::new(420.0, 0.0), 0.0).unwrap(), scene.tip(Point::new(-400.0, 30.0), 0.0).unwrap());
    let d = solved.to_plane(0, px, 0.0).unwrap().distance(solved.to_plane(0, far, 0.0).unwrap());
    assert!((d - 820.0f64.hypot(30.0)).abs() < 0.1, "distance {d}");
    assert!((solved.lens(0).unwrap().k1 - 0.03).abs() < 0.01);
    assert!(!solved.strong_lens(0));
}

/// Values `photo.rectify`: a tilted pinhole, four markers and lifted points, computed with numpy 2.4.6; tolerance 1e-3 mm.
#[test]
fn rectifying_agrees_with_an_independent_computation() {
    let markers = [
        ((0.0, 0.0), (1366.9339, 1900.7032)),
        ((600.0, 0.0), (2633.6246, 1895.0529)),
        ((600.0, 400.0), (2570.5075, 1138.8937)),
        ((0.0, 400.0), (1413.2595, 1134.1785)),
    ];
    let crossings =
        markers.map(|(mm, px)| Crossing { card_mm: mm.into(), px: px.into(), sd_px: 1e-4 }).to_vec();
    let card = CardSeen { number: 1, half_size: false, crossings, corners_px: [Point::ZERO; 4] };
    let photo = PhotoCards { width: 4001, height: 3001, focal_prior_px: Some(3000.0), cards: vec![card] };
    let solved = solve(&[photo], &SolveOptions::default()).unwrap();
    // pixel, height, true place, place when read on the plane
    let points = [
        ((2000.0, 1500.0), 0.0, (300.0, 200.0), (300.0, 200.0)),
        ((1605.0355, 1223.2245), 0.0, (100.0, 350.0), (100.0, 350.0)),
        ((1603.9469, 1218.2313), 6.0, (100.0, 350.0), (99.3544, 352.7977)),
        ((2572.9394, 1133.7027), 6.0, (600.0, 400.0), (601.5065, 403.0129)),
        ((1411.2747, 1835.0903), 6.0, (20.0, 30.0), (19.0101, 31.4204)),
    ];
    for (px, height, truth, flat) in points {
        let right = solved.to_plane(0, px.into(), height + PAPER_MM).unwrap();
        assert!(right.distance(truth.into()) < 1e-3, "{right:?} instead of {truth:?}");
        let read = solved.to_plane(0, px.into(), PAPER_MM).unwrap();
        assert!(read.distance(flat.into()) < 1e-3, "{read:?} instead of {flat:?}");
    }
}

/// Value `photo.parallax.base`: d = R h / (H − h) = 2.409639 mm for R 600, h 6, H 1500 (closed form, python 3.11; tolerance 1e-6 mm).
#[test]
fn a_raised_point_is_displaced_by_the_textbook_amount() {
    let mut scene = ordinary();
    scene.pose = pose(Vector3::new(0.0, 0.0, 1500.0), Vector3::zeros(), 0.4);
    let solved = solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions::default()).unwrap();
    let px = scene.pixel(Vector3::new(600.0, 0.0, 6.0)).unwrap();
    let foot = scene.in_frame(Point::ZERO);
    let read = solved.to_plane(0, px, PAPER_MM).unwrap();
    assert!((read.distance(foot) - 602.409_639).abs() < 1e-5, "{}", read.distance(foot));
    let right = solved.to_plane(0, px, 6.0 + PAPER_MM).unwrap();
    assert!((right.distance(foot) - 600.0).abs() < 1e-5);
}

#[test]
fn the_frame_is_the_lowest_numbered_card_seen_from_above() {
    let scene = Scene::usual();
    let mut photo = scene.photo(0.0, &mut Dice(1));
    let straight = solve(&[photo.clone()], &SolveOptions::default()).unwrap();
    photo.cards.reverse();
    let turned = solve(&[photo], &SolveOptions::default()).unwrap();
    let first = &straight.cards()[0];
    assert_eq!((first.number, first.centre, first.angle_rad), (3, Point::ZERO, 0.0));
    for (a, b) in straight.cards().iter().zip(turned.cards()) {
        assert!(
            a.number == b.number && a.centre.distance(b.centre) < 1e-6,
            "order of the cards must not matter"
        );
    }
    // Right-handed: from card 3 to 5 to 12 the scene turns clockwise.
    let (a, b, c) = (straight.cards()[0].centre, straight.cards()[1].centre, straight.cards()[3].centre);
    assert!((b - a).cross(c - b) < 0.0);
}

#[test]
fn several_photos_are_joined_by_their_common_cards() {
    let one = Scene::usual();
    let mut two = Scene::usual();
    two.pose = pose(Vector3::new(-500.0, 300.0, 1300.0), Vector3::new(-10.0, 0.0, 0.0), 2.0);
    let mut dice = Dice(4);
    let (mut first, mut second) = (one.photo(0.03, &mut dice), two.photo(0.03, &mut dice));
    // Each misses a card the other has.
    first.cards.retain(|c| c.number != 3);
    second.cards.retain(|c| c.number != 12);
    let solved = solve(&[first.clone(), second.clone()], &SolveOptions::default()).unwrap();
    assert_eq!(solved.cards().iter().map(|c| c.number).collect::<Vec<_>>(), [3, 5, 7, 12]);
    let clicks = [
        exact(0, one.tip(Point::new(300.0, 100.0), 5.0).unwrap(), 5.0),
        exact(1, two.tip(Point::new(300.0, 100.0), 5.0).unwrap(), 5.0),
        exact(1, two.tip(Point::new(-300.0, -150.0), 5.0).unwrap(), 5.0),
    ];
    let placed = solved.place(&clicks).unwrap();
    assert!(
        placed.points[0].distance(placed.points[1]) < 0.2,
        "both photos see the same tip at the same place"
    );
    assert!((placed.points[0].distance(placed.points[2]) - 600.0f64.hypot(250.0)).abs() < 0.2);
    first.cards.retain(|c| c.number == 12);
    second.cards.retain(|c| c.number == 3);
    assert_eq!(
        solve(&[first, second], &SolveOptions::default()).unwrap_err(),
        CanvasError::NoSharedCard { photo: 1 }
    );
}

#[test]
fn the_typed_print_scale_scales_each_way() {
    let mut scene = ordinary();
    for card in &mut scene.cards {
        card.scale = 0.985;
    }
    let print = PrintScale { x: 0.985, y: 0.985, sd: 0.0 };
    let solved =
        solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions { print, ..SolveOptions::default() }).unwrap();
    let (a, b) =
        (scene.tip(Point::new(-400.0, 0.0), 0.0).unwrap(), scene.tip(Point::new(400.0, 0.0), 0.0).unwrap());
    let d = solved.to_plane(0, a, 0.0).unwrap().distance(solved.to_plane(0, b, 0.0).unwrap());
    assert!((d - 800.0).abs() < 1e-5, "{d}");

    // An uncertain print makes every distance uncertain in proportion.
    let print = PrintScale { sd: 0.002, ..print };
    let loose =
        solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions { print, ..SolveOptions::default() }).unwrap();
    let placed = loose.place(&[exact(0, a, 0.0), exact(0, b, 0.0)]).unwrap();
    let sd = placed.distance_sd(0, 1).unwrap();
    assert!((0.9..3.0).contains(&sd), "0.2 % of 800 mm, at most, not {sd}");
    for x in [0.0, -1.0, 3.0, f64::NAN] {
        let options = SolveOptions { print: PrintScale { x, y: 1.0, sd: 0.0 }, ..SolveOptions::default() };
        assert!(matches!(
            solve(&[scene.photo(0.0, &mut Dice(1))], &options).unwrap_err(),
            CanvasError::BadNumber { what: "print scale", .. }
        ));
    }
}

#[test]
fn clicks_and_heights_add_their_own_uncertainty() {
    let scene = ordinary();
    let solved = solve(&[scene.photo(0.02, &mut Dice(9))], &SolveOptions::default()).unwrap();
    let px = scene.tip(Point::new(100.0, 100.0), 5.0).unwrap();
    let sd = |sd_px: f64, height_sd_mm: f64| {
        let placed = solved.place(&[Click { photo: 0, px, height_mm: 5.0, sd_px, height_sd_mm }]).unwrap();
        (placed.cov_mm2[(0, 0)] + placed.cov_mm2[(1, 1)]).sqrt()
    };
    let (none, click, height) = (sd(0.0, 0.0), sd(2.0, 0.0), sd(0.0, 1.0));
    // Two pixels each way at roughly 2 px a mm; a millimetre of height at the angle the point is seen under.
    assert!((1.1..2.0).contains(&(click * click - none * none).sqrt()), "{click}");
    let eye = solved.pose(0).unwrap().place();
    let at = solved.to_plane(0, px, 5.0).unwrap();
    let slant = (eye.x - at.x).hypot(eye.y - at.y) / (eye.z - 4.9);
    assert!(((height * height - none * none).sqrt() - slant).abs() < 0.01 * slant, "{height} {slant}");
}

#[test]
fn a_foreign_scale_or_a_lifted_card_is_named_and_left_out_on_request() {
    for (what, change) in [("printed at 99.5 %", (0.995, 0.0)), ("lying 8 mm higher", (1.0, 8.0))] {
        let mut scene = Scene::usual();
        scene.cards[2].scale = change.0;
        scene.cards[2].lift = change.1;
        let photo = scene.photo(0.02, &mut Dice(3));
        let solved = solve(std::slice::from_ref(&photo), &SolveOptions::default()).unwrap();
        let bad = solved.bad_cards();
        assert!(bad.len() == 1 && bad[0].number == 7, "{what}: {bad:?}");
        let BadWhy::OtherSize { scale, .. } = bad[0].why else { panic!("{what}: {bad:?}") };
        let expected = change.0 * (1.0 + change.1 / 1480.0);
        assert!((scale - expected).abs() < 0.002, "{what}: {scale}");
        let options = SolveOptions { leave_out: vec![7], ..SolveOptions::default() };
        let without = solve(&[photo], &options).unwrap();
        assert!(without.bad_cards().is_empty() && without.cards().len() == 3, "{what}");
    }
}

/// Card 7 read as another number measures as before; read as a half-size one it is half a card with twice the size, and named.
#[test]
fn a_wrong_number_does_no_harm() {
    let scene = Scene::usual();
    let photo = scene.photo(0.02, &mut Dice(3));
    let right = solve(std::slice::from_ref(&photo), &SolveOptions::default()).unwrap();
    let ends = [(-300.0, 120.0), (350.0, -90.0)].map(|p| exact(0, scene.tip(p.into(), 5.0).unwrap(), 5.0));
    let length = |solved: &coldwright_canvas::PlaneSolve| {
        let placed = solved.place(&ends).unwrap();
        placed.points[0].distance(placed.points[1])
    };
    let misread = |number: u32| {
        let mut wrong = photo.clone();
        let card = wrong.cards.iter_mut().find(|c| c.number == 7).unwrap();
        card.number = number;
        if number > 100 {
            card.half_size = true;
            for c in &mut card.crossings {
                c.card_mm = Point::new(0.5 * c.card_mm.x, 0.5 * c.card_mm.y);
            }
        }
        wrong
    };
    let other = solve(&[misread(41)], &SolveOptions::default()).unwrap();
    assert!(other.bad_cards().is_empty() && (length(&other) - length(&right)).abs() < 1e-6);
    let half = solve(&[misread(107)], &SolveOptions::default()).unwrap();
    let bad = half.bad_cards();
    assert!(!bad.is_empty() && bad[0].number == 107, "{bad:?}");
    let BadWhy::OtherSize { scale, .. } = bad[0].why else { panic!("{bad:?}") };
    assert!((scale - 2.0).abs() < 0.1, "{scale}");
    let options = SolveOptions { leave_out: vec![107], ..SolveOptions::default() };
    let without = solve(&[misread(107)], &options).unwrap();
    assert!((length(&without) - length(&right)).abs() < 0.2);
}

#[test]
fn what_cannot_be_solved_says_why() {
    let scene = Scene::usual();
    let photo = scene.photo(0.0, &mut Dice(1));
    let refuse = |photos: &[PhotoCards]| solve(photos, &SolveOptions::default()).unwrap_err();
    assert_eq!(refuse(&[]), CanvasError::NoPhotos);
    let bare = PhotoCards { cards: Vec::new(), ..photo.clone() };
    assert_eq!(refuse(&[bare]), CanvasError::NoCards { photo: 1 });
    let mut twice = photo.clone();
    twice.cards.push(twice.cards[0].clone());
    assert_eq!(refuse(&[twice]), CanvasError::CardTwice { number: 3, photo: 1 });
    let mut poor = photo.clone();
    poor.cards[1].crossings.truncate(3);
    assert!(matches!(refuse(&[poor]), CanvasError::CardTooPoor { number: 5, has: 3, .. }));
    let mut broken = photo.clone();
    broken.cards[1].crossings[0].px.x = f64::NAN;
    assert!(matches!(refuse(&[broken]), CanvasError::CardTooPoor { number: 5, .. }));
    let mut line = photo.clone();
    line.cards.truncate(1);
    line.cards[0].crossings.truncate(8);
    assert!(matches!(refuse(&[line]), CanvasError::NoFit { .. }), "eight points on one line say nothing");
    let mut sizes = photo.clone();
    sizes.cards[0].half_size = true;
    assert_eq!(refuse(&[photo.clone(), sizes]), CanvasError::CardSizesDiffer { number: 3 });

    let solved = solve(&[photo], &SolveOptions::default()).unwrap();
    assert_eq!(
        solved.to_plane(1, Point::ZERO, 0.0).unwrap_err(),
        CanvasError::NoSuchPhoto { photo: 2, count: 1 }
    );
    assert!(solved.to_plane(0, Point::new(f64::NAN, 0.0), 0.0).is_err());
    assert!(
        solved.to_plane(0, Point::new(0.0, -40_000.0), 0.0).is_err(),
        "the sky has no place on the floor"
    );
    assert!(solved.to_plane(0, Point::ZERO, f64::INFINITY).is_err());
    assert!(
        solved.to_plane(0, Point::new(2000.0, 1500.0), 5000.0).is_err(),
        "no point lies above the camera"
    );
}

#[test]
fn half_size_cards_mix_with_full_size_ones() {
    let mut scene = ordinary();
    scene.cards.push(laid(101, 20.0, 40.0, 0.5));
    let solved = solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions::default()).unwrap();
    let half = solved.cards().iter().find(|c| c.number == 101).unwrap();
    assert!(half.half_size && half.centre.distance(scene.in_frame(Point::new(20.0, 40.0))) < 1e-6);
}

#[test]
fn misfits_show_the_one_point_that_was_moved() {
    let scene = Scene::usual();
    let mut photo = scene.photo(0.0, &mut Dice(1));
    photo.cards[1].crossings[7].px.x += 0.3;
    let moved = photo.cards[1].crossings[7].px;
    let solved = solve(std::slice::from_ref(&photo), &SolveOptions::default()).unwrap();
    let misfits = solved.misfits(0, &photo.cards, &PrintScale::default());
    assert_eq!(misfits.len(), solved.points());
    for (px, misfit) in &misfits {
        let expected = if *px == moved { 0.3 } else { 0.0 };
        assert!((misfit.x - expected).abs() < 0.02 && misfit.y.abs() < 0.02, "{px:?}: {misfit:?}");
    }
    let n = 2.0 * misfits.len() as f64;
    let rms = (misfits.iter().map(|m| m.1.hypot2()).sum::<f64>() / n).sqrt();
    assert!((rms - solved.residual_px()).abs() < 1e-9, "the same as the stated root mean square");
    let without = SolveOptions { leave_out: vec![5], ..SolveOptions::default() };
    let solved = solve(std::slice::from_ref(&photo), &without).unwrap();
    assert_eq!(solved.misfits(0, &photo.cards, &PrintScale::default()).len(), solved.points());
    assert!(solved.misfits(3, &photo.cards, &PrintScale::default()).is_empty());
}

#[test]
fn a_second_photo_gives_the_height() {
    let one = Scene::usual();
    let mut two = Scene::usual();
    two.pose = pose(Vector3::new(-500.0, 300.0, 1300.0), Vector3::new(-10.0, 0.0, 0.0), 2.0);
    let mut dice = Dice(4);
    let photos = [one.photo(0.02, &mut dice), two.photo(0.02, &mut dice)];
    let solved = solve(&photos, &SolveOptions::default()).unwrap();
    for height in [0.0, 5.0, 11.0, 40.0] {
        let at = Point::new(120.0, -80.0);
        let click = |photo: usize, scene: &Scene| Click {
            sd_px: 0.2,
            ..exact(photo, scene.tip(at, height).unwrap(), 99.0)
        };
        let found = solved.raised(&[click(0, &one), click(1, &two)]).unwrap();
        assert!((found.height_mm - height).abs() < 0.1 && found.miss_px < 0.1, "{height}: {found:?}");
        assert!(found.at.distance(one.in_frame(at)) < 0.1 && (0.02..0.5).contains(&found.sd_mm), "{found:?}");
        let twice = [click(0, &one), click(0, &one)];
        assert_eq!(solved.raised(&twice).unwrap_err(), CanvasError::NoSecondView);
    }
}

#[test]
fn a_taped_distance_is_weighed_against_the_cards() {
    let scene = ordinary();
    let print = PrintScale { sd: 0.002, ..PrintScale::default() };
    let solved =
        solve(&[scene.photo(0.0, &mut Dice(1))], &SolveOptions { print, ..SolveOptions::default() }).unwrap();
    let ends =
        [Point::new(-400.0, 0.0), Point::new(400.0, 0.0)].map(|p| exact(0, scene.tip(p, 0.0).unwrap(), 0.0));
    let good = solved.witness(ends, 800.0, 0.5).unwrap();
    assert!(
        (good.measured_mm - 800.0).abs() < 1e-3
            && good.sigmas.abs() < 0.01
            && (good.scale - 1.0).abs() < 1e-6
    );
    // A tape that says 0.4 % more and is far surer than the print is followed; a vague one is not; an absurd one shows.
    let sure = solved.witness(ends, 803.2, 0.05).unwrap();
    assert!((sure.scale - 1.004).abs() < 1e-4 && sure.scale_sd < 1e-4, "{sure:?}");
    let vague = solved.witness(ends, 803.2, 50.0).unwrap();
    assert!((vague.scale - 1.0).abs() < 1e-5, "{vague:?}");
    assert!(solved.witness(ends, 825.4, 0.5).unwrap().sigmas > 3.0);
    assert!(solved.witness([ends[0], ends[0]], 800.0, 0.5).is_err());
    assert!(solved.witness(ends, 800.0, 0.0).is_err());
}

#[test]
fn a_known_rectangle_stands_in_for_cards() {
    let scene = ordinary();
    // A frame 1000 by 700, its corner 0.5 degrees out of square.
    let lean = 0.5f64.to_radians();
    let (across, down) = ((1000.0, 0.0), (700.0 * lean.sin(), -700.0 * lean.cos()));
    let corner =
        |i: f64, j: f64| Point::new(-500.0 + i * across.0 + j * down.0, 350.0 + i * across.1 + j * down.1);
    let corners = [corner(0.0, 0.0), corner(1.0, 0.0), corner(1.0, 1.0), corner(0.0, 1.0)];
    let diagonals = (corners[0].distance(corners[2]), corners[1].distance(corners[3]));
    let px = corners.map(|c| scene.tip(c, PAPER_MM).unwrap());
    let frame = rectangle(1000.0, 700.0, diagonals, px, 0.5).unwrap();
    assert!((frame.out_of_square_deg - 0.5).abs() < 1e-6 && frame.contradiction_mm.abs() < 1e-9, "{frame:?}");
    let photo = PhotoCards { cards: vec![frame.card], ..scene.photo(0.0, &mut Dice(1)) };
    let solved = solve(&[photo], &SolveOptions::default()).unwrap();
    let ends = [Point::new(-300.0, 100.0), Point::new(320.0, -150.0)];
    let clicks = ends.map(|p| exact(0, scene.tip(p, 5.0).unwrap(), 5.0));
    let placed = solved.place(&clicks).unwrap();
    let error = placed.points[0].distance(placed.points[1]) - ends[0].distance(ends[1]);
    let sd = placed.distance_sd(0, 1).unwrap();
    assert!(error.abs() < 0.01 && (0.05..5.0).contains(&sd), "{error} {sd}");
    // A diagonal read 25 mm wrong contradicts the sides.
    let wrong = rectangle(1000.0, 700.0, (diagonals.0 + 25.0, diagonals.1), px, 0.5).unwrap();
    assert!(wrong.contradiction_mm > 10.0, "{wrong:?}");
    assert!(rectangle(1000.0, 700.0, (1600.0, 700.0), px, 0.5).is_err());
    assert!((sketch_scale(Point::ZERO, Point::new(300.0, 400.0), 1000.0).unwrap() - 2.0).abs() < 1e-12);
    assert!(sketch_scale(Point::ZERO, Point::ZERO, 1000.0).is_err());
}
