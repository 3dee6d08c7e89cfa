//! The cheapest way over a field.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use kurbo::Vec2;

use super::field::Field;

/// The dearest step costs this many parts: costs are whole numbers so that every machine finds the same way.
const PARTS: f64 = 1000.0;
/// What any step costs, against 1 for one over no edge: keeps the way from winding along noise.
const LEAST: f64 = 0.04;
/// What a step across the edge's own direction costs besides.
const ACROSS: f64 = 0.35;

/// Nodes of the cheapest way between two of them, both included; `None` where they are the same.
pub(super) fn cheapest(field: &Field, from: usize, to: usize) -> Option<Vec<usize>> {
    if from == to {
        return None;
    }
    let (wide, high) = (field.wide, field.high);
    let count = wide * high;
    let mut cost = vec![u32::MAX; count];
    let mut back = vec![u32::MAX; count];
    let mut heap = BinaryHeap::new();
    *cost.get_mut(from)? = 0;
    heap.push(Reverse((0u32, from)));
    while let Some(Reverse((so_far, node))) = heap.pop() {
        if node == to {
            break;
        }
        if so_far > *cost.get(node)? {
            continue;
        }
        let (x, y) = (node % wide, node / wide);
        for dy in -1i32..=1 {
            for dx in -1i32..=1 {
                let (nx, ny) = (x as i64 + i64::from(dx), y as i64 + i64::from(dy));
                let inside = nx >= 0 && ny >= 0 && nx < wide as i64 && ny < high as i64;
                if (dx == 0 && dy == 0) || !inside {
                    continue;
                }
                let next = ny as usize * wide + nx as usize;
                let total = so_far.saturating_add(step(field, next, Vec2::new(f64::from(dx), f64::from(dy))));
                let slot = cost.get_mut(next)?;
                if total < *slot {
                    *slot = total;
                    *back.get_mut(next)? = node as u32;
                    heap.push(Reverse((total, next)));
                }
            }
        }
    }
    let mut out = vec![to];
    let mut node = to;
    while node != from {
        let before = *back.get(node)?;
        if before == u32::MAX || out.len() > count {
            return None;
        }
        node = before as usize;
        out.push(node);
    }
    out.reverse();
    Some(out)
}

/// What it costs to step onto a node in a direction.
fn step(field: &Field, node: usize, way: Vec2) -> u32 {
    let length = way.hypot();
    let rise = field.rise(node);
    let size = rise.hypot();
    // An edge runs square to its rise.
    let across = if size > 0.0 { (rise.dot(way) / (size * length)).abs() } else { 1.0 };
    let weak = field.weakness(node);
    let cost = LEAST + (1.0 - LEAST) * weak + ACROSS * across * (1.0 - weak);
    (PARTS * cost * length).round().max(1.0) as u32
}
