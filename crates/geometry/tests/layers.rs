//! Layers against closed forms.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use std::f64::consts::PI;

use coldwright_geometry::{
    Bevel, BevelStation, Edge, EdgeKind, GeometryError, Notice, Outline, Point, Proud, Section, layers,
    outline_at,
};
use common::{near, polygon, polygon_edges, side, tick, wall};

const INCH: f64 = 25.4;

/// Frustum volume h/3·(A1 + A2 + √(A1·A2)): Euclid XII, Hero, Metrica II; in any handbook of mensuration.
fn frustum(h: f64, a1: f64, a2: f64) -> f64 {
    h / 3.0 * (a1 + a2 + (a1 * a2).sqrt())
}

#[test]
fn a_pyramid_on_any_polygon_gives_frustums() {
    // All sides lean so as to meet in one point above the incentre of a triangle, check value geo.tri: (0,0) (300,0) (0,400), inradius 100.
    for degrees in [5.0, 15.0, 40.0] {
        let t = f64::to_radians(degrees).tan();
        let piece = wall(polygon(&[(0., 0.), (300., 0.), (0., 400.)], &[-degrees]), 0.0, &[INCH, 12.7, 40.0]);
        let set = layers(&piece).expect("layers");
        for layer in &set.layers {
            // geo.tri: an inset of d scales the triangle by 1 − d/100.
            let scaled = |z: f64| 60_000.0 * (1.0 - z * t / 100.0).powi(2);
            near(layer.area_outer, scaled(layer.from), 1e-3, "outer area");
            near(layer.area_inner, scaled(layer.to), 1e-3, "inner area");
            let h = layer.to - layer.from;
            let want = frustum(h, scaled(layer.from), scaled(layer.to));
            near(layer.volume, want, 1e-5 * want, "volume");
            near(layer.wedge, want - h * scaled(layer.to), 1e-5 * want, "wedge");
            near(layer.excess, h * scaled(layer.from) - want, 1e-5 * want, "excess");
            near(layer.largest_gap, h * t, 1e-9, "gap");
            near(layer.steepest_bevel, degrees.to_radians(), 1e-12, "bevel");
            assert!(layer.bevels.iter().all(|m| m.proud == Proud::HullFace) && layer.bevels.len() == 3);
        }
    }
}

#[test]
fn one_inch_layers_on_slopes_follow_the_taper_table() {
    // Check value geo.taper: set-back t·tan a, wedge area t²·tan a/2 for a 25.4 mm layer.
    for (degrees, back, wedge) in [
        (5.0, 2.2222, 28.2221),
        (10.0, 4.4787, 56.8796),
        (15.0, 6.8059, 86.4351),
        (20.0, 9.2448, 117.4095),
        (25.0, 11.8442, 150.4215),
        (30.0, 14.6647, 186.2416),
        (45.0, 25.4, 322.58),
    ] {
        // One sloping side of 1000 mm, the others square.
        let piece = wall(
            polygon(&[(0., 0.), (1000., 0.), (1000., 500.), (0., 500.)], &[degrees, 0., 0., 0.]),
            0.0,
            &[INCH],
        );
        let layer = &layers(&piece).expect("layers").layers[0];
        near(layer.largest_gap, back, 1e-4, "set-back");
        near(layer.wedge, wedge * 1000.0, 0.1, "wedge");
        near(layer.excess, wedge * 1000.0, 0.1, "excess");
        near(layer.inner.rings[0].bounds().y0, -back, 1e-4, "inner face");
    }
}

