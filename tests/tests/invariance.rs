//! The layers of every sample stay the same when its template is turned, shifted, mirrored, started elsewhere or walked the
//! other way: ring by ring to a hundredth of a millimetre, area, volume, wedge and bevel marks.
#![expect(clippy::unwrap_used, reason = "a test may stop where it stands")]

use std::fs;

use coldwright_geometry::{
    Edge, FixedFace, Layer, Outline, Ring, Spread, TemplateDepth, Tick, WallShape, layers, mirror_edges,
};
use coldwright_job::{BevelAt, Job, SeenFrom, TakenAt, Wall, plan};
use coldwright_tests::{root, sample};
use kurbo::{Affine, Point, Vec2};

/// Names of all shipped jobs.
fn samples() -> Vec<String> {
    let mut out: Vec<String> = fs::read_dir(root().join("samples"))
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".coldwright"))
        .collect();
    out.sort();
    assert!(out.len() >= 2, "{out:?}");
    out
}

fn cut(wall: &Wall, edges: Vec<Edge>) -> Vec<Layer> {
    let shape = WallShape {
        outline: Outline::new(edges, vec![]).unwrap().0,
        template_depth: match wall.template.taken_at {
            TakenAt::FromOuter(l) => TemplateDepth::FromOuter(l.mm()),
            TakenAt::FromInner(l) => TemplateDepth::FromInner(l.mm()),
        },
        fixed: FixedFace::Outer,
        thicknesses: wall.layers.iter().map(|l| l.thickness.mm()).collect(),
    };
    layers(&shape).unwrap().layers
}

/// Every corner of either ring lies on the other's boundary, and areas agree.
fn same_rings(a: &[Ring], b: &[Ring], to_b: Affine, what: &str) {
    assert_eq!(a.len(), b.len(), "{what}: parts");
    for (x, y) in a.iter().zip(b) {
        let near = |r: &Ring, p: Point| {
            let d = r.distance_to_boundary(p);
            assert!(d < 0.01, "{what}: {d} mm off at {p:?}");
        };
        x.outer.iter().for_each(|p| near(y, to_b * *p));
        y.outer.iter().for_each(|p| near(x, to_b.inverse() * *p));
        close(x.area(), y.area(), 1e-7 * x.area(), what);
    }
}

fn close(a: f64, b: f64, tolerance: f64, what: &str) {
    assert!((a - b).abs() <= tolerance, "{what}: {a} and {b}");
}

/// `b` is `a` moved by `to_b`.
fn same(a: &[Layer], b: &[Layer], to_b: Affine, what: &str) {
    assert_eq!(a.len(), b.len(), "{what}: layers");
    assert!(!a.is_empty());
    for (x, y) in a.iter().zip(b) {
        let what = format!("{what}, layer {}", x.number);
        for (p, q) in [
            (&x.outer.rings, &y.outer.rings),
            (&x.inner.rings, &y.inner.rings),
            (&x.fits, &y.fits),
            (&x.fills, &y.fills),
        ] {
            same_rings(p, q, to_b, &what);
        }
        close(x.volume, y.volume, 1e-7 * x.volume, &what);
        // Small differences of volumes.
        close(x.wedge, y.wedge, 1e-6 * x.volume, &what);
        close(x.excess, y.excess, 1e-6 * x.volume, &what);
        close(x.largest_gap, y.largest_gap, 1e-6, &what);
        close(x.steepest_bevel, y.steepest_bevel, 1e-9, &what);
        match (x.tightest_inside_radius, y.tightest_inside_radius) {
            (Some(r), Some(s)) => close(r, s, 1e-3 * r.max(1.0), &what),
            (r, s) => assert_eq!(r, s, "{what}: inside radius"),
        }
        assert_eq!(x.bevels.len(), y.bevels.len(), "{what}: bevel marks");
        for m in &x.bevels {
            let at = to_b * m.at;
            let twin = y.bevels.iter().filter(|k| k.edge == m.edge).find(|k| k.at.distance(at) < 0.01);
            close(m.angle, twin.unwrap().angle, 1e-6, &what);
        }
    }
}

