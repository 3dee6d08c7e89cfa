//! From layers to pieces on sheets: opening, seams, fitting order, layout, shopping list.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;

use coldwright_job::{
    Edit, JointKind, LayerStock, Passes, PieceId, Planner, Quantity, Seam, SeamStyle, Severity, StockSheet,
    WallEdit, WallId, apply, plan, purchases, sheet_request,
};
use common::walls::{join, lay_out, marks, mm, opening, walls};
use kurbo::Point;
use proptest::prelude::*;

#[test]
fn without_an_opening_every_layer_is_one_piece() {
    let p = plan(&walls(&[(900.0, 500.0)], 4));
    assert_eq!(marks(&p), ["Wall 0 1", "Wall 0 2", "Wall 0 3", "Wall 0 4"]);
    assert!(p.pieces.iter().all(|x| x.passes.is_none() && (x.thickness - 25.4).abs() < 1e-9));
}

#[test]
fn a_piece_of_just_the_slot_passes_and_a_wider_one_is_cut_with_staggered_seams() {
    // 12 × 14 in passes 17.453 in of 1 in foam: design.md, an exact sum.
    let inch = 25.4;
    let fits = plan(&opening(&walls(&[(900.0, 17.45 * inch)], 2), 12.0 * inch, 14.0 * inch, None));
    assert_eq!(fits.pieces.len(), 2);
    let Some(Passes::Through { spare }) = fits.pieces[0].passes else {
        unreachable!("{:?}", fits.pieces[0].passes)
    };
    assert!((spare / inch - 0.003).abs() < 0.001, "{spare}");

    let job = opening(&walls(&[(900.0, 17.46 * inch)], 3), 12.0 * inch, 14.0 * inch, None);
    let cut = plan(&job);
    assert_eq!(
        marks(&cut),
        ["Wall 0 1 a", "Wall 0 1 b", "Wall 0 2 a", "Wall 0 2 b", "Wall 0 3 a", "Wall 0 3 b"]
    );
    assert!(cut.pieces.iter().all(|x| x.passes.unwrap().is_through()));
    let lines: Vec<Seam> = cut.seams.iter().map(|s| s.seams[0]).collect();
    for pair in lines.windows(2) {
        let off = (pair[0].from.y - pair[1].from.y).abs().max((pair[0].from.x - pair[1].from.x).abs());
        assert!(off >= job.cutting.stagger.mm() - 1e-6, "{pair:?}");
    }
    let foam: f64 = cut.pieces.iter().map(|x| x.layer.area_outer).sum();
    let kerf: f64 =
        lines.iter().map(|s| s.from.distance(s.to).min(900.0)).sum::<f64>() * job.cutting.kerf.mm();
    let whole = 3.0 * 900.0 * 17.46 * inch;
    assert!((foam - whole).abs() <= kerf + 1e-3 * whole, "{foam} of {whole}");
}

#[test]
fn a_layer_cut_by_hand_or_kept_whole_is_so_and_says_what_fails() {
    let job = opening(&walls(&[(900.0, 500.0)], 1), 300.0, 350.0, None);
    let wall = job.walls[0].id;
    let seams = |s| Edit::SetSeams { wall, layer: 1, seams: Some(s) };
    let whole = plan(&apply(&job, &seams(vec![])).unwrap());
    assert_eq!(whole.pieces.len(), 1);
    assert!(matches!(whole.pieces[0].passes, Some(Passes::Stuck { short }) if short > 40.0));
    let told = whole.shared.iter().find(|p| p.severity == Severity::Stop).unwrap();
    assert!(told.sentence.starts_with("Wall 0 1 is ") && told.sentence.contains("too wide"), "{told}");

    let style = SeamStyle::HalfLap(mm(20.0));
    let at = Seam { from: Point::new(450.0, -1.0), to: Point::new(450.0, 501.0), style };
    let cut = plan(&apply(&job, &seams(vec![at])).unwrap());
    assert_eq!(marks(&cut), ["Wall 0 1 a", "Wall 0 1 b"]);
    assert!(cut.seams[0].by_hand);
    let off = Seam { from: Point::new(2000.0, 0.0), to: Point::new(2000.0, 9.0), style };
    let lost = plan(&apply(&job, &seams(vec![off])).unwrap());
    assert_eq!(lost.pieces.len(), 1, "a seam beside the foam cuts nothing");
    assert!(lost.shared.iter().any(|p| p.sentence.starts_with("Wall 0 1: ")), "{:?}", lost.shared);
}

