//! The pieces: the opening, the seams of the layer shown, and every piece in the order it goes in.

use coldwright_job::{Edit, Passes, PieceId, PlannedPiece};
use egui::{Color32, Sense, Stroke, Ui, Vec2, WidgetInfo};

use crate::actions::Action;
use crate::parts::{NONE, big, button_if, group, heading, hint, mm};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH, words};
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &format!("Pieces of {}", shown.job.name));
    count(ui, shown);
    super::opening::show(ui, shown, view, queue);
    super::seams::show(ui, shown, view, queue);
    order(ui, shown, view, queue);
}

fn count(ui: &mut Ui, shown: &Shown<'_>) {
    let pieces = &shown.plan.pieces;
    let count = match pieces.len() {
        0 => NONE.to_owned(),
        1 => "1 piece".to_owned(),
        n => format!("{n} pieces"),
    };
    let not = pieces.iter().filter(|p| p.passes.is_some_and(|p| !p.is_through())).count();
    let told = pieces.iter().filter(|p| p.passes.is_some()).count();
    let said = match (pieces.len(), told, not) {
        (0, ..) => "they follow from the layers".to_owned(),
        (_, 0, _) => "to cut".to_owned(),
        (_, _, 0) => "to cut; all of them pass the opening".to_owned(),
        (_, _, 1) => "to cut; 1 does not surely pass the opening".to_owned(),
        (_, _, n) => format!("to cut; {n} do not surely pass the opening"),
    };
    big(ui, &count, &said);
}

fn order(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "They go in, in this order");
    let pieces = shown.plan.fitting_order();
    let ids: Vec<PieceId> = pieces.iter().map(|p| p.id).collect();
    let at = view.piece.and_then(|id| ids.iter().position(|i| *i == id));
    let current = shown.plan_is_current;
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        let swap = |a: usize, b: usize| {
            let mut next = ids.clone();
            next.swap(a, b);
            Action::Edit(Edit::SetOrder(next), None)
        };
        if button_if(ui, "Move up", false, current && at.is_some_and(|at| at > 0)).clicked()
            && let Some(at) = at
        {
            queue.push(swap(at - 1, at));
        }
        let later = at.is_some_and(|at| at + 1 < ids.len());
        if button_if(ui, "Move down", false, current && later).clicked()
            && let Some(at) = at
        {
            queue.push(swap(at, at + 1));
        }
        let changed = !shown.job.order.is_empty();
        let back = button_if(ui, "As worked out", false, changed);
        if back.on_hover_text("Go back to the order that was worked out.").clicked() {
            queue.push(Action::Edit(Edit::SetOrder(Vec::new()), None));
        }
    });
    if pieces.is_empty() {
        hint(ui, "No pieces yet: close an outline and give its layers.");
    }
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        for (turn, piece) in pieces.iter().enumerate() {
            let here = view.piece == Some(piece.id);
            if line(ui, shown, turn, piece, here) {
                view.select_piece(piece.id);
                view.wall = Some(piece.id.wall);
                view.layer = (piece.id.layer as usize).saturating_sub(1);
            }
        }
    });
}

/// Whether a piece passes, in a few words, with their colour.
fn passes(shown: &Shown<'_>, p: &Palette, passes: Option<Passes>) -> (String, Color32) {
    match passes {
        None => (String::new(), p.quiet),
        Some(passes @ Passes::Through { .. }) => {
            let spare = passes.spare(shown.job);
            (spare.map_or_else(|| "just passes".to_owned(), |spare| format!("passes, {spare} spare")), p.good)
        }
        Some(Passes::NoRoom { needs }) => (format!("no room: needs {}", mm(shown, needs)), p.look),
        Some(Passes::MayThread { short }) => (format!("try it: {} too wide", mm(shown, short)), p.look),
        Some(Passes::Stuck { short }) => (format!("stuck: {} too wide", mm(shown, short)), p.stop),
    }
}

fn line(ui: &mut Ui, shown: &Shown<'_>, turn: usize, piece: &PlannedPiece, here: bool) -> bool {
    let p = Palette::at(ui);
    let (rect, response) = ui
        .push_id(("piece", piece.id), |ui| {
            ui.allocate_exact_size(Vec2::new(ui.available_width(), TOUCH), Sense::click())
        })
        .inner;
    let (word, colour) = passes(shown, &p, piece.passes);
    let says = if word.is_empty() { piece.mark.clone() } else { format!("{}: {word}", piece.mark) };
    response.widget_info(|| {
        WidgetInfo::selected(egui::Role::Button, true, here, format!("{}. {says}", turn + 1))
    });
    let painter = ui.painter_at(rect);
    if here {
        painter.rect_filled(rect, 2.0, ui.visuals().selection.bg_fill);
    }
    if here || response.hovered() || response.has_focus() {
        painter.rect_stroke(rect, 2.0, Stroke::new(1.5, p.hand), egui::StrokeKind::Inside);
    }
    let middle = rect.center().y;
    let number = egui::pos2(rect.min.x + 26.0, middle);
    painter.text(number, egui::Align2::RIGHT_CENTER, (turn + 1).to_string(), words(), p.quiet);
    let word = painter.layout_no_wrap(word, words(), colour);
    let end = rect.max.x - 8.0 - word.size().x;
    let mut job = egui::text::LayoutJob::simple_singleline(piece.mark.clone(), words(), p.ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width((end - number.x - 16.0).max(24.0));
    let mark = painter.layout_job(job);
    painter.galley(egui::pos2(number.x + 8.0, middle - mark.size().y / 2.0), mark, p.ink);
    painter.galley(egui::pos2(end, middle - word.size().y / 2.0), word, colour);
    response.on_hover_text(says).clicked()
}
