//! Layouts of random pieces on random sheets are sound, by a check that shares no code with the library.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::allow_attributes,
    missing_docs,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use std::sync::atomic::{AtomicBool, Ordering};

use coldwright_nesting::{Effort, Piece, Request, Stock, Turns, check, nest};
use common::{assert_sound, moves, piece, quick, rect, ring, stock};
use kurbo::Point;
use proptest::prelude::*;

/// A star-shaped ring, sometimes deeply notched, sometimes with many points.
fn blob() -> impl Strategy<Value = Vec<Point>> {
    (3usize..40, 40.0f64..300.0, any::<bool>()).prop_flat_map(|(n, size, smooth)| {
        proptest::collection::vec(if smooth { 0.9f64..1.0 } else { 0.25f64..1.0 }, n).prop_map(move |radii| {
            let n = radii.len() as f64;
            let at = |(k, r): (usize, &f64)| {
                let a = std::f64::consts::TAU * k as f64 / n;
                Point::new(size * r * a.cos(), size * r * a.sin())
            };
            radii.iter().enumerate().map(at).collect()
        })
    })
}

fn pieces() -> impl Strategy<Value = Vec<Piece>> {
    let turns = prop_oneof![
        Just(Turns::Any),
        Just(Turns::Only(vec![0.0])),
        Just(Turns::Only(vec![0.0, 90.0, 180.0, 270.0])),
        Just(Turns::Only(vec![17.0, 200.5]))
    ];
    proptest::collection::vec((blob(), 1u32..3, turns, any::<bool>()), 1..7).prop_map(|all| {
        all.into_iter()
            .enumerate()
            .map(|(k, (mut outline, quantity, turns, back))| {
                if back {
                    outline.reverse();
                }
                Piece { turns, ..piece(&format!("p{k}"), quantity, outline) }
            })
            .collect()
    })
}

fn sheets() -> impl Strategy<Value = Vec<Stock>> {
    let waisted =
        ring(&[(0., 0.), (900., 0.), (900., 400.), (500., 450.), (900., 500.), (900., 900.), (0., 900.)]);
    let holed = Stock {
        blocked: vec![rect(200.0, 150.0), ring(&[(500., 500.), (560., 480.), (600., 620.)])],
        ..stock("holed", rect(900.0, 800.0), Some(1), 0.0)
    };
    Just(vec![stock("full", rect(800.0, 1000.0), None, 1.0), stock("waisted", waisted, Some(1), 0.0), holed])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 20, ..ProptestConfig::default() })]
    #[test]
    fn random_layouts_are_sound(pieces in pieces(), stock in sheets(), gap in prop_oneof![Just(0.0), 0.0f64..12.0], margin in prop_oneof![Just(0.0), 0.0f64..12.0], seed in 0u64..99) {
        let request = Request { name: "random".into(), gap, margin, pieces, stock, ..Request::default() };
        let out = quick(&request, seed, 150).unwrap();
        assert_sound(&request, &out.layout);
        prop_assert!(check(&request, &out.layout).is_empty());
        prop_assert!(out.layout.left.is_empty());
        for o in &out.offcuts {
            let here = |p: &&coldwright_nesting::Placement| p.sheet == o.sheet;
            for p in out.layout.placements.iter().filter(here) {
                for q in &request.pieces[p.piece].outline {
                    prop_assert!(!o.rect.inset(-0.01).contains(p.apply(*q)), "a corner lies in the rest");
                }
            }
        }
    }
}

fn some_pieces() -> Request {
    let l = ring(&[(0., 0.), (420., 0.), (420., 180.), (200., 180.), (200., 380.), (0., 380.)]);
    let t = ring(&[(0., 0.), (350., 60.), (90., 330.)]);
    Request {
        name: "some".into(),
        gap: 3.0,
        margin: 2.0,
        pieces: vec![piece("L", 7, l), piece("T", 6, t), piece("R", 5, rect(300.0, 170.0))],
        stock: vec![stock("full", rect(1000.0, 1200.0), None, 1.0)],
        ..Request::default()
    }
}

