//! From measured edges to a clean outline: all doubt is settled here, once.

use std::collections::BTreeSet;

use kurbo::{Point, Vec2};

use crate::crossing::meet;
use crate::edge::reversed;
use crate::fit::{Fitted, fit};
use crate::outline::Run;
use crate::section::{inside, signed_area};
use crate::simple::{Piece, pieces, self_crossing};
use crate::{
    Bevel, Carry, Corner, Cutout, Edge, EdgeKind, End, GeometryError, Notice, Outline, Side, Spread, Tick,
};

/// Ticks closer than this are one tick measured twice, mm.
const SAME_PLACE: f64 = 0.5;
/// A carried corner whose 95 % exceeds this asks for a tick even when it was carried a short way, mm.
const UNSURE: f64 = 3.0;
/// Farthest coordinate taken, mm: a kilometre.
const FARTHEST: f64 = 1.0e6;

/// See [`Outline::new`].
pub(crate) fn build(
    mut edges: Vec<Edge>,
    cutouts: Vec<Cutout>,
) -> Result<(Outline, Vec<Notice>), GeometryError> {
    let mut notices = Vec::new();
    check(&edges)?;
    let ring: Vec<Point> = edges.iter().flat_map(|e| e.ticks.iter().map(|t| t.at)).collect();
    if signed_area(&ring) < 0.0 {
        edges = edges.iter().rev().map(reversed).collect();
        notices.push(Notice::RingReversed);
    }
    let n = edges.len();
    let shared: Vec<bool> = (0..n)
        .map(|i| matches!((edges[i].ticks.last(), edges[(i + 1) % n].ticks.first()), (Some(a), Some(b)) if a.id == b.id))
        .collect();
    let mut fits = Vec::with_capacity(n);
    for (i, edge) in edges.iter().enumerate() {
        let pinned = (shared[(i + n - 1) % n], shared[i]);
        let mut ticks = edge.ticks.clone();
        // The corner's place is the one given with the edge that ends there.
        if pinned.0
            && let (Some(first), Some(corner)) = (ticks.first_mut(), edges[(i + n - 1) % n].ticks.last())
        {
            *first = *corner;
        }
        let ticks = merged(edge, ticks, pinned, &mut notices);
        fits.push(fit(edge, ticks, pinned)?);
    }
    let corners = corners(&edges, &fits, &shared)?;
    let (sides, runs) = sides(&edges, &fits, &corners, &shared)?;
    for (i, (edge, fitted)) in edges.iter().zip(&fits).enumerate() {
        observe(edge, fitted, &sides[i], &mut notices);
    }
    let outline_corners = corners.iter().map(|c| c.corner).collect();
    let cutouts = cutouts.into_iter().map(tidy_cutout).collect::<Result<Vec<_>, _>>()?;
    let outline = Outline::from_parts(sides, outline_corners, cutouts, runs);
    check_simple(&outline)?;
    Ok((outline, notices))
}

fn check(edges: &[Edge]) -> Result<(), GeometryError> {
    let fair = edges.iter().any(|e| e.kind == EdgeKind::Fair);
    if edges.len() < if fair { 2 } else { 3 } {
        return Err(GeometryError::TooFewEdges { has: edges.len() });
    }
    let mut ids = BTreeSet::new();
    for e in edges {
        if !ids.insert(e.id) {
            return Err(GeometryError::RepeatedEdge { id: e.id });
        }
        for t in &e.ticks {
            let fine = t.at.is_finite() && t.at.to_vec2().hypot() <= FARTHEST && t.spread.is_valid();
            if !fine {
                return Err(GeometryError::NotFinite {
                    what: format!("tick {} of edge \"{}\"", t.id, e.name),
                });
            }
        }
        if e.ticks.is_empty() {
            return Err(GeometryError::EdgeNeedsTicks { edge: e.name.clone(), has: 0, needs: 2 });
        }
        for (what, mm, least, most) in [("gap", e.gap, 0.0, 100.0), ("smoothing", e.smoothing, 0.0, 2.0)] {
            if !mm.is_finite() || mm < least || mm > most {
                return Err(GeometryError::OutOfRange { what, edge: e.name.clone(), mm, least, most });
            }
        }
    }
    Ok(())
}

