//! Points measured without a photo: closed forms, blunders, refusals that name line and cell.

use coldwright_canvas::CanvasError;
use coldwright_canvas::measured::{
    Baseline, Corrections, FaceUp, Measure, Style, TickStick, TieSide, adjust, points_from_offsets,
    points_from_table, read_lengths, read_rows, read_ties, stick_tips,
};
use coldwright_geometry::{Unit, Writing};
use kurbo::Point;
use proptest::prelude::*;

fn mm(sd_mm: f64) -> Style {
    Style { sd_mm, ..Style::default() }
}

#[test]
fn rows_are_parted_the_same_however_they_are_written() {
    let wanted = [["A", "40 1/2", "12.5"], ["B", "3", "4"]];
    for text in [
        "name\tx\ty\nA\t40 1/2\t12.5\nB\t3\t4",
        "# a note\n\nA; 40 1/2 ;12.5\r\nB;3;4\r\n",
        "A  40 1/2  12.5\n  B     3  4\n",
        "\u{feff}A,40 1/2,12.5\n\"B\",3,4",
    ] {
        let rows = read_rows(text);
        let cells: Vec<Vec<&str>> =
            rows.iter().map(|r| r.cells.iter().map(|c| c.text.as_str()).collect()).collect();
        assert_eq!(cells, wanted, "{text:?}");
    }
    // Inch marks at a cell's end are no quotes; a quoted comma parts nothing.
    let rows = read_rows("A,\"40,5\",3' 4\"");
    assert_eq!(rows[0].cells.iter().map(|c| c.text.as_str()).collect::<Vec<_>>(), ["A", "40,5", "3' 4\""]);
}

#[test]
fn a_refusal_names_line_and_cell() {
    let error = points_from_table("A; 10; 20\n\nB; 1,234; 5", &mm(0.5)).unwrap_err();
    assert!(matches!(error, CanvasError::BadCell { line: 3, cell: 2, .. }), "{error}");
    assert!(error.to_string().starts_with("line 3, cell 2: ") && error.to_string().contains("1,234"));
    let error = points_from_table("10,5, 20,5", &mm(0.5)).unwrap_err();
    assert_eq!(error, CanvasError::BadRow { line: 1, has: 4, from: 2, to: 3 });
    assert_eq!(points_from_table(" \n# nothing\n", &mm(0.5)).unwrap_err(), CanvasError::EmptyTable);
    // Feet-inches-eighths only where it was said.
    assert!(matches!(points_from_table("1-2-3; 4-5-6", &mm(0.5)), Err(CanvasError::BadCell { cell: 1, .. })));
    let error =
        points_from_offsets("0; ; \n", Baseline::LEVEL, Corrections::default(), &mm(0.5)).unwrap_err();
    assert!(matches!(error, CanvasError::BadRow { line: 1, .. }), "{error}");
}

#[test]
fn the_same_points_in_inches_eighths_and_metric_agree() {
    let inch = Style { bare: Unit::Inch, ..mm(0.5) };
    let eighths = Style { bare: Unit::Inch, writing: Writing::FeetInchesEighths, sd_mm: 0.5 };
    let a = points_from_table("27 9/16; 3.5", &inch).unwrap();
    let b = points_from_table("2-3-4+; 0-3-4", &eighths).unwrap();
    let c = points_from_table("700.0875 mm; 8.89 cm", &inch).unwrap();
    assert!(a[0].at.distance(b[0].at) < 1e-9 && a[0].at.distance(c[0].at) < 1e-3);
}

/// Half a circle of radius 300 about the baseline's middle: offsets √(r² − x²), by Pythagoras.
#[test]
fn offsets_along_level_and_plumb_lines_lie_on_their_circle() {
    let mut text = String::from("station; out\n");
    for x in (-250..=250).step_by(50) {
        let offset = f64::from(300 * 300 - x * x).sqrt();
        text += &format!("{}; {:.4}\n", x + 300, offset - 12.0 + 3.0);
    }
    // Butted against a batten 24 wide with a rule cut off by 3 mm.
    let corrections = Corrections { rule_end_mm: -3.0, stick_mm: 12.0 };
    for (line, middle, outward) in [
        (Baseline::LEVEL, Point::new(300.0, 0.0), (0.0, 1.0)),
        (Baseline::PLUMB_DOWN, Point::new(0.0, -300.0), (1.0, 0.0)),
        (Baseline::PLUMB_UP, Point::new(0.0, 300.0), (-1.0, 0.0)),
    ] {
        let points = points_from_offsets(&text, line, corrections, &mm(0.5)).unwrap();
        assert_eq!(points.len(), 11);
        for p in points {
            assert!((p.at.distance(middle) - 300.0).abs() < 1e-3, "{line:?} {:?}", p.at);
            assert!((p.at - middle).dot(outward.into()) > 0.0, "{line:?} {:?}", p.at);
        }
    }
}

#[test]
fn a_tick_stick_points_where_its_marks_say() {
    let stick = TickStick { notch_mm: 100.0, tip_mm: 250.0, aside_mm: 20.0 };
    let text = "1; 0; 0; 100; 0\n2; 10; 10; 10; 110\n3; 0; 0; 100; 0; over\n4; 0; 0; 60; 80.5";
    let tips = stick_tips(text, &stick, &mm(0.3)).unwrap();
    let wanted = [(250.0, 20.0), (-10.0, 260.0), (250.0, -20.0)];
    for ((point, _, misfit), (x, y)) in tips.iter().zip(wanted) {
        assert!(point.at.distance(Point::new(x, y)) < 1e-9 && misfit.abs() < 1e-9, "{point:?}");
    }
    assert_eq!(tips[2].1, FaceUp::Other);
    assert!((tips[3].2 - (60f64.hypot(80.5) - 100.0)).abs() < 1e-9, "the wrong mark shows");
    assert!(matches!(
        stick_tips("1; 0; 0; 100; 0; under", &stick, &mm(0.3)),
        Err(CanvasError::BadCell { line: 1, cell: 6, .. })
    ));
}

