//! Pages filled from the top: headings, paragraphs, rows of a table, pictures.

use coldwright_export::{Anchor, Drawing, Item, Layer, PdfPage, Pen, Text, font};
use kurbo::{Point, Rect, Vec2};

/// White round the page, mm.
const MARGIN_MM: f64 = 17.0;
/// Room kept for the foot, mm.
const FOOT_MM: f64 = 8.0;
/// Type of running words, points.
pub(crate) const BODY_PT: f64 = 10.0;
/// Distance from baseline to baseline in parts of the type size.
const PITCH_EM: f64 = 1.35;

/// A cell that is an empty box to tick off, in a column whose cells stand in the middle.
pub(crate) const TICK_BOX: &str = "\u{2610}";

/// Pages being filled.
#[derive(Debug)]
pub(crate) struct Sheets {
    size_mm: (f64, f64),
    pages: Vec<Drawing>,
    /// Height of the next thing's top above the page's lower edge, mm.
    y: f64,
}

/// A column of a table: where it starts, as a fraction of the width, and how its cells stand.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Column {
    pub(crate) at: f64,
    pub(crate) anchor: Anchor,
}

impl Sheets {
    pub(crate) fn new(size_mm: (f64, f64)) -> Sheets {
        Sheets { size_mm, pages: Vec::new(), y: 0.0 }
    }

    /// Width of the words' column, mm.
    pub(crate) fn width(&self) -> f64 {
        self.size_mm.0 - 2.0 * MARGIN_MM
    }

    /// Starts a new page unless so much room is left, mm.
    pub(crate) fn need(&mut self, height: f64) {
        if self.pages.is_empty() || self.y - height < MARGIN_MM + FOOT_MM {
            self.pages.push(Drawing::new("", Rect::new(0.0, 0.0, self.size_mm.0, self.size_mm.1)));
            self.y = self.size_mm.1 - MARGIN_MM;
        }
    }

    /// What is written at once and fits one page is not parted between two; what is longer does not begin low on a page.
    pub(crate) fn together(&mut self, write: impl Fn(&mut Sheets)) {
        let mut tried = Sheets::new(self.size_mm);
        tried.need(0.0);
        let top = tried.y;
        write(&mut tried);
        let whole = if tried.pages.len() == 1 { top - tried.y } else { 0.5 * top };
        self.need(whole);
        write(self);
    }

    /// The rest of the page stays empty.
    pub(crate) fn new_page(&mut self) {
        self.need(f64::INFINITY);
    }

    pub(crate) fn gap(&mut self, mm: f64) {
        self.y -= mm;
    }

    /// A heading that stays with what follows.
    pub(crate) fn heading(&mut self, words: &str, pt: f64) {
        self.gap(2.0);
        self.need(font::em_mm(pt) * 2.0 + 16.0);
        for line in wrapped(words, pt, true, self.width()) {
            self.line(&line, pt, true, 0.0);
        }
        self.gap(1.5);
    }

    pub(crate) fn paragraph(&mut self, words: &str) {
        self.need_whole(words, 0.0);
        self.indented(words, BODY_PT, false, 0.0);
    }

    /// A paragraph with an empty box before it, to tick off.
    pub(crate) fn task(&mut self, words: &str) {
        self.need_whole(words, 6.0);
        self.tick_box(MARGIN_MM + 0.4, self.y - 3.6);
        self.indented(words, BODY_PT, false, 6.0);
        self.gap(0.8);
    }

    /// Bold words with an empty box before them, to tick off, and what is said about them in a line below.
    pub(crate) fn task_with(&mut self, words: &str, about: &str) {
        self.need(2.0 * font::em_mm(BODY_PT) * PITCH_EM);
        self.tick_box(MARGIN_MM + 0.4, self.y - 3.6);
        self.indented(words, BODY_PT, true, 6.0);
        self.indented(about, 9.0, false, 6.0);
        self.gap(1.2);
    }

    fn tick_box(&mut self, x: f64, y: f64) {
        let path = kurbo::Shape::to_path(&Rect::new(x, y, x + 3.0, y + 3.0), 0.1);
        self.draw(|page| page.line(path, Pen::MARK, Layer::Marks));
    }

