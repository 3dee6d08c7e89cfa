//! Cut-outs carried through the layers: square, tapered and leaning, against closed forms.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use std::f64::consts::PI;

use coldwright_geometry::{
    Cutout, GeometryError, Layer, Notice, Outline, Point, Ring, Template, TemplateDepth, TemplatedWall, Vec2,
    WallShape, layers, outline_at,
};
use common::{Dice, area, near, polygon_edges, wall};

const SHEET: [(f64, f64); 4] = [(0., 0.), (600., 0.), (600., 400.), (0., 400.)];
const FOAM: f64 = 240_000.0;

fn pierced(cutout: Cutout, lean: Vec2, z0: f64) -> WallShape {
    let outline = Outline::new(polygon_edges(&SHEET, &[0.0]), vec![cutout]).expect("an outline").0;
    wall(outline.leaning(vec![lean]).expect("a lean"), z0, &[25.0, 40.0])
}

/// The stadium of a circle of radius r moved by d.
fn stadium(r: f64, d: f64) -> f64 {
    PI * r * r + 2.0 * r * d
}

/// The lens common to two circles of radius r whose centres are d apart (two segments; any handbook of mensuration).
fn lens(r: f64, d: f64) -> f64 {
    2.0 * r * r * (d / (2.0 * r)).acos() - 0.5 * d * (4.0 * r * r - d * d).sqrt()
}

#[test]
fn a_hole_that_leans_keeps_its_area_and_moves_with_the_depth() {
    for (tan, turn) in [(0.5_f64, 0.3), (0.2, 2.0), (0.0, 0.0)] {
        let lean = Vec2::from_angle(turn) * tan;
        let centre = Point::new(300.0, 200.0);
        // Drawn as a circle in the layer's plane; its axis leans.
        let circle = Cutout::round("hose", centre, 60.0, Vec2::ZERO);
        let piece = pierced(circle, lean, 10.0);
        // Chords inside the circle take 0.005 mm at most.
        let slack = 2.0 * PI * 30.0 * 0.005;
        for l in &layers(&piece).expect("layers").layers {
            let h = l.to - l.from;
            near(l.area_outer, FOAM - PI * 900.0, slack, "outer");
            near(l.volume, (FOAM - PI * 900.0) * h, slack * h, "Cavalieri");
            near(area(&l.fits), FOAM - stadium(30.0, h * tan), 2.0 * slack, "the hole's way is clear");
            near(area(&l.fills), FOAM - lens(30.0, h * tan), 2.0 * slack, "only what is hole at every depth");
            for (z, rings) in [(l.from, &l.outer.rings), (l.to, &l.inner.rings)] {
                let hole = Ring { outer: rings[0].holes[0].iter().rev().copied().collect(), holes: vec![] };
                let at = hole.bounds().center();
                let want = centre + lean * (z - 10.0);
                assert!(at.distance(want) < 0.01, "{z}: {at:?} for {want:?}");
            }
        }
    }
}

#[test]
fn a_round_hose_square_to_its_own_axis_is_an_ellipse_in_the_layer() {
    let lean = Vec2::new(0.6, 0.8) * 30_f64.to_radians().tan();
    let hose = Cutout::round("hose", Point::new(300.0, 200.0), 40.0, lean);
    let of = Ring { outer: hose.ring.clone(), holes: vec![] };
    near(of.area(), PI * 20.0 * 20.0 / 30_f64.to_radians().cos(), 0.6, "an oblique section of a cylinder");
    let piece = pierced(hose, lean, 0.0);
    // Every wall of the hole at every depth is 20 mm from the axis in space.
    let axis = (lean.x, lean.y, 1.0);
    let l = (axis.0 * axis.0 + axis.1 * axis.1 + 1.0_f64).sqrt();
    for z in [0.0, 17.0, 65.0] {
        for p in &outline_at(&piece, z).expect("a section").rings[0].holes[0] {
            let v = (p.x - 300.0, p.y - 200.0, z);
            let along = (v.0 * axis.0 + v.1 * axis.1 + v.2) / l;
            let off = (v.0 * v.0 + v.1 * v.1 + v.2 * v.2 - along * along).sqrt();
            near(off, 20.0, 1e-4, "distance from the axis");
        }
    }
}

/// Foam common to many depths must hold the fits, and the fills all foam of any depth.
fn holds(piece: &WallShape, l: &Layer, grace: f64) {
    let mut dice = Dice(5);
    let sections: Vec<_> = (0..=60)
        .map(|k| outline_at(piece, l.from + (l.to - l.from) * f64::from(k) / 60.0).expect("a section"))
        .collect();
    let mut counts = (0, 0);
    for _ in 0..4000 {
        let p = Point::new(dice.between(150., 450.), dice.between(50., 350.));
        let at = |rings: &[Ring]| rings.iter().any(|r| r.contains(p));
        let clear = |rings: &[Ring]| rings.iter().all(|r| r.distance_to_boundary(p) > 0.05);
        let (all, any) = (sections.iter().all(|s| at(&s.rings)), sections.iter().any(|s| at(&s.rings)));
        let far = |rings: &[Ring]| rings.iter().all(|r| r.distance_to_boundary(p) > grace);
        if clear(&l.fits) {
            assert!(!at(&l.fits) || all, "binds at {p:?}");
            assert!(at(&l.fits) || !all || !far(&l.fits), "too small at {p:?}");
        }
        if far(&l.fills) {
            assert_eq!(at(&l.fills), any, "{p:?}");
        }
        counts.0 += usize::from(all);
        counts.1 += usize::from(any && !all);
    }
    assert!(counts.0 > 500 && counts.1 > 20, "{counts:?}");
}

