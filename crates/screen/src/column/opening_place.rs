//! The wall an opening is in, and where in it.

use coldwright_geometry::Length;
use coldwright_job::{Edit, Opening, OpeningPlace, Stands, Wall, WallId};
use egui::{Id, Ui};

use crate::actions::Action;
use crate::edit_box::Bound;
use crate::parts::{drop_down, hint, row, value_width};
use crate::shown::Shown;
use crate::view::View;

/// Rows for the place of an opening; `edit` takes the opening with its new place. `name` tells one opening from another.
pub(super) fn show(
    ui: &mut Ui,
    shown: &Shown<'_>,
    view: &mut View,
    queue: &mut Vec<Action>,
    (opening, name): (Opening, &str),
    edit: &dyn Fn(Opening) -> Edit,
) {
    let chosen = opening.place.map(|p| p.wall);
    if let Some(wall) = row(ui, "Lies in", |ui| wall_choice(ui, shown, chosen, name)) {
        let place = wall.and_then(|id| middle(shown, id));
        queue.push(Action::Edit(edit(Opening { place, ..opening }), None));
    }
    let Some((place, wall)) = opening.place.and_then(|p| Some((p, shown.job.wall(p.wall)?))) else { return };
    let up = if wall.stands == Stands::Upright { "Its middle, up" } else { "Its middle, forward" };
    for (label, end) in [("Its middle, across", 0), (up, 1)] {
        row(ui, label, |ui| {
            let bound = Bound {
                job: shown.job,
                key: Id::unique((name, "place", end)),
                name: &format!("{label} of {name}"),
                hint: "",
                width: value_width(ui),
            };
            let (across, along) = place.at;
            let current = if end == 0 { across } else { along };
            bound.length(ui, &mut view.drafts, Some(current), queue, |l| {
                let at = if end == 0 { (l?, along) } else { (across, l?) };
                Some(edit(Opening { place: Some(OpeningPlace { at, ..place }), ..opening }))
            });
        });
    }
    hint(ui, &from(wall));
}

/// Where the place is counted from, and what it does.
fn from(wall: &Wall) -> String {
    let foot = if wall.stands == Stands::Upright { "bottom edge" } else { "after edge" };
    format!(
        "From the left end of the {foot}, seen from inside the box. The foam of {} is cut through there.",
        wall.name
    )
}

/// In the middle of the wall, to the millimetre.
fn middle(shown: &Shown<'_>, wall: WallId) -> Option<OpeningPlace> {
    let bounds = shown.plan.wall(wall)?.outline.as_ref()?.bounds();
    let at = |v: f64| Length::from_mm(v.round()).ok();
    Some(OpeningPlace { wall, at: (at(bounds.center().x)?, at(bounds.center().y)?) })
}

/// A wall newly chosen, or none.
fn wall_choice(ui: &mut Ui, shown: &Shown<'_>, chosen: Option<WallId>, name: &str) -> Option<Option<WallId>> {
    const NOWHERE: &str = "not said";
    let words =
        |id: Option<WallId>| id.and_then(|id| shown.job.wall(id)).map_or(NOWHERE, |w| w.name.as_str());
    let mut new = None;
    drop_down(ui, (name, "wall"), words(chosen), format!("Wall of {name}"), |ui| {
        let closed = |w: &&Wall| shown.plan.wall(w.id).is_some_and(|p| p.outline.is_some());
        let walls = shown.job.walls.iter().filter(closed).map(|w| Some(w.id));
        for id in std::iter::once(None).chain(walls) {
            if ui.selectable_label(chosen == id, words(id)).clicked() && id != chosen {
                new = Some(id);
            }
        }
    });
    new
}
