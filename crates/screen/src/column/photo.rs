//! The photo: its cards, how well they agree, the sticks, the prints.

use coldwright_geometry::Length;
use coldwright_job::{Edit, SeenFrom, Sightings, Wall, WallEdit};
use egui::{Id, RichText, Ui, Vec2};

use crate::actions::Action;
use crate::edit_box::Bound;
use crate::parts::{NONE, big, button, choice, fact, group, heading, hint, row, small_mm, value_width};
use crate::path_field;
use crate::shown::Shown;
use crate::theme::Palette;
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    let sightings = wall.template.sightings.as_ref();
    let name = view.photo.and_then(|id| shown.job.photo(id)).map_or("No photo yet", |p| p.name.as_str());
    heading(ui, name);
    if let Some(s) = sightings {
        if s.photos.len() > 1 {
            ui.horizontal_wrapped(|ui| {
                for (index, seen) in s.photos.iter().enumerate() {
                    if choice(ui, view.photo == Some(seen.photo), &format!("Photo {}", index + 1)).clicked() {
                        view.photo = Some(seen.photo);
                    }
                }
            });
        }
        solved(ui, shown, wall, view);
        cards(ui, shown, wall, s, view, queue);
        let few = s.photos.iter().flat_map(|p| &p.cards).count() < 2;
        if few || wall.template.rectangle.is_some() || wall.template.sketch.is_some() {
            super::without_cards::show(ui, shown, wall, view, queue);
        }
    } else {
        hint(ui, "A photo from above, with four or more printed cards lying flat all round the template.");
    }
    if sightings.is_none() {
        choose(ui, wall, view, queue);
    }
    group(ui, "");
    super::templates::choose(ui, wall, view, queue);
    seen_from(ui, wall, queue);
    row(ui, "Sticks are thick", |ui| {
        let key = Id::unique(("stick", wall.id));
        let bound = Bound { job: shown.job, key, name: "Stick thickness", hint: "", width: value_width(ui) };
        bound.length(ui, &mut view.drafts, Some(wall.template.stick), queue, |l| {
            l.map(|l| Edit::Wall(wall.id, WallEdit::Stick(l)))
        });
    });
    if let Some(s) = sightings {
        printed(ui, shown, wall, s, view, queue);
        group(ui, "Another photo of the same layout");
        choose(ui, wall, view, queue);
    }
}

fn solved(ui: &mut Ui, shown: &Shown<'_>, wall: &Wall, view: &View) {
    let Some(plan) = shown.wall_plan(view) else { return };
    let plane = plan.solve.as_ref();
    let missing = plane.map(|p| small_mm(p.residual_mm()));
    // A rectangle alone, with no card beside it.
    let rectangle = wall.template.rectangle.is_some() && !any_card(wall);
    let sketch = wall.template.sketch.is_some() && !any_card(wall);
    match (plan.farthest_error, missing) {
        (_, None) if rectangle => big(ui, NONE, "the rectangle does not give a plane yet"),
        (Some(mm), None) if sketch => {
            big(ui, &format!("± {}", small_mm(mm)), "at least: a sketch from two points");
        }
        (None, None) if sketch => big(ui, NONE, "a sketch from two points, no plane"),
        (_, None) => big(ui, NONE, "the cards do not give a plane yet"),
        (Some(mm), _) => {
            big(ui, &format!("± {}", small_mm(mm)), "on the two farthest ticks, 95 in 100");
        }
        (None, Some(missing)) if rectangle => big(ui, &missing, "the rectangle's corners miss by"),
        (None, Some(missing)) => big(ui, &missing, "card points miss by, on the floor"),
    }
    let said = |value: Option<String>| value.unwrap_or(NONE.to_owned());
    let index = photo_index(shown, view);
    if rectangle {
        fact(ui, "Cards used", "none, the rectangle");
    } else {
        let used = plane.map(|p| format!("{}, of {} points", p.cards().len(), p.points()));
        fact(ui, "Cards used", &said(used));
    }
    let points = plane.map(|p| format!("{:.2} px = {}", p.residual_px(), small_mm(p.residual_mm())));
    fact(ui, "Points miss by", &said(points));
    let of_photo = plane.zip(index);
    let focal = of_photo.and_then(|(p, i)| {
        let sd = p.focal_sd_px(i).map(|s| format!(" ± {s:.0}")).unwrap_or_default();
        p.lens(i).map(|lens| format!("{:.0} px{sd}", lens.focal_px))
    });
    fact(ui, "Focal length", &said(focal));
    let tilt = of_photo.and_then(|(p, i)| p.tilt(i)).map(|t| format!("{:.1}°", t.to_degrees()));
    fact(ui, "Camera leaned", &said(tilt));
    let height = of_photo.and_then(|(p, i)| p.height_above_plane(i)).map(|h| crate::parts::mm(shown, h));
    fact(ui, "Camera height", &said(height));
}

