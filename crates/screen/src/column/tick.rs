//! One tick: where it is, how high the stick lay, whether it is a corner.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Edit, Height, PhotoId, Place, TickId, Wall, WallEdit};
use egui::{Id, Ui};

use crate::actions::{Action, Command};
use crate::asked_clicks::AskedClicks;
use crate::edit_box::{Bound, Read, exactly};
use crate::keys::{corner_word, is_corner};
use crate::parts::{
    CORNER, NONE, button_if, choice, command, fact, group, heading_with, hint, mm, row, small_mm,
    value_width, wide_button,
};
use crate::shown::Shown;
use crate::view::{Selected, View};

use super::edge::numbers;
use super::outline::{laps, wall_edit};

pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    id: TickId,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let Some(tick) = wall.template.tick(id) else { return };
    if heading_with(ui, &format!("Tick {}", numbers(shown, wall, view)(id)), "All edges") {
        view.selected = Selected::Step;
    }
    let corner = is_corner(wall, id);
    let placed = shown.wall_plan(view).and_then(|plan| plan.ticks.iter().find(|t| t.id == id).cloned());
    let said = |value: Option<String>| value.unwrap_or(NONE.to_owned());
    fact(ui, "From the left", &said(placed.as_ref().map(|t| mm(shown, t.wall.x))));
    fact(ui, "From the bottom", &said(placed.as_ref().map(|t| mm(shown, t.wall.y))));
    let known = placed.as_ref().map(|t| format!("± {}", small_mm(1.96 * t.spread.ellipse().0)));
    fact(ui, "Sure to", &said(known));
    match &tick.place {
        Place::Pixel { photo, px, height } => {
            group(ui, "Height of the stick there");
            let to = |height| Place::Pixel { photo: *photo, px: *px, height };
            if let Some(height) = laps(ui, *height) {
                view.height = height;
                queue.push(Action::Edit(wall_edit(wall, WallEdit::MoveTick(id, to(height))), None));
            }
            seen_again(ui, shown, wall, id, *photo, view, queue);
            let current = match height {
                Height::Stated(l) => Some(*l),
                Height::Laps(_) => None,
            };
            row(ui, "Or so high", |ui| {
                let key = Id::unique(("height", id));
                let bound = Bound {
                    job: shown.job,
                    key,
                    name: "Height of this tick",
                    hint: "above the floor",
                    width: value_width(ui),
                };
                bound.length(ui, &mut view.drafts, current, queue, |l| {
                    l.map(|l| wall_edit(wall, WallEdit::MoveTick(id, to(Height::Stated(l)))))
                });
            });
        }
        Place::Typed { at, sd } => {
            group(ui, "Measured");
            for across in [true, false] {
                let label = if across { "Across" } else { "Up" };
                row(ui, label, |ui| {
                    coordinate(ui, shown, wall, id, (*at, *sd), across, value_width(ui), view, queue);
                });
            }
            row(ui, "Sure to ±", |ui| sure(ui, shown, wall, id, (*at, *sd), view, queue));
        }
        Place::Taped { point } => {
            group(ui, "Measured");
            fact(ui, "In the table", point);
            hint(ui, "It moves with the table's numbers: All edges leads there.");
        }
    }
    group(ui, "");
    ui.horizontal_wrapped(|ui| {
        let word = corner_word(wall, Some(id));
        let pressed = wide_button(ui, word, CORNER, true).on_hover_text(Command::Corner.hint(ui.ctx()));
        if pressed.clicked() {
            let edit = if corner { WallEdit::JoinAt(id) } else { WallEdit::MakeCorner(id) };
            queue.push(Action::Edit(wall_edit(wall, edit), None));
        }
        let follows =
            wall.template.edges.iter().any(|e| e.ticks.contains(&id) && e.ticks.last() != Some(&id));
        let split = button_if(ui, "New edge after it", false, follows && !corner);
        if split.on_hover_text("The corner is where the two edges cross.").clicked() {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::BreakAfter(id)), None));
        }
        if command(ui, Command::RemoveTick, shown, view, false).clicked() {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::RemoveTick(id)), None));
        }
    });
    hint(ui, "Arrow keys move it by 0.2 px, with Shift by 1 px.");
    group(ui, if corner { "A measured corner of" } else { "It is on" });
    ui.horizontal_wrapped(|ui| {
        for edge in wall.template.edges.iter().filter(|e| e.ticks.contains(&id)) {
            if choice(ui, false, &edge.name).clicked() {
                view.select_edge(edge.id);
            }
        }
    });
}

