//! Diagonals to check by tape: the outline's own lengths, what the tape says, and whether it counts.

use coldwright_geometry::{Length, Writing, parse_length};
use coldwright_job::{CheckedDistance, Diagonal, TapedDistance, TickId, Wall, WallEdit};
use egui::{Id, RichText, Ui};

use crate::actions::Action;
use crate::edit_box::{Bound, EditBox, Read, exactly};
use crate::parts::{choices, fact, group, hint, mm, row, small_mm, value_width};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

use super::edge::numbers;
use super::outline::wall_edit;
use super::tick::TWICE;

/// Standard uncertainty of a taped diagonal until the person says otherwise, mm: common practice, no source.
const SD: f64 = 1.0;

/// One line to tape: an offered diagonal, or another that was taped.
struct Line {
    from: TickId,
    to: TickId,
    offered: Option<Diagonal>,
    checked: Option<CheckedDistance>,
}

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let Some(plan) = shown.wall_plan(view).filter(|p| p.outline.is_some()) else { return };
    let mut all: Vec<Line> = plan
        .measured
        .distances
        .iter()
        .map(|c| Line { from: c.taped.from, to: c.taped.to, offered: None, checked: Some(*c) })
        .collect();
    for d in plan.measured.diagonals.iter() {
        let same = |l: &Line| [(l.from, l.to), (l.to, l.from)].contains(&(d.from, d.to));
        match all.iter().position(same).and_then(|i| all.get_mut(i)) {
            Some(line) => line.offered = Some(*d),
            None => all.push(Line { from: d.from, to: d.to, offered: Some(*d), checked: None }),
        }
    }
    if all.is_empty() {
        return;
    }
    group(ui, "Check with a tape");
    let name = numbers(shown, wall, view);
    let names: Vec<(String, String)> = all.iter().map(|l| (name(l.from), name(l.to))).collect();
    for (line, (from, to)) in all.iter().zip(&names) {
        one(ui, shown, wall, line, (from, to), view, queue);
    }
    other(ui, shown, wall, view, queue);
    let taped = &wall.template.distances;
    let Some(first) = taped.first().copied() else {
        hint(ui, "The tape is only compared with the outline, until you let it count.");
        return;
    };
    let each = |change: &dyn Fn(&mut TapedDistance)| {
        let mut all = taped.clone();
        all.iter_mut().for_each(change);
        wall_edit(wall, WallEdit::Distances(all))
    };
    row(ui, "The tape", |ui| {
        let options = [(false, "is compared"), (true, "counts too")];
        if let Some(counts) = choices(ui, first.counts, &options) {
            queue.push(Action::Edit(each(&|d| d.counts = counts), None));
        }
    });
    row(ui, "It is sure to ±", |ui| {
        let key = Id::unique(("diagonals sure", wall.id));
        let bound =
            Bound { job: shown.job, key, name: "The tape is sure to", hint: "", width: value_width(ui) };
        let current =
            Length::from_mm(first.sd * TWICE).map(|l| exactly(shown.job.units, l)).unwrap_or_default();
        let read = |text: &str| {
            let r = parse_length(text, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
            Ok(Read { value: each(&|d| d.sd = r.length.mm() / TWICE), echo: Some(r.words) })
        };
        bound.run(ui, &mut view.drafts, current, queue, read);
    });
}

/// One line: its ends, the outline's length, the box for the tape's, and how the two agree.
fn one(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    line: &Line,
    (from, to): (&str, &str),
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let p = Palette::at(ui);
    let own = match (&line.checked, &line.offered) {
        (Some(c), _) => (c.without, c.without_sd),
        (None, Some(d)) => (d.mm, d.sd),
        (None, None) => return,
    };
    fact(
        ui,
        &format!("Ticks {from} and {to}"),
        &format!("{} ± {}", mm(shown, own.0), small_mm(1.96 * own.1)),
    );
    let name = format!("Taped from {from} to {to}");
    row(ui, "The tape says", |ui| {
        let key = Id::unique(("taped", line.from, line.to));
        let bound = Bound { job: shown.job, key, name: &name, hint: "not taped", width: value_width(ui) };
        let current = line.checked.map(|c| c.taped.length);
        bound.length(ui, &mut view.drafts, current, queue, |length| {
            Some(wall_edit(wall, WallEdit::Distances(with(wall, line.from, line.to, length))))
        });
    });
    if let Some(c) = &line.checked {
        let off = c.misfit.abs();
        let than = if c.misfit > 0.0 { "longer" } else { "shorter" };
        let (words, colour) = if c.disagrees() {
            (format!("Look here: {} {than} than the outline.", small_mm(off)), p.look)
        } else {
            (format!("They agree: {} {than}.", small_mm(off)), p.good)
        };
        ui.label(RichText::new(words).color(colour));
    }
}

/// The taped distances with one set, or taken away.
fn with(wall: &Wall, from: TickId, to: TickId, length: Option<Length>) -> Vec<TapedDistance> {
    let mut all = wall.template.distances.clone();
    let like = all.first().copied();
    let at = all.iter().position(|d| [(d.from, d.to), (d.to, d.from)].contains(&(from, to)));
    match (at, length) {
        (Some(i), Some(length)) => all[i].length = length,
        (Some(i), None) => {
            all.remove(i);
        }
        (None, Some(length)) => all.push(TapedDistance {
            from,
            to,
            length,
            sd: like.map_or(SD, |d| d.sd),
            counts: like.is_some_and(|d| d.counts),
        }),
        (None, None) => {}
    }
    all
}

/// A length between any two ticks.
fn other(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let name = numbers(shown, wall, view);
    let ids: Vec<(String, TickId)> = wall.template.ticks.iter().map(|t| (name(t.id), t.id)).collect();
    let read = |text: &str| -> Result<Read<Vec<TapedDistance>>, String> {
        let parts: Vec<&str> = text.split(';').map(str::trim).collect();
        let [from, to, length] = parts.as_slice() else {
            return Err(
                "give two ticks' numbers and the length between them, such as 3; 8; 812 mm".to_owned()
            );
        };
        let tick = |number: &str| {
            let found = ids.iter().find(|i| i.0 == *number).map(|i| i.1);
            found.ok_or_else(|| format!("there is no tick {number}"))
        };
        let (from, to) = (tick(from)?, tick(to)?);
        let r = parse_length(length, shown.job.units.bare(), Writing::Plain).map_err(|e| e.to_string())?;
        Ok(Read { value: with(wall, from, to, Some(r.length)), echo: Some(r.words) })
    };
    row(ui, "Others", |ui| {
        let boxed = EditBox {
            key: Id::unique(("other taped", wall.id)),
            name: "Another taped length",
            current: String::new(),
            hint: "tick; tick; length",
            width: value_width(ui),
            again: false,
        };
        let accept = |all: &Vec<TapedDistance>| {
            let edit = wall_edit(wall, WallEdit::Distances(all.clone()));
            coldwright_job::apply(shown.job, &edit).map(|_| ()).map_err(|e| e.to_string())
        };
        if let Some(all) = boxed.show(ui, &mut view.drafts, read, accept) {
            queue.push(Action::Edit(wall_edit(wall, WallEdit::Distances(all)), None));
        }
    });
}