#[test]
fn plain_offsets_of_the_check_values() {
    // Check values geo.sq.offset, geo.L, geo.tri, geo.trap (mitred corners). The distance comes from a 45° bevel.
    let grown = |points: &[(f64, f64)], d: f64| -> Section {
        let piece = wall(polygon(points, &[45.0]), 0.0, &[10.0]);
        outline_at(&piece, d).expect("a section")
    };
    let square = [(0., 0.), (100., 0.), (100., 100.), (0., 100.)];
    near(grown(&square, 10.0).area(), 14_400.0, 1e-6, "square out");
    near(grown(&square, -10.0).area(), 6_400.0, 1e-6, "square in");
    assert!(grown(&square, -60.0).rings.is_empty(), "an inset past the middle leaves nothing");
    let l = [(0., 0.), (200., 0.), (200., 100.), (100., 100.), (100., 200.), (0., 200.)];
    near(grown(&l, 0.0).area(), 30_000.0, 1e-6, "L");
    near(grown(&l, 0.0).rings[0].perimeter(), 800.0, 1e-6, "L perimeter");
    near(grown(&l, 10.0).area(), 38_400.0, 1e-6, "L out");
    near(grown(&l, -10.0).area(), 22_400.0, 1e-6, "L in");
    let tri = [(0., 0.), (300., 0.), (0., 400.)];
    near(grown(&tri, -20.0).area(), 38_400.0, 1e-6, "triangle in");
    assert!(grown(&tri, -100.0).area() < 1.0, "triangle in by its inradius");
    let trap = [(0., 0.), (600., 0.), (500., 400.), (100., 400.)];
    near(grown(&trap, 0.0).area(), 200_000.0, 1e-6, "trapezoid");
    near(polygon(&trap, &[0.0]).perimeter(), 1824.621, 1e-3, "trapezoid perimeter");
    near(polygon(&tri, &[0.0]).perimeter(), 1200.0, 1e-9, "triangle perimeter");
}

#[test]
fn a_neck_of_ten_parts_in_two_and_is_told() {
    let dumbbell = [
        (0., 0.),
        (100., 0.),
        (100., 45.),
        (140., 45.),
        (140., 0.),
        (240., 0.),
        (240., 100.),
        (140., 100.),
        (140., 55.),
        (100., 55.),
        (100., 100.),
        (0., 100.),
    ];
    let piece = wall(polygon(&dumbbell, &[-45.0]), 0.0, &[8.0]);
    let set = layers(&piece).expect("layers");
    let inner = &set.layers[0].inner;
    assert_eq!(inner.rings.len(), 2);
    near(inner.area(), 2.0 * 84.0 * 84.0, 1e-6, "two squares");
    assert!(
        set.notices.iter().any(|n| matches!(n, Notice::NarrowNeckLost { parts: 2, layer: Some(1), .. })),
        "{:?}",
        set.notices
    );
    assert!(
        set.notices.iter().filter(|n| matches!(n, Notice::EdgeVanished { .. })).count() >= 2,
        "{:?}",
        set.notices
    );
    // Volume: two boxes and a neck 10 − 2z wide that closes at 5 mm and is longer by 2z (the ends open as the squares shrink).
    // A(z) = 2(100 − 2z)² + (40 + 2z)(10 − 2z) below 5 mm, then without the neck.
    let boxes = 2.0 * (100.0_f64.powi(3) - 84.0_f64.powi(3)) / 6.0;
    let neck = (0..5_000)
        .map(|k| {
            let z = (f64::from(k) + 0.5) / 1000.0;
            (40.0 + 2.0 * z) * (10.0 - 2.0 * z) / 1000.0
        })
        .sum::<f64>();
    let volume = set.layers[0].volume;
    near(volume, boxes + neck, 1e-5 * volume, "volume across the neck's end");
}

#[test]
fn an_empty_layer_is_an_error_that_names_the_depth() {
    let piece = wall(polygon(&[(0., 0.), (100., 0.), (100., 40.), (0., 40.)], &[-30.0]), 0.0, &[20.0, 20.0]);
    match layers(&piece) {
        Err(e @ GeometryError::EmptyAtDepth { layer: 2, .. }) => {
            assert!(e.to_string().contains("40.0 mm"), "{e}");
        }
        other => panic!("{other:?}"),
    }
    let bad = |t: f64| {
        layers(&wall(polygon(&[(0., 0.), (100., 0.), (100., 40.), (0., 40.)], &[0.0]), 0.0, &[20.0, t]))
    };
    for t in [-1.0, 0.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(bad(t), Err(GeometryError::NegativeThickness { layer: 2, .. })), "{t}");
    }
}

