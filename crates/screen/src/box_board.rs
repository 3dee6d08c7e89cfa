//! The joined walls where they stand, turnable: far walls as bodies, near ones as outlines that are looked through.

use std::sync::Arc;

use coldwright_geometry::{Folded, LayerSet, Pose, Xyz};
use coldwright_job::{BoxPlan, Job, JointKind, WallId};
use egui::epaint::{Mesh, Vertex, WHITE_UV};
use egui::{Pos2, Rect, Shape, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Command;
use crate::board::surface;
use crate::parts::{choice, choices, command, hint, hint_line, slider};
use crate::shown::Shown;
use crate::stack_mesh::{Slab, StackCache};
use crate::theme::{Palette, mix, words};
use crate::turn;
use crate::view::View;

/// How far walls stand apart at most, as a share of the box's size.
const APART: f64 = 0.35;

/// How the box is looked at.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct BoxLook {
    pub(crate) spread: f64,
    /// One layer of every wall, from 0; all when `None`.
    ring: Option<usize>,
    /// Walls between the eye and the room are drawn as bodies too.
    pub(crate) near: bool,
}

/// The bodies of the box shown last.
#[derive(Debug, Default)]
pub(crate) struct BoxCache {
    of: Option<(Arc<BoxPlan>, Vec<Arc<LayerSet>>)>,
    walls: Vec<Standing>,
    middle: Xyz,
    size: f64,
}

#[derive(Debug)]
struct Standing {
    id: WallId,
    pose: Pose,
    slabs: Vec<Slab>,
}

impl BoxCache {
    fn update(&mut self, shown: &Shown<'_>, plan: &Arc<BoxPlan>, folded: &Folded) {
        let sets: Vec<(usize, Arc<LayerSet>)> = plan
            .walls
            .iter()
            .enumerate()
            .filter_map(|(i, id)| Some((i, shown.plan.wall(*id)?.layers.clone()?)))
            .collect();
        let same = self.of.as_ref().is_some_and(|(of, old)| {
            Arc::ptr_eq(of, plan)
                && old.len() == sets.len()
                && old.iter().zip(&sets).all(|(a, (_, b))| Arc::ptr_eq(a, b))
        });
        if same {
            return;
        }
        self.walls = sets
            .iter()
            .filter_map(|(i, set)| {
                let mut stack = StackCache::default();
                stack.update(set);
                Some(Standing { id: *plan.walls.get(*i)?, pose: *folded.poses.get(*i)?, slabs: stack.slabs })
            })
            .collect();
        self.groups_apart(plan);
        let (lo, hi) = extent(&self.walls);
        self.middle = (lo + hi) * 0.5;
        self.size = (hi - lo).length().max(1.0);
        self.of = Some((plan.clone(), sets.into_iter().map(|(_, set)| set).collect()));
    }

    /// Walls that do not hang together stand in frames of their own: group after group is set beside the last.
    fn groups_apart(&mut self, plan: &BoxPlan) {
        let mut next: Option<f64> = None;
        for group in &plan.together {
            let ids: Vec<WallId> = group.iter().filter_map(|i| plan.walls.get(*i).copied()).collect();
            let (lo, hi) = extent(self.walls.iter().filter(|w| ids.contains(&w.id)));
            let by = next.map_or(0.0, |x| x - lo.x);
            for wall in self.walls.iter_mut().filter(|w| ids.contains(&w.id)) {
                wall.pose.origin.x += by;
            }
            next = Some(hi.x + by + (hi - lo).length() * 0.15);
        }
    }
}

/// The box round all outer faces.
fn extent<'a>(walls: impl IntoIterator<Item = &'a Standing>) -> (Xyz, Xyz) {
    let mut lo = Xyz::new(f64::MAX, f64::MAX, f64::MAX);
    let mut hi = lo * -1.0;
    for wall in walls {
        for slab in &wall.slabs {
            for q in slab.outer.rings.iter().flatten() {
                let at = wall.pose.place(*q, slab.from);
                lo = Xyz::new(lo.x.min(at.x), lo.y.min(at.y), lo.z.min(at.z));
                hi = Xyz::new(hi.x.max(at.x), hi.y.max(at.y), hi.z.max(at.z));
            }
        }
    }
    if lo.x > hi.x { (Xyz::default(), Xyz::default()) } else { (lo, hi) }
}

