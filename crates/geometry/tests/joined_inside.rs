//! The room inside joined walls against closed forms, and what fills the rest of the cavity.
#![expect(clippy::unwrap_used, clippy::expect_used, reason = "a test may stop where it stands")]

#[path = "common/boxes.rs"]
mod boxes;
mod common;

use boxes::KINDS;
use coldwright_geometry::{
    BoxWall, Facet, Joint, JointKind, PlainBox, Stand, Xyz, faceted_box, fold, inside, joined_layers,
    plain_box,
};
use proptest::prelude::*;

fn foam(walls: &[BoxWall], joints: &[Joint]) -> f64 {
    let sets = joined_layers(walls, joints).unwrap();
    sets.iter().flat_map(|s| &s.as_ref().unwrap().layers).map(|l| l.volume).sum()
}

fn near(got: f64, want: f64, share: f64, what: &str) {
    assert!((got / want - 1.0).abs() <= share, "{what}: {got} instead of {want}");
}

/// Volume of a frustum between two parallel rectangles whose sides change in proportion to height: the prismatoid rule.
fn prismatoid(h: f64, a: f64, m: f64, b: f64) -> f64 {
    h / 6.0 * (a + 4.0 * m + b)
}

#[test]
fn an_open_box_of_every_joint_keeps_its_closed_form_room() {
    for kind in KINDS {
        let (walls, joints) = plain_box(&PlainBox { kind, ..PlainBox::default() }).unwrap();
        let one = inside(&walls, &joints, &fold(&walls, &joints).unwrap()).unwrap().remove(0);
        let t = 101.6;
        let (cavity, room) = (900.0 * 500.0 * 550.0, (900.0 - 2.0 * t) * (500.0 - 2.0 * t) * (550.0 - t));
        near(one.cavity, cavity, 1e-9, "cavity");
        near(one.room, room, 1e-9, "room");
        near(foam(&walls, &joints), cavity - room, 1e-5, "foam");
        let half = one.below[one.below.len() / 2];
        near(half.1, 0.5 * room, 1e-9, "half full");
    }
}

#[test]
fn a_leaning_side_and_unequal_layers_add_up() {
    // 4 layers on most walls, 3 on the two ends, the hull side at 25°: room is a prism of trapezium section, school geometry.
    let lean = 25_f64.to_radians();
    for kind in KINDS {
        let typed = PlainBox { lean, kind, top: true, ..PlainBox::default() };
        let (mut walls, joints) = plain_box(&typed).unwrap();
        for w in walls.iter_mut().filter(|w| w.name.ends_with("end")) {
            w.shape.thicknesses = vec![20.0, 30.0, 25.4];
        }
        let one = inside(&walls, &joints, &fold(&walls, &joints).unwrap()).unwrap().remove(0);
        let (l, w, d, t, e) = (900.0, 500.0, 550.0, 101.6, 75.4);
        let cavity = l * d * (w + 0.5 * d * lean.tan());
        let width = |h: f64| w + h * lean.tan() - t - t / lean.cos();
        let (low, high) = (width(t), width(d - t));
        let room = (l - 2.0 * e) * (d - 2.0 * t) * 0.5 * (low + high);
        near(one.cavity, cavity, 1e-9, "cavity");
        near(one.room, room, 1e-9, "room");
        if kind != JointKind::Mitred {
            near(foam(&walls, &joints), cavity - room, 1e-5, &format!("foam {kind:?}"));
        }
    }
}

/// A frustum on a rectangle: bottom 600 × 400, top 800 × 560, 500 high.
fn frustum(kind: JointKind) -> (Vec<BoxWall>, Vec<Joint>) {
    let level = |x: f64, y: f64, z: f64| {
        [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(a, b)| Xyz::new(0.5 * a, 0.5 * b, z))
    };
    let corners = [level(600.0, 400.0, 0.0), level(800.0, 560.0, 500.0)].concat();
    let facet = |name: &str, stand, corners: [usize; 4]| Facet {
        name: name.to_owned(),
        stand,
        corners: corners.to_vec(),
        thicknesses: vec![25.4; 3],
    };
    let facets = [
        facet("floor", Stand::Floor, [0, 1, 2, 3]),
        facet("port side", Stand::Side, [3, 2, 6, 7]),
        facet("starboard side", Stand::Side, [1, 0, 4, 5]),
        facet("aft end", Stand::Side, [0, 3, 7, 4]),
        facet("forward end", Stand::Side, [2, 1, 5, 6]),
        facet("top", Stand::Top, [7, 6, 5, 4]),
    ];
    faceted_box(&corners, &facets, 1.0, |_, _| kind).unwrap()
}

