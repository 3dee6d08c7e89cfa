//! JPEG files: their segments, whether they are whole, and their picture.
//!
//! Segment layout after ITU-T T.81 (1992), annex B; four-colour files after Adobe technical note 5116 (1992): with the Adobe
//! marker the four inks are stored inverted.

use zune_core::bytestream::ZCursor;
use zune_core::colorspace::ColorSpace;
use zune_core::options::DecoderOptions;
use zune_jpeg::JpegDecoder;
use zune_jpeg::errors::DecodeErrors;

use super::{Record, read_record};
use crate::error::CanvasError;
use crate::picture::Limits;

/// Head of an EXIF segment's content.
pub(crate) const EXIF_HEAD: &[u8] = b"Exif\0\0";

/// One segment: its marker byte and where it lies in the file, marker and (for a scan) coded data included.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Segment {
    pub marker: u8,
    pub start: usize,
    /// Start of the content after the length.
    pub content: usize,
    /// End of the content named by the length.
    pub content_end: usize,
    /// End of everything that belongs to it.
    pub end: usize,
}

/// A whole JPEG file taken apart.
#[derive(Debug, Clone, Default)]
pub(crate) struct Parts {
    pub segments: Vec<Segment>,
    pub size: (u32, u32),
    pub components: u8,
    /// Adobe marker's colour transform, if there is the marker.
    pub adobe: Option<u8>,
}

fn cut(detail: impl Into<String>) -> CanvasError {
    CanvasError::Truncated { format: "JPEG", detail: detail.into() }
}

/// Walks the first picture of a file from its start to its end marker.
pub(crate) fn parts(bytes: &[u8]) -> Result<Parts, CanvasError> {
    let mut parts = Parts::default();
    let mut at = 2;
    let mut scans = 0;
    loop {
        // Any number of fill bytes may stand before a marker; stray bytes between segments are skipped.
        while bytes.get(at).is_some_and(|b| *b != 0xFF) {
            at += 1;
        }
        let start = at;
        while bytes.get(at) == Some(&0xFF) {
            at += 1;
        }
        let Some(marker) = bytes.get(at).copied() else {
            let where_to =
                if scans == 0 { "before the picture begins" } else { "the end of the picture is missing" };
            return Err(cut(where_to));
        };
        at += 1;
        match marker {
            0xD9 => break,
            // Stuffed zeros, restarts and other bare markers.
            0x00 | 0x01 | 0xD0..=0xD8 => continue,
            _ => {}
        }
        let length = match bytes.get(at..at + 2) {
            Some([a, b]) => usize::from(u16::from_be_bytes([*a, *b])),
            _ => return Err(cut("the file ends inside a segment")),
        };
        let (content, content_end) = (at + 2, at + length);
        if length < 2 {
            return Err(cut("a segment has an impossible length"));
        }
        if content_end > bytes.len() {
            return Err(cut("the file ends inside a segment"));
        }
        let inside = &bytes[content..content_end];
        let mut end = content_end;
        match marker {
            0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF => {
                let [_, h1, h2, w1, w2, components, ..] = *inside else {
                    return Err(cut("the picture's size is missing"));
                };
                if parts.components != 0 {
                    return Err(CanvasError::Unsupported {
                        format: "JPEG",
                        detail: "it holds several frames".to_owned(),
                    });
                }
                parts.size =
                    (u32::from(u16::from_be_bytes([w1, w2])), u32::from(u16::from_be_bytes([h1, h2])));
                parts.components = components;
            }
            0xEE if inside.starts_with(b"Adobe") => parts.adobe = inside.get(11).copied().or(Some(0)),
            0xDA => {
                scans += 1;
                end = scan_end(bytes, content_end)?;
            }
            _ => {}
        }
        parts.segments.push(Segment { marker, start, content, content_end, end });
        at = end;
    }
    if parts.components == 0 || scans == 0 {
        return Err(cut("there is no picture in it"));
    }
    Ok(parts)
}