/// A disc of `n` fair edges that share ticks on a circle, all of one bevel.
fn disc(radius: f64, n: usize, ticks: usize, degrees: f64) -> Outline {
    let at = |k: usize| {
        let w = 2.0 * PI * k as f64 / (n * ticks) as f64;
        tick((k % (n * ticks)) as u32, radius * w.cos(), radius * w.sin(), 0.1)
    };
    let edges = (0..n)
        .map(|i| Edge {
            id: i as u32,
            name: format!("arc {i}"),
            kind: EdgeKind::Fair,
            ticks: (0..=ticks).map(|k| at(i * ticks + k)).collect(),
            bevel: Bevel::constant(f64::to_radians(degrees)).expect("a bevel"),
            gap: 0.0,
            smoothing: 0.0,
        })
        .collect();
    Outline::new(edges, vec![]).expect("a disc").0
}

#[test]
fn a_cone_from_one_template_with_bevels() {
    // Frustum of a right circular cone: the offset of a circle is a circle (R + z·tan b).
    for (n, ticks) in [(4, 12), (2, 24), (3, 40)] {
        for degrees in [-35.0_f64, -10.0, 12.0, 30.0] {
            let (r, t) = (400.0, degrees.to_radians().tan());
            let piece = wall(disc(r, n, ticks, degrees), 10.0, &[INCH, INCH, 50.0]);
            let set = layers(&piece).unwrap_or_else(|e| panic!("{n} {degrees}: {e}"));
            let mut worst = 0.0_f64;
            for layer in &set.layers {
                for (z, section) in [(layer.from, &layer.outer), (layer.to, &layer.inner)] {
                    let want = r + (z - 10.0) * t;
                    for p in &section.rings[0].outer {
                        worst = worst.max((p.to_vec2().hypot() - want).abs());
                    }
                    near(section.area(), PI * want * want, 1e-5 * PI * want * want, "area");
                }
                let (a, b) =
                    (PI * (r + (layer.from - 10.0) * t).powi(2), PI * (r + (layer.to - 10.0) * t).powi(2));
                let want = frustum(layer.to - layer.from, a, b);
                near(layer.volume, want, 1e-5 * want, "volume");
            }
            assert!(worst < 0.01, "{n} arcs of {ticks}, {degrees}°: {worst} mm off");
        }
    }
}

#[test]
fn a_disc_moved_in_past_its_middle_is_gone_and_not_turned_inside_out() {
    let piece = wall(disc(100.0, 4, 12, -45.0), 0.0, &[10.0]);
    for z in [99.9, 100.1, 120.0, 150.0, 190.0] {
        let section = outline_at(&piece, z).expect("a section");
        assert!(section.area() < 1.0, "{z}: {}", section.area());
    }
    near(outline_at(&piece, 90.0).expect("a section").area(), PI * 100.0, 0.5, "a small disc");
}

#[test]
fn a_plane_cut_obliquely() {
    // A box with one leaning end: the wall of a wedge. Section at z is a rectangle shortened by z·tan b: an oblique plane
    // cut; volume of a truncated prism = base × mean height (Legendre, Éléments de géométrie VI).
    for degrees in [7.0_f64, 33.0, 60.0] {
        let t = degrees.to_radians().tan();
        let piece = wall(
            polygon(&[(0., 0.), (600., 0.), (600., 300.), (0., 300.)], &[0., -degrees, 0., 0.]),
            0.0,
            &[50.0, 75.0],
        );
        let set = layers(&piece).expect("layers");
        for l in &set.layers {
            let h = l.to - l.from;
            let want = 300.0 * h * (600.0 - 0.5 * (l.from + l.to) * t);
            near(l.volume, want, 1e-5 * want, "truncated prism");
            near(l.inner.rings[0].bounds().x1, 600.0 - l.to * t, 1e-6, "end");
        }
    }
}

#[test]
fn a_bevel_at_stations_makes_a_ruled_surface() {
    // A straight side whose bevel runs so that tan rises by stations: at depth z the point at x stands z·tan(b(x)) out.
    let mut edges = polygon_edges(&[(0., 0.), (800., 0.), (800., 400.), (0., 400.)], &[0.0]);
    let stations = vec![
        BevelStation { at: 0.0, angle: 0.0 },
        BevelStation { at: 0.5, angle: 0.25 },
        BevelStation { at: 1.0, angle: -0.1 },
    ];
    edges[0].bevel = Bevel::from_stations(stations).expect("stations");
    let piece = wall(Outline::new(edges.clone(), vec![]).expect("an outline").0, 0.0, &[60.0]);
    let set = layers(&piece).expect("layers");
    let inner = &set.layers[0].inner.rings[0];
    for k in 1..80 {
        let x = 10.0 * f64::from(k);
        let want = -60.0 * edges[0].bevel.at(x / 800.0).tan();
        let d = inner.distance_to_boundary(Point::new(x, want));
        assert!(d < 0.002, "{x}: {d}");
    }
    assert_eq!(set.layers[0].bevels.iter().filter(|m| m.edge == 1).count(), 3, "a mark at each station");
    near(set.layers[0].largest_gap, 60.0 * 0.25_f64.tan(), 1e-9, "gap at the middle station");
    near(set.layers[0].largest_gap_at.x, 400.0, 1e-6, "its place");
}

