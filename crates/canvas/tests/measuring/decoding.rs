//! Picture files of every kind, whole, turned, cut and false. All files are made here.

use crate::records::{record, with_exif};
use coldwright_canvas::{CanvasError, Limits, Picture, without_private_data};
use image::{ExtendedColorType, ImageEncoder, codecs::jpeg::JpegEncoder, codecs::png::PngEncoder};
use std::time::{Duration, Instant};

pub const W: u32 = 96;
pub const H: u32 = 64;

/// A picture without symmetry: a ramp with a dark square in its upper left and a light bar at its right.
pub fn upright() -> Vec<u8> {
    let mut rgb = Vec::new();
    for y in 0..H {
        for x in 0..W {
            let ramp = (60 + x + y) as u8;
            let px = match (x, y) {
                (8..24, 8..24) => [20, 24, 28],
                (80..90, _) => [230, 220, 210],
                _ => [ramp, ramp, ramp.saturating_add(10)],
            };
            rgb.extend(px);
        }
    }
    rgb
}

/// The upright picture as each orientation stores it.
fn stored(orientation: u8) -> (u32, u32, Vec<u8>) {
    let up = upright();
    let (w, h) = if orientation >= 5 { (H, W) } else { (W, H) };
    let mut out = vec![0; up.len()];
    for y in 0..H {
        for x in 0..W {
            let (r, b) = (W - 1 - x, H - 1 - y);
            let (sx, sy) = match orientation {
                1 => (x, y),
                2 => (r, y),
                3 => (r, b),
                4 => (x, b),
                5 => (y, x),
                6 => (y, r),
                7 => (b, r),
                _ => (b, x),
            };
            let (from, to) = (3 * (y * W + x) as usize, 3 * (sy * w + sx) as usize);
            out[to..to + 3].copy_from_slice(&up[from..from + 3]);
        }
    }
    (w, h, out)
}

pub fn jpeg(w: u32, h: u32, rgb: &[u8]) -> Vec<u8> {
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, 95).write_image(rgb, w, h, ExtendedColorType::Rgb8).unwrap();
    out
}

pub fn png(w: u32, h: u32, data: &[u8], kind: ExtendedColorType) -> Vec<u8> {
    let mut out = Vec::new();
    PngEncoder::new(&mut out).write_image(data, w, h, kind).unwrap();
    out
}

pub fn open(bytes: &[u8]) -> Result<Picture, CanvasError> {
    Picture::decode(bytes, &Limits::default())
}

fn mean_difference(a: &[u8], b: &[u8]) -> f64 {
    assert_eq!(a.len(), b.len());
    a.iter().zip(b).map(|(x, y)| f64::from(x.abs_diff(*y))).sum::<f64>() / a.len() as f64
}

#[test]
fn all_eight_orientations_open_upright() {
    for orientation in 1..=8 {
        let (w, h, rgb) = stored(orientation as u8);
        let picture = open(&with_exif(&jpeg(w, h, &rgb), &record(orientation, (w, h), None))).unwrap();
        assert_eq!((picture.width(), picture.height()), (W, H), "orientation {orientation}");
        assert_eq!(picture.facts().orientation, orientation as u8);
        assert_eq!(picture.facts().stored, (w, h));
        assert!(mean_difference(picture.rgb(), &upright()) < 3.0, "orientation {orientation}");
        let focal = 27.0 / 43.266_615 * f64::from(W).hypot(f64::from(H));
        assert!((picture.facts().focal_px().unwrap() - focal).abs() < 1e-3);
        assert!(picture.facts().warnings.is_empty());
    }
}

#[test]
fn cut_files_are_refused_in_words() {
    let up = upright();
    let whole = [jpeg(W, H, &up), png(W, H, &up, ExtendedColorType::Rgb8)];
    for file in &whole {
        open(file).unwrap();
        let n = file.len();
        for keep in [1, 2, 3, 8, 20, 100, n / 2, n * 9 / 10, n * 99 / 100, n - 2, n - 1] {
            let error = open(&file[..keep]).unwrap_err();
            let text = error.to_string();
            assert!(
                matches!(error, CanvasError::Truncated { .. } | CanvasError::NotAPhoto { .. }),
                "{keep} of {n}: {text}"
            );
            assert!(text.len() > 30 && !text.contains("Error"), "{text}");
            assert!(without_private_data(&file[..keep]).is_err(), "{keep} of {n}");
        }
    }
    assert_eq!(open(&[]).unwrap_err(), CanvasError::Empty);
}

