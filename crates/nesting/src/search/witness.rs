//! The overlap test against an independent collision library, `jagua-rs`: the same verdicts.

use std::collections::BTreeSet;
use std::sync::Arc;

use jagua_rs::collision_detection::hazards::collector::{BasicHazardCollector, HazardCollector};
use jagua_rs::collision_detection::hazards::filter::NoFilter;
use jagua_rs::collision_detection::hazards::{Hazard, HazardEntity};
use jagua_rs::collision_detection::{CDEConfig, CDEngine};
use jagua_rs::geometry::DTransformation;
use jagua_rs::geometry::fail_fast::SPSurrogateConfig;
use jagua_rs::geometry::geo_enums::GeoPosition;
use jagua_rs::geometry::geo_traits::Transformable;
use jagua_rs::geometry::primitives::{Point as OtherPoint, Rect as OtherRect, SPolygon};
use kurbo::Point;

use crate::random::Random;
use crate::request::Turns;
use crate::search::pair::{badness, boxes_meet, outlines_meet};
use crate::search::shape::{Body, Shape};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Who {
    Outside,
    Piece(usize),
}

impl HazardEntity for Who {
    fn scope(&self) -> GeoPosition {
        if *self == Who::Outside { GeoPosition::Exterior } else { GeoPosition::Interior }
    }
    fn is_dynamic(&self) -> bool {
        *self != Who::Outside
    }
}

/// A box panel: four sides, one of them bowed; about twenty points.
fn panel(rng: &mut Random) -> Shape {
    let (w, h, bow) = (rng.between(200.0, 700.0), rng.between(200.0, 600.0), rng.between(20.0, 90.0));
    let mut ring =
        vec![Point::new(0.0, 0.0), Point::new(w, rng.between(-20.0, 20.0)), Point::new(w * 0.95, h)];
    for k in 1..17 {
        let t = f64::from(k) / 17.0;
        ring.push(Point::new(w * (0.95 - 0.9 * t), h + bow * 4.0 * t * (1.0 - t)));
    }
    ring.push(Point::new(w * 0.05, h));
    Shape::new(&ring, Turns::Any).expect("a panel has an inside")
}

fn other(shape: &Shape) -> SPolygon {
    let points = shape.points.iter().map(|p| OtherPoint(p[0] as f32, p[1] as f32)).collect();
    let mut poly = SPolygon::new(points).expect("a panel is simple");
    poly.generate_surrogate(surrogate()).expect("a panel has a surrogate");
    poly
}

fn surrogate() -> SPSurrogateConfig {
    SPSurrogateConfig {
        n_pole_limits: [(64, 0.0), (16, 0.8), (8, 0.9)],
        ff_pole_area_ratio: 0.5,
        n_ff_piers: 0,
    }
}

struct Table {
    shapes: Vec<Shape>,
    bodies: Vec<Body>,
    polys: Vec<SPolygon>,
    engine: CDEngine<Who>,
    side: f64,
}

fn table(rng: &mut Random, n: usize) -> Table {
    let side = 500.0 * (n as f64).sqrt();
    // Wide enough for every place: what lies outside its sheet that library does not look at.
    let sheet =
        OtherRect::try_new(-900.0, -900.0, side as f32 + 900.0, side as f32 + 900.0).expect("a sheet");
    let outside = Hazard::new(Who::Outside, Arc::new(SPolygon::from(sheet)));
    let config = CDEConfig { quadtree_depth: 4, cd_threshold: 16, item_surrogate_config: surrogate() };
    let mut engine = CDEngine::new(sheet, vec![outside], config);
    let shapes: Vec<Shape> = (0..n).map(|_| panel(rng)).collect();
    let polys: Vec<SPolygon> = shapes.iter().map(other).collect();
    let mut bodies = Vec::new();
    for (k, s) in shapes.iter().enumerate() {
        let (deg, x, y) = place(rng, side);
        let mut body = Body::default();
        s.put(deg, x, y, &mut body);
        bodies.push(body);
        let moved = polys[k].transform_clone(&transformation(deg, x, y));
        engine.register_hazard(Hazard::new(Who::Piece(k), Arc::new(moved)));
    }
    Table { shapes, bodies, polys, engine, side }
}

fn place(rng: &mut Random, side: f64) -> (f64, f64, f64) {
    (rng.between(0.0, 360.0), rng.between(0.0, side), rng.between(0.0, side))
}

fn transformation(deg: f64, x: f64, y: f64) -> jagua_rs::geometry::Transformation {
    DTransformation::new(deg.to_radians() as f32, (x as f32, y as f32)).compose()
}

#[test]
fn verdicts_agree_with_an_independent_library() {
    let mut rng = Random::new(7, 0);
    let t = table(&mut rng, 12);
    let (mut body, mut slightly) = (Body::default(), Body::default());
    let (mut met, mut free) = (0, 0);
    for k in 0..4000 {
        let i = k % t.shapes.len();
        let (deg, x, y) = place(&mut rng, t.side);
        let moved = t.polys[i].transform_clone(&transformation(deg, x, y));
        let mut found = BasicHazardCollector::new();
        t.engine.collect_poly_collisions(&moved, &NoFilter, &mut found);
        let theirs: BTreeSet<usize> =
            found.entities().filter_map(|e| if let Who::Piece(j) = e { Some(*j) } else { None }).collect();
        t.shapes[i].put(deg, x, y, &mut body);
        for (j, b) in t.bodies.iter().enumerate() {
            let mine = boxes_meet(&body.bounds, &b.bounds) && outlines_meet(&body, b);
            // 32-bit coordinates there: verdicts that a hundredth of a mm changes are no disagreement.
            let near = [(0.01, 0.0), (-0.01, 0.0), (0.0, 0.01), (0.0, -0.01)].iter().any(|(dx, dy)| {
                t.shapes[i].put(deg, x + dx, y + dy, &mut slightly);
                (boxes_meet(&slightly.bounds, &b.bounds) && outlines_meet(&slightly, b)) != mine
            });
            if !near && i != j {
                assert_eq!(mine, theirs.contains(&j), "piece {i} at {deg} {x} {y} against {j}");
                assert_eq!(mine, badness(&body, b, 500.0, 1.0, f32::INFINITY) > 0.0);
                if mine { met += 1 } else { free += 1 }
            }
        }
    }
    assert!(met > 2000 && free > 2000, "{met} {free}");
}
