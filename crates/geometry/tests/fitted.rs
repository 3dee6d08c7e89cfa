//! Trims carried to later layers, a lid of steps and cut-outs with bevels, against sums by hand.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{
    AsFitted, Cutout, GeometryError, Lid, LidStep, Outline, Point, Ring, TrimStation, WallShape, layers,
    layers_as_fitted,
};
use common::{polygon, polygon_edges, wall};

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} for {want}, off by {}", got - want);
}

fn piece() -> WallShape {
    wall(polygon(&[(0., 0.), (600., 0.), (600., 400.), (0., 400.)], &[8.0, 0.0, 0.0, 0.0]), 0.0, &[20.0; 4])
}

fn trim(layer: usize, edge: u32, all: &[(f64, f64)]) -> AsFitted {
    let stations = all.iter().map(|(at, trim)| TrimStation { at: *at, trim: *trim }).collect();
    AsFitted { layer, edge, stations }
}

#[test]
fn a_trim_moves_the_edge_of_later_layers_only() {
    let before = layers(&piece()).expect("layers");
    let fitted = [trim(2, 2, &[(0.5, 3.0)])];
    let after = layers_as_fitted(&piece(), &fitted).expect("layers");
    for (a, b) in after.layers.iter().zip(&before.layers) {
        let off = if a.number > 2 { 3.0 } else { 0.0 };
        near(a.outer.rings[0].bounds().x1, 600.0 - off, 1e-9, "right side");
        near(a.inner.rings[0].bounds().x1, 600.0 - off, 1e-9, "right side");
        near(b.area_outer - a.area_outer, off * b.outer.rings[0].bounds().height(), 1e-6, "area");
        assert!(a.number <= 2 || a.volume < b.volume);
        assert!(a.number > 2 || a == b, "layers already cut stay as they are");
    }
    // Taken again from layer 3 it adds up; a layer that was short grows the next ones.
    let both = layers_as_fitted(&piece(), &[fitted[0].clone(), trim(3, 2, &[(0.0, -1.0)])]).expect("layers");
    near(both.layers[2].outer.rings[0].bounds().x1, 597.0, 1e-9, "layer 3");
    near(both.layers[3].outer.rings[0].bounds().x1, 598.0, 1e-9, "layer 4");
    assert_eq!(layers_as_fitted(&piece(), &[]).expect("layers"), before);
}

#[test]
fn a_trim_that_changes_along_a_bevelled_edge_is_a_sloping_cut() {
    // Edge 1 runs along the bottom, leaning 8° out; trimmed by 0 at its start and 6 mm at its end: a triangle of 6 by 600.
    let fitted = [trim(1, 1, &[(1.0, 6.0), (0.0, 0.0)])];
    let (before, after) =
        (layers(&piece()).expect("layers"), layers_as_fitted(&piece(), &fitted).expect("layers"));
    for (a, b) in after.layers.iter().zip(&before.layers).skip(1) {
        near(b.area_outer - a.area_outer, 0.5 * 6.0 * 600.0, 1e-6, "triangle");
        near(b.volume - a.volume, 0.5 * 6.0 * 600.0 * 20.0, 1e-6 * b.volume, "wedge-shaped slice");
    }
    assert_eq!(after.layers[0], before.layers[0]);
}

#[test]
fn bad_trims_are_refused_in_words() {
    let bad = |f: AsFitted| {
        let e = layers_as_fitted(&piece(), &[f]).expect_err("refused");
        assert!(matches!(e, GeometryError::BadTrim { .. }) && e.to_string().contains(';'), "{e}");
    };
    bad(trim(0, 1, &[(0.5, 1.0)]));
    bad(trim(5, 1, &[(0.5, 1.0)]));
    bad(trim(1, 9, &[(0.5, 1.0)]));
    bad(trim(1, 1, &[]));
    bad(trim(1, 1, &[(1.5, 1.0)]));
    bad(trim(1, 1, &[(0.5, f64::NAN)]));
    bad(trim(1, 1, &[(0.5, 101.0)]));
    bad(trim(1, 1, &[(0.5, 1.0), (0.5, 2.0)]));
}

