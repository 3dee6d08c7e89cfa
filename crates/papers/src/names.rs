//! File names that every disk takes, from wall names in any script.

use coldwright_job::PlannedPiece;

/// The stem of the files of sheets, kept from walls.
pub(crate) const SHEET: &str = "sheet";
/// Longest stem made from a wall's name.
const LONGEST: usize = 40;
/// Latin letters with marks, and what they are written as: common practice, no source.
const PLAIN: [(&str, &str); 22] = [
    ("àáâãäåāăą", "a"),
    ("çćčĉ", "c"),
    ("ďđð", "d"),
    ("èéêëēęěė", "e"),
    ("ĝğģ", "g"),
    ("ìíîïīįı", "i"),
    ("ķ", "k"),
    ("ĺļľł", "l"),
    ("ñńņň", "n"),
    ("òóôõöøōő", "o"),
    ("ŕř", "r"),
    ("śşšș", "s"),
    ("ţťț", "t"),
    ("ùúûüūůűų", "u"),
    ("ŵ", "w"),
    ("ýÿ", "y"),
    ("źżž", "z"),
    ("æ", "ae"),
    ("œ", "oe"),
    ("ß", "ss"),
    ("þ", "th"),
    ("ĵ", "j"),
];

/// One file stem for each wall, in order: small letters, digits and hyphens, no two alike. A name without any Latin letter
/// or digit gives the wall's number.
pub(crate) fn stems<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<String> {
    // "sheet-1" is the first sheet's file.
    let mut taken: Vec<String> = vec![SHEET.to_owned()];
    for (at, name) in names.into_iter().enumerate() {
        let plain = stem(name);
        let plain = if plain.is_empty() { format!("wall-{}", at + 1) } else { plain };
        let mut free = plain.clone();
        // "hull-2" must not meet layer 2 of "hull": a second wall of one name gets a letter.
        let mut letter = 1;
        while taken.contains(&free) {
            free = format!("{plain}-{}", crate::wording::part_letters(letter));
            letter += 1;
        }
        taken.push(free);
    }
    taken.split_off(1)
}

/// The stem of a piece: its wall's, the layer's number, and its letter where the layer is in parts.
pub(crate) fn of_piece(stem: &str, piece: &PlannedPiece) -> String {
    let letter = if piece.parts > 1 {
        format!("-{}", crate::wording::part_letters(piece.id.part as usize))
    } else {
        String::new()
    };
    format!("{stem}-{}{letter}", piece.id.layer)
}

fn stem(name: &str) -> String {
    let mut out = String::new();
    for c in name.chars().flat_map(char::to_lowercase) {
        if out.len() >= LONGEST {
            break;
        }
        if c.is_ascii_alphanumeric() {
            out.push(c);
        } else if let Some((_, plain)) = PLAIN.iter().find(|(letters, _)| letters.contains(c)) {
            out.push_str(plain);
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    out.trim_end_matches('-').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_script_gives_plain_names_that_differ() {
        let long = "x".repeat(250);
        let names = [
            "Après side",
            "apres side",
            "Ворота",
            "右舷",
            "../..\\:*?",
            "",
            "Hull 2",
            "Łódź/Ærø",
            long.as_str(),
            "\u{fffd}\0a",
        ];
        let stems = stems(names);
        assert_eq!(
            stems[..8],
            ["apres-side", "apres-side-b", "wall-3", "wall-4", "wall-5", "wall-6", "hull-2", "lodz-aero"]
        );
        assert_eq!((stems[8].len(), stems[9].as_str()), (40, "a"));
    }

    #[test]
    fn a_wall_named_like_a_numbered_one_gets_another_stem() {
        assert_eq!(stems(["Sheet", "Hull"]), ["sheet-b", "hull"]);
        assert_eq!(stems(["Wall 2", "舷", "Wall 2"]), ["wall-2", "wall-2-b", "wall-2-c"]);
    }
}
