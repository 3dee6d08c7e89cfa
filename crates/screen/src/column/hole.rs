//! Holes of a wall: the list, and one hole with its shape, place and lean.

use coldwright_geometry::{Length, parse_angle};
use coldwright_job::{Edit, Hole, HoleShape, Stands, Units, Wall, WallEdit};
use egui::{Id, RichText, Ui, Vec2};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, degrees, rounded};
use crate::parts::{button, by, choices, fact, group, group_with, heading_with, hint, mm, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH};
use crate::view::{Selected, View};

use super::outline::wall_edit;

/// The holes, each a button, and the one that adds another.
pub(super) fn list(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    // Holes belong to the wall, at its first template's depth.
    if view.template() > 0 {
        return;
    }
    let add = group_with(ui, "Holes for hoses, drains, stringers", "Add hole");
    let p = Palette::at(ui);
    for (index, hole) in wall.template.holes.iter().enumerate() {
        ui.push_id(("hole", index), |ui| {
            let button = egui::Button::new(RichText::new(&hole.name))
                .right_text(RichText::new(size(shown, hole)).color(p.quiet))
                .truncate()
                .min_size(Vec2::new(ui.available_width(), TOUCH));
            if ui.add(button).clicked() {
                view.selected = Selected::Hole(index);
            }
        });
    }
    if add {
        let outline = shown.wall_plan(view).and_then(|w| w.outline.clone());
        let middle = outline.map_or(kurbo::Point::new(100.0, 100.0), |o| o.bounds().center());
        let round = |v: f64| Length::from_mm(v.round()).unwrap_or_default();
        let diameter = match shown.job.units {
            Units::Millimetres => Length::from_micrometres(50_000),
            Units::Inches => Length::from_64ths(128),
        };
        let mut holes = wall.template.holes.clone();
        holes.push(Hole::round("Hose", (round(middle.x), round(middle.y)), diameter));
        view.selected = Selected::Hole(holes.len() - 1);
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Holes(holes)), None));
    }
}

fn size(shown: &Shown<'_>, hole: &Hole) -> String {
    match hole.shape {
        HoleShape::Round { diameter } => format!("round, {}", shown.job.show(diameter)),
        HoleShape::Rectangle { width, height, .. } => by(shown, width.mm(), height.mm()),
    }
}

