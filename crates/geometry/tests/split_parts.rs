//! Cutting a layer along given seams: nothing is lost, marks and laps are where they belong.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::float_cmp,
    clippy::allow_attributes,
    reason = "a test may stop"
)]

mod common;

use coldwright_geometry::{
    Cutout, GeometryError, Layer, Outline, Part, Point, Reaches, Ring, Seam, SeamStyle, layers, split_by,
};
use common::{polygon, polygon_edges, round_about, wall};
use proptest::prelude::*;

fn seam(a: (f64, f64), b: (f64, f64)) -> Seam {
    Seam { from: Point::new(a.0, a.1), to: Point::new(b.0, b.1), style: SeamStyle::Butt }
}

fn lap(a: (f64, f64), b: (f64, f64), width: f64) -> Seam {
    Seam { style: SeamStyle::HalfLap { width }, ..seam(a, b) }
}

fn layer(points: &[(f64, f64)], degrees: &[f64]) -> Layer {
    layers(&wall(polygon(points, degrees), 0.0, &[25.0])).unwrap().layers.remove(0)
}

fn area(rings: &[Ring]) -> f64 {
    rings.iter().map(Ring::area).sum()
}

fn total(parts: &[Part], of: impl Fn(&Layer) -> f64) -> f64 {
    parts.iter().map(|p| of(&p.layer)).sum()
}

const BOARD: [(f64, f64); 4] = [(0., 0.), (900., 0.), (900., 400.), (0., 400.)];

#[test]
fn a_square_board_in_three() {
    let whole = layer(&BOARD, &[0.0]);
    let parts =
        split_by(&whole, &[seam((600., 0.), (600., 400.)), seam((600., 150.), (0., 150.))], 0.0).unwrap();
    let letters: Vec<String> = parts.iter().map(Part::letter).collect();
    assert_eq!(letters, ["a", "b", "c"]);
    // Left to right, then bottom to top; the second seam ends at the first and leaves the right part whole.
    let areas: Vec<f64> = parts.iter().map(|p| p.layer.area_outer).collect();
    for (got, known) in areas.iter().zip([600. * 150., 600. * 250., 300. * 400.]) {
        assert!((got - known).abs() < 1e-3, "{areas:?}");
    }
    assert!((total(&parts, |l| l.volume) - whole.volume).abs() < 1e-3);
    // Every edge left on a part carries a mark of its own: 4 - 1 + 4 - 1 ... two, two and three edges.
    let marks: Vec<Vec<u32>> =
        parts.iter().map(|p| p.layer.bevels.iter().map(|m| m.edge).collect()).collect();
    assert_eq!(marks, [vec![1, 4], vec![3, 4], vec![1, 2, 3]]);
    assert_eq!(parts[0].seams.len(), 2);
    assert!(parts.iter().flat_map(|p| &p.seams).all(|s| s.reaches == Reaches::Neither));
    // With a kerf of 3 mm: 400 × 3 and 598.5 × 3 go.
    let sawn =
        split_by(&whole, &[seam((600., 0.), (600., 400.)), seam((600., 150.), (0., 150.))], 3.0).unwrap();
    let gone = whole.area_outer - total(&sawn, |l| l.area_outer);
    assert!((gone - (400. * 3. + 598.5 * 3.)).abs() < 1e-3, "{gone}");
    assert_eq!(sawn.len(), 3);
}

#[test]
fn a_bevelled_board_keeps_its_bevels_and_wedge() {
    let whole = layer(&BOARD, &[20.0, -10.0, 0.0, 5.0]);
    let parts = split_by(&whole, &[seam((300., -50.), (340., 450.))], 0.0).unwrap();
    assert_eq!(parts.len(), 2);
    for (of, name) in [
        ((|l| l.area_outer) as fn(&Layer) -> f64, "outer"),
        (|l| l.area_inner, "inner"),
        (|l| area(&l.fits), "fits"),
        (|l| area(&l.fills), "fills"),
        (|l| l.volume, "volume"),
        (|l| l.wedge, "wedge"),
        (|l| l.excess, "excess"),
    ] {
        let (got, known) = (total(&parts, of), of(&whole));
        assert!((got - known).abs() <= 1e-6 * known, "{name}: {got}, not {known}");
    }
    let angle =
        |p: &Part, edge: u32| p.layer.bevels.iter().find(|m| m.edge == edge).map(|m| m.angle.to_degrees());
    assert!(
        (angle(&parts[0], 1).unwrap() - 20.0).abs() < 1e-9
            && (angle(&parts[1], 1).unwrap() - 20.0).abs() < 1e-9
    );
    assert!(angle(&parts[0], 2).is_none() && (angle(&parts[1], 2).unwrap() + 10.0).abs() < 1e-9);
    assert!((angle(&parts[0], 4).unwrap() - 5.0).abs() < 1e-9 && angle(&parts[1], 4).is_none());
    for p in &parts {
        assert!((p.layer.steepest_bevel.to_degrees() - 20.0).abs() < 1e-9);
        for m in &p.layer.bevels {
            let on = p.layer.outer.rings[0].distance_to_boundary(m.at);
            let out = !p.layer.outer.rings[0].contains(m.at + m.outward)
                && p.layer.outer.rings[0].contains(m.at - m.outward);
            assert!(on < 1e-6 && out, "{m:?}");
        }
    }
    // The middle strip of three has only the upper and lower edges.
    let three =
        split_by(&whole, &[seam((300., -50.), (300., 450.)), seam((600., -50.), (600., 450.))], 0.0).unwrap();
    assert_eq!(three[1].layer.bevels.iter().map(|m| m.edge).collect::<Vec<_>>(), [1, 3]);
    assert!((three[1].layer.bevels[0].at.x - 450.0).abs() < 1e-6);
}