/// The same point in another photo: its height is found then instead of asked.
fn seen_again(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    id: TickId,
    photo: PhotoId,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let photos = wall.template.sightings.iter().flat_map(|s| &s.photos).map(|p| p.photo);
    let others: Vec<(usize, PhotoId)> =
        photos.enumerate().filter(|p| p.1 != photo).map(|(i, p)| (i + 1, p)).collect();
    if others.is_empty() {
        return;
    }
    let found = shown.wall_plan(view).and_then(|p| p.measured.heights.iter().find(|h| h.tick == id).copied());
    if let Some(h) = found {
        fact(ui, "Found from photos", &format!("{} ± {}", small_mm(h.mm), small_mm(1.96 * h.sd)));
    }
    ui.horizontal_wrapped(|ui| {
        for (number, other) in others {
            let there = wall.template.again.iter().any(|a| (a.tick, a.photo) == (id, other));
            if there {
                let word = format!("Leave photo {number} out");
                if button_if(ui, &word, false, true).clicked() {
                    let mut again = wall.template.again.clone();
                    again.retain(|a| (a.tick, a.photo) != (id, other));
                    queue.push(Action::Edit(wall_edit(wall, WallEdit::SeenAgain(again)), None));
                }
            } else {
                let word = format!("Click it in photo {number}");
                let hover = "With the same point clicked in two photos its height is found instead of asked.";
                if button_if(ui, &word, false, true).on_hover_text(hover).clicked() {
                    view.asked_clicks = Some(AskedClicks::Again(id));
                    view.photo = Some(other);
                    view.flat = false;
                }
            }
        }
    });
}

/// One coordinate of a typed tick.
#[expect(clippy::too_many_arguments, reason = "one box of a row; a struct would be made for this one call")]
pub(super) fn coordinate(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    id: TickId,
    (at, sd): (kurbo::Point, f64),
    across: bool,
    width: f32,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let name = format!("Tick {} {}", numbers(shown, wall, view)(id), if across { "across" } else { "up" });
    let bound =
        Bound { job: shown.job, key: Id::unique(("typed", id, across)), name: &name, hint: "", width };
    let current = Length::from_mm(if across { at.x } else { at.y }).ok();
    bound.length(ui, &mut view.drafts, current, queue, |l| {
        let value = l?.mm();
        let at = if across { kurbo::Point::new(value, at.y) } else { kurbo::Point::new(at.x, value) };
        Some(wall_edit(wall, WallEdit::MoveTick(id, Place::Typed { at, sd })))
    });
}

fn sure(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    id: TickId,
    (at, sd): (kurbo::Point, f64),
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let width = value_width(ui);
    let bound = Bound { job: shown.job, key: Id::unique(("sure", id)), name: "Sure to", hint: "", width };
    // Shown and typed as 95 in 100, kept as a standard uncertainty.
    let current = Length::from_mm(sd * TWICE).map(|l| exactly(shown.job.units, l)).unwrap_or_default();
    let read = |text: &str| -> Result<Read<Edit>, String> {
        let r = parse_length(text, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
        let sd = r.length.mm() / TWICE;
        if !(0.0..=100.0).contains(&sd) {
            return Err("give 0 to 200 mm".to_owned());
        }
        Ok(Read {
            value: wall_edit(wall, WallEdit::MoveTick(id, Place::Typed { at, sd })),
            echo: Some(r.words),
        })
    };
    bound.run(ui, &mut view.drafts, current, queue, read);
}

/// A stated "sure to" is taken as two standard uncertainties.
pub(super) const TWICE: f64 = 2.0;
