//! What there is to know of one layer: the space before it, areas, what a square cut leaves, and what the saw cannot do.

use coldwright_geometry::{Layer, Outline, Proud, SawLimit};
use coldwright_job::{Units, Wall, WallEdit};
use egui::{Id, RichText, Ui};
use kurbo::{ParamCurveNearest, Point};

use crate::actions::Action;
use crate::edit_box::{Bound, degrees};
use crate::parts::{fact, group, mm, row, value_width};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

use super::outline::wall_edit;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let index = view.layer;
    let foam = wall.layers.get(index);
    group(ui, &if foam.is_some() { format!("Layer {}", index + 1) } else { "The liner panel".to_owned() });
    if let Some(layer) = foam {
        row(ui, "Space before it", |ui| {
            let bound = Bound {
                job: shown.job,
                key: Id::unique(("space", wall.id, index)),
                name: "Space before the layer",
                hint: "film, bond line or air",
                width: value_width(ui),
            };
            bound.length(ui, &mut view.drafts, Some(layer.before), queue, |l| {
                let l = l?;
                let mut layers = wall.layers.clone();
                layers.get_mut(index)?.before = l;
                Some(wall_edit(wall, WallEdit::Layers(layers)))
            });
        });
    }
    let Some(plan) = shown.wall_plan(view) else { return };
    let Some(layer) = plan.layers.as_ref().and_then(|set| set.layers.get(index)) else { return };
    if foam.is_none() {
        fact(ui, "To cut", &area(shown, layer.area_outer));
        return;
    }
    fact(ui, "Hull face", &area(shown, layer.area_outer));
    fact(ui, "Box face", &area(shown, layer.area_inner));
    fact(ui, "Wedge to fill", &volume(shown, layer.wedge));
    fact(ui, "Trimmed if it fills", &volume(shown, layer.excess));
    let at = plan.outline.as_deref().filter(|_| layer.largest_gap > 0.05);
    let leans = |id: u32| layer.bevels.iter().any(|m| m.edge == id && m.proud != Proud::Square);
    let at = at.and_then(|o| nearest_edge(o, layer.largest_gap_at, leans));
    let near = at.map_or_else(String::new, |name| format!(", at {name}"));
    fact(ui, "Largest gap", &format!("{}{near}", mm(shown, layer.largest_gap)));
    let steepest = layer.bevels.iter().max_by(|a, b| a.angle.abs().total_cmp(&b.angle.abs()));
    let edge =
        |id: u32| wall.template.edges.iter().find(|e| e.id.0 == id).map_or("an edge", |e| e.name.as_str());
    let at =
        steepest.filter(|m| m.angle != 0.0).map_or_else(String::new, |m| format!(", at {}", edge(m.edge)));
    fact(ui, "Steepest bevel", &format!("{}{at}", degrees(layer.steepest_bevel.to_degrees())));
    if let Some(radius) = layer.tightest_inside_radius {
        fact(ui, "Tightest hollow", &format!("{} radius", mm(shown, radius)));
    }
    let p = Palette::at(ui);
    let say = |ui: &mut Ui, words: String| {
        ui.add(egui::Label::new(RichText::new(words).color(p.look)).wrap());
    };
    for words in told(shown, &coldwright_job::saw_limits(shown.job, plan, layer), layer, edge) {
        say(ui, words);
    }
}

/// What to look at before this layer is sawn.
fn told<'a>(
    shown: &Shown<'_>,
    limits: &[SawLimit],
    layer: &Layer,
    edge: impl Fn(u32) -> &'a str,
) -> Vec<String> {
    let mut out = Vec::new();
    let mut feathers: Vec<(u32, f64)> = Vec::new();
    for m in layer.bevels.iter().filter(|m| m.angle.abs() > std::f64::consts::FRAC_PI_4 + 1e-9) {
        match feathers.iter_mut().find(|f| f.0 == m.edge) {
            Some(f) => f.1 = f.1.max(m.angle.abs()),
            None => feathers.push((m.edge, m.angle.abs())),
        }
    }
    for (id, angle) in feathers {
        let lean = degrees(angle.to_degrees());
        out.push(format!(
            "{} leans {lean} and leaves a thin edge that breaks. Cut it square, or blunt it.",
            edge(id)
        ));
    }
    for limit in limits {
        out.push(match *limit {
            SawLimit::Tilt { edge: id, angle, turned_over } => {
                let way =
                    if turned_over { "saw it box face up" } else { "more than the saw tilts either way" };
                format!("{} leans {}: {way}.", edge(id), degrees(angle.to_degrees()))
            }
            SawLimit::Throat { least } => {
                format!(
                    "It is {} wide, more than the saw's throat. Saw it by hand, or in parts.",
                    mm(shown, least)
                )
            }
            SawLimit::Radius { radius, least } if least.is_finite() => format!(
                "It bends in to {}; the saw's blade turns {} at best.",
                mm(shown, radius),
                mm(shown, least)
            ),
            SawLimit::Radius { radius, .. } => {
                format!("It bends in to {}, tighter than so wide a blade turns.", mm(shown, radius))
            }
        });
    }
    out
}

/// The edge a place lies nearest to, of those that lean: a square one leaves no gap.
fn nearest_edge(outline: &Outline, at: Point, leans: impl Fn(u32) -> bool) -> Option<String> {
    let off = |side: &coldwright_geometry::Side| {
        side.path.segments().map(|s| s.nearest(at, 0.01).distance_sq).fold(f64::INFINITY, f64::min)
    };
    let sides = outline.sides().iter().filter(|s| leans(s.edge.id));
    let side = sides.min_by(|a, b| off(a).total_cmp(&off(b)))?;
    Some(side.edge.name.clone())
}

/// Square millimetres in the unit a person buys by.
pub(super) fn area(shown: &Shown<'_>, mm2: f64) -> String {
    match shown.job.units {
        Units::Millimetres => format!("{:.3} m²", mm2 / 1e6),
        Units::Inches => format!("{:.2} sq ft", mm2 / (304.8 * 304.8)),
    }
}

/// Cubic millimetres in the unit a person mixes foam by.
pub(super) fn volume(shown: &Shown<'_>, mm3: f64) -> String {
    match shown.job.units {
        Units::Millimetres => format!("{:.2} litres", mm3 / 1e6),
        Units::Inches => format!("{:.1} cu in", mm3 / 16_387.064),
    }
}
