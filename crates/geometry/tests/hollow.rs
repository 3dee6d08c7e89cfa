//! Hollows, strips, kerfs and the saw against closed forms and printed values.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use std::f64::consts::FRAC_PI_2;

use coldwright_geometry::{
    GeometryError, Hollow, Kerfing, Saw, SawLimit, layers, least_radius, strip_gap, strip_width, strips,
};
use common::{polygon, wall};

const INCH: f64 = 25.4;

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} for {want}, off by {}", got - want);
}

#[test]
fn strips_on_a_round_hull() {
    // Builders' rule: 6 in on 36 in leaves 1/8 in (common practice, no source; w²/(8R) by hand).
    near(strip_gap(36.0 * INCH, 6.0 * INCH), INCH / 8.0, 1e-12, "gap");
    near(strip_width(36.0 * INCH, INCH / 8.0), 6.0 * INCH, 1e-9, "width");
    let (r, length) = (900.0, 1000.0);
    let hollow = Hollow::round(r, length).expect("a hollow");
    near(hollow.tightest_radius().expect("round"), r, 1e-6, "radius");
    // Sagitta R − √(R² − c²/4) and area of a circular segment, check value geo.segment's formulas.
    near(hollow.deepest().0, r - (r * r - 250_000.0_f64).sqrt(), 1e-6, "sagitta");
    let half = (0.5 * length / r).asin();
    let segment = r * r * (half - half.sin() * half.cos());
    near(hollow.void_area(), segment, 1e-6 * segment, "void");
    let gap = 3.0;
    let all = strips(&hollow, gap, 500.0, INCH, 0.5).expect("strips");
    // Strips of equal gap on a circle are equal chords: angle 2·half over so many, gap R·(1 − cos(angle/2)).
    let n = all.len() as f64;
    let each = 2.0 * half / n;
    assert!(r * (1.0 - (half / (n - 1.0)).cos()) > gap, "one fewer would gape");
    for (i, s) in all.iter().enumerate() {
        assert_eq!(s.number, i + 1);
        near(s.width, 2.0 * r * (0.5 * each).sin(), 0.02, "equal chords");
        near(s.gap, r * (1.0 - (0.5 * each).cos()), 2e-3, "gap");
        let (first, last) = (i == 0, i + 1 == all.len());
        // The turn between neighbours is one angle; each edge takes half, closed towards the box.
        near(s.bevels.0, if first { 0.0 } else { -0.5 * each }, 1e-4, "bevel");
        near(s.bevels.1, if last { 0.0 } else { -0.5 * each }, 1e-4, "bevel");
        near(s.void_area, 0.5 * r * r * (each - each.sin()), 5.0, "void");
    }
    near(all.iter().map(|s| s.to - s.from).sum(), length, 1e-9, "all covered");
    // Thin strips whose joints open by less than half a millimetre stay square.
    let thin = strips(&hollow, gap, 500.0, 2.0, 0.5).expect("strips");
    assert!(thin.iter().all(|s| s.bevels == (0.0, 0.0)));
    let narrow = strips(&hollow, gap, 100.0, INCH, 0.5).expect("strips");
    assert!(narrow.len() > all.len() && narrow.iter().all(|s| s.width <= 100.0 + 1e-6));
}

#[test]
fn a_measured_hollow() {
    // Gaps of a circle of R 1500 under a metre, at five stations.
    let r = 1500.0_f64;
    let gap = |x: f64| (r * r - (x - 500.0).powi(2)).sqrt() - (r * r - 250_000.0).sqrt();
    let stations: Vec<(f64, f64)> = [800.0, 200.0, 350.0, 500.0, 650.0].map(|x| (x, gap(x))).to_vec();
    let hollow = Hollow::measured(&stations, 1000.0).expect("a hollow");
    for k in 0..=40 {
        let x = 25.0 * f64::from(k);
        near(hollow.gap(x), gap(x), 0.1, "between stations");
    }
    near(hollow.tightest_radius().expect("hollow"), r, 0.05 * r, "radius");
    let round = Hollow::round(r, 1000.0).expect("a hollow");
    near(hollow.void_area(), round.void_area(), 1e-3 * round.void_area(), "void");
    near(
        hollow.void_volume(&Hollow::round(r, 600.0).expect("a hollow")),
        600.0 * round.void_area() + 1000.0 * Hollow::round(r, 600.0).expect("a hollow").void_area(),
        1e-3 * 6e5 * 83.0,
        "void both ways",
    );
    let bad = |s: &[(f64, f64)], l: f64| {
        let e = Hollow::measured(s, l).expect_err("refused");
        assert!(matches!(e, GeometryError::Hollow { .. }) && !e.to_string().ends_with('.'), "{e}");
    };
    bad(&[], 100.0);
    bad(&[(50.0, f64::NAN)], 100.0);
    bad(&[(150.0, 2.0)], 100.0);
    bad(&[(50.0, 2.0), (50.1, 3.0)], 100.0);
    bad(&[(50.0, 2.0)], -1.0);
    assert!(Hollow::round(100.0, 300.0).is_err() && Hollow::round(f64::NAN, 300.0).is_err());
    assert!(strips(&hollow, 0.0, 100.0, INCH, 0.5).is_err());
    assert!(strips(&hollow, 1e-9, 100.0, INCH, 0.5).is_err());
}

