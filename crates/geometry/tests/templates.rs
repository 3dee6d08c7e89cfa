//! Walls from several templates against closed forms: cones, a horizontal cylinder, a sphere.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

mod common;

use std::f64::consts::PI;

use coldwright_geometry::{
    Bevel, Edge, EdgeKind, GeometryError, LayerSet, Notice, Outline, Point, Ring, Template, TemplateDepth,
    TemplatedWall, layers,
};
use common::{polygon, polygon_edges, tick, wall};

const INCH: f64 = 25.4;
const TOTAL: f64 = 101.6;
const RADIUS: f64 = 900.0;

fn near(got: f64, want: f64, tolerance: f64, what: &str) {
    assert!((got - want).abs() <= tolerance, "{what}: {got} for {want}, off by {}", got - want);
}

/// A disc of four fair edges of ten spans each; `turn` counts edges by which its first edge is turned on.
fn disc(radius: f64, centre: (f64, f64), turn: usize) -> Outline {
    let (n, ticks) = (4, 10);
    let edges = (0..n)
        .map(|i| {
            let i = (i + turn) % n;
            Edge {
                id: i as u32,
                name: format!("arc {i}"),
                kind: EdgeKind::Fair,
                ticks: (i * ticks..=(i + 1) * ticks)
                    .map(|k| {
                        let w = 2.0 * PI * k as f64 / (n * ticks) as f64;
                        tick(
                            (k % (n * ticks)) as u32,
                            centre.0 + radius * w.cos(),
                            centre.1 + radius * w.sin(),
                            0.1,
                        )
                    })
                    .collect(),
                bevel: Bevel::default(),
                gap: 0.0,
                smoothing: 0.0,
            }
        })
        .collect();
    Outline::new(edges, vec![]).expect("a disc").0
}

fn templates(depths: &[f64], outline: impl Fn(f64) -> Outline) -> Vec<Template> {
    depths.iter().map(|z| Template { outline: outline(*z), depth: TemplateDepth::FromOuter(*z) }).collect()
}

fn evenly(n: usize) -> Vec<f64> {
    (0..n).map(|k| TOTAL * k as f64 / (n - 1) as f64).collect()
}

/// Both faces of every layer, with their depths.
fn faces(set: &LayerSet) -> impl Iterator<Item = (f64, &Ring)> {
    set.layers.iter().flat_map(|l| [(l.from, &l.outer.rings[0]), (l.to, &l.inner.rings[0])])
}

#[test]
fn a_leaning_cone_from_two_templates() {
    // An oblique circular cone: sections are circles whose radius and centre change evenly. Frustum: h/3·(A1 + A2 + √(A1·A2)).
    let (r0, r1) = (400.0, 455.0);
    let at = |z: f64| (r0 + (r1 - r0) * z / TOTAL, 30.0 * z / TOTAL);
    let all = templates(&[0.0, TOTAL], |z| disc(at(z).0, (at(z).1, 0.0), 0));
    let wall = TemplatedWall::new(&all, vec![INCH; 4], None).expect("a wall");
    let set = wall.layers().expect("layers");
    for (z, ring) in faces(&set) {
        let (r, x) = at(z);
        for p in &ring.outer {
            near(p.distance(Point::new(x, 0.0)), r, 0.01, "radius");
        }
    }
    for l in &set.layers {
        let area = |z: f64| PI * at(z).0.powi(2);
        let (a, b) = (area(l.from), area(l.to));
        near(l.area_outer, a, 1e-5 * a, "area");
        let want = INCH / 3.0 * (a + b + (a * b).sqrt());
        near(l.volume, want, 1e-5 * want, "volume");
        // Square to the edge the cone leans (r1 − r0 + 30·cos w)/T.
        for m in &l.bevels {
            let want = ((r1 - r0 + 30.0 * m.outward.x) / TOTAL).atan();
            near(m.angle, want, 2e-5, "bevel");
        }
        // The equal arcs are joined along the same turn, so that the greatest gap is at w = 0.
        near(l.largest_gap, INCH * (r1 - r0 + 30.0) / TOTAL, 1e-4, "gap");
    }
}

