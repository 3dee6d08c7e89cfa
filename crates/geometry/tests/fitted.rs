//! Trims carried to later layers, and a lid of steps, against sums by hand.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use coldwright_geometry::{AsFitted, GeometryError, TrimStation, WallShape, layers, layers_as_fitted};
use common::{polygon, wall};

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
