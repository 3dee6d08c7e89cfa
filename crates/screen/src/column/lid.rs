//! A lid that plugs its opening in steps: ledges, draft, room for the gasket, and the opening that takes it.

use coldwright_geometry::{Length, parse_angle};
use coldwright_job::{Edit, Stands, SteppedLid, Wall, WallEdit, lid_opening};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, degrees, rounded};
use crate::parts::{by, fact, group_with, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::outline::wall_edit;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    // Only a lid can be one; what is one already can always be made plain again.
    if wall.stands != Stands::Lid && wall.lid.is_none() {
        return;
    }
    let word = if wall.lid.is_some() { "Make it plain" } else { "Make it stepped" };
    let change = group_with(ui, "A plug in steps", word);
    let Some(lid) = &wall.lid else {
        hint(
            ui,
            "Each layer rests on a ledge of the opening. The outline is then the opening at the counter's top.",
        );
        if change {
            let mm = |v: i64| Length::from_micrometres(v * 1000);
            let mut ledges = vec![Length::default()];
            ledges.resize(wall.layers.len(), mm(20));
            let fresh = SteppedLid { ledges, draft_deg: 2.0, clearance: mm(3) };
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Lid(Some(fresh))), None));
        }
        return;
    };
    if change {
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Lid(None)), None));
    }
    let with = |change: &dyn Fn(&mut SteppedLid)| -> Edit {
        let mut next = lid.clone();
        next.ledges.resize(wall.layers.len(), Length::default());
        change(&mut next);
        wall_edit(wall, WallEdit::Lid(Some(next)))
    };
    hint(ui, "Each ledge is so wide");
    for number in 1..=wall.layers.len() {
        let above = if number == 1 { "the rim".into() } else { format!("layer {}", number - 1) };
        let name = format!("Ledge under {above}");
        row(ui, &format!("Under {above}"), |ui| {
            let key = Id::unique(("ledge", wall.id, number));
            let bound = Bound { job: shown.job, key, name: &name, hint: "", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(lid.ledge(number)), queue, |l| {
                l.map(|l| {
                    with(&|n| {
                        if let Some(ledge) = n.ledges.get_mut(number - 1) {
                            *ledge = l;
                        }
                    })
                })
            });
        });
    }
    row(ui, "Sides lean in", |ui| {
        let key = Id::unique(("draft", wall.id));
        let bound = Bound { job: shown.job, key, name: "Draft of the lid", hint: "", width: value_width(ui) };
        let read = |text: &str| {
            let d = parse_angle(text).map_err(|e| e.to_string())?.to_degrees();
            let echo = Some(format!("{} narrower downwards", degrees(d)));
            Ok(Read { value: with(&|n| n.draft_deg = d), echo })
        };
        bound.run(ui, &mut view.drafts, rounded(lid.draft_deg, 6, "°"), queue, read);
    });
    row(ui, "Gasket all round", |ui| {
        let key = Id::unique(("gasket", wall.id));
        let bound =
            Bound { job: shown.job, key, name: "Room for the gasket", hint: "", width: value_width(ui) };
        bound.length(ui, &mut view.drafts, Some(lid.clearance), queue, |l| {
            l.map(|l| with(&|n| n.clearance = l))
        });
    });
    let Some(outline) = shown.wall_plan(view).and_then(|w| w.outline.clone()) else { return };
    hint(ui, "The opening that takes it, at the top of each layer");
    for (index, (wide, high)) in lid_opening(wall, &outline).into_iter().enumerate() {
        fact(ui, &format!("At layer {}", index + 1), &by(shown, wide, high));
    }
}