/// Half the height of a horizontal cylinder, or the radius of a sphere, `z` deep behind a plane 500 mm off its axis.
fn half(z: f64) -> f64 {
    (RADIUS * RADIUS - (500.0 - z) * (500.0 - z)).sqrt()
}

fn cylinder(z: f64) -> Outline {
    let y = half(z);
    polygon(&[(-400., -y), (400., -y), (400., y), (-400., y)], &[0.0])
}

#[test]
fn a_horizontal_cylinder_from_five_templates() {
    let wall =
        TemplatedWall::new(&templates(&evenly(5), cylinder), vec![INCH / 2.0; 8], None).expect("a wall");
    let set = wall.layers().expect("layers");
    // ∫√(R² − u²)du = ½·(u√(R² − u²) + R²·asin(u/R)): segment of a circle, any handbook.
    let integral =
        |u: f64| 0.5 * (u * (RADIUS * RADIUS - u * u).sqrt() + RADIUS * RADIUS * (u / RADIUS).asin());
    let mut worst = 0.0_f64;
    for (z, ring) in faces(&set) {
        for p in &ring.outer {
            worst = worst.max((p.y.abs() - half(z)).abs()).max((p.x.abs() - 400.0).abs());
        }
    }
    println!("outline off by {worst:.5} mm, said {:.5}", wall.expected_error());
    assert!(worst <= 0.01 && worst <= wall.expected_error());
    for l in &set.layers {
        near(l.area_outer, 1600.0 * half(l.from), 1e-5 * l.area_outer, "area");
        let want = 1600.0 * (integral(500.0 - l.from) - integral(500.0 - l.to));
        near(l.volume, want, 1e-5 * want, "volume");
        // The tangent of a circle.
        let top = l.bevels.iter().find(|m| m.edge == 3).expect("a mark");
        near(top.angle, ((500.0 - l.from) / half(l.from)).atan(), 1e-4, "bevel");
        near(l.wedge, want - 1600.0 * half(l.from) * (l.to - l.from), 1e-5 * want, "wedge");
    }
}

#[test]
fn a_sphere_cap_from_five_templates() {
    let all = templates(&evenly(5), |z| disc(half(z), (0.0, 0.0), 0));
    let wall =
        TemplatedWall::new(&all, vec![INCH / 2.0, INCH, INCH, INCH, INCH / 2.0], None).expect("a wall");
    let set = wall.layers().expect("layers");
    let mut worst = 0.0_f64;
    for (z, ring) in faces(&set) {
        for p in &ring.outer {
            worst = worst.max((p.to_vec2().hypot() - half(z)).abs());
        }
    }
    println!("outline off by {worst:.5} mm, said {:.5}", wall.expected_error());
    assert!(worst <= 0.01);
    for l in &set.layers {
        let (a, b, h) = (half(l.from), half(l.to), l.to - l.from);
        near(l.area_outer, PI * a * a, 1e-5 * l.area_outer, "area");
        // Spherical segment: πh/6·(3a² + 3b² + h²), any handbook of mensuration.
        let want = PI * h / 6.0 * (3.0 * a * a + 3.0 * b * b + h * h);
        near(l.volume, want, 1e-5 * want, "volume");
        for m in &l.bevels {
            near(m.angle, ((500.0 - l.from) / a).atan(), 1e-4, "bevel");
        }
    }
}

#[test]
fn from_fewer_templates_the_stated_error_holds() {
    for (name, round) in [("cylinder", false), ("sphere", true)] {
        for (n, most) in [(2, 30.0), (3, 8.0), (4, 8.0), (5, 12.0)] {
            let all =
                templates(&evenly(n), |z| if round { disc(half(z), (0.0, 0.0), 0) } else { cylinder(z) });
            let wall = TemplatedWall::new(&all, vec![INCH / 4.0; 16], None).expect("a wall");
            let mut worst = 0.0_f64;
            for (z, ring) in faces(&wall.layers().expect("layers")) {
                for p in &ring.outer {
                    let off = if round { p.to_vec2().hypot() } else { p.y.abs() } - half(z);
                    worst = worst.max(off.abs());
                }
            }
            let said = wall.expected_error();
            println!("{name} from {n}: off {worst:.4} mm, said {said:.4}");
            assert!(worst <= said, "{name} from {n}: {worst} {said}");
            assert!(said <= most * worst + 0.01, "{name} from {n}: {worst} {said}");
        }
    }
}

