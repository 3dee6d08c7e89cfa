//! Counts known beforehand, the answer in words as data, locks, and what is refused.
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

use coldwright_nesting::{
    Count, Lock, NestingError, Request, Stock, Stuff, Verdict, Wanted, check, first_layout, nest_file,
    read_pieces,
};
use common::{assert_sound, moves, piece, quick, rect, ring, shared, stock};
use kurbo::{Point, Vec2};
use std::sync::atomic::AtomicBool;

fn on_full(pieces: Vec<coldwright_nesting::Piece>, kerf: f64) -> Request {
    let stock = vec![stock("full", rect(1219.2, 2438.4), None, 1.0)];
    Request { name: "t".into(), kerf, pieces, stock, ..Request::default() }
}

/// Pieces a × b on 1219.2 × 2438.4 with kerf between pieces only: floor((W + k)/(a + k)) × floor((H + k)/(b + k)) in the
/// better of two directions (closed form). At least so many must fit on one sheet.
#[test]
fn as_many_rectangles_as_the_closed_form_says() {
    for (a, b, kerf, count) in
        [(300.0, 400.0, 0.0, 24u32), (300.0, 400.0, 3.2, 24), (304.8, 609.6, 0.0, 16), (304.8, 609.6, 3.2, 9)]
    {
        let grid = |a: f64, b: f64| {
            ((1219.2 + kerf) / (a + kerf) + 1e-9).floor() * ((2438.4 + kerf) / (b + kerf) + 1e-9).floor()
        };
        assert!((grid(a, b).max(grid(b, a)) - f64::from(count)).abs() < 0.5);
        let request = on_full(vec![piece("r", count, rect(a, b))], kerf);
        let out = quick(&request, 1, 300).unwrap();
        assert_sound(&request, &out.layout);
        assert_eq!(out.layout.sheets.len(), 1, "{a} x {b}, kerf {kerf}");
        let more = on_full(vec![piece("r", count + 1, rect(a, b))], kerf);
        let out = quick(&more, 1, 300).unwrap();
        // One more than the area holds; for 3.2 mm kerf the 16 of the exact fit are broken.
        if count != 9 {
            assert_eq!(out.layout.sheets.len(), 2, "{a} x {b}, kerf {kerf}, one more");
        }
    }
    let broken = on_full(vec![piece("r", 16, rect(304.8, 609.6))], 3.2);
    assert_eq!(quick(&broken, 1, 300).unwrap().layout.sheets.len(), 2);
}

#[test]
fn owned_stock_is_used_before_bought() {
    let mut request = on_full(vec![piece("r", 4, rect(500.0, 500.0))], 3.0);
    request.stock.push(stock("rest", rect(1100.0, 1100.0), Some(1), 0.0));
    let out = quick(&request, 1, 100).unwrap();
    assert_eq!(out.answers[0].verdict, Verdict::Enough);
    assert_eq!(out.answers[0].owned, [Count { stock: 1, sheets: 1 }]);
    request.pieces[0].quantity = 5;
    let out = quick(&request, 1, 100).unwrap();
    assert_eq!(out.answers[0].verdict, Verdict::Buy(vec![Count { stock: 0, sheets: 1 }]));
    assert_sound(&request, &out.layout);
}