/// Whether any card was found in the wall's photos.
fn any_card(wall: &Wall) -> bool {
    wall.template.sightings.iter().flat_map(|s| &s.photos).any(|p| !p.cards.is_empty())
}

/// Which of the wall's photos is shown, from 0.
pub(crate) fn photo_index(shown: &Shown<'_>, view: &View) -> Option<usize> {
    let s = shown.wall(view)?.template.sightings.as_ref()?;
    s.photos.iter().position(|p| Some(p.photo) == view.photo)
}

fn cards(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    s: &Sightings,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    group(ui, "Cards used");
    let mut numbers: Vec<u32> = s.photos.iter().flat_map(|p| p.cards.iter().map(|c| c.number)).collect();
    numbers.sort_unstable();
    numbers.dedup();
    if numbers.is_empty() && (wall.template.rectangle.is_some() || wall.template.sketch.is_some()) {
        let stands = if wall.template.rectangle.is_some() { "The rectangle" } else { "A sketch" };
        hint(ui, &format!("No card was found. {stands} stands in; printed cards measure far better."));
    } else if numbers.is_empty() {
        hint(
            ui,
            "No card was found. Print cards with \"coldwright cards\", lay them flat round the template, and take the photo again.",
        );
    }
    let plane = shown.wall_plan(view).and_then(|w| w.solve.clone());
    for number in numbers {
        let mut used = !s.left_out.contains(&number);
        let placed = plane.as_ref().and_then(|p| p.cards().iter().find(|c| c.number == number).copied());
        ui.horizontal(|ui| {
            ui.set_min_height(24.0);
            let label = format!("Card {number}");
            let tick = ui.checkbox(&mut used, label);
            let p = Palette::at(ui);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                let words = match (used, placed) {
                    (false, _) => "left out".to_owned(),
                    (true, Some(c)) => format!("{} points, {:.2} px", c.points, c.residual_px),
                    (true, None) => "not used yet".to_owned(),
                };
                ui.label(RichText::new(words).color(p.quiet));
            });
            if tick.changed() {
                let mut left = s.left_out.clone();
                left.retain(|n| *n != number);
                if !used {
                    left.push(number);
                }
                queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::LeaveOut(left)), None));
            }
        });
    }
}

/// Which side of the template faced the camera: two plain choices, each with a small drawing.
pub(super) fn seen_from(ui: &mut Ui, wall: &Wall, queue: &mut Vec<Action>) {
    hint(ui, "The side of the template that faces the camera is the one");
    ui.horizontal(|ui| {
        ui.spacing_mut().item_spacing.x = 8.0;
        let width = (ui.available_width() - 8.0) / 2.0;
        for (side, word) in [(SeenFrom::BoxSide, "towards the box"), (SeenFrom::HullSide, "towards the hull")]
        {
            let chosen = wall.template.seen_from == side;
            if side_choice(ui, width, side, word, chosen).clicked() && !chosen {
                queue.push(Action::Edit(Edit::Wall(wall.id, WallEdit::SeenFrom(side)), None));
            }
        }
    });
}

