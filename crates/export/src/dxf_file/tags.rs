//! The group codes and values a DXF file is made of.

use kurbo::Point;

use crate::drawing::one_line;
use crate::number::decimal;

/// Decimals of a number in mm, and in inches: both finer than 0.1 µm.
const PLACES_MM: usize = 4;
const PLACES_INCH: usize = 6;

/// DXF text being written.
#[derive(Debug, Clone)]
pub(super) struct Tags {
    pub text: String,
    /// Drawing units per millimetre.
    factor: f64,
    places: usize,
    next_handle: u32,
}

impl Tags {
    /// `inches`: numbers are inches of exactly 25.4 mm, else mm. Handles are given out from `first_handle`.
    pub fn new(inches: bool, first_handle: u32) -> Tags {
        let (factor, places) = if inches { (1.0 / 25.4, PLACES_INCH) } else { (1.0, PLACES_MM) };
        Tags { text: String::new(), factor, places, next_handle: first_handle }
    }

    /// A string value, as it is.
    pub fn put(&mut self, code: u16, value: &str) {
        self.text.push_str(&format!("{code:>3}\r\n{value}\r\n"));
    }

    pub fn int(&mut self, code: u16, value: i64) {
        self.put(code, &value.to_string());
    }

    /// A reference to an object, or its own handle.
    pub fn handle(&mut self, code: u16, handle: u32) {
        self.put(code, &format!("{handle:X}"));
    }

    /// A number without a unit, such as an angle in degrees or a count of turns.
    pub fn bare(&mut self, code: u16, value: f64) {
        let text = decimal(value, 6);
        self.put(code, &if text.contains('.') { text } else { format!("{text}.0") });
    }

    /// A length in mm, written in the file's unit.
    pub fn length(&mut self, code: u16, mm: f64) {
        let text = decimal(mm * self.factor, self.places);
        self.put(code, &if text.contains('.') { text } else { format!("{text}.0") });
    }

    /// A point in mm, written in the file's unit; x gets `code`, y the code ten higher.
    pub fn point(&mut self, code: u16, p: Point) {
        self.length(code, p.x);
        self.length(code + 10, p.y);
    }

    /// The same with z = 0.
    pub fn point3(&mut self, code: u16, p: Point) {
        self.point(code, p);
        self.length(code + 20, 0.0);
    }

    /// A new handle, never given out before.
    pub fn fresh(&mut self) -> u32 {
        self.next_handle += 1;
        self.next_handle - 1
    }

    /// Words for people: one line, signs beyond ASCII as the format's own escapes.
    pub fn words(&mut self, code: u16, words: &str) {
        let mut text = String::new();
        for c in one_line(words).replace("%%", "% %").chars() {
            match c {
                '^' => text.push_str("^ "),
                ' '..='~' => text.push(c),
                // The escape holds four digits; signs above them cannot be written.
                _ => text.push_str(&format!("\\U+{:04X}", u16::try_from(u32::from(c)).unwrap_or(0xFFFD))),
            }
        }
        self.put(code, &text);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_escaped_and_lengths_converted() {
        let mut tags = Tags::new(true, 1);
        tags.words(1, "é 50%% ^\n±");
        tags.length(40, 100.0);
        tags.length(40, 25.4);
        assert_eq!(tags.text, "  1\r\n\\U+00E9 50% % ^  \\U+00B1\r\n 40\r\n3.937008\r\n 40\r\n1.0\r\n");
        assert_eq!((tags.fresh(), tags.fresh()), (1, 2));
    }
}
