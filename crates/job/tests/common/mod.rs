//! Shapes shared by the tests of a job.
#![allow(dead_code, reason = "each test file uses its own part")]

pub mod walls;

use coldwright_geometry::{EdgeKind, Length};
use coldwright_job::{
    BevelAt, Edge, EdgeId, Edit, Job, LayerStock, Place, SeenFrom, Template, Tick, TickId, WallEdit, WallId,
    apply,
};
use kurbo::Point;

/// An F lying in the plane as seen from inside the box, mm, counter-clockwise: no mirror image of it is itself.
pub const F: [(f64, f64); 10] = [
    (0.0, 0.0),
    (120.0, 0.0),
    (120.0, 250.0),
    (300.0, 250.0),
    (300.0, 350.0),
    (120.0, 350.0),
    (120.0, 480.0),
    (400.0, 480.0),
    (400.0, 600.0),
    (0.0, 600.0),
];

/// A template of straight edges with a shared tick at every corner; edge i runs from corner i to i + 1.
pub fn template(points: &[(f64, f64)], degrees: &[f64]) -> Template {
    let n = points.len() as u32;
    let tick = |i: u32| TickId(100 + i % n);
    Template {
        ticks: points
            .iter()
            .enumerate()
            .map(|(i, (x, y))| Tick {
                id: tick(i as u32),
                place: Place::Typed { at: Point::new(*x, *y), sd: 0.3 },
            })
            .collect(),
        edges: (0..n)
            .map(|i| Edge {
                id: EdgeId(200 + i),
                name: format!("Edge {}", i + 1),
                kind: EdgeKind::Straight,
                ticks: vec![tick(i), tick(i + 1)],
                bevel: vec![BevelAt { at: 0.0, degrees: degrees[i as usize % degrees.len()] }],
                gap: Length::default(),
                smoothing: Length::default(),
            })
            .collect(),
        base: Some(EdgeId(200)),
        ..Template::default()
    }
}

/// A job of one wall with a typed template and four inch-thick layers.
pub fn job(template: &Template) -> (Job, WallId) {
    let job = apply(&Job::default(), &Edit::AddWall { name: "Hull side".to_owned() }).unwrap();
    let wall = job.walls[0].id;
    let edit = |job: &Job, e: WallEdit| apply(job, &Edit::Wall(wall, e)).unwrap();
    let job = edit(&job, WallEdit::Trace(template.ticks.clone(), template.edges.clone()));
    let job = edit(&job, WallEdit::Base(template.base.unwrap()));
    let job = edit(&job, WallEdit::SeenFrom(template.seen_from));
    let job = edit(&job, WallEdit::Layers(vec![LayerStock::default(); 4]));
    (job, wall)
}

/// The same template as seen from its other side: every x is turned round, the clicks come in the same order.
pub fn other_side(t: &Template) -> Template {
    let mut t = t.clone();
    for tick in &mut t.ticks {
        if let Place::Typed { at, .. } = &mut tick.place {
            at.x = -at.x;
        }
    }
    t.seen_from = match t.seen_from {
        SeenFrom::BoxSide => SeenFrom::HullSide,
        SeenFrom::HullSide => SeenFrom::BoxSide,
    };
    t
}
