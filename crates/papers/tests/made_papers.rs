//! All papers of an invented wall, read back by programs the project does not use to write.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::allow_attributes,
    reason = "a test's helpers may fail like the test itself"
)]

mod common;

use coldwright_export::{DxfUnit, DxfVersion, Layer, Paper};
use coldwright_geometry::Length;
use coldwright_job::{CutStyle, Job, SeenFrom, Units, WallId, plan};
use coldwright_papers::{Kind, MakeOptions, PaperFile, PapersError, make, pattern};
use common::job::{four_sided, lopsided};
use common::outline::{farthest, mirrored, rings, svg_rings};
use common::{Folder, Grey, has, has_python, run, run_python, stretches};
use kurbo::Point;

fn made(job: &Job, options: &MakeOptions) -> Vec<PaperFile> {
    make(job, &plan(job), options).unwrap()
}

fn file<'a>(files: &'a [PaperFile], name: &str) -> &'a [u8] {
    let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
    &files.iter().find(|f| f.name == name).unwrap_or_else(|| panic!("no {name} in {names:?}")).bytes
}

fn text(files: &[PaperFile], name: &str) -> String {
    String::from_utf8(file(files, name).to_vec()).unwrap()
}

#[test]
fn all_files_are_there_and_the_same_job_gives_the_same_bytes() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let files = made(&job, &MakeOptions::default());
    let names: Vec<&str> = files.iter().map(|f| f.name.as_str()).collect();
    assert_eq!(
        names,
        [
            "patterns.pdf",
            "wire-templates.pdf",
            "shop-book.pdf",
            "offsets.pdf",
            "apres-side-1.svg",
            "apres-side-1.dxf",
            "apres-side-2.svg",
            "apres-side-2.dxf",
            "apres-side-3.svg",
            "apres-side-3.dxf",
            "layers.csv",
            "cut-list.csv",
            "fitting-order.csv",
            "buy.csv",
            "offsets.csv"
        ]
    );
    assert!(files == made(&job, &MakeOptions::default()));
    let only = made(&job, &MakeOptions { kinds: vec![Kind::Csv], ..MakeOptions::default() });
    assert_eq!(
        only.iter().map(|f| f.name.as_str()).collect::<Vec<_>>(),
        ["layers.csv", "cut-list.csv", "fitting-order.csv", "buy.csv", "offsets.csv"]
    );
}

#[test]
fn usvg_reads_the_model_unflipped() {
    for cut in [CutStyle::Bevelled, CutStyle::SquareFills] {
        let job = lopsided(SeenFrom::BoxSide, cut);
        let planned = plan(&job);
        let files = made(&job, &MakeOptions { kinds: vec![Kind::Svg], ..MakeOptions::default() });
        let layers = planned.walls[0].layers.as_ref().unwrap();
        for layer in &layers.layers {
            let drawing = pattern(&job, &planned.walls[0], layer.number).unwrap();
            let svg = text(&files, &format!("apres-side-{}.svg", layer.number));
            let up = if cut == CutStyle::Bevelled { &layer.inner.rings } else { &layer.fills };
            let model: Vec<Vec<Point>> = up.iter().map(|r| r.outer.clone()).collect();
            let read = svg_rings(&svg, Layer::Cut, &drawing);
            assert!(farthest(&read, &model) < 0.01, "layer {}: {} mm", layer.number, farthest(&read, &model));
            assert!(farthest(&read, &mirrored(&model)) > 100.0);
        }
    }
}