#[test]
fn short_stock_is_said_per_material_and_thickness() {
    let (thin, thick) = (Stuff::new("XPS", 25.0), Stuff::new("XPS", 50.0));
    let mut request =
        on_full(vec![piece("a", 3, rect(900.0, 900.0)), piece("b", 2, rect(700.0, 700.0))], 3.0);
    request.pieces[0].stuff = thin.clone();
    request.pieces[1].stuff = thick.clone();
    request.stock = vec![
        Stock { stuff: thin.clone(), ..stock("thin", rect(1000.0, 1000.0), Some(1), 0.0) },
        Stock { stuff: thick.clone(), ..stock("thick", rect(1000.0, 2000.0), Some(1), 0.0) },
    ];
    let out = quick(&request, 1, 200).unwrap();
    assert_sound(&request, &out.layout);
    let of = |s: &Stuff| out.answers.iter().find(|a| a.stuff == *s).unwrap();
    let more = vec![Count { stock: 0, sheets: 2 }];
    assert_eq!(of(&thin).verdict, Verdict::ShortBy { buy: vec![], more });
    assert_eq!((of(&thin).placed, of(&thin).pieces), (1, 3));
    assert_eq!(of(&thick).verdict, Verdict::Enough);
    assert_eq!(out.layout.left.len(), 2);
    assert!(check(&request, &out.layout).is_empty());
}

#[test]
fn spares_are_the_largest_pieces() {
    let request =
        on_full(vec![piece("small", 30, rect(90.0, 90.0)), piece("large", 5, rect(400.0, 300.0))], 3.0);
    let with = request.with_spares(0.05);
    assert_eq!((with.pieces[0].quantity, with.pieces[1].quantity), (31, 6));
    assert_eq!(request.with_spares(f64::NAN), request);
}

#[test]
fn a_locked_piece_stays() {
    let mut request = on_full(vec![piece("r", 6, rect(400.0, 300.0))], 3.0);
    request.locks.push(Lock { piece: 0, stock: 0, nth: 0, turn_deg: 30.0, at: Vec2::new(500.0, 900.0) });
    let out = quick(&request, 1, 200).unwrap();
    assert_sound(&request, &out.layout);
    let first = out.layout.placements[0];
    assert_eq!((first.copy, first.turn_deg, out.layout.sheets[first.sheet].nth), (0, 30.0, 0));
    assert!((first.at - Vec2::new(500.0, 900.0)).hypot() < 1e-9);
    let refused = |lock: Lock| {
        let mut r = request.clone();
        r.locks.push(lock);
        let e = quick(&r, 1, 10).unwrap_err();
        assert!(matches!(&e, NestingError::BadLock { .. }), "{e}");
        e.to_string()
    };
    let lock = request.locks[0].clone();
    assert!(refused(lock.clone()).contains("overlap"));
    assert!(refused(Lock { at: Vec2::new(1100.0, 0.0), ..lock.clone() }).contains("leaves its sheet"));
    refused(Lock { piece: 7, ..lock.clone() });
    refused(Lock { stock: 7, ..lock });
}

#[test]
fn what_cannot_be_laid_out_is_refused_in_words() {
    let good = on_full(vec![piece("Hull 3 b", 1, rect(400.0, 300.0))], 3.0);
    let say = |change: &dyn Fn(&mut Request)| {
        let mut r = good.clone();
        change(&mut r);
        quick(&r, 1, 10).unwrap_err().to_string()
    };
    let nan = say(&|r| r.pieces[0].outline[2].x = f64::NAN);
    assert!(nan.contains("point 3") && nan.contains("Hull 3 b"), "{nan}");
    let large = say(&|r| r.pieces[0].outline = rect(1300.0, 2500.0));
    assert!(
        large.contains("Hull 3 b") && large.contains("1300 x 2500") && large.contains("1219 x 2438"),
        "{large}"
    );
    // Small enough by its box's short side, too long for any turn.
    assert!(say(&|r| r.pieces[0].outline = rect(100.0, 2800.0)).contains("fits on no sheet"));
    assert!(say(&|r| r.stock.clear()).contains("no stock"));
    assert!(say(&|r| r.stock[0].available = Some(0)).contains("no stock of"));
    assert!(say(&|r| r.pieces[0].stuff = Stuff::new("cork", 20.0)).contains("no stock of cork, 20 mm"));
    assert!(say(&|r| r.pieces.clear()).contains("no pieces"));
    assert!(say(&|r| r.pieces[0].quantity = 3000).contains("3000 pieces"));
    assert!(say(&|r| r.gap = -1.0).contains("gap"));
    assert!(say(&|r| r.margin = f64::INFINITY).contains("margin"));
    assert!(say(&|r| r.pieces.push(r.pieces[0].clone())).contains("two pieces are called"));
    let bow = ring(&[(0., 0.), (100., 100.), (100., 0.), (0., 100.)]);
    assert!(say(&|r| r.pieces[0].outline = bow.clone()).contains("crosses itself"));
    assert!(
        say(&|r| r.pieces[0].outline = ring(&[(0., 0.), (5., 5.), (9., 9.)])).contains("encloses nothing")
    );
    assert!(say(&|r| r.pieces[0].turns = coldwright_nesting::Turns::Only(vec![])).contains("no turn"));
    assert!(read_pieces("{\"pieces\": 3}").unwrap_err().to_string().contains("could not be read"));
    assert!(read_pieces("{\"schema\": \"other/2\"}").unwrap_err().to_string().contains("other/2"));
}

