//! The saw and the room pieces keep on a sheet.

use coldwright_geometry::Length;
use coldwright_job::{Cutting, Edit};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read};
use crate::parts::{group, row, value_width};
use crate::shown::Shown;
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "Saw and spacing");
    let cutting = shown.job.cutting;
    let with = |change: &dyn Fn(&mut Cutting)| -> Edit {
        let mut next = cutting;
        change(&mut next);
        Edit::SetCutting(next)
    };
    type Put = fn(&mut Cutting, Length);
    let lengths: [(&str, &str, Length, Put); 3] = [
        ("The blade takes", "Width of the cut", cutting.kerf, |c, l| c.kerf = l),
        ("Pieces apart", "Distance between pieces", cutting.apart, |c, l| c.apart = l),
        ("Sheet's edge kept", "Margin of the sheet", cutting.margin, |c, l| c.margin = l),
    ];
    for (label, name, current, put) in lengths {
        row(ui, label, |ui| {
            let key = Id::unique(("saw", name));
            let bound = Bound { job: shown.job, key, name, hint: "", width: value_width(ui) };
            bound.length(ui, &mut view.drafts, Some(current), queue, |l| l.map(|l| with(&|c| put(c, l))));
        });
    }
    row(ui, "Spare foam", |ui| {
        let key = Id::unique(("saw", "spare"));
        let bound =
            Bound { job: shown.job, key, name: "Spare foam, per cent", hint: "", width: value_width(ui) };
        bound.run(ui, &mut view.drafts, format!("{} %", cutting.spare), queue, |text| {
            let spare = per_cent(text)?;
            Ok(Read { value: with(&|c| c.spare = spare), echo: None })
        });
    });
}

/// Whole per cent.
fn per_cent(text: &str) -> Result<u8, String> {
    match text.trim().trim_end_matches('%').trim().parse::<u8>() {
        Ok(n) if n <= 100 => Ok(n),
        _ => Err("give a whole number of per cent from 0 to 100".to_owned()),
    }
}
