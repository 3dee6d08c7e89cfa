//! Makes the sample of a whole box: `cargo run --release -p coldwright-job --example make_locker`.
//!
//! An invented locker under a berth to port: a shallow V floor, a hull side that is bent and leans out by 15° aft to 25°
//! forward, an inboard side that leans, a notch over a stringer. Every wall is measured by points taped on its template, to
//! the half millimetre and half degree a person reads; its pieces are laid out on its sheets.

use std::error::Error;
use std::fs;
use std::path::Path;
use std::sync::atomic::AtomicBool;

use coldwright_export::Paper;
use coldwright_geometry::{EdgeKind, Length, Vec2, Xyz};
use coldwright_job::{
    BevelAt, Edge, EdgeId, EdgeOf, Edit, Job, JointId, JointKind, LayerStock, Opening, OpeningPlace,
    OpeningShape, Place, SheetShape, Stands, StockSheet, Tick, TickId, Units, WallEdit, apply, checks,
    keep_layout, plan, sheet_request, to_bytes,
};
use coldwright_nesting::{Effort, nest};
use kurbo::Point;

/// Fore and aft, mm.
const LENGTH: f64 = 880.0;
/// Height of the counter over the keel of the V, mm.
const TOP: f64 = 545.0;
/// The keel of the V lies so far from the inboard side's top, mm.
const KEEL: f64 = 300.0;
/// Slopes of the floor's inboard and outboard halves.
const SLOPES: (f64, f64) = (0.09, 0.085);
/// Depth and height of the notch over the stringer.
const NOTCH: (f64, f64) = (150.0, 200.0);
/// How far the inboard side leans in from the notch up to the counter, mm.
const LEAN: f64 = 45.0;
/// Pieces between the points measured along a bent edge.
const PIECES: usize = 6;
/// Moves of the search for a layout of the sheets.
const MOVES: u64 = 1_500;
/// How well a taped point is known, mm.
const SD: f64 = 1.0;

/// One wall by its corners in the box, counter-clockwise seen from inside; bent edges are filled in later.
struct Side {
    name: &'static str,
    stands: Stands,
    corners: Vec<usize>,
    layers: usize,
}

/// How far out the hull stands at height 0 at a station, and how far more for each mm of height.
fn station(x: f64) -> (f64, f64) {
    let u = x / LENGTH;
    (545.0 + 16.0 * (1.0 - (2.0 * u - 1.0).powi(2)), (15.0 + 10.0 * u).to_radians().tan())
}

fn hull(x: f64, z: f64) -> f64 {
    let (b, t) = station(x);
    b + z * t
}

/// Direction from the hull into the box.
fn hull_inward(p: Xyz) -> Xyz {
    let slope = (hull(p.x + 0.01, p.z) - hull(p.x - 0.01, p.z)) / 0.02;
    Xyz::new(slope, -1.0, station(p.x).1).unit()
}

/// Where the hull meets the floor's outboard half, and the counter.
fn low(x: f64) -> Xyz {
    let (b, t) = station(x);
    let y = (b - KEEL * SLOPES.1 * t) / (1.0 - SLOPES.1 * t);
    Xyz::new(x, y, (y - KEEL) * SLOPES.1)
}

fn high(x: f64) -> Xyz {
    Xyz::new(x, hull(x, TOP), TOP)
}

/// Corners of the section at one end: from the hull's foot up, over the counter and down the inboard side to the keel.
fn section(x: f64) -> [Xyz; 7] {
    let at = |y: f64, z: f64| Xyz::new(x, y, z);
    [
        low(x),
        high(x),
        at(0.0, TOP),
        at(LEAN, NOTCH.1),
        at(NOTCH.0, NOTCH.1),
        at(NOTCH.0, (KEEL - NOTCH.0) * SLOPES.0),
        at(KEEL, 0.0),
    ]
}

