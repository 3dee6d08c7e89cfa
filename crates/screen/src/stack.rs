//! The layers one over the other, turnable: hull below, box above, in even steps of lightness with edges in ink.

use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Align2, Color32, Pos2, Rect, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Command;
use crate::board::surface;
use crate::parts::{choices, command, hint, slider};
use crate::shown::Shown;
use crate::stack_mesh::Slab;
use crate::start::middle;
use crate::theme::{Palette, mix};
use crate::turn;
use crate::view::{LayersAs, View};

/// Cosine of the turn between two sides from which their meeting is drawn as a corner: 25 degrees.
const CORNER: f64 = 0.906;
/// Room at the right for the layers' names, screen points.
const NAMES: f32 = 104.0;

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let Some(layers) = shown.wall_plan(view).and_then(|w| w.layers.clone()) else {
        middle(
            ui,
            "No layers yet.",
            "Close the outline first; the layers follow from it and from their thicknesses.",
            |_| {},
        );
        return;
    };
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
            let ways = [(LayersAs::Stack, "stack"), (LayersAs::Plan, "plan"), (LayersAs::Section, "section")];
            if let Some(way) = choices(ui, view.layers_as, &ways) {
                view.layers_as = way;
            }
            match view.layers_as {
                LayersAs::Stack => {
                    hint(ui, "together");
                    slider(ui, &mut view.spread, "Spread the layers");
                    hint(ui, "apart");
                    if command(ui, Command::Fit, shown, view, false).clicked() {
                        view.turn = View::default().turn;
                    }
                }
                LayersAs::Plan => crate::plan_view::strip(ui, shown, view),
                LayersAs::Section => crate::section::strip(ui, shown, view),
            }
        });
    });
    match view.layers_as {
        LayersAs::Stack => {
            let mut cache = std::mem::take(&mut view.stack);
            cache.update(&layers);
            turnable(ui, &cache.slabs, view);
            view.stack = cache;
        }
        LayersAs::Plan => crate::plan_view::show(ui, shown, &layers, view),
        LayersAs::Section => crate::section::show(ui, shown, &layers, view),
    }
}

/// An eye that looks down on the layers from the box side, turned about the upright and tipped.
struct Look {
    turn: (f64, f64),
    centre: Point,
    depth: f64,
    scale: f64,
    on: Pos2,
}

impl Look {
    /// Screen place of a point at a depth, and how near it is.
    fn put(&self, p: Point, z: f64) -> (Pos2, f64) {
        let d = p - self.centre;
        let (x, high, near) = turn::seen(self.turn, (d.x, d.y, z - self.depth));
        (Pos2::new(self.on.x + (x * self.scale) as f32, self.on.y - (high * self.scale) as f32), near)
    }
}

fn turnable(ui: &mut Ui, slabs: &[Slab], view: &mut View) {
    let (rect, response) = surface(ui, "Stack of layers", view);
    turn::by_hand(ui, &response, view, 0.12..=1.45);
    let painter = ui.painter_at(rect);
    let p = Palette::at(ui);
    let mut room = rect.shrink(40.0);
    room.max.x -= NAMES;
    let (look, gap) = fit(room, slabs, view);
    for (index, slab) in slabs.iter().enumerate() {
        let lift = gap * index as f64;
        draw(&painter, &look, slab, lift, p.layer(index, slabs.len()), &p);
    }
    labels(&painter, &look, slabs, gap, rect, &p, view.layer);
}

/// Turn, scale and the room between layers so that all of it is seen.
fn fit(room: Rect, slabs: &[Slab], view: &View) -> (Look, f64) {
    let all = slabs.iter().flat_map(|s| s.outer.rings.iter().chain(&s.inner.rings)).flatten();
    let mut bounds = kurbo::Rect::new(f64::MAX, f64::MAX, f64::MIN, f64::MIN);
    for p in all {
        bounds = bounds.union_pt(*p);
    }
    let thick = slabs.last().map_or(0.0, |s| s.to);
    let wide = bounds.width().max(bounds.height());
    let gap = view.spread * (wide * 0.16).max(thick / slabs.len().max(1) as f64);
    let depth = thick + gap * slabs.len().saturating_sub(1) as f64;
    let mut look =
        Look { turn: view.turn, centre: bounds.center(), depth: depth / 2.0, scale: 1.0, on: Pos2::ZERO };
    // The ball round everything, so that turning does not change the scale; then what is really seen is centred.
    let (mut lo, mut hi) = (Pos2::new(f32::MAX, f32::MAX), Pos2::new(f32::MIN, f32::MIN));
    for x in [bounds.x0, bounds.x1] {
        for y in [bounds.y0, bounds.y1] {
            for z in [0.0, depth] {
                let (at, _) = look.put(Point::new(x, y), z);
                lo = lo.min(at);
                hi = hi.max(at);
            }
        }
    }
    let ball = (bounds.width().hypot(bounds.height()).hypot(depth)).max(1.0);
    let seen = f64::from((hi - lo).max_elem()).max(ball * 0.72);
    look.scale = f64::from(room.width().min(room.height() * 1.25)).max(16.0) / seen;
    let by_height = f64::from(room.height()).max(16.0) / f64::from((hi - lo).y).max(1.0);
    look.scale = look.scale.min(by_height);
    look.on = room.center() - (lo.lerp(hi, 0.5).to_vec2() * look.scale as f32);
    (look, gap)
}

