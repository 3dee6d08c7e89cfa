//! Outlines read from files, and how far apart two are.

use coldwright_export::{Drawing, Item, Layer};
use kurbo::{PathEl, Point, Vec2};

/// The closed rings on a layer of a drawing.
pub fn rings(drawing: &Drawing, layer: Layer) -> Vec<Vec<Point>> {
    let mut out: Vec<Vec<Point>> = Vec::new();
    for item in drawing.items.iter().filter(|item| item.layer() == layer) {
        let Item::Line(line) = item else { continue };
        for el in line.path.elements() {
            match el {
                PathEl::MoveTo(p) => out.push(vec![*p]),
                PathEl::LineTo(p) => out.last_mut().unwrap().push(*p),
                _ => {}
            }
        }
    }
    out
}

/// Rings on a layer of an SVG as usvg reads it, mm, y up, shifted so that the drawing's upper left corner is where it was.
pub fn svg_rings(text: &str, layer: Layer, drawing: &Drawing) -> Vec<Vec<Point>> {
    let tree = usvg::Tree::from_str(text, &usvg::Options::default()).unwrap();
    let Some(usvg::Node::Group(group)) = tree.node_by_id(layer.file_name()) else { return Vec::new() };
    let to_mm = 25.4 / 96.0;
    let mut out = Vec::new();
    for node in group.children() {
        let usvg::Node::Path(path) = node else { continue };
        let at = path.abs_transform();
        for segment in path.data().segments() {
            let (usvg::tiny_skia_path::PathSegment::MoveTo(p) | usvg::tiny_skia_path::PathSegment::LineTo(p)) =
                segment
            else {
                continue;
            };
            let (x, y) = (f64::from(p.x * at.sx + at.tx) * to_mm, f64::from(p.y * at.sy + at.ty) * to_mm);
            let point = Point::new(drawing.bounds.x0 + x, drawing.bounds.y1 - y);
            if matches!(segment, usvg::tiny_skia_path::PathSegment::MoveTo(_)) {
                out.push(Vec::new());
            }
            out.last_mut().unwrap().push(point);
        }
    }
    out
}

/// The greatest distance from any point of either set of rings to the other's lines, mm.
pub fn farthest(a: &[Vec<Point>], b: &[Vec<Point>]) -> f64 {
    let one_way = |from: &[Vec<Point>], to: &[Vec<Point>]| {
        let near = |p: Point| {
            to.iter().flat_map(|ring| sides(ring)).map(|(a, b)| distance(p, a, b)).fold(f64::MAX, f64::min)
        };
        from.iter().flatten().map(|p| near(*p)).fold(0.0, f64::max)
    };
    assert!(!a.is_empty() && !b.is_empty(), "nothing to compare");
    one_way(a, b).max(one_way(b, a))
}

/// The rings turned over, x to -x, then shifted to lie over the old ones.
pub fn mirrored(rings: &[Vec<Point>]) -> Vec<Vec<Point>> {
    let xs = || rings.iter().flatten().map(|p| p.x);
    let sum = xs().fold(f64::MAX, f64::min) + xs().fold(f64::MIN, f64::max);
    rings.iter().map(|ring| ring.iter().map(|p| Point::new(sum - p.x, p.y)).collect()).collect()
}

/// Sides of a closed ring.
pub fn sides(ring: &[Point]) -> impl Iterator<Item = (Point, Point)> + '_ {
    ring.iter().zip(ring.iter().cycle().skip(1)).map(|(a, b)| (*a, *b))
}

pub fn distance(p: Point, a: Point, b: Point) -> f64 {
    let along: Vec2 = b - a;
    let t = if along.hypot2() > 0.0 { ((p - a).dot(along) / along.hypot2()).clamp(0.0, 1.0) } else { 0.0 };
    p.distance(a + along * t)
}