#[test]
fn a_diagonal_piece_is_found_a_place() {
    // 2600 long, 60 wide: only across the sheet's diagonal of 2726.
    let request =
        on_full(vec![piece("batten", 2, rect(2600.0, 60.0)), piece("r", 3, rect(300.0, 300.0))], 3.0);
    let out = quick(&request, 1, 300).unwrap();
    assert_sound(&request, &out.layout);
    assert!(out.layout.left.is_empty());
}

#[test]
fn files_in_and_out() {
    let json = r#"{"schema":"sheet-nesting/1","name":"two","gap_mm":3,"edge_margin_mm":2,
        "sheet":{"width_mm":600,"height_mm":900},
        "pieces":[{"id":"a","quantity":2,"outline_mm":[[0,0],[300,0],[300,200],[0,200]],"rotations_deg":[0,90],"mirror_allowed":true}],
        "locked":[{"id":"a","stock":"full","sheet":0,"rot_deg":90,"x":300,"y":300}]}"#;
    let Wanted::Sheets(request) = read_pieces(json).unwrap() else { panic!("sheets") };
    let run = nest_file(json, &moves(1, 50), &AtomicBool::new(false), &mut |_| ()).unwrap();
    let back: serde_json::Value = serde_json::from_str(&run.layout_json).unwrap();
    let all = back["placements"].as_array().unwrap();
    assert_eq!((back["instance"].as_str(), all.len()), (Some("two"), 2));
    assert!(all.iter().all(|p| p.get("mirror").is_none()));
    let there = |p: &serde_json::Value| {
        let (x, y, d) = (p["x"].as_f64().unwrap(), p["y"].as_f64().unwrap(), p["rot_deg"].as_f64().unwrap());
        request.pieces[0]
            .outline
            .iter()
            .map(move |q| {
                let (s, c) = d.to_radians().sin_cos();
                Point::new(c * q.x - s * q.y + x, s * q.x + c * q.y + y)
            })
            .collect::<Vec<_>>()
    };
    for p in all {
        assert!(there(p).iter().all(|q| q.x > 1.99 && q.y > 1.99 && q.x < 598.01 && q.y < 898.01));
    }
    assert!((all[0]["x"].as_f64().unwrap() - 300.0).abs() < 1e-9);
}

#[test]
fn sixty_pieces_have_a_first_layout_within_a_second() {
    let Some(folder) = shared() else { return };
    let text = std::fs::read_to_string(folder.join("nesting/box60.json")).unwrap();
    let Wanted::Sheets(request) = read_pieces(&text).unwrap() else { panic!("sheets") };
    let begun = std::time::Instant::now();
    let layout = first_layout(&request).unwrap();
    let spent = begun.elapsed().as_secs_f64();
    assert_sound(&request, &layout);
    // Release builds take a tenth of a second; test builds are slower, and the machine may be busy.
    assert!(spent < if cfg!(debug_assertions) { 20.0 } else { 1.0 }, "{spent} s");
}