#[test]
fn a_frustum_adds_up() {
    let t = 76.2;
    for kind in KINDS {
        let (walls, joints) = frustum(kind);
        let one = inside(&walls, &joints, &fold(&walls, &joints).unwrap()).unwrap().remove(0);
        let cavity = prismatoid(500.0, 600.0 * 400.0, 700.0 * 480.0, 800.0 * 560.0);
        near(one.cavity, cavity, 1e-9, "cavity");
        // Each side leans out by 100 (or 80) in 500; its inner face stands t / cos of the lean farther in at each height.
        let (a, b) = ((100.0_f64 / 500.0).atan(), (80.0_f64 / 500.0).atan());
        let side = |h: f64| {
            (600.0 + 2.0 * h * a.tan() - 2.0 * t / a.cos(), 400.0 + 2.0 * h * b.tan() - 2.0 * t / b.cos())
        };
        let area = |h: f64| side(h).0 * side(h).1;
        let room = prismatoid(500.0 - 2.0 * t, area(t), area(250.0), area(500.0 - t));
        near(one.room, room, 1e-9, "room");
        near(foam(&walls, &joints), cavity - room, 1e-5, &format!("foam {kind:?}"));
    }
}

#[test]
fn an_l_shaped_box_with_a_notch_adds_up() {
    // A step over an engine: the section in x and z is an L, 900 × 500 less 300 × 200 at the lower aft end; 600 wide.
    let ring = [(300.0, 0.0), (900.0, 0.0), (900.0, 500.0), (0.0, 500.0), (0.0, 200.0), (300.0, 200.0)];
    let corners: Vec<Xyz> =
        [0.0, 600.0].iter().flat_map(|y| ring.iter().map(move |(x, z)| Xyz::new(*x, *y, *z))).collect();
    let facet = |name: &str, stand, corners: Vec<usize>| Facet {
        name: name.to_owned(),
        stand,
        corners,
        thicknesses: vec![25.4; 2],
    };
    // Wound so that the inside lies on the left of every edge seen from inside: as the other boxes here.
    let facets = [
        facet("floor", Stand::Floor, vec![0, 1, 7, 6]),
        facet("forward end", Stand::Side, vec![7, 1, 2, 8]),
        facet("aft end", Stand::Side, vec![4, 10, 9, 3]),
        facet("step", Stand::Floor, vec![4, 5, 11, 10]),
        facet("riser", Stand::Side, vec![0, 6, 11, 5]),
        facet("starboard side", Stand::Side, vec![1, 0, 5, 4, 3, 2]),
        facet("port side", Stand::Side, vec![6, 7, 8, 9, 10, 11]),
    ];
    for kind in KINDS {
        let (walls, joints) = faceted_box(&corners, &facets, 1.0, |_, _| kind).unwrap();
        let one = inside(&walls, &joints, &fold(&walls, &joints).unwrap()).unwrap().remove(0);
        let t = 50.8;
        let cavity = 600.0 * (900.0 * 500.0 - 300.0 * 200.0);
        let room = (600.0 - 2.0 * t) * ((900.0 - 2.0 * t) * (500.0 - t) - 300.0 * 200.0);
        assert!(one.left_over.abs() < 1e-9 * cavity, "{} mm³ left over", one.left_over);
        near(one.cavity, cavity, 1e-9, "cavity");
        near(one.room, room, 1e-9, &format!("room {kind:?}"));
        near(foam(&walls, &joints), cavity - room, 1e-5, &format!("foam {kind:?}"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Any typed box: the room below grows with height and ends at the whole, and foam and room never exceed the cavity.
    #[test]
    fn volumes_are_in_order(
        l in 400.0..1500.0_f64, w in 350.0..900.0_f64, d in 350.0..900.0_f64, lean in -10.0..35.0_f64,
        n in 1..4_usize, kind in 0..5_usize, top in any::<bool>(),
    ) {
        let typed = PlainBox {
            length: l, width: w, depth: d, lean: lean.to_radians(), thicknesses: vec![25.4; n], top, kind: KINDS[kind], sd: 1.0,
        };
        let (walls, joints) = plain_box(&typed).unwrap();
        let all = inside(&walls, &joints, &fold(&walls, &joints).unwrap()).unwrap();
        prop_assert_eq!(all.len(), 1);
        let one = &all[0];
        prop_assert!(one.below.windows(2).all(|p| p[1].1 >= p[0].1 - 1e-6));
        prop_assert!((one.below.last().unwrap().1 - one.room).abs() < 1e-6 * one.room);
        // Without a top the upper edges are cut square to their walls: of a leaning wall the foam there rises over the brim.
        prop_assert!(!top || foam(&walls, &joints) + one.room <= one.cavity * (1.0 + 1e-9));
    }
}
