//! Flat shapes filled with triangles.

use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Color32, Shape};
use kurbo::Point;
use lyon::math::point;
use lyon::path::Path;
use lyon::tessellation::{BuffersBuilder, FillOptions, FillRule, FillTessellator, FillVertex, VertexBuffers};

use crate::board::Board;

/// A face filled with triangles.
#[derive(Clone, Debug, Default)]
pub(crate) struct Face {
    pub(crate) points: Vec<Point>,
    pub(crate) triangles: Vec<[u32; 3]>,
    pub(crate) rings: Vec<Vec<Point>>,
}

/// Fills closed lines, holes left out.
pub(crate) fn filled(rings: Vec<Vec<Point>>) -> Face {
    let mut path = Path::builder();
    for ring in &rings {
        let mut points = ring.iter().map(|p| point(p.x as f32, p.y as f32));
        if let Some(first) = points.next() {
            path.begin(first);
            for p in points {
                path.line_to(p);
            }
            path.end(true);
        }
    }
    let mut buffers: VertexBuffers<Point, u32> = VertexBuffers::new();
    let options = FillOptions::default().with_fill_rule(FillRule::EvenOdd);
    let mut builder = BuffersBuilder::new(&mut buffers, |v: FillVertex<'_>| {
        let p = v.position();
        Point::new(f64::from(p.x), f64::from(p.y))
    });
    // A face that cannot be filled is still drawn by its lines.
    let whole = FillTessellator::new().tessellate_path(&path.build(), &options, &mut builder).is_ok();
    let triangles = if whole {
        buffers.indices.chunks_exact(3).filter_map(|c| <[u32; 3]>::try_from(c).ok()).collect()
    } else {
        Vec::new()
    };
    Face { points: buffers.vertices, triangles, rings }
}

impl Face {
    /// Draws the fill on a board.
    pub(crate) fn paint(&self, board: &Board, colour: Color32) {
        let mut mesh = Mesh::default();
        let vertex = |q: &Point| Vertex { pos: board.put(*q), uv: WHITE_UV, color: colour };
        mesh.vertices.extend(self.points.iter().map(vertex));
        mesh.indices.extend(self.triangles.iter().flatten());
        board.painter.add(Shape::mesh(mesh));
    }

    /// Whether a place lies in it.
    pub(crate) fn holds(&self, at: Point) -> bool {
        self.triangles.iter().any(|t| {
            let corners = t.map(|i| self.points.get(i as usize).copied().unwrap_or_default());
            let side = |i: usize| (corners[(i + 1) % 3] - corners[i]).cross(at - corners[i]);
            let sides = [side(0), side(1), side(2)];
            sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
        })
    }
}