#[test]
fn gaps_are_taken_in_the_layers_plane() {
    let mut edges = polygon_edges(&[(0., 0.), (500., 0.), (500., 300.), (0., 300.)], &[0.0, 20.0]);
    for e in &mut edges {
        e.gap = 1.5;
    }
    let piece = wall(Outline::new(edges, vec![]).expect("an outline").0, 20.0, &[INCH, INCH]);
    for z in [0.0, 20.0, 50.0] {
        let grow = 2.0 * (z - 20.0) * 20.0_f64.to_radians().tan();
        near(outline_at(&piece, z).expect("a section").area(), (500.0 + grow - 3.0) * 297.0, 1e-6, "gap");
    }
}

#[test]
fn a_running_away_corner_is_cut_square() {
    // A corner of 20°: the crossing of the moved sides lies 1/sin 10° = 5.8 distances away.
    let w = 20.0_f64.to_radians();
    let points = [(0., 0.), (600., 0.), (600. * w.cos(), 600. * w.sin())];
    let piece = wall(polygon(&points, &[30.0]), 0.0, &[40.0]);
    let set = layers(&piece).expect("layers");
    let d = 40.0 * 30.0_f64.to_radians().tan();
    assert!(set.notices.iter().any(
        |n| matches!(n, Notice::CornerCutSquare { at, layer: Some(1), .. } if at.to_vec2().hypot() < 1e-6)
    ));
    for p in &set.layers[0].inner.rings[0].outer {
        assert!(p.x > -d - 1e-6, "cut square: {p:?}");
    }
    // Moved in, the sides cross inside: no square cut.
    let piece = wall(polygon(&points, &[-30.0]), 0.0, &[40.0]);
    let set = layers(&piece).expect("layers");
    assert!(!set.notices.iter().any(|n| matches!(n, Notice::CornerCutSquare { .. })), "{:?}", set.notices);
}

#[test]
fn a_side_bent_inward_tells_its_tightest_radius() {
    // A hollow arc of radius 500 on top; moved out by d its radius is 500 − d.
    let arc = |k: i32| {
        let x = 30.0 * f64::from(k);
        (x, 600.0 - (500.0_f64.powi(2) - (x - 150.0).powi(2)).sqrt())
    };
    let ticks = (0..=10)
        .rev()
        .map(|k| {
            let p = arc(k);
            tick(k as u32, p.0, p.1, 0.1)
        })
        .collect::<Vec<_>>();
    let corner = |k: i32| (k as u32, Point::new(arc(k).0, arc(k).1));
    let p = |x: f64, y: f64| Point::new(x, y);
    let mut fair = side(1, corner(10), corner(0), 20.0);
    (fair.kind, fair.ticks) = (EdgeKind::Fair, ticks);
    let edges = vec![
        fair,
        side(2, corner(0), (50, p(0., -100.)), 0.0),
        side(3, (50, p(0., -100.)), (51, p(300., -100.)), 0.0),
        side(4, (51, p(300., -100.)), corner(10), 0.0),
    ];
    let (outline, notices) = Outline::new(edges, vec![]).expect("an outline");
    assert!(notices.is_empty(), "{notices:?}");
    let layer = &layers(&wall(outline, 0.0, &[50.0])).expect("layers").layers[0];
    let want = 500.0 - 50.0 * 20.0_f64.to_radians().tan();
    near(layer.tightest_inside_radius.expect("hollow"), want, 5.0, "tightest inside radius");
    assert!(layer.inner.rings[0].outer.len() > 20);
}