/// Ticks at one place count once; a corner tick stays.
fn merged(edge: &Edge, ticks: Vec<Tick>, pinned: (bool, bool), notices: &mut Vec<Notice>) -> Vec<Tick> {
    let last = ticks.last().map(|t| t.id);
    let mut out: Vec<Tick> = Vec::with_capacity(ticks.len());
    for t in ticks {
        match out.last_mut() {
            Some(before) if before.at.distance(t.at) < SAME_PLACE => {
                let corner = pinned.1 && Some(t.id) == last;
                let (kept, dropped) = if corner { (t.id, before.id) } else { (before.id, t.id) };
                if kept != dropped {
                    notices.push(Notice::MergedTicks { edge: edge.id, kept, dropped });
                }
                if corner {
                    *before = t;
                }
            }
            _ => out.push(t),
        }
    }
    out
}

/// A corner with its parameter on the edge that ends and the edge that starts there.
struct Joint {
    corner: Corner,
    on_first: f64,
    on_second: f64,
}

fn corners(edges: &[Edge], fits: &[Fitted], shared: &[bool]) -> Result<Vec<Joint>, GeometryError> {
    let n = edges.len();
    let mut out = Vec::with_capacity(n);
    for i in 0..n {
        let (a, b) = (&fits[i], &fits[(i + 1) % n]);
        let between = (edges[i].id, edges[(i + 1) % n].id);
        let (end, start) = (a.curve.ends().1, b.curve.ends().0);
        if shared[i]
            && let Some(tick) = a.ticks.last()
        {
            let corner = Corner { at: tick.at, between, measured: true, spread: tick.spread };
            out.push(Joint { corner, on_first: end, on_second: start });
            continue;
        }
        let m = meet(&a.curve, &b.curve).ok_or_else(|| no_corner(edges, fits, i))?;
        let (sa, sb) = (a.sd(m.first), b.sd(m.second));
        let (na, nb) = (a.curve.at(m.first).normal(), b.curve.at(m.second).normal());
        let corner = Corner { at: m.at, between, measured: false, spread: corner_spread(na, sa, nb, sb) };
        out.push(Joint { corner, on_first: m.first, on_second: m.second });
    }
    Ok(out)
}

fn no_corner(edges: &[Edge], fits: &[Fitted], i: usize) -> GeometryError {
    let k = (i + 1) % edges.len();
    let (a, b) = (&fits[i].curve, &fits[k].curve);
    let near = a.at(a.ends().1).p.midpoint(b.at(b.ends().0).p);
    GeometryError::NoCorner { first: edges[i].name.clone(), second: edges[k].name.clone(), near }
}

/// Spread of the crossing of two lines with normals `na`, `nb`, each unsure by `sa`, `sb` along its normal.
fn corner_spread(na: Vec2, sa: f64, nb: Vec2, sb: f64) -> Spread {
    let den = na.cross(nb);
    if den.abs() < 1e-9 {
        return Spread::round(sa.max(sb));
    }
    // d = (nb⊥·ea − na⊥·eb)/den, from na·d = ea and nb·d = eb.
    let (u, v) = (Vec2::new(nb.y, -nb.x) * (sa / den), Vec2::new(-na.y, na.x) * (sb / den));
    Spread { xx: u.x * u.x + v.x * v.x, xy: u.x * u.y + v.x * v.y, yy: u.y * u.y + v.y * v.y }
}

fn sides(
    edges: &[Edge],
    fits: &[Fitted],
    joints: &[Joint],
    shared: &[bool],
) -> Result<(Vec<Side>, Vec<Run>), GeometryError> {
    let n = edges.len();
    let mut sides = Vec::with_capacity(n);
    let mut runs = Vec::with_capacity(n);
    for i in 0..n {
        let f = &fits[i];
        let (before, after) = ((i + n - 1) % n, i);
        let (from, to) = (joints[before].on_second, joints[after].on_first);
        let length = f.curve.length(from, to);
        if length <= 1e-6 {
            return Err(no_corner(edges, fits, i));
        }
        let (first, last) = f.curve.ends();
        let start_carry = if shared[before] {
            pinned_carry(f, 0)
        } else {
            Carry { length: f.curve.length(from, first).max(0.0), sd: f.sd(from) }
        };
        let end_carry = if shared[after] {
            pinned_carry(f, f.ticks.len() - 1)
        } else {
            Carry { length: f.curve.length(last, to).max(0.0), sd: f.sd(to) }
        };
        sides.push(Side {
            edge: edges[i].clone(),
            path: f.curve.path(from, to),
            start_carry,
            end_carry,
            length,
        });
        runs.push(Run { curve: f.curve.clone(), from, to, length });
    }
    Ok((sides, runs))
}