/// End of coded data: the next marker that is neither stuffing nor a restart.
fn scan_end(bytes: &[u8], from: usize) -> Result<usize, CanvasError> {
    let mut at = from;
    loop {
        match bytes.get(at..).and_then(|rest| rest.iter().position(|b| *b == 0xFF)) {
            None => return Err(cut("the end of the picture is missing")),
            Some(skip) => at += skip,
        }
        match bytes.get(at + 1) {
            None => return Err(cut("the end of the picture is missing")),
            Some(0x00 | 0xD0..=0xD7) => at += 2,
            Some(0xFF) => at += 1,
            Some(_) => return Ok(at),
        }
    }
}

type Decoded = (u32, u32, Vec<u8>, Option<Result<Record, ()>>);

/// Width, height, RGB bytes as stored, and the record.
pub(crate) fn decode(bytes: &[u8], limits: &Limits) -> Result<Decoded, CanvasError> {
    // The size is checked as soon as it is read, even in a file that is cut later on.
    if let Some((w, h)) = early_size(bytes) {
        limits.check(w, h)?;
    }
    let parts = parts(bytes)?;
    let (width, height) = parts.size;
    limits.check(u64::from(width), u64::from(height))?;
    if !parts.finished(bytes) {
        return Err(cut("parts of its detail are missing"));
    }
    let record = exif_of(bytes, &parts).map(read_record);
    let clean = picture_only(bytes, &parts);
    let four = parts.components == 4;
    if four && parts.adobe.is_none() {
        return Err(CanvasError::Unsupported {
            format: "JPEG",
            detail: "it has four colours and does not say whether they are inverted".to_owned(),
        });
    }
    let out = match (parts.components, parts.adobe) {
        (1 | 3, _) => ColorSpace::RGB,
        (4, Some(2)) => ColorSpace::YCCK,
        (4, _) => ColorSpace::CMYK,
        (n, _) => {
            return Err(CanvasError::Unsupported {
                format: "JPEG",
                detail: format!("it has {n} colour channels"),
            });
        }
    };
    let options = DecoderOptions::default()
        .set_strict_mode(true)
        .set_max_width(usize::from(u16::MAX))
        .set_max_height(usize::from(u16::MAX))
        .jpeg_set_max_scans(200)
        .jpeg_set_out_colorspace(out);
    let mut decoder = JpegDecoder::new_with_options(ZCursor::new(clean.as_slice()), options);
    let data = decoder.decode().map_err(refusal)?;
    let channels = if four { 4 } else { 3 };
    if data.len() as u64 != u64::from(width) * u64::from(height) * channels {
        return Err(cut("the picture is incomplete"));
    }
    let rgb = match out {
        ColorSpace::YCCK => data.chunks_exact(4).flat_map(|p| ink_to_rgb(ycc_to_ink(p))).collect(),
        ColorSpace::CMYK => data.chunks_exact(4).flat_map(|p| ink_to_rgb([p[0], p[1], p[2], p[3]])).collect(),
        _ => data,
    };
    Ok((width, height, rgb, record))
}

fn refusal(error: DecodeErrors) -> CanvasError {
    match error {
        DecodeErrors::Unsupported(_) => CanvasError::Unsupported {
            format: "JPEG",
            detail: "an arithmetic or lossless variety".to_owned(),
        },
        DecodeErrors::ExhaustedData => cut("its data end too soon"),
        other => {
            let text = format!("{other:?}");
            let words: String = text.chars().filter(|c| !c.is_control()).take(120).collect();
            cut(words)
        }
    }
}

/// Stored inks after undoing the luminance coding: C = 255 − R and so on (T.81 with Adobe's transform 2).
fn ycc_to_ink(p: &[u8]) -> [u8; 4] {
    let (y, cb, cr) = (f32::from(p[0]), f32::from(p[1]) - 128.0, f32::from(p[2]) - 128.0);
    let byte = |v: f32| 255 - v.round().clamp(0.0, 255.0) as u8;
    [byte(y + 1.402 * cr), byte(y - 0.344_136 * cb - 0.714_136 * cr), byte(y + 1.772 * cb), p[3]]
}

