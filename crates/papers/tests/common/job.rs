//! An invented wall in the shape of an F: lopsided, so that a turn or a mirror shows; its back is bent and leans.

use coldwright_geometry::{EdgeKind, Length};
use coldwright_job::{
    BevelAt, CutStyle, Cutting, Edge, EdgeId, Job, LayerStock, Place, SeenFrom, Template, Tick, TickId, Wall,
    WallId,
};
use kurbo::Point;

/// Corners counter-clockwise from the foot, mm, seen from inside the box, and each edge's name and bevel in degrees.
const CORNERS: [(f64, f64, &str, f64); 9] = [
    (0.0, 0.0, "foot", -8.0),
    (190.0, 0.0, "post", 0.0),
    (190.0, 320.0, "under the arm", 5.0),
    (430.0, 320.0, "arm end", 5.0),
    (430.0, 480.0, "on the arm", 5.0),
    (190.0, 480.0, "upper post", 0.0),
    (190.0, 620.0, "under the head", 0.0),
    (600.0, 620.0, "head end", 12.5),
    (600.0, 800.0, "head", 0.0),
];
/// Ticks of the bent back between the head's left end and the foot.
const BACK: [(f64, f64); 5] = [(0.0, 800.0), (-24.0, 600.0), (-34.0, 400.0), (-26.0, 200.0), (0.0, 0.0)];

/// The wall as typed from the box side, or from the hull side: then every point is mirrored, and the ring walked
/// counter-clockwise as seen from there, which turns the order of edges, ticks and stations round.
pub fn lopsided(seen_from: SeenFrom, cut: CutStyle) -> Job {
    let mut points: Vec<Point> = CORNERS.iter().map(|(x, y, ..)| Point::new(*x, *y)).collect();
    let back: Vec<TickId> = {
        let first = points.len() as u32;
        points.extend(BACK[..4].iter().map(|(x, y)| Point::new(*x, *y)));
        (first..first + 4).chain([0]).map(|i| TickId(100 + i)).collect()
    };
    let mut edges: Vec<Edge> = CORNERS
        .iter()
        .enumerate()
        .map(|(i, (.., name, degrees))| Edge {
            id: EdgeId(10 + i as u32),
            name: (*name).to_owned(),
            kind: EdgeKind::Straight,
            ticks: vec![TickId(100 + i as u32), TickId(101 + i as u32)],
            bevel: vec![BevelAt { at: 0.0, degrees: *degrees }],
            gap: Length::default(),
            smoothing: Length::default(),
        })
        .collect();
    edges.push(Edge {
        id: EdgeId(30),
        name: "back".to_owned(),
        kind: EdgeKind::Fair,
        ticks: back,
        bevel: vec![
            BevelAt { at: 0.0, degrees: 22.0 },
            BevelAt { at: 0.6, degrees: 9.0 },
            BevelAt { at: 1.0, degrees: -4.0 },
        ],
        gap: Length::from_micrometres(2_000),
        smoothing: Length::default(),
    });
    if seen_from == SeenFrom::HullSide {
        for p in &mut points {
            p.x = -p.x;
        }
        edges.reverse();
        for edge in &mut edges {
            edge.ticks.reverse();
            edge.bevel.reverse();
            for station in &mut edge.bevel {
                station.at = 1.0 - station.at;
            }
        }
    }
    let ticks = points
        .iter()
        .enumerate()
        .map(|(i, at)| Tick { id: TickId(100 + i as u32), place: Place::Typed { at: *at, sd: 0.5 } })
        .collect();
    let inch =
        LayerStock { thickness: Length::from_64ths(64), material: "XPS".to_owned(), ..LayerStock::default() };
    Job {
        name: "Locker of the invented ketch Osprey's Kettle".to_owned(),
        walls: vec![Wall {
            id: WallId(1),
            name: "Après side".to_owned(),
            template: Template { seen_from, ticks, edges, base: Some(EdgeId(10)), ..Template::default() },
            layers: vec![inch; 3],
            cut,
            ..Wall::default()
        }],
        next_id: 1000,
        // A saw that makes every edge with the box side up.
        cutting: Cutting { tilt: (45, 45), ..Cutting::default() },
        ..Job::default()
    }
}

/// A panel with four straight sides that all lean out by the same bevel, in degrees; measured at the hull face.
pub fn four_sided(width: f64, height: f64, degrees: f64, cut: CutStyle) -> Job {
    let corners = [(0.0, 0.0), (width, 0.0), (width, height), (0.0, height)];
    let ticks = corners
        .iter()
        .enumerate()
        .map(|(i, (x, y))| Tick {
            id: TickId(100 + i as u32),
            place: Place::Typed { at: Point::new(*x, *y), sd: 0.3 },
        })
        .collect();
    let edges = ["bottom", "right side", "top", "left side"]
        .iter()
        .enumerate()
        .map(|(i, name)| Edge {
            id: EdgeId(10 + i as u32),
            name: (*name).to_owned(),
            kind: EdgeKind::Straight,
            ticks: vec![TickId(100 + i as u32), TickId(100 + (i as u32 + 1) % 4)],
            bevel: vec![BevelAt { at: 0.0, degrees }],
            gap: Length::default(),
            smoothing: Length::default(),
        })
        .collect();
    let inch =
        LayerStock { thickness: Length::from_64ths(64), material: "XPS".to_owned(), ..LayerStock::default() };
    Job {
        name: "Panel".to_owned(),
        walls: vec![Wall {
            id: WallId(1),
            name: "Panel".to_owned(),
            template: Template { ticks, edges, base: Some(EdgeId(10)), ..Template::default() },
            layers: vec![inch; 3],
            cut,
            ..Wall::default()
        }],
        next_id: 1000,
        // A saw that makes every edge with the box side up.
        cutting: Cutting { tilt: (45, 45), ..Cutting::default() },
        ..Job::default()
    }
}
