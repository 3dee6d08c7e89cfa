//! From the bytes of a photo or a drawing file to what a job keeps of it.

use std::path::Path;
use std::sync::Arc;

use coldwright_canvas::{
    CardKind, CardsFound, Limits, PhotoCards, Picture, find_cards, without_private_data,
};
use coldwright_job::{DrawnFile, PhotoId, Sighting};

use crate::error::AppError;
use crate::files;

/// A photo ready to be put into a job.
#[derive(Debug)]
pub struct Imported {
    /// File name without folders.
    pub name: String,
    /// Bytes without position and owner.
    pub bytes: Arc<[u8]>,
    /// The picture.
    pub picture: Arc<Picture>,
    /// The cards, and what is to be said of them.
    pub found: CardsFound,
}

impl Imported {
    /// What the job keeps of the cards; the photo's number is given by the edit that adds it.
    pub fn sighting(&self) -> Sighting {
        let seen = PhotoCards::new(&self.picture, &self.found);
        Sighting {
            photo: PhotoId(0),
            size: (seen.width, seen.height),
            focal_px: seen.focal_prior_px,
            cards: seen.cards,
        }
    }
}

/// Reads a photo and finds its cards.
///
/// # Errors
/// When the file cannot be read, is no photo, or is cut short: one sentence, naming the file.
pub fn photo(path: &Path, kind: CardKind) -> Result<Imported, AppError> {
    let named = |why| AppError::Photo { path: path.to_owned(), why };
    let bytes = files::read(path)?;
    let picture = Picture::decode(&bytes, &Limits::default()).map_err(named)?;
    let found = find_cards(&picture, kind);
    let kept = without_private_data(&bytes).map_err(named)?;
    let name = name_of(path);
    Ok(Imported { name, bytes: kept.into(), picture: Arc::new(picture), found })
}

/// Reads the outlines of an SVG or DXF file.
///
/// # Errors
/// When the file cannot be read, is no drawing, or has no closed outline: one sentence, naming the file.
pub fn drawing(path: &Path) -> Result<DrawnFile, AppError> {
    let bytes = files::read(path)?;
    DrawnFile::read(&name_of(path), &bytes).map_err(|why| AppError::Drawing { path: path.to_owned(), why })
}

fn name_of(path: &Path) -> String {
    path.file_name().map_or_else(|| "file".to_owned(), |n| n.to_string_lossy().into_owned())
}
