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

/// The address of a path for the system's own means, after RFC 8089: letters, digits and `-._~/` stand as they are, every
/// other byte of the path in UTF-8 as `%` and two digits.
pub fn address(path: &Path) -> String {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_owned());
    let text = whole.to_string_lossy().replace('\\', "/");
    let mut out = String::from("file://");
    if !text.starts_with('/') {
        out.push('/');
    }
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                out.push(char::from(byte));
            }
            b':' if cfg!(windows) => out.push(':'),
            other => out.push_str(&format!("%{other:02X}")),
        }
    }
    out
}

/// The path in a file address, less its `file://`: bytes written as `%` and two digits are read back.
pub fn path_of_address(address: &str) -> PathBuf {
    let bytes = address.trim().as_bytes();
    let mut out = Vec::with_capacity(bytes.len());
    let mut at = 0;
    while at < bytes.len() {
        let coded = bytes.get(at + 1..at + 3).filter(|_| bytes[at] == b'%');
        match coded.and_then(|two| u8::from_str_radix(std::str::from_utf8(two).ok()?, 16).ok()) {
            Some(byte) => {
                out.push(byte);
                at += 3;
            }
            None => {
                out.push(bytes[at]);
                at += 1;
            }
        }
    }
    let text = String::from_utf8_lossy(&out).into_owned();
    PathBuf::from(if cfg!(windows) { text.trim_start_matches('/').to_owned() } else { text })
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
    fn addresses_are_coded_as_the_standard_says_and_read_back() {
        // RFC 3986, section 2.1: a space is %20, and "é" in UTF-8 is C3 A9; "%" itself is %25.
        let path = Path::new("/home/é/My papers/50% #2?");
        assert_eq!(address(path), "file:///home/%C3%A9/My%20papers/50%25%20%232%3F");
        assert_eq!(path_of_address(address(path).strip_prefix("file://").unwrap()), path);
        assert_eq!(path_of_address("/a/100%"), Path::new("/a/100%"), "what is no code stands for itself");
    }

    #[test]
    fn a_missing_file_and_a_folder_are_refused_in_words() {
        let dir = folder("words");
        assert!(read(&dir.join("none")).unwrap_err().to_string().contains("it is not there"));
        assert!(read(&dir).unwrap_err().to_string().contains("folder"));
        fs::remove_dir_all(&dir).unwrap();
    }
}
