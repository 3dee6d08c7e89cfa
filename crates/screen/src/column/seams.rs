//! The cuts through the layer shown: where it comes apart to go in.

use coldwright_geometry::Length;
use coldwright_job::{Cutting, Edit, Seam, SeamStyle};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::Bound;
use crate::parts::{button_if, choice, choices, group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

/// Width of a lap nobody has stated: three quarters of an inch and a bit; common practice, no source.
const LAP: Length = Length::from_micrometres(20_000);

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
    meets(ui, shown, view, &seams, there, queue);
    let said = match (found.is_some(), view.cutting, seams.len(), by_hand) {
        (false, ..) => "Select a piece below to cut its layer where you want it.",
        (true, true, ..) => "Drag a line right across the layer on the board.",
        (true, false, 0, true) => "Kept whole, as you wished.",
        (true, false, 0, false) => "In one piece.",
        (true, false, _, true) => "Cut where you drew. Drag a seam or its ends on the board.",
        (true, false, _, false) => "Cut as worked out. Drag a seam or its ends on the board.",
    };
    hint(ui, said);
    distances(ui, shown, view, queue);
}

/// How the parts meet at the seam selected, or at the only one.
fn meets(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut View,
    seams: &[Seam],
    there: bool,
    queue: &mut Vec<Action>,
) {
    let one = view.seam.or((seams.len() == 1).then_some(0)).filter(|_| there);
    let is = one.and_then(|i| seams.get(i)).map(|s| s.style);
    let with = |view: &View, style: SeamStyle| {
        let mut next = seams.to_vec();
        if let Some(seam) = one.and_then(|i| next.get_mut(i)) {
            seam.style = style;
        }
        edit(view, Some(next))
    };
    let lap = match is {
        Some(SeamStyle::HalfLap(width)) => Some(width),
        _ => None,
    };
    ui.add_enabled_ui(is.is_some(), |ui| {
        row(ui, "Parts meet", |ui| {
            let kinds = [(Some(false), "square"), (Some(true), "half-lapped")];
            if let Some(Some(lapped)) = choices(ui, is.map(|_| lap.is_some()), &kinds) {
                let style = if lapped { SeamStyle::HalfLap(LAP) } else { SeamStyle::Butt };
                queue.extend(with(view, style).map(|e| Action::Edit(e, None)));
            }
        });
    });
    ui.add_enabled_ui(lap.is_some(), |ui| {
        row(ui, "Width of the lap", |ui| {
            let key = Id::unique("Width of the lap");
            let name = "Width of the lap";
            let bound = Bound { job: shown.job, key, name, hint: "none", width: value_width(ui) };
            let wanted = view.piece;
            bound.length(ui, &mut view.drafts, lap, queue, |l| {
                let piece = wanted?;
                let mut next = seams.to_vec();
                next.get_mut(one?)?.style = SeamStyle::HalfLap(l?);
                Some(Edit::SetSeams { wall: piece.wall, layer: piece.layer, seams: Some(next) })
            });
        });
    });
}

/// What seams keep away from.
pub(super) fn distances(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let cutting = shown.job.cutting;
    type Put = fn(&mut Cutting, Length);
    let rows: [(&str, &str, Length, Put); 2] = [
        ("From other seams", "Distance between seams of neighbouring layers", cutting.stagger, |c, l| {
            c.stagger = l;
        }),
        ("From corners", "Distance of seams from corners and cut-outs", cutting.clear, |c, l| c.clear = l),
    ];
    for (label, name, current, put) in rows {
        row(ui, label, |ui| {
            let key = Id::unique(("seams", name));
            let bound = Bound { job: shown.job, key, name, hint: "", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(current), queue, |l| {
                let mut next = cutting;
                put(&mut next, l?);
                Some(Edit::SetCutting(next))
            });
        });
    }
}
