//! The window: four boxes (document, derived results, view, work under way) and the loop that joins them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};

use coldwright_canvas::{CardKind, Picture};
use coldwright_job::{Edit, History, Job, PhotoId, Plan, Severity, Step, WallId, sentence_case};
use coldwright_screen::{Action, Busy, Made, Message, Shown, View};

use crate::error::AppError;
use crate::files;
use crate::recovery::{self, Found, Keeper};

mod carry;
mod drawing;
mod errand;
mod laying;
mod planner;
mod samples;
mod start;

use errand::{Ask, Brought};
use planner::PlanThread;
pub use start::open;

/// The program's window.
#[derive(Debug)]
pub struct App {
    history: History,
    file: Option<PathBuf>,
    plan: Plan,
    planned: u64,
    asked: Option<u64>,
    planner: PlanThread,
    view: View,
    pictures: BTreeMap<PhotoId, Arc<Picture>>,
    /// Photos whose picture is under way or cannot be shown; not asked for again.
    tried: BTreeSet<PhotoId>,
    busy: Vec<(u64, Busy)>,
    /// Errands the person has stopped waiting for.
    dropped: BTreeSet<u64>,
    messages: Vec<Message>,
    made: Option<Made>,
    /// Pieces being laid out on the sheets.
    laying: Option<laying::Laying>,
    left: Option<(Found, String)>,
    keeper: Option<Keeper>,
    home: Option<PathBuf>,
    kept: u64,
    send: Sender<Errand>,
    brought: Receiver<Errand>,
    /// Rises with every job opened or begun: what an errand for an older job brings is not put into a newer one.
    epoch: u64,
    /// A save is under way; another waits for it, so that the newest is the one that stays on disk.
    saving: bool,
    save_next: Option<PathBuf>,
    next: u64,
    ctx: egui::Context,
}

/// Ticket, the epoch it was begun in, and what it brought.
type Errand = (u64, u64, Brought);

impl App {
    /// An app without a window yet; `home` is where work is kept against a kill, `None` keeps none.
    ///
    /// # Errors
    /// When its threads cannot be started.
    pub fn new(ctx: &egui::Context, home: Option<&Path>) -> Result<App, AppError> {
        coldwright_screen::install(ctx);
        let wake = ctx.clone();
        let planner = PlanThread::start(move || wake.request_repaint())
            .map_err(|e| AppError::Window(format!("the program cannot start its threads: {e}")))?;
        let (send, brought) = channel();
        let left = home.and_then(recovery::find).map(|found| {
            let words = format!("Work on \"{}\" was not saved when the program ended.", found.job.name);
            (found, words)
        });
        let mut app = App {
            history: History::new(Job::default()),
            file: None,
            plan: Plan::default(),
            planned: 0,
            asked: None,
            planner,
            view: View::default(),
            pictures: BTreeMap::new(),
            tried: BTreeSet::new(),
            busy: Vec::new(),
            dropped: BTreeSet::new(),
            messages: Vec::new(),
            made: None,
            laying: None,
            left,
            keeper: None,
            home: home.map(Path::to_owned),
            epoch: 0,
            saving: false,
            save_next: None,
            kept: 0,
            send,
            brought,
            next: 1,
            ctx: ctx.clone(),
        };
        match home.map(Keeper::start) {
            Some(Ok(keeper)) => app.keeper = Some(keeper),
            Some(Err(e)) => app.tell(
                Severity::Look,
                format!("Unsaved work cannot be kept against a crash: {e}. Save often."),
            ),
            None => app.tell(Severity::Look, "There is no folder to keep unsaved work in. Save often."),
        }
        Ok(app)
    }

    /// Opens a job file, as typed or given on the command line.
    pub fn open_file(&mut self, path: PathBuf) {
        self.errand(Some((Step::Photo, "Opening the job")), move || errand::open(path));
    }

    /// Puts a sample on the board, to try.
    pub fn open_sample(&mut self, number: usize) {
        match samples::open(number) {
            Ok(job) => self.begin(History::new(job), None),
            Err(e) => self.tell(Severity::Stop, e.to_string()),
        }
    }