#[test]
fn ezdxf_reads_the_model_unflipped_and_finds_nothing_to_mend() {
    if !has_python("ezdxf") {
        return;
    }
    const READER: &str = "
import sys, ezdxf
doc = ezdxf.readfile(sys.argv[1])
audit = doc.audit()
print('audit', len(audit.errors), len(audit.fixes), doc.dxfversion, doc.header.get('$INSUNITS', -1))
for e in doc.modelspace():
    if e.dxf.layer in ('Cut-line', 'Other-face') and e.dxftype() in ('LWPOLYLINE', 'POLYLINE'):
        points = e.get_points('xy') if e.dxftype() == 'LWPOLYLINE' else [(v.x, v.y) for v in e.points()]
        print(e.dxf.layer, *[v for p in points for v in p])
";
    let folder = Folder::new("dxf");
    for (units, version, head, factor) in [
        (Units::Millimetres, DxfVersion::R2000, "audit 0 0 AC1015 4", 1.0),
        (Units::Inches, DxfVersion::R2000, "audit 0 0 AC1015 1", 25.4),
        (Units::Millimetres, DxfVersion::R12, "audit 0 0 AC1009", 1.0),
    ] {
        let job = Job { units, ..lopsided(SeenFrom::HullSide, CutStyle::Bevelled) };
        let planned = plan(&job);
        let options = MakeOptions { kinds: vec![Kind::Dxf], dxf_version: version, ..MakeOptions::default() };
        let files = made(&job, &options);
        let layer = &planned.walls[0].layers.as_ref().unwrap().layers[1];
        let path = folder.write("piece.dxf", file(&files, "apres-side-2.dxf"));
        let said = run_python(READER, &[path.to_str().unwrap()]);
        assert!(said.starts_with(head), "{said:.60}");
        for (name, rings) in [("Cut-line", &layer.inner.rings), ("Other-face", &layer.outer.rings)] {
            let read: Vec<Vec<Point>> = said
                .lines()
                .filter_map(|line| line.strip_prefix(name))
                .map(|line| {
                    let numbers: Vec<f64> =
                        line.split_whitespace().map(|v| v.parse::<f64>().unwrap() * factor).collect();
                    numbers.chunks(2).map(|p| Point::new(p[0], p[1])).collect()
                })
                .collect();
            let model: Vec<Vec<Point>> = rings.iter().map(|r| r.outer.clone()).collect();
            assert!(farthest(&read, &model) < 0.01, "{name}: {} mm", farthest(&read, &model));
            assert!(farthest(&read, &mirrored(&model)) > 100.0);
        }
    }
    let options =
        MakeOptions { kinds: vec![Kind::Dxf], dxf_unit: Some(DxfUnit::Inch), ..MakeOptions::default() };
    let inch = made(&lopsided(SeenFrom::BoxSide, CutStyle::Bevelled), &options);
    let path = folder.write("inch.dxf", file(&inch, "apres-side-1.dxf"));
    assert!(run_python(READER, &[path.to_str().unwrap()]).starts_with("audit 0 0 AC1015 1"));
}

#[test]
fn the_same_template_from_its_other_side_gives_the_same_files() {
    let kinds = vec![Kind::Svg, Kind::Csv];
    let options = MakeOptions { kinds, ..MakeOptions::default() };
    let (one, other) =
        (lopsided(SeenFrom::BoxSide, CutStyle::Bevelled), lopsided(SeenFrom::HullSide, CutStyle::Bevelled));
    let (a, b) = (made(&one, &options), made(&other, &options));
    assert_eq!(text(&a, "cut-list.csv").lines().count(), 4);
    for layer in 1..=3 {
        let drawing = pattern(&one, &plan(&one).walls[0], layer).unwrap();
        let name = format!("apres-side-{layer}.svg");
        for part in [Layer::Cut, Layer::OtherFace] {
            let (a, b) =
                (svg_rings(&text(&a, &name), part, &drawing), svg_rings(&text(&b, &name), part, &drawing));
            assert!(farthest(&a, &b) < 0.001, "{name}: {} mm apart", farthest(&a, &b));
        }
    }
    for table in ["layers.csv", "cut-list.csv"] {
        let sorted = |files: &[PaperFile]| {
            let mut words: Vec<String> =
                text(files, table).split([';', ',', '"', '\r', '\n']).map(|w| w.trim().to_owned()).collect();
            words.sort();
            words
        };
        assert_eq!(sorted(&a), sorted(&b), "{table}");
    }
}