#[test]
fn kerfs_of_the_check_values() {
    // geo.kerf.rule: 3/4 in by 90° with 1/8 in kerfs cut through, 9.424778, so 10.
    let k =
        |web: f64| Kerfing { angle: FRAC_PI_2, thickness: 0.75 * INCH, web: web * INCH, kerf: 0.125 * INCH };
    near(k(0.0).exact(), 9.424778, 1e-6, "exact");
    assert_eq!(k(0.0).count().expect("a count"), 10);
    // geo.kerf.web: layout 10.505 in, 9 to close, 21 used, every 0.475 in, 0.625 in deep.
    let web = k(0.125);
    near(web.layout(6.0 * INCH) / INCH, 10.505, 0.001, "layout");
    near(web.depth() / INCH, 0.625, 1e-12, "depth");
    let closing = (web.layout(6.0 * INCH) - web.angle * 6.0 * INCH) / web.kerf;
    assert_eq!(closing.ceil() as u32, 9);
    let (used, spacing) = web.spaced(6.0 * INCH, 0.5 * INCH, 0.5 * INCH).expect("a plan");
    assert_eq!(used, 21);
    near(spacing / INCH, 0.475, 0.001, "spacing");
    for bad in [k(0.75), k(0.9), Kerfing { kerf: 0.0, ..k(0.1) }, Kerfing { angle: f64::NAN, ..k(0.1) }] {
        assert!(matches!(bad.count(), Err(GeometryError::Hollow { .. })));
    }
    assert!(web.spaced(6.0 * INCH, 0.0, 0.0).is_err());
}

#[test]
fn a_saw_says_what_it_cannot_do() {
    // Table of least radii in makers' manuals: 1/4 in cuts 5/8 in, 1/2 in 2 1/2 in, 3/4 in 5 1/2 in.
    for (blade, radius) in [(0.25, 0.625), (0.5, 2.5), (0.75, 5.5)] {
        near(least_radius(blade * INCH), radius * INCH, 1e-9, "table");
    }
    assert!(least_radius(40.0).is_infinite() && least_radius(8.0) > least_radius(7.0));
    let piece = wall(
        polygon(&[(0., 0.), (600., 0.), (600., 400.), (0., 400.)], &[10.0, -10.0, 50.0, 0.0]),
        0.0,
        &[INCH],
    );
    let layer = &layers(&piece).expect("layers").layers[0];
    let saw = Saw { tilt: 45_f64.to_radians(), tilt_back: 5_f64.to_radians(), throat: 350.0, blade: 12.7 };
    let found = saw.limits(layer);
    let tilts: Vec<(u32, bool)> = found
        .iter()
        .filter_map(|l| match l {
            SawLimit::Tilt { edge, turned_over, .. } => Some((*edge, *turned_over)),
            _ => None,
        })
        .collect();
    assert_eq!(tilts, [(2, true), (3, false)], "{found:?}");
    assert!(found.iter().any(|l| matches!(l, SawLimit::Throat { least } if *least > 400.0)));
    let large = Saw { tilt: 1.0, tilt_back: 1.0, throat: 700.0, blade: 6.0 };
    assert!(large.limits(layer).is_empty());
}

#[test]
fn a_table_tilted_away_from_the_column_makes_the_open_edge_of_a_piece_beside_it() {
    // The saw drawn as it stands: blade upright at x = 0, column at x < 0, the table turned about the blade's foot by 20° so that its
    // outer side goes down. A piece of 25.4 mm lies on the table between blade and column, hull face up.
    let (tilt, thick) = (20_f64.to_radians(), INCH);
    let (table, off_table) = ((tilt.cos(), -tilt.sin()), (tilt.sin(), tilt.cos()));
    // Where on the table's own scale the blade (x = 0) meets the plane `h` above the table.
    let meets = |h: f64| -h * off_table.0 / table.0;
    let (lower, upper) = (meets(0.0), meets(thick));
    near(lower - upper, thick * tilt.tan(), 1e-9, "the lower face reaches farther");
    let layer = |degrees: f64| {
        let ring = polygon(&[(0., 0.), (300., 0.), (300., 200.), (0., 200.)], &[degrees, 0.0, 0.0, 0.0]);
        layers(&wall(ring, 0.0, &[INCH])).expect("layers").layers.remove(0)
    };
    // Hull face up, the lower face is the box face: larger by thickness times tangent along 300 mm at 20° open.
    let open = layer(20.0);
    near(open.area_inner - open.area_outer, 300.0 * (lower - upper), 1e-6, "open");
    let saw = Saw { tilt, tilt_back: 0.0, throat: 1000.0, blade: 6.0 };
    assert!(saw.limits(&open).is_empty(), "made by tilting away from the column");
    assert!(matches!(saw.limits(&layer(-20.0)).as_slice(), [SawLimit::Tilt { turned_over: true, .. }]));
    assert!(!saw.limits(&layer(21.0)).is_empty());
}
