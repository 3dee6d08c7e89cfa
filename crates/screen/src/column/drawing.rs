//! A drawing file that is asked about: its unit, and which of its outlines is the wall's.

use coldwright_job::drawn_units;
use egui::{RichText, Ui, Vec2};

use crate::actions::Action;
use crate::drawing_board::MOST;
use crate::parts::{NONE, big, button, button_if, by, choice, group, heading, hint};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH};
use crate::view::View;

/// Units in the order they are offered, as the document's table calls them and as they are said.
const UNITS: [(&str, &str); 8] = [
    ("mm", "mm"),
    ("cm", "cm"),
    ("m", "m"),
    ("in", "inches"),
    ("ft", "feet"),
    ("1/96in", "1/96 inch"),
    ("1/90in", "1/90 inch"),
    ("1/72in", "1/72 inch"),
];

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let Some(mut asked) = view.drawing.take() else { return };
    heading(ui, &asked.file.name);
    let size = asked.size(asked.outline).map_or(NONE.to_owned(), |(wide, high)| by(shown, wide, high));
    big(ui, &size, "the outline chosen, wide and high");
    if asked.file.unit_mm.is_none() {
        group(ui, "The file does not say its unit. Its numbers are");
        let units = drawn_units();
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
            for (name, label) in UNITS {
                let Some(mm) = units.get(name).copied() else { continue };
                if choice(ui, asked.unit_mm == Some(mm), label).clicked() {
                    asked.unit_mm = Some(mm);
                }
            }
        });
        hint(ui, "The size above, or on the board, tells whether it is right.");
    }
    if asked.file.outlines.len() > 1 {
        group(ui, "Its outlines, the largest first");
        let p = Palette::at(ui);
        for (index, outline) in asked.file.outlines.iter().enumerate().take(MOST) {
            let (wide, high) = asked.size(index).unwrap_or_else(|| asked.file.size_mm(index, 1.0));
            let size = if asked.unit_mm.is_some() {
                by(shown, wide, high)
            } else {
                format!("{wide:.0} × {high:.0}")
            };
            let here = index == asked.outline;
            let layer = if outline.layer.is_empty() { "no layer" } else { &outline.layer };
            let text =
                RichText::new(format!("{}  {layer}", index + 1)).color(if here { p.hand } else { p.ink });
            let row = egui::Button::selectable(here, text)
                .frame_when_inactive(true)
                .right_text(RichText::new(size).color(p.quiet))
                .truncate()
                .min_size(Vec2::new(ui.available_width(), TOUCH));
            if ui.add(row).clicked() {
                asked.outline = index;
            }
        }
        hint(ui, "Or click one on the board.");
    }
    group(ui, "");
    let bare = asked.wall.and_then(|id| shown.job.wall(id));
    let bare = bare.filter(|w| w.template.ticks.is_empty() && w.template.sightings.is_none());
    hint(
        ui,
        &bare.map_or("It becomes the template of a new wall.".to_owned(), |w| {
            format!("It becomes the template of {}.", w.name)
        }),
    );
    let (mut take, mut leave) = (false, false);
    ui.horizontal(|ui| {
        take = button_if(ui, "Take this outline", true, asked.unit_mm.is_some()).clicked();
        leave = button(ui, "Leave the drawing", false).clicked();
    });
    if let Some(unit_mm) = asked.unit_mm.filter(|_| take) {
        queue.push(Action::TakeDrawing {
            wall: asked.wall,
            file: asked.file.clone(),
            outline: asked.outline,
            unit_mm,
        });
    }
    if !take && !leave {
        view.drawing = Some(asked);
    }
}
