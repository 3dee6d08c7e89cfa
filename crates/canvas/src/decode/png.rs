//! PNG files: whether they are whole, and their picture laid on white.
//!
//! Chunk layout after the W3C Recommendation "Portable Network Graphics (PNG) Specification", second edition (2003).

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageError, codecs::png::PngDecoder};

use super::{Record, read_record};
use crate::error::CanvasError;
use crate::picture::Limits;

/// First eight bytes of every PNG file.
pub(crate) const SIGNATURE: [u8; 8] = [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A];

/// One chunk: its name and where it lies, length and checksum included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Chunk {
    pub name: [u8; 4],
    pub start: usize,
    pub content: usize,
    pub content_end: usize,
    pub end: usize,
}

fn cut(detail: impl Into<String>) -> CanvasError {
    CanvasError::Truncated { format: "PNG", detail: detail.into() }
}

/// All chunks from the header to the end chunk.
pub(crate) fn chunks(bytes: &[u8]) -> Result<Vec<Chunk>, CanvasError> {
    let mut out = Vec::new();
    let mut at = SIGNATURE.len();
    loop {
        let head = bytes.get(at..at + 8).ok_or_else(|| cut("the end of the picture is missing"))?;
        let [a, b, c, d, n0, n1, n2, n3] = *head else {
            return Err(cut("the end of the picture is missing"));
        };
        let length = u32::from_be_bytes([a, b, c, d]) as usize;
        let name = [n0, n1, n2, n3];
        let (content, content_end) = (at + 8, at + 8 + length);
        let end = content_end + 4;
        if end > bytes.len() {
            return Err(cut("the file ends inside a chunk"));
        }
        out.push(Chunk { name, start: at, content, content_end, end });
        at = end;
        if &name == b"IEND" {
            return Ok(out);
        }
    }
}

type Decoded = (u32, u32, Vec<u8>, Option<Result<Record, ()>>);

/// Width, height, RGB bytes as stored, and the record.
pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Result<Decoded, CanvasError> {
    let head = bytes.get(16..24).ok_or_else(|| cut("the picture's size is missing"))?;
    let number = |b: &[u8]| b.iter().fold(0u64, |n, v| n * 256 + u64::from(*v));
    limits.check(number(&head[..4]), number(&head[4..]))?;
    let chunks = chunks(bytes)?;
    let record = chunks
        .iter()
        .find(|c| &c.name == b"eXIf")
        .and_then(|c| bytes.get(c.content..c.content_end))
        .map(read_record);
    let mut decoder = PngDecoder::new(Cursor::new(bytes)).map_err(refusal)?;
    decoder.set_limits(image::Limits::no_limits()).map_err(refusal)?;
    let picture = DynamicImage::from_decoder(decoder).map_err(refusal)?;
    let (width, height) = (picture.width(), picture.height());
    let rgb = if picture.color().has_alpha() {
        over_white(picture.into_rgba8().as_raw())
    } else {
        picture.into_rgb8().into_raw()
    };
    Ok((width, height, rgb, record))
}

pub(super) fn over_white(rgba: &[u8]) -> Vec<u8> {
    rgba.chunks_exact(4)
        .flat_map(|p| {
            let a = u32::from(p[3]);
            [p[0], p[1], p[2]].map(|v| ((u32::from(v) * a + 255 * (255 - a) + 127) / 255) as u8)
        })
        .collect()
}

/// A chunk with its length and checksum.
pub(crate) fn chunk(name: &[u8; 4], content: &[u8]) -> Vec<u8> {
    let body = [&name[..], content].concat();
    let mut out = (content.len() as u32).to_be_bytes().to_vec();
    out.extend(&body);
    out.extend(crc32(&body).to_be_bytes());
    out
}

/// Checksum of a chunk's name and content (PNG specification, annex D).
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for b in bytes {
        crc ^= u32::from(*b);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xEDB8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

fn refusal(error: ImageError) -> CanvasError {
    match error {
        ImageError::Unsupported(e) => CanvasError::Unsupported { format: "PNG", detail: e.to_string() },
        other => {
            let words: String = other.to_string().chars().filter(|c| !c.is_control()).take(120).collect();
            cut(words)
        }
    }
}