#[test]
fn a_half_lap_gives_the_faces_different_outlines() {
    let whole = layer(&BOARD, &[0.0]);
    // Upwards: left is x < 300.
    let parts = split_by(&whole, &[lap((300., 0.), (300., 400.), 30.0)], 0.0).unwrap();
    let (a, b) = (&parts[0], &parts[1]);
    let right = |rings: &[Ring]| rings[0].bounds().x1;
    assert!(
        (right(&a.layer.outer.rings) - 285.0).abs() < 1e-4
            && (right(&a.layer.inner.rings) - 315.0).abs() < 1e-4
    );
    assert!((right(&a.layer.fits) - 315.0).abs() < 1e-3 && (right(&a.layer.fills) - 315.0).abs() < 1e-3);
    let left = |rings: &[Ring]| rings[0].bounds().x0;
    assert!(
        (left(&b.layer.outer.rings) - 285.0).abs() < 1e-4
            && (left(&b.layer.inner.rings) - 315.0).abs() < 1e-4
    );
    assert!((left(&b.layer.fits) - 285.0).abs() < 1e-3);
    assert_eq!((a.seams[0].reaches, b.seams[0].reaches), (Reaches::BoxHalf(15.0), Reaches::HullHalf(15.0)));
    for of in [(|l: &Layer| l.area_outer) as fn(&Layer) -> f64, |l| l.area_inner, |l| l.volume] {
        assert!((total(&parts, of) - of(&whole)).abs() <= 1e-6 * of(&whole));
    }
    // A seam ending at a lapped one leaves the part beyond whole.
    let three =
        split_by(&whole, &[lap((300., 0.), (300., 400.), 30.0), lap((300., 200.), (900., 200.), 30.0)], 0.0);
    let three = three.unwrap();
    assert_eq!(three.len(), 3);
    assert!((three[0].layer.area_inner - 315.0 * 400.0).abs() < 1e-3);
}

#[test]
fn one_leg_of_a_u_and_a_seam_through_a_cut_out() {
    let u = [
        (0., 0.),
        (800., 0.),
        (800., 600.),
        (600., 600.),
        (600., 200.),
        (200., 200.),
        (200., 600.),
        (0., 600.),
    ];
    let whole = layer(&u, &[0.0]);
    let parts = split_by(&whole, &[seam((0., 400.), (200., 400.))], 0.0).unwrap();
    assert_eq!(parts.len(), 2);
    assert!(
        (parts[1].layer.area_outer - 200.0 * 200.0).abs() < 1e-3
            || (parts[0].layer.area_outer - 200.0 * 200.0).abs() < 1e-3
    );
    let hole = Cutout {
        name: "hose".into(),
        bevel: 0.0,
        ring: [(400., 150.), (500., 150.), (500., 250.), (400., 250.)].map(|p| Point::new(p.0, p.1)).to_vec(),
    };
    let outline = Outline::new(polygon_edges(&BOARD, &[0.0]), vec![hole]).unwrap().0;
    let whole = layers(&wall(outline, 0.0, &[25.0])).unwrap().layers.remove(0);
    let parts = split_by(&whole, &[seam((450., 0.), (450., 400.))], 0.0).unwrap();
    assert_eq!(parts.len(), 2);
    assert!((total(&parts, |l| l.area_outer) - 350_000.0).abs() < 1e-3);
    assert!(parts.iter().all(|p| p.layer.outer.rings[0].holes.is_empty()));
}

