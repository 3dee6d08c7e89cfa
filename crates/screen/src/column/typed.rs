//! Typed points: a table of ticks, edge by edge, for a shape measured without a photo.

use coldwright_geometry::{Writing, parse_length};
use coldwright_job::{EdgeId, Place, Wall, WallEdit};
use egui::{Id, RichText, Ui};
use kurbo::Point;

use crate::actions::{Action, Command};
use crate::edit_box::{EditBox, Read, notes};
use crate::parts::{choice, group, hint, hint_line};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH};
use crate::view::View;

use super::edge::numbers;
use super::outline::wall_edit;
use super::tick::coordinate;

/// Standard uncertainty of a typed point until the person says otherwise, mm: a tape read to the millimetre at both
/// ends. Common practice, no source.
const SD: f64 = 1.0;
const NUMBER: f32 = 28.0;

/// The box for the next point: above the table, so that it stays where it is while that grows.
pub(super) fn next_point(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    group(ui, "The next point, across and up");
    hint(ui, "From any one place, edge after edge round the shape, seen from the side stated below.");
    let edges = &wall.template.edges;
    let current = view.edge().or_else(|| edges.last().map(|e| e.id)).filter(|_| !view.new_edge);
    let goes = current.and_then(|id| wall.template.edge(id));
    ui.horizontal(|ui| {
        if choice(ui, view.new_edge, "New edge").on_hover_text(Command::NewEdge.hint(ui.ctx())).clicked() {
            view.new_edge = !view.new_edge;
        }
        let words =
            goes.map_or("It begins a new edge.".to_owned(), |e| format!("It goes on with {}.", e.name));
        hint_line(ui, &words);
    });
    let boxed = EditBox {
        key: Id::unique(("next point", wall.id)),
        name: "Next point, across and up",
        current: String::new(),
        hint: "610 mm; 24 1/2 in",
        width: ui.available_width(),
        again: false,
    };
    let read = |text: &str| read_pair(text, shown);
    if let Some(at) = boxed.show(ui, &mut view.drafts, read, |_| Ok(())) {
        let place = Place::Typed { at, sd: SD };
        queue.push(Action::Edit(
            wall_edit(wall, WallEdit::AddTick { edge: current, before: None, place }),
            None,
        ));
        view.new_edge = false;
        ui.memory_mut(|m| m.request_focus(Id::unique(("next point", wall.id))));
    }
}

/// Where the points come from, or the way to take them from a drawing while there are none.
pub(super) fn drawing(ui: &mut Ui, wall: &Wall, queue: &mut Vec<Action>) {
    if let Some(file) = &wall.template.drawn_from {
        hint(ui, &format!("The points are from {file}."));
    } else if wall.template.ticks.is_empty()
        && crate::parts::button(ui, "Take them from a drawing…", false).clicked()
    {
        queue.push(Action::AddDrawing { wall: Some(wall.id), path: None });
    }
}

pub(super) fn table(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    if wall.template.ticks.is_empty() {
        return;
    }
    group(ui, "Measured points");
    let p = Palette::at(ui);
    let half = (ui.available_width() - NUMBER - 16.0) / 2.0;
    let edges: Vec<(EdgeId, String)> = wall.template.edges.iter().map(|e| (e.id, e.name.clone())).collect();
    let mut listed = Vec::new();
    for (edge, name) in &edges {
        ui.label(RichText::new(name).color(p.ink));
        let ticks = wall.template.edge(*edge).map(|e| e.ticks.clone()).unwrap_or_default();
        for id in ticks {
            let Some(tick) = wall.template.tick(id) else { continue };
            let number = numbers(shown, wall, view)(id);
            ui.horizontal_top(|ui| {
                let chip = egui::Button::new(&number).min_size(egui::vec2(NUMBER, TOUCH));
                let chip = ui.push_id(("chip", edge, id), |ui| ui.add(chip)).inner;
                if chip.accessible_name(format!("Tick {number}")).clicked() {
                    view.select_tick(id);
                }
                if listed.contains(&id) {
                    ui.label(RichText::new("the corner above").color(p.quiet));
                    return;
                }
                listed.push(id);
                match &tick.place {
                    Place::Typed { at, sd } => {
                        ui.push_id((edge, id), |ui| {
                            ui.horizontal_top(|ui| {
                                for across in [true, false] {
                                    coordinate(ui, shown, wall, id, (*at, *sd), across, half, view, queue);
                                }
                            });
                        });
                    }
                    Place::Taped { point } => {
                        ui.label(RichText::new(format!("{point} in the table")).color(p.quiet));
                    }
                    Place::Pixel { .. } => {
                        ui.label(RichText::new("clicked in a photo").color(p.quiet));
                    }
                }
            });
            notes(ui, &mut view.drafts);
        }
    }
}

/// Two lengths with a semicolon between them, or a comma where each has its unit.
pub(super) fn read_pair(text: &str, shown: &Shown<'_>) -> Result<Read<Point>, String> {
    let parts: Vec<&str> = if text.contains(';') {
        text.split(';').collect()
    } else if text.matches(',').count() == 1 && text.contains(", ") {
        text.split(", ").collect()
    } else {
        vec![text]
    };
    let [across, up] = parts.as_slice() else {
        return Err("give two lengths with a semicolon between them, such as 610; 24 1/2 in".to_owned());
    };
    let read = |part: &str, way: &str| {
        parse_length(part, shown.job.units.bare(), Writing::Plain).map_err(|e| format!("{way}: {e}"))
    };
    let (x, y) = (read(across, "across")?, read(up, "up")?);
    Ok(Read {
        value: Point::new(x.length.mm(), y.length.mm()),
        echo: Some(format!("{}\n{}", x.words, y.words)),
    })
}