#[test]
fn poppler_finds_the_words_and_the_square_measures_100_mm() {
    if !(has("pdftotext", "-v") && has("pdftoppm", "-v")) {
        return;
    }
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let folder = Folder::new("pdf");
    for paper in [Paper::A4, Paper::Letter, Paper::Roll { width_mm: 914.4 }] {
        let options = MakeOptions { paper: Some(paper), kinds: vec![Kind::Pdf], ..MakeOptions::default() };
        let files = made(&job, &options);
        let patterns = folder.write("patterns.pdf", file(&files, "patterns.pdf"));
        let words = run("pdftotext", &["-layout", patterns.to_str().unwrap(), "-"]);
        for want in ["Après side 1", "Après side 3", "this face up: box side"] {
            assert!(words.contains(want), "{paper:?}: no \"{want}\"");
        }
        let summary = folder.write("shop-book.pdf", file(&files, "shop-book.pdf"));
        let words = run("pdftotext", &["-layout", summary.to_str().unwrap(), "-"]);
        for want in [
            "Tape these on the template",
            "Measured",
            "Assumed",
            "Cautions",
            "isocyanates",
            "What to buy",
            "Fitting order",
            "Labels to cut out",
            "hot wire",
            "certified person",
        ] {
            assert!(words.contains(want), "{paper:?}: no \"{want}\" in the shop book");
        }
        // The square is the first 100 mm of ink from the left that is closed above and below: its sides are read off a row
        // and a column through its middle, found as the pair of lines 1181 pixels apart.
        let page = Grey::of_page(&patterns, 1, 300);
        let sides = |line: Vec<f64>| {
            let found = stretches(&line);
            let middles: Vec<f64> = found.iter().map(|(a, b)| f64::midpoint(*a, *b)).collect();
            middles.iter().flat_map(|a| middles.iter().map(move |b| b - a)).any(|d| (d - 1181.1).abs() <= 2.0)
        };
        let rows = (0..page.height).step_by(20).filter(|y| sides(page.row(*y))).count();
        let columns = (0..page.width).step_by(20).filter(|x| sides(page.column(*x))).count();
        assert!(
            rows > 30 && columns > 30,
            "{paper:?}: the square shows in {rows} rows and {columns} columns"
        );
    }
}

#[test]
fn distances_to_tape_are_those_of_the_ticks() {
    if !has("pdftotext", "-v") {
        return;
    }
    // 300 × 400 panel: both diagonals are 500 (3, 4, 5).
    let job = four_sided(400.0, 300.0, 5.0, CutStyle::Bevelled);
    let files = made(&job, &MakeOptions { kinds: vec![Kind::Pdf], ..MakeOptions::default() });
    let folder = Folder::new("tape");
    let summary = folder.write("shop-book.pdf", file(&files, "shop-book.pdf"));
    let words = run("pdftotext", &["-layout", summary.to_str().unwrap(), "-"]);
    assert_eq!(words.matches(": 500.0 mm ±").count(), 2, "{words}");
}

#[test]
fn tables_carry_areas_and_volumes_of_the_frustum() {
    // Closed form, as in school geometry: both faces' areas; the slab between is (A1 + A2 + sqrt(A1 A2)) · t / 3 for a square.
    let job = four_sided(300.0, 300.0, 10.0, CutStyle::Bevelled);
    let files = made(&job, &MakeOptions { kinds: vec![Kind::Csv], ..MakeOptions::default() });
    let table = text(&files, "layers.csv");
    let row: Vec<&str> = table.lines().nth(1).unwrap().split(',').collect();
    let side = |depth: f64| 300.0 + 2.0 * depth * 10_f64.to_radians().tan();
    let (a, b) = (side(0.0).powi(2), side(25.4).powi(2));
    assert_eq!(row[0], "Panel 1");
    assert_eq!(row[8], format!("{:.1}", a / 100.0));
    assert_eq!(row[9], format!("{:.1}", b / 100.0));
    assert_eq!(row[10], format!("{:.1}", (a + b + (a * b).sqrt()) * 25.4 / 3.0 / 1000.0));
    assert_eq!(row[15], "10.0");
}

#[test]
fn wall_names_in_any_script_give_names_every_disk_takes() {
    let mut job = four_sided(200.0, 200.0, 0.0, CutStyle::SquareFits);
    let wall = job.walls[0].clone();
    let names = ["右舷", "../../etc", "CON", "Ærlig talt: 1/2", &"é".repeat(250), "右舷 b"];
    job.walls = names
        .iter()
        .enumerate()
        .map(|(i, name)| {
            let mut wall = wall.clone();
            wall.id = WallId(i as u32 + 1);
            wall.name = (*name).to_owned();
            wall
        })
        .collect();
    let files = made(&job, &MakeOptions { kinds: vec![Kind::Svg, Kind::Csv], ..MakeOptions::default() });
    let mut seen = std::collections::HashSet::new();
    for file in &files {
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-' || c == '.';
        assert!(
            file.name.chars().all(plain) && file.name.len() < 60 && !file.name.starts_with(['.', '-']),
            "{}",
            file.name
        );
        assert!(seen.insert(file.name.clone()), "{} twice", file.name);
    }
    assert_eq!(files.len(), 6 * 3 + 5);
}

#[test]
fn inches_are_shown_where_the_job_speaks_inches() {
    let job = Job { units: Units::Inches, ..four_sided(406.4, 304.8, 0.0, CutStyle::SquareFits) };
    let files = made(&job, &MakeOptions { kinds: vec![Kind::Csv], ..MakeOptions::default() });
    assert!(
        text(&files, "cut-list.csv")
            .contains("Panel 1,1,XPS,1 in,25.40,16 in,12 in,406.4,304.8,1238.7,box side")
    );
}

