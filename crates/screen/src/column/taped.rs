//! A shape measured without a photo: how it was measured, the notebook's page, and how well its numbers agree.

use coldwright_canvas::measured::TieSide;
use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{Edit, OffsetLine, Taped, TapedWay, Wall, WallEdit, apply};
use egui::{Id, RichText, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, Read, exactly};
use crate::lines_box::LinesBox;
use crate::parts::{button, choice, choices, group, hint, row, value_width};
use crate::path_field::{PathFor, path_box};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

use super::outline::wall_edit;
use super::tick::TWICE;

/// As many misses are listed, the worst first.
const LISTED: usize = 8;

/// The ways to measure, in the words of the choice.
#[derive(Copy, Clone, PartialEq)]
enum Way {
    OneByOne,
    AcrossAndUp,
    Offsets,
    Ties,
    TickStick,
}

fn way_of(taped: Option<&Taped>) -> Way {
    match taped.map(|t| &t.way) {
        None => Way::OneByOne,
        Some(TapedWay::AcrossAndUp) => Way::AcrossAndUp,
        Some(TapedWay::Offsets { .. }) => Way::Offsets,
        Some(TapedWay::Ties { .. }) => Way::Ties,
        Some(TapedWay::TickStick { .. }) => Way::TickStick,
    }
}

/// How the shape was measured. Gives whether points are typed one by one.
pub(super) fn how(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    view: &mut View,
    queue: &mut Vec<Action>,
) -> bool {
    group(ui, "Measured with a tape, as");
    let taped = wall.template.taped.as_ref();
    let ways = [
        (Way::OneByOne, "point by point"),
        (Way::AcrossAndUp, "across and up"),
        (Way::Offsets, "offsets from a line"),
        (Way::Ties, "ties from two nails"),
        (Way::TickStick, "tick stick"),
    ];
    if let Some(way) = choices(ui, way_of(taped), &ways) {
        queue.push(Action::Edit(changed(shown, wall, way), None));
    }
    let Some(taped) = taped else { return true };
    table(ui, shown, wall, taped, view, queue);
    false
}

/// Another way to measure: the table stays where it can be read so, and is emptied where it cannot; undo brings it back.
fn changed(shown: &Shown<'_>, wall: &Wall, way: Way) -> Edit {
    let mm = |v: i64| Length::from_micrometres(1000 * v);
    let way = match way {
        Way::OneByOne => return wall_edit(wall, WallEdit::Taped(None)),
        Way::AcrossAndUp => TapedWay::AcrossAndUp,
        Way::Offsets => TapedWay::Offsets { line: OffsetLine::Level, stick: Length::default() },
        Way::Ties => TapedWay::Ties { known: "P; 0; 0\nQ; 1000 mm; 0".to_owned(), side: TieSide::Left },
        Way::TickStick => TapedWay::TickStick { notch: mm(300), tip: mm(1000), aside: Length::default() },
    };
    let fresh = Taped { bare: shown.job.units.bare(), ..Taped::default() };
    let with = Taped { way, ..wall.template.taped.clone().unwrap_or(fresh) };
    let edit = wall_edit(wall, WallEdit::Taped(Some(with.clone())));
    if apply(shown.job, &edit).is_ok() {
        return edit;
    }
    let bare = Taped { table: String::new(), lengths: String::new(), ..with };
    wall_edit(wall, WallEdit::Taped(Some(bare)))
}

/// What a line of the table holds, and an example.
fn cells(way: &TapedWay) -> (&'static str, &'static str) {
    match way {
        TapedWay::AcrossAndUp => {
            ("A line for each point: name, across, up.", "A; 0; 0\nB; 900; 0\nC; 905; 610")
        }
        TapedWay::Offsets { .. } => (
            "A line for each station: how far along, then the offset to the first side, then to the other side where it was taken.",
            "0; 120; 80\n200; 160; 85\n400; 190; 84",
        ),
        TapedWay::Ties { .. } => (
            "A line for each point: name, then its distance from each nail in their order. Leave empty what was not taped.",
            "1; 511.5; 903\n2; 640; 744\n3; 781; 612",
        ),
        TapedWay::TickStick { .. } => (
            "A line for each mark: name, then across and up of the heel, then of the notch. Write over at its end where the stick lay on its other face.",
            "1; 120; 40; 415; 95\n2; 130; 60; 420; 121",
        ),
    }
}

