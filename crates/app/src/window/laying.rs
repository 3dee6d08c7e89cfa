//! Laying pieces out on sheets: a search on a thread of its own, its best so far shown, stopped with the best kept.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use coldwright_job::{LaidOut, Severity, SheetRequest, Step, keep_layout, sheet_request};
use coldwright_nesting::{Effort, Layout, Progress, nest};

use super::App;
use super::errand::Brought;
use crate::error::AppError;

/// Where the search's random numbers begin: the same pieces, sheets and moves give the same layout again.
const SEED: u64 = 1;
/// How long a person is kept waiting at most, seconds.
const SECONDS: f64 = 10.0;

/// A search under way.
#[derive(Debug)]
pub(super) struct Laying {
    pub(super) ticket: u64,
    stop: Arc<AtomicBool>,
    told: Arc<Mutex<Told>>,
}

/// What the search has told last.
#[derive(Debug, Default)]
struct Told {
    words: Option<String>,
    best: Option<Arc<LaidOut>>,
}

impl Laying {
    /// Asks the search to end with the best it has.
    pub(super) fn stop(&self) {
        self.stop.store(true, Ordering::Relaxed);
    }

    /// The words for its progress, when there are any yet, and the best layout so far.
    pub(super) fn told(&self) -> (Option<String>, Option<Arc<LaidOut>>) {
        let told = self.told.lock().unwrap_or_else(PoisonError::into_inner);
        (told.words.clone(), told.best.clone())
    }
}

impl App {
    /// Begins the search, where there is something to lay out and none is under way.
    pub(super) fn lay_out(&mut self) {
        if self.laying.is_some() {
            return;
        }
        let revision = self.history.revision();
        if self.planned != revision {
            self.tell(Severity::Note, "The pieces are still being worked out. Try again in a moment.");
            return;
        }
        let asked = sheet_request(self.history.job(), &self.plan.pieces);
        if asked.ids.is_empty() {
            let words = if asked.without.is_empty() {
                "There are no pieces to lay out yet: they follow from the layers."
            } else {
                "No sheet in the list is of the material and thickness of any piece. Add one to the sheets."
            };
            self.tell(Severity::Look, words);
            return;
        }
        let (stop, told) = (Arc::new(AtomicBool::new(false)), Arc::new(Mutex::new(Told::default())));
        let (stopped, telling, ctx) = (stop.clone(), told.clone(), self.ctx.clone());
        let ticket = self.errand(Some((Step::Sheets, "Laying out")), move || {
            let found = search(&asked, &stopped, &mut |words, best| {
                let mut told = telling.lock().unwrap_or_else(PoisonError::into_inner);
                told.words = Some(words);
                told.best = Some(best);
                ctx.request_repaint();
            });
            Brought::Laid(revision, found)
        });
        self.laying = ticket.map(|ticket| Laying { ticket, stop, told });
    }

    /// Keeps a layout found, unless the job has moved on since.
    pub(super) fn take_layout(&mut self, revision: u64, layout: coldwright_job::KeptLayout) {
        if self.history.revision() == revision {
            self.edit(&coldwright_job::Edit::KeepLayout(Some(layout)), None);
        } else {
            self.tell(
                Severity::Look,
                "The job was changed while its pieces were laid out, so that layout is not kept. Lay them out again",
            );
        }
    }
}

fn search(
    asked: &SheetRequest,
    stop: &AtomicBool,
    tell: &mut dyn FnMut(String, Arc<LaidOut>),
) -> Result<coldwright_job::KeptLayout, AppError> {
    let effort = Effort { seed: SEED, moves: None, seconds: Some(SECONDS), threads: 1 };
    let outcome = nest(&asked.request, &effort, stop, &mut |progress: &Progress| {
        if let Some(better) = &progress.better {
            let best = LaidOut {
                asked: asked.clone(),
                layout: better.clone(),
                offcuts: Vec::new(),
                break_downs: Vec::new(),
                short: Vec::new(),
                faults: Vec::new(),
            };
            tell(words(better), Arc::new(best));
        }
    })
    .map_err(|e| AppError::Words(e.to_string()))?;
    Ok(keep_layout(asked, &outcome, SEED))
}

fn words(layout: &Layout) -> String {
    match layout.sheets.len() {
        1 => "Laying out: 1 sheet so far".to_owned(),
        n => format!("Laying out: {n} sheets so far"),
    }
}

#[cfg(test)]
mod tests {
    use std::time::{Duration, Instant};

    use coldwright_job::{Edit, WallEdit};
    use coldwright_screen::Action;

    use super::*;

    fn until(app: &mut App, what: &str, mut done: impl FnMut(&App) -> bool) {
        let since = Instant::now();
        loop {
            app.logic();
            if done(app) {
                return;
            }
            assert!(since.elapsed() < Duration::from_secs(120), "{what}: {:?}", app.messages());
            std::thread::sleep(Duration::from_millis(10));
        }
    }

    /// The first sample, its pieces worked out and a layout being looked for.
    fn at_work() -> App {
        let mut app = App::new(&egui::Context::default(), None).unwrap();
        app.open_sample(0);
        app.logic();
        app.act(Action::LayOut);
        assert!(app.laying.is_none(), "nothing is laid out before the pieces are there");
        until(&mut app, "pieces", |a| a.planned == a.history.revision());
        assert!(!app.plan.pieces.is_empty());
        app.act(Action::LayOut);
        until(&mut app, "a first layout", |a| a.laying.as_ref().is_some_and(|l| l.told().1.is_some()));
        let (words, best) = app.laying.as_ref().unwrap().told();
        assert!(words.unwrap().starts_with("Laying out: "));
        assert_eq!(best.unwrap().layout.placements.len(), app.plan.pieces.len());
        app
    }

    #[test]
    fn a_search_that_is_stopped_keeps_its_best() {
        let mut app = at_work();
        app.act(Action::StopLaying);
        until(&mut app, "the layout", |a| a.job().layout.is_some());
        assert!(app.laying.is_none() && app.busy.is_empty());
        until(&mut app, "the plan", |a| a.planned == a.history.revision());
        assert!(app.plan.laid.as_ref().unwrap().is_sound());
        app.act(Action::Undo);
        assert!(app.job().layout.is_none(), "keeping it is one step");
    }

    #[test]
    fn a_layout_of_a_job_that_has_changed_is_not_kept() {
        let mut app = at_work();
        let wall = app.job().walls[0].id;
        app.act(Action::Edit(Edit::Wall(wall, WallEdit::Name("Port side".to_owned())), None));
        app.act(Action::StopLaying);
        until(&mut app, "the end of the search", |a| a.laying.is_none());
        assert!(app.job().layout.is_none());
        assert!(app.messages().iter().any(|m| m.sentence.contains("that layout is not kept")));
    }
}
