//! The liner panel of a wall: its sheet, its bond line, the fillet, and what it meets at each edge.

use coldwright_geometry::Length;
use coldwright_job::{Cutting, EdgeId, EdgeOf, Edit, Lining, LiningEdge, Wall, WallEdit};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::Bound;
use crate::parts::{button, fact, group_with, hint, mm, rest, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::layer_facts::{area, volume};
use super::outline::wall_edit;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let word = if wall.liner.is_some() { "Remove liner" } else { "Add liner" };
    let change = group_with(ui, "Liner on the box face", word);
    let Some(lining) = &wall.liner else {
        hint(ui, "A panel of another stock, cut square, glued on the last layer.");
        if change {
            let like = shown.job.walls.iter().find_map(|w| w.liner.as_ref());
            let fresh = like.map_or_else(Lining::default, |l| Lining { edges: Vec::new(), ..l.clone() });
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Liner(Some(fresh))), None));
        }
        return;
    };
    if change {
        queue.push(Action::Edit(wall_edit(wall, WallEdit::Liner(None)), None));
    }
    let with = |change: &dyn Fn(&mut Lining)| -> Edit {
        let mut next = lining.clone();
        change(&mut next);
        wall_edit(wall, WallEdit::Liner(Some(next)))
    };
    let job = shown.job;
    row(ui, "Sheet", |ui| {
        let key = Id::unique(("liner sheet", wall.id));
        let bound = Bound { job, key, name: "Thickness of the liner", hint: "", width: value_width(ui) };
        bound.length(ui, &mut view.drafts, Some(lining.sheet), queue, |l| l.map(|l| with(&|n| n.sheet = l)));
    });
    row(ui, "Made of", |ui| {
        let key = Id::unique(("liner material", wall.id));
        let bound = Bound { job, key, name: "Material of the liner", hint: "", width: value_width(ui) };
        bound.words(ui, &mut view.drafts, &lining.material, queue, |text| {
            with(&|n| n.material = text.trim().to_owned())
        });
    });
    row(ui, "Bond line", |ui| {
        let key = Id::unique(("liner bond", wall.id));
        let bound = Bound { job, key, name: "Bond line of the liner", hint: "", width: value_width(ui) };
        bound.length(ui, &mut view.drafts, Some(lining.bond), queue, |l| l.map(|l| with(&|n| n.bond = l)));
    });
    row(ui, "Fillet, every wall", |ui| {
        let key = Id::unique("liner fillet");
        let bound = Bound { job, key, name: "Radius of the fillet", hint: "radius", width: value_width(ui) };
        let edit = |fillet: Length| Edit::SetCutting(Cutting { fillet, ..job.cutting });
        bound.length(ui, &mut view.drafts, Some(job.cutting.fillet), queue, |l| l.map(edit));
    });
    if let Some(panel) = shown.wall_plan(view).and_then(|w| w.liner.clone()) {
        let clear: f64 = panel.clear.iter().map(coldwright_geometry::Ring::area).sum();
        fact(ui, "Flat left", &area(shown, clear));
        fact(ui, "Fillets", &format!("{}, {}", mm(shown, panel.fillet_length), volume(shown, panel.filler)));
    }
    hint(ui, "At each edge, another click changes it.");
    for edge in &wall.template.edges {
        row(ui, &edge.name, |ui| {
            if rest(ui, words(shown, wall, lining, edge.id), true)
                .accessible_name(format!("The liner at {}", edge.name))
                .clicked()
            {
                let next = match lining.said(edge.id) {
                    None => Some(LiningEdge::StopsShort),
                    Some(LiningEdge::StopsShort) => Some(LiningEdge::RunsPast),
                    Some(LiningEdge::RunsPast) => Some(LiningEdge::Free),
                    Some(LiningEdge::Free) => None,
                };
                let edit = with(&|n| {
                    n.edges.retain(|e| e.0 != edge.id);
                    n.edges.extend(next.map(|meets| (edge.id, meets)));
                });
                queue.push(Action::Edit(edit, None));
            }
        });
    }
    let others = || shown.job.walls.iter().filter(|w| w.id != wall.id);
    if others().next().is_some()
        && button(ui, "Line every wall like this", false)
            .on_hover_text("The same sheet and bond line on every wall of the job.")
            .clicked()
    {
        let gesture = view.new_gesture();
        for other in others() {
            let edges = other.liner.as_ref().map(|l| l.edges.clone()).unwrap_or_default();
            let like = Lining { edges, ..lining.clone() };
            queue.push(Action::Edit(wall_edit(other, WallEdit::Liner(Some(like))), Some(gesture)));
        }
        queue.push(Action::EndGesture);
    }
}

/// What the panel does at an edge.
fn words(shown: &Shown<'_>, wall: &Wall, lining: &Lining, edge: EdgeId) -> &'static str {
    match lining.said(edge) {
        Some(LiningEdge::StopsShort) => "stops short",
        Some(LiningEdge::RunsPast) => "runs past",
        Some(LiningEdge::Free) => "free: a rim",
        None if shown.job.joint_at(EdgeOf { wall: wall.id, edge }).is_some() => "as the corner says",
        None => "stops short, as usual",
    }
}