/// 3-4-5 and 5-12-13: the classic right triangles.
#[test]
fn two_tapes_give_the_textbook_triangles() {
    let known = [("A", Point::ORIGIN), ("B", Point::new(1200.0, 0.0))];
    let ties = read_ties("1; 500; 1300\n2; 900; 1500", &["A", "B"], &mm(1.0)).unwrap();
    for (side, sign) in [(TieSide::Left, 1.0), (TieSide::Right, -1.0)] {
        let placed = adjust(&known, side, &ties).unwrap();
        assert!(placed.points[0].at.distance(Point::new(0.0, sign * 500.0)) < 1e-9);
        assert!(placed.points[1].at.distance(Point::new(0.0, sign * 900.0)) < 1e-9);
        assert_eq!((placed.redundancy, placed.fit, placed.suspicious), (0, None, None));
        assert!(placed.misfits.iter().all(|m| m.sigmas.is_none()), "nothing checks them");
        // At right angles the tapes' errors are the point's: y from A's tape, x by 13/12 and 5/12 of both.
        let s = placed.points[0].spread;
        assert!(
            (s.yy - 1.0).abs() < 1e-9 && (s.xx - (13f64.powi(2) + 5f64.powi(2)) / 144.0).abs() < 1e-9,
            "{s:?}"
        );
    }
    let ties = read_ties("1; 500; 600", &["A", "B"], &mm(1.0)).unwrap();
    let error = adjust(&known, TieSide::Left, &ties).unwrap_err();
    assert_eq!(error, CanvasError::TiesDoNotMeet { name: "1".to_owned(), gap_mm: 100.0 });
    let ties = read_ties("1; 500", &["A", "B"], &mm(1.0)).unwrap();
    assert_eq!(
        adjust(&known, TieSide::Left, &ties).unwrap_err(),
        CanvasError::LooseTies { name: "1".to_owned() }
    );
}

/// A ring of six points tied from two known ones, with all sides and three diagonals taped as well.
fn ring(noise: &[f64], blunder: Option<(usize, f64)>) -> (Vec<Point>, Vec<Measure>) {
    let places: Vec<Point> =
        [(60.0, 300.0), (250.0, 480.0), (600.0, 560.0), (980.0, 470.0), (1150.0, 260.0), (640.0, 210.0)]
            .map(Point::from)
            .to_vec();
    let known = [("A", Point::ORIGIN), ("B", Point::new(1200.0, 0.0))];
    let mut out = Vec::new();
    for (i, p) in places.iter().enumerate() {
        for (name, k) in known {
            out.push((name.to_owned(), (i + 1).to_string(), k.distance(*p)));
        }
    }
    for (i, j) in [(0, 1), (1, 2), (2, 3), (3, 4), (4, 5), (5, 0), (0, 3), (1, 4), (2, 5)] {
        out.push(((i + 1).to_string(), (j + 1).to_string(), places[i].distance(places[j])));
    }
    let measures = out
        .into_iter()
        .enumerate()
        .map(|(i, (from, to, d))| {
            let wrong = blunder.filter(|b| b.0 == i).map_or(0.0, |b| b.1);
            Measure { from, to, length_mm: d + noise[i] + wrong, sd_mm: 1.0 }
        })
        .collect();
    (places, measures)
}

const KNOWN: [(&str, Point); 2] = [("A", Point::ORIGIN), ("B", Point::new(1200.0, 0.0))];

#[test]
fn exact_distances_close_exactly() {
    let (places, measures) = ring(&[0.0; 21], None);
    let placed = adjust(&KNOWN, TieSide::Left, &measures).unwrap();
    assert_eq!(placed.redundancy, 9);
    for (p, q) in placed.points.iter().zip(&places) {
        assert!(p.at.distance(*q) < 1e-6, "{p:?}");
    }
    assert!(placed.fit.unwrap() < 1e-6 && placed.suspicious.is_none());
}

#[test]
fn one_blunder_among_ties_is_the_one_named() {
    let text = "from; to; length\n1; 2; 250 mm\n2; 3; 12 in";
    let read = read_lengths(text, &mm(1.0)).unwrap();
    assert!((read[1].length_mm - 304.8).abs() < 1e-9 && read[0].from == "1");
    let mut named = 0;
    for wrong in 0..21 {
        let (_, measures) = ring(&[0.0; 21], Some((wrong, 25.4)));
        let placed = adjust(&KNOWN, TieSide::Left, &measures).unwrap();
        named += usize::from(placed.suspicious == Some(wrong));
    }
    assert_eq!(named, 21, "a whole inch misread is found wherever it is");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]
    #[test]
    fn ordinary_scatter_is_seldom_suspected(noise in proptest::collection::vec(-1.0f64..1.0, 21)) {
        let (places, measures) = ring(&noise, None);
        let placed = adjust(&KNOWN, TieSide::Left, &measures).unwrap();
        prop_assert!(placed.suspicious.is_none());
        for (p, q) in placed.points.iter().zip(&places) {
            let sd = (p.spread.xx + p.spread.yy).sqrt();
            prop_assert!(p.spread.is_valid() && p.at.distance(*q) < 3.0 * sd, "{} {}", p.at.distance(*q), sd);
        }
    }
}
