//! The PDF writer: exact page boxes, real lines and words, layers, an embedded subset of the font, and a request not to
//! scale.
//!
//! After ISO 32000-1:2008 (PDF 1.7): 8.3.2.3 (user space, 72 units an inch), 8.11 (optional content), 9.7 and 9.10.3
//! (composite fonts, ToUnicode), 12.2 (viewer preferences). `Enforce` is of ISO 32000-2:2020; older readers pass over it.

mod content;
mod fonts;

use pdf_writer::{Date, Finish, Name, Pdf, Ref, Str, TextStr};

use crate::drawing::{Drawing, one_line};
use crate::error::ExportError;
use crate::layer::Layer;
use fonts::Fonts;

/// Points (1/72 in) in a millimetre.
const PT_PER_MM: f64 = 72.0 / 25.4;

/// Longest side of a page in mm: 14 400 points, beyond which readers want another unit.
pub(crate) const LONGEST_SIDE_MM: f64 = 5080.0;

/// One page: its size, and a drawing whose origin is the page's lower left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct PdfPage {
    /// Width and height in mm, each at most 5080 (200 in).
    pub size_mm: (f64, f64),
    /// What is on it, in mm from the lower left corner, y up.
    pub drawing: Drawing,
}

/// How a PDF is written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PdfOptions {
    /// The document's title.
    pub title: String,
    /// The date written into the file; `None` writes none, so that the same drawing gives the same bytes.
    pub date: Option<PdfDate>,
    /// Whether the page contents are compressed.
    pub streams: Streams,
}

/// Whether the page contents are compressed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Streams {
    /// Compressed.
    #[default]
    Compressed,
    /// Readable, for golden files and for looking inside.
    Plain,
}

/// A date and time in universal time, as the caller's clock has it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PdfDate {
    /// Year, such as 2026.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day, 1 to 31.
    pub day: u8,
    /// Hour, 0 to 23.
    pub hour: u8,
    /// Minute, 0 to 59.
    pub minute: u8,
}

/// The pages as one PDF 1.7: page boxes of mm × 72/25.4 points, curves as Bézier curves, the layers of [`Layer::ALL`] that
/// are used as optional content, words as words in an embedded subset of Noto Sans, print scaling "none". Without a
/// date the same pages and options give the same bytes.
///
/// Characters the typeface lacks are drawn as an empty box; copied as text they come out right.
///
/// ```
/// use coldwright_export::{Drawing, Layer, PdfOptions, PdfPage, Pen, pdf};
/// use kurbo::{Rect, Shape};
/// let mut drawing = Drawing::new("Hull 3", Rect::new(0.0, 0.0, 210.0, 297.0));
/// drawing.line(Rect::new(20.0, 20.0, 120.0, 120.0).to_path(0.01), Pen::CUT, Layer::Cut);
/// let bytes = pdf(&[PdfPage { size_mm: (210.0, 297.0), drawing }], &PdfOptions::default())?;
/// assert!(bytes.starts_with(b"%PDF-1.7"));
/// # Ok::<(), coldwright_export::ExportError>(())
/// ```
///
/// # Errors
/// What [`Drawing::check`] refuses, [`ExportError::NoPages`], [`ExportError::PageSize`], [`ExportError::Font`].
pub fn pdf(pages: &[PdfPage], options: &PdfOptions) -> Result<Vec<u8>, ExportError> {
    if pages.is_empty() {
        return Err(ExportError::NoPages);
    }
    for (number, page) in pages.iter().enumerate() {
        let (width, height) = page.size_mm;
        if ![width, height].iter().all(|side| *side > 0.0 && *side <= LONGEST_SIDE_MM + 1e-6) {
            return Err(ExportError::PageSize { page: number + 1, width, height });
        }
        page.drawing.check()?;
    }

    let mut next = Ref::new(1);
    let mut file = Pdf::new();
    file.set_version(1, 7);
    let (catalog, page_tree, info) = (next.bump(), next.bump(), next.bump());
    let layers: Vec<(Layer, Ref)> =
        used_layers(pages).into_iter().map(|layer| (layer, next.bump())).collect();
    let fonts = Fonts::collect(pages)?;
    let font_refs = fonts.write(&mut file, &mut next, options.streams)?;

    let mut page_refs = Vec::with_capacity(pages.len());
    for page in pages {
        let (page_ref, content_ref) = (next.bump(), next.bump());
        page_refs.push(page_ref);
        write_page(&mut file, page, page_ref, page_tree, content_ref, &layers, &font_refs);
        let bytes = content::content(&page.drawing, &layers, &fonts);
        stream(&mut file, content_ref, &bytes, options.streams, |_| {});
    }

    file.pages(page_tree)
        .kids(page_refs.iter().copied())
        .count(i32::try_from(pages.len()).unwrap_or(i32::MAX));
    write_info(&mut file, info, options);
    write_layers(&mut file, &layers);
    write_catalog(&mut file, catalog, page_tree, &layers);
    Ok(file.finish())
}