#[test]
fn what_runs_past_goes_in_before_what_stops_there() {
    let two = walls(&[(900.0, 500.0), (600.0, 500.0)], 2);
    let woven = |first_runs| join(&two, (0, 1), (1, 3), JointKind::Woven { first_runs });
    assert_eq!(marks(&plan(&woven(true))), ["Wall 0 1", "Wall 1 1", "Wall 1 2", "Wall 0 2"]);
    assert_eq!(marks(&plan(&woven(false))), ["Wall 1 1", "Wall 0 1", "Wall 0 2", "Wall 1 2"]);
    let past = join(&two, (0, 1), (1, 3), JointKind::StopsShort);
    assert_eq!(marks(&plan(&past)), ["Wall 1 1", "Wall 1 2", "Wall 0 1", "Wall 0 2"]);
}

#[test]
fn an_order_of_ones_own_is_kept_and_what_it_breaks_is_told() {
    let job = walls(&[(900.0, 500.0)], 3);
    let id = |layer| PieceId { wall: job.walls[0].id, layer, part: 0 };
    let own = apply(&job, &Edit::SetOrder(vec![id(2), id(1)])).unwrap();
    let p = plan(&own);
    assert_eq!(marks(&p), ["Wall 0 2", "Wall 0 1", "Wall 0 3"]);
    assert!(
        p.shared.iter().any(|x| x.sentence.contains("Wall 0 2 goes in before Wall 0 1")),
        "{:?}",
        p.shared
    );
}

#[test]
fn walls_that_each_wait_for_the_next_are_told() {
    let job = walls(&[(500.0, 500.0); 3], 1);
    let job = join(&job, (0, 1), (1, 3), JointKind::RunsPast);
    let job = join(&job, (1, 1), (2, 3), JointKind::RunsPast);
    let round = join(&job, (2, 1), (0, 3), JointKind::RunsPast);
    assert!(plan(&job).shared.is_empty());
    let p = plan(&round);
    assert!(p.shared.iter().any(|x| x.sentence.contains("each wait for the next")), "{:?}", p.shared);
    assert_eq!(marks(&p).len(), 3);
}

#[test]
fn a_kept_layout_holds_until_the_pieces_change() {
    let job = walls(&[(900.0, 500.0), (700.0, 650.0)], 4);
    let kept = lay_out(&job, &plan(&job));
    let p = plan(&kept);
    let laid = p.laid.as_deref().unwrap();
    assert!(laid.is_sound(), "{:?}", laid.faults);
    assert_eq!(laid.layout.placements.len(), 8);
    assert_eq!(laid.used(), vec![laid.layout.sheets.len() as u32]);
    let sheets = purchases(&kept, &p);
    let foam = &sheets[0];
    assert_eq!(foam.unit, Quantity::Pieces);
    assert!(
        foam.what.starts_with("Full sheet") && foam.amount >= laid.layout.sheets.len() as f64,
        "{foam:?}"
    );

    let wall = kept.walls[0].id;
    let more = vec![LayerStock::default(); 5];
    let changed = plan(&apply(&kept, &Edit::Wall(wall, WallEdit::Layers(more))).unwrap());
    assert!(!changed.laid.as_deref().unwrap().is_sound());
    let sentence = &changed.shared.last().unwrap().sentence;
    assert!(sentence.contains("Wall 0 5 lies on no sheet") && sentence.contains("again"), "{sentence}");
}

#[test]
fn a_thickness_without_sheets_is_said_and_near_ones_count_as_one() {
    let job = walls(&[(400.0, 300.0)], 3);
    let wall = job.walls[0].id;
    let thick = |v: f64| LayerStock { thickness: mm(v), ..LayerStock::default() };
    let layers = WallEdit::Layers(vec![thick(25.0), thick(26.1), thick(50.0)]);
    let job = apply(&job, &Edit::Wall(wall, layers)).unwrap();
    let p = plan(&job);
    assert_eq!(sheet_request(&job, &p.pieces).ids.len(), 2);
    assert!(
        p.shared.iter().any(|x| x.sentence.contains("XPS 50.0 mm") && x.sentence.contains("Wall 0 3")),
        "{:?}",
        p.shared
    );
    let none = apply(&job, &Edit::SetStock(vec![])).unwrap();
    assert!(sheet_request(&none, &plan(&none).pieces).ids.is_empty());
}