fn draw(painter: &egui::Painter, look: &Look, slab: &Slab, lift: f64, fill: Color32, p: &Palette) {
    let (low, high) = (slab.from + lift, slab.to + lift);
    let ink = Stroke::new(1.0, p.ink);
    // Sides that face the eye, far ones first.
    let mut sides: Vec<(f64, [Pos2; 4], f32)> = Vec::new();
    let mut corners_seen: Vec<[Pos2; 2]> = Vec::new();
    let ways: Vec<kurbo::Vec2> = slab.sides.iter().map(direction).collect();
    let count = ways.len().max(1);
    for (index, strip) in slab.sides.iter().enumerate() {
        let way = ways[index];
        let turns = |a: usize, b: usize| ways[a % count].dot(ways[b % count]) < CORNER;
        let corners =
            [(strip.outer[0], low), (strip.outer[1], low), (strip.inner[1], high), (strip.inner[0], high)];
        let put = corners.map(|(q, z)| look.put(q, z));
        let at = put.map(|(q, _)| q);
        let turned: f32 = (0..4)
            .map(|i| at[i].to_vec2())
            .zip((0..4).map(|i| at[(i + 1) % 4].to_vec2()))
            .map(|(a, b)| a.x * b.y - a.y * b.x)
            .sum();
        if turned >= 0.0 {
            continue;
        }
        let near = put.iter().map(|(_, n)| n).sum::<f64>() / 4.0;
        if turns(index + count - 1, index) {
            corners_seen.push([at[0], at[3]]);
        }
        if turns(index, index + 1) {
            corners_seen.push([at[1], at[2]]);
        }
        let (sin, cos) = look.turn.0.sin_cos();
        sides.push((near, at, (way.x * cos - way.y * sin).abs() as f32));
    }
    sides.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut mesh = Mesh::default();
    for (_, at, way) in &sides {
        let shade = mix(fill, p.ink, 0.10 + 0.16 * (1.0 - way));
        quad(&mut mesh, at, shade);
    }
    painter.add(Shape::mesh(mesh));
    for (_, at, _) in &sides {
        painter.line_segment([at[0], at[1]], ink);
    }
    for corner in corners_seen {
        painter.line_segment(corner, ink);
    }
    let mut mesh = Mesh::default();
    for q in &slab.inner.points {
        mesh.vertices.push(Vertex { pos: look.put(*q, high).0, uv: WHITE_UV, color: fill });
    }
    mesh.indices.extend(slab.inner.triangles.iter().flatten());
    painter.add(Shape::mesh(mesh));
    for ring in &slab.inner.rings {
        let points: Vec<Pos2> = ring.iter().map(|q| look.put(*q, high).0).collect();
        painter.add(Shape::closed_line(points, Stroke::new(1.5, p.ink)));
    }
}

/// Which way a side runs, seen flat.
fn direction(strip: &crate::stack_mesh::Strip) -> kurbo::Vec2 {
    let along = (strip.outer[1] - strip.outer[0]) + (strip.inner[1] - strip.inner[0]);
    along / along.hypot().max(1e-9)
}

fn quad(mesh: &mut Mesh, at: &[Pos2; 4], colour: Color32) {
    let first = mesh.vertices.len() as u32;
    mesh.vertices.extend(at.iter().map(|pos| Vertex { pos: *pos, uv: WHITE_UV, color: colour }));
    mesh.indices.extend([first, first + 1, first + 2, first, first + 2, first + 3]);
}

fn labels(
    painter: &egui::Painter,
    look: &Look,
    slabs: &[Slab],
    gap: f64,
    rect: Rect,
    p: &Palette,
    chosen: usize,
) {
    let font = crate::theme::words();
    for (index, slab) in slabs.iter().enumerate() {
        let z = (slab.from + slab.to) / 2.0 + gap * index as f64;
        let right = slab
            .outer
            .rings
            .iter()
            .flatten()
            .map(|q| look.put(*q, z).0)
            .max_by(|a, b| a.x.total_cmp(&b.x))
            .unwrap_or(rect.center());
        let at = Pos2::new((right.x + 12.0).min(rect.max.x - 80.0), right.y);
        let words = match (index, slabs.len()) {
            (0, 1) => "1".to_owned(),
            (0, _) => "1, hull side".to_owned(),
            (i, n) if i + 1 == n => format!("{n}, box side"),
            (i, _) => (i + 1).to_string(),
        };
        let colour = if index == chosen { p.hand } else { p.ink };
        painter
            .line_segment([right + Vec2::new(2.0, 0.0), at - Vec2::new(2.0, 0.0)], Stroke::new(1.0, p.quiet));
        painter.text(at, Align2::LEFT_CENTER, words, font.clone(), colour);
    }
    let note = rect.left_bottom() + Vec2::new(16.0, -12.0);
    painter.text(note, Align2::LEFT_BOTTOM, "drag to turn", font, p.quiet);
}
