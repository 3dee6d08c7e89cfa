//! What photos say about themselves: turned, cropped, zoomed, edited; and what is never kept.

use crate::decoding::{H, W, jpeg, open, png, upright};
use coldwright_canvas::{PhotoWarning, without_private_data};
use image::ExtendedColorType;

/// A record written by hand: orientation, 35 mm equivalent, sizes, digital zoom, and things nobody should keep.
pub fn record(orientation: u16, size: (u32, u32), zoom: Option<(u32, u32)>) -> Vec<u8> {
    fn entry(out: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]) {
        out.extend(tag.to_be_bytes());
        out.extend(kind.to_be_bytes());
        out.extend(count.to_be_bytes());
        out.extend(value);
    }
    let short = |v: u16| [(v >> 8) as u8, v as u8, 0, 0];
    let mut out = b"MM\0*\0\0\0\x08".to_vec();
    // IFD0: owner's name at 200, orientation, sub-record at 80, position record at 160.
    out.extend(4u16.to_be_bytes());
    entry(&mut out, 0x0112, 3, 1, short(orientation));
    entry(&mut out, 0x013B, 2, 16, 200u32.to_be_bytes());
    entry(&mut out, 0x8769, 4, 1, 80u32.to_be_bytes());
    entry(&mut out, 0x8825, 4, 1, 180u32.to_be_bytes());
    out.resize(80, 0);
    out.extend((if zoom.is_some() { 5u16 } else { 4 }).to_be_bytes());
    entry(&mut out, 0xA002, 4, 1, size.0.to_be_bytes());
    entry(&mut out, 0xA003, 4, 1, size.1.to_be_bytes());
    if zoom.is_some() {
        entry(&mut out, 0xA404, 5, 1, 240u32.to_be_bytes());
    }
    entry(&mut out, 0xA405, 3, 1, short(27));
    entry(&mut out, 0xA431, 2, 8, 220u32.to_be_bytes());
    out.resize(180, 0);
    out.extend(1u16.to_be_bytes());
    entry(&mut out, 0x0001, 2, 2, *b"N\0\0\0");
    out.resize(200, 0);
    out.extend(b"OWNER OF BOAT 7\0");
    out.resize(220, 0);
    out.extend(b"SERIAL9\0");
    out.resize(240, 0);
    let (n, d) = zoom.unwrap_or((1, 1));
    out.extend(n.to_be_bytes());
    out.extend(d.to_be_bytes());
    out
}

fn with_segment(jpeg: &[u8], marker: u8, content: &[u8]) -> Vec<u8> {
    let mut out = jpeg[..2].to_vec();
    out.extend([0xFF, marker]);
    out.extend(((content.len() + 2) as u16).to_be_bytes());
    out.extend(content);
    out.extend(&jpeg[2..]);
    out
}

pub fn with_exif(jpeg: &[u8], tiff: &[u8]) -> Vec<u8> {
    with_segment(jpeg, 0xE1, &[b"Exif\0\0", tiff].concat())
}

#[test]
fn cropped_and_zoomed_photos_are_recognised() {
    let plain = jpeg(W, H, &upright());
    let cropped = open(&with_exif(&plain, &record(1, (4032, 3024), None))).unwrap();
    assert!(matches!(
        cropped.facts().warnings[..],
        [PhotoWarning::Cropped { recorded: (4032, 3024), actual: (W, H) }]
    ));
    assert_eq!(cropped.facts().focal_px(), None, "the record no longer holds");
    let turned = open(&with_exif(&plain, &record(1, (H, W), None))).unwrap();
    assert!(turned.facts().warnings.is_empty(), "some cameras write the sizes the other way round");
    let zoomed = open(&with_exif(&plain, &record(1, (W, H), Some((20, 10))))).unwrap();
    assert!(matches!(zoomed.facts().warnings[..], [PhotoWarning::DigitalZoom { .. }]));
    let bare = open(&plain).unwrap();
    assert_eq!(bare.facts().warnings, [PhotoWarning::NoFocalLength]);
    let broken = open(&with_exif(&plain, b"nonsense")).unwrap();
    assert!(broken.facts().warnings.contains(&PhotoWarning::UnreadableRecord));
}