    /// A paragraph with a short dash before it.
    pub(crate) fn point(&mut self, words: &str) {
        self.need_whole(words, 6.0);
        let y = self.y - font::em_mm(BODY_PT) * 0.72;
        self.draw(|page| page.straight((MARGIN_MM, y), (MARGIN_MM + 2.2, y), Pen::MARK, Layer::Marks));
        self.indented(words, BODY_PT, false, 6.0);
        self.gap(0.6);
    }

    fn indented(&mut self, words: &str, pt: f64, bold: bool, indent: f64) {
        for line in self.lines(words, pt, bold, indent) {
            self.need(font::em_mm(pt) * PITCH_EM);
            self.line(&line, pt, bold, indent);
        }
    }

    fn lines(&self, words: &str, pt: f64, bold: bool, indent: f64) -> Vec<String> {
        // A sign and its number stay on one line.
        wrapped(&words.replace("± ", "±\u{a0}"), pt, bold, self.width() - indent)
    }

    /// Room for the whole of a paragraph, so that it is not parted; of one longer than this, for its beginning.
    fn need_whole(&mut self, words: &str, indent: f64) {
        const LONGEST: usize = 12;
        let lines = self.lines(words, BODY_PT, false, indent).len().clamp(1, LONGEST);
        self.need(lines as f64 * font::em_mm(BODY_PT) * PITCH_EM);
    }

    fn line(&mut self, words: &str, pt: f64, bold: bool, indent: f64) {
        self.need(font::em_mm(pt) * PITCH_EM);
        self.y -= font::em_mm(pt) * PITCH_EM;
        let at = Point::new(MARGIN_MM + indent, self.y + font::em_mm(pt) * 0.33);
        self.draw(|page| page.text(text(at, words, pt, bold, Anchor::Start)));
    }

    /// A table under a thin line; a cell that is too wide for its column is set smaller, down to 9 pt, then shortened.
    /// A short table is not parted.
    pub(crate) fn table(&mut self, columns: &[Column], head: &[&str], rows: &[Vec<String>]) {
        const SHORT: usize = 12;
        let pitch = font::em_mm(BODY_PT) * 1.5;
        self.need(pitch * if rows.len() <= SHORT { rows.len() as f64 + 1.5 } else { 3.0 });
        self.table_head(columns, head);
        for row in rows {
            let page = self.pages.len();
            self.need(pitch);
            if self.pages.len() > page {
                self.table_head(columns, head);
            }
            self.row(columns, row, false);
        }
        self.gap(3.0);
    }

    fn table_head(&mut self, columns: &[Column], head: &[&str]) {
        self.row(columns, &head.iter().map(|h| (*h).to_owned()).collect::<Vec<_>>(), true);
        let (x, y, width) = (MARGIN_MM, self.y, self.width());
        self.draw(|page| page.straight((x, y), (x + width, y), Pen::MARK, Layer::Marks));
        self.gap(0.7);
    }

    fn row(&mut self, columns: &[Column], cells: &[String], bold: bool) {
        let pt = 9.0;
        self.y -= font::em_mm(BODY_PT) * 1.5;
        for (i, (column, cell)) in columns.iter().zip(cells).enumerate() {
            let at = Point::new(MARGIN_MM + column.at * self.width(), self.y + 1.5);
            if cell == TICK_BOX {
                self.tick_box(at.x - 1.5, self.y + 1.0);
                continue;
            }
            let room = match column.anchor {
                Anchor::Start => columns.get(i + 1).map_or(1.0, |next| next.at) - column.at,
                Anchor::Middle => {
                    let before =
                        i.checked_sub(1).and_then(|before| columns.get(before)).map_or(0.0, |c| c.at);
                    let after = columns.get(i + 1).map_or(2.0 - column.at, |c| c.at);
                    (column.at - before).min(after - column.at)
                }
                Anchor::End => {
                    let before = i.checked_sub(1).and_then(|before| columns.get(before));
                    column.at - before.map_or(0.0, |c| c.at)
                }
            } * self.width();
            let words = shortened(cell, pt, bold, room - 2.0);
            self.draw(|page| page.text(text(at, &words, pt, bold, column.anchor)));
        }
    }

    /// Pictures side by side, each in a box of its own size (mm), as many to a row as fit.
    pub(crate) fn pictures(&mut self, pictures: Vec<Drawing>) {
        let mut row: Vec<Drawing> = Vec::new();
        let mut width = 0.0;
        for picture in pictures {
            if !row.is_empty() && width + picture.bounds.width() > self.width() {
                self.picture_row(std::mem::take(&mut row));
                width = 0.0;
            }
            width += picture.bounds.width() + 4.0;
            row.push(picture);
        }
        self.picture_row(row);
    }