    /// The document as it is.
    pub fn job(&self) -> &Job {
        self.history.job()
    }

    /// What the person has been told.
    pub fn messages(&self) -> &[Message] {
        &self.messages
    }

    /// The last papers made.
    pub fn made(&self) -> Option<&Made> {
        self.made.as_ref()
    }

    /// Whether there is work that is not on disk.
    pub fn unsaved(&self) -> bool {
        self.history.unsaved()
    }

    /// Takes in what threads have brought, asks for what is out of date.
    pub fn logic(&mut self) {
        while let Ok((ticket, epoch, brought)) = self.brought.try_recv() {
            self.busy.retain(|(t, _)| *t != ticket);
            self.laying = self.laying.take().filter(|l| l.ticket != ticket);
            let saved = matches!(brought, Brought::Saved(..) | Brought::Broken(_));
            // What was written to disk is told even when the person has stopped waiting for it.
            let written = saved || matches!(brought, Brought::Made(..));
            let dropped = self.dropped.remove(&ticket) && !written;
            if saved {
                self.saving = false;
            }
            match brought {
                Brought::Picture(id, _) if dropped => {
                    self.tried.remove(&id);
                }
                _ if dropped => {}
                brought if epoch == self.epoch => self.take(brought),
                older => {
                    if let Some(e) = older.error() {
                        self.tell(Severity::Stop, e.to_string());
                    }
                }
            }
            if saved && let Some(path) = self.save_next.take() {
                self.save(path);
            }
        }
        if let Some((revision, plan)) = self.planner.answer(self.epoch) {
            self.plan = plan;
            self.planned = revision;
        }
        let revision = self.history.revision();
        if self.asked != Some(revision) {
            self.asked = Some(revision);
            self.planner.ask((self.epoch, revision), self.history.job().clone());
            self.fetch_pictures();
        }
        if self.kept != revision {
            self.kept = revision;
            match &self.keeper {
                Some(keeper) if self.history.unsaved() => {
                    keeper.keep(self.history.job().clone(), self.file.clone());
                }
                Some(keeper) => keeper.forget(),
                None => {}
            }
        }
        if let Some(trouble) = self.keeper.as_ref().and_then(Keeper::trouble) {
            self.tell(Severity::Look, format!("Unsaved work could not be kept: {trouble}."));
        }
    }

    /// Draws the window and does what the person asked for.
    pub fn ui(&mut self, ui: &mut egui::Ui) {
        let mut queue = Vec::new();
        let name = self.file.as_ref().and_then(|f| f.file_name()).map(|n| n.to_string_lossy().into_owned());
        let (words, best) = self.laying.as_ref().map(laying::Laying::told).unwrap_or_default();
        let lays = |ticket: u64| self.laying.as_ref().is_some_and(|l| l.ticket == ticket);
        let busy: Vec<Busy> = self
            .busy
            .iter()
            .map(|(ticket, b)| match &words {
                Some(words) if lays(*ticket) => Busy { step: b.step, words: words.clone() },
                _ => b.clone(),
            })
            .collect();
        let shown = Shown {
            job: self.history.job(),
            can_undo: self.history.can_undo(),
            can_redo: self.history.can_redo(),
            unsaved: self.history.unsaved(),
            file_name: name.as_deref(),
            plan: &self.plan,
            plan_is_current: self.planned == self.history.revision(),
            pictures: &self.pictures,
            busy: &busy,
            laying: best.as_ref(),
            messages: &self.messages,
            recovered: self.left.as_ref().map(|(_, words)| words.as_str()),
            made: self.made.as_ref(),
        };
        coldwright_screen::show(ui, &shown, &mut self.view, &mut queue);
        if !queue.is_empty() {
            ui.ctx().request_repaint();
        }
        for action in queue {
            self.act(action);
        }
    }