fn side_choice(ui: &mut Ui, width: f32, side: SeenFrom, word: &str, chosen: bool) -> egui::Response {
    let p = Palette::at(ui);
    let (rect, response) = ui.allocate_exact_size(Vec2::new(width, 88.0), egui::Sense::click());
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::RadioButton, true, chosen, word));
    let hot = chosen || response.hovered() || response.has_focus();
    let stroke = egui::Stroke::new(if hot { 1.5 } else { 1.0 }, if hot { p.hand } else { p.hair });
    let painter = ui.painter_at(rect);
    painter.rect_filled(rect, 2.0, if chosen { crate::theme::mix(p.column, p.hand, 0.10) } else { p.column });
    painter.rect_stroke(rect, 2.0, stroke, egui::StrokeKind::Inside);
    // From above: hull on the left as a bent dashed line, box on the right as a solid one, the template between, and
    // the eye on the side it looks from.
    let mid = rect.center_top() + Vec2::new(0.0, 32.0);
    let hull: Vec<egui::Pos2> = (0..=8)
        .map(|i| {
            let t = i as f32 / 4.0 - 1.0;
            mid + Vec2::new(-34.0 + 5.0 * t * t, t * 22.0)
        })
        .collect();
    crate::ruler::dashed(&painter, &hull, egui::Stroke::new(1.5, p.hull), 4.0, 3.0);
    painter.line_segment(
        [mid + Vec2::new(34.0, -22.0), mid + Vec2::new(34.0, 22.0)],
        egui::Stroke::new(1.5, p.cold),
    );
    painter.line_segment(
        [mid + Vec2::new(0.0, -16.0), mid + Vec2::new(0.0, 16.0)],
        egui::Stroke::new(3.0, p.ink),
    );
    let way = if side == SeenFrom::BoxSide { 1.0 } else { -1.0 };
    let eye = mid + Vec2::new(20.0 * way, 0.0);
    let sight = egui::Stroke::new(1.0, p.hand);
    painter.line_segment([eye, mid + Vec2::new(3.0 * way, -9.0)], sight);
    painter.line_segment([eye, mid + Vec2::new(3.0 * way, 9.0)], sight);
    painter.circle_filled(eye, 2.5, p.hand);
    painter.text(
        rect.center_bottom() - Vec2::new(0.0, 6.0),
        egui::Align2::CENTER_BOTTOM,
        word,
        crate::theme::words(),
        if hot { p.hand } else { p.ink },
    );
    response
}

fn printed(
    ui: &mut Ui,
    shown: &Shown<'_>,
    wall: &Wall,
    s: &Sightings,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    group(ui, "Measured over a printed card's checkers");
    let truth = (Length::from_micrometres(245_000), Length::from_micrometres(180_000));
    for wide in [true, false] {
        let (label, name) = if wide { ("Width", "Printed width") } else { ("Height", "Printed height") };
        row(ui, label, |ui| {
            let key = Id::unique(("printed", wall.id, wide));
            let hint = if wide { "245 mm when true" } else { "180 mm when true" };
            let bound = Bound { job: shown.job, key, name, hint, width: value_width(ui) };
            let current = s.printed.map(|(w, h)| if wide { w } else { h });
            bound.length(ui, &mut view.drafts, current, queue, |l| {
                let (w, h) = s.printed.unwrap_or(truth);
                let pair = l.map(|l| if wide { (l, h) } else { (w, l) });
                Some(Edit::Wall(wall.id, WallEdit::Printed(pair)))
            });
        });
    }
    hint(ui, "Measure along a long steel rule. Leave empty to take the print as true, known less well.");
}

/// A path field, and the system's dialog.
fn choose(ui: &mut Ui, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) {
    if button(ui, "Choose photo…", false).clicked() {
        queue.push(Action::AddPhoto { wall: Some(wall.id), path: None });
    }
    path_field::photo(ui, Some(wall.id), view, queue);
}