    fn picture_row(&mut self, row: Vec<Drawing>) {
        let height = row.iter().map(|p| p.bounds.height()).fold(0.0, f64::max);
        if row.is_empty() {
            return;
        }
        self.need(height + 2.0);
        self.y -= height;
        let mut x = MARGIN_MM;
        let y = self.y;
        for picture in row {
            let shift = Point::new(x, y) - Point::new(picture.bounds.x0, picture.bounds.y0);
            x += picture.bounds.width() + 4.0;
            let items: Vec<Item> =
                picture.items.iter().map(|item| item.placed(Vec2::new(1.0, 1.0), shift)).collect();
            self.draw(|page| page.items.extend(items));
        }
        self.gap(3.0);
    }

    fn draw(&mut self, ink: impl FnOnce(&mut Drawing)) {
        if let Some(page) = self.pages.last_mut() {
            ink(page);
        }
    }

    /// The pages, each with the job and its number at the foot.
    pub(crate) fn finish(self, foot: &str) -> Vec<PdfPage> {
        let count = self.pages.len();
        let (width, size_mm) = (self.width(), self.size_mm);
        self.pages
            .into_iter()
            .enumerate()
            .map(|(i, mut page)| {
                let number = format!("page {} of {count}", i + 1);
                let room = width - font::text_width_mm(&number, 9.0, false) - 6.0;
                let y = MARGIN_MM;
                page.text(text(
                    Point::new(MARGIN_MM, y),
                    &shortened(foot, 9.0, false, room),
                    9.0,
                    false,
                    Anchor::Start,
                ));
                page.text(text(Point::new(MARGIN_MM + width, y), &number, 9.0, false, Anchor::End));
                PdfPage { size_mm, drawing: page }
            })
            .collect()
    }
}

fn text(at: Point, words: &str, height_pt: f64, bold: bool, anchor: Anchor) -> Text {
    Text { at, words: words.to_owned(), height_pt, angle: 0.0, anchor, bold, layer: Layer::Words }
}

/// Words that fit a width, the rest dropped behind an ellipsis.
pub(crate) fn shortened(words: &str, pt: f64, bold: bool, width: f64) -> String {
    if font::text_width_mm(words, pt, bold) <= width {
        return words.to_owned();
    }
    let mut kept: Vec<char> = words.chars().collect();
    while kept.pop().is_some() {
        let short: String = kept.iter().collect::<String>().trim_end().to_owned() + "…";
        if font::text_width_mm(&short, pt, bold) <= width {
            return short;
        }
    }
    String::new()
}

/// The largest of these sizes, points, at which words fit a width on one line; the last where none does.
pub(crate) fn fitting(words: &str, bold: bool, width: f64, sizes: &[f64]) -> f64 {
    let fits = |pt: &&f64| font::text_width_mm(words, **pt, bold) <= width;
    sizes.iter().find(fits).or(sizes.last()).copied().unwrap_or(BODY_PT)
}

/// Words broken into lines of at most this width, at spaces, and within a word that is wider than a line.
pub(crate) fn wrapped(words: &str, pt: f64, bold: bool, width: f64) -> Vec<String> {
    let fits = |line: &str| font::text_width_mm(line, pt, bold) <= width;
    let mut lines = Vec::new();
    let mut line = String::new();
    // Only plain spaces part lines: the narrow no-break space inside a number does not.
    for word in words.split([' ', '\n', '\t']).filter(|word| !word.is_empty()) {
        let joined = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&joined) {
            line = joined;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if !fits(&line) && line.chars().count() > 1 {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_fit_and_no_word_is_lost() {
        let long = "x".repeat(300);
        let words = format!("Tape tick 3 to tick 11 on the template {long} before anything is cut.");
        let lines = wrapped(&words, 10.0, false, 80.0);
        assert!(lines.iter().all(|line| font::text_width_mm(line, 10.0, false) <= 80.0));
        assert_eq!(lines.concat().replace(' ', ""), words.replace(' ', ""));
        assert!(shortened(&words, 9.0, true, 30.0).ends_with('…'));
    }
}