/// Draws the box where there is one that stands; else the layers of the wall shown.
pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let boxed = shown.plan.boxed.as_ref();
    let Some((plan, folded)) = boxed.and_then(|b| Some((b, b.folded.as_ref()?))) else {
        crate::stack::show(ui, shown, view);
        return;
    };
    let mut cache = std::mem::take(&mut view.boxed);
    cache.update(shown, plan, folded);
    strip(ui, shown, view, &cache);
    turnable(ui, shown, view, &cache);
    view.boxed = cache;
}

fn strip(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, cache: &BoxCache) {
    let most = cache.walls.iter().map(|w| w.slabs.len()).max().unwrap_or(0);
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = Vec2::new(8.0, 4.0);
            let names: Vec<String> = (1..=most).map(|n| n.to_string()).collect();
            let mut rings: Vec<(Option<usize>, &str)> = vec![(None, "all layers")];
            rings.extend(names.iter().enumerate().map(|(i, n)| (Some(i), n.as_str())));
            if let Some(ring) = choices(ui, view.box_look.ring, &rings) {
                view.box_look.ring = ring;
            }
            hint(ui, "together");
            slider(ui, &mut view.box_look.spread, "Spread the walls");
            hint(ui, "apart");
            if choice(ui, view.box_look.near, "near walls").clicked() {
                view.box_look.near = !view.box_look.near;
            }
            if command(ui, Command::Fit, shown, view, false).clicked() {
                view.turn = View::default().turn;
                view.box_look.spread = 0.0;
            }
            let alone: Vec<&str> = shown
                .job
                .walls
                .iter()
                .filter(|w| !cache.walls.iter().any(|s| s.id == w.id))
                .map(|w| w.name.as_str())
                .collect();
            if !alone.is_empty() {
                hint_line(ui, &format!("Not in the box yet: {}", alone.join(", ")));
            }
        });
    });
}

/// An eye that looks down on the box, turned about the upright and tipped.
struct Eye {
    turn: (f64, f64),
    middle: Xyz,
    scale: f64,
    on: Pos2,
}

impl Eye {
    /// To the right, up on the screen, and towards the eye.
    fn seen(&self, v: Xyz) -> (f64, f64, f64) {
        turn::seen(self.turn, (v.x, v.y, v.z))
    }

    fn put(&self, at: Xyz) -> Pos2 {
        let (x, high, _) = self.seen(at - self.middle);
        Pos2::new(self.on.x + (x * self.scale) as f32, self.on.y - (high * self.scale) as f32)
    }

    fn near(&self, at: Xyz) -> f64 {
        self.seen(at - self.middle).2
    }
}