#[test]
fn tapered_leaning_and_hollow_holes_neither_bind_nor_leave_foam_missing() {
    let l_shape = [(260., 160.), (340., 160.), (340., 190.), (290., 190.), (290., 240.), (260., 240.)];
    let ring: Vec<Point> = l_shape.iter().map(|p| Point::new(p.0, p.1)).collect();
    for (bevel, lean) in
        [(0.1, Vec2::new(0.4, 0.2)), (0.0, Vec2::new(-0.3, 0.5)), (-0.15, Vec2::new(0.1, -0.6))]
    {
        let piece = pierced(Cutout { name: "stringer".to_owned(), ring: ring.clone(), bevel }, lean, 0.0);
        for l in &layers(&piece).expect("layers").layers {
            // A taper's sixteenth, and steps of a hollow shape of a sixteenth of the way.
            let way = (l.to - l.from) * (lean.hypot() + bevel.abs());
            holds(&piece, l, 0.1 + way / 16.0);
        }
    }
}

#[test]
fn a_leaning_hole_in_a_wall_of_several_templates() {
    let lean = Vec2::new(0.3, -0.1);
    let at = |z: f64, holes: Vec<Cutout>| {
        let leans = vec![lean; holes.len()];
        let outline = Outline::new(polygon_edges(&SHEET, &[0.0]), holes).expect("an outline").0;
        Template { outline: outline.leaning(leans).expect("leans"), depth: TemplateDepth::FromOuter(z) }
    };
    let hose = Cutout::round("hose", Point::new(300.0, 200.0), 60.0, Vec2::ZERO);
    let all = [at(0.0, vec![hose]), at(50.0, vec![])];
    let set = TemplatedWall::new(&all, vec![20.0, 30.0], None).expect("a wall").layers().expect("layers");
    let slack = 2.0 * PI * 30.0 * 0.005;
    for l in &set.layers {
        let h = l.to - l.from;
        near(l.volume, (FOAM - PI * 900.0) * h, slack * h, "volume");
        near(area(&l.fits), FOAM - stadium(30.0, h * lean.hypot()), 2.0 * slack, "fits");
        near(area(&l.fills), FOAM - lens(30.0, h * lean.hypot()), 2.0 * slack, "fills");
    }
}

#[test]
fn a_hole_that_reaches_over_the_edge_of_a_deeper_layer_is_told_once() {
    // The sheet's sides close in by 25 · tan 45° a layer: a hose 45 from an edge with a radius of 30 is whole on the first
    // layer's outer face, 15 from it, and over the edge on its inner face.
    let hose = Cutout::round("hose", Point::new(45.0, 200.0), 60.0, Vec2::ZERO);
    let outline = Outline::new(polygon_edges(&SHEET, &[-45.0]), vec![hose]).expect("an outline").0;
    let of = |thicknesses: &[f64]| wall(outline.clone(), 0.0, thicknesses);
    let told = |thicknesses: &[f64]| -> Vec<String> {
        let set = layers(&of(thicknesses)).expect("layers");
        set.notices
            .iter()
            .filter(|n| matches!(n, Notice::BreaksOut { .. }))
            .map(ToString::to_string)
            .collect()
    };
    assert_eq!(
        told(&[25.0; 3]),
        [
            "The cut-out \"hose\" reaches over the edge of layer 1, at 25.0 mm from the outer face. Move it in, or make it smaller."
        ]
    );
    assert_eq!(told(&[10.0]), Vec::<String>::new());
}

#[test]
fn leans_that_cannot_be_are_refused() {
    let hose = || Cutout::round("hose", Point::new(300.0, 200.0), 60.0, Vec2::ZERO);
    let outline = || Outline::new(polygon_edges(&SHEET, &[0.0]), vec![hose()]).expect("an outline").0;
    assert!(matches!(outline().leaning(vec![]), Err(GeometryError::NotFinite { .. })));
    assert!(matches!(
        outline().leaning(vec![Vec2::new(f64::NAN, 0.0)]),
        Err(GeometryError::NotFinite { .. })
    ));
    assert!(matches!(outline().leaning(vec![Vec2::new(4.0, 0.0)]), Err(GeometryError::BadCutout { .. })));
    let plain = outline().leaning(vec![Vec2::ZERO]).expect("upright");
    assert_eq!(plain, outline());
}
