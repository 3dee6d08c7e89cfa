//! The check of a layout, in other code than the search: true outlines in 64 bit, exact distances between their sides,
//! and the common part of outlines that meet. Nothing is widened, thinned or rounded here.

use std::collections::BTreeSet;

use kurbo::{Point, Rect};

use crate::layout::{Layout, Placement};
use crate::region::{Rule, combine, depth};
use crate::request::{Request, Turns};
use crate::ring::{bounds, inside, line_to_line, upright};

/// What a layout may miss a distance by, mm.
pub const TOLERANCE: f64 = 0.01;

/// One thing wrong with a layout. Copies are given as (piece, copy), both counted from 0.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum Fault {
    /// A placement names a piece, copy, sheet or stock that is not there.
    #[error("placement {number} names something that is not there")]
    Unknown {
        /// Its place in the list.
        number: usize,
    },
    /// A coordinate or turn is not a number.
    #[error("placement {number} is not a number")]
    NotFinite {
        /// Its place in the list.
        number: usize,
    },
    /// A copy lies twice, or is both placed and left.
    #[error("copy {copy} of piece {piece} appears twice")]
    Twice {
        /// Piece.
        piece: usize,
        /// Copy.
        copy: u32,
    },
    /// A copy is neither placed nor reported as left.
    #[error("copy {copy} of piece {piece} is lost")]
    Lost {
        /// Piece.
        piece: usize,
        /// Copy.
        copy: u32,
    },
    /// A sheet is listed twice, or beyond the number there are.
    #[error("sheet {sheet} is listed twice or is more than there are")]
    Sheet {
        /// Index in the layout.
        sheet: usize,
    },
    /// The turn is not one the piece allows.
    #[error("copy {copy} of piece {piece} is turned to {deg} degrees, which it does not allow")]
    Turn {
        /// Piece.
        piece: usize,
        /// Copy.
        copy: u32,
        /// Turn.
        deg: f64,
    },
    /// A copy lies on stock of another material or thickness.
    #[error("copy {copy} of piece {piece} lies on other stuff than it is cut from")]
    OtherStuff {
        /// Piece.
        piece: usize,
        /// Copy.
        copy: u32,
    },
    /// Two copies overlap.
    #[error("placements {first} and {second} overlap by {depth:.3} mm")]
    Overlap {
        /// Place in the list.
        first: usize,
        /// Place in the list.
        second: usize,
        /// How deep, mm.
        depth: f64,
    },
    /// Two copies are closer than the spacing.
    #[error("placements {first} and {second} are {distance:.3} mm apart")]
    Close {
        /// Place in the list.
        first: usize,
        /// Place in the list.
        second: usize,
        /// Distance, mm.
        distance: f64,
    },
    /// A copy leaves its sheet or enters a blocked region.
    #[error("placement {number} leaves its sheet by {depth:.3} mm")]
    Outside {
        /// Place in the list.
        number: usize,
        /// How far, mm.
        depth: f64,
    },
    /// A copy is closer to its sheet's edge, or to a blocked region, than the margin.
    #[error("placement {number} is {distance:.3} mm from the edge of its sheet")]
    Edge {
        /// Place in the list.
        number: usize,
        /// Distance, mm.
        distance: f64,
    },
}