#[test]
fn a_jpeg_cut_in_the_middle_and_closed_again_is_refused() {
    let file = jpeg(W, H, &upright());
    for tenth in 4..=8 {
        let mut cut = file[..file.len() * tenth / 10].to_vec();
        if cut.last() == Some(&0xFF) {
            cut.pop();
        }
        cut.extend([0xFF, 0xD9]);
        let answer = open(&cut);
        assert!(matches!(answer, Err(CanvasError::Truncated { .. })), "{tenth} tenths were accepted");
    }
}

#[test]
fn what_is_no_photo_is_said_to_be_something_else() {
    let cases: [(&[u8], &str); 5] = [
        (b"%PDF-1.7 and more", "PDF"),
        (b"hello there, this is text", "text"),
        (b"PK\x03\x04 zip", "zip"),
        (b"\0\0\0\x18ftypisom\0\0\0\0", "film"),
        (&[0u8; 64], "zeros"),
    ];
    for (bytes, word) in cases {
        let error = open(bytes).unwrap_err();
        assert!(
            matches!(error, CanvasError::NotAPhoto { .. }) && error.to_string().contains(word),
            "{error}"
        );
    }
}

#[test]
fn bogus_sizes_are_refused_at_once() {
    let mut file = png(W, H, &upright(), ExtendedColorType::Rgb8);
    file[16..20].copy_from_slice(&100_000u32.to_be_bytes());
    file[20..24].copy_from_slice(&100_000u32.to_be_bytes());
    let mut photo = jpeg(W, H, &upright());
    let frame = photo.windows(2).position(|w| w == [0xFF, 0xC0]).unwrap();
    photo[frame + 5..frame + 9].copy_from_slice(&[0xFF, 0xFF, 0xFF, 0xFF]);
    for bytes in [file, photo] {
        let start = Instant::now();
        assert!(matches!(open(&bytes).unwrap_err(), CanvasError::TooLarge { limit_megapixels: 128, .. }));
        assert!(start.elapsed() < Duration::from_millis(200));
    }
    assert!(Limits::default().check(12_000, 9_000).is_ok(), "108 megapixels open");
    assert!(matches!(Limits::default().check(4, 4), Err(CanvasError::TooSmall { .. })));
}

#[test]
fn png_of_every_kind_gives_the_same_picture_on_white() {
    let up = upright();
    let grey: Vec<u8> = up.chunks(3).map(|p| p[1]).collect();
    let rgba: Vec<u8> = up.chunks(3).flat_map(|p| [p[0], p[1], p[2], 255]).collect();
    let grey_alpha: Vec<u8> = grey.iter().flat_map(|v| [*v, 255]).collect();
    let wide: Vec<u8> = up.iter().flat_map(|v| u16::from(*v).wrapping_mul(257).to_ne_bytes()).collect();
    let kinds = [
        png(W, H, &up, ExtendedColorType::Rgb8),
        png(W, H, &rgba, ExtendedColorType::Rgba8),
        png(W, H, &wide, ExtendedColorType::Rgb16),
    ];
    for file in &kinds {
        assert_eq!(open(file).unwrap().rgb(), &up[..]);
    }
    for file in [png(W, H, &grey, ExtendedColorType::L8), png(W, H, &grey_alpha, ExtendedColorType::La8)] {
        let picture = open(&file).unwrap();
        assert_eq!(picture.luma().data(), &grey[..]);
    }
    // Fully clear black is white paper; half clear black is mid grey.
    let clear: Vec<u8> = (0..W * H).flat_map(|i| [0, 0, 0, if i % 2 == 0 { 0 } else { 128 }]).collect();
    let picture = open(&png(W, H, &clear, ExtendedColorType::Rgba8)).unwrap();
    assert_eq!(&picture.rgb()[..6], [255, 255, 255, 127, 127, 127]);
}

