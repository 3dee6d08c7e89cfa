//! Errands sent out, and what they bring put where it belongs.

use coldwright_canvas::CardKind;
use coldwright_job::{Edit, History, Severity, Step, Taped, WallEdit, WallId};
use coldwright_screen::{Busy, Made};

use super::errand::{self, Ask, Brought};
use super::{App, job_path};

impl App {
    pub(super) fn fetch_pictures(&mut self) {
        let wanted: Vec<_> = self
            .history
            .job()
            .photos
            .iter()
            .filter(|p| !self.pictures.contains_key(&p.id) && !self.tried.contains(&p.id))
            .filter_map(|p| p.bytes.clone().map(|bytes| (p.id, bytes)))
            .collect();
        for (id, bytes) in wanted {
            self.tried.insert(id);
            self.errand(Some((Step::Photo, "Opening the photo")), move || errand::picture(id, &bytes));
        }
    }

    /// Sends an errand out; gives its ticket, or tells the person why it could not be begun.
    pub(super) fn errand(
        &mut self,
        busy: Option<(Step, &str)>,
        work: impl FnOnce() -> Brought + Send + 'static,
    ) -> Option<u64> {
        let ticket = self.ticket();
        let (send, ctx, epoch) = (self.send.clone(), self.ctx.clone(), self.epoch);
        let started = std::thread::Builder::new().name("errand".to_owned()).spawn(move || {
            // Nobody listens any more when the window is gone, and that is no error.
            let _ = send.send((ticket, epoch, errand::whole(work)));
            ctx.request_repaint();
        });
        match started {
            Ok(_) => {
                self.busy.extend(busy.map(|(step, words)| (ticket, Busy { step, words: words.to_owned() })));
                Some(ticket)
            }
            Err(e) => {
                self.tell(Severity::Stop, format!("That could not be begun: {e}."));
                None
            }
        }
    }

    pub(super) fn take(&mut self, brought: Brought) {
        match brought {
            Brought::Photo(wall, kind, Ok(photo)) => self.take_photo(wall, kind, &photo),
            Brought::Drawing(wall, Ok(file)) => match file.unit_mm {
                Some(unit_mm) if file.outlines.len() == 1 => self.trace_drawing(wall, file, 0, unit_mm),
                _ => self.view.ask_about_drawing(wall, file),
            },
            Brought::Traced(wall, file, Ok(trace)) => self.take_drawing(wall, &file, trace),
            Brought::Picture(id, Ok(picture)) => {
                self.pictures.insert(id, picture);
            }
            Brought::Table(wall, Ok(text)) => self.take_table(wall, text),
            Brought::Opened(path, Ok(job)) => self.begin(History::new(*job), Some(path)),
            Brought::Saved(path, Ok(job)) => {
                self.history.mark_saved(job);
                self.file = Some(path);
                self.kept = u64::MAX;
            }
            Brought::Made(folder, Ok((files, looks, older))) => {
                if let Some(older) = older {
                    self.tell(Severity::Look, older);
                }
                // The sentences stand beside the steps they belong to, and in the shop book.
                if !looks.is_empty() {
                    let words = match looks.len() {
                        1 => "The papers are made. One thing is to be looked at before cutting: the shop book names it.".to_owned(),
                        n => format!("The papers are made. {n} things are to be looked at before cutting: the shop book lists them."),
                    };
                    self.tell(Severity::Look, words);
                }
                self.made = Some(Made { folder: folder.display().to_string(), files });
            }
            Brought::Laid(revision, Ok(layout)) => self.take_layout(revision, layout),
            Brought::Chosen(Ask::Photo(wall), path) => self.add_photo(wall, path),
            Brought::Chosen(Ask::Table(wall), path) => self.read_table(wall, path),
            Brought::Chosen(Ask::Drawing(wall), path) => self.add_drawing(wall, path),
            Brought::Chosen(Ask::Open, path) => self.open_file(path),
            Brought::Chosen(Ask::Save, path) => {
                let whole = job_path(path.clone());
                // The dialog has asked about a file of the very name that was chosen.
                if whole == path { self.save(whole) } else { self.save_new(whole) }
            }
            Brought::Chosen(Ask::Folder, path) => self.make_papers(path),
            Brought::Declined => {}
            Brought::NoDialog => {
                self.view.point_to_path_field();
                self.tell(Severity::Note, "The system's file dialog could not be opened. Type the path, or drop the file on the window.");
            }
            Brought::Photo(_, _, Err(e))
            | Brought::Drawing(_, Err(e))
            | Brought::Traced(_, _, Err(e))
            | Brought::Picture(_, Err(e))
            | Brought::Table(_, Err(e))
            | Brought::Opened(_, Err(e))
            | Brought::Saved(_, Err(e))
            | Brought::Made(_, Err(e))
            | Brought::Laid(_, Err(e))
            | Brought::Broken(e) => self.tell(Severity::Stop, e.to_string()),
        }
    }

    pub(super) fn read_table(&mut self, wall: WallId, path: std::path::PathBuf) {
        self.errand(Some((Step::Outline, "Reading the table")), move || errand::table(wall, &path));
    }

    /// Puts a table where the wall's table is; a wall measured point by point gets one of names, across and up.
    fn take_table(&mut self, id: WallId, text: String) {
        let job = self.history.job().clone();
        let number = if self.view.wall == Some(id) { self.view.template() } else { 0 };
        let Some(template) = job.wall(id).and_then(|w| w.template_at(number)) else { return };
        let fresh = Taped { bare: job.units.bare(), ..Taped::default() };
        let taped = Taped { table: text, ..template.taped.clone().unwrap_or(fresh) };
        let edit = Edit::Wall(id, WallEdit::Taped(Some(taped)));
        let edit = match number {
            0 => edit,
            template => Edit::InTemplate { wall: id, template, edit: Box::new(edit) },
        };
        if self.edit(&edit, None) {
            (self.view.wall, self.view.step) = (Some(id), Step::Outline);
        }
    }

    fn take_photo(&mut self, wall: Option<WallId>, kind: CardKind, photo: &crate::import::Imported) {
        let wall = wall.filter(|id| self.history.job().wall(*id).is_some());
        let wall = wall.or_else(|| {
            let name = self.history.job().free_wall_name();
            self.edit(&Edit::AddWall { name }, None);
            self.history.job().walls.last().map(|w| w.id)
        });
        let Some(wall) = wall else { return };
        let edit = Edit::AddPhoto {
            wall,
            name: photo.name.clone(),
            bytes: photo.bytes.clone(),
            sighting: photo.sighting(),
            kind,
        };
        // A photo goes to the template in hand.
        let template = if self.view.wall == Some(wall) { self.view.template() } else { 0 };
        let edit = match template {
            0 => edit,
            template => Edit::InTemplate { wall, template, edit: Box::new(edit) },
        };
        if !self.edit(&edit, None) {
            return;
        }
        if let Some(id) = self.history.job().photos.last().map(|p| p.id) {
            self.pictures.insert(id, photo.picture.clone());
        }
        self.view.wall = Some(wall);
        for words in photo.picture.facts().warnings.iter().map(ToString::to_string) {
            self.tell(Severity::Look, words);
        }
        for words in photo.found.notes.iter().map(ToString::to_string) {
            self.tell(Severity::Look, words);
        }
    }
}
