//! Typed, pasted or comma-separated text to rows of cells, and cells to lengths.

use coldwright_geometry::parse_length;

use super::Style;
use crate::error::CanvasError;

/// One cell of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cell {
    /// Which cell of its line, from 1.
    pub number: usize,
    /// What is written in it, without blanks round it.
    pub text: String,
}

/// One line of a table that holds something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Row {
    /// Which line of the text, from 1.
    pub line: usize,
    /// Its cells, empty ones among them.
    pub cells: Vec<Cell>,
}

impl Row {
    /// What a cell (from 0) says; empty when there is none.
    pub(super) fn text(&self, cell: usize) -> &str {
        self.cells.get(cell).map_or("", |c| c.text.as_str())
    }

    /// A cell (from 0) as a length, mm.
    pub(super) fn length(&self, cell: usize, style: &Style) -> Result<f64, CanvasError> {
        match parse_length(self.text(cell), style.bare, style.writing) {
            Ok(reading) => Ok(reading.length.mm()),
            Err(why) => Err(CanvasError::BadCell { line: self.line, cell: cell + 1, why: why.to_string() }),
        }
    }

    pub(super) fn must_have(&self, from: usize, to: usize) -> Result<(), CanvasError> {
        let has = self.cells.len();
        if (from..=to).contains(&has) {
            Ok(())
        } else {
            Err(CanvasError::BadRow { line: self.line, has, from, to })
        }
    }
}

/// Splits text into rows. Cells are parted by tabs; without any, by semicolons, then by two or more blanks, then by commas: the first of these that
/// the text holds. Single blanks belong to a length (`40 1/2`). Empty lines and lines beginning with `#` are passed over, and so is a first line without
/// a digit: headings. A cell that begins with a double quote ends with one, a doubled one inside stands for itself.
///
/// # Examples
/// ```
/// let rows = coldwright_canvas::measured::read_rows("name; x; y\nA; 40 1/2 in; 12,5 mm\n");
/// assert_eq!((rows.len(), rows[0].line, rows[0].cells[1].text.as_str()), (1, 2, "40 1/2 in"));
/// ```
pub fn read_rows(text: &str) -> Vec<Row> {
    let text = text.trim_start_matches('\u{feff}');
    let wanted = |l: &&str| !l.trim().is_empty() && !l.trim_start().starts_with('#');
    let holds = |test: &dyn Fn(&str) -> bool| text.lines().filter(wanted).any(test);
    let parted = |line: &str| -> Vec<String> {
        if holds(&|l| l.contains('\t')) {
            split(line, '\t')
        } else if holds(&|l| l.contains(';')) {
            split(line, ';')
        } else if holds(&|l| l.trim().contains("  ")) {
            line.trim().split("  ").filter(|c| !c.trim().is_empty()).map(str::to_owned).collect()
        } else {
            split(line, ',')
        }
    };
    let mut rows = Vec::new();
    for (i, line) in text.lines().enumerate().filter(|(_, l)| wanted(l)) {
        if rows.is_empty() && !line.chars().any(|c| c.is_ascii_digit() || ('\u{bc}'..='\u{be}').contains(&c))
        {
            continue;
        }
        let cells = parted(line);
        let cells = cells
            .into_iter()
            .enumerate()
            .map(|(k, c)| Cell { number: k + 1, text: c.trim().to_owned() })
            .collect();
        rows.push(Row { line: i + 1, cells });
    }
    rows
}

fn split(line: &str, mark: char) -> Vec<String> {
    let mut out = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        if quoted && c == '"' {
            if chars.peek() == Some(&'"') {
                cell.push('"');
                chars.next();
            } else {
                quoted = false;
            }
        } else if !quoted && c == '"' && cell.trim().is_empty() {
            cell.clear();
            quoted = true;
        } else if !quoted && c == mark {
            out.push(std::mem::take(&mut cell));
        } else {
            cell.push(c);
        }
    }
    out.push(cell);
    out
}
