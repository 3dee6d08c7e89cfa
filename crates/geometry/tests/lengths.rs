//! Every line of the list of written lengths, and round trips of what we write ourselves.
#![allow(
    clippy::expect_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "helpers of tests stop a test as tests do"
)]

use coldwright_geometry::{
    Length, LengthError, Show, Unit, ValueNote, Writing, parse_angle, parse_length, show_length,
};
use proptest::prelude::*;
use serde_json::Value;

fn list() -> Value {
    serde_json::from_str(include_str!("data/lengths.json")).expect("the list is JSON")
}

fn text<'a>(v: &'a Value, key: &str) -> &'a str {
    v.get(key).and_then(Value::as_str).expect("a text")
}

#[test]
fn every_length_of_the_list_is_read_as_stated() {
    let list = list();
    let cases = list["accept"].as_array().expect("accept");
    assert!(cases.len() >= 47, "the list is whole");
    for case in cases {
        let written = text(case, "text");
        let unit = match text(case, "unit_of_bare_numbers") {
            "inch" => Unit::Inch,
            "mm" => Unit::Mm,
            other => panic!("unit {other}"),
        };
        let writing = match text(case, "mode") {
            "plain" => Writing::Plain,
            _ => Writing::FeetInchesEighths,
        };
        let want = case["mm"].as_f64().expect("mm");
        let reading = parse_length(written, unit, writing).unwrap_or_else(|e| panic!("{written}: {e}"));
        assert!((reading.length.mm() - want).abs() < 1e-9, "{written}: {} for {want}", reading.length.mm());
        assert!(reading.words.contains(" = "), "{written}: {}", reading.words);
    }
}

#[test]
fn every_doubtful_length_is_refused_with_a_way_to_write_it() {
    let list = list();
    for case in list["refuse"].as_array().expect("refuse") {
        let written = text(case, "text");
        for unit in [Unit::Inch, Unit::Mm] {
            let error = parse_length(written, unit, Writing::Plain).expect_err(written).to_string();
            assert!(error.len() > 40 && !error.ends_with('.'), "{written}: {error}");
            assert!(["write", "carry", "put"].iter().any(|w| error.contains(w)), "{written}: {error}");
            assert!(error.starts_with(|c: char| !c.is_uppercase()), "{written}: {error}");
        }
    }
}

#[test]
fn more_doubtful_writing_is_refused() {
    for written in [
        "3 4",
        "1,234.5",
        "1.234,5",
        "3-4",
        "3 - 1/2",
        "40 - 1/2",
        "4 in 3 ft",
        "3 ft 4 mm",
        "3' 14\"",
        "1m 3",
        "1m 300cm",
        "3.5' 4\"",
        "40 1/2/3",
        "40/",
        "/2",
        "1'000",
        "--3",
        "3-",
        "-",
        "+",
        "12 parsecs",
        "strong",
        "1 2 3 4",
        "40.5 1/2",
        "1/2 1/2",
        "1e-3",
        "infinity",
        "2 000 000 m",
        "9999999999999999999",
        "l0 mm",
        "40 1/2 in of foam",
        "½½",
        "3''4'",
        "1..5",
        ".",
        "1000001 m",
        "2-3",
        "40°",
        "0x10",
        "１，２３４",
    ] {
        let read = parse_length(written, Unit::Inch, Writing::Plain);
        assert!(read.is_err(), "{written}: {read:?}");
    }
    for written in ["1-12-0", "1-07-8", "1-07", "1-07-4-2", "1.5-07-4", "a-b-c"] {
        assert!(parse_length(written, Unit::Inch, Writing::FeetInchesEighths).is_err(), "{written}");
    }
}