#[test]
fn seams_that_cannot_be_are_refused_in_words() {
    let whole = layer(&BOARD, &[0.0]);
    let say = |s: Seam, kerf: f64| split_by(&whole, &[s], kerf).unwrap_err();
    let stops = say(seam((300., 0.), (300., 200.)), 0.0);
    assert!(
        matches!(stops, GeometryError::Seam { layer: 1, seam: 1, .. })
            && stops.to_string().contains("stops inside the foam")
    );
    assert!(say(seam((950., 0.), (950., 400.)), 0.0).to_string().contains("goes through no foam"));
    for bad in [
        seam((300., 0.), (300., 0.)),
        seam((f64::NAN, 0.), (300., 400.)),
        lap((300., 0.), (300., 400.), -3.0),
    ] {
        assert!(say(bad, 0.0).to_string().contains("no line"), "{bad:?}");
    }
    assert!(matches!(say(seam((300., 0.), (300., 400.)), f64::NAN), GeometryError::NotFinite { .. }));
}

/// A seam inside the slant of a bevelled edge takes off a wedge: one face as wide as the slant reaches past the
/// seam, and nothing square in it. No volume is lost.
#[test]
fn a_wedge_off_a_bevelled_edge_is_a_part() {
    let whole = layer(&BOARD, &[0.0, 20.0, 0.0, 0.0]);
    let parts = split_by(&whole, &[seam((904., 0.), (904., 400.))], 0.0).unwrap();
    assert_eq!(parts.len(), 2);
    let wedge = &parts[1].layer;
    let over = 25.0 * 20_f64.to_radians().tan() - 4.0;
    assert!(wedge.outer.rings.is_empty() && wedge.fits.is_empty());
    assert!((wedge.area_inner - over * 400.0).abs() < 1e-3, "{} {}", wedge.area_inner, over * 400.0);
    assert!((total(&parts, |l| l.volume) - whole.volume).abs() < 1e-6 * whole.volume);
}

/// A star-shaped ring and as many bevels.
fn star() -> impl Strategy<Value = (Vec<(f64, f64)>, Vec<f64>)> {
    (4_usize..12).prop_flat_map(|n| {
        (proptest::collection::vec(250.0..500.0_f64, n), proptest::collection::vec(-20.0..20.0_f64, n))
            .prop_map(|(radii, degrees)| (round_about(&radii), degrees))
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 120, ..ProptestConfig::default() })]
    #[test]
    fn nothing_is_lost((points, degrees) in star(), turn in 0.0..std::f64::consts::PI, off in -120.0..120.0_f64, second in -120.0..120.0_f64, kerf in prop_oneof![Just(0.0), 0.5..4.0_f64]) {
        let Ok(set) = layers(&wall(polygon(&points, &degrees), 0.0, &[25.0])) else { return Ok(()) };
        let whole = &set.layers[0];
        let (s, c) = turn.sin_cos();
        let line = |off: f64, s: f64, c: f64| seam((off * -s - 900. * c, off * c - 900. * s), (off * -s + 900. * c, off * c + 900. * s));
        // The second seam runs square to the first.
        let parts = split_by(whole, &[line(off, s, c), line(second, c, -s)], kerf).unwrap();
        prop_assert!(parts.len() >= 3, "{}", parts.len());
        for of in [(|l: &Layer| l.area_outer) as fn(&Layer) -> f64, |l| l.area_inner, |l| area(&l.fits), |l| area(&l.fills), |l| l.volume] {
            let (got, known) = (total(&parts, of), of(whole));
            if kerf <= 0.0 {
                // Parts under 1 mm² are dust; 1 in 10⁶ of these areas.
                prop_assert!((got - known).abs() <= 1e-6 * known + 1.0, "{got} {known}");
            } else {
                prop_assert!(got < known);
            }
        }
        if kerf > 0.0 {
            // What goes: each chord's length times the kerf, within the slant of its ends and the crossing.
            let gone = whole.area_outer - total(&parts, |l| l.area_outer);
            prop_assert!(gone > 2.0 * kerf * 250.0 && gone < kerf * 4.0 * 1000.0, "{gone}");
        }
        for (k, p) in parts.iter().enumerate() {
            prop_assert_eq!(p.index, k);
            let l = &p.layer;
            // A wedge off a bevelled edge has one face only, and nothing that a square cut would leave of it.
            prop_assert!(!l.outer.rings.is_empty() || !l.inner.rings.is_empty());
            prop_assert!(!l.fits.is_empty() || l.volume < 0.01 * whole.volume, "{}", l.volume);
            prop_assert!(l.volume.is_finite() && l.wedge >= 0.0 && l.excess >= 0.0 && l.largest_gap <= whole.largest_gap + 1e-9);
        }
    }
}
