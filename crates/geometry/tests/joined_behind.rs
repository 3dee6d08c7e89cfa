//! Two boxes with a wall between them.
#![allow(clippy::expect_used, clippy::allow_attributes, reason = "helpers of tests stop a test as tests do")]

use coldwright_geometry::{
    EdgeAt, Joint, PlainBox, fold, inside, joined_layers, plain_box, stand_behind, surfaces,
};

#[test]
fn a_freezer_beside_the_fridge_has_its_own_foam_and_room() {
    // Closed form: each room is its cavity less its own foam all round; the divider is both ends' foam, back to back.
    let fridge = PlainBox { length: 900.0, top: true, ..PlainBox::default() };
    let freezer = PlainBox { length: 450.0, thicknesses: vec![25.4; 5], top: true, ..PlainBox::default() };
    let (mut walls, mut joints) = plain_box(&fridge).expect("a box");
    let (more, others) = plain_box(&freezer).expect("a box");
    let n = walls.len();
    let after = |e: EdgeAt| EdgeAt { wall: e.wall + n, ..e };
    joints.extend(others.iter().map(|j| Joint { a: after(j.a), b: after(j.b), ..*j }));
    walls.extend(more);
    let mut folded = fold(&walls, &joints).expect("folded");
    let rooms = inside(&walls, &joints, &folded).expect("rooms");
    for (one, (l, t)) in rooms.iter().zip([(900.0, 101.6), (450.0, 127.0)]) {
        let room = (l - 2.0 * t) * (500.0 - 2.0 * t) * (550.0 - 2.0 * t);
        assert!((one.room / room - 1.0).abs() < 1e-9, "{} for {room}", one.room);
        let foam: f64 = one.foam.iter().sum();
        assert!((foam / (l * 500.0 * 550.0 - room) - 1.0).abs() < 1e-5, "{foam}");
    }
    // The fridge's forward end and the freezer's aft end.
    let at =
        |name: &str, from: usize| from + walls[from..].iter().position(|w| w.name == name).expect("the wall");
    let (front, back) = (at("forward end", 0), at("aft end", n));
    let moved = stand_behind(&mut folded, &walls, front, back);
    assert_eq!(moved.len(), 6);
    let sets = joined_layers(&walls, &joints).expect("joints");
    let all = surfaces(sets.iter().map(|s| s.as_ref().ok()), &folded);
    let reach = |fridge: bool| {
        let of = all.iter().filter(|s| (s.wall < n) == fridge);
        of.flat_map(|s| s.outer.iter().chain(&s.inner))
            .flat_map(|r| &r.outer)
            .fold((f64::MAX, f64::MIN), |(lo, hi), p| (lo.min(p.x), hi.max(p.x)))
    };
    let (a, b) = (reach(true), reach(false));
    assert!((a.1 - b.0).abs() < 1e-6 && (b.1 - b.0 - 450.0).abs() < 1e-6, "{a:?} {b:?}");
    // Both stand on one level, athwart of nothing.
    let apart = folded.poses[0].origin - folded.poses[n].origin;
    assert!(apart.y.abs() < 1e-6 && apart.z.abs() < 1e-6, "{apart:?}");
    // A wall of the same box is no divider.
    assert!(stand_behind(&mut folded, &walls, 0, front).is_empty());
}
