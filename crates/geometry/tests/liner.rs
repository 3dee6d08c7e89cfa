//! Spaces that hold no foam, and the liner panel, against closed forms.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use std::f64::consts::PI;

use coldwright_geometry::{
    AsFitted, Bevel, BevelStation, GeometryError, Liner, LinerEdge, Outline, Point, TemplateDepth,
    TrimStation, WallShape, layers, layers_as_fitted, layers_spaced, liner_panel,
};
use common::{area, near, polygon, polygon_edges, wall};

const INCH: f64 = 25.4;
const TRIANGLE: [(f64, f64); 3] = [(0., 0.), (300., 0.), (0., 400.)];

const SHEET: [(f64, f64); 4] = [(0., 0.), (600., 0.), (600., 400.), (0., 400.)];

/// Area of [`SHEET`] less `d` all round.
fn rectangle(d: f64) -> f64 {
    (600.0 - 2.0 * d) * (400.0 - 2.0 * d)
}

/// Check value geo.tri: an inset of d scales the triangle by 1 − d/100 (its inradius is 100).
fn inset(d: f64) -> f64 {
    60_000.0 * (1.0 - d / 100.0).powi(2)
}

#[test]
fn spaced_layers_of_a_pyramid_are_frustums_with_nothing_between() {
    // Frustum volume h/3·(A1 + A2 + √(A1·A2)): Euclid XII; Hero, Metrica II.
    let frustum = |h: f64, a: f64, b: f64| h / 3.0 * (a + b + (a * b).sqrt());
    let t = 20_f64.to_radians().tan();
    let (thick, spaces) = ([INCH, 12.7, 40.0], [3.0, 0.0, 0.25]);
    let piece = wall(polygon(&TRIANGLE, &[-20.0]), 0.0, &thick);
    let set = layers_spaced(&piece, &spaces, &[]).expect("layers");
    let mut z = 0.0;
    for (l, (h, space)) in set.layers.iter().zip(thick.iter().zip(&spaces)) {
        near(l.from, z + space, 1e-12, "from");
        near(l.to, z + space + h, 1e-12, "to");
        let (a, b) = (inset(l.from * t), inset(l.to * t));
        near(l.area_outer, a, 1e-4, "outer");
        near(l.area_inner, b, 1e-4, "inner");
        near(l.volume, frustum(*h, a, b), 1e-5 * l.volume, "volume");
        z = l.to;
    }
    // None at all, and the same as without.
    assert_eq!(layers_spaced(&piece, &[0.0; 3], &[]), layers(&piece));
    assert_eq!(layers_spaced(&piece, &[], &[]), layers(&piece));
    // From the inner face the spaces count: the inner face of the last layer is the template itself.
    let piece = wall(polygon(&SHEET, &[-20.0]), 0.0, &thick);
    let from_inner = WallShape { template_depth: TemplateDepth::FromInner(0.0), ..piece };
    let set = layers_spaced(&from_inner, &spaces, &[]).expect("layers");
    near(set.layers[2].area_inner, 240_000.0, 1e-6, "the template at the inner face");
    near(set.layers[0].area_outer, rectangle(-(z - 3.0) * t), 1e-4, "first layer, the first space off");
}

#[test]
fn trims_and_spaces_go_together() {
    let piece = wall(polygon(&[(0., 0.), (500., 0.), (500., 300.), (0., 300.)], &[0.0]), 0.0, &[INCH; 3]);
    let trim = |layer, trim| AsFitted { layer, edge: 1, stations: vec![TrimStation { at: 0.0, trim }] };
    for fitted in [vec![trim(1, 2.0)], vec![trim(1, 2.0), trim(2, 1.0)]] {
        let plain = layers_as_fitted(&piece, &fitted).expect("layers");
        // Square sides: spaces change depths and nothing else.
        let spaced = layers_spaced(&piece, &[0.0, 1.5, 4.0], &fitted).expect("layers");
        for (p, s) in plain.layers.iter().zip(&spaced.layers) {
            near(s.area_outer, p.area_outer, 1e-9, "outer");
            near(s.volume, p.volume, 1e-6, "volume");
        }
        near(spaced.layers[2].from, 2.0 * INCH + 5.5, 1e-12, "from");
    }
}

#[test]
fn bad_spaces_and_liners_are_refused_with_a_way_out() {
    let piece = wall(polygon(&TRIANGLE, &[0.0]), 0.0, &[INCH, INCH]);
    for spaces in [&[0.0][..], &[0.0; 3], &[0.0, -0.1], &[f64::NAN, 0.0], &[0.0, 1e4]] {
        let e = layers_spaced(&piece, spaces, &[]).expect_err("refused");
        assert!(matches!(e, GeometryError::BadSpace { .. }), "{e}");
    }
    let fine = Liner { sheet: 3.0, bond: 0.5, fillet: 10.0, edges: vec![] };
    let named = |edges| Liner { edges, ..fine.clone() };
    for liner in [
        Liner { sheet: 0.0, ..fine.clone() },
        Liner { sheet: f64::NAN, ..fine.clone() },
        Liner { bond: -0.1, ..fine.clone() },
        Liner { fillet: 200.0, ..fine.clone() },
        named(vec![(9, LinerEdge::Free)]),
        named(vec![(1, LinerEdge::Free), (1, LinerEdge::RunsPast)]),
    ] {
        let e = liner_panel(&piece, &[], &[], &liner).expect_err("refused");
        assert!(matches!(e, GeometryError::BadLiner { .. }), "{e}");
    }
    let large = Liner { sheet: 95.0, ..fine };
    let small = wall(polygon(&TRIANGLE, &[-10.0]), 0.0, &[INCH, INCH]);
    let e = liner_panel(&small, &[], &[], &large).expect_err("nothing left");
    assert!(matches!(e, GeometryError::EmptyAtDepth { layer: 3, .. }), "{e}");
}

