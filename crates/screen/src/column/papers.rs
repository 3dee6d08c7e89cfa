//! The papers: which paper, how the printer prints, where the files go, what was made, and the cautions.

use coldwright_export::Paper;
use coldwright_geometry::Length;
use coldwright_job::{Edit, Severity, Wall};
use egui::{Id, RichText, Ui};

use crate::actions::Action;
use crate::edit_box::Bound;
use crate::parts::{NONE, big, button, button_if, choice, group, heading, hint, row, value_width};
use crate::path_field::{PathFor, path_box};
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, _wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    heading(ui, &format!("Papers of {}", shown.job.name));
    let count = match crate::papers_board::pages(shown, view) {
        Some(Ok(1)) => "1 page".to_owned(),
        Some(Ok(count)) => format!("{count} pages"),
        Some(Err(_)) | None => NONE.to_owned(),
    };
    let chosen = crate::papers_board::chosen(shown, view);
    let piece = chosen.as_ref().and_then(|(_, c)| shown.plan.piece(c.piece));
    let mark = piece.map_or_else(|| format!("layer {} of this wall", view.layer + 1), |p| p.mark.clone());
    big(ui, &count, &format!("{}, {mark}", shown.job.paper.plain_name()));
    layer_choice(ui, shown, view);
    paper(ui, shown, view, queue);
    printed(ui, shown, view, queue);
    make(ui, shown, view, queue);
    cautions(ui);
}

fn layer_choice(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let count = shown.wall(view).map_or(0, Wall::layer_count);
    group(ui, "Shown on the board");
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
        for index in 0..count {
            if choice(ui, view.layer == index, &format!("Layer {}", index + 1)).clicked() {
                view.layer = index;
                (view.paper_part, view.paper_turned) = (0, false);
            }
        }
    });
    let Some((parts, chosen)) = crate::papers_board::chosen(shown, view) else { return };
    if parts.len() > 1 {
        ui.horizontal_wrapped(|ui| {
            ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
            for id in parts {
                let mark = shown.plan.piece(id).map_or("", |p| p.mark.as_str());
                let letter = mark.rsplit(' ').next().unwrap_or(mark);
                if choice(ui, chosen.piece == id, &format!("Part {letter}")).clicked() {
                    view.paper_part = id.part;
                }
            }
        });
    }
    if coldwright_papers::has_second_pattern(shown.job, shown.plan, chosen.piece) {
        let faces = [(false, "Box side up"), (true, "Hull face up, mirrored")];
        if let Some(turned) = crate::parts::choices(ui, chosen.turned, &faces) {
            view.paper_turned = turned;
        }
    }
}

fn paper(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "Paper");
    let current = shown.job.paper;
    let rolled = matches!(current, Paper::Roll { .. });
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 4.0);
        let sheets = [Paper::A4, Paper::Letter, Paper::A3, Paper::Tabloid, Paper::Roll { width_mm: 610.0 }];
        for paper in sheets {
            let roll = matches!(paper, Paper::Roll { .. });
            let here = current == paper || (roll && rolled);
            let label = if roll { "a roll".to_owned() } else { paper.plain_name() };
            if choice(ui, here, &label).clicked() && !here {
                queue.push(Action::Edit(Edit::SetPaper(paper), None));
            }
        }
    });
    row(ui, "Roll is wide", |ui| {
        // Always there, so that nothing below moves when a roll is chosen.
        ui.add_enabled_ui(rolled, |ui| {
            let bound = Bound {
                job: shown.job,
                key: Id::unique("roll"),
                name: "Roll width",
                hint: "",
                width: value_width(ui),
            };
            let shows = match current {
                Paper::Roll { width_mm } => Length::from_mm(width_mm).ok(),
                _ => None,
            };
            bound.length(ui, &mut view.drafts, shows, queue, |l| {
                let width = l?.mm();
                (210.0..=2000.0).contains(&width).then_some(Edit::SetPaper(Paper::Roll { width_mm: width }))
            });
        });
    });
}

fn printed(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "A printed 100 mm measures");
    let truth = Length::from_micrometres(100_000);
    for wide in [true, false] {
        let (label, name) =
            if wide { ("Across", "Printed 100 mm across") } else { ("Up", "Printed 100 mm up") };
        row(ui, label, |ui| {
            let key = Id::unique(("printed 100", wide));
            let bound = Bound { job: shown.job, key, name, hint: "100 mm when true", width: value_width(ui) };
            let current = shown.job.printed_100_mm.map(|(w, h)| if wide { w } else { h });
            bound.length(ui, &mut view.drafts, current, queue, |l| {
                let (w, h) = shown.job.printed_100_mm.unwrap_or((truth, truth));
                Some(Edit::SetPrinted100(l.map(|l| if wide { (l, h) } else { (w, l) })))
            });
        });
    }
    hint(
        ui,
        "Print one page, measure the square on it, and give both ways here: the next pages come out true.",
    );
}

fn make(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    group(ui, "Patterns, drawing files, tables");
    let enter = path_box(ui, view, PathFor::Folder).is_some_and(|(_, enter)| enter);
    let nothing = shown.plan.walls.iter().all(|w| w.layers.is_none());
    let stopped = shown.plan.gravest() == Some(Severity::Stop);
    let folder = Some(view.folder.clone()).filter(|f| !f.is_empty());
    let ready = !nothing && !stopped && shown.plan_is_current;
    let label = if folder.is_some() { "Make papers" } else { "Make papers…" };
    // A folder typed because it was asked for makes them at once.
    let asked = view.asked_path == PathFor::Folder && enter && folder.is_some();
    if button_if(ui, label, true, ready).clicked() || (ready && asked) {
        queue.push(Action::MakePapers { folder });
    }
    if stopped {
        hint(ui, "Something cannot go on; see the step that says so.");
    } else if nothing {
        hint(ui, "There are no layers to draw yet.");
    }
    let Some(made) = shown.made else { return };
    group(ui, &format!("Made in {}", made.folder));
    let p = Palette::at(ui);
    for (name, bytes) in &made.files {
        ui.horizontal(|ui| {
            ui.add(egui::Label::new(RichText::new(name).color(p.ink)).truncate());
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                ui.label(RichText::new(size(*bytes)).color(p.quiet));
            });
        });
    }
    if button(ui, "Show the folder", false).clicked() {
        queue.push(Action::ShowFolder(made.folder.clone()));
    }
}

fn size(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} B"),
        1_000..1_000_000 => format!("{} kB", bytes.div_ceil(1_000)),
        _ => format!("{:.1} MB", bytes as f64 / 1e6),
    }
}

fn cautions(ui: &mut Ui) {
    group(ui, "Before you cut");
    for words in [
        "Print at 100 %, with no fitting to the page, and measure the square on the first page before you cut.",
        "Foam dust harms lungs and burns: wear a mask, cut outdoors or with extraction, keep flames away.",
        "A hot wire gives off fumes that must not be breathed; some foams must not be cut hot at all.",
        "Saw with guards and fences in place, and with push sticks; a small piece is held in a jig, not by hand.",
        "Glues and two-part foams: read their sheets, wear gloves and eye protection, and ventilate the boat.",
        "Fuel, gas, wiring and fire rules of your country and insurer come first; ask a licensed person where they apply.",
    ] {
        hint(ui, words);
    }
}

#[cfg(test)]
mod tests {
    use super::size;

    #[test]
    fn sizes_are_said_shortly() {
        assert_eq!(
            (size(999), size(1_001), size(2_500_000)),
            ("999 B".into(), "2 kB".into(), "2.5 MB".into())
        );
    }
}
