//! Trims taken while a layer was fitted: typed edge by edge, carried to the layers after it.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Edge, Edit, Fitted, TrimAt, Wall, WallEdit};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, exactly, notes, rounded};
use crate::parts::{button, group, hint, rest, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::outline::wall_edit;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let layer = view.layer + 1;
    if layer > wall.layers.len() {
        return;
    }
    group(ui, &format!("Trimmed off layer {layer} to make it fit"));
    hint(
        ui,
        if layer < wall.layers.len() {
            "Carried to the layers after it. Cut those by new patterns. Below 0 where it was short."
        } else {
            "Only a liner comes after this layer. Below 0 where it was short."
        },
    );
    for edge in &wall.template.edges {
        let place = wall.fitted.iter().position(|f| f.layer as usize == layer && f.edge == edge.id);
        let trims = place.and_then(|i| wall.fitted.get(i)).map(|f| f.trims.clone()).unwrap_or_default();
        let with = |trims: Vec<TrimAt>| -> Edit {
            let mut fitted = wall.fitted.clone();
            fitted.retain(|f| !(f.layer as usize == layer && f.edge == edge.id));
            let nothing = trims.iter().all(|t| t.trim == Length::default()) && trims.len() < 2;
            if !nothing {
                let mut trims = trims;
                trims.sort_by(|a, b| a.at.total_cmp(&b.at));
                fitted.push(Fitted { layer: layer as u32, edge: edge.id, trims });
                fitted.sort_by_key(|f| (f.layer, f.edge));
            }
            wall_edit(wall, WallEdit::Fitted(fitted))
        };
        if trims.len() < 2 {
            whole(ui, shown, edge, &trims, &with, view, queue);
        } else {
            stations(ui, shown, edge, &trims, &with, view, queue);
        }
    }
}

/// One trim for the whole edge.
fn whole(
    ui: &mut Ui,
    shown: &Shown<'_>,
    edge: &Edge,
    trims: &[TrimAt],
    with: &dyn Fn(Vec<TrimAt>) -> Edit,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    row(ui, &edge.name, |ui| {
        let current = trims.first().map(|t| t.trim).unwrap_or_default();
        let key = Id::unique(("trim", edge.id, view.layer));
        let name = format!("Trim at {}", edge.name);
        let bound =
            Bound { job: shown.job, key, name: &name, hint: "", width: (value_width(ui) - 76.0).max(60.0) };
        bound.length(ui, &mut view.drafts, Some(current), queue, |l| {
            l.map(|trim| with(vec![TrimAt { at: 0.0, trim }]))
        });
        let places = rest(ui, "Places", true).on_hover_text("For a trim that changes along the edge.");
        if places.accessible_name(format!("Places along {}", edge.name)).clicked() {
            queue.push(Action::Edit(
                with(vec![TrimAt { at: 0.0, trim: current }, TrimAt { at: 1.0, trim: current }]),
                None,
            ));
        }
    });
    notes(ui, &mut view.drafts);
}

/// Trims at places along the edge.
fn stations(
    ui: &mut Ui,
    shown: &Shown<'_>,
    edge: &Edge,
    trims: &[TrimAt],
    with: &dyn Fn(Vec<TrimAt>) -> Edit,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    hint(ui, &format!("{}: share of it from its first corner, and the trim there", edge.name));
    let layer = view.layer;
    for (index, station) in trims.iter().enumerate() {
        let changed = |change: &dyn Fn(&mut TrimAt)| {
            let mut list = trims.to_vec();
            list.get_mut(index).map(change);
            with(list)
        };
        ui.horizontal_top(|ui| {
            let name = format!("Place {} along {}", index + 1, edge.name);
            let key = Id::unique(("trim at", edge.id, layer, index));
            let bound = Bound { job: shown.job, key, name: &name, hint: "%", width: 72.0 };
            let read = |text: &str| match text
                .trim()
                .trim_end_matches('%')
                .trim()
                .replace(',', ".")
                .parse::<f64>()
            {
                Ok(v) if (0.0..=100.0).contains(&v) => {
                    Ok(Read { value: changed(&|t| t.at = v / 100.0), echo: None })
                }
                _ => Err("give a share of the edge, 0 to 100 %".to_owned()),
            };
            bound.run(ui, &mut view.drafts, rounded(station.at * 100.0, 4, " %"), queue, read);
            let name = format!("Trim {} at {}", index + 1, edge.name);
            let key = Id::unique(("trim of", edge.id, layer, index));
            let bound = Bound { job: shown.job, key, name: &name, hint: "", width: 96.0 };
            let read = |text: &str| {
                let r =
                    parse_length(text, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
                Ok(Read { value: changed(&|t| t.trim = r.length), echo: Some(r.words) })
            };
            bound.run(ui, &mut view.drafts, exactly(shown.job.units, station.trim), queue, read);
            let remove = rest(ui, "Remove", true);
            if remove.accessible_name(format!("Remove place {} along {}", index + 1, edge.name)).clicked() {
                let mut list = trims.to_vec();
                list.remove(index);
                queue.push(Action::Edit(with(list), None));
            }
        });
        notes(ui, &mut view.drafts);
    }
    if button(ui, "Add a place", false).accessible_name(format!("Add a place along {}", edge.name)).clicked()
    {
        let widest = trims.windows(2).max_by(|a, b| (a[1].at - a[0].at).total_cmp(&(b[1].at - b[0].at)));
        if let Some([a, b]) = widest {
            let mut list = trims.to_vec();
            list.push(TrimAt { at: f64::midpoint(a.at, b.at), trim: a.trim });
            queue.push(Action::Edit(with(list), None));
        }
    }
}