    /// Does one action.
    pub fn act(&mut self, action: Action) {
        match action {
            Action::Edit(edit, gesture) => {
                self.edit(&edit, gesture);
            }
            Action::EndGesture => self.history.end_gesture(),
            Action::Undo => {
                self.history.undo();
            }
            Action::Redo => {
                self.history.redo();
            }
            Action::NewJob => self.begin(History::new(Job::default()), None),
            Action::OpenJob(Some(path)) => self.open_file(typed(&path)),
            Action::OpenJob(None) => self.ask(Ask::Open),
            Action::OpenSample(number) => self.open_sample(number),
            Action::SaveJob => match self.file.clone() {
                Some(path) => self.save(path),
                None => self.ask(Ask::Save),
            },
            Action::SaveJobAs(Some(path)) => self.save_new(job_path(typed(&path))),
            Action::SaveJobAs(None) => self.ask(Ask::Save),
            Action::AddPhoto { wall, path: Some(path) } => self.add_photo(wall, typed(&path)),
            Action::AddPhoto { wall, path: None } => self.ask(Ask::Photo(wall)),
            Action::ReadTable { wall, path: Some(path) } => self.read_table(wall, typed(&path)),
            Action::ReadTable { wall, path: None } => self.ask(Ask::Table(wall)),
            Action::AddDrawing { wall, path: Some(path) } => self.add_drawing(wall, typed(&path)),
            Action::AddDrawing { wall, path: None } => self.ask(Ask::Drawing(wall)),
            Action::TakeDrawing { wall, file, outline, unit_mm } => {
                self.trace_drawing(wall, file, outline, unit_mm);
            }
            Action::MakePapers { folder: Some(folder) } => self.make_papers(typed(&folder)),
            Action::MakePapers { folder: None } => self.ask(Ask::Folder),
            Action::ShowFolder(folder) => {
                let address = files::address(Path::new(&folder));
                self.ctx.open_url(egui::OpenUrl::new_tab(address));
            }
            Action::LayOut => self.lay_out(),
            Action::StopLaying => {
                if let Some(laying) = &self.laying {
                    laying.stop();
                }
            }
            Action::Cancel => self.cancel(),
            Action::Dismiss(id) => self.messages.retain(|m| m.id != id),
            Action::TakeUpRecovered => {
                if let Some((found, _)) = self.left.take() {
                    self.begin(History::not_on_disk(found.job.clone()), found.file.clone());
                    // Kept anew before the old folder goes, so that a kill in between loses nothing.
                    let kept = match &self.keeper {
                        Some(keeper) => {
                            keeper.keep(self.history.job().clone(), self.file.clone());
                            keeper.settle()
                        }
                        None => Err("there is no folder to keep it in".to_owned()),
                    };
                    match kept {
                        Ok(()) => found.discard(),
                        // The older copy stays and is offered again.
                        Err(why) => self.tell(
                            Severity::Look,
                            format!("This work is not kept against a crash: {why}. Save it"),
                        ),
                    }
                }
            }
            Action::LeaveRecovered => {
                if let Some((found, _)) = self.left.take() {
                    found.discard();
                }
            }
            Action::Quit => self.ctx.send_viewport_cmd(egui::ViewportCommand::Close),
        }
    }

    /// Ends the program: unsaved work stays kept and is offered on the next start.
    pub fn close(&mut self) {
        let clean = !self.history.unsaved();
        if let Some(keeper) = self.keeper.take() {
            if !clean {
                keeper.keep(self.history.job().clone(), self.file.clone());
            }
            keeper.end(clean);
        }
    }

    /// Applies an edit; `true` when it changed the job.
    fn edit(&mut self, edit: &Edit, gesture: Option<u64>) -> bool {
        self.history.edit(edit, gesture).unwrap_or_else(|e| {
            self.tell(Severity::Stop, e.to_string());
            false
        })
    }

    /// Stops waiting for what is under way; a search for a layout has a stop of its own.
    fn cancel(&mut self) {
        let laying = self.laying.as_ref().map(|l| l.ticket);
        let (stay, gone) = std::mem::take(&mut self.busy).into_iter().partition(|(t, _)| Some(*t) == laying);
        self.busy = stay;
        self.dropped.extend::<Vec<u64>>(gone.into_iter().map(|(ticket, _): (u64, Busy)| ticket).collect());
    }