#[test]
fn quiet_tidying_and_notes() {
    for (written, um, note) in [
        ("\t1030\u{a0}\u{a0}mm ", 1_030_000, None),
        ("１０３０ mm", 1_030_000, None),
        ("1\u{202f}030.4 mm", 1_030_400, None),
        ("40 1⁄2 IN strong", 1_028_700, Some(ValueNote::Strong)),
        ("40½ in. shy", 1_028_700, Some(ValueNote::Shy)),
        ("40 1/2 in Heavy", 1_028_700, Some(ValueNote::Heavy)),
        ("3ft 4.5 in light", 1_028_700, Some(ValueNote::Light)),
        ("3'4''", 1_016_000, None),
        ("-3 mm", -3_000, None),
        ("\u{2212}3 mm", -3_000, None),
        ("0,125 in", 3_175, None),
        ("5/4 in", 31_750, None),
        ("3' 4 1/2", 1_028_700, None),
    ] {
        let r =
            parse_length(written, Unit::Inch, Writing::Plain).unwrap_or_else(|e| panic!("{written}: {e}"));
        assert_eq!((r.length, r.note), (Length::from_micrometres(um), note), "{written}");
    }
    let echo = |t: &str| parse_length(t, Unit::Inch, Writing::Plain).expect(t).words;
    assert_eq!(echo("27 9/16"), "2 ft 3 9/16 in = 700.1 mm");
    assert_eq!(echo("3/8"), "3/8 in = 9.5 mm");
    assert_eq!(echo("1030 mm"), "about 3 ft 4 35/64 in = 1\u{202f}030 mm");
}

#[test]
fn angles() {
    for (written, degrees) in [
        ("12", 12.0),
        ("12.5°", 12.5),
        ("12,5 deg", 12.5),
        ("-8", -8.0),
        ("\u{2212}8 degrees", -8.0),
        ("+3º", 3.0),
    ] {
        let got = parse_angle(written).unwrap_or_else(|e| panic!("{written}: {e}"));
        assert!((got - f64::to_radians(degrees)).abs() < 1e-12, "{written}");
    }
    for written in ["", "x", "12 in", "400", "1/2", "12 13", "nan", "1e2", "°", "12°°"] {
        assert!(parse_angle(written).is_err(), "{written}");
    }
    assert_eq!(parse_length(" ", Unit::Mm, Writing::Plain), Err(LengthError::Empty));
}

fn back(length: Length, show: Show) -> Result<Length, String> {
    let written = show_length(length, show);
    let writing = if show == Show::FeetInchesEighths { Writing::FeetInchesEighths } else { Writing::Plain };
    for unit in [Unit::Mm, Unit::Inch, Unit::Foot] {
        let r = parse_length(&written, unit, writing).map_err(|e| format!("{written}: {e}"))?;
        if r.length != length {
            return Err(format!("{written}: {:?} for {length:?}", r.length));
        }
    }
    Ok(length)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(2000) })]

    #[test]
    fn sixty_fourths_come_back_exactly(n in -2_500_000_i64..2_500_000) {
        let length = Length::from_64ths(n);
        for show in [Show::Inches { denominator: 64 }, Show::FeetInches { denominator: 64 }] {
            prop_assert_eq!(back(length, show), Ok(length));
        }
        let sixteenths = Length::from_64ths(n / 4 * 4);
        for show in [Show::FeetInchesEighths, Show::Inches { denominator: 16 }, Show::FeetInches { denominator: 16 }] {
            prop_assert_eq!(back(sixteenths, show), Ok(sixteenths));
        }
    }

    #[test]
    fn micrometres_come_back_exactly(n in -999_999_999_i64..999_999_999) {
        for (decimals, step) in [(0, 1000), (1, 100), (2, 10), (3, 1), (5, 1)] {
            let length = Length::from_micrometres(n / step * step);
            prop_assert_eq!(back(length, Show::Mm { decimals }), Ok(length));
        }
        let length = Length::from_micrometres(n);
        prop_assert_eq!(Length::from_mm(length.mm()), Ok(length));
        prop_assert_eq!(Length::from_inches(length.inches()), Ok(length));
    }

    #[test]
    fn any_text_gives_an_answer_and_never_a_panic(text in "[0-9 ./,'\"½+\\-a-z\u{202f}°]{0,14}") {
        if let Ok(r) = parse_length(&text, Unit::Inch, Writing::Plain) {
            prop_assert!(r.length.mm().is_finite());
        }
        let _ = parse_length(&text, Unit::Mm, Writing::FeetInchesEighths);
        if let Ok(a) = parse_angle(&text) {
            prop_assert!(a.is_finite());
        }
    }
}
