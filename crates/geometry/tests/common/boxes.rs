//! Boxes of flat walls at odd angles, as they are and as they are measured.
#![allow(dead_code, reason = "each test file uses some of these")]

use coldwright_geometry::{
    Bevel, BoxWall, Edge, Facet, Joint, JointKind, Outline, Point, Spread, Stand, TemplateDepth, Tick, Xyz,
    faceted_box,
};

use super::common::Dice;

pub const KINDS: [JointKind; 5] = [
    JointKind::RunsPast,
    JointKind::StopsShort,
    JointKind::Woven { a_first: true },
    JointKind::Woven { a_first: false },
    JointKind::Mitred,
];

/// The place where three planes n·p = d meet (Cramer's rule).
fn meet(planes: [(Xyz, f64); 3]) -> Xyz {
    let [(a, d), (b, e), (c, f)] = planes;
    (b.cross(c) * d + c.cross(a) * e + a.cross(b) * f) * (1.0 / a.dot(b.cross(c)))
}

/// Corners of a six-sided cavity about 900 × 600 × 550 mm whose sides lean by up to `lean` degrees either way.
pub fn skewed(dice: &mut Dice, lean: f64) -> Vec<Xyz> {
    loop {
        let (l, w, d) = (dice.between(700., 1200.), dice.between(450., 800.), dice.between(400., 700.));
        let mut tilt = || f64::to_radians(dice.between(-lean, lean)).tan();
        // Planes aft, forward, inboard, port, below, above: each leans in both directions.
        let x = [0.0, l].map(|d| (Xyz::new(1.0, 0.5 * tilt(), tilt()).unit(), d));
        let y = [0.0, w].map(|d| (Xyz::new(0.5 * tilt(), 1.0, tilt()).unit(), d));
        let z = [0.0, d].map(|d| (Xyz::new(0.3 * tilt(), 0.3 * tilt(), 1.0).unit(), d));
        let at = |i: usize, j: usize, k: usize| meet([x[i], y[j], z[k]]);
        let c: Vec<Xyz> = (0..2).flat_map(|k| [at(0, 0, k), at(1, 0, k), at(1, 1, k), at(0, 1, k)]).collect();
        // Sides that lean towards each other must not have met.
        let long = |(a, b): (usize, usize)| {
            let v = c[b] - c[a];
            v.x.max(v.y).max(v.z) > 250.0
        };
        let edges =
            [(0, 1), (3, 2), (4, 5), (7, 6), (0, 3), (1, 2), (4, 7), (5, 6), (0, 4), (1, 5), (2, 6), (3, 7)];
        if edges.into_iter().all(long) {
            return c;
        }
    }
}

/// Corners of a frustum: 600 × 400 below, 800 × 560 above, 500 high.
pub fn frustum() -> Vec<Xyz> {
    let level = |x: f64, y: f64, z: f64| [(0., 0.), (x, 0.), (x, y), (0., y)].map(|(a, b)| (a, b, z));
    let low = level(600., 400., 0.).map(|(x, y, z)| Xyz::new(x, y, z));
    let high = level(800., 560., 500.).map(|(x, y, z)| Xyz::new(x - 100., y - 80., z));
    [low, high].concat()
}

/// Corners of a rectangular box.
pub fn rectangular(l: f64, w: f64, d: f64) -> Vec<Xyz> {
    [0., d]
        .iter()
        .flat_map(|z| [(0., 0.), (l, 0.), (l, w), (0., w)].map(|(x, y)| Xyz::new(x, y, *z)))
        .collect()
}

/// The walls of a six-sided cavity; `thicknesses` by wall: floor, port, inboard, aft, forward, top.
pub fn six(
    corners: &[Xyz],
    top: bool,
    thicknesses: impl Fn(usize) -> Vec<f64>,
    sd: f64,
    kind: impl Fn(usize, usize) -> JointKind,
) -> (Vec<BoxWall>, Vec<Joint>) {
    let facets: Vec<Facet> = [
        ("floor", Stand::Floor, [0, 1, 2, 3]),
        ("hull side", Stand::Side, [3, 2, 6, 7]),
        ("inboard side", Stand::Side, [1, 0, 4, 5]),
        ("aft end", Stand::Side, [0, 3, 7, 4]),
        ("forward end", Stand::Side, [2, 1, 5, 6]),
        ("top", Stand::Top, [7, 6, 5, 4]),
    ]
    .into_iter()
    .enumerate()
    .take(if top { 6 } else { 5 })
    .map(|(i, (name, stand, at))| Facet {
        name: name.to_owned(),
        stand,
        corners: at.to_vec(),
        thicknesses: thicknesses(i),
    })
    .collect();
    faceted_box(corners, &facets, sd, kind).expect("a box")
}

