//! The layers of a wall: thickness and material of each, which face stays, how pieces are cut, and what follows.

use coldwright_geometry::{FixedFace, Length};
use coldwright_job::{CutStyle, Edit, LayerStock, TakenAt, Wall, WallEdit};
use egui::{Id, RichText, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, notes};
use crate::parts::{big, choice, choices, group, group_with, heading, rest, row, value_width};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

use super::outline::wall_edit;
use super::{fitted, hollow, layer_facts, lid, liner};

/// Widths of the layer list: number, thickness, material; the rest is "Remove".
const NUMBER: f32 = 36.0;
const THICK: f32 = 92.0;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &wall.name);
    let total: Length = wall.layers.iter().map(|l| l.thickness).sum();
    let shaped = shown.wall_plan(view).is_some_and(|w| w.layers.is_some());
    big(
        ui,
        &shown.job.show(total),
        if shaped { "of foam in all" } else { "of foam in all, once the outline closes" },
    );
    list(ui, shown, wall, view, queue);
    // A lid in steps follows from its opening, whatever else is known of the wall.
    let plug = wall.lid.is_some();
    if !plug {
        group(ui, "The face that stays where it is");
        let faces = [(FixedFace::Outer, "hull face"), (FixedFace::Inner, "box face")];
        if let Some(face) = choices(ui, wall.fixed, &faces) {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Fixed(face)), None));
        }
        taken_at(ui, shown, wall, view, queue);
    }
    group(ui, "Edges are cut");
    let styles = [
        (CutStyle::Bevelled, "bevelled, both faces drawn"),
        (CutStyle::SquareFits, "square, to fit: the wedge is filled"),
        (CutStyle::SquareFills, "square, to fill: trimmed in place"),
    ];
    for (style, label) in styles {
        if choice(ui, wall.cut == style, label).clicked() && wall.cut != style {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Cut(style)), None));
        }
    }
    layer_facts::show(ui, shown, wall, view, queue);
    if !plug || !wall.fitted.is_empty() {
        fitted::show(ui, shown, wall, view, queue);
    }
    lid::show(ui, shown, wall, view, queue);
    liner::show(ui, shown, wall, view, queue);
    if !plug || wall.hollow.is_some() {
        hollow::show(ui, shown, wall, view, queue);
    }
}

fn list(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let add = group_with(ui, "Layers, hull first", "Add layer");
    let p = Palette::at(ui);
    let with = |change: &dyn Fn(&mut Vec<LayerStock>)| -> Edit {
        let mut layers = wall.layers.clone();
        change(&mut layers);
        wall_edit(wall, WallEdit::Layers(layers))
    };
    let count = wall.layers.len();
    for (index, layer) in wall.layers.iter().enumerate() {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 4.0;
            let chip = egui::Button::selectable(
                view.layer == index,
                RichText::new(format!("{}", index + 1)).color(p.ink),
            )
            .frame_when_inactive(true)
            .min_size(egui::vec2(NUMBER, crate::theme::TOUCH))
            .fill(p.layer(index, count));
            let chip = if view.layer == index { chip.stroke(egui::Stroke::new(2.0, p.hand)) } else { chip };
            let chip = ui.push_id(("layer", index), |ui| ui.add(chip)).inner;
            if chip.accessible_name(format!("Layer {}", index + 1)).clicked() {
                view.layer = index;
            }
            let name = format!("Thickness of layer {}", index + 1);
            let key = Id::unique(("thickness", wall.id, index));
            let bound = Bound { job: shown.job, key, name: &name, hint: "", width: THICK };
            bound.length(ui, &mut view.drafts, Some(layer.thickness), queue, |l| {
                let l = l?;
                Some(with(&|layers| {
                    if let Some(layer) = layers.get_mut(index) {
                        layer.thickness = l;
                    }
                }))
            });
            let name = format!("Material of layer {}", index + 1);
            let key = Id::unique(("material", wall.id, index));
            let width = (ui.available_width() - 68.0 - 4.0).max(48.0);
            let bound = Bound { job: shown.job, key, name: &name, hint: "foam", width };
            bound.words(ui, &mut view.drafts, &layer.material, queue, |text| {
                with(&|layers| {
                    if let Some(layer) = layers.get_mut(index) {
                        layer.material = text.trim().to_owned();
                    }
                })
            });
            let remove = rest(ui, "Remove", count > 1).accessible_name(format!("Remove layer {}", index + 1));
            if remove.clicked() {
                queue.push(Action::Edit(
                    with(&|layers| {
                        layers.remove(index);
                    }),
                    None,
                ));
            }
        });
        notes(ui, &mut view.drafts);
    }
    if add {
        let edit = with(&|layers| layers.push(layers.last().cloned().unwrap_or_default()));
        queue.push(Action::Edit(edit, None));
    }
}

pub(super) fn taken_at(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    group(ui, "The template was taken");
    let (outer, depth) = match wall.template.taken_at {
        TakenAt::FromOuter(l) => (true, l),
        TakenAt::FromInner(l) => (false, l),
    };
    let of = |outer: bool, l: Length| {
        let at = if outer { TakenAt::FromOuter(l) } else { TakenAt::FromInner(l) };
        wall_edit(wall, WallEdit::TakenAt(at))
    };
    row(ui, "so far", |ui| {
        let bound = Bound {
            job: shown.job,
            key: Id::unique(("taken", wall.id)),
            name: "Template depth",
            hint: "",
            width: value_width(ui),
        };
        bound.length(ui, &mut view.drafts, Some(depth), queue, |l| l.map(|l| of(outer, l)));
    });
    if let Some(outer) =
        choices(ui, outer, &[(true, "in from the hull face"), (false, "out from the box face")])
    {
        queue.push(Action::Edit(of(outer, depth), None));
    }
}
