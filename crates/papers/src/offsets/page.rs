//! The table of offsets on pages: a picture of the piece over its baseline, then the numbers.

use coldwright_export::{Anchor, Drawing, Layer, Paper, PdfOptions, Pen, Text, font, pdf};
use coldwright_job::{Job, Units};
use kurbo::{Affine, Point, Rect};

use super::{Offsets, eighths, millimetres, sixteenths};
use crate::error::PapersError;
use crate::faces::path;
use crate::room::thinned;
use crate::shop_book::sheet::{Column, Sheets};
use crate::shop_book::{picture, sheet_size};

/// Pictures fit a box of this size, mm.
const PICTURE_MM: (f64, f64) = (150.0, 62.0);
/// Room round a picture for its words, mm.
const ROUND_MM: f64 = 7.0;

/// All tables as a PDF on A4 or Letter.
pub(crate) fn pdf_of(job: &Job, all: &[Offsets], paper: Paper) -> Result<Vec<u8>, PapersError> {
    let mut sheets = Sheets::new(sheet_size(job, paper));
    sheets.heading(&format!("{}: offsets", job.name), 22.0);
    let within = match job.units {
        Units::Millimetres => "0.4\u{a0}mm".to_owned(),
        Units::Inches => "1/64\u{a0}in".to_owned(),
    };
    let spacing = job.show_mm(super::spacing(job));
    sheets.paragraph(&format!(
        "For drawing each piece on the foam without a printer. Straight lines between the stations stay within {within} of the \
         outline; stations stand about every {spacing}, and closer where it bends."
    ));
    sheets.gap(1.5);
    for step in [
        "Turn the foam so that its box side lies up. Strike a baseline along the board, or take a straight edge of it.",
        "Mark the stations along the baseline from left to right, and a square line up from each.",
        "Mark the distances on each square line, from the baseline; near is the side of the foam next to the baseline.",
        "Join the marks of one column by straight lines, in the order of the stations, and the ends of near and far where \
         they meet. A row that repeats its station is a step.",
        "Cut the box face's line with the bevels listed on the patterns; the hull face's line shows where the cut must come \
         out below.",
    ] {
        sheets.task(step);
    }
    if job.units == Units::Inches {
        sheets.paragraph(
            "Inches are to the nearest sixteenth; the number with a sign is what is left over, in thousandths of an inch (31 is half \
             a sixteenth). The second table of each piece has the same numbers in feet-inches-eighths, where + is a sixteenth \
             more; rounded so, they are up to 1/32 in off besides. Millimetres are in offsets.csv.",
        );
    }
    for offsets in all {
        sheets.together(|sheets| one(sheets, job, offsets));
    }
    let title = format!("{}: offsets", job.name);
    let pages = sheets.finish(&title);
    pdf(&pages, &PdfOptions { title, ..PdfOptions::default() })
        .map_err(|why| PapersError::Export { what: "the offsets".to_owned(), why })
}

fn one(sheets: &mut Sheets, job: &Job, offsets: &Offsets) {
    sheets.gap(4.0);
    let n = picture::scale((offsets.size.x, offsets.size.y), PICTURE_MM);
    let drawing = drawn(offsets, n);
    sheets.need(drawing.bounds.height() + 60.0);
    sheets.heading(&offsets.mark, 16.0);
    sheets.paragraph(&format!(
        "Picture 1 : {n}, seen from the box side. The baseline touches the lowest point of the piece and runs parallel to its base \
         edge; stations count from its leftmost point."
    ));
    sheets.pictures(vec![drawing]);
    let count = offsets.columns.len() + 2;
    let at = |i: usize| if i == 0 { 0.06 } else { 0.06 + 0.94 * i as f64 / (count - 1) as f64 };
    let columns: Vec<Column> = (0..count).map(|i| Column { at: at(i), anchor: Anchor::End }).collect();
    let unit = if job.units == Units::Inches { "in" } else { "mm" };
    let names: Vec<String> = ["no.".to_owned(), format!("station, {unit}")]
        .into_iter()
        .chain(offsets.columns.iter().map(|(name, _)| name.clone()))
        .collect();
    let head: Vec<&str> = names.iter().map(String::as_str).collect();
    let rows = |words: fn(f64) -> String| -> Vec<Vec<String>> {
        let said = |v: Option<f64>| v.map_or_else(String::new, words);
        let row = |(number, (x, at)): (usize, &(f64, Vec<Option<f64>>))| {
            let number = (number + 1).to_string();
            [number, words(*x)].into_iter().chain(at.iter().copied().map(said)).collect()
        };
        offsets.rows.iter().enumerate().map(row).collect()
    };
    if job.units != Units::Inches {
        sheets.table(&columns, &head, &rows(millimetres));
        return;
    }
    sheets.table(&columns, &head, &rows(sixteenths));
    sheets.heading(&format!("{} in feet-inches-eighths", offsets.mark), 11.0);
    let head: Vec<&str> =
        head.iter().map(|name| if *name == "station, in" { "station" } else { *name }).collect();
    sheets.table(&columns, &head, &rows(eighths));
}

/// The piece over its baseline at 1 : n, its stations numbered where there is room.
fn drawn(offsets: &Offsets, n: f64) -> Drawing {
    let size = offsets.size / n;
    let mut drawing =
        Drawing::new("", Rect::new(0.0, 0.0, size.x + 2.0 * ROUND_MM, size.y + 2.0 * ROUND_MM + 2.0));
    let place = Affine::translate((ROUND_MM, ROUND_MM)) * Affine::scale(1.0 / n);
    let dashed = Pen { width_mm: 0.18, dash_mm: Some((1.6, 0.9)), grey: 0.0 };
    for (rings, pen) in offsets.rings.iter().zip([Pen::solid(0.35), dashed]) {
        for ring in rings {
            drawing.line(place * path(&thinned(ring)), pen, Layer::Marks);
        }
    }
    let base = |x: f64, y: f64| place * Point::new(x, y);
    drawing.straight(
        base(0.0, 0.0) - (4.0, 0.0),
        base(offsets.size.x, 0.0) + kurbo::Vec2::new(4.0, 0.0),
        Pen::MARK,
        Layer::Marks,
    );
    let mut free = f64::NEG_INFINITY;
    for (number, (x, at)) in offsets.rows.iter().enumerate() {
        let top = at.iter().flatten().copied().fold(0.0, f64::max);
        drawing.straight(base(*x, 0.0) - (0.0, 1.2), base(*x, top), Pen::solid(0.12), Layer::Marks);
        let words = (number + 1).to_string();
        let half = font::text_width_mm(&words, 9.0, false) / 2.0;
        let at = base(*x, 0.0);
        // Crowded stations keep their lines; numbers stand where they do not touch.
        if at.x - half > free + 0.8 {
            drawing.text(Text {
                at: Point::new(at.x, at.y - 4.6),
                words,
                height_pt: 9.0,
                angle: 0.0,
                anchor: Anchor::Middle,
                bold: false,
                layer: Layer::Words,
            });
            free = at.x + half;
        }
    }
    drawing
}
