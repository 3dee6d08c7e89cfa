//! A table of text and its CSV.

/// A table: one header row and rows of cells, all text already in its final writing (decimal point, unit in the
/// header).
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Table {
    /// Column heads.
    pub head: Vec<String>,
    /// Rows; a short row is filled up with empty cells.
    pub rows: Vec<Vec<String>>,
}

impl Table {
    /// A table without rows.
    pub fn new<S: Into<String>>(head: impl IntoIterator<Item = S>) -> Table {
        Table { head: head.into_iter().map(Into::into).collect(), rows: Vec::new() }
    }

    /// Adds a row.
    pub fn row<S: Into<String>>(&mut self, cells: impl IntoIterator<Item = S>) {
        self.rows.push(cells.into_iter().map(Into::into).collect());
    }
}

/// The table as CSV after RFC 4180: comma between cells, CR LF after each row, a cell with a comma, quote, line
/// break or space at its ends in quotes, quotes doubled. UTF-8 without byte order mark. Rows shorter than the
/// widest are filled up, as the RFC wants the same number of cells in each.
///
/// ```
/// use coldwright_export::{Table, csv};
/// let mut table = Table::new(["station", "near (mm)"]);
/// table.row(["1", "12.5"]);
/// table.row(["2, at the corner", "40"]);
/// assert_eq!(csv(&table), "station,near (mm)\r\n1,12.5\r\n\"2, at the corner\",40\r\n");
/// ```
pub fn csv(table: &Table) -> String {
    let columns = table.rows.iter().map(Vec::len).fold(table.head.len(), usize::max);
    let mut out = String::new();
    let head = (!table.head.is_empty()).then_some(&table.head);
    for row in head.into_iter().chain(&table.rows) {
        for column in 0..columns {
            if column > 0 {
                out.push(',');
            }
            cell(&mut out, row.get(column).map_or("", String::as_str), columns == 1);
        }
        out.push_str("\r\n");
    }
    out
}

/// `alone`: the only cell of its row; when empty it is quoted, as an empty line is no row to most readers.
fn cell(out: &mut String, text: &str, alone: bool) {
    let quoted = text.contains([',', '"', '\r', '\n']) || text != text.trim() || (alone && text.is_empty());
    if quoted {
        out.push('"');
        out.push_str(&text.replace('"', "\"\""));
        out.push('"');
    } else {
        out.push_str(text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// A strict reader of RFC 4180, for the test alone.
    fn read(text: &str) -> Vec<Vec<String>> {
        let mut rows = vec![];
        let mut row = vec![];
        let mut field = String::new();
        let mut chars = text.chars().peekable();
        let mut inside = false;
        while let Some(c) = chars.next() {
            match (inside, c) {
                (true, '"') if chars.peek() == Some(&'"') => {
                    chars.next();
                    field.push('"');
                }
                (true, '"') => inside = false,
                (true, c) => field.push(c),
                (false, '"') => inside = true,
                (false, ',') => row.push(std::mem::take(&mut field)),
                (false, '\r') => {
                    assert_eq!(chars.next(), Some('\n'));
                    row.push(std::mem::take(&mut field));
                    rows.push(std::mem::take(&mut row));
                }
                (false, c) => field.push(c),
            }
        }
        assert!(row.is_empty() && field.is_empty() && !inside);
        rows
    }

    proptest! {
        #[test]
        fn any_cells_come_back(cells in prop::collection::vec(prop::collection::vec("[ -~é°\"\r\n,]{0,8}", 3), 1..6)) {
            let table = Table { head: vec!["a".into(), "b".into(), "c".into()], rows: cells.clone() };
            let back = read(&csv(&table));
            prop_assert_eq!(&back[1..], &cells[..]);
        }
    }

    #[test]
    fn short_rows_are_filled() {
        let table = Table { head: vec!["a".into()], rows: vec![vec!["1".into(), "2".into()], vec![]] };
        assert_eq!(csv(&table), "a,\r\n1,2\r\n,\r\n");
    }
}