fn sides() -> Vec<Side> {
    let names = [
        ("Hull side", Stands::Upright, 4),
        ("Counter", Stands::Lid, 3),
        ("Inboard side", Stands::Upright, 3),
        ("Notch top", Stands::Floor, 4),
        ("Notch side", Stands::Upright, 3),
        ("Floor inboard", Stands::Floor, 4),
        ("Floor outboard", Stands::Floor, 4),
    ];
    let n = names.len();
    let mut all: Vec<Side> = names
        .into_iter()
        .enumerate()
        .map(|(i, (name, stands, layers))| {
            let j = (i + 1) % n;
            Side { name, stands, corners: vec![i, i + n, j + n, j], layers }
        })
        .collect();
    let end = |name, corners| Side { name, stands: Stands::Upright, corners, layers: 4 };
    all.push(end("Engine bulkhead", (0..n).collect()));
    all.push(end("Forward bulkhead", (n..2 * n).rev().collect()));
    all
}

/// The frame of a flat wall: right, up (forward on floors and counter), into the box.
fn frame(stands: Stands, ring: &[Xyz]) -> [Xyz; 3] {
    let n =
        ring.iter().zip(ring.iter().cycle().skip(1)).fold(Xyz::default(), |s, (a, b)| s + a.cross(*b)).unit();
    let wish = if stands == Stands::Upright { Xyz::new(0.0, 0.0, 1.0) } else { Xyz::new(1.0, 0.0, 0.0) };
    let up = (wish - n * wish.dot(n)).unit();
    [up.cross(n), up, n]
}

/// The line between two corners of the box: along the hull or straight.
fn line(side: usize, from: usize, to: usize, corners: &[Xyz]) -> Vec<Xyz> {
    let n = corners.len() / 2;
    let (a, b) = (corners[from], corners[to]);
    let bent = [from, to].iter().all(|c| c.is_multiple_of(n)) || [from, to].iter().all(|c| c % n == 1);
    if !(bent && matches!(side, 0 | 1 | 6)) {
        return vec![a, b];
    }
    let along = |k: usize| a.x + (b.x - a.x) * k as f64 / PIECES as f64;
    (0..=PIECES).map(|k| if from.is_multiple_of(n) { low(along(k)) } else { high(along(k)) }).collect()
}

/// The hull laid flat, ruling by ruling, each strip as two triangles: its lower and its upper edge, aft to forward.
fn developed() -> (Vec<Point>, Vec<Point>) {
    // The third corner of a triangle left of a → b, from two distances.
    let third = |a: Point, b: Point, from_a: f64, from_b: f64| {
        let d = a.distance(b);
        let along = (d * d + from_a * from_a - from_b * from_b) / (2.0 * d);
        let up = (from_a * from_a - along * along).max(0.0).sqrt();
        let w = (b - a) / d;
        a + w * along + Vec2::new(-w.y, w.x) * up
    };
    let fine = 40 * PIECES;
    let x = |k: usize| LENGTH * k as f64 / fine as f64;
    let (mut lower, mut upper) = (vec![Point::ZERO], vec![Point::new(0.0, (high(0.0) - low(0.0)).length())]);
    for k in 1..=fine {
        let (a, b) = (lower[k - 1], upper[k - 1]);
        let (p, q) = (low(x(k - 1)), high(x(k - 1)));
        let (r, s) = (low(x(k)), high(x(k)));
        let c = third(b, a, (r - q).length(), (r - p).length());
        lower.push(c);
        upper.push(third(b, c, (s - q).length(), (s - r).length()));
    }
    let every = |line: Vec<Point>| line.into_iter().step_by(40).collect();
    (every(lower), every(upper))
}

fn to_half(v: f64) -> f64 {
    (2.0 * v).round() / 2.0
}

/// Angle inside the box between two walls at an edge of the first, from their directions into the box, degrees.
fn interior(a: Xyz, b: Xyz, way: Xyz) -> f64 {
    let out = way.cross(a);
    (-b.dot(out)).atan2(-b.dot(a)).to_degrees().rem_euclid(360.0)
}

fn main() -> Result<(), Box<dyn Error>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../samples");
    let job = laid_out(&locker()?)?;
    for problem in checks(&job, &plan(&job)) {
        tell(&format!("{:?}: {problem}", problem.severity));
    }
    fs::write(folder.join("locker.coldwright"), to_bytes(&job)?)?;
    Ok(())
}