/// Red, green, blue from inks stored inverted (255 = no ink).
fn ink_to_rgb([c, m, y, k]: [u8; 4]) -> [u8; 3] {
    [c, m, y].map(|v| ((u32::from(v) * u32::from(k) + 127) / 255) as u8)
}

/// Size from the first frame header, if it comes before any cut.
fn early_size(bytes: &[u8]) -> Option<(u64, u64)> {
    let mut at = 2;
    for _ in 0..10_000 {
        if *bytes.get(at)? != 0xFF {
            return None;
        }
        let marker = *bytes.get(at + 1)?;
        if marker == 0xFF {
            at += 1;
            continue;
        }
        let length = usize::from(u16::from_be_bytes([*bytes.get(at + 2)?, *bytes.get(at + 3)?]));
        if matches!(marker, 0xC0..=0xC3 | 0xC5..=0xC7 | 0xC9..=0xCB | 0xCD..=0xCF) {
            let b = bytes.get(at + 5..at + 9)?;
            return Some((
                u64::from(u16::from_be_bytes([b[2], b[3]])),
                u64::from(u16::from_be_bytes([b[0], b[1]])),
            ));
        }
        at += 2 + length;
    }
    None
}

/// The TIFF bytes of the first EXIF segment.
pub(crate) fn exif_of<'a>(bytes: &'a [u8], parts: &Parts) -> Option<&'a [u8]> {
    parts.segments.iter().find_map(|s| {
        let inside = bytes.get(s.content..s.content_end)?;
        if s.marker == 0xE1 { inside.strip_prefix(EXIF_HEAD) } else { None }
    })
}

/// The file with nothing but what the picture needs: no records, no comments, nothing behind the end.
fn picture_only(bytes: &[u8], parts: &Parts) -> Vec<u8> {
    let mut out = Vec::with_capacity(bytes.len());
    out.extend([0xFF, 0xD8]);
    for s in &parts.segments {
        let record = matches!(s.marker, 0xE0..=0xEF | 0xFE) && s.marker != 0xEE;
        if !record {
            out.extend([0xFF, s.marker]);
            out.extend(&bytes[s.content - 2..s.end]);
        }
    }
    // Without the end marker the decoder runs out of data, and says so, where a picture was cut and closed again; with it
    // it fills the rest with grey. Pictures of several scans need the marker and are judged by `finished` instead.
    if !parts.single_scan() {
        out.extend([0xFF, 0xD9]);
    }
    out
}

impl Parts {
    /// All components in one sequential scan, as cameras write it.
    fn single_scan(&self) -> bool {
        let scans = self.segments.iter().filter(|s| s.marker == 0xDA).count();
        scans == 1 && self.segments.iter().any(|s| matches!(s.marker, 0xC0 | 0xC1))
    }

    /// Whether every component got every coefficient to its last bit (T.81, annex G: bands and successive approximation).
    fn finished(&self, bytes: &[u8]) -> bool {
        let mut known: Vec<(u8, [bool; 64])> = Vec::new();
        for s in self.segments.iter().filter(|s| s.marker == 0xDA) {
            let inside = bytes.get(s.content..s.content_end).unwrap_or(&[]);
            let count = usize::from(inside.first().copied().unwrap_or(0));
            let Some([from, to, approximation]) = inside.get(1 + 2 * count..4 + 2 * count) else {
                return false;
            };
            for pair in inside.get(1..1 + 2 * count).unwrap_or(&[]).chunks_exact(2) {
                let at = known.iter().position(|k| k.0 == pair[0]).unwrap_or_else(|| {
                    known.push((pair[0], [false; 64]));
                    known.len() - 1
                });
                if approximation & 0x0F == 0 {
                    let band = usize::from(*from)..usize::from(*to).min(63) + 1;
                    known[at].1.get_mut(band).into_iter().flatten().for_each(|k| *k = true);
                }
            }
        }
        known.len() == usize::from(self.components) && known.iter().all(|k| k.1.iter().all(|c| *c))
    }
}