/// How far out a side stands, from radius, slope and depth.
type Frame = fn(f64, f64, f64) -> f64;

/// Sections of hulls that are not the ones the estimate was made for: how far out the side stands over the depth.
#[test]
fn the_stated_error_holds_over_families_of_hulls() {
    let mut worst = 0.0_f64;
    let mut count = 0;
    // Frames of circles met at slopes from 40° closed to 40° open, parabolas and catenaries of the same bend, and ellipses.
    let families: [(&str, Frame); 4] = [
        ("circle", |r, slope, z| {
            let s = slope.sin();
            (r * r - (z - r * s).powi(2)).sqrt() - r * slope.cos()
        }),
        ("parabola", |r, slope, z| z * slope.tan() - z * z / (2.0 * r * slope.cos().powi(3))),
        ("catenary", |r, slope, z| {
            let at = slope.tan().asinh();
            r * ((-at).cosh() - (z / r - at).cosh())
        }),
        ("ellipse", |r, slope, z| {
            // Twice as deep as wide, met where a circle of radius r would be.
            let s = 0.6 * slope.sin();
            let (a, b) = (2.0 * r, r);
            b * (1.0 - (z / a - s).powi(2)).sqrt() - b * (1.0 - s * s).sqrt()
        }),
    ];
    for (name, out) in families {
        for radius in [600.0, 900.0, 1500.0, 4000.0] {
            for degrees in [-40.0_f64, -15.0, 0.0, 15.0, 40.0] {
                for n in [2, 3, 4] {
                    let y = |z: f64| 300.0 + out(radius, degrees.to_radians(), z);
                    let section =
                        |z: f64| polygon(&[(-400., 0.), (400., 0.), (400., y(z)), (-400., y(z))], &[0.0]);
                    let wall =
                        TemplatedWall::new(&templates(&evenly(n), section), vec![INCH / 4.0; 16], None)
                            .expect("a wall");
                    let off = (0..=32)
                        .map(|k| {
                            let z = TOTAL * f64::from(k) / 32.0;
                            let top = wall.outline_at(z).expect("a section").rings[0].bounds().y1;
                            (top - y(z)).abs()
                        })
                        .fold(0.0, f64::max);
                    let said = wall.expected_error();
                    assert!(
                        off <= said + 1e-9,
                        "{name} of {radius} mm at {degrees}° from {n}: {off} mm off, said {said}"
                    );
                    worst = worst.max(off / said.max(1e-9));
                    count += 1;
                }
            }
        }
    }
    println!("{count} hulls, at worst {:.0} % of what was said", 100.0 * worst);
    assert!(count == 240 && worst > 0.5, "said far too much: {worst}");
}

