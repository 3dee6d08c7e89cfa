//! The job file: a zip with `job.json` and the photos.

use std::io::{Cursor, Read, Write};
use std::sync::Arc;

use crate::document::{Job, Photo};
use crate::error::JobError;
use crate::format::{FileHead, JobFile, job_from_file, job_to_file};

/// The newest file version this program reads, and the one it writes.
pub const FILE_VERSION: u32 = 3;

/// A job file may unpack to this much at most. An honest job is a few photos of some 10 MB.
const LARGEST_BYTES: u64 = 1 << 30;
/// The photos of a job may come to this much, so that what is saved can be opened again.
pub(crate) const LARGEST_PHOTOS: u64 = LARGEST_BYTES - (64 << 20);
/// `job.json` alone may be this large.
const LARGEST_JSON: u64 = 64 << 20;

/// The job as one file's bytes.
///
/// # Errors
/// When a number in it is not finite, or packing fails.
pub fn to_bytes(job: &Job) -> Result<Vec<u8>, JobError> {
    let mut zip = zip::ZipWriter::new(Cursor::new(Vec::new()));
    let written = |e: &dyn std::fmt::Display| JobError::Write(e.to_string());
    let packed = zip::write::SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated)
        .last_modified_time(zip::DateTime::default());
    let stored = packed.compression_method(zip::CompressionMethod::Stored);
    zip.start_file("job.json", packed).map_err(|e| written(&e))?;
    zip.write_all(&to_json(job)?).map_err(|e| written(&e))?;
    for photo in &job.photos {
        if let Some(bytes) = &photo.bytes {
            zip.start_file(photo_entry(photo), stored).map_err(|e| written(&e))?;
            zip.write_all(bytes).map_err(|e| written(&e))?;
        }
    }
    Ok(zip.finish().map_err(|e| written(&e))?.into_inner())
}

/// The document alone, without the photos' bytes, as readable JSON.
///
/// # Errors
/// When a number in it is not finite: such a job must not replace a good one.
pub fn to_json(job: &Job) -> Result<Vec<u8>, JobError> {
    let file = job_to_file(job);
    let value = serde_json::to_value(&file).map_err(|e| JobError::Write(e.to_string()))?;
    if let Some(place) = null_in(&value, "") {
        return Err(JobError::Write(format!("{place} is not a number")));
    }
    let mut bytes = serde_json::to_vec_pretty(&file).map_err(|e| JobError::Write(e.to_string()))?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// Reads a job file's bytes.
///
/// # Errors
/// A photo in it that is missing or damaged is left out, and the plan says so.
///
/// [`JobError::NotAJob`], [`JobError::Newer`], [`JobError::Damaged`] or [`JobError::Swollen`], each a sentence for the
/// person.
pub fn from_bytes(bytes: &[u8]) -> Result<Job, JobError> {
    let mut zip = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|e| {
        if bytes.is_empty() {
            JobError::NotAJob("the file is empty".to_owned())
        } else if bytes.starts_with(b"PK") {
            JobError::Damaged(format!("its end is missing or broken ({e})"))
        } else {
            JobError::NotAJob("it is another kind of file".to_owned())
        }
    })?;
    let json = read_entry(&mut zip, "job.json", LARGEST_JSON)?
        .ok_or_else(|| JobError::NotAJob("it has no job.json inside".to_owned()))?;
    let mut budget = LARGEST_BYTES;
    let mut swollen = None;
    let job = from_json(&json, |entry| match read_entry(&mut zip, entry, budget) {
        Ok(Some(photo)) => {
            budget -= photo.len() as u64;
            Some(photo.into())
        }
        Err(e @ JobError::Swollen(_)) => {
            swollen = Some(e);
            None
        }
        // A photo that is missing or broken takes nothing else with it: the outline stands without.
        Ok(None) | Err(_) => None,
    })?;
    swollen.map_or(Ok(job), Err)
}

/// Reads the JSON document; `photo` is asked for each photo's bytes by its entry name and may not have them.
///
/// # Errors
/// As [`from_bytes`].
pub fn from_json(json: &[u8], mut photo: impl FnMut(&str) -> Option<Arc<[u8]>>) -> Result<Job, JobError> {
    let head: FileHead = serde_json::from_slice(json)
        .map_err(|e| JobError::Damaged(format!("job.json cannot be read ({e})")))?;
    if head.coldwright_job > FILE_VERSION {
        return Err(JobError::Newer { found: head.coldwright_job, known: FILE_VERSION });
    }
    let file: JobFile = serde_json::from_slice(json)
        .map_err(|e| JobError::Damaged(format!("job.json cannot be read ({e})")))?;
    let mut job = job_from_file(file)?;
    if head.coldwright_job < 3 && job.cutting.tilt == (45, 10) {
        // Older programs wrote this themselves; a person had no way to say it.
        job.cutting.tilt = crate::workshop::Cutting::default().tilt;
    }
    for p in &mut job.photos {
        p.bytes = photo(&photo_entry(p));
    }
    Ok(job)
}

/// The name of a photo inside the job file.
pub fn photo_entry(photo: &Photo) -> String {
    let safe: String = photo
        .name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || matches!(c, '.' | '-' | '_') { c } else { '_' })
        .rev()
        .take(80)
        .collect();
    format!("photos/{}-{}", photo.id.0, safe.chars().rev().collect::<String>())
}

fn read_entry(
    zip: &mut zip::ZipArchive<Cursor<&[u8]>>,
    name: &str,
    most: u64,
) -> Result<Option<Vec<u8>>, JobError> {
    let entry = match zip.by_name(name) {
        Ok(entry) => entry,
        Err(zip::result::ZipError::FileNotFound) => return Ok(None),
        Err(e) => return Err(JobError::Damaged(format!("{name} cannot be unpacked ({e})"))),
    };
    let mut bytes = Vec::new();
    entry
        .take(most + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| JobError::Damaged(format!("{name} cannot be unpacked ({e})")))?;
    if bytes.len() as u64 > most { Err(JobError::Swollen(most >> 20)) } else { Ok(Some(bytes)) }
}

fn null_in(value: &serde_json::Value, place: &str) -> Option<String> {
    match value {
        serde_json::Value::Null => Some(place.to_owned()),
        serde_json::Value::Array(list) => {
            list.iter().enumerate().find_map(|(i, v)| null_in(v, &format!("{place}[{i}]")))
        }
        serde_json::Value::Object(map) => map.iter().find_map(|(k, v)| null_in(v, &format!("{place}.{k}"))),
        _ => None,
    }
}