fn pinned_carry(f: &Fitted, i: usize) -> Carry {
    let var = match (f.ticks.get(i), f.at.get(i)) {
        (Some(tick), Some(t)) => tick.spread.along(f.curve.at(*t).normal()),
        _ => 0.0,
    };
    Carry { length: 0.0, sd: var.sqrt() }
}

/// Notices about one edge.
fn observe(edge: &Edge, f: &Fitted, side: &Side, notices: &mut Vec<Notice>) {
    let (a, b) = f.curve.ends();
    let between = f.curve.length(a, b);
    let spacing = between / (f.ticks.len().saturating_sub(1).max(1)) as f64;
    for (end, carry) in [(End::Start, side.start_carry), (End::Finish, side.end_carry)] {
        let far = carry.length > 0.0 && (carry.length > 0.5 * spacing || 1.96 * carry.sd > UNSURE);
        if far {
            notices.push(Notice::CarriedFar {
                edge: edge.id,
                name: edge.name.clone(),
                end,
                length: carry.length,
                sd: carry.sd,
            });
        }
    }
    for s in f.strangers() {
        if let Some(t) = f.ticks.get(s.index) {
            let or = s.or.iter().filter_map(|i| f.ticks.get(*i).map(|t| t.id)).collect();
            notices.push(Notice::TickOffCurve { tick: t.id, edge: edge.id, distance: s.off, or });
        }
    }
    if edge.kind == EdgeKind::Fair && edge.smoothing > 0.0 {
        let largest = f.largest_off();
        if largest > 0.0 {
            notices.push(Notice::Smoothed { edge: edge.id, name: edge.name.clone(), largest });
        }
    }
    let steepest = edge.bevel.steepest();
    // 45° itself, mitred on purpose, is no feather.
    if steepest.abs() > std::f64::consts::FRAC_PI_4 + 1e-9 {
        notices.push(Notice::FeatherEdge { edge: edge.id, name: edge.name.clone(), angle: steepest });
    }
}

fn check_simple(outline: &Outline) -> Result<(), GeometryError> {
    let mut ring: Vec<Point> = Vec::new();
    let mut owner = Vec::new();
    for (i, run) in outline.runs().iter().enumerate() {
        let mut points = run.points(0.005);
        points.pop();
        owner.extend(std::iter::repeat_n(i, points.len()));
        ring.extend(points);
    }
    let all: Vec<Piece> = pieces(&ring).into_iter().zip(owner).map(|(p, edge)| Piece { edge, ..p }).collect();
    let name = |i: usize| outline.sides().get(i).map_or_else(String::new, |s| s.edge.name.clone());
    if let Some((a, b, at)) = self_crossing(&all) {
        return Err(GeometryError::SelfCrossing { first: name(a), second: name(b), at });
    }
    if signed_area(&ring) < 1.0 {
        return Err(GeometryError::NoArea);
    }
    for c in outline.cutouts() {
        if !c.ring.iter().all(|p| inside(&ring, *p)) {
            return Err(GeometryError::BadCutout {
                name: c.name.clone(),
                why: "reaches outside the outline",
            });
        }
    }
    Ok(())
}

/// Finite, simple, counter-clockwise, without repeated points.
fn tidy_cutout(mut c: Cutout) -> Result<Cutout, GeometryError> {
    if !c.ring.iter().all(|p| p.is_finite() && p.to_vec2().hypot() <= FARTHEST) {
        return Err(GeometryError::NotFinite { what: format!("a corner of cut-out \"{}\"", c.name) });
    }
    c.ring.dedup_by(|b, a| a.distance(*b) < 0.01);
    while c.ring.len() > 1
        && matches!((c.ring.first(), c.ring.last()), (Some(a), Some(b)) if a.distance(*b) < 0.01)
    {
        c.ring.pop();
    }
    let bad = |why| GeometryError::BadCutout { name: c.name.clone(), why };
    if !(c.bevel.is_finite() && c.bevel.abs() <= Bevel::STEEPEST + 1e-12) {
        return Err(bad("leans more than 75°"));
    }
    if c.ring.len() < 3 {
        return Err(bad("encloses nothing"));
    }
    // Before the area: the halves of a ring that crosses itself may cancel.
    if self_crossing(&pieces(&c.ring)).is_some() {
        return Err(bad("crosses itself"));
    }
    if signed_area(&c.ring).abs() < 1.0 {
        return Err(bad("encloses nothing"));
    }
    if signed_area(&c.ring) < 0.0 {
        c.ring.reverse();
    }
    Ok(c)
}