#[test]
fn two_templates_of_a_bevelled_wall_give_its_layers_back() {
    let corners = [(0., 0.), (600., 20.), (560., 420.), (280., 300.), (-30., 380.)];
    let leans = [8.0, -5.0, 12.0, 3.0, -9.0];
    let plain = wall(polygon(&corners, &leans), 0.0, &[INCH, INCH, 50.8]);
    let want = layers(&plain).expect("layers");
    // The moved sides at the inner face, crossed by hand from their lines.
    let moved: Vec<(f64, f64)> = {
        let at: Vec<Point> = corners.iter().map(|p| Point::new(p.0, p.1)).collect();
        let line = |i: usize| {
            let (a, b) = (at[i], at[(i + 1) % 5]);
            let u = (b - a) / (b - a).hypot();
            let n = coldwright_geometry::Vec2::new(u.y, -u.x);
            (a + n * (TOTAL * f64::tan(f64::to_radians(leans[i]))), u)
        };
        (0..5)
            .map(|i| {
                let ((p, u), (q, v)) = (line((i + 4) % 5), line(i));
                let x = p + u * ((q - p).cross(v) / u.cross(v));
                (x.x, x.y)
            })
            .collect()
    };
    let outer = polygon(&corners, &[0.0]);
    let inner = |turn: usize, ids: u32| {
        let walk: Vec<_> = (0..5).map(|i| moved[(i + turn) % 5]).collect();
        let mut edges = polygon_edges(&walk, &[0.0]);
        for e in &mut edges {
            e.id += ids;
        }
        Outline::new(edges, vec![]).expect("an outline").0
    };
    for (turn, ids, starts) in [(0, 0, None), (2, 40, None), (3, 40, Some([0, 2]))] {
        // Given inner first: the order does not matter.
        let inner = Template { outline: inner(turn, ids), depth: TemplateDepth::FromInner(0.0) };
        let outer = Template { outline: outer.clone(), depth: TemplateDepth::FromOuter(0.0) };
        let got =
            TemplatedWall::new(&[outer, inner], vec![INCH, INCH, 50.8], starts.as_ref().map(|s| &s[..]))
                .expect("a wall");
        assert_eq!(got.matches().len(), 5);
        let set = got.layers().expect("layers");
        for (l, w) in set.layers.iter().zip(&want.layers) {
            near(l.area_outer, w.area_outer, 1e-6, "outer area");
            near(l.area_inner, w.area_inner, 1e-6, "inner area");
            near(l.volume, w.volume, 1e-6 * w.volume, "volume");
            for m in &w.bevels {
                let twin = l.bevels.iter().find(|k| k.edge == m.edge).expect("a mark");
                near(twin.angle, m.angle, 1e-9, "bevel measured square to the edge");
            }
            let area = |r: &[Ring]| r.iter().map(Ring::area).sum::<f64>();
            near(area(&l.fits), area(&w.fits), 0.002 * w.largest_gap * 600.0, "fits");
            near(area(&l.fills), area(&w.fills), 0.002 * w.largest_gap * 600.0, "fills");
        }
    }
}

#[test]
fn spaces_between_layers_only_move_the_depths() {
    let all = templates(&evenly(5), cylinder);
    let (thick, spaces) = (vec![INCH, INCH, INCH - 6.0], [1.0, 2.0, 3.0]);
    let close = TemplatedWall::new(&all, vec![TOTAL / 16.0; 16], None).expect("a wall");
    let wall = TemplatedWall::spaced(&all, thick.clone(), &spaces, None).expect("a wall");
    let set = wall.layers().expect("layers");
    let mut z = 0.0;
    for (l, (h, space)) in set.layers.iter().zip(thick.iter().zip(spaces)) {
        near(l.from, z + space, 1e-12, "from");
        near(l.to, z + space + h, 1e-12, "to");
        near(l.area_outer, close.outline_at(l.from).expect("a section").area(), 1e-6, "outer");
        near(l.area_inner, close.outline_at(l.to).expect("a section").area(), 1e-6, "inner");
        z = l.to;
    }
    let e = TemplatedWall::spaced(&all, thick, &[-1.0; 3], None).expect_err("refused");
    assert!(matches!(e, GeometryError::BadSpace { .. }), "{e}");
}