#[test]
fn sheets_owned_come_before_sheets_bought() {
    let job = walls(&[(900.0, 500.0)], 4);
    let owned = StockSheet { name: "In the shed".to_owned(), owned: Some(2), ..StockSheet::default() };
    let job = apply(&job, &Edit::SetStock(vec![StockSheet::default(), owned])).unwrap();
    let kept = lay_out(&job, &plan(&job));
    let p = plan(&kept);
    assert_eq!(p.laid.as_deref().unwrap().used()[0], 0, "nothing to buy");
    assert!(purchases(&kept, &p).iter().all(|x| x.unit != Quantity::Pieces));
}

#[test]
fn walls_that_close_in_stop_a_straight_push() {
    let closed = |degrees: f64| {
        let t = common::template(&[(0.0, 0.0), (800.0, 0.0), (800.0, 500.0), (0.0, 500.0)], &[degrees]);
        common::job(&t).0
    };
    let binds = |degrees| {
        let told = plan(&closed(degrees)).shared;
        told.iter().find(|p| p.sentence.contains("close in")).map(|p| p.sentence.clone())
    };
    assert_eq!(binds(5.0), None);
    // The outermost layer is 4 × 25.4 × tan 10° larger on each side than the wall's inner face.
    let said = binds(-10.0).unwrap();
    assert!(said.starts_with("Hull side 1 to Hull side 4 stand up to 17.9 mm"), "{said}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    /// Whatever the joints: every piece stands in the order once, and never before what it stops at.
    #[test]
    fn the_order_keeps_what_joints_ask(kinds in prop::collection::vec(0..5_usize, 2), layers in 1..4_usize) {
        let kind = |k: usize| [
            JointKind::RunsPast, JointKind::StopsShort, JointKind::Mitred,
            JointKind::Woven { first_runs: true }, JointKind::Woven { first_runs: false },
        ][k];
        let job = walls(&[(500.0, 500.0); 3], layers);
        let job = join(&job, (0, 1), (1, 3), kind(kinds[0]));
        let job = join(&job, (1, 1), (2, 3), kind(kinds[1]));
        let p = plan(&job);
        let order: Vec<PieceId> = p.fitting_order().iter().map(|x| x.id).collect();
        prop_assert_eq!(order.len(), 3 * layers);
        let place = |wall: WallId, layer: u32| order.iter().position(|o| o.wall == wall && o.layer == layer).unwrap();
        for joint in &job.joints {
            let (a, b) = (joint.a.wall, joint.b.wall);
            for k in 1..=layers as u32 {
                match joint.kind {
                    JointKind::RunsPast => prop_assert!(place(a, k) < place(b, 1)),
                    JointKind::StopsShort => prop_assert!(place(b, k) < place(a, 1)),
                    JointKind::Woven { first_runs } => {
                        let a_runs = first_runs == (k % 2 == 1);
                        prop_assert_eq!(place(a, k) < place(b, k), a_runs);
                    }
                    JointKind::Mitred => {}
                }
            }
        }
    }

    /// A planner that has seen another job gives what a fresh one gives.
    #[test]
    fn what_is_kept_from_the_last_plan_is_never_stale(w in 300.0..900.0_f64, hole in 250.0..500.0_f64) {
        let first = opening(&walls(&[(900.0, 500.0), (600.0, 400.0)], 2), 400.0, 300.0, None);
        let second = opening(&walls(&[(w, 500.0), (600.0, 400.0)], 2), hole, 300.0, None);
        let mut planner = Planner::default();
        planner.plan(&first);
        let (again, fresh) = (planner.plan(&second), plan(&second));
        prop_assert_eq!(marks(&again), marks(&fresh));
        prop_assert_eq!(&*again.seams, &*fresh.seams);
        for (a, b) in again.pieces.iter().zip(fresh.pieces.iter()) {
            prop_assert_eq!(&a.outline, &b.outline);
            prop_assert_eq!(a.passes, b.passes);
        }
    }
}
