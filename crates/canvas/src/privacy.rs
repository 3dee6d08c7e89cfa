//! A photo without what it tells about its owner: the picture's own bytes stay as they are.

use crate::decode::{Format, Record, format, jpeg, others, png, read_record};
use crate::error::CanvasError;
use crate::picture::Limits;

/// The same picture without position, owner, serial numbers, maker's notes, thumbnails, comments and edit records.
///
/// Kept are the coded picture, byte for byte, what it needs to be decoded and shown (tables, Adobe marker, colour profile), and a new
/// short record of orientation, focal lengths, digital zoom and pixel sizes. Whatever follows the picture's end is dropped. WebP, TIFF and HEIC files
/// come back as PNG files of the same pixels with that record.
///
/// # Errors
/// The same refusals as [`crate::Picture::decode`] for files that are empty, no picture, or cut short.
pub fn without_private_data(bytes: &[u8]) -> Result<Vec<u8>, CanvasError> {
    match format(bytes)? {
        Format::Jpeg => clean_jpeg(bytes),
        Format::Png => clean_png(bytes),
        Format::WebP => others::as_png(others::webp(bytes, &Limits::default())?),
        Format::Tiff => others::as_png(others::tiff(bytes, &Limits::default())?),
        Format::Heic => others::as_png(others::heic(bytes, &Limits::default())?),
    }
}

/// Only fields that are there in sane form go into the new record.
fn kept(tiff: Option<&[u8]>) -> Option<Vec<u8>> {
    let record = read_record(tiff?).ok()?;
    (record != Record::default()).then(|| record.to_tiff())
}

fn clean_jpeg(bytes: &[u8]) -> Result<Vec<u8>, CanvasError> {
    let parts = jpeg::parts(bytes)?;
    let mut out = Vec::with_capacity(bytes.len());
    out.extend([0xFF, 0xD8]);
    if let Some(tiff) = kept(jpeg::exif_of(bytes, &parts)) {
        out.extend([0xFF, 0xE1]);
        out.extend(((2 + jpeg::EXIF_HEAD.len() + tiff.len()) as u16).to_be_bytes());
        out.extend(jpeg::EXIF_HEAD);
        out.extend(tiff);
    }
    for s in &parts.segments {
        let inside = &bytes[s.content..s.content_end];
        let keep = match s.marker {
            // A plain JFIF head carries no thumbnail: its last two bytes, the thumbnail's sizes, are zero.
            0xE0 => inside.starts_with(b"JFIF\0") && inside.len() == 14,
            0xE2 => inside.starts_with(b"ICC_PROFILE\0"),
            0xEE => inside.starts_with(b"Adobe"),
            0xE1..=0xEF | 0xFE => false,
            _ => true,
        };
        if keep {
            out.extend([0xFF, s.marker]);
            out.extend(&bytes[s.content - 2..s.end]);
        }
    }
    out.extend([0xFF, 0xD9]);
    Ok(out)
}

fn clean_png(bytes: &[u8]) -> Result<Vec<u8>, CanvasError> {
    /// Chunks that change how the picture looks; all others are dropped.
    const KEEP: [&[u8; 4]; 11] =
        [b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs"];
    let mut out = png::SIGNATURE.to_vec();
    for c in png::chunks(bytes)? {
        if KEEP.contains(&&c.name) {
            out.extend(&bytes[c.start..c.end]);
        }
        if &c.name == b"IHDR"
            && let Some(tiff) = kept(
                png::chunks(bytes)?
                    .iter()
                    .find(|e| &e.name == b"eXIf")
                    .map(|e| &bytes[e.content..e.content_end]),
            )
        {
            out.extend(png::chunk(b"eXIf", &tiff));
        }
    }
    Ok(out)
}
