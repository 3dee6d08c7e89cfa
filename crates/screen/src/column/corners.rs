//! The corners of an off-cut of a shape of its own, typed across and up, and a drawing of them.

use coldwright_geometry::{Length, Writing, bounds, parse_length};
use coldwright_job::{Edit, SheetShape};
use egui::{Id, RichText, Sense, Stroke, Ui, Vec2, pos2};
use kurbo::Point;

use crate::actions::Action;
use crate::edit_box::{Bound, Read, exactly, notes};
use crate::parts::{button, button_if, hint};
use crate::shown::Shown;
use crate::theme::{Palette, TOUCH, words};
use crate::view::View;

const NUMBER: f32 = 20.0;
/// Height of the drawing, points.
const HIGH: f32 = 120.0;

pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    sheet: usize,
    ring: &[Point],
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    hint(ui, "Corners in order round it, across and up from any one place.");
    drawing(ui, ring);
    let with = |ring: Vec<Point>| -> Edit {
        let mut stock = shown.job.stock.clone();
        stock.iter_mut().skip(sheet).take(1).for_each(|s| s.shape = SheetShape::Outline(ring.clone()));
        Edit::SetStock(stock)
    };
    let half = (ui.available_width() - NUMBER - 16.0) / 2.0;
    for (i, corner) in ring.iter().enumerate() {
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = 8.0;
            let number = RichText::new((i + 1).to_string()).color(Palette::at(ui).quiet);
            ui.add_sized([NUMBER, TOUCH], egui::Label::new(number));
            for across in [true, false] {
                let name = format!("Corner {} {}", i + 1, if across { "across" } else { "up" });
                let bound = Bound {
                    job: shown.job,
                    key: Id::unique(("corner", sheet, i, across)),
                    name: &name,
                    hint: "",
                    width: half,
                };
                let mm = if across { corner.x } else { corner.y };
                let current =
                    Length::from_mm(mm).map_or_else(|_| mm.to_string(), |l| exactly(shown.job.units, l));
                bound.run(ui, &mut view.drafts, current, queue, |text| {
                    let read = parse_length(text, shown.job.units.bare(), Writing::Plain)
                        .map_err(|e| e.to_string())?;
                    let mut next = ring.to_vec();
                    if let Some(q) = next.get_mut(i) {
                        *(if across { &mut q.x } else { &mut q.y }) = read.length.mm();
                    }
                    Ok(Read { value: with(next), echo: Some(read.words) })
                });
            }
        });
        notes(ui, &mut view.drafts);
    }
    let name = "All corners, across; up / across; up";
    let bound = Bound {
        job: shown.job,
        key: Id::unique(("all corners", sheet)),
        name,
        hint: "0; 0 / 800; 0 / 800; 450",
        width: ui.available_width(),
    };
    let said = |q: &Point| {
        let one =
            |mm: f64| Length::from_mm(mm).map_or_else(|_| mm.to_string(), |l| exactly(shown.job.units, l));
        format!("{}; {}", one(q.x), one(q.y))
    };
    let current = ring.iter().map(said).collect::<Vec<_>>().join(" / ");
    bound.run(ui, &mut view.drafts, current, queue, |text| {
        let corners = text.split('/').map(str::trim).filter(|t| !t.is_empty()).enumerate();
        let corners = corners.map(|(i, pair)| {
            super::typed::read_pair(pair, shown)
                .map(|r| r.value)
                .map_err(|e| format!("corner {}: {e}", i + 1))
        });
        Ok(Read { value: with(corners.collect::<Result<_, _>>()?), echo: None })
    });
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 4.0;
        if button(ui, "Add corner", false).clicked()
            && let (Some(first), Some(last)) = (ring.first(), ring.last())
        {
            // Half way back to the first: on the outline, so that nothing changes until it is typed over.
            let mut next = ring.to_vec();
            next.push(last.midpoint(*first));
            queue.push(Action::Edit(with(next), None));
        }
        if button_if(ui, "Remove the last corner", false, ring.len() > 3).clicked() {
            queue.push(Action::Edit(with(ring[..ring.len() - 1].to_vec()), None));
        }
    });
}

/// The outline to scale with its corners numbered.
fn drawing(ui: &mut Ui, ring: &[Point]) {
    let p = Palette::at(ui);
    let (rect, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), HIGH), Sense::hover());
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 2.0, p.board);
    let (all, room) = (bounds(ring), rect.shrink(20.0));
    let scale = (f64::from(room.width()) / all.width().max(1.0))
        .min(f64::from(room.height()) / all.height().max(1.0));
    let put = |q: &Point| {
        let d = (*q - all.center()) * scale;
        pos2(room.center().x + d.x as f32, room.center().y - d.y as f32)
    };
    let points: Vec<egui::Pos2> = ring.iter().map(put).collect();
    let middle = room.center();
    painter.add(egui::Shape::closed_line(points.clone(), Stroke::new(1.5, p.ink)));
    for (i, at) in points.into_iter().enumerate() {
        let out = (at - middle).normalized() * 10.0;
        painter.text(at + out, egui::Align2::CENTER_CENTER, (i + 1).to_string(), words(), p.quiet);
    }
}
