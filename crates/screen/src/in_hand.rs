//! One of a wall's further templates in hand: photo, outline and their columns see it as the wall's first, and what they ask
//! for is given back as an edit of that template.

use coldwright_job::{Edit, Job, Plan, Step, WallEdit, WallId};

use crate::actions::Action;
use crate::shown::Shown;
use crate::view::View;

/// Job and plan with the template in hand in the first one's place.
pub(crate) struct InHand {
    job: Job,
    plan: Plan,
    wall: WallId,
    number: usize,
}

impl InHand {
    /// What is in hand where that is not a wall's first template, on the steps that show templates.
    pub(crate) fn of(shown: &Shown<'_>, view: &View) -> Option<InHand> {
        let (Step::Photo | Step::Outline) = view.step else { return None };
        let (id, number) = (view.wall?, view.template());
        let further = shown.job.wall(id)?.further.get(number.checked_sub(1)?)?;
        let mut job = shown.job.clone();
        let wall = job.walls.iter_mut().find(|w| w.id == id)?;
        wall.template = further.template.clone();
        let mut plan = shown.plan.clone();
        if let Some(of_wall) = plan.walls.iter_mut().find(|w| w.id == id) {
            match of_wall.templates.get(number).cloned() {
                Some(t) => {
                    (of_wall.solve, of_wall.ticks, of_wall.farthest_error) =
                        (t.solve, t.ticks, t.farthest_error);
                    (of_wall.to_wall, of_wall.outline) = (t.to_wall, t.outline);
                    of_wall.measured = t.measured;
                }
                // The plan does not know it yet.
                None => {
                    (of_wall.solve, of_wall.outline, of_wall.farthest_error) = (None, None, None);
                    of_wall.ticks = std::sync::Arc::default();
                    of_wall.measured = coldwright_job::Measured::default();
                }
            }
        }
        Some(InHand { job, plan, wall: id, number })
    }

    /// What the screen may read, with the template in the first one's place.
    pub(crate) fn shown<'a>(&'a self, shown: &Shown<'a>) -> Shown<'a> {
        Shown { job: &self.job, plan: &self.plan, ..*shown }
    }

    /// Turns edits of the wall's template into edits of the one in hand.
    pub(crate) fn give_back(&self, asked: &mut [Action]) {
        for action in asked {
            let Action::Edit(edit, _) = action else { continue };
            let of_template = match edit {
                Edit::Wall(wall, of) => {
                    let whole = matches!(
                        of,
                        WallEdit::Further(_) | WallEdit::Holes(_) | WallEdit::Name(_) | WallEdit::Stands(_)
                    );
                    *wall == self.wall && !whole
                }
                _ => false,
            };
            if of_template {
                let inner = Box::new(edit.clone());
                *edit = Edit::InTemplate { wall: self.wall, template: self.number, edit: inner };
            }
        }
    }
}