/// The wall with its template at `depth`, its corners moved by `off(corner)` mm and its bevels by `turn(edge)` radians; corner i
/// is where side i begins.
pub fn remade(
    wall: &BoxWall,
    depth: f64,
    sd: f64,
    mut off: impl FnMut(usize) -> (f64, f64),
    mut turn: impl FnMut(usize) -> f64,
) -> BoxWall {
    let sides = wall.shape.outline.sides();
    let n = sides.len();
    let start: Vec<Point> = sides.iter().map(|s| s.edge.ticks[0].at).collect();
    // Sides moved square to themselves by depth × tan(bevel), crossed again: school geometry.
    let line = |i: usize| {
        let way = (start[(i + 1) % n] - start[i]).normalize();
        let out = right_of(way);
        (start[i] + out * (depth * sides[i].edge.bevel.at(0.0).tan()), way)
    };
    let at: Vec<Point> = (0..n)
        .map(|i| {
            let ((p, u), (q, v)) = (line((i + n - 1) % n), line(i));
            let (x, y) = off(i);
            let c = p + u * ((q - p).cross(v) / u.cross(v));
            Point::new(c.x + x, c.y + y)
        })
        .collect();
    let tick = |i: usize| Tick { id: 100 + (i % n) as u32, at: at[i % n], spread: Spread::round(sd) };
    let edges: Vec<Edge> = sides
        .iter()
        .enumerate()
        .map(|(i, s)| Edge {
            ticks: vec![tick(i), tick(i + 1)],
            bevel: Bevel::constant(s.edge.bevel.at(0.0) + turn(i)).expect("a bevel"),
            ..s.edge.clone()
        })
        .collect();
    let mut out = wall.clone();
    out.shape.outline = Outline::new(edges, vec![]).expect("an outline").0;
    out.shape.template_depth = TemplateDepth::FromOuter(depth);
    out
}

fn right_of(way: coldwright_geometry::Vec2) -> coldwright_geometry::Vec2 {
    coldwright_geometry::Vec2::new(way.y, -way.x)
}

/// A box 800 long and 600 wide whose floor falls by `up` mm over 300 to a keel amidships; its sides end `h` mm above the keel.
/// The floor's halves come first, port and starboard, their edges at the keel first.
pub fn keeled(up: f64, h: f64) -> (Vec<BoxWall>, Vec<Joint>) {
    let c = |x: f64, y: f64, z: f64| Xyz::new(x, y, z);
    let (l, w) = (800.0, 300.0);
    let corners = [
        c(0., 0., 0.),
        c(l, 0., 0.),
        c(0., w, up),
        c(l, w, up),
        c(0., -w, up),
        c(l, -w, up),
        c(0., w, h),
        c(l, w, h),
        c(0., -w, h),
        c(l, -w, h),
    ];
    let facet = |name: &str, stand, corners: &[usize]| Facet {
        name: name.to_owned(),
        stand,
        corners: corners.to_vec(),
        thicknesses: vec![25.0; 3],
    };
    let facets = [
        facet("port floor", Stand::Floor, &[0, 1, 3, 2]),
        facet("starboard floor", Stand::Floor, &[4, 5, 1, 0]),
        facet("port side", Stand::Side, &[2, 3, 7, 6]),
        facet("starboard side", Stand::Side, &[5, 4, 8, 9]),
        facet("aft end", Stand::Side, &[0, 2, 6, 8, 4]),
        facet("forward end", Stand::Side, &[3, 1, 5, 9, 7]),
    ];
    let kind = |a, b| if (a, b) == (0, 1) { JointKind::Mitred } else { JointKind::Woven { a_first: true } };
    faceted_box(&corners, &facets, 0.5, kind).expect("a box")
}

/// Names, stands and corners' walls of a section carried along: one flat wall for each side of the section, then the two ends. The
/// corners are those of the one end in order, then those of the other; `layers` 25.4 mm thick.
pub fn carried_along(sides: &[(&str, Stand, usize)], ends: usize) -> Vec<Facet> {
    let n = sides.len();
    let facet = |name: &str, stand, corners: Vec<usize>, layers: usize| Facet {
        name: name.to_owned(),
        stand,
        corners,
        thicknesses: vec![25.4; layers],
    };
    let mut facets: Vec<Facet> = sides
        .iter()
        .enumerate()
        .map(|(i, (name, stand, layers))| {
            let j = (i + 1) % n;
            facet(name, *stand, vec![i, i + n, j + n, j], *layers)
        })
        .collect();
    facets.push(facet("aft end", Stand::Side, (0..n).collect(), ends));
    facets.push(facet("forward end", Stand::Side, (n..2 * n).rev().collect(), ends));
    facets
}
