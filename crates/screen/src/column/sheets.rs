//! The sheets: the answer, the wish to lay out, what is owned and on sale, the saw, and what to buy.

use coldwright_job::{BreakDown, CUTTING_RULE, Edit, LaidOut, Step, enough, purchases};
use egui::{Id, Label, RichText, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read};
use crate::parts::{
    NONE, big, button_if, by, choice, fact, group, heading, hint, mm, rest, row, value_width,
};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &format!("Sheets of {}", shown.job.name));
    answer(ui, shown);
    lay_out(ui, shown, queue);
    selected(ui, shown, view, queue);
    super::stock::show(ui, shown, view, queue);
    super::saw::show(ui, shown, view, queue);
    to_buy(ui, shown);
    sawing(ui, shown, view);
}

/// How many sheets, and whether those there are will do.
fn answer(ui: &mut Ui, shown: &Shown<'_>) {
    let Some(laid) = shown.plan.laid.as_deref() else {
        let said = match shown.plan.pieces.len() {
            0 => "No pieces to lay out yet: they follow from the layers.".to_owned(),
            1 => "1 piece waits to be laid out.".to_owned(),
            n => format!("{n} pieces wait to be laid out."),
        };
        big(ui, NONE, &said);
        return;
    };
    let count = laid.layout.sheets.len();
    big(ui, &format!("{count} {}", if count == 1 { "sheet" } else { "sheets" }), "to cut from");
    let p = Palette::at(ui);
    if !laid.is_sound() {
        let words = "Out of date: lay the pieces out again.";
        ui.add(Label::new(RichText::new(words).color(p.look)).wrap());
        return;
    }
    for one in enough(shown.job, laid) {
        let sentence = coldwright_job::sentence_case(&one.words(shown.job));
        let colour = if one.is_enough() { p.good } else { p.look };
        ui.add(Label::new(RichText::new(sentence).color(colour)).wrap());
    }
    if !laid.asked.without.is_empty() {
        let n = laid.asked.without.len();
        let words = if n == 1 { "1 piece has no sheet" } else { &format!("{n} pieces have no sheet") };
        let words = format!("{words} of its foam on the list. Add one.");
        ui.add(Label::new(RichText::new(words).color(p.look)).wrap());
    }
}

fn lay_out(ui: &mut Ui, shown: &Shown<'_>, queue: &mut Vec<Action>) {
    let work = shown.busy.iter().find(|b| b.step == Step::Sheets);
    let can = !shown.plan.pieces.is_empty() && !shown.job.stock.is_empty() && shown.plan_is_current;
    let label = if shown.plan.laid.is_some() { "Lay out again" } else { "Lay out pieces" };
    ui.horizontal(|ui| {
        if button_if(ui, label, true, can && work.is_none()).clicked() {
            queue.push(Action::LayOut);
        }
        if button_if(ui, "Stop, keep the best", false, work.is_some()).clicked() {
            queue.push(Action::StopLaying);
        }
    });
    // Its line is always there, so that nothing below moves when the work begins and ends.
    let said = match work {
        Some(work) => format!("{}…", work.words),
        None if shown.job.stock.is_empty() => "List a sheet first: one you have or can buy.".to_owned(),
        None => "It looks for the fewest sheets for ten seconds.".to_owned(),
    };
    hint(ui, &said);
}

/// The piece selected on the board: how large it is, and whether it is held in its place.
fn selected(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some(piece) = view.piece.and_then(|id| shown.plan.piece(id)) else {
        group(ui, "Piece selected");
        hint(ui, "Click a piece on a sheet to see its size and to hold it in its place.");
        return;
    };
    group(ui, &format!("Piece {}", piece.mark));
    fact(ui, "Across and up", &size(shown, &piece.outline));
    fact(ui, "Thick", &mm(shown, piece.thickness));
    let kept = shown.job.layout.as_ref();
    let place = kept.and_then(|k| k.places.iter().find(|p| p.piece == piece.id));
    let locked = place.is_some_and(|p| p.locked);
    let movable = place.is_some() && shown.plan_is_current;
    row(ui, "Turned", |ui| {
        ui.add_enabled_ui(movable, |ui| {
            ui.spacing_mut().item_spacing.x = 8.0;
            let (name, width) = ("Turn of the piece on its sheet", value_width(ui) - 100.0);
            let bound = Bound { job: shown.job, key: Id::unique(name), name, hint: "", width };
            let degrees = place.map(|p| p.turn_deg).unwrap_or_default();
            let current = kept.map(|_| crate::edit_box::rounded(degrees, 2, "°")).unwrap_or_default();
            bound.run(ui, &mut view.drafts, current, queue, |text| {
                let radians = coldwright_geometry::parse_angle(text).map_err(|e| e.to_string())?;
                let kept = kept.ok_or_else(|| "lay the pieces out first".to_owned())?;
                let next = kept.turned(piece, radians.to_degrees());
                Ok(Read { value: Edit::KeepLayout(Some(next)), echo: None })
            });
            if rest(ui, "Quarter turn", movable).clicked()
                && let Some(kept) = kept
            {
                let next = kept.turned(piece, degrees + 90.0);
                queue.push(Action::Edit(Edit::KeepLayout(Some(next)), None));
            }
        });
    });
    ui.add_enabled_ui(movable, |ui| {
        if choice(ui, locked, "Hold it in this place").clicked()
            && let Some(kept) = kept
        {
            queue.push(Action::Edit(Edit::KeepLayout(Some(kept.held(piece.id, !locked))), None));
        }
    });
    hint(ui, "A piece moved or turned by hand is held there: the next search lays the others round it.");
}