#[test]
fn what_cannot_be_made_is_refused_and_nothing_comes_back() {
    let refused = |job: &Job| make(job, &plan(job), &MakeOptions::default()).unwrap_err();
    assert_eq!(refused(&Job::default()), PapersError::NoWalls);
    let mut open = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    open.walls[0].template.edges.clear();
    assert_eq!(refused(&open), PapersError::NoLayers { wall: "Après side".to_owned() });
    let far = (Length::from_micrometres(90_600), Length::from_micrometres(90_600));
    let shrunk = Job { printed_100_mm: Some(far), ..four_sided(300.0, 200.0, 0.0, CutStyle::Bevelled) };
    assert!(refused(&shrunk).to_string().contains("switch scaling off"));
}

#[test]
fn a_measured_printer_is_corrected_for() {
    if !has("pdftoppm", "-v") {
        return;
    }
    let half_off = (Length::from_micrometres(99_000), Length::from_micrometres(100_500));
    let job = Job { printed_100_mm: Some(half_off), ..four_sided(120.0, 100.0, 0.0, CutStyle::Bevelled) };
    let files =
        made(&job, &MakeOptions { paper: Some(Paper::A4), kinds: vec![Kind::Pdf], ..MakeOptions::default() });
    let folder = Folder::new("corrected");
    let page = Grey::of_page(&folder.write("patterns.pdf", file(&files, "patterns.pdf")), 2, 300);
    let apart = |line: Vec<f64>, want: f64| {
        let middles: Vec<f64> = stretches(&line).iter().map(|(a, b)| f64::midpoint(*a, *b)).collect();
        middles
            .iter()
            .flat_map(|a| middles.iter().map(move |b| b - a))
            .any(|d| (d * 25.4 / 300.0 - want).abs() < 0.15)
    };
    let rows = (0..page.height).step_by(20).filter(|y| apart(page.row(*y), 120.0 / 0.99)).count();
    let columns = (0..page.width).step_by(20).filter(|x| apart(page.column(*x), 100.0 / 1.005)).count();
    assert!(rows > 20 && columns > 20, "{rows} rows, {columns} columns");
}

#[test]
fn rings_of_the_pattern_are_closed_and_finite() {
    let job = lopsided(SeenFrom::BoxSide, CutStyle::Bevelled);
    let planned = plan(&job);
    for layer in 1..=3 {
        let drawing = pattern(&job, &planned.walls[0], layer).unwrap();
        drawing.check().unwrap();
        assert!(rings(&drawing, Layer::Cut).iter().all(|ring| ring.len() > 8));
    }
}

#[test]
fn a_changing_bevel_is_told_in_the_tables() {
    let files = made(&lopsided(SeenFrom::BoxSide, CutStyle::Bevelled), &MakeOptions::default());
    for table in ["layers.csv", "cut-list.csv"] {
        let text = text(&files, table);
        assert!(text.contains("back 22.0° open to 9.0° open to 4.0° closed"), "{table}: {text}");
    }
}

/// Columns of the offsets of one piece as chains of points, read from the CSV alone.
fn replotted(table: &str, piece: &str, unit: &str, value: impl Fn(&str) -> f64) -> Vec<(String, Vec<Point>)> {
    let split = |line: &str| -> Vec<String> {
        // No cell of this table holds a quote; commas stand only within quotes in its head.
        let mut cells = vec![String::new()];
        let mut quoted = false;
        for c in line.chars() {
            match c {
                '"' => quoted = !quoted,
                ',' if !quoted => cells.push(String::new()),
                c => cells.last_mut().unwrap().push(c),
            }
        }
        cells
    };
    let mut lines = table.lines();
    let head = split(lines.next().unwrap());
    let ending = format!(" ({unit})");
    let of_unit: Vec<(usize, String)> = head
        .iter()
        .enumerate()
        .filter_map(|(i, name)| name.strip_suffix(&ending).map(|name| (i, name.to_owned())))
        .collect();
    let station = of_unit.iter().find(|(_, name)| name == "station").unwrap().0;
    let rows: Vec<Vec<String>> = lines.map(split).filter(|cells| cells[0] == piece).collect();
    let columns = of_unit.iter().filter(|(_, name)| name != "station");
    columns
        .map(|(column, name)| {
            let points = rows.iter().filter(|cells| !cells[*column].is_empty());
            (name.clone(), points.map(|c| Point::new(value(&c[station]), value(&c[*column]))).collect())
        })
        .collect()
}