fn table(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    taped: &Taped,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    way_details(ui, shown, wall, taped, view, queue);
    let (words, example) = cells(&taped.way);
    hint(ui, words);
    let put = |taped: Taped| wall_edit(wall, WallEdit::Taped(Some(taped)));
    lines(
        ui,
        shown,
        wall,
        ("table", "Table of measured points", example, 8),
        &taped.table,
        view,
        queue,
        |text| put(Taped { table: text, ..taped.clone() }),
    );
    ui.horizontal(|ui| {
        if button(ui, "Table from a file…", false).clicked() {
            queue.push(Action::ReadTable { wall: wall.id, path: None });
        }
    });
    if let Some((path, true)) = path_box(ui, view, PathFor::Table)
        && !path.is_empty()
    {
        view.table_path.clear();
        queue.push(Action::ReadTable { wall: wall.id, path: Some(path) });
    }
    group(ui, "Lengths to check by");
    hint(ui, "A line for each: from one point, to another, the length between. Diagonals tell most.");
    lines(
        ui,
        shown,
        wall,
        ("lengths", "Lengths to check by", "A; C; 1082", 3),
        &taped.lengths,
        view,
        queue,
        |text| put(Taped { lengths: text, ..taped.clone() }),
    );
    agreement(ui, view, shown);
    group(ui, "The tape");
    row(ui, "Written as", |ui| {
        let options = [(Writing::Plain, "plain"), (Writing::FeetInchesEighths, "ft-in-eighths")];
        if let Some(writing) = choices(ui, taped.writing, &options) {
            queue.push(Action::Edit(put(Taped { writing, ..taped.clone() }), None));
        }
    });
    row(ui, "Each is sure to ±", |ui| {
        let key = Id::unique(("tape sure", wall.id));
        let bound =
            Bound { job: shown.job, key, name: "Each length is sure to", hint: "", width: value_width(ui) };
        let current =
            Length::from_mm(taped.sd * TWICE).map(|l| exactly(shown.job.units, l)).unwrap_or_default();
        let read = |text: &str| {
            let r = parse_length(text, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
            Ok(Read { value: put(Taped { sd: r.length.mm() / TWICE, ..taped.clone() }), echo: Some(r.words) })
        };
        bound.run(ui, &mut view.drafts, current, queue, read);
    });
    if !matches!(taped.way, TapedWay::AcrossAndUp | TapedWay::TickStick { .. }) {
        row(ui, "Rule's end adds", |ui| {
            let key = Id::unique(("rule end", wall.id));
            let bound = Bound {
                job: shown.job,
                key,
                name: "Rule's end adds",
                hint: "0 when true",
                width: value_width(ui),
            };
            bound.length(ui, &mut view.drafts, Some(taped.rule_end), queue, |l| {
                Some(put(Taped { rule_end: l?, ..taped.clone() }))
            });
        });
    }
}

/// What belongs to one way only.
fn way_details(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    taped: &Taped,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let put = |way: TapedWay| wall_edit(wall, WallEdit::Taped(Some(Taped { way, ..taped.clone() })));
    match &taped.way {
        TapedWay::AcrossAndUp => {}
        TapedWay::Offsets { line, stick } => {
            row(ui, "The line is", |ui| {
                let options = [
                    (OffsetLine::Level, "level, first side up"),
                    (OffsetLine::PlumbDown, "plumb, downwards, first side right"),
                    (OffsetLine::PlumbUp, "plumb, upwards, first side left"),
                ];
                ui.vertical(|ui| {
                    for (value, words) in options {
                        if choice(ui, value == *line, words).clicked() && value != *line {
                            let way = TapedWay::Offsets { line: value, stick: *stick };
                            queue.push(Action::Edit(put(way), None));
                        }
                    }
                });
            });
            let mut lengths = Lengths { shown, wall, view, queue };
            lengths.show(ui, "Line to stick's face", "Line to the stick's face", *stick, |stick| {
                put(TapedWay::Offsets { line: *line, stick })
            });
        }
        TapedWay::Ties { known, side } => {
            hint(ui, "The nails: name, across, up.");
            lines(
                ui,
                shown,
                wall,
                ("nails", "Nails", "P; 0; 0\nQ; 1000; 0", 2),
                known,
                view,
                queue,
                |known| put(TapedWay::Ties { known, side: *side }),
            );
            row(ui, "The shape lies", |ui| {
                let options = [(TieSide::Left, "above"), (TieSide::Right, "below")];
                if let Some(side) = choices(ui, *side, &options) {
                    queue.push(Action::Edit(put(TapedWay::Ties { known: known.clone(), side }), None));
                }
            });
            hint(ui, "Seen with the first nail on the left.");
        }
        TapedWay::TickStick { notch, tip, aside } => {
            let (notch, tip, aside) = (*notch, *tip, *aside);
            let mut lengths = Lengths { shown, wall, view, queue };
            lengths.show(ui, "Heel to notch", "Heel to notch", notch, |notch| {
                put(TapedWay::TickStick { notch, tip, aside })
            });
            lengths.show(ui, "Heel to tip", "Heel to tip", tip, |tip| {
                put(TapedWay::TickStick { notch, tip, aside })
            });
            lengths.show(ui, "Tip to the left", "Tip to the left of the line", aside, |aside| {
                put(TapedWay::TickStick { notch, tip, aside })
            });
        }
    }
}

/// Rows with one length each.
struct Lengths<'a, 'b> {
    shown: &'a Shown<'b>,
    wall: &'a Wall,
    view: &'a mut View,
    queue: &'a mut Vec<Action>,
}

impl Lengths<'_, '_> {
    fn show(&mut self, ui: &mut Ui, label: &str, name: &str, current: Length, edit: impl Fn(Length) -> Edit) {
        row(ui, label, |ui| {
            let key = Id::unique(("taped length", self.wall.id, name));
            let bound = Bound { job: self.shown.job, key, name, hint: "", width: value_width(ui) };
            bound.length(ui, &mut self.view.drafts, Some(current), self.queue, |l| l.map(&edit));
        });
    }
}

#[expect(clippy::too_many_arguments, reason = "one box of lines; a struct would be made for each call")]
fn lines(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    (key, name, hint, rows): (&str, &str, &str, usize),
    current: &str,
    view: &mut View,
    queue: &mut Vec<Action>,
    edit: impl Fn(String) -> Edit,
) {
    let boxed = LinesBox { key: Id::unique((key, wall.id)), name, current, hint, rows };
    let accept = |text: &str| apply(shown.job, &edit(text.to_owned())).map(|_| ()).map_err(|e| e.to_string());
    if let Some(text) = boxed.show(ui, &mut view.line_drafts, accept) {
        queue.push(Action::Edit(edit(text), None));
    }
}

/// What each measurement misses by, the worst first, the suspicious one marked.
fn agreement(ui: &mut Ui, view: &View, shown: &Shown<'_>) {
    let Some(fit) = shown.wall_plan(view).and_then(|w| w.measured.taped.clone()) else { return };
    if fit.spare == 0 {
        if !fit.points.is_empty() {
            hint(ui, "Nothing checks these numbers yet: give a length or two between points.");
        }
        return;
    }
    group(ui, "What they miss by");
    let p = Palette::at(ui);
    let mut all: Vec<_> = fit.residuals.iter().filter(|r| r.sigmas.is_some()).collect();
    all.sort_by(|a, b| b.sigmas.unwrap_or(0.0).abs().total_cmp(&a.sigmas.unwrap_or(0.0).abs()));
    for r in all.iter().take(LISTED) {
        let bad = fit.suspect.as_ref().is_some_and(|s| s.ends_with(&r.what));
        ui.horizontal(|ui| {
            ui.spacing_mut().interact_size.y = 16.0;
            let colour = if bad { p.look } else { p.quiet };
            let words = if bad { format!("{}, look here", r.what) } else { r.what.clone() };
            ui.label(RichText::new(words).color(colour));
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(format!("{:+.1} mm", r.mm)).color(if bad { p.look } else { p.ink }));
            });
        });
    }
    if all.len() > LISTED {
        hint(ui, &format!("And {} more, all smaller for what they are.", all.len() - LISTED));
    }
}
