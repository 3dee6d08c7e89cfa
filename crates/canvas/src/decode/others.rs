//! WebP, TIFF and HEIC files. They are decoded whole; a private copy of one is a lossless PNG with the few fields that matter.

use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat};

use super::{Record, png, read_record};
use crate::error::CanvasError;
use crate::picture::Limits;

type Decoded = (u32, u32, Vec<u8>, Option<Result<Record, ()>>);

/// A WebP file.
pub(crate) fn webp(bytes: &[u8], limits: &Limits) -> Result<Decoded, CanvasError> {
    let size = bytes.get(4..8).map_or(0, |b| b.iter().rev().fold(0usize, |n, v| n * 256 + usize::from(*v)));
    if bytes.len() < size.saturating_add(8) {
        return Err(CanvasError::Truncated {
            format: "WebP",
            detail: "the file ends inside a chunk".to_owned(),
        });
    }
    let decoder =
        image::codecs::webp::WebPDecoder::new(Cursor::new(bytes)).map_err(|e| refusal("WebP", &e))?;
    by_image("WebP", decoder, limits)
}

/// A TIFF file; camera raw files, which begin alike and would show their thumbnail only, are refused.
pub(crate) fn tiff(bytes: &[u8], limits: &Limits) -> Result<Decoded, CanvasError> {
    let raw = bytes.get(8..10) == Some(b"CR") || is_raw(bytes);
    if raw {
        let detail = "it is a camera's raw file, of which only a small preview could be read".to_owned();
        return Err(CanvasError::Unsupported { format: "TIFF", detail });
    }
    let decoder =
        image::codecs::tiff::TiffDecoder::new(Cursor::new(bytes)).map_err(|e| refusal("TIFF", &e))?;
    let (width, height, rgb, _) = by_image("TIFF", decoder, limits)?;
    Ok((width, height, rgb, Some(read_record(bytes))))
}

/// Looks for tags that only raw files have: the first directory a reduced picture, sub-pictures, or a DNG version.
fn is_raw(bytes: &[u8]) -> bool {
    let little = bytes.starts_with(b"II");
    let number = |at: usize, n: usize| -> Option<usize> {
        let b = bytes.get(at..at.checked_add(n)?)?;
        let join = |n: usize, v: &u8| n * 256 + usize::from(*v);
        Some(if little { b.iter().rev().fold(0, join) } else { b.iter().fold(0, join) })
    };
    let Some(first) = number(4, 4) else { return false };
    let count = number(first, 2).unwrap_or(0).min(512);
    (0..count).any(|i| {
        let at = first.saturating_add(2 + 12 * i);
        match number(at, 2) {
            Some(0x00FE) => number(at + 8, 4).is_some_and(|v| v & 1 == 1),
            Some(0x014A | 0xC612) => true,
            _ => false,
        }
    })
}

fn by_image(
    format: &'static str,
    mut decoder: impl ImageDecoder,
    limits: &Limits,
) -> Result<Decoded, CanvasError> {
    let (width, height) = decoder.dimensions();
    limits.check(u64::from(width), u64::from(height))?;
    decoder.set_limits(image::Limits::no_limits()).map_err(|e| refusal(format, &e))?;
    let record = decoder.exif_metadata().ok().flatten().map(|tiff| read_record(&tiff));
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| refusal(format, &e))?;
    let rgb = if picture.color().has_alpha() {
        png::over_white(picture.into_rgba8().as_raw())
    } else {
        picture.into_rgb8().into_raw()
    };
    Ok((width, height, rgb, record))
}

fn refusal(format: &'static str, error: &ImageError) -> CanvasError {
    let words: String = error.to_string().chars().filter(|c| !c.is_control()).take(120).collect();
    match error {
        ImageError::Unsupported(_) => CanvasError::Unsupported { format, detail: words },
        _ => CanvasError::Truncated { format, detail: words },
    }
}

/// A HEIC file. Its own turning is applied, so the record's orientation no longer counts.
#[cfg(feature = "heic")]
pub(crate) fn heic(bytes: &[u8], limits: &Limits) -> Result<Decoded, CanvasError> {
    let refuse = |e: heic_rs::Error| match e {
        heic_rs::Error::Unsupported(_) => CanvasError::Unsupported { format: "HEIC", detail: e.to_string() },
        _ => CanvasError::Truncated { format: "HEIC", detail: e.to_string() },
    };
    let info = heic_rs::probe(bytes).map_err(refuse)?;
    limits.check(u64::from(info.width), u64::from(info.height))?;
    let options = heic_rs::DecodeOptions::default()
        .with_layout(heic_rs::PixelLayout::Rgb8)
        .with_max_pixels(Some(limits.max_pixels));
    let picture = heic_rs::decode(bytes, &options).map_err(refuse)?;
    let record =
        super::record_in_container(bytes).map(|r| r.map(|record| Record { orientation: None, ..record }));
    Ok((picture.width, picture.height, picture.data, record))
}

/// Without the feature the file is named and refused.
#[cfg(not(feature = "heic"))]
pub(crate) fn heic(_: &[u8], _: &Limits) -> Result<Decoded, CanvasError> {
    let detail = "this program was built without it".to_owned();
    Err(CanvasError::Unsupported { format: "HEIC", detail })
}

/// The same picture as a PNG file, pixels as stored, with a short record.
pub(crate) fn as_png(decoded: Decoded) -> Result<Vec<u8>, CanvasError> {
    let (width, height, rgb, record) = decoded;
    let unwritten =
        |e: &dyn std::fmt::Display| CanvasError::Unsupported { format: "PNG", detail: e.to_string() };
    let picture =
        image::RgbImage::from_raw(width, height, rgb).ok_or_else(|| unwritten(&"its size is wrong"))?;
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, ImageFormat::Png).map_err(|e| unwritten(&e))?;
    let mut out = out.into_inner();
    if let Some(Ok(record)) = record.filter(|r| *r != Ok(Record::default())) {
        let after_head = png::SIGNATURE.len() + 25;
        let chunk = png::chunk(b"eXIf", &record.to_tiff());
        out.splice(after_head..after_head, chunk);
    }
    Ok(out)
}