#[test]
fn other_starts_gaps_and_bad_templates() {
    let sphere = |turn: usize| {
        let mut all = templates(&evenly(3), |z| disc(half(z), (0.0, 0.0), 0));
        all[1].outline = disc(half(TOTAL / 2.0), (0.0, 0.0), turn);
        all
    };
    let volume = |t: &[Template]| -> f64 {
        let wall = TemplatedWall::new(t, vec![TOTAL], None).expect("a wall");
        wall.layers().expect("layers").layers[0].volume
    };
    let v = volume(&sphere(0));
    near(volume(&sphere(3)), v, 1e-9 * v, "another first edge, same ids");
    // A gap of 4 mm all round.
    let gapped = |z: f64| {
        let y = half(z);
        let mut edges = polygon_edges(&[(-400., -y), (400., -y), (400., y), (-400., y)], &[0.0]);
        for e in &mut edges {
            e.gap = 4.0;
        }
        Outline::new(edges, vec![]).expect("an outline").0
    };
    let set = TemplatedWall::new(&templates(&evenly(5), gapped), vec![TOTAL], None)
        .expect("a wall")
        .layers()
        .expect("layers");
    near(set.layers[0].area_outer, 792.0 * (2.0 * half(0.0) - 8.0), 1e-6, "gap taken in the layer's plane");
    let refused = |t: &[Template], starts: Option<&[usize]>| {
        let e = TemplatedWall::new(t, vec![INCH], starts).expect_err("refused");
        assert!(matches!(e, GeometryError::Templates { .. }), "{e}");
        println!("{e}");
    };
    refused(&sphere(0)[..1], None);
    refused(&templates(&[0.0, 0.0], cylinder), None);
    refused(&sphere(0), Some(&[0, 1]));
    refused(
        &[
            sphere(0)[0].clone(),
            Template {
                depth: TemplateDepth::FromOuter(60.0),
                outline: polygon(&[(0., 0.), (9., 0.), (0., 9.)], &[0.0]),
            },
        ],
        None,
    );
    let steep = templates(&[0.0, 50.0], |z| {
        polygon(&[(-z * 1.2, 0.), (400., 0.), (400., 300.), (-z * 1.2, 300.)], &[0.0])
    });
    let set = TemplatedWall::new(&steep, vec![50.0], None).expect("a wall").layers().expect("layers");
    assert!(
        set.notices.iter().any(|n| matches!(n, Notice::FeatherEdge { edge: 4, .. })),
        "{:?}",
        set.notices
    );
}

#[test]
fn a_cone_told_by_one_of_its_templates_leans_as_it_does() {
    // Given in any order, the first one given is told; a straight cone's bevel is atan((r1 - r0)/h) all round.
    let (r0, r1) = (400.0, 455.0);
    let mut all = templates(&[0.0, TOTAL], |z| disc(r0 + (r1 - r0) * z / TOTAL, (0.0, 0.0), 0));
    let lean = ((r1 - r0) / TOTAL).atan();
    for _ in 0..2 {
        let wall = TemplatedWall::new(&all, vec![INCH; 4], None).expect("a wall");
        let told = wall.bevelled().expect("an outline");
        near(told.area(), all[0].outline.area(), 1e-6, "area of the first one given");
        for side in told.sides() {
            for at in [0.0, 0.3, 0.5, 1.0] {
                near(side.edge.bevel.at(at), lean, 1e-6, "bevel");
            }
        }
        all.reverse();
    }
}

#[test]
fn trims_hold_for_the_layers_after_also_between_templates() {
    use coldwright_geometry::{AsFitted, TrimStation};
    let all = templates(&[0.0, TOTAL], |_| {
        Outline::new(polygon_edges(&[(0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0)], &[0.0]), vec![])
            .expect("a sheet")
            .0
    });
    let edge = all[0].outline.sides()[1].edge.id;
    let wall = || TemplatedWall::new(&all, vec![INCH; 3], None).expect("a wall");
    let stations = vec![TrimStation { at: 0.0, trim: 4.0 }, TrimStation { at: 1.0, trim: 8.0 }];
    let trimmed = wall().as_fitted(&[AsFitted { layer: 1, edge, stations }]).expect("trims");
    let set = trimmed.layers().expect("layers");
    near(set.layers[0].area_outer, 400.0 * 300.0, 1e-6, "the layer trimmed");
    for layer in &set.layers[1..] {
        near(layer.area_outer, (400.0 - 6.0) * 300.0, 1e-3, "the layers after");
    }
    let none = AsFitted { layer: 1, edge: 77, stations: vec![TrimStation { at: 0.0, trim: 1.0 }] };
    assert!(matches!(wall().as_fitted(&[none]), Err(GeometryError::BadTrim { .. })));
}