fn moved(edges: &[Edge], by: Affine) -> Vec<Edge> {
    let [a, b, c, d, ..] = by.as_coeffs();
    let spread = |s: Spread| {
        // Of the moved place: M·S·Mᵀ.
        let (x, y) = (
            Vec2::new(a * s.xx + c * s.xy, b * s.xx + d * s.xy),
            Vec2::new(a * s.xy + c * s.yy, b * s.xy + d * s.yy),
        );
        Spread { xx: a * x.x + c * y.x, xy: b * x.x + d * y.x, yy: b * x.y + d * y.y }
    };
    edges
        .iter()
        .map(|e| Edge {
            ticks: e.ticks.iter().map(|t| Tick { at: by * t.at, spread: spread(t.spread), ..*t }).collect(),
            ..e.clone()
        })
        .collect()
}

#[test]
fn turning_shifting_mirroring_other_start_and_direction_give_the_same_layers_on_every_sample() {
    for name in samples() {
        let job = sample(&name);
        for (wall, planned) in job.walls.iter().zip(plan(&job).walls) {
            let what = |how: &str| format!("{name}, {}, {how}", wall.name);
            let edges: Vec<Edge> =
                planned.outline.as_ref().unwrap().sides().iter().map(|s| s.edge.clone()).collect();
            let base = cut(wall, edges.clone());
            // A joined wall's edges are the corner's, not the template's.
            if !job.joints.iter().any(|j| [j.a.wall, j.b.wall].contains(&wall.id)) {
                same(
                    &base,
                    &planned.layers.as_ref().unwrap().layers,
                    Affine::IDENTITY,
                    &what("from the plan"),
                );
            }
            for (degrees, shift) in
                [(0.0, (512.3, -77.7)), (31.0, (0.0, 0.0)), (90.0, (3.0, 4.0)), (222.0, (-2e4, 1e4))]
            {
                let by = Affine::translate(shift) * Affine::rotate(f64::to_radians(degrees));
                same(&base, &cut(wall, moved(&edges, by)), by, &what(&format!("turned by {degrees}°")));
            }
            let mirror = Affine::new([-1.0, 0.0, 0.0, 1.0, 0.0, 0.0]);
            same(&base, &cut(wall, mirror_edges(&edges)), mirror, &what("mirrored"));
            for start in 1..edges.len() {
                let mut turned = edges.clone();
                turned.rotate_left(start);
                same(&base, &cut(wall, turned), Affine::IDENTITY, &what("another start"));
            }
            let back: Vec<Edge> = edges
                .iter()
                .rev()
                .map(|e| Edge {
                    ticks: e.ticks.iter().rev().copied().collect(),
                    bevel: e.bevel.reversed(),
                    ..e.clone()
                })
                .collect();
            same(&base, &cut(wall, back), Affine::IDENTITY, &what("another direction"));
        }
    }
}

/// The same by way of the document: as if the person had clicked from another corner, round the other way, or declared the
/// template seen from its other side.
#[test]
fn a_job_clicked_otherwise_gives_the_same_layers() {
    for name in samples() {
        let job = sample(&name);
        let base = plan(&job);
        let check = |how: &str, flip: bool, change: &dyn Fn(&mut Wall)| {
            let mut other: Job = job.clone();
            other.walls.iter_mut().for_each(change);
            for ((a, b), wall) in base.walls.iter().zip(plan(&other).walls).zip(&job.walls) {
                let (a, b) = (a.layers.as_ref().unwrap(), b.layers.as_ref().unwrap());
                let what = format!("{name}, {}, {how}", wall.name);
                if flip {
                    flipped(&a.layers, &b.layers, &what);
                } else {
                    same(&a.layers, &b.layers, Affine::IDENTITY, &what);
                }
            }
        };
        check("started two edges on", false, &|w| w.template.edges.rotate_left(2));
        check("clicked the other way round", false, &|w| {
            w.template.edges.reverse();
            for e in &mut w.template.edges {
                e.ticks.reverse();
                e.bevel = e.bevel.iter().rev().map(|b| BevelAt { at: 1.0 - b.at, ..*b }).collect();
            }
        });
        check("seen from the other side", true, &|w| {
            w.template.seen_from = match w.template.seen_from {
                SeenFrom::BoxSide => SeenFrom::HullSide,
                SeenFrom::HullSide => SeenFrom::BoxSide,
            };
        });
    }
}

/// `b` is `a` turned over about some upright line.
fn flipped(a: &[Layer], b: &[Layer], what: &str) {
    let bounds = |l: &[Layer]| l[0].outer.rings[0].bounds();
    let (p, q) = (bounds(a), bounds(b));
    let over = Affine::new([-1.0, 0.0, 0.0, 1.0, p.x0 + q.x1, q.y0 - p.y0]);
    same(a, b, over, what);
}