/// A four-colour JPEG of flat 8 × 8 blocks, written by hand: DC terms only. `adobe` is the marker's colour transform.
fn four_colour(blocks: &[[u8; 4]], adobe: Option<u8>) -> Vec<u8> {
    let mut out = vec![0xFF, 0xD8];
    let mut segment = |marker: u8, content: &[u8]| {
        out.extend([0xFF, marker]);
        out.extend(((content.len() + 2) as u16).to_be_bytes());
        out.extend(content);
    };
    if let Some(transform) = adobe {
        segment(0xEE, &[b"Adobe\0\x64\0\0\0\0".as_slice(), &[transform]].concat());
    }
    segment(0xDB, &[&[0u8][..], &[8; 64]].concat());
    let side = (blocks.len() as f64).sqrt() as u16;
    let size = (side * 8).to_be_bytes();
    segment(
        0xC0,
        &[8, size[0], size[1], size[0], size[1], 4, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0, 4, 0x11, 0],
    );
    // Sizes 0 to 8 of DC steps, each a code of four bits; one AC code, "nothing more", of one bit.
    segment(0xC4, &[&[0u8, 0, 0, 0, 9][..], &[0; 12], &[0, 1, 2, 3, 4, 5, 6, 7, 8]].concat());
    segment(0xC4, &[&[0x10u8, 1][..], &[0; 15], &[0]].concat());
    segment(0xDA, &[4, 1, 0, 2, 0, 3, 0, 4, 0, 0, 63, 0]);
    let mut bits: Vec<bool> = Vec::new();
    let mut last = [0i32; 4];
    for block in blocks {
        for (channel, value) in block.iter().enumerate() {
            let dc = i32::from(*value) - 128;
            let step = dc - last[channel];
            last[channel] = dc;
            let size = 32 - step.unsigned_abs().leading_zeros();
            let code = if step < 0 { step + (1 << size) - 1 } else { step };
            bits.extend((0..4).rev().map(|b| size >> b & 1 == 1));
            bits.extend((0..size).rev().map(|b| code >> b & 1 == 1));
            bits.push(false);
        }
    }
    while !bits.len().is_multiple_of(8) {
        bits.push(true);
    }
    for byte in bits.chunks(8).map(|b| b.iter().fold(0u8, |v, bit| v << 1 | u8::from(*bit))) {
        out.push(byte);
        if byte == 0xFF {
            out.push(0);
        }
    }
    out.extend([0xFF, 0xD9]);
    out
}

#[test]
fn four_colour_photos_open_right_or_not_at_all() {
    // Inks stored inverted, as Adobe's marker means it: no ink, black, half black, red.
    let inks = [[255, 255, 255, 255], [255, 255, 255, 0], [255, 255, 255, 128], [255, 0, 0, 255]];
    let expected = [[255, 255, 255], [0, 0, 0], [128, 128, 128], [255, 0, 0]];
    let picture = open(&four_colour(&inks, Some(0))).unwrap();
    let at = |picture: &Picture, block: usize| {
        let i = 3 * ((4 + 8 * (block / 2)) * picture.width() as usize + 4 + 8 * (block % 2));
        picture.rgb()[i..i + 3].to_vec()
    };
    for (block, colour) in expected.iter().enumerate() {
        let got = at(&picture, block);
        assert!(
            got.iter().zip(colour).all(|(a, b): (&u8, &i32)| (i32::from(*a) - b).abs() <= 1),
            "{block}: {got:?}"
        );
    }
    // The same inks coded as luminance and colour (transform 2 stores 255 − ink as red, green, blue first).
    let coded = inks.map(|[c, m, y, k]| {
        let [r, g, b] = [c, m, y].map(|v: u8| f64::from(255 - v));
        let luma = 0.299 * r + 0.587 * g + 0.114 * b;
        [luma, 128.0 + (b - luma) / 1.772, 128.0 + (r - luma) / 1.402, f64::from(k)]
            .map(|v| v.round().clamp(0.0, 255.0) as u8)
    });
    let picture = open(&four_colour(&coded, Some(2))).unwrap();
    for (block, colour) in expected.iter().enumerate() {
        let got = at(&picture, block);
        assert!(
            got.iter().zip(colour).all(|(a, b): (&u8, &i32)| (i32::from(*a) - b).abs() <= 2),
            "{block}: {got:?}"
        );
    }
    let refused = open(&four_colour(&inks, None)).unwrap_err();
    assert!(
        matches!(refused, CanvasError::Unsupported { .. }) && refused.to_string().contains("four colours")
    );
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(400))]

    /// Whatever happens to a file on its way, the answer is a picture of the right size or a sentence.
    #[test]
    fn damaged_files_never_break_anything(
        which in 0usize..3,
        hits in proptest::collection::vec((0.0f64..1.0, proptest::prelude::any::<u8>()), 1..12),
    ) {
        let up = upright();
        let mut file = match which {
            0 => with_exif(&jpeg(W, H, &up), &record(6, (W, H), None)),
            1 => png(W, H, &up, ExtendedColorType::Rgb8),
            _ => four_colour(&[[9, 80, 170, 255]; 16], Some(2)),
        };
        for (at, value) in hits {
            let at = (at * file.len() as f64) as usize;
            file[at] = value;
        }
        match open(&file) {
            Ok(picture) => {
                let size = picture.width() as usize * picture.height() as usize;
                proptest::prop_assert_eq!(picture.rgb().len(), 3 * size);
            }
            Err(error) => proptest::prop_assert!(error.to_string().len() > 20),
        }
        let _ = without_private_data(&file);
    }

    #[test]
    fn random_bytes_are_refused(mut bytes in proptest::collection::vec(proptest::prelude::any::<u8>(), 0..300), head in 0usize..3) {
        let start: &[u8] = match head {
            0 => &[],
            1 => &[0xFF, 0xD8, 0xFF],
            _ => &[0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A],
        };
        bytes.splice(0..0, start.iter().copied());
        proptest::prop_assert!(open(&bytes).is_err());
        proptest::prop_assert!(without_private_data(&bytes).is_err());
    }
}