#[test]
fn a_panel_is_the_inner_face_less_sheet_and_bond_and_its_flat_less_the_fillets() {
    // Square walls: everything by hand. Common practice, no source: the panel is the inner face of the last layer, less sheet
    // and bond line where the neighbour's panel runs past.
    let piece = wall(polygon(&SHEET, &[0.0]), 0.0, &[INCH, INCH]);
    let mut liner = Liner { sheet: 3.2, bond: 0.8, fillet: 12.7, edges: vec![] };
    let p = liner_panel(&piece, &[0.0, 0.2], &[], &liner).expect("a panel");
    near(p.panel.from, 2.0 * INCH + 0.2 + 0.8, 1e-12, "from");
    near(p.panel.to, 2.0 * INCH + 0.2 + 4.0, 1e-12, "to");
    assert_eq!(p.panel.number, 3);
    near(area(&p.panel.fits), 592.0 * 392.0, 1e-6, "all four stop short by 4 mm");
    near(
        area(&p.clear),
        (592.0 - 25.4) * (392.0 - 25.4),
        1e-6,
        "a fillet's flank is its radius at a square corner",
    );
    near(p.fillet_length, 2.0 * (592.0 + 392.0), 1e-6, "fillets");
    // Check value geo.fillet: r = 12.7 takes 34.61313023 mm² (closed form r²(1 − π/4)).
    near(p.filler, p.fillet_length * 34.613_130_23, 1e-4, "filler");
    // Left edge runs past, top is a free rim.
    liner.edges = vec![(4, LinerEdge::RunsPast), (3, LinerEdge::Free)];
    let p = liner_panel(&piece, &[], &[], &liner).expect("a panel");
    near(area(&p.panel.fits), 596.0 * 396.0, 1e-6, "one runs past, one is free");
    near(
        area(&p.clear),
        (592.0 - 25.4) * (396.0 - 12.7),
        1e-6,
        "the flat ends at the other panel's fillet all the same",
    );
    near(p.fillet_length, 592.0 + 2.0 * 396.0, 1e-6, "no fillet at the rim");
}

#[test]
fn on_leaning_walls_panel_and_fillet_follow_the_angle() {
    for degrees in [-25.0_f64, 15.0] {
        let (t, b) = (degrees.to_radians().tan(), degrees.to_radians());
        let piece = wall(polygon(&SHEET, &[degrees]), 0.0, &[INCH]);
        let liner = Liner { sheet: 4.0, bond: 1.0, fillet: 10.0, edges: vec![] };
        let p = liner_panel(&piece, &[], &[], &liner).expect("a panel");
        // A wall T thick takes T/cos(bevel) in the plane of the panel.
        let back = 5.0 / b.cos();
        let at = |z: f64| rectangle(back - z * t);
        near(p.panel.area_outer, at(INCH + 1.0), 1e-4, "outer face of the panel");
        near(p.panel.area_inner, at(INCH + 5.0), 1e-4, "inner face of the panel");
        near(area(&p.panel.fits), at(INCH + 1.0).min(at(INCH + 5.0)), 1e-4, "cut square, fits");
        // The corner's centre line: equally far (10 mm) from both faces, its foot on the panel is the end of the flat. The
        // neighbour's face runs through the corner line, leaning by b.
        let flat = p.clear[0].bounds();
        let corner = rectangle_side(back - (INCH + 5.0) * t);
        let flank = 0.5 * (corner - flat.width());
        let centre_to_neighbour = flank * b.cos() + 10.0 * b.sin();
        near(centre_to_neighbour, 10.0, 1e-6, "the bead touches both panels");
        near(area(&p.clear), rectangle(back + flank - (INCH + 5.0) * t), 1e-4, "flat");
        // Kite of two flanks less the sector of π − θ.
        let bead = 10.0 * flank - 0.5 * 100.0 * (PI / 2.0 - b);
        near(p.fillet_length, 2.0 * (corner + corner - 200.0), 1e-6, "perimeter of the corner line");
        near(p.filler, bead * p.fillet_length, 1e-6 * p.filler, "filler");
    }
}

fn rectangle_side(d: f64) -> f64 {
    600.0 - 2.0 * d
}

#[test]
fn a_panel_against_a_twisted_side_follows_the_bevel_at_each_place() {
    let mut edges = polygon_edges(&[(0., 0.), (800., 0.), (800., 400.), (0., 400.)], &[0.0]);
    let stations = vec![BevelStation { at: 0.0, angle: -0.1 }, BevelStation { at: 1.0, angle: 0.6 }];
    edges[0].bevel = Bevel::from_stations(stations).expect("stations");
    let bevel = edges[0].bevel.clone();
    let piece = wall(Outline::new(edges, vec![]).expect("an outline").0, 0.0, &[50.0]);
    let liner = Liner { sheet: 4.0, bond: 1.0, ..Liner::default() };
    let p = liner_panel(&piece, &[], &[], &liner).expect("a panel");
    for k in 1..39 {
        let x = 20.0 * f64::from(k);
        let angle = bevel.at(x / 800.0);
        let want = Point::new(x, 5.0 / angle.cos() - 51.0 * angle.tan());
        let d = p.panel.outer.rings[0].distance_to_boundary(want);
        assert!(d < 0.005, "{x}: {d}");
    }
    assert!(p.filler.abs() < 1e-12 && p.fillet_length.abs() < 1e-12, "no fillet asked for");
}