/// One hole.
pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    index: usize,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let Some(hole) = wall.template.holes.get(index) else { return };
    if heading_with(ui, &hole.name, "Whole outline") {
        view.selected = Selected::Step;
    }
    let with = |change: &dyn Fn(&mut Hole)| -> Edit {
        let mut holes = wall.template.holes.clone();
        holes.get_mut(index).map(change);
        wall_edit(wall, WallEdit::Holes(holes))
    };
    let key = |what: &'static str| Id::unique(("hole", wall.id, index, what));
    row(ui, "What goes through", |ui| {
        let bound =
            Bound { job: shown.job, key: key("name"), name: "Hole name", hint: "", width: value_width(ui) };
        bound.words(ui, &mut view.drafts, &hole.name, queue, |n| with(&|h| h.name.clone_from(&n)));
    });
    row(ui, "Its shape", |ui| {
        let round = matches!(hole.shape, HoleShape::Round { .. });
        if let Some(round) = choices(ui, round, &[(true, "round"), (false, "rectangle")]) {
            let shape = match hole.shape {
                HoleShape::Rectangle { width, height, .. } if round => {
                    HoleShape::Round { diameter: width.min(height) }
                }
                HoleShape::Round { diameter } if !round => HoleShape::Rectangle {
                    width: diameter,
                    height: diameter,
                    corner: Length::default(),
                    turn_deg: 0.0,
                },
                same => same,
            };
            queue.push(Action::Edit(with(&|h| h.shape = shape), None));
        }
    });
    let mut length = |ui: &mut Ui,
                      view: &mut View,
                      label: &'static str,
                      current: Length,
                      set: &dyn Fn(&mut Hole, Length)| {
        row(ui, label, |ui| {
            let bound =
                Bound { job: shown.job, key: key(label), name: label, hint: "", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(current), queue, |l| l.map(|l| with(&|h| set(h, l))));
        });
    };
    match hole.shape {
        HoleShape::Round { diameter } => {
            length(ui, view, "Across it", diameter, &|h, diameter| h.shape = HoleShape::Round { diameter });
        }
        HoleShape::Rectangle { width, height, corner, turn_deg } => {
            length(ui, view, "Its width", width, &|h, width| {
                h.shape = HoleShape::Rectangle { width, height, corner, turn_deg };
            });
            length(ui, view, "Its height", height, &|h, height| {
                h.shape = HoleShape::Rectangle { width, height, corner, turn_deg };
            });
            length(ui, view, "Corner radius", corner, &|h, corner| {
                h.shape = HoleShape::Rectangle { width, height, corner, turn_deg };
            });
        }
    }
    let (foot, up) = match wall.stands {
        Stands::Upright => ("bottom", "Its middle, up"),
        Stands::Floor | Stands::Lid => ("after edge", "Its middle, forward"),
    };
    group(ui, &format!("From the left end of the {foot}, at the template"));
    length(ui, view, "Its middle, across", hole.at.0, &|h, l| h.at.0 = l);
    length(ui, view, up, hole.at.1, &|h, l| h.at.1 = l);
    group(ui, "On its way from the hull to the box");
    let mut angle = |ui: &mut Ui,
                     view: &mut View,
                     label: &'static str,
                     current: f64,
                     words: &dyn Fn(f64) -> String,
                     set: &dyn Fn(&mut Hole, f64)| {
        row(ui, label, |ui| {
            let bound =
                Bound { job: shown.job, key: key(label), name: label, hint: "", width: value_width(ui) };
            let read = |text: &str| {
                let d = parse_angle(text).map_err(|e| e.to_string())?.to_degrees();
                Ok(Read { value: with(&|h| set(h, d)), echo: Some(words(d)) })
            };
            bound.run(ui, &mut view.drafts, rounded(current, 6, "°"), queue, read);
        });
    };
    let (more, less) = match wall.stands {
        Stands::Upright => ("up", "down"),
        Stands::Floor | Stands::Lid => ("forward", "aft"),
    };
    angle(ui, view, "It leans right", hole.lean_deg.0, &|d| leans(d, "right", "left"), &|h, d| {
        h.lean_deg.0 = d;
    });
    let label = if more == "up" { "It leans up" } else { "It leans forward" };
    angle(ui, view, label, hole.lean_deg.1, &|d| leans(d, more, less), &|h, d| h.lean_deg.1 = d);
    angle(ui, view, "Its sides narrow", hole.taper_deg, &narrows, &|h, d| h.taper_deg = d);
    if let HoleShape::Rectangle { width, height, corner, turn_deg } = hole.shape {
        angle(
            ui,
            view,
            "It is turned",
            turn_deg,
            &|d| leans(d, "to the left", "to the right"),
            &|h, turn_deg| {
                h.shape = HoleShape::Rectangle { width, height, corner, turn_deg };
            },
        );
    }
    hint(
        ui,
        "0° is square to the template. A round hole is measured across the pipe, whatever way it leans.",
    );
    through(ui, shown, index, view);
    group(ui, "");
    if button(ui, "Remove hole", false).clicked() {
        let mut holes = wall.template.holes.clone();
        holes.remove(index);
        view.selected = Selected::Step;
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Holes(holes)), None));
    }
}

fn leans(d: f64, more: &str, less: &str) -> String {
    if d.abs() < 0.005 {
        "0° = straight".to_owned()
    } else {
        format!("{} {}", degrees(d.abs()), if d > 0.0 { more } else { less })
    }
}

fn narrows(d: f64) -> String {
    if d.abs() < 0.005 {
        "0° = the same size all through".to_owned()
    } else {
        format!("{}, {} towards the box", degrees(d.abs()), if d > 0.0 { "narrower" } else { "wider" })
    }
}

/// Where its middle goes in and comes out.
fn through(ui: &mut Ui, shown: &Shown<'_>, index: usize, view: &View) {
    let Some(plan) = shown.wall_plan(view) else { return };
    let (Some(outline), Some(layers), Some(wall)) = (&plan.outline, &plan.layers, shown.wall(view)) else {
        return;
    };
    let (Some(hole), Some(lean), Some(last)) =
        (wall.template.holes.get(index), outline.leans().get(index), layers.layers.last())
    else {
        return;
    };
    let depth = match wall.template.taken_at {
        coldwright_job::TakenAt::FromOuter(l) => l.mm(),
        coldwright_job::TakenAt::FromInner(l) => last.to - l.mm(),
    };
    let way = if wall.stands == Stands::Upright { "up" } else { "forward" };
    let at = |z: f64| {
        let p = kurbo::Point::new(hole.at.0.mm(), hole.at.1.mm()) + *lean * (z - depth);
        format!("{} across, {} {way}", mm(shown, p.x), mm(shown, p.y))
    };
    fact(ui, "At the hull face", &at(0.0));
    fact(ui, "At the box face", &at(last.to));
}