/// The job with its pieces laid out on its sheets: the same moves from the same seed give the same layout again.
fn laid_out(job: &Job) -> Result<Job, Box<dyn Error>> {
    let asked = sheet_request(job, &plan(job).pieces);
    let effort = Effort { seed: 1, moves: Some(MOVES), seconds: None, threads: 1 };
    let found = nest(&asked.request, &effort, &AtomicBool::new(false), &mut |_| ())?;
    Ok(apply(job, &Edit::KeepLayout(Some(keep_layout(&asked, &found, effort.seed))))?)
}

/// Middle of the opening in the counter, from the left end of its after edge, in.
const OPENING: [i64; 2] = [15, 16];

fn locker() -> Result<Job, Box<dyn Error>> {
    let inch = |n: i64| Length::from_64ths(n * 64);
    let mut job = Job::default();
    let opening = OpeningShape::Rectangle { width: inch(14), height: inch(12), corner: inch(1) };
    let sheet = |name: &str, width: i64, length: i64, owned| StockSheet {
        name: name.to_owned(),
        shape: SheetShape::Rectangle { width: inch(width), length: inch(length) },
        owned,
        ..StockSheet::default()
    };
    for edit in [
        Edit::NameJob("Tansy Lark, cold locker".to_owned()),
        Edit::SetUnits(Units::Inches),
        Edit::SetPaper(Paper::Letter),
        Edit::SetOpening(Some(Opening { shape: opening, behind: None, place: None })),
        Edit::SetStock(vec![sheet("Left in the shed", 24, 96, Some(2)), sheet("Full sheet", 48, 96, None)]),
    ] {
        job = apply(&job, &edit)?;
    }
    let corners = [section(0.0), section(LENGTH)].concat();
    let sides = sides();
    let mut met: Vec<Met> = Vec::new();
    for at in 0..sides.len() {
        job = add_wall(&job, &sides, &corners, at, &mut met)?;
    }
    let counter = job.walls.iter().find(|w| w.stands == Stands::Lid).map(|w| w.id);
    let place = counter.map(|wall| OpeningPlace { wall, at: OPENING.map(inch).into() });
    let lies = job.opening.map(|opening| Opening { place, ..opening });
    job = apply(&job, &Edit::SetOpening(lies))?;
    for (i, one) in met.iter().enumerate() {
        let Some(other) = met.iter().skip(i + 1).find(|m| (m.wall, m.beyond) == (one.beyond, one.wall))
        else {
            continue;
        };
        let v = (one.wall, one.beyond) == (5, 6);
        let kind = if v { JointKind::Mitred } else { JointKind::Woven { first_runs: true } };
        job = apply(&job, &Edit::Join { a: one.edge, b: other.edge, kind })?;
        let id = job.joints.last().map_or(JointId(0), |j| j.id);
        if one.angle.is_some() {
            job = apply(&job, &Edit::JointAngle(id, one.angle))?;
        }
    }
    Ok(job)
}

/// An edge, the wall beyond it, and the angle measured there where no bevel can tell it.
struct Met {
    wall: usize,
    beyond: usize,
    edge: EdgeOf,
    angle: Option<f64>,
}

