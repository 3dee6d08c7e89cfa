//! Reading and writing files whole.

use std::ffi::OsString;
use std::fs::{self, File};
use std::io::{self, Read, Write};
use std::path::{Path, PathBuf};

use crate::error::AppError;

/// Larger files are no photo and no job of ours, bytes.
const LARGEST: u64 = 2 << 30;

/// Reads a file whole.
///
/// # Errors
/// [`AppError::Read`] when it is not there, not a file, or larger than any photo or job.
pub fn read(path: &Path) -> Result<Vec<u8>, AppError> {
    let failed = |why: String| AppError::Read { path: path.to_owned(), why };
    let file = File::open(path).map_err(|e| failed(plain(&e)))?;
    let meta = file.metadata().map_err(|e| failed(plain(&e)))?;
    if meta.is_dir() {
        return Err(failed("it is a folder; name the file inside it".to_owned()));
    }
    let mut bytes = Vec::new();
    file.take(LARGEST + 1).read_to_end(&mut bytes).map_err(|e| failed(plain(&e)))?;
    if bytes.len() as u64 > LARGEST { Err(failed("it is larger than 2 GB".to_owned())) } else { Ok(bytes) }
}

/// Reads a file of text; what is not UTF-8 is read as the older one-byte letters of western Europe.
///
/// # Errors
/// As [`read`]; [`AppError::Read`] too for a file that is no text.
pub fn read_text(path: &Path) -> Result<String, AppError> {
    let bytes = read(path)?;
    if bytes.contains(&0) {
        let why = "it is no text; save the table as CSV".to_owned();
        return Err(AppError::Read { path: path.to_owned(), why });
    }
    Ok(String::from_utf8(bytes).unwrap_or_else(|e| e.into_bytes().into_iter().map(char::from).collect()))
}

/// Writes a file whole: to a new file beside it, synced, then renamed over the old one. A crash leaves the old file or
/// the new one, never half.
///
/// # Errors
/// [`AppError::Write`]; the old file is untouched then.
pub fn write(path: &Path, bytes: &[u8]) -> Result<(), AppError> {
    let failed = |e: &io::Error| AppError::Write { path: path.to_owned(), why: plain(e) };
    let folder = match path.parent() {
        Some(p) if !p.as_os_str().is_empty() => p.to_owned(),
        _ => PathBuf::from("."),
    };
    // The written-to name stays short whatever the file is called: file systems stop at 255 bytes.
    let mut temporary = OsString::from(".coldwright-");
    temporary.push(format!("{}-{}", std::process::id(), unique()));
    let temporary = folder.join(temporary);
    let done = (|| {
        let mut file = File::create_new(&temporary)?;
        file.write_all(bytes)?;
        file.sync_all()?;
        drop(file);
        fs::rename(&temporary, path)
    })();
    if let Err(e) = done {
        let _ = fs::remove_file(&temporary);
        return Err(failed(&e));
    }
    // The new file is in place; that the folder cannot be synced on some file systems loses nothing but speed.
    let _ = sync_folder(&folder);
    Ok(())
}

#[cfg(unix)]
fn sync_folder(folder: &Path) -> io::Result<()> {
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_folder: &Path) -> io::Result<()> {
    Ok(())
}

fn unique() -> u64 {
    use std::sync::atomic::{AtomicU64, Ordering};
    static NEXT: AtomicU64 = AtomicU64::new(0);
    NEXT.fetch_add(1, Ordering::Relaxed)
}

/// What the system says, without its number.
fn plain(e: &io::Error) -> String {
    match e.kind() {
        io::ErrorKind::NotFound => "it is not there".to_owned(),
        io::ErrorKind::PermissionDenied => "this user may not".to_owned(),
        io::ErrorKind::StorageFull => "the disk is full".to_owned(),
        io::ErrorKind::ReadOnlyFilesystem => "the disk is read-only".to_owned(),
        _ => e.to_string().split(" (os error").next().unwrap_or_default().to_lowercase(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn folder(name: &str) -> PathBuf {
        let dir = std::env::temp_dir().join(format!("coldwright-files-{}-{name}", std::process::id()));
        fs::create_dir_all(&dir).unwrap();
        dir
    }

    #[test]
    fn a_long_or_foreign_name_is_written_and_read() {
        let dir = folder("names");
        for name in [format!("{}.x", "å".repeat(124)), "кухня 厨房 é.coldwright".to_owned()] {
            let path = dir.join(name);
            write(&path, b"one").unwrap();
            write(&path, b"two").unwrap();
            assert_eq!(read(&path).unwrap(), b"two");
        }
        assert_eq!(fs::read_dir(&dir).unwrap().count(), 2, "nothing temporary is left");
        fs::remove_dir_all(&dir).unwrap();
    }

    #[test]
    fn what_cannot_be_written_leaves_the_old_file() {
        let dir = folder("old");
        let inside = dir.join("file");
        write(&inside, b"old").unwrap();
        // A folder cannot be replaced by a file.
        let error = write(&dir, b"new").unwrap_err();
        assert!(error.to_string().contains("untouched"), "{error}");
        assert_eq!(read(&inside).unwrap(), b"old");
        fs::remove_dir_all(&dir).unwrap();
    }

    #[test]
    fn a_missing_file_and_a_folder_are_refused_in_words() {
        let dir = folder("words");
        assert!(read(&dir.join("none")).unwrap_err().to_string().contains("it is not there"));
        assert!(read(&dir).unwrap_err().to_string().contains("folder"));
        fs::remove_dir_all(&dir).unwrap();
    }
}
