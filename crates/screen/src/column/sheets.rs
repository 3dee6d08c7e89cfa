//! The sheets: the answer, the wish to lay out, what is owned and on sale, the saw, and what to buy.

use coldwright_job::{Edit, KeptLayout, LaidOut, PieceId, Purchase, Quantity, Step, Units, purchases};
use egui::{Label, RichText, Ui};

use crate::actions::Action;
use crate::parts::{NONE, big, button_if, by, choice, fact, group, heading, hint, mm};
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
    let (words, colour) = if laid.is_sound() {
        let (words, enough) = verdict(shown, laid);
        (words, if enough { p.good } else { p.look })
    } else {
        ("Out of date: lay the pieces out again.".to_owned(), p.look)
    };
    ui.add(Label::new(RichText::new(words).color(colour)).wrap());
}

/// Enough, what to buy, or short, in words; and whether nothing is wanting.
fn verdict(shown: &Shown<'_>, laid: &LaidOut) -> (String, bool) {
    let lost = laid.layout.left.len() + laid.asked.without.len();
    if lost > 0 {
        let pieces = if lost == 1 { "1 piece lies" } else { &format!("{lost} pieces lie") };
        return (format!("Short: {pieces} on no sheet. Add sheets, or sheets that can be bought."), false);
    }
    let kinds = || shown.job.stock.iter().zip(laid.used());
    let buy: Vec<String> = kinds()
        .filter(|(s, used)| s.owned.is_none() && *used > 0)
        .map(|(s, used)| format!("{used} of {}", s.name))
        .collect();
    if !buy.is_empty() {
        return (format!("Buy {}.", buy.join(", ")), true);
    }
    let used: u32 = kinds().map(|(_, used)| used).sum();
    let owned: u32 = kinds().filter_map(|(s, _)| s.owned).sum();
    (format!("Enough: {used} of the {owned} sheets you have."), true)
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
            queue.push(Action::Cancel);
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
    ui.add_enabled_ui(place.is_some(), |ui| {
        if choice(ui, locked, "Hold it in this place").clicked()
            && let Some(kept) = kept
        {
            queue.push(Action::Edit(held(kept, piece.id, !locked), None));
        }
    });
}

/// The layout with one piece held or let go.
fn held(kept: &KeptLayout, piece: PieceId, locked: bool) -> Edit {
    let mut kept = kept.clone();
    for place in kept.places.iter_mut().filter(|p| p.piece == piece) {
        place.locked = locked;
    }
    Edit::KeepLayout(Some(kept))
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
                    let words = crate::parts::number(ui, &amount(shown.job.units, one), false);
                    ui.label(words);
                });
            });
            hint(ui, &coldwright_job::sentence_case(&one.because));
        });
        ui.add_space(4.0);
    }
}

/// An amount in the unit a person of that job buys by; feet and inches are rounded up like the amount was.
fn amount(units: Units, one: &Purchase) -> String {
    let up = |v: f64, step: f64, decimals: usize, unit: &str| {
        format!("{:.decimals$} {unit}", (v / step - 1e-9).ceil() * step)
    };
    let v = one.amount;
    match (units, one.unit) {
        (_, Quantity::Pieces) => format!("{v:.0}"),
        (Units::Millimetres, Quantity::Metres) => up(v, 1.0, 0, "m"),
        (Units::Millimetres, Quantity::SquareMetres) => up(v, 0.1, 1, "m²"),
        (Units::Millimetres, Quantity::Litres) if v < 1.0 => up(v, 0.01, 2, "litres"),
        (Units::Millimetres, Quantity::Litres) => up(v, 0.1, 1, "litres"),
        (Units::Inches, Quantity::Metres) => up(v / 0.3048, 1.0, 0, "ft"),
        (Units::Inches, Quantity::SquareMetres) => up(v / (0.3048 * 0.3048), 1.0, 0, "sq ft"),
        (Units::Inches, Quantity::Litres) if v < 2.8 => up(v / 0.016_387_064, 1.0, 0, "cu in"),
        (Units::Inches, Quantity::Litres) => up(v / 28.316_846_592, 0.1, 1, "cu ft"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_said_in_the_units_of_the_job() {
        let of = |amount, unit| Purchase { what: String::new(), amount, unit, because: String::new() };
        for (units, amount_of, said) in [
            (Units::Millimetres, of(2.0, Quantity::Pieces), "2"),
            (Units::Millimetres, of(14.0, Quantity::Metres), "14 m"),
            (Units::Millimetres, of(0.17, Quantity::Litres), "0.17 litres"),
            // 14 m are 45.93 ft; 1 m² is 10.76 sq ft; 28.317 litres are a cubic foot (exact definitions of 1959).
            (Units::Inches, of(14.0, Quantity::Metres), "46 ft"),
            (Units::Inches, of(1.0, Quantity::SquareMetres), "11 sq ft"),
            (Units::Inches, of(28.4, Quantity::Litres), "1.1 cu ft"),
        ] {
            assert_eq!(amount(units, &amount_of), said);
        }
    }
}