#[test]
fn webp_and_tiff_open_as_the_same_picture() {
    let up = upright();
    let picture = image::RgbImage::from_raw(W, H, up.clone()).unwrap();
    for (format, kind) in [("WebP", image::ImageFormat::WebP), ("TIFF", image::ImageFormat::Tiff)] {
        let mut file = std::io::Cursor::new(Vec::new());
        picture.write_to(&mut file, kind).unwrap();
        let file = file.into_inner();
        let read = open(&file).unwrap();
        assert_eq!((read.width(), read.height(), read.rgb()), (W, H, &up[..]), "{format}");
        let clean = without_private_data(&file).unwrap();
        assert_eq!(open(&clean).unwrap().rgb(), &up[..], "{format}");
        for keep in [12, 40, file.len() / 2, file.len() - 2] {
            let error = open(&file[..keep]).unwrap_err();
            assert!(
                matches!(error, CanvasError::Truncated { .. } | CanvasError::Unsupported { .. }),
                "{format} {keep}: {error}"
            );
        }
    }
    // A raw file says so: a TIFF directory whose first picture is a reduced one.
    let mut raw = b"II*\0\x08\0\0\0\x01\0\xFE\0\x04\0\x01\0\0\0\x01\0\0\0".to_vec();
    raw.resize(64, 0);
    let error = open(&raw).unwrap_err();
    assert!(error.to_string().contains("raw"), "{error}");
}

/// 96 × 64 pixels from red above to blue below, written by ImageMagick 6.9.11 with libheif 1.15.1: `convert -size 96x64 gradient:red-blue`.
#[cfg(feature = "heic")]
#[test]
fn heic_opens_by_its_content() {
    let file = include_bytes!("../data/gradient.heic");
    let picture = open(file).unwrap();
    assert_eq!((picture.width(), picture.height()), (W, H));
    // The file does not say how its colours were coded, so that only their order is certain: red falls and blue rises from row to row.
    let column: Vec<&[u8]> =
        (0..H as usize).map(|y| &picture.rgb()[3 * (y * W as usize + 48)..][..3]).collect();
    for pair in column.windows(2) {
        assert!(pair[0][0] >= pair[1][0] && pair[0][2] <= pair[1][2], "{pair:?}");
    }
    assert!(column[0][0] > 240 && column[0][2] < 15 && column[63][0] < 15 && column[63][2] > 240);
    let clean = without_private_data(file).unwrap();
    assert_eq!(open(&clean).unwrap().rgb(), picture.rgb());
    for keep in [16, 100, file.len() - 20] {
        let error = open(&file[..keep]).unwrap_err();
        assert!(
            matches!(error, CanvasError::Truncated { .. } | CanvasError::Unsupported { .. }),
            "{keep}: {error}"
        );
    }
}
