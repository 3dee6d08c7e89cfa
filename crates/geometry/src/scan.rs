//! Written lengths cut into words: the quiet tidying before any meaning is looked for.

use crate::LengthError;

/// One word of a written length.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Token {
    /// What it is.
    pub kind: Kind,
    /// Whether a space stood before it.
    pub spaced: bool,
}

/// The kinds of word.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Kind {
    /// Digits with at most one comma or point, as written.
    Number(String),
    /// A fraction from one glyph, top and bottom.
    Glyph(i64, i64),
    Slash,
    Dash,
    Plus,
    Degree,
    /// Letters in lower case, or a foot or inch mark as `ft` or `in`; `true` when it was a mark.
    Word(String, bool),
    Other(char),
}

const GLYPHS: [(char, i64, i64); 18] = [
    ('½', 1, 2),
    ('¼', 1, 4),
    ('¾', 3, 4),
    ('⅛', 1, 8),
    ('⅜', 3, 8),
    ('⅝', 5, 8),
    ('⅞', 7, 8),
    ('⅓', 1, 3),
    ('⅔', 2, 3),
    ('⅕', 1, 5),
    ('⅖', 2, 5),
    ('⅗', 3, 5),
    ('⅘', 4, 5),
    ('⅙', 1, 6),
    ('⅚', 5, 6),
    ('⅐', 1, 7),
    ('⅑', 1, 9),
    ('⅒', 1, 10),
];

/// Full-width forms and the many dashes, primes and spaces brought to one form each.
fn plain(c: char) -> char {
    match c {
        '\u{ff01}'..='\u{ff5e}' => char::from_u32(c as u32 - 0xfee0).unwrap_or(c),
        '\u{2044}' | '\u{2215}' => '/',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        '\u{2018}' | '\u{2019}' | '\u{2032}' | '\u{02bc}' | '\u{00b4}' | '`' => '\'',
        '\u{201c}' | '\u{201d}' | '\u{2033}' | '\u{02ba}' => '"',
        // Kept apart: our own group mark and the like.
        '\u{202f}' | '\u{2009}' => '\u{202f}',
        c if c.is_whitespace() || c == '\u{feff}' || c == '\u{200b}' => ' ',
        c => c,
    }
}

/// The words of `text`.
pub(crate) fn scan(text: &str) -> Result<Vec<Token>, LengthError> {
    let chars: Vec<char> = text.chars().map(plain).collect();
    let at = |i: usize| chars.get(i).copied().unwrap_or(' ');
    let mut out = Vec::new();
    let mut i = 0;
    let mut spaced = false;
    while i < chars.len() {
        let c = at(i);
        let kind = if c == ' ' || c == '\u{202f}' {
            spaced = true;
            i += 1;
            continue;
        } else if c.is_ascii_digit() || ((c == '.' || c == ',') && at(i + 1).is_ascii_digit()) {
            let (number, next) = number(&chars, i);
            i = next;
            Kind::Number(number)
        } else if let Some(&(_, a, b)) = GLYPHS.iter().find(|g| g.0 == c) {
            i += 1;
            Kind::Glyph(a, b)
        } else if c.is_alphabetic() && c != 'º' {
            let from = i;
            while at(i).is_alphabetic() {
                i += 1;
            }
            let word: String =
                chars.get(from..i).unwrap_or_default().iter().collect::<String>().to_lowercase();
            check_letters(&chars, from, i, &word, text)?;
            // The dot of an abbreviation: `in.`, `ft.`
            if at(i) == '.' && !at(i + 1).is_ascii_digit() {
                i += 1;
            }
            Kind::Word(word, false)
        } else {
            i += 1;
            match c {
                '/' => Kind::Slash,
                '-' => Kind::Dash,
                '+' => Kind::Plus,
                '°' | 'º' => Kind::Degree,
                '"' => Kind::Word("in".to_owned(), true),
                '\'' if at(i) == '\'' => {
                    i += 1;
                    Kind::Word("in".to_owned(), true)
                }
                '\'' => Kind::Word("ft".to_owned(), true),
                other => Kind::Other(other),
            }
        };
        out.push(Token { kind, spaced });
        spaced = false;
    }
    Ok(out)
}

/// Digits, commas and points from `i`; our own narrow group spaces are taken out.
fn number(chars: &[char], mut i: usize) -> (String, usize) {
    let digit = |i: usize| chars.get(i).is_some_and(char::is_ascii_digit);
    let mut out = String::new();
    while let Some(&c) = chars.get(i) {
        let group = c == '\u{202f}'
            && !out.is_empty()
            && !out.contains(['.', ','])
            && (1..=3).all(|k| digit(i + k))
            && !digit(i + 4);
        if c.is_ascii_digit()
            || (c == '.' || c == ',')
                && (digit(i + 1) || out.chars().any(|c| c.is_ascii_digit()) && !at_letter(chars, i + 1))
        {
            out.push(c);
        } else if !group {
            break;
        }
        i += 1;
    }
    (out, i)
}

fn at_letter(chars: &[char], i: usize) -> bool {
    chars.get(i).is_some_and(|c| c.is_alphabetic())
}

/// Letters that stand for digits, and exponents.
fn check_letters(chars: &[char], from: usize, to: usize, word: &str, text: &str) -> Result<(), LengthError> {
    let digit = |i: Option<usize>| i.and_then(|i| chars.get(i)).is_some_and(char::is_ascii_digit);
    let before = digit(from.checked_sub(1));
    let after = digit(Some(to)) || chars.get(to) == Some(&'-') && digit(Some(to + 1)) && word == "e";
    let whole = text.trim().to_owned();
    if word == "e" && before && after {
        return Err(LengthError::Exponent { text: whole });
    }
    if word.chars().all(|c| matches!(c, 'o' | 'l' | 'i' | 's')) {
        return Err(LengthError::LetterForDigit { text: whole });
    }
    if matches!(word, "nan" | "inf" | "infinity") {
        return Err(LengthError::NotANumber { text: whole });
    }
    Ok(())
}
