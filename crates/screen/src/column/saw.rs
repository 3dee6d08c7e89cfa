//! The saw and the room pieces keep on a sheet.

use coldwright_geometry::Length;
use coldwright_job::{Cutting, Edit};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, notes};
use crate::parts::{group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

type Put = fn(&mut Cutting, Length);

/// A row with a length of the saw: label, name, what it is, how it is put.
type Row = (&'static str, &'static str, Length, Put);

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let cutting = shown.job.cutting;
    group(ui, "Saw");
    let kerf: Row = ("The blade takes", "Width of the cut", cutting.kerf, |c, l| c.kerf = l);
    let blade: Row = ("Width of the blade", "Width of the blade", cutting.blade, |c, l| c.blade = l);
    lengths(ui, shown, view, &[kerf, blade], queue);
    row(ui, "Blade to column", |ui| {
        let (key, name) = (Id::unique(("saw", "throat")), "From blade to column");
        let bound = Bound { job: shown.job, key, name, hint: "nothing in the way", width: value_width(ui) };
        bound.length(ui, &mut view.drafts, cutting.throat, queue, |throat| {
            Some(Edit::SetCutting(Cutting { throat, ..cutting }))
        });
    });
    row(ui, "Table tilts down", |ui| {
        let half = (value_width(ui) - 8.0) / 2.0;
        let (away, towards) = cutting.tilt;
        let ways = [
            ("Table tilts down away from the column", away, true),
            ("Table tilts down towards the column", towards, false),
        ];
        ui.spacing_mut().item_spacing.x = 8.0;
        for (name, current, is_away) in ways {
            let key = Id::unique(("saw", name));
            let bound = Bound { job: shown.job, key, name, hint: "", width: half };
            bound.run(ui, &mut view.drafts, format!("{current}°"), queue, |text| {
                let degrees = whole(text, "°", 75, "degrees")?;
                let tilt = if is_away { (degrees, towards) } else { (away, degrees) };
                Ok(Read { value: Edit::SetCutting(Cutting { tilt, ..cutting }), echo: None })
            });
        }
    });
    notes(ui, &mut view.drafts);
    hint(
        ui,
        "First away from the column, then towards it. Tilted away, a piece between blade and column comes out larger below.",
    );

    group(ui, "On the sheet");
    let apart: Row = ("Pieces apart", "Distance between pieces", cutting.apart, |c, l| c.apart = l);
    let margin: Row = ("Sheet's edge kept", "Margin of the sheet", cutting.margin, |c, l| c.margin = l);
    lengths(ui, shown, view, &[apart, margin], queue);
    let spare = format!("{} %", cutting.spare);
    number(ui, shown, view, ("Spare foam", "Spare foam, per cent"), spare, queue, &|text| {
        let spare = whole(text, "%", 100, "per cent")?;
        Ok(Cutting { spare, ..cutting })
    });

    group(ui, "Seams keep away");
    super::seams::distances(ui, shown, view, queue);

    group(ui, "Filling and corners");
    let can = format!("{} litres", cutting.can_litres);
    number(ui, shown, view, ("A can gives", "Litres of set foam from a can"), can, queue, &|text| {
        let can_litres = whole(text, "litres", 10_000, "litres")?;
        Ok(Cutting { can_litres, ..cutting })
    });
    let fillet: Row = ("Corners rounded to", "Radius of the fillet", cutting.fillet, |c, l| c.fillet = l);
    lengths(ui, shown, view, &[fillet], queue);
}

fn lengths(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, rows: &[Row], queue: &mut Vec<Action>) {
    for &(label, name, current, put) in rows {
        row(ui, label, |ui| {
            let key = Id::unique(("saw", name));
            let bound = Bound { job: shown.job, key, name, hint: "", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(current), queue, |l| {
                let mut next = shown.job.cutting;
                put(&mut next, l?);
                Some(Edit::SetCutting(next))
            });
        });
    }
}

fn number(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut View,
    (label, name): (&str, &str),
    current: String,
    queue: &mut Vec<Action>,
    read: &dyn Fn(&str) -> Result<Cutting, String>,
) {
    row(ui, label, |ui| {
        let key = Id::unique(("saw", name));
        let bound = Bound { job: shown.job, key, name, hint: "", width: value_width(ui) };
        bound.run(ui, &mut view.drafts, current, queue, |text| {
            Ok(Read { value: Edit::SetCutting(read(text)?), echo: None })
        });
    });
}

/// A whole number, with or without its unit.
fn whole<T: TryFrom<u32>>(text: &str, unit: &str, most: u32, said: &str) -> Result<T, String> {
    let number = text.trim();
    let number = number.strip_suffix(unit).unwrap_or(number);
    let number = number.strip_suffix(said).unwrap_or(number).trim();
    let refused = || format!("give a whole number of {said} from 0 to {most}");
    let n = number.parse::<u32>().ok().filter(|n| *n <= most).ok_or_else(refused)?;
    T::try_from(n).map_err(|_| refused())
}

#[cfg(test)]
mod tests {
    use super::whole;

    #[test]
    fn numbers_are_read_with_and_without_their_unit() {
        assert_eq!(whole::<u8>(" 45 ", "°", 75, "degrees"), Ok(45));
        assert_eq!(whole::<u8>("45°", "°", 75, "degrees"), Ok(45));
        assert_eq!(whole::<u8>("45 degrees", "°", 75, "degrees"), Ok(45));
        assert_eq!(whole::<u32>("40 litres", "litres", 10_000, "litres"), Ok(40));
        assert!(whole::<u8>("80", "°", 75, "degrees").is_err_and(|e| e.contains("from 0 to 75")));
        assert!(whole::<u8>("a few", "°", 75, "degrees").is_err());
    }
}
