//! What several tests share: a second check of layouts, data from outside, requests in short.
#![allow(dead_code, clippy::print_stdout, reason = "each test file uses a part")]

use std::path::PathBuf;
use std::sync::atomic::AtomicBool;

use coldwright_nesting::{Effort, Layout, NestingError, Outcome, Piece, Request, Stock, Stuff, Turns, nest};
use kurbo::{Point, Rect};

pub fn ring(points: &[(f64, f64)]) -> Vec<Point> {
    points.iter().map(|p| Point::new(p.0, p.1)).collect()
}

pub fn rect(w: f64, h: f64) -> Vec<Point> {
    ring(&[(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)])
}

pub fn piece(id: &str, quantity: u32, outline: Vec<Point>) -> Piece {
    Piece { id: id.into(), quantity, outline, turns: Turns::Any, stuff: Stuff::default() }
}

pub fn stock(id: &str, outline: Vec<Point>, available: Option<u32>, cost: f64) -> Stock {
    Stock { id: id.into(), outline, blocked: vec![], available, cost, stuff: Stuff::default() }
}

pub fn moves(seed: u64, moves: u64) -> Effort {
    Effort { seed, moves: Some(moves), seconds: None, threads: 1 }
}

pub fn quick(request: &Request, seed: u64, n: u64) -> Result<Outcome, NestingError> {
    nest(request, &moves(seed, n), &AtomicBool::new(false), &mut |_| ())
}

/// The folder of outside data, or `None` after saying so.
pub fn shared() -> Option<PathBuf> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR"));
    let beside = root.ancestors().nth(3).map(|p| p.join("shared"));
    let found = std::env::var_os("COLDWRIGHT_SHARED")
        .map(PathBuf::from)
        .or(beside)
        .filter(|p| p.join("nesting").is_dir());
    if found.is_none() {
        println!("skipped: needs shared test data");
    }
    found
}

fn to_segment(p: Point, a: Point, b: Point) -> f64 {
    let d = b - a;
    let t = if d.hypot2() > 0.0 { ((p - a).dot(d) / d.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + d * t)
}

fn edges(r: &[Point]) -> Vec<(Point, Point)> {
    (0..r.len()).map(|i| (r[i], r[(i + 1) % r.len()])).collect()
}

/// Winding number by angles: another way than the library's.
fn within(r: &[Point], p: Point) -> bool {
    let turn: f64 = edges(r).iter().map(|(a, b)| (*a - p).cross(*b - p).atan2((*a - p).dot(*b - p))).sum();
    turn.abs() > std::f64::consts::PI
}

/// Distance between two rings' lines, 0 where they cross; by end points only, plus a crossing test.
fn apart(p: &[Point], q: &[Point]) -> f64 {
    let mut best = f64::INFINITY;
    for (a, b) in edges(p) {
        for (c, d) in edges(q) {
            let (r, s) = (b - a, d - c);
            let k = r.cross(s);
            if k != 0.0 {
                let (t, u) = ((c - a).cross(s) / k, (c - a).cross(r) / k);
                if (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u) {
                    return 0.0;
                }
            }
            best = best
                .min(to_segment(a, c, d))
                .min(to_segment(b, c, d))
                .min(to_segment(c, a, b))
                .min(to_segment(d, a, b));
        }
    }
    best
}

/// How deep points of one ring, its corners and 20 points a side, lie inside another.
fn sunk(p: &[Point], q: &[Point]) -> f64 {
    let mut deep = 0.0f64;
    for (a, b) in edges(p) {
        for k in 0..20 {
            let at = a.lerp(b, f64::from(k) / 20.0);
            if within(q, at) {
                deep = deep
                    .max(edges(q).iter().map(|(c, d)| to_segment(at, *c, *d)).fold(f64::INFINITY, f64::min));
            }
        }
    }
    deep
}

fn box_of(r: &[Point]) -> Rect {
    r.iter().fold(Rect::from_points(r[0], r[0]), |b, p| b.union_pt(*p))
}

/// A check of a layout that shares no code with the library: panics with what is wrong. Tolerance 0.01 mm.
pub fn assert_sound(request: &Request, layout: &Layout) {
    const TOL: f64 = 0.01;
    let spacing = request.gap.max(request.kerf);
    let mut count = vec![0u32; request.pieces.len()];
    let mut lying: Vec<(usize, Vec<Point>)> = Vec::new();
    for p in &layout.placements {
        count[p.piece] += 1;
        let piece = &request.pieces[p.piece];
        let (s, c) = (p.turn_deg * std::f64::consts::PI / 180.0).sin_cos();
        let mut r: Vec<Point> = piece
            .outline
            .iter()
            .map(|q| Point::new(c * q.x - s * q.y + p.at.x, s * q.x + c * q.y + p.at.y))
            .collect();
        // Not mirrored: the direction of the outline is kept; and not stretched: side by side the same lengths.
        let area = |r: &[Point]| edges(r).iter().map(|(a, b)| a.to_vec2().cross(b.to_vec2())).sum::<f64>();
        assert_eq!(area(&r) > 0.0, area(&piece.outline) > 0.0, "mirrored");
        assert!((area(&r) - area(&piece.outline)).abs() <= 1e-9 * area(&r).abs() + 1e-6);
        if let Turns::Only(list) = &piece.turns {
            assert!(
                list.iter()
                    .any(|d| ((p.turn_deg - d) / 360.0 - ((p.turn_deg - d) / 360.0).round()).abs() < 1e-9)
            );
        }
        if area(&r) < 0.0 {
            r.reverse();
        }
        let stock = &request.stock[layout.sheets[p.sheet].stock];
        assert_eq!(stock.stuff, piece.stuff);
        for q in &r {
            let out = if within(&stock.outline, *q) { 0.0 } else { apart(&[*q, *q], &stock.outline) };
            assert!(out <= TOL, "{} leaves {} by {out}", piece.id, stock.id);
        }
        assert!(sunk(&stock.outline, &r) <= TOL, "{} bridges a notch of {}", piece.id, stock.id);
        if request.margin > TOL {
            assert!(apart(&r, &stock.outline) >= request.margin - TOL, "margin of {}", piece.id);
        }
        for b in &stock.blocked {
            assert!(sunk(&r, b) <= TOL && sunk(b, &r) <= TOL, "{} enters a blocked region", piece.id);
            if request.margin > TOL {
                assert!(apart(&r, b) >= request.margin - TOL, "margin of {} to a blocked region", piece.id);
            }
        }
        lying.push((p.sheet, r));
    }
    for l in &layout.left {
        count[l.piece] += 1;
    }
    let wanted: Vec<u32> = request.pieces.iter().map(|p| p.quantity).collect();
    assert_eq!(count, wanted, "every copy placed once or reported");
    for (i, (sheet, a)) in lying.iter().enumerate() {
        for (other, b) in &lying[..i] {
            if sheet == other && box_of(a).inflate(spacing, spacing).overlaps(box_of(b)) {
                assert!(sunk(a, b) <= TOL && sunk(b, a) <= TOL, "overlap");
                if spacing > TOL {
                    let d = apart(a, b);
                    assert!(d >= spacing - TOL, "gap {d}");
                }
            }
        }
    }
    let mut used: Vec<_> = layout.sheets.iter().map(|s| (s.stock, s.nth)).collect();
    used.sort_unstable();
    used.dedup();
    assert_eq!(used.len(), layout.sheets.len());
    for (stock, nth) in used {
        assert!(request.stock[stock].available.is_none_or(|n| nth < n), "more sheets than there are");
    }
}
