//! What the joined walls leave: the room by depth, each wall's foam, what foam from the can has to fill.

use coldwright_job::{BoxPlan, Filling, Units};
use egui::{Label, RichText, Ui};

use crate::parts::{NONE, big, by, fact, group, hint, mm};
use crate::shown::Shown;
use crate::theme::Palette;

/// Cubic millimetres to a cubic foot: 304.8 mm to the foot, exact.
const CUBIC_FOOT: f64 = 304.8 * 304.8 * 304.8;

/// The room in one number, or why there is none to tell.
pub(super) fn answer(ui: &mut Ui, shown: &Shown<'_>) {
    let Some(plan) = shown.plan.boxed.as_deref() else {
        big(ui, NONE, "room inside: join the walls where their edges meet");
        return;
    };
    match plan.rooms() {
        [] => {
            big(ui, NONE, "room inside");
            let p = Palette::at(ui);
            let why = plan.untold(shown.job).unwrap_or_else(|| {
                "The walls joined so far enclose no room: join more of their edges.".to_owned()
            });
            ui.add(Label::new(RichText::new(why).color(p.look)).wrap());
        }
        rooms => {
            for (i, room) in rooms.iter().enumerate() {
                let lined = if plan.after_liner.is_empty() { "" } else { ", liner in" };
                let caption = if rooms.len() > 1 {
                    format!("room inside{lined}, box {}", i + 1)
                } else {
                    format!("room inside{lined}")
                };
                big(ui, &volume(shown, room.room), &caption);
                fact(ui, "The same", &other(shown, room.room));
                if let Some(foam) = plan.inside.get(i).filter(|_| !plan.after_liner.is_empty()) {
                    fact(ui, "Before the liner", &volume(shown, foam.room));
                }
                fact(ui, "Bare space", &format!("{} without foam", volume(shown, room.cavity)));
            }
        }
    }
}

/// The readings below the list of corners.
pub(super) fn readings(ui: &mut Ui, shown: &Shown<'_>) {
    foam(ui, shown);
    fill(ui, shown);
}

/// The room by height, the sump, and what stands clear.
pub(super) fn by_height(ui: &mut Ui, shown: &Shown<'_>) {
    if let Some(plan) = shown.plan.boxed.as_deref() {
        heights(ui, shown, plan);
    }
}

fn heights(ui: &mut Ui, shown: &Shown<'_>, plan: &BoxPlan) {
    for room in plan.rooms() {
        group(ui, "Room up to a height over its lowest place");
        let steps = room.below.len().saturating_sub(1);
        for quarter in (1..=4).rev() {
            if let Some((high, below)) = room.below.get(steps * quarter / 4) {
                fact(ui, &mm(shown, *high), &format!("{}, {}", volume(shown, *below), other(shown, *below)));
            }
        }
    }
    for stow in &plan.stow {
        if let Some(sump) = stow.sump {
            fact(ui, "Sump", &format!("{} deep, {}", mm(shown, sump.deep), volume(shown, sump.volume)));
        }
        if !stow.clear.is_empty() {
            let of = if plan.after_liner.is_empty() { "all foam" } else { "the liner" };
            group(ui, &format!("Clear of {of}, upright from the floor"));
        }
        for clear in &stow.clear {
            let tall = format!("{} tall", mm(shown, clear.tall));
            fact(ui, &tall, &by(shown, clear.along, clear.across));
        }
    }
}

/// What each wall gets in thickness, the thinnest told.
fn foam(ui: &mut Ui, shown: &Shown<'_>) {
    let thick = |w: &coldwright_job::Wall| w.layers.iter().map(|l| l.thickness.mm()).sum::<f64>();
    let least = shown.job.walls.iter().map(thick).fold(f64::INFINITY, f64::min);
    let most = shown.job.walls.iter().map(thick).fold(0.0, f64::max);
    group(ui, "Foam of each wall");
    for wall in &shown.job.walls {
        let t = thick(wall);
        let thinnest = if t < most - 0.05 && t < least + 0.05 { ", least" } else { "" };
        let n = wall.layers.len();
        let layers = if n == 1 { "1 layer".to_owned() } else { format!("{n} layers") };
        fact(ui, &wall.name, &format!("{}, {layers}{thinnest}", mm(shown, t)));
    }
}

fn fill(ui: &mut Ui, shown: &Shown<'_>) {
    let all = coldwright_job::filling(shown.job, shown.plan);
    group(ui, "To fill with foam from the can");
    if all.volume.total() <= 0.0 {
        hint(ui, "Nothing: no edge has a gap, and none is cut square with a wedge to fill.");
        return;
    }
    for wall in &shown.plan.walls {
        let name = shown.job.wall(wall.id).map_or("", |w| w.name.as_str());
        if wall.filler.total() > 0.0 {
            fact(ui, name, &parts_of(wall.filler));
        }
    }
    fact(ui, "In all", &in_all(shown, &all));
}

/// "gaps 0.42, wedges 0.10 litres".
fn parts_of(filler: coldwright_geometry::WallFiller) -> String {
    let parts = [("gaps", filler.gaps), ("wedges", filler.wedges), ("hollow", filler.hollow)];
    let said: Vec<String> =
        parts.iter().filter(|p| p.1 > 0.0).map(|(what, v)| format!("{what} {:.2}", v / 1e6)).collect();
    format!("{} litres", said.join(", "))
}

fn in_all(shown: &Shown<'_>, all: &Filling) -> String {
    let (can, lifts) = (shown.job.cutting.can_litres.max(1), all.lifts);
    let cans = if all.cans == 1 { "1 can".to_owned() } else { format!("{} cans", all.cans) };
    let lifts = if lifts == 1 { "1 lift".to_owned() } else { format!("{lifts} lifts") };
    format!(
        "{:.2} litres, {cans} of {can} litres stated yield, in {lifts} at most {} deep",
        all.volume.total() / 1e6,
        mm(shown, coldwright_job::LIFT_MM)
    )
}

/// A volume in the unit a person of these units stows by.
fn volume(shown: &Shown<'_>, mm3: f64) -> String {
    match shown.job.units {
        Units::Millimetres => litres(mm3),
        Units::Inches => cubic_feet(mm3),
    }
}

/// The same in the other unit: ice and drinks come in litres, boxes are sold by the cubic foot.
fn other(shown: &Shown<'_>, mm3: f64) -> String {
    match shown.job.units {
        Units::Millimetres => cubic_feet(mm3),
        Units::Inches => litres(mm3),
    }
}

fn litres(mm3: f64) -> String {
    format!("{:.1} litres", mm3 / 1e6)
}

fn cubic_feet(mm3: f64) -> String {
    format!("{:.2} cu ft", mm3 / CUBIC_FOOT)
}