fn used_layers(pages: &[PdfPage]) -> Vec<Layer> {
    let used =
        |layer: &Layer| pages.iter().any(|page| page.drawing.items.iter().any(|item| item.layer() == *layer));
    Layer::ALL.into_iter().filter(used).collect()
}

fn write_page(
    file: &mut Pdf,
    page: &PdfPage,
    id: Ref,
    parent: Ref,
    content: Ref,
    layers: &[(Layer, Ref)],
    font_refs: &[(&'static [u8], Ref)],
) {
    // Single precision keeps 0.0005 pt at the longest side.
    let corner = (points(page.size_mm.0), points(page.size_mm.1));
    let size = pdf_writer::Rect::new(0.0, 0.0, corner.0, corner.1);
    let mut writer = file.page(id);
    writer.parent(parent).media_box(size).crop_box(size).trim_box(size).contents(content);
    let mut resources = writer.resources();
    if !font_refs.is_empty() {
        resources.fonts().pairs(font_refs.iter().map(|(name, id)| (Name(name), *id)));
    }
    let mut names = resources.insert(Name(b"Properties")).dict();
    for (place, (_, id)) in layers.iter().enumerate() {
        names.pair(Name(content::layer_name(place).as_bytes()), *id);
    }
}

fn write_info(file: &mut Pdf, id: Ref, options: &PdfOptions) {
    let mut info = file.document_info(id);
    info.title(TextStr(&one_line(&options.title))).producer(TextStr("Coldwright"));
    if let Some(date) = options.date {
        let written = Date::new(date.year)
            .month(date.month)
            .day(date.day)
            .hour(date.hour)
            .minute(date.minute)
            .utc_offset_hour(0);
        info.creation_date(written).modified_date(written);
    }
}

fn write_layers(file: &mut Pdf, layers: &[(Layer, Ref)]) {
    for (layer, id) in layers {
        let mut group = file.indirect(*id).dict();
        group.pair(Name(b"Type"), Name(b"OCG"));
        group.pair(Name(b"Name"), TextStr(layer.plain_name()));
    }
}

fn write_catalog(file: &mut Pdf, id: Ref, page_tree: Ref, layers: &[(Layer, Ref)]) {
    let mut catalog = file.catalog(id);
    catalog.pages(page_tree).lang(TextStr("en"));
    let mut preferences = catalog.viewer_preferences();
    preferences.display_doc_title(true);
    preferences.pair(Name(b"PrintScaling"), Name(b"None"));
    preferences.pair(Name(b"PickTrayByPDFSize"), true);
    preferences.insert(Name(b"Enforce")).array().item(Name(b"PrintScaling"));
    preferences.finish();
    if !layers.is_empty() {
        let mut all = catalog.insert(Name(b"OCProperties")).dict();
        all.insert(Name(b"OCGs")).array().items(layers.iter().map(|(_, id)| *id));
        let mut default = all.insert(Name(b"D")).dict();
        default.pair(Name(b"Name"), TextStr("Layers"));
        default.pair(Name(b"BaseState"), Name(b"ON"));
        default.insert(Name(b"Order")).array().items(layers.iter().map(|(_, id)| *id));
    }
}

/// Writes a stream object, compressed or plain, with more keys if wanted.
fn stream(
    file: &mut Pdf,
    id: Ref,
    bytes: &[u8],
    streams: Streams,
    more: impl FnOnce(&mut pdf_writer::Stream<'_>),
) {
    match streams {
        Streams::Plain => more(&mut file.stream(id, bytes)),
        Streams::Compressed => {
            let packed = miniz_oxide::deflate::compress_to_vec_zlib(bytes, 6);
            let mut writer = file.stream(id, &packed);
            writer.filter(pdf_writer::Filter::FlateDecode);
            more(&mut writer);
        }
    }
}

/// A length in mm as points.
fn points(mm: f64) -> f32 {
    // Four decimals are 0.04 µm, finer than single precision on all but small pages, and keep the file short.
    ((mm * PT_PER_MM * 10_000.0).round() / 10_000.0) as f32
}

/// The characters of a string object.
fn shown(bytes: &[u8]) -> Str<'_> {
    Str(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Anchor, Text};
    use crate::pen::Pen;
    use kurbo::{Point, Rect};

    fn page() -> PdfPage {
        let mut drawing = Drawing::new("t", Rect::new(0.0, 0.0, 210.0, 297.0));
        drawing.straight((20.0, 20.0), (120.0, 20.0), Pen::CUT, Layer::Cut);
        drawing.text(Text {
            at: Point::new(20.0, 30.0),
            words: "23 3/8 in".into(),
            height_pt: 9.0,
            angle: 0.0,
            anchor: Anchor::Start,
            bold: false,
            layer: Layer::Words,
        });
        PdfPage { size_mm: (210.0, 297.0), drawing }
    }

    fn plain(pages: &[PdfPage], date: Option<PdfDate>) -> String {
        let options = PdfOptions { title: "A piece".into(), date, streams: Streams::Plain };
        String::from_utf8_lossy(&pdf(pages, &options).unwrap()).into_owned()
    }

    #[test]
    fn asks_not_to_scale_and_has_layers() {
        let text = plain(&[page()], None);
        for part in
            ["/PrintScaling /None", "/Enforce [/PrintScaling]", "(Cut line)", "(Words)", "/OCProperties"]
        {
            assert!(text.contains(part), "{part} is missing");
        }
        assert!(!text.contains("(Joining marks)"), "unused layers stay out");
        assert!(!text.contains("Date"), "no date unless given");
    }

    #[test]
    fn the_same_pages_give_the_same_bytes() {
        assert_eq!(plain(&[page()], None), plain(&[page()], None));
        let date = PdfDate { year: 2026, month: 11, day: 25, hour: 2, minute: 3 };
        assert!(
            plain(&[page()], Some(date)).contains("D:20261125020300Z")
                || plain(&[page()], Some(date)).contains("D:202611250203")
        );
    }

    #[test]
    fn the_page_box_is_exact() {
        // 210 × 297 mm are 595.276 × 841.890 pt (ISO 216 sizes by 72/25.4).
        let text = plain(&[page()], None);
        let at = text.find("/MediaBox [").expect("a media box") + 11;
        let numbers: Vec<f64> =
            text[at..].split(']').next().unwrap().split(' ').map(|v| v.parse().unwrap()).collect();
        assert!(
            (numbers[2] - 210.0 * 72.0 / 25.4).abs() < 0.001
                && (numbers[3] - 297.0 * 72.0 / 25.4).abs() < 0.001
        );
    }

    #[test]
    fn refuses_what_cannot_be_a_page() {
        assert_eq!(pdf(&[], &PdfOptions::default()), Err(ExportError::NoPages));
        for size_mm in [(0.0, 10.0), (f64::NAN, 10.0), (10.0, 5081.0), (-1.0, 10.0)] {
            let bad = PdfPage { size_mm, ..page() };
            let refused = pdf(&[page(), bad], &PdfOptions::default());
            assert!(matches!(refused, Err(ExportError::PageSize { page: 2, .. })), "{refused:?}");
        }
        let mut bad = page();
        bad.drawing.straight((f64::NAN, 0.0), (1.0, 1.0), Pen::CUT, Layer::Cut);
        assert!(matches!(pdf(&[bad], &PdfOptions::default()), Err(ExportError::NotFinite { .. })));
    }
}