fn turnable(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, cache: &BoxCache) {
    let (rect, response) = surface(ui, "The box", view);
    turn::by_hand(ui, &response, view, -1.45..=1.45);
    let p = Palette::at(ui);
    let painter = ui.painter_at(rect);
    let look = view.box_look;
    let room = rect.shrink(32.0);
    let across = cache.size * (1.0 + 1.2 * APART * look.spread);
    let scale = f64::from(room.width().min(room.height() * 1.15)).max(16.0) / across;
    let eye = Eye { turn: view.turn, middle: cache.middle, scale, on: room.center() };
    let walls: Vec<Placed<'_>> = cache
        .walls
        .iter()
        .map(|wall| {
            let mut pose = wall.pose;
            pose.origin = pose.origin - pose.axes[2] * (look.spread * APART * cache.size * 0.5);
            let far = eye.seen(pose.axes[2]).2 > 0.0;
            let depth = eye.near(centre(wall, &pose));
            Placed { wall, pose, far, depth }
        })
        .collect();
    let most = cache.walls.iter().map(|w| w.slabs.len()).max().unwrap_or(0);
    let rings = || (0..most).filter(|r| look.ring.is_none_or(|one| one == *r));
    let first = look.ring.unwrap_or(0);
    for ring in rings() {
        for at in in_turn(shown.job, &walls, ring, true) {
            body(&painter, &eye, at, ring, &p);
        }
    }
    // Names of far walls before the near walls: what is hidden is not named.
    for at in walls.iter().filter(|w| w.far) {
        name(&painter, shown, &eye, at, view.wall == Some(at.wall.id), &p);
    }
    for ring in rings().rev() {
        for at in in_turn(shown.job, &walls, ring, false).into_iter().filter(|_| look.near) {
            body(&painter, &eye, at, ring, &p);
        }
    }
    for at in walls.iter().filter(|w| !w.far) {
        if look.near {
            name(&painter, shown, &eye, at, view.wall == Some(at.wall.id), &p);
        } else {
            outline(&painter, &eye, at, first, &p);
        }
    }
    let note = rect.left_bottom() + Vec2::new(16.0, -12.0);
    let said = if look.near { "drag to turn" } else { "drag to turn; near walls are dashed" };
    painter.text(note, egui::Align2::LEFT_BOTTOM, said, words(), p.quiet);
}

fn centre(wall: &Standing, pose: &Pose) -> Xyz {
    let Some(slab) = wall.slabs.last() else { return pose.origin };
    let points: Vec<&Point> = slab.inner.rings.iter().flatten().collect();
    let n = points.len().max(1) as f64;
    let sum = points.iter().fold(kurbo::Vec2::ZERO, |s, q| s + q.to_vec2());
    pose.place((sum / n).to_point(), slab.to)
}

/// A wall where it is drawn.
struct Placed<'a> {
    wall: &'a Standing,
    pose: Pose,
    /// Beyond the room: its box face is turned to the eye.
    far: bool,
    depth: f64,
}

/// The far or the near walls in the order in which one layer of each is drawn. Layers lie in rings, each hiding the one
/// behind it; within a ring the wall that stops short hides the end of the one that runs past, seen from the room, and
/// the other way from outside.
fn in_turn<'a, 'b>(job: &Job, walls: &'b [Placed<'a>], ring: usize, far: bool) -> Vec<&'b Placed<'a>> {
    let mut left: Vec<&Placed<'a>> = walls.iter().filter(|w| w.far == far).collect();
    left.sort_by(|a, b| a.depth.total_cmp(&b.depth));
    let pairs: Vec<(WallId, WallId)> = job
        .joints
        .iter()
        .filter_map(|j| {
            let first_runs = match j.kind {
                JointKind::RunsPast => true,
                JointKind::StopsShort => false,
                JointKind::Woven { first_runs } => first_runs == ring.is_multiple_of(2),
                JointKind::Mitred => return None,
            };
            let (runs, stops) = if first_runs { (j.a.wall, j.b.wall) } else { (j.b.wall, j.a.wall) };
            Some(if far { (runs, stops) } else { (stops, runs) })
        })
        .collect();
    let mut out = Vec::with_capacity(left.len());
    while !left.is_empty() {
        let waits = |w: &Placed<'_>| {
            pairs.iter().any(|(b, a)| *a == w.wall.id && left.iter().any(|l| l.wall.id == *b))
        };
        // Walls that each wait for the next go by their distance.
        let next = left.iter().position(|w| !waits(w)).unwrap_or(0);
        out.push(left.remove(next));
    }
    out
}