/// Adds one wall with the points taped on it.
fn add_wall(
    job: &Job,
    sides: &[Side],
    corners: &[Xyz],
    at: usize,
    met: &mut Vec<Met>,
) -> Result<Job, Box<dyn Error>> {
    let side = &sides[at];
    let own = |s: &Side| frame(s.stands, &s.corners.iter().map(|c| corners[*c]).collect::<Vec<_>>());
    let axes = own(side);
    let inward = |w: usize, p: Xyz| if w == 0 { hull_inward(p) } else { own(&sides[w])[2] };
    let mut job = apply(job, &Edit::AddWall { name: side.name.to_owned() })?;
    let wall = job.walls[at].id;
    let mut next = job.next_id;
    let mut fresh = || {
        next += 1;
        next - 1
    };
    let m = side.corners.len();
    let firsts: Vec<TickId> = (0..m).map(|_| TickId(fresh())).collect();
    let (lower, upper) = developed();
    let flat = |p: &Xyz| {
        let d = *p - corners[side.corners[0]];
        Point::new(d.dot(axes[0]), d.dot(axes[1]))
    };
    let (mut ticks, mut edges) = (Vec::new(), Vec::new());
    let mut base: Option<(f64, EdgeId)> = None;
    for k in 0..m {
        let (from, to) = (side.corners[k], side.corners[(k + 1) % m]);
        let Some(other) = beyond(sides, from, to) else { continue };
        let run = line(at, from, to, corners);
        let places: Vec<Point> = match (at, k) {
            (0, 0) => lower.clone(),
            (0, 1) => vec![lower[PIECES], upper[PIECES]],
            (0, 2) => upper.iter().rev().copied().collect(),
            (0, _) => vec![upper[0], lower[0]],
            _ => run.iter().map(flat).collect(),
        };
        // Where the hull is one of the two, the lean changes along the edge: read at its ends and its middle.
        let stations: &[f64] = if at == 0 || other == 0 { &[0.0, 0.5, 1.0] } else { &[0.5] };
        let angle = |share: f64| {
            let last = run.len() - 1;
            let at_share = share * last as f64;
            let i = (at_share as usize).min(last - 1);
            let p = run[i] + (run[i + 1] - run[i]) * (at_share - i as f64);
            interior(inward(at, p), inward(other, p), (run[i + 1] - run[i]).unit())
        };
        // Neither a nearly straight corner nor one that points into the box is told by a bevel: its angle is measured.
        let measured = Some(angle(0.5)).filter(|a| !(15.0..=165.0).contains(a)).map(to_half);
        let degrees = |share: f64| if measured.is_some() { 0.0 } else { to_half(angle(share) - 90.0) };
        let id = EdgeId(fresh());
        let last = places.len() - 1;
        let mut on = vec![firsts[k]];
        on.extend((1..last).map(|_| TickId(fresh())));
        ticks.extend(on.iter().copied().zip(places.iter().copied()));
        on.push(firsts[(k + 1) % m]);
        // The bottom or after edge: of those that run to the right the most level.
        let way = places[last] - places[0];
        if way.x > 0.0 && base.is_none_or(|b| way.y.abs() / way.x < b.0) {
            base = Some((way.y.abs() / way.x, id));
        }
        edges.push(Edge {
            id,
            name: format!("At {}", sides[other].name.to_lowercase()),
            kind: if on.len() > 2 { EdgeKind::Fair } else { EdgeKind::Straight },
            ticks: on,
            bevel: stations.iter().map(|at| BevelAt { at: *at, degrees: degrees(*at) }).collect(),
            gap: Length::from_micrometres(3_000),
            smoothing: Length::default(),
        });
        met.push(Met { wall: at, beyond: other, edge: EdgeOf { wall, edge: id }, angle: measured });
    }
    let place = |p: Point| Place::Typed { at: Point::new(to_half(p.x), to_half(p.y)), sd: SD };
    let ticks = ticks.into_iter().map(|(id, p)| Tick { id, place: place(p) }).collect();
    let stock = LayerStock { material: "XPS".to_owned(), ..LayerStock::default() };
    let mut edits = vec![
        WallEdit::Stands(side.stands),
        WallEdit::Layers(vec![stock; side.layers]),
        WallEdit::Trace(ticks, edges),
    ];
    edits.extend(base.map(|b| WallEdit::Base(b.1)));
    for edit in edits {
        job = apply(&job, &Edit::Wall(wall, edit))?;
    }
    Ok(job)
}

/// The wall that has the edge from one corner to the next the other way round.
fn beyond(sides: &[Side], from: usize, to: usize) -> Option<usize> {
    sides.iter().position(|s| {
        let m = s.corners.len();
        (0..m).any(|k| (s.corners[k], s.corners[(k + 1) % m]) == (to, from))
    })
}

fn tell(line: &str) {
    use std::io::Write;
    let _ = writeln!(std::io::stdout(), "{line}");
}