/// Everything wrong with a layout of a request; empty when it is sound. Copies reported as left are not a fault.
pub fn check(request: &Request, layout: &Layout) -> Vec<Fault> {
    let mut faults = Vec::new();
    let mut sheets = BTreeSet::new();
    for (k, s) in layout.sheets.iter().enumerate() {
        let there = request.stock.get(s.stock).is_some_and(|k| k.available.is_none_or(|n| s.nth < n));
        if !there || !sheets.insert((s.stock, s.nth)) {
            faults.push(Fault::Sheet { sheet: k });
        }
    }
    let mut seen = BTreeSet::new();
    let mut placed: Vec<(usize, Vec<Point>, Rect)> = Vec::new();
    for (number, p) in layout.placements.iter().enumerate() {
        let known = request.pieces.get(p.piece).filter(|x| p.copy < x.quantity);
        let stock = layout.sheets.get(p.sheet).and_then(|s| request.stock.get(s.stock));
        let (Some(piece), Some(stock)) = (known, stock) else {
            faults.push(Fault::Unknown { number });
            continue;
        };
        if !(p.turn_deg.is_finite() && p.at.x.is_finite() && p.at.y.is_finite()) {
            faults.push(Fault::NotFinite { number });
            continue;
        }
        if !seen.insert((p.piece, p.copy)) {
            faults.push(Fault::Twice { piece: p.piece, copy: p.copy });
        }
        if let Turns::Only(list) = &piece.turns {
            let same = |d: &f64| ((p.turn_deg - d + 180.0).rem_euclid(360.0) - 180.0).abs() < 1e-6;
            let locked =
                request.locks.iter().any(|l| l.piece == p.piece && (l.turn_deg - p.turn_deg).abs() < 1e-9);
            if !list.iter().any(same) && !locked {
                faults.push(Fault::Turn { piece: p.piece, copy: p.copy, deg: p.turn_deg });
            }
        }
        if piece.stuff != stock.stuff {
            faults.push(Fault::OtherStuff { piece: p.piece, copy: p.copy });
        }
        let ring = lying(p, &piece.outline);
        let b = bounds(&ring);
        placed.push((number, ring, b));
    }
    for l in &layout.left {
        let known = request.pieces.get(l.piece).is_some_and(|x| l.copy < x.quantity);
        if !known || !seen.insert((l.piece, l.copy)) {
            faults.push(Fault::Twice { piece: l.piece, copy: l.copy });
        }
    }
    for (piece, p) in request.pieces.iter().enumerate() {
        faults.extend(
            (0..p.quantity).filter(|c| !seen.contains(&(piece, *c))).map(|copy| Fault::Lost { piece, copy }),
        );
    }
    let spacing = request.spacing();
    for (k, (i, a, box_a)) in placed.iter().enumerate() {
        for (j, b, box_b) in &placed[k + 1..] {
            let near = box_a.inflate(spacing, spacing).overlaps(*box_b);
            if near && layout.placements[*i].sheet == layout.placements[*j].sheet {
                faults.extend(between(*i, a, *j, b, spacing));
            }
        }
        let sheet = layout.sheets[layout.placements[*i].sheet];
        faults.extend(on_sheet(*i, a, &request.stock[sheet.stock], request.margin));
    }
    faults
}

/// A piece's outline where it lies, counter-clockwise, by the system's own sine and cosine.
fn lying(p: &Placement, outline: &[Point]) -> Vec<Point> {
    let (s, c) = p.turn_deg.to_radians().sin_cos();
    let ring: Vec<Point> =
        outline.iter().map(|q| Point::new(c * q.x - s * q.y + p.at.x, s * q.x + c * q.y + p.at.y)).collect();
    upright(&ring)
}

fn between(first: usize, a: &[Point], second: usize, b: &[Point], spacing: f64) -> Option<Fault> {
    let distance = line_to_line(a, b);
    let apart = distance > 0.0
        && !a.first().is_some_and(|p| inside(b, *p))
        && !b.first().is_some_and(|p| inside(a, *p));
    if apart {
        return (distance < spacing - TOLERANCE).then_some(Fault::Close { first, second, distance });
    }
    let common = combine(&[a.to_vec()], &[b.to_vec()], Rule::Common);
    let deep = depth(a, b, &common);
    if deep > TOLERANCE {
        Some(Fault::Overlap { first, second, depth: deep })
    } else {
        (spacing > TOLERANCE).then_some(Fault::Close { first, second, distance })
    }
}

fn on_sheet(number: usize, a: &[Point], stock: &crate::request::Stock, margin: f64) -> Option<Fault> {
    let outline = upright(&stock.outline);
    let beyond = combine(&[a.to_vec()], std::slice::from_ref(&outline), Rule::Without);
    let mut deep = beyond
        .iter()
        .flatten()
        .flatten()
        .filter(|p| !inside(&outline, **p))
        .map(|p| crate::ring::to_line(&outline, *p))
        .fold(0.0f64, f64::max);
    let mut distance = line_to_line(a, &outline);
    for b in &stock.blocked {
        let b = upright(b);
        let common = combine(&[a.to_vec()], std::slice::from_ref(&b), Rule::Common);
        deep = deep.max(depth(a, &b, &common));
        distance = distance.min(line_to_line(a, &b));
    }
    if deep > TOLERANCE {
        Some(Fault::Outside { number, depth: deep })
    } else {
        (distance < margin - TOLERANCE).then_some(Fault::Edge { number, distance })
    }
}