#[test]
fn a_lid_of_three_steps() {
    let ring =
        |w: f64, h: f64| vec![Point::new(0., 0.), Point::new(w, 0.), Point::new(w, h), Point::new(0., h)];
    let lid = Lid {
        opening: Ring { outer: ring(500.0, 400.0), holes: vec![] },
        steps: [0.0, 12.0, 15.0].map(|ledge| LidStep { thickness: 25.4, ledge }).to_vec(),
        draft: 4_f64.to_radians(),
        clearance: 3.0,
    };
    let t = 4_f64.to_radians().tan();
    for (layers, clearance) in [(lid.layers().expect("layers"), 3.0), (lid.hole().expect("a hole"), 0.0)] {
        for (i, l) in layers.iter().enumerate() {
            let back = clearance + [0.0, 12.0, 27.0][i];
            let sides = |z: f64| (500.0 - 2.0 * (back + z * t), 400.0 - 2.0 * (back + z * t));
            for (z, rings) in [(l.from, &l.top), (l.to, &l.bottom)] {
                let b = rings[0].bounds();
                near(b.width(), sides(z).0, 1e-6, "width");
                near(b.height(), sides(z).1, 1e-6, "height");
            }
            // A prismatoid: h/6·(A + 4M + B), Newton; in any handbook of mensuration.
            let area = |z: f64| sides(z).0 * sides(z).1;
            let want = 25.4 / 6.0 * (area(l.from) + 4.0 * area(l.from + 12.7) + area(l.to));
            near(l.volume, want, 1e-7 * want, "volume");
            near(l.to - l.from, 25.4, 1e-12, "thickness");
        }
    }
    let none = Lid { steps: vec![LidStep { thickness: 25.4, ledge: 198.0 }], ..lid.clone() };
    assert!(matches!(none.layers(), Err(GeometryError::EmptyAtDepth { layer: 1, .. })));
    assert!(matches!(Lid { draft: 1.5, ..lid.clone() }.layers(), Err(GeometryError::NotFinite { .. })));
    assert!(matches!(Lid { steps: vec![], ..lid.clone() }.layers(), Err(GeometryError::NoLayers)));
    assert!(matches!(Lid { clearance: f64::NAN, ..lid }.layers(), Err(GeometryError::NotFinite { .. })));
}

#[test]
fn a_cutout_with_its_own_bevel() {
    let hole = |degrees: f64| Cutout {
        name: "drain".to_owned(),
        ring: [(100., 100.), (200., 100.), (200., 180.), (100., 180.)].map(|p| Point::new(p.0, p.1)).to_vec(),
        bevel: f64::to_radians(degrees),
    };
    let corners = [(0., 0.), (600., 0.), (600., 400.), (0., 400.)];
    let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
    for (degrees, lean) in [(0.0, 5.0), (10.0, 5.0), (-10.0, 5.0), (20.0, -5.0), (-20.0, -5.0)] {
        let (outline, _) =
            Outline::new(polygon_edges(&corners, &[lean]), vec![hole(degrees)]).expect("an outline");
        let set = layers(&wall(outline, 0.0, &[25.4, 25.4])).expect("layers");
        let (s, t) = (f64::to_radians(lean).tan(), f64::to_radians(degrees).tan());
        let outer = |z: f64| (600.0 + 2.0 * z * s) * (400.0 + 2.0 * z * s);
        // The foam grows into the hole where the bevel is open.
        let inner = |z: f64| (100.0 - 2.0 * z * t) * (80.0 - 2.0 * z * t);
        for l in &set.layers {
            let (a, b) = (l.from, l.to);
            near(l.area_outer, outer(a) - inner(a), 1e-4, "outer face");
            near(l.area_inner, outer(b) - inner(b), 1e-4, "inner face");
            let m = 0.5 * (a + b);
            let at = |z: f64| outer(z) - inner(z);
            let want = (b - a) / 6.0 * (at(a) + 4.0 * at(m) + at(b));
            near(l.volume, want, 1e-6 * want, "volume");
            near(area(&l.fits), outer(a).min(outer(b)) - inner(a).max(inner(b)), 1e-3, "fits");
            near(area(&l.fills), outer(a).max(outer(b)) - inner(a).min(inner(b)), 1e-3, "fills");
        }
    }
    let steep = Outline::new(polygon_edges(&corners, &[0.0]), vec![hole(80.0)]);
    assert!(matches!(steep, Err(GeometryError::BadCutout { .. })), "{steep:?}");
}
