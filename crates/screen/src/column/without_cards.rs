//! A photo without cards: a rectangle of known size with its two diagonals, or two points for a sketch.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Wall, WallEdit, apply};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::asked_clicks::AskedClicks;
use crate::edit_box::{EditBox, Read, exactly};
use crate::parts::{button, button_if, group, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

use super::outline::wall_edit;

/// Lengths of the rectangle that are typed before its corners are clicked, and of the sketch.
#[derive(Debug, Default)]
pub(crate) struct Typed {
    sizes: [Option<Length>; 4],
    apart: Option<Length>,
}

const SIZES: [(&str, &str); 4] = [
    ("Width", "Rectangle's width"),
    ("Height", "Rectangle's height"),
    ("Top left to bottom right", "Diagonal from top left to bottom right"),
    ("Top right to bottom left", "Diagonal from top right to bottom left"),
];

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let t = &wall.template;
    group(ui, "A rectangle of known size in the photo");
    hint(
        ui,
        "Best a large one, lying in the plane of the template: a sheet, a hatch, a frame of battens. Tape its sides and both diagonals.",
    );
    let known = t.rectangle;
    for (i, (label, name)) in SIZES.into_iter().enumerate() {
        let set = known.map(|r| [r.width, r.height, r.diagonals.0, r.diagonals.1][i]);
        let current = set.or(view.without_cards.sizes[i]);
        let taken = row(ui, label, |ui| length(ui, shown, ("rectangle", i), name, current, wall, view));
        let Some(taken) = taken else { continue };
        view.without_cards.sizes[i] = Some(taken);
        if let Some(mut r) = known {
            match i {
                0 => r.width = taken,
                1 => r.height = taken,
                2 => r.diagonals.0 = taken,
                _ => r.diagonals.1 = taken,
            }
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Rectangle(Some(r))), None));
        }
    }
    let mut sizes = [Length::default(); 4];
    let mut whole = true;
    for (i, size) in sizes.iter_mut().enumerate() {
        let set = known.map(|r| [r.width, r.height, r.diagonals.0, r.diagonals.1][i]);
        match set.or(view.without_cards.sizes[i]) {
            Some(length) => *size = length,
            None => whole = false,
        }
    }
    ui.horizontal_wrapped(|ui| {
        let word = if known.is_some() { "Click its corners again" } else { "Click its four corners" };
        if button_if(ui, word, known.is_none(), whole).clicked() {
            view.asked_clicks = Some(AskedClicks::Corners(sizes, Vec::new()));
        }
        if known.is_some() && button(ui, "Take it away", false).clicked() {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Rectangle(None)), None));
        }
    });
    if known.is_some() {
        return;
    }
    group(ui, "Or two points, for a sketch");
    hint(ui, "Good enough to think about, never to cut from: at 20° of tilt a metre is 59 mm wrong.");
    let current = t.sketch.map(|s| s.length).or(view.without_cards.apart);
    let taken = row(ui, "So far apart", |ui| {
        length(ui, shown, ("sketch", 0), "Distance of the sketch's two points", current, wall, view)
    });
    if let Some(taken) = taken {
        view.without_cards.apart = Some(taken);
        if let Some(mut sketch) = t.sketch {
            sketch.length = taken;
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Sketch(Some(sketch))), None));
        }
    }
    let apart = t.sketch.map(|s| s.length).or(view.without_cards.apart);
    ui.horizontal_wrapped(|ui| {
        if button_if(ui, "Click the two points", false, apart.is_some()).clicked()
            && let Some(apart) = apart
        {
            view.asked_clicks = Some(AskedClicks::Sketch(apart, None));
        }
        if t.sketch.is_some() && button(ui, "Take the sketch away", false).clicked() {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Sketch(None)), None));
        }
    });
}

/// A box for a length above nothing; what it is for need not be in the job yet.
fn length(
    ui: &mut Ui,
    shown: &Shown<'_>,
    key: (&str, usize),
    name: &str,
    current: Option<Length>,
    wall: &Wall,
    view: &mut View,
) -> Option<Length> {
    let units = shown.job.units;
    let boxed = EditBox {
        key: Id::unique((key, wall.id)),
        name,
        current: current.map(|l| exactly(units, l)).unwrap_or_default(),
        hint: "taped",
        width: value_width(ui),
        again: false,
    };
    let read = |text: &str| {
        let r = parse_length(text, units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
        if r.length.mm() <= 0.0 || r.length.mm() > 20_000.0 {
            return Err("give a length above 0, up to 20 m".to_owned());
        }
        Ok(Read { value: r.length, echo: Some(r.words) })
    };
    let known = wall.template.rectangle.filter(|_| key.0 == "rectangle");
    let accept = |l: &Length| {
        let Some(mut r) = known else { return Ok(()) };
        match key.1 {
            0 => r.width = *l,
            1 => r.height = *l,
            2 => r.diagonals.0 = *l,
            _ => r.diagonals.1 = *l,
        }
        let edit = wall_edit(wall, WallEdit::Rectangle(Some(r)));
        apply(shown.job, &edit).map(|_| ()).map_err(|e| e.to_string())
    };
    boxed.show(ui, &mut view.drafts, read, accept)
}
