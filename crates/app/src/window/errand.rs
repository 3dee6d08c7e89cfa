//! Errands: reading, writing and asking, each on a thread of its own, the result brought back.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use coldwright_canvas::{CardKind, Limits, Picture};
use coldwright_job::{DrawnFile, DrawnTrace, Job, KeptLayout, PhotoId, WallId, to_bytes};
use coldwright_papers::MakeOptions;

use crate::commands::make;
use crate::error::AppError;
use crate::import::{self, Imported};
use crate::{commands, files};

/// A system dialog that answers faster than a person could was not shown at all.
const NO_PERSON: Duration = Duration::from_millis(400);

/// What an errand brings back.
#[derive(Debug)]
pub(super) enum Brought {
    /// A photo for a wall; the wall is made when it is `None`.
    Photo(Option<WallId>, CardKind, Result<Box<Imported>, AppError>),
    /// A table of taped numbers for a wall.
    Table(WallId, Result<String, AppError>),
    /// A drawing file for a wall, its outlines read.
    Drawing(Option<WallId>, Result<Arc<DrawnFile>, AppError>),
    /// An outline of it as sides.
    Traced(Option<WallId>, Arc<DrawnFile>, Result<DrawnTrace, AppError>),
    /// A photo of the job, decoded for showing.
    Picture(PhotoId, Result<Arc<Picture>, AppError>),
    /// A job file.
    Opened(PathBuf, Result<Box<Job>, AppError>),
    /// The job was saved.
    Saved(PathBuf, Result<Arc<Job>, AppError>),
    /// Papers were made: names and sizes, and sentences that ask for a look.
    Made(PathBuf, Result<MadePapers, AppError>),
    /// Pieces were laid out on sheets, for the job as it was at that revision.
    Laid(u64, Result<KeptLayout, AppError>),
    /// The person chose a path in a system dialog.
    Chosen(Ask, PathBuf),
    /// The person closed the dialog without choosing.
    Declined,
    /// No dialog could be shown.
    NoDialog,
    /// The errand broke down.
    Broken(AppError),
}

impl Brought {
    /// Why it failed, if it did.
    pub(super) fn error(&self) -> Option<&AppError> {
        match self {
            Brought::Photo(_, _, Err(e))
            | Brought::Drawing(_, Err(e))
            | Brought::Traced(_, _, Err(e))
            | Brought::Picture(_, Err(e))
            | Brought::Table(_, Err(e))
            | Brought::Opened(_, Err(e))
            | Brought::Saved(_, Err(e))
            | Brought::Made(_, Err(e))
            | Brought::Laid(_, Err(e))
            | Brought::Broken(e) => Some(e),
            _ => None,
        }
    }
}

/// Runs an errand whole: should it break down, the person is told and nothing waits for it.
pub(super) fn whole(work: impl FnOnce() -> Brought) -> Brought {
    std::panic::catch_unwind(std::panic::AssertUnwindSafe(work)).unwrap_or_else(|_| {
        Brought::Broken(AppError::Words(
            "that broke down inside the program; the work on the board is as it was".to_owned(),
        ))
    })
}

/// Names and sizes of papers made, sentences that ask for a look, and one on older papers in the folder.
pub(super) type MadePapers = (Vec<(String, u64)>, Vec<String>, Option<String>);

/// What a system dialog is asked for.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Ask {
    /// A photo for a wall.
    Photo(Option<WallId>),
    /// A table of taped numbers for a wall.
    Table(WallId),
    /// A drawing for a wall.
    Drawing(Option<WallId>),
    /// A job to open.
    Open,
    /// Where to save.
    Save,
    /// A folder for papers.
    Folder,
}

pub(super) fn photo(wall: Option<WallId>, kind: CardKind, path: &Path) -> Brought {
    Brought::Photo(wall, kind, import::photo(path, kind).map(Box::new))
}

pub(super) fn table(wall: WallId, path: &Path) -> Brought {
    Brought::Table(wall, files::read_text(path))
}

pub(super) fn drawing(wall: Option<WallId>, path: &Path) -> Brought {
    Brought::Drawing(wall, import::drawing(path).map(Arc::new))
}

pub(super) fn trace(wall: Option<WallId>, file: Arc<DrawnFile>, outline: usize, unit_mm: f64) -> Brought {
    let traced = file.trace(outline, unit_mm).map_err(AppError::from);
    Brought::Traced(wall, file, traced)
}

pub(super) fn picture(id: PhotoId, bytes: &[u8]) -> Brought {
    Brought::Picture(id, Picture::decode(bytes, &Limits::default()).map(Arc::new).map_err(AppError::from))
}

pub(super) fn open(path: PathBuf) -> Brought {
    let job = commands::open(&path).map(Box::new);
    Brought::Opened(path, job)
}

pub(super) fn save(path: PathBuf, job: Arc<Job>) -> Brought {
    let saved =
        to_bytes(&job).map_err(AppError::from).and_then(|bytes| files::write(&path, &bytes)).map(|()| job);
    Brought::Saved(path, saved)
}

pub(super) fn papers(folder: PathBuf, job: &Job) -> Brought {
    let made = make::papers(job, &MakeOptions::default()).and_then(|(papers, looks)| {
        let older = make::write_all(&folder, &papers)?;
        Ok((papers.into_iter().map(|p| (p.name, p.bytes.len() as u64)).collect(), looks, older))
    });
    Brought::Made(folder, made)
}

/// Shows a system dialog and waits for the person.
pub(super) fn ask(ask: Ask, suggestion: &str) -> Brought {
    let since = Instant::now();
    let dialog = rfd::FileDialog::new();
    let chosen = match ask {
        Ask::Photo(_) => dialog
            .set_title("Choose photo")
            .add_filter(
                "Photos",
                &["jpg", "jpeg", "png", "webp", "tif", "tiff", "heic", "heif", "JPG", "JPEG", "PNG", "HEIC"],
            )
            .pick_file(),
        Ask::Table(_) => dialog
            .set_title("Choose table")
            .add_filter("Tables", &["csv", "txt", "tsv", "CSV", "TXT"])
            .pick_file(),
        Ask::Drawing(_) => dialog
            .set_title("Choose drawing")
            .add_filter("Drawings", &["svg", "dxf", "SVG", "DXF"])
            .pick_file(),
        Ask::Open => dialog.set_title("Open job").add_filter("Coldwright jobs", &["coldwright"]).pick_file(),
        Ask::Save => dialog
            .set_title("Save job")
            .add_filter("Coldwright jobs", &["coldwright"])
            .set_file_name(suggestion)
            .save_file(),
        Ask::Folder => dialog.set_title("Folder for papers").pick_folder(),
    };
    match chosen {
        Some(path) => Brought::Chosen(ask, path),
        None if since.elapsed() < NO_PERSON => Brought::NoDialog,
        None => Brought::Declined,
    }
}
