//! What can go wrong in the program around the sums.

use std::path::PathBuf;

use coldwright_canvas::CanvasError;
use coldwright_export::ExportError;
use coldwright_job::JobError;
use coldwright_papers::PapersError;

/// Why a command or an action did not happen. One sentence for the person; nothing is written half.
#[derive(Debug, thiserror::Error)]
pub enum AppError {
    /// A file could not be read.
    #[error("cannot read the file: {why}: {}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A file could not be written; what was there before is still there.
    #[error("cannot write the file: {why}; what was there before is untouched: {}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A photo cannot be used.
    #[error("{why}: {}", path.display())]
    Photo {
        /// The file.
        path: PathBuf,
        /// Why.
        why: CanvasError,
    },
    /// A drawing file cannot be used.
    #[error("{why}: {}", path.display())]
    Drawing {
        /// The file.
        path: PathBuf,
        /// Why.
        why: ExportError,
    },
    /// A photo or the measuring of it cannot be used, no file in sight.
    #[error(transparent)]
    Canvas(#[from] CanvasError),
    /// A job file cannot be used.
    #[error("{why}: {}", path.display())]
    JobFile {
        /// The file.
        path: PathBuf,
        /// Why.
        why: JobError,
    },
    /// An edit was refused.
    #[error(transparent)]
    Job(#[from] JobError),
    /// Papers could not be made.
    #[error(transparent)]
    Papers(#[from] PapersError),
    /// A file could not be drawn.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// The words of a command cannot be used.
    #[error("{0}")]
    Words(String),
    /// The checks found something that would spoil the work; it has been said already.
    #[error("{0}")]
    Spoiled(String),
    /// The window could not be opened.
    #[error("{0}")]
    Window(String),
}