    fn begin(&mut self, history: History, file: Option<PathBuf>) {
        if self.history.unsaved() {
            // The work that gives way stays kept: it is offered on the next start.
            let kept = match &self.keeper {
                Some(keeper) => {
                    keeper.keep(self.history.job().clone(), self.file.clone());
                    keeper.settle()
                }
                None => Err("there is no folder to keep it in".to_owned()),
            };
            if let Err(why) = kept {
                let words =
                    format!("The work on the board is not saved and could not be kept: {why}. Save it first");
                self.tell(Severity::Stop, words);
                return;
            }
            if let Some(keeper) = self.keeper.take() {
                keeper.end(false);
            }
            match self.home.as_deref().map(Keeper::start) {
                Some(Ok(keeper)) => self.keeper = Some(keeper),
                _ => self.tell(
                    Severity::Look,
                    "Unsaved work cannot be kept against a crash any more. Save often.",
                ),
            }
            let name = &self.history.job().name;
            let words =
                format!("Unsaved work on \"{name}\" was kept. It is offered when the program starts again.");
            self.tell(Severity::Note, words);
        }
        self.epoch += 1;
        if let Some(laying) = &self.laying {
            laying.stop();
        }
        self.view.start_over();
        self.view.wall = history.job().walls.first().map(|w| w.id);
        self.history = history;
        self.file = file;
        self.asked = None;
        self.kept = u64::MAX;
        self.plan = Plan::default();
        self.planned = u64::MAX;
        self.made = None;
        self.pictures.clear();
        self.tried.clear();
    }

    fn add_photo(&mut self, wall: Option<WallId>, path: PathBuf) {
        let kind = wall
            .and_then(|id| self.history.job().wall(id))
            .and_then(|w| w.template_at(self.view.template()).unwrap_or(&w.template).sightings.as_ref())
            .map_or(CardKind::Printed, |s| s.kind);
        self.errand(Some((Step::Photo, "Looking for cards")), move || errand::photo(wall, kind, &path));
    }

    /// Saves under a name the person typed, or that was completed: another file of that name is not written over.
    fn save_new(&mut self, path: PathBuf) {
        if path.exists() && self.file.as_ref() != Some(&path) {
            let words =
                format!("There is already a file {}. Choose another name, or open it", path.display());
            self.tell(Severity::Stop, words);
        } else {
            self.save(path);
        }
    }

    fn save(&mut self, path: PathBuf) {
        if self.saving {
            self.save_next = Some(path);
            return;
        }
        self.saving = true;
        let job = self.history.job().clone();
        self.errand(Some((Step::Papers, "Saving")), move || errand::save(path, job));
    }

    fn make_papers(&mut self, folder: PathBuf) {
        let job = self.history.job().clone();
        self.errand(Some((Step::Papers, "Making papers")), move || errand::papers(folder, &job));
    }

    fn ask(&mut self, ask: Ask) {
        let name = format!("{}.coldwright", self.history.job().name);
        self.errand(None, move || errand::ask(ask, &name));
    }

    fn tell(&mut self, severity: Severity, sentence: impl Into<String>) {
        let sentence = sentence_case(&sentence.into());
        if self.messages.iter().any(|m| m.sentence == sentence) {
            return;
        }
        let id = self.ticket();
        self.messages.push(Message { id, severity, sentence });
    }

    fn ticket(&mut self) -> u64 {
        self.next += 1;
        self.next
    }
}

/// A path as a person types or pastes it: blanks round it, quotes, or a file address before it.
fn typed(text: &str) -> PathBuf {
    let text = text.trim();
    match text.strip_prefix("file://") {
        Some(address) => files::path_of_address(address),
        None => PathBuf::from(text.trim_matches(['"', '\''])),
    }
}

fn job_path(path: PathBuf) -> PathBuf {
    match path.extension() {
        Some(e) if e.eq_ignore_ascii_case("coldwright") => path,
        _ => {
            let mut name = path.into_os_string();
            name.push(".coldwright");
            PathBuf::from(name)
        }
    }
}