/// The order at the saw, and the straight cuts before it.
fn sawing(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let order = shown.plan.cutting_order();
    if order.is_empty() {
        return;
    }
    group(ui, "Saw in this order");
    hint(ui, CUTTING_RULE);
    let p = Palette::at(ui);
    let laid = shown.plan.laid.as_deref().filter(|l| l.is_sound());
    if let Some(said) = laid.and_then(|l| broken_down(shown, l)) {
        hint(ui, &said);
    }
    ui.scope(|ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        for (turn, piece) in order.iter().enumerate() {
            let here = view.piece == Some(piece.id);
            let said = format!("{}. {}", turn + 1, piece.mark);
            let text = RichText::new(said).color(if here { p.hand } else { p.ink });
            let button = egui::Button::selectable(here, text).truncate();
            let chosen =
                ui.push_id(("sawn", piece.id), |ui| ui.add_sized([ui.available_width(), 24.0], button));
            if chosen.inner.clicked() {
                view.select_piece(piece.id);
            }
        }
    });
}

/// What the straight cuts on the board are, in a sentence; nothing where none are needed.
fn broken_down(shown: &Shown<'_>, laid: &LaidOut) -> Option<String> {
    let throat = shown.job.cutting.throat?;
    let count = |is: fn(&BreakDown) -> bool| laid.break_downs.iter().filter(|b| is(b)).count();
    let cuts: usize =
        laid.break_downs.iter().map(|b| if let BreakDown::Cuts(c) = b { c.len() } else { 0 }).sum();
    let own = count(|b| *b == BreakDown::OwnShape);
    let no_way = count(|b| *b == BreakDown::NoWay);
    let mut said = Vec::new();
    if cuts > 0 {
        let first = if cuts == 1 { "the numbered line" } else { "the numbered lines, in their order" };
        said.push(format!(
            "First saw right across along {first}: then every part goes by {} to the column.",
            shown.job.show(throat)
        ));
    }
    if no_way > 0 {
        said.push(format!(
            "{no_way} of the sheets cannot be brought to {} by straight cuts.",
            shown.job.show(throat)
        ));
    }
    if own > 0 {
        said.push(format!("No cuts are worked out for {own} of a shape of its own."));
    }
    if said.is_empty() {
        Some("Every sheet goes by the saw's column as it is.".to_owned())
    } else {
        Some(said.join(" "))
    }
}

/// Width and height of an outline.
pub(crate) fn size(shown: &Shown<'_>, outline: &[kurbo::Point]) -> String {
    if outline.is_empty() {
        return NONE.to_owned();
    }
    let all = coldwright_geometry::bounds(outline);
    by(shown, all.width(), all.height())
}

fn to_buy(ui: &mut Ui, shown: &Shown<'_>) {
    let list = purchases(shown.job, shown.plan);
    group(ui, "To buy");
    if list.is_empty() {
        hint(ui, "Nothing yet: the list follows from the layers and the sheets laid out.");
    }
    let p = Palette::at(ui);
    for one in &list {
        ui.scope(|ui| {
            ui.spacing_mut().item_spacing.y = 0.0;
            ui.horizontal_top(|ui| {
                ui.allocate_ui(egui::vec2(200.0, 20.0), |ui| {
                    ui.set_width(200.0);
                    ui.add(Label::new(RichText::new(&one.what).color(p.ink)).wrap());
                });
                ui.with_layout(egui::Layout::right_to_left(egui::Align::Min), |ui| {
                    let words = crate::parts::number(ui, &one.amount_words(shown.job.units), false);
                    ui.label(words);
                });
            });
            hint(ui, &coldwright_job::sentence_case(&one.because));
        });
        ui.add_space(4.0);
    }
}
