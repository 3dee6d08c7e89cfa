//! Picture bytes to an upright picture: the format told by content, limits kept, half pictures refused.

mod exif;
pub(crate) mod jpeg;
pub(crate) mod others;
pub(crate) mod png;
mod upright;

use crate::error::CanvasError;
use crate::facts::PhotoFacts;
use crate::picture::{Limits, Picture};

#[cfg(feature = "heic")]
pub(crate) use exif::record_in_container;
pub(crate) use exif::{Record, read_record};

/// A format known by its first bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Format {
    Jpeg,
    Png,
    WebP,
    Tiff,
    Heic,
}

pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Result<Picture, CanvasError> {
    let (width, height, rgb, record) = match format(bytes)? {
        Format::Jpeg => jpeg::decode(bytes, limits)?,
        Format::Png => png::decode(bytes, limits)?,
        Format::WebP => others::webp(bytes, limits)?,
        Format::Tiff => others::tiff(bytes, limits)?,
        Format::Heic => others::heic(bytes, limits)?,
    };
    let facts = facts(width, height, record);
    let (width, height, rgb) = upright::turn(width, height, rgb, facts.orientation);
    Picture::from_rgb(width, height, rgb, facts)
}

/// Tells the format by content.
pub(crate) fn format(bytes: &[u8]) -> Result<Format, CanvasError> {
    if bytes.is_empty() {
        return Err(CanvasError::Empty);
    }
    if bytes.starts_with(&[0xFF, 0xD8]) {
        return Ok(Format::Jpeg);
    }
    if bytes.starts_with(&png::SIGNATURE) {
        return Ok(Format::Png);
    }
    let inside = |from: usize, what: &[u8]| bytes.get(from..from + what.len()) == Some(what);
    if inside(0, b"RIFF") && inside(8, b"WEBP") {
        return Ok(Format::WebP);
    }
    if inside(0, b"II*\0") || inside(0, b"MM\0*") {
        return Ok(Format::Tiff);
    }
    if inside(4, b"ftyp") && [b"heic", b"heix", b"mif1", b"msf1", b"hevc"].iter().any(|k| inside(8, *k)) {
        return Ok(Format::Heic);
    }
    // The start of a JPEG or PNG cut after its first byte or two is said to be cut, not to be something else.
    if png::SIGNATURE.starts_with(bytes) || bytes == [0xFF] {
        let format = if bytes == [0xFF] { "JPEG" } else { "PNG" };
        return Err(CanvasError::Truncated { format, detail: format!("only {} bytes", bytes.len()) });
    }
    Err(CanvasError::NotAPhoto { found: looks_like(bytes) })
}

/// What other files begin like, in words.
fn looks_like(bytes: &[u8]) -> String {
    let inside = |from: usize, what: &[u8]| bytes.get(from..from + what.len()) == Some(what);
    let words = if inside(4, b"ftyp") {
        "it is a film or another container"
    } else if inside(0, b"GIF8") || inside(0, b"BM") {
        "it is a GIF or BMP picture, which no camera makes"
    } else if inside(0, b"%PDF") {
        "it is a PDF document"
    } else if inside(0, b"PK\x03\x04") {
        "it is a zip archive or an office document"
    } else if bytes.iter().take(256).all(|b| *b == 0) {
        "it is all zeros, as a failed copy leaves it"
    } else if bytes.iter().take(256).all(|b| (0x20..0x7F).contains(b) || b"\r\n\t".contains(b)) {
        "it is text"
    } else {
        "its first bytes are those of no picture"
    };
    words.to_owned()
}

fn facts(width: u32, height: u32, record: Option<Result<Record, ()>>) -> PhotoFacts {
    use crate::facts::PhotoWarning as W;
    let mut facts = PhotoFacts { orientation: 1, stored: (width, height), ..PhotoFacts::default() };
    let record = match record {
        None => Record::default(),
        Some(Err(())) => {
            facts.warnings.push(W::UnreadableRecord);
            Record::default()
        }
        Some(Ok(record)) => record,
    };
    facts.orientation = record.orientation.filter(|o| (1..=8).contains(o)).map_or(1, |o| o as u8);
    let sane = |v: &f64| v.is_finite() && (1.0..3000.0).contains(v);
    facts.focal_35mm = record.focal_35mm.filter(sane);
    facts.focal_mm = record.focal_mm.filter(sane);
    if let Some(recorded) = record.pixels
        && recorded != (width, height)
        && recorded != (height, width)
        && recorded.0 > 0
        && recorded.1 > 0
    {
        facts.warnings.push(W::Cropped { recorded, actual: (width, height) });
    }
    if record.edited {
        facts.warnings.push(W::Edited);
    }
    if let Some(ratio) = record.digital_zoom.filter(|z| z.is_finite() && *z > 1.02) {
        facts.warnings.push(W::DigitalZoom { ratio });
    }
    match facts.focal_35mm {
        Some(focal_35mm) if focal_35mm < 20.0 => facts.warnings.push(W::WideAngle { focal_35mm }),
        Some(_) => {}
        None => facts.warnings.push(W::NoFocalLength),
    }
    facts
}