#[test]
fn same_seed_and_moves_give_the_same_layout() {
    let request = some_pieces();
    let a = quick(&request, 5, 600).unwrap();
    assert_eq!(a, quick(&request, 5, 600).unwrap());
    let two = Effort { threads: 2, ..moves(5, 400) };
    let run = || nest(&request, &two, &AtomicBool::new(false), &mut |_| ()).unwrap();
    assert_eq!(run(), run());
}

#[test]
fn a_run_stopped_by_the_clock_is_repeated_by_its_moves() {
    let request = some_pieces();
    let timed = Effort { seed: 3, moves: None, seconds: Some(0.3), threads: 2 };
    let a = nest(&request, &timed, &AtomicBool::new(false), &mut |_| ()).unwrap();
    assert!(a.moves > 0);
    let b = nest(&request, &Effort { threads: 2, ..moves(3, a.moves) }, &AtomicBool::new(false), &mut |_| ())
        .unwrap();
    assert_eq!(a, b);
}

#[test]
fn cancel_keeps_the_best_so_far() {
    let request = some_pieces();
    let cancel = AtomicBool::new(false);
    let mut told = None;
    let endless = Effort { seed: 1, moves: Some(u64::MAX), seconds: None, threads: 1 };
    let out = nest(&request, &endless, &cancel, &mut |p| {
        if let Some(l) = &p.better {
            told = Some(l.clone());
        }
        if p.seconds > 0.3 {
            cancel.store(true, Ordering::Relaxed);
        }
    })
    .unwrap();
    assert_sound(&request, &out.layout);
    let told = told.expect("a first layout is told");
    assert!(out.layout.sheets.len() <= told.sheets.len());
    // Cancelled before it began: the first layout, still sound.
    let out = nest(&request, &endless, &AtomicBool::new(true), &mut |_| ()).unwrap();
    assert_sound(&request, &out.layout);
    assert_eq!(out.moves, 0);
}

#[test]
fn a_lopsided_piece_is_never_turned_over() {
    // A quarter of a disc with a notch has no mirror line: its outline tells left from right.
    let hook = ring(&[(0., 0.), (400., 0.), (400., 90.), (120., 90.), (120., 500.), (0., 500.)]);
    let request = Request {
        name: "hooks".into(),
        pieces: vec![piece("hook", 9, hook)],
        stock: vec![stock("full", rect(1000.0, 1000.0), None, 1.0)],
        ..Request::default()
    };
    let out = quick(&request, 1, 500).unwrap();
    assert_sound(&request, &out.layout);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, max_shrink_iters: 20, ..ProptestConfig::default() })]
    /// Stock that runs out: every copy is placed once or reported, on the independent count, and the answer says the same.
    #[test]
    fn nothing_is_lost_when_stock_runs_out(pieces in pieces(), full in 0u32..2, rest in 1u32..3, seed in 0u64..99) {
        let stock = vec![stock("full", rect(800.0, 1000.0), Some(full), 1.0), stock("rest", rect(650.0, 650.0), Some(rest), 0.0)];
        let request = Request { name: "scarce".into(), gap: 4.0, margin: 3.0, pieces, stock, ..Request::default() };
        let wanted: u32 = request.pieces.iter().map(|p| p.quantity).sum();
        let out = quick(&request, seed, 100).unwrap();
        assert_sound(&request, &out.layout);
        prop_assert!(check(&request, &out.layout).is_empty());
        let (placed, left) = (out.layout.placements.len(), out.layout.left.len());
        prop_assert_eq!(placed + left, wanted as usize);
        prop_assert_eq!(out.answers.iter().map(|a| a.placed).sum::<u32>() as usize, placed);
        let told: u32 = coldwright_nesting::left_by_piece(&request, &out.layout.left).iter().map(|l| l.1).sum();
        prop_assert_eq!(told as usize, left);
        let short = out.answers.iter().any(|a| matches!(a.verdict, coldwright_nesting::Verdict::ShortBy { .. }));
        prop_assert_eq!(short, left > 0);
    }
}