#[test]
fn offsets_plotted_again_give_the_outline_within_what_is_said() {
    let inches = |words: &str| -> f64 {
        let parts = words.split(' ').map(|part| match part.split_once('/') {
            _ if part.starts_with(['+', '-']) => part.parse::<f64>().unwrap() / 1000.0,
            Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
            None => part.parse().unwrap(),
        });
        parts.sum::<f64>() * 25.4
    };
    let eighths = |words: &str| -> f64 {
        let plus = if words.ends_with('+') { 0.5 } else { 0.0 };
        let n: Vec<f64> = words.trim_end_matches('+').split('-').map(|n| n.parse().unwrap()).collect();
        (n[0] * 12.0 + n[1] + (n[2] + plus) / 8.0) * 25.4
    };
    for cut in [CutStyle::Bevelled, CutStyle::SquareFits] {
        let job = lopsided(SeenFrom::BoxSide, cut);
        let planned = plan(&job);
        let files = made(&job, &MakeOptions { kinds: vec![Kind::Csv], ..MakeOptions::default() });
        let table = text(&files, "offsets.csv");
        for layer in &planned.walls[0].layers.as_ref().unwrap().layers {
            let faces: Vec<(&str, &[coldwright_geometry::Ring])> = match cut {
                CutStyle::Bevelled => {
                    vec![("box face ", &layer.inner.rings), ("hull face ", &layer.outer.rings)]
                }
                _ => vec![("", &layer.fits)],
            };
            let bounds = faces
                .iter()
                .flat_map(|(_, rings)| rings.iter().map(coldwright_geometry::Ring::bounds))
                .reduce(|a, b| a.union(b))
                .unwrap();
            // 0.4 mm is what the table promises; its last digit adds half of itself: 0.05 mm, 0.013 mm, 1/32 in.
            type Reading<'a> = (&'a str, f64, &'a dyn Fn(&str) -> f64);
            let units: [Reading<'_>; 3] = [
                ("mm", 0.4, &|words| words.parse().unwrap()),
                ("in, rest in thousandths", 0.4, &inches),
                ("ft-in-eighths, + a sixteenth", 0.4 + 25.4 / 32.0 * 1.5, &eighths),
            ];
            for (unit, within, value) in units {
                let piece = format!("Après side {}", layer.number);
                let columns = replotted(&table, &piece, unit, value);
                for (face, rings) in &faces {
                    let mut ring: Vec<Point> = Vec::new();
                    // Near rightwards, far leftwards: one closed ring, as these pieces have one of each.
                    for (name, points) in columns.iter().filter(|(name, _)| name.starts_with(face)) {
                        let points = points.iter().copied();
                        if name.ends_with("near") { ring.extend(points) } else { ring.extend(points.rev()) }
                    }
                    let model: Vec<Vec<Point>> = rings
                        .iter()
                        .map(|r| r.outer.iter().map(|p| *p - bounds.origin().to_vec2()).collect())
                        .collect();
                    let off = farthest(&[ring], &model);
                    assert!(off <= within, "{piece}, {face}{unit}: {off} mm");
                }
            }
        }
    }
}

#[test]
fn wire_templates_mark_straight_lines_through_the_foam() {
    // A frustum whose sides lean out by 20°: each number's two places are one straight line on the side, in closed form.
    let job = four_sided(400.0, 300.0, 20.0, CutStyle::Bevelled);
    let files = made(&job, &MakeOptions { kinds: vec![Kind::Pdf], ..MakeOptions::default() });
    assert!(files.iter().any(|f| f.name == "wire-templates.pdf"));
    let mut polyiso = job.clone();
    for layer in &mut polyiso.walls[0].layers {
        layer.material = "Polyiso".to_owned();
    }
    let without = made(&polyiso, &MakeOptions { kinds: vec![Kind::Pdf], ..MakeOptions::default() });
    assert!(!without.iter().any(|f| f.name == "wire-templates.pdf"), "urethane must not meet a hot wire");
    if !has("pdftotext", "-v") {
        return;
    }
    let folder = Folder::new("wire");
    let path = folder.write("wire.pdf", file(&files, "wire-templates.pdf"));
    let words = run("pdftotext", &["-layout", path.to_str().unwrap(), "-"]);
    for want in [
        "hot wire, box side",
        "hot wire, hull side",
        "mirror image on purpose",
        "0, lead in",
        "polystyrene only",
    ] {
        assert!(words.contains(want), "no \"{want}\"");
    }
}
