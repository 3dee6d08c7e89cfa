//! The few fields of a photo's record (EXIF) that matter for measuring. Position, owner and serials are not looked at.

use exif::{In, Reader, Tag, Value};

/// Fields read from a record.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(crate) struct Record {
    pub orientation: Option<u32>,
    pub focal_35mm: Option<f64>,
    pub focal_mm: Option<f64>,
    pub pixels: Option<(u32, u32)>,
    pub digital_zoom: Option<f64>,
    /// Its bytes were changed later than it was taken.
    pub edited: bool,
}

/// A camera writes its file so long after the picture at most, seconds.
const WRITES_WITHIN: u64 = 120;

/// Reads a record from its TIFF bytes (without the `Exif\0\0` in front).
pub(crate) fn read_record(tiff: &[u8]) -> Result<Record, ()> {
    let mut reader = Reader::new();
    reader.continue_on_error(true);
    let found =
        reader.read_raw(tiff.to_vec()).or_else(|e| e.distill_partial_result(|_| {})).map_err(|_| ())?;
    Ok(fields(&found))
}

/// Reads the record that a HEIF container holds; `None` when it holds none.
#[cfg(feature = "heic")]
pub(crate) fn record_in_container(bytes: &[u8]) -> Option<Result<Record, ()>> {
    match Reader::new().read_from_container(&mut std::io::Cursor::new(bytes)) {
        Ok(found) => Some(Ok(fields(&found))),
        Err(exif::Error::NotFound(_)) => None,
        Err(_) => Some(Err(())),
    }
}

fn fields(found: &exif::Exif) -> Record {
    let number = |tag: Tag| found.get_field(tag, In::PRIMARY).and_then(|f| f.value.get_uint(0));
    let ratio = |tag: Tag| {
        found.get_field(tag, In::PRIMARY).and_then(|f| match &f.value {
            Value::Rational(v) => v.first().filter(|r| r.denom != 0).map(exif::Rational::to_f64),
            other => other.get_uint(0).map(f64::from),
        })
    };
    Record {
        orientation: number(Tag::Orientation),
        focal_35mm: number(Tag::FocalLengthIn35mmFilm).filter(|f| *f > 0).map(f64::from),
        focal_mm: ratio(Tag::FocalLength).filter(|f| *f > 0.0),
        pixels: number(Tag::PixelXDimension).zip(number(Tag::PixelYDimension)),
        digital_zoom: ratio(Tag::DigitalZoomRatio),
        edited: moment(found, Tag::DateTime)
            .zip(moment(found, Tag::DateTimeOriginal))
            .is_some_and(|(changed, taken)| changed > taken + WRITES_WITHIN),
    }
}

/// A moment written as `2024:05:17 09:30:00`, as seconds that grow with it.
fn moment(found: &exif::Exif, tag: Tag) -> Option<u64> {
    let Value::Ascii(texts) = &found.get_field(tag, In::PRIMARY)?.value else { return None };
    let text = std::str::from_utf8(texts.first()?).ok()?;
    let mut parts = text.split([':', ' ']).map(|p| p.trim_end_matches('\0').parse::<u64>());
    let mut total = 0_u64;
    for most in [9999, 12, 31, 23, 59, 60] {
        let part = parts.next()?.ok().filter(|p| *p <= most)?;
        total = total * (most + 1) + part;
    }
    (total > 0).then_some(total)
}

impl Record {
    /// The same fields as a new, minimal record in TIFF form, little-endian.
    pub(crate) fn to_tiff(self) -> Vec<u8> {
        let mut sub: Vec<Entry> = Vec::new();
        if let Some(f) = self.focal_mm {
            sub.push(Entry { tag: 0x920A, kind: Kind::Ratio((f * 1000.0).round() as u32, 1000) });
        }
        if let Some((w, h)) = self.pixels {
            sub.push(Entry { tag: 0xA002, kind: Kind::Long(w) });
            sub.push(Entry { tag: 0xA003, kind: Kind::Long(h) });
        }
        if let Some(z) = self.digital_zoom {
            sub.push(Entry { tag: 0xA404, kind: Kind::Ratio((z * 1000.0).round() as u32, 1000) });
        }
        if let Some(f) = self.focal_35mm {
            sub.push(Entry { tag: 0xA405, kind: Kind::Short(f.round() as u16) });
        }
        let mut main = Vec::new();
        if let Some(o) = self.orientation {
            main.push(Entry { tag: 0x0112, kind: Kind::Short(o as u16) });
        }
        let sub_at = 8 + directory_size(&[&main[..], &[Entry { tag: 0x8769, kind: Kind::Long(0) }]].concat());
        main.push(Entry { tag: 0x8769, kind: Kind::Long(sub_at as u32) });
        let mut out = b"II*\0\x08\0\0\0".to_vec();
        write_directory(&mut out, &main);
        write_directory(&mut out, &sub);
        out
    }
}

#[derive(Debug, Clone, Copy)]
struct Entry {
    tag: u16,
    kind: Kind,
}

#[derive(Debug, Clone, Copy)]
enum Kind {
    Short(u16),
    Long(u32),
    Ratio(u32, u32),
}

fn directory_size(entries: &[Entry]) -> usize {
    2 + 12 * entries.len() + 4 + 8 * entries.iter().filter(|e| matches!(e.kind, Kind::Ratio(..))).count()
}

fn write_directory(out: &mut Vec<u8>, entries: &[Entry]) {
    let mut extra_at = (out.len() + 2 + 12 * entries.len() + 4) as u32;
    let mut extra = Vec::new();
    out.extend((entries.len() as u16).to_le_bytes());
    for e in entries {
        out.extend(e.tag.to_le_bytes());
        let (kind, value) = match e.kind {
            Kind::Short(v) => (3u16, u32::from(v)),
            Kind::Long(v) => (4, v),
            Kind::Ratio(n, d) => {
                extra.extend(n.to_le_bytes());
                extra.extend(d.to_le_bytes());
                extra_at += 8;
                (5, extra_at - 8)
            }
        };
        out.extend(kind.to_le_bytes());
        out.extend(1u32.to_le_bytes());
        out.extend(value.to_le_bytes());
    }
    out.extend(0u32.to_le_bytes());
    out.extend(extra);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_record_survives_writing_and_reading() {
        let record = Record {
            orientation: Some(6),
            focal_35mm: Some(26.0),
            focal_mm: Some(5.51),
            pixels: Some((4032, 3024)),
            digital_zoom: Some(1.5),
            edited: false,
        };
        assert_eq!(read_record(&record.to_tiff()), Ok(record));
        assert_eq!(read_record(&Record::default().to_tiff()), Ok(Record::default()));
    }

    #[test]
    fn damaged_records_are_refused_quietly() {
        let bytes = Record { orientation: Some(3), focal_mm: Some(4.0), ..Record::default() }.to_tiff();
        for n in 0..bytes.len() {
            let _ = read_record(&bytes[..n]);
        }
        assert_eq!(read_record(b"nonsense"), Err(()));
    }
}
