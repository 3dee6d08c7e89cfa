//! The cuts through the layer shown: where it comes apart to go in.

use coldwright_job::{Edit, Seam};
use egui::Ui;

use crate::actions::Action;
use crate::parts::{button_if, choice, group, hint};
use crate::shown::Shown;
use crate::view::View;

/// Wall, layer and the layer's seams as they are cut now.
pub(crate) fn seams_of(shown: &Shown<'_>, view: &View) -> Option<(coldwright_job::WallId, u32, Vec<Seam>)> {
    let piece = view.piece?;
    let planned = shown.plan.seams.iter().find(|s| (s.wall, s.layer) == (piece.wall, piece.layer));
    Some((piece.wall, piece.layer, planned.map(|s| s.seams.clone()).unwrap_or_default()))
}

/// The edit that cuts the selected piece's layer by these seams.
pub(crate) fn edit(view: &View, seams: Option<Vec<Seam>>) -> Option<Edit> {
    view.piece.map(|piece| Edit::SetSeams { wall: piece.wall, layer: piece.layer, seams })
}

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let found = seams_of(shown, view);
    let title = found.as_ref().and_then(|(wall, layer, _)| {
        shown.job.wall(*wall).map(|w| format!("Cuts through {} {layer}", w.name))
    });
    group(ui, title.as_deref().unwrap_or("Cuts through a layer"));
    let seams = found.as_ref().map(|f| f.2.clone()).unwrap_or_default();
    view.seam = view.seam.filter(|i| *i < seams.len());
    let there = found.is_some() && shown.plan_is_current;
    let by_hand = found
        .as_ref()
        .is_some_and(|(wall, layer, _)| shown.job.seams.iter().any(|s| (s.wall, s.layer) == (*wall, *layer)));
    let mut push = |seams: Option<Vec<Seam>>, view: &View| {
        queue.extend(edit(view, seams).map(|e| Action::Edit(e, None)));
    };
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
        ui.add_enabled_ui(there, |ui| {
            if choice(ui, view.cutting, "Cut here").clicked() {
                view.cutting = !view.cutting;
            }
        });
        let one = view.seam.or((seams.len() == 1).then_some(0));
        if button_if(ui, "Remove seam", false, there && one.is_some()).clicked()
            && let Some(one) = one
        {
            let mut left = seams.clone();
            left.remove(one);
            view.seam = None;
            push(Some(left), view);
        }
        if button_if(ui, "Keep whole", false, there && !(seams.is_empty() && by_hand)).clicked() {
            view.seam = None;
            push(Some(Vec::new()), view);
        }
        if button_if(ui, "Work out again", false, there && by_hand).clicked() {
            view.seam = None;
            push(None, view);
        }
    });
    let said = match (found.is_some(), view.cutting, seams.len(), by_hand) {
        (false, ..) => "Select a piece below to cut its layer where you want it.",
        (true, true, ..) => "Drag a line right across the layer on the board.",
        (true, false, 0, true) => "Kept whole, as you wished.",
        (true, false, 0, false) => "In one piece.",
        (true, false, _, true) => "Cut where you drew. Click a seam on the board to select it.",
        (true, false, _, false) => "Cut as worked out. Click a seam on the board to select it.",
    };
    hint(ui, said);
}
