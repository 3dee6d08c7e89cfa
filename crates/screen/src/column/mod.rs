//! The slim column: what belongs to the thing selected, and at its foot what there is to look at.
//!
//! Controls come first and in a fixed order; what follows from them (readings, lists that grow) stands below, and what comes
//! and goes has a place of its own. So a control is still where it was when it is clicked again.

mod bevel;
mod compartment;
mod corners;
mod drawing;
mod edge;
mod fitted;
mod hole;
mod hollow;
mod job;
mod joints;
mod layer_facts;
mod layers;
mod lid;
mod liner;
mod opening;
mod opening_place;
mod outline;
mod papers;
mod photo;
mod pieces;
mod plain_box;
mod room;
mod saw;
pub(crate) mod seams;
mod sheets;
mod stock;
mod templates;

pub(crate) use opening::OpeningDraft;
pub(crate) use photo::photo_index;
pub(crate) use templates::pairs;
pub(crate) use without_cards::Typed as WithoutCards;

mod tape_checks;
mod taped;
mod tick;
mod typed;
mod without_cards;

use coldwright_job::Step;
use egui::{Frame, Margin, Rect, ScrollArea, Stroke, Ui, UiBuilder, pos2};

use crate::actions::Action;
use crate::look_list;
use crate::shown::Shown;
use crate::theme::{COLUMN_WIDTH, MARGIN, Palette};
use crate::view::{Selected, View};

/// Share of the column that the look list may take, and its limits, points.
const LIST_SHARE: f32 = 0.34;
const LIST: (f32, f32) = (96.0, 300.0);

/// How far the column was scrolled in the last frame, and how high what it shows was, for each kind of thing shown.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct Scrolled {
    of: Option<(Step, u8)>,
    offset: f32,
    high: f32,
}

/// Draws the column for what is selected.
pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let p = Palette::at(ui);
    let all = ui.max_rect();
    let list = look_list::of(shown, view);
    let most = (all.height() * LIST_SHARE).clamp(LIST.0, LIST.1);
    let foot = look_list::height(ui, shown, view, &list, all.width()).min(most);
    let split = all.max.y - foot;
    let above = Rect::from_min_max(all.min, pos2(all.max.x, split));
    ui.scope_builder(UiBuilder::new().max_rect(above), |ui| {
        ui.set_clip_rect(above.intersect(ui.clip_rect()));
        scrolled(ui, shown, view, queue);
    });
    if foot > 0.0 {
        let below = Rect::from_min_max(pos2(all.min.x, split), all.max);
        ui.scope_builder(UiBuilder::new().max_rect(below), |ui| {
            look_list::show(ui, shown, &list, view, queue);
        });
    }
    ui.painter().vline(all.max.x - 0.5, all.y_range(), Stroke::new(1.0, p.hair));
}

fn scrolled(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let kind = match view.selected {
        Selected::Step => 0,
        Selected::Job => 1,
        Selected::Edge(_) => 2,
        Selected::Tick(_) => 3,
        Selected::Hole(_) => 4,
    };
    let of = Some((view.step, kind));
    let before = if view.scrolled.of == of { view.scrolled } else { Scrolled::default() };
    // Where the contents or the room above the list change while the column is scrolled to its end, room below keeps
    // it from being scrolled back under the pointer.
    let room = ui.max_rect().height();
    let short = if before.offset > 0.0 { (before.offset + room - before.high).max(0.0) } else { 0.0 };
    let drawn = ScrollArea::vertical().id_salt(("column", of)).auto_shrink(false).show(ui, |ui| {
        let high = Frame::NONE.inner_margin(Margin::same(MARGIN as i8)).show(ui, |ui| {
            ui.set_width(COLUMN_WIDTH - 2.0 * MARGIN);
            contents(ui, shown, view, queue);
        });
        ui.add_space(short.min(room / 2.0));
        high.response.rect.height()
    });
    view.scrolled = Scrolled { of, offset: drawn.state.unclamped_offset().y, high: drawn.inner };
}

fn contents(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    if view.asked_drawing() {
        drawing::show(ui, shown, view, queue);
        return;
    }
    let Some(wall) = shown.wall(view).filter(|_| view.selected != Selected::Job) else {
        job::show(ui, shown, view, queue);
        return;
    };
    match (view.step, view.selected) {
        (Step::Photo, _) => photo::show(ui, shown, wall, view, queue),
        (Step::Outline, Selected::Edge(id)) => edge::show(ui, shown, wall, id, view, queue),
        (Step::Outline, Selected::Tick(id)) => tick::show(ui, shown, wall, id, view, queue),
        (Step::Outline, Selected::Hole(index)) => hole::show(ui, shown, wall, index, view, queue),
        (Step::Outline, _) => outline::show(ui, shown, wall, view, queue),
        (Step::Layers, _) => layers::show(ui, shown, wall, view, queue),
        (Step::Box, _) => joints::show(ui, shown, view, queue),
        (Step::Pieces, _) => pieces::show(ui, shown, view, queue),
        (Step::Sheets, _) => sheets::show(ui, shown, view, queue),
        (Step::Papers, _) => papers::show(ui, shown, wall, view, queue),
    }
}