/// One layer of a wall: sides that face the eye, then the face that does.
fn body(painter: &egui::Painter, eye: &Eye, at: &Placed<'_>, ring: usize, p: &Palette) {
    let (pose, count) = (&at.pose, at.wall.slabs.len());
    let Some(slab) = at.wall.slabs.get(ring) else { return };
    let ink = Stroke::new(1.0, p.ink);
    let fill = p.layer(ring, count);
    let mut quads: Vec<(f64, [Pos2; 4])> = Vec::new();
    for strip in &slab.sides {
        let corners = [
            pose.place(strip.outer[0], slab.from),
            pose.place(strip.outer[1], slab.from),
            pose.place(strip.inner[1], slab.to),
            pose.place(strip.inner[0], slab.to),
        ];
        let on = corners.map(|c| eye.put(c));
        if turned(&on) < 0.0 {
            quads.push((corners.iter().map(|c| eye.near(*c)).sum(), on));
        }
    }
    quads.sort_by(|a, b| a.0.total_cmp(&b.0));
    let shade = mix(fill, p.ink, 0.16);
    let mut mesh = Mesh::default();
    for (_, on) in &quads {
        let first = mesh.vertices.len() as u32;
        mesh.vertices.extend(on.iter().map(|pos| Vertex { pos: *pos, uv: WHITE_UV, color: shade }));
        mesh.indices.extend([first, first + 1, first + 2, first, first + 2, first + 3]);
    }
    painter.add(Shape::mesh(mesh));
    for (_, on) in &quads {
        painter.line_segment([on[0], on[1]], ink);
        painter.line_segment([on[2], on[3]], ink);
    }
    let (face, z) = if at.far { (&slab.inner, slab.to) } else { (&slab.outer, slab.from) };
    let mut mesh = Mesh::default();
    let vertex = |q: &Point| Vertex { pos: eye.put(pose.place(*q, z)), uv: WHITE_UV, color: fill };
    mesh.vertices.extend(face.points.iter().map(vertex));
    mesh.indices.extend(face.triangles.iter().flatten());
    painter.add(Shape::mesh(mesh));
    for ring in &face.rings {
        let points: Vec<Pos2> = ring.iter().map(|q| eye.put(pose.place(*q, z))).collect();
        painter.add(Shape::closed_line(points, ink));
    }
}

/// Twice the area of a quadrangle on the screen, by the sense it is gone round.
fn turned(at: &[Pos2; 4]) -> f32 {
    (0..4).map(|i| (at[i].to_vec2(), at[(i + 1) % 4].to_vec2())).map(|(a, b)| a.x * b.y - a.y * b.x).sum()
}

/// A wall that is looked through: the line of its hull face, dashed.
fn outline(painter: &egui::Painter, eye: &Eye, at: &Placed<'_>, layer: usize, p: &Palette) {
    let Some(slab) = at.wall.slabs.get(layer) else { return };
    for ring in &slab.outer.rings {
        let mut points: Vec<Pos2> = ring.iter().map(|q| eye.put(at.pose.place(*q, slab.from))).collect();
        points.extend(points.first().copied());
        crate::ruler::dashed(painter, &points, Stroke::new(1.0, p.hull), 6.0, 4.0);
    }
}

fn name(painter: &egui::Painter, shown: &Shown<'_>, eye: &Eye, at: &Placed<'_>, here: bool, p: &Palette) {
    let Some(of) = shown.job.wall(at.wall.id) else { return };
    let colour = if here { p.hand } else { p.ink };
    let galley = painter.layout_no_wrap(of.name.clone(), words(), colour);
    let rect = Rect::from_center_size(eye.put(centre(at.wall, &at.pose)), galley.size());
    painter.galley(rect.min, galley, colour);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_eye_above_sees_up_as_near() {
        let eye = Eye { turn: (0.0, 1.2), middle: Xyz::default(), scale: 1.0, on: Pos2::ZERO };
        assert!(eye.near(Xyz::new(0.0, 0.0, 1.0)) > eye.near(Xyz::new(0.0, 1.0, 0.0)));
        assert!(eye.put(Xyz::new(0.0, 0.0, 1.0)).y < 0.0, "up is up on the screen");
        // Turning keeps lengths: right, up and near are square to each other.
        let (a, b, c) = eye.seen(Xyz::new(3.0, -4.0, 12.0));
        assert!((a.hypot(b).hypot(c) - 13.0).abs() < 1e-9);
    }
}
