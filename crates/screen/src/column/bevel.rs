//! The bevel of an edge: one angle or several stations, open or closed in words, with a tiny section.

use coldwright_job::{BevelAt, Edge, Edit, Wall, WallEdit};
use egui::{Align2, Id, Sense, Stroke, Ui, Vec2};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, bevel_words, notes, rounded};
use crate::parts::{button, fact, group, hint, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, words};
use crate::view::View;

use super::outline::wall_edit;

pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    edge: &Edge,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    group(ui, "Bevel");
    if !wall.further.is_empty() {
        from_templates(ui, shown, edge, view);
        return;
    }
    let steepest =
        edge.bevel.iter().map(|b| b.degrees).fold(0.0, |a: f64, b| if b.abs() > a.abs() { b } else { a });
    drawing(ui, steepest);
    let with = |index: usize, change: &dyn Fn(&mut BevelAt)| -> Edit {
        let mut list = edge.bevel.clone();
        if let Some(station) = list.get_mut(index) {
            change(station);
        }
        list.sort_by(|a, b| a.at.total_cmp(&b.at));
        wall_edit(wall, WallEdit::Bevel(edge.id, list))
    };
    if let [only] = edge.bevel.as_slice() {
        hint(ui, &bevel_words(only.degrees));
        row(ui, "Angle from square", |ui| {
            let key = Id::unique(("bevel", edge.id, 0));
            let bound = Bound {
                job: shown.job,
                key,
                name: "Bevel",
                hint: "open +, closed −",
                width: value_width(ui),
            };
            bound.angle(ui, &mut view.drafts, only.degrees, queue, |d| with(0, &|b| b.degrees = d));
        });
        if button(ui, "Add a station", false)
            .on_hover_text("For a bevel that changes along the edge.")
            .clicked()
        {
            let list = vec![BevelAt { at: 0.0, ..*only }, BevelAt { at: 1.0, ..*only }];
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Bevel(edge.id, list)), None));
        }
        return;
    }
    hint(ui, "Share of the edge from its first corner, and the angle there.");
    for (index, station) in edge.bevel.iter().enumerate() {
        ui.horizontal_top(|ui| {
            let key = Id::unique(("bevel at", edge.id, index));
            let name = format!("Station {} along", index + 1);
            let bound = Bound { job: shown.job, key, name: &name, hint: "%", width: 72.0 };
            let read = |text: &str| {
                let value = text.trim().trim_end_matches('%').trim().replace(',', ".");
                match value.parse::<f64>() {
                    Ok(v) if (0.0..=100.0).contains(&v) => {
                        Ok(Read { value: with(index, &|b| b.at = v / 100.0), echo: None })
                    }
                    _ => Err("give a share of the edge, 0 to 100 %".to_owned()),
                }
            };
            bound.run(ui, &mut view.drafts, rounded(station.at * 100.0, 4, " %"), queue, read);
            let key = Id::unique(("bevel", edge.id, index));
            let name = format!("Bevel at station {}", index + 1);
            let bound = Bound { job: shown.job, key, name: &name, hint: "", width: 96.0 };
            bound.angle(ui, &mut view.drafts, station.degrees, queue, |d| with(index, &|b| b.degrees = d));
            let remove = button(ui, "Remove", false).accessible_name(format!("Remove station {}", index + 1));
            if remove.clicked() {
                let mut list = edge.bevel.clone();
                list.remove(index);
                queue.push(Action::Edit(wall_edit(wall, WallEdit::Bevel(edge.id, list)), None));
            }
        });
        notes(ui, &mut view.drafts);
    }
    if button(ui, "Add a station", false).clicked() {
        let mut list = edge.bevel.clone();
        list.push(widest_gap(&edge.bevel));
        list.sort_by(|a, b| a.at.total_cmp(&b.at));
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Bevel(edge.id, list)), None));
    }
}

/// With several templates the bevels come out of them.
fn from_templates(ui: &mut Ui, shown: &Shown<'_>, edge: &Edge, view: &View) {
    hint(ui, "It comes out of this wall's templates.");
    let Some(plan) = shown.wall_plan(view).filter(|p| p.loft.is_some() && view.template() == 0) else {
        return;
    };
    let side = plan.outline.iter().flat_map(|o| o.sides()).find(|s| s.edge.id == edge.id.0);
    let Some(bevel) = side.map(|s| &s.edge.bevel) else { return };
    let at = |share: f64| bevel.at(share).to_degrees();
    drawing(ui, at(0.5));
    if bevel.is_constant() {
        fact(ui, "All along", &bevel_words(at(0.5)));
    } else {
        for (label, share) in [("At its start", 0.0), ("Halfway", 0.5), ("At its end", 1.0)] {
            fact(ui, label, &bevel_words(at(share)));
        }
    }
}

/// A new station in the middle of the longest stretch without one, with the angle of the station before it.
fn widest_gap(list: &[BevelAt]) -> BevelAt {
    let pairs = list.iter().zip(list.iter().skip(1));
    let widest = pairs.max_by(|a, b| (a.1.at - a.0.at).total_cmp(&(b.1.at - b.0.at)));
    match widest {
        Some((a, b)) if b.at > a.at => BevelAt { at: (a.at + b.at) / 2.0, degrees: a.degrees },
        _ => BevelAt { at: 0.5, degrees: list.first().map_or(0.0, |b| b.degrees) },
    }
}

/// A tiny section through the edge: hull face dashed below, box face solid above, the edge leaning as it will.
fn drawing(ui: &mut Ui, degrees: f64) {
    let p = Palette::at(ui);
    let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), 56.0), Sense::hover());
    let painter = ui.painter_at(rect);
    let high = 28.0;
    let lean = (degrees.to_radians().tan() as f32 * high).clamp(-72.0, 72.0);
    let left = rect.min.x + 4.0;
    let (top, bottom) = (rect.center().y - high / 2.0, rect.center().y + high / 2.0);
    let foot = rect.min.x + 132.0 - lean / 2.0;
    let head = foot + lean;
    let (a, b) = (egui::pos2(foot, bottom), egui::pos2(head, top));
    let fill = crate::theme::mix(p.column, p.cold, 0.14);
    let shape = vec![egui::pos2(left, top), b, a, egui::pos2(left, bottom)];
    painter.add(egui::Shape::convex_polygon(shape, fill, Stroke::NONE));
    painter.line_segment([egui::pos2(left, top), b], Stroke::new(1.5, p.cold));
    crate::ruler::dashed(&painter, &[egui::pos2(left, bottom), a], Stroke::new(1.5, p.hull), 5.0, 3.0);
    painter.line_segment([a, b], Stroke::new(1.5, p.ink));
    let square = [egui::pos2(foot, bottom), egui::pos2(foot, top)];
    crate::ruler::dashed(&painter, &square, Stroke::new(1.0, p.quiet), 2.0, 3.0);
    let x = rect.min.x + 132.0 + 40.0;
    painter.text(egui::pos2(x, top), Align2::LEFT_CENTER, "box face", words(), p.cold);
    painter.text(egui::pos2(x, bottom), Align2::LEFT_CENTER, "hull face", words(), p.hull);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_new_station_goes_where_there_is_most_room() {
        let at = |at| BevelAt { at, degrees: 5.0 };
        assert!((widest_gap(&[at(0.0), at(0.2), at(1.0)]).at - 0.6).abs() < 1e-12);
        assert!((widest_gap(&[at(0.5)]).at - 0.5).abs() < 1e-12);
    }
}