/// A record that says when the picture was taken, when its file was changed, and the 35 mm equivalent.
fn dated(taken: &str, changed: &str, focal: u16) -> Vec<u8> {
    fn entry(out: &mut Vec<u8>, tag: u16, kind: u16, count: u32, value: [u8; 4]) {
        out.extend(tag.to_be_bytes());
        out.extend(kind.to_be_bytes());
        out.extend(count.to_be_bytes());
        out.extend(value);
    }
    let mut out = b"MM\0*\0\0\0\x08".to_vec();
    out.extend(2u16.to_be_bytes());
    entry(&mut out, 0x0132, 2, 20, 100u32.to_be_bytes());
    entry(&mut out, 0x8769, 4, 1, 60u32.to_be_bytes());
    out.resize(60, 0);
    out.extend(2u16.to_be_bytes());
    entry(&mut out, 0x9003, 2, 20, 120u32.to_be_bytes());
    entry(&mut out, 0xA405, 3, 1, [(focal >> 8) as u8, focal as u8, 0, 0]);
    for (at, text) in [(100, changed), (120, taken)] {
        out.resize(at, 0);
        out.extend(text.as_bytes());
        out.push(0);
    }
    out.resize(144, 0);
    out
}

#[test]
fn edited_and_wide_angle_photos_are_recognised() {
    let plain = jpeg(W, H, &upright());
    let said = |taken, changed, focal| {
        open(&with_exif(&plain, &dated(taken, changed, focal))).unwrap().facts().warnings.clone()
    };
    let taken = "2026:05:17 09:30:00";
    assert_eq!(said(taken, taken, 26), []);
    assert_eq!(said(taken, "2026:05:17 09:30:02", 26), [], "the camera writes its file a little later");
    assert_eq!(said(taken, "2026:05:18 20:01:00", 26), [PhotoWarning::Edited]);
    assert_eq!(said(taken, "no date was set    ", 26), []);
    assert_eq!(said(taken, taken, 13), [PhotoWarning::WideAngle { focal_35mm: 13.0 }]);
    assert!(PhotoWarning::Edited.to_string().contains("Use the original"));
}

#[test]
fn private_data_go_and_the_picture_stays() {
    let plain = jpeg(W, H, &upright());
    let mut dressed = with_exif(&plain, &record(6, (W, H), None));
    dressed = with_segment(&dressed, 0xE1, b"http://ns.adobe.com/xap/1.0/\0<x:xmpmeta>OWNER</x:xmpmeta>");
    dressed = with_segment(&dressed, 0xED, b"Photoshop 3.0\08BIM OWNER");
    dressed = with_segment(&dressed, 0xFE, b"OWNER said so");
    dressed.extend(b"trailing OWNER data of the maker");
    let clean = without_private_data(&dressed).unwrap();
    for word in [&b"OWNER"[..], b"SERIAL", b"Photoshop", b"xmpmeta"] {
        assert!(
            !clean.windows(word.len()).any(|w| w == word),
            "{} is still there",
            String::from_utf8_lossy(word)
        );
    }
    let (before, after) = (open(&dressed).unwrap(), open(&clean).unwrap());
    assert_eq!(before, after, "same pixels, same facts");
    assert_eq!(after.facts().orientation, 6);
    assert_eq!(after.facts().focal_35mm, Some(27.0));
    // The coded picture is untouched, byte for byte.
    let coded = |b: &[u8]| {
        let at = b.windows(2).position(|w| w == [0xFF, 0xDA]).unwrap();
        let end = b.windows(2).rposition(|w| w == [0xFF, 0xD9]).unwrap();
        b[at..end].to_vec()
    };
    assert_eq!(coded(&plain), coded(&clean));
    assert_eq!(without_private_data(&clean).unwrap(), clean, "cleaning twice changes nothing");

    let mut picture = png(W, H, &upright(), ExtendedColorType::Rgb8);
    let text = b"tEXtAuthor\0OWNER";
    let mut chunk = ((text.len() - 4) as u32).to_be_bytes().to_vec();
    chunk.extend(text);
    chunk.extend([0x12, 0x34, 0x56, 0x78]);
    picture.splice(33..33, chunk);
    let clean = without_private_data(&picture).unwrap();
    assert!(!clean.windows(5).any(|w| w == b"OWNER"));
    assert_eq!(open(&clean).unwrap().rgb(), &upright()[..]);
}
