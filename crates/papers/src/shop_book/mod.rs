//! The shop book: totals, walls and layers, what was measured and what was assumed, what to check before cutting, what to buy,
//! in which order it goes in, and labels to cut out.

mod box_picture;
mod labels;
mod pairs;
pub(crate) mod picture;
mod plans;
pub(crate) mod sheet;
mod totals;

use coldwright_export::{Anchor, Drawing, Paper, PdfOptions, pdf};
use coldwright_geometry::{Length, Outline, Rect};
use coldwright_job::{CutStyle, Job, Place, Plan, SeenFrom, Severity, Stands, TakenAt, Units};

use crate::error::PapersError;
use crate::laid::SheetsUsed;
use crate::make::Walled;
use crate::tables;
use crate::wording::{self, Face};
use sheet::{Column, Sheets};

/// Pictures of layers fit a box of this size, mm.
const PICTURE_MM: (f64, f64) = (45.0, 60.0);
/// Smaller than 1 : this they stand in two rows.
const SMALLEST_SCALE: f64 = 30.0;

/// Greatest height of the picture of the box, mm.
const BOX_MM: f64 = 95.0;

/// The cautions of the trade: common practice, no source.
const CAUTIONS: [&str; 9] = [
    "Local codes and the rules of your class, insurer and flag come first; where they differ from these papers, follow them.",
    "Cutting and sanding foam and laminate makes dust that harms lungs and eyes: wear a dust mask and eye protection, and collect the dust.",
    "Table saw and bandsaw: guard on, push stick, no gloves near the blade; hold small and bevelled pieces in a jig.",
    "Hot wire: only on polystyrene, and in moving air; never on urethane or polyiso foam, whose fumes are poisonous.",
    "Epoxy burns the skin and makes people allergic: gloves and covered arms, and wash with soap, not with solvent.",
    "Two-part foam and polyurethane glue give off isocyanates: an air-fed mask, or one with the filter the maker names, moving air, and nobody else in the cabin. Pour small lifts and leave escape holes: it pushes walls apart.",
    "Solvent glues burn, and they dissolve polystyrene: no flame, no spark, no running engine; try the glue on a scrap first.",
    "Foam burns and smokes: keep it away from engine, exhaust, heater and stove, and cover it with a lining that stops fire where your code asks for it.",
    "Refrigerant, its pipes and its electrics are for a certified person only. Never cut where a pipe or cable may run.",
];

/// The shop book as a PDF: on A4 or Letter, whichever belongs to the paper of the patterns.
pub(crate) fn pdf_of(
    job: &Job,
    plan: &Plan,
    walls: &[Walled<'_>],
    used: Option<&SheetsUsed<'_>>,
    paper: Paper,
) -> Result<Vec<u8>, PapersError> {
    let mut sheets = Sheets::new(sheet_size(job, paper));
    sheets.need(60.0);
    sheets.heading(&job.name, 22.0);
    let layers: usize = walls.iter().map(|w| w.set.layers.len()).sum();
    let pieces: usize = walls.iter().map(|w| w.pieces.len()).sum();
    sheets.paragraph(&format!(
        "{}, {}, {}. Every pattern shows the {}: the wall as seen from inside the box.",
        count(walls.len(), "wall", "walls"),
        count(layers, "layer", "layers"),
        count(pieces, "piece", "pieces"),
        Face::Box.side()
    ));
    sheets.gap(3.0);
    if let Some((drawing, words)) = box_picture::picture(job, plan, (sheets.width(), BOX_MM)) {
        sheets.pictures(vec![drawing]);
        sheets.paragraph(&words);
        sheets.gap(3.0);
    }
    totals::totals(&mut sheets, job, walls);
    totals::room(&mut sheets, job, plan);

    sheets.together(before);
    for w in walls {
        sheets.together(|sheets| wall(sheets, job, w));
    }
    shared(&mut sheets, plan);
    plans::plans(&mut sheets, job, plan, walls, used);
    sheets.together(|sheets| totals::buy(sheets, job, plan, walls));
    sheets.together(|sheets| totals::wire(sheets, job, plan, walls));
    sheets.together(cautions);
    sheets.together(|sheets| totals::order(sheets, job, plan, walls));
    sheets.new_page();
    sheets.heading("Labels to cut out", 13.0);
    sheets.paragraph("Stick each on the box side of its piece as soon as it is cut, the right way up.");
    sheets.gap(2.0);
    sheets.pictures(labels::labels(job, walls));
    let title = format!("{}: shop book", job.name);
    let pages = sheets.finish(&title);
    pdf(&pages, &PdfOptions { title, ..PdfOptions::default() })
        .map_err(|why| PapersError::Export { what: "the shop book".to_owned(), why })
}

fn before(sheets: &mut Sheets) {
    sheets.heading("Before anything is cut", 13.0);
    sheets.task("Measure the square and rulers on the first page of the patterns, both ways. They must read 100 mm and 4 in; if not, type what they read and print again.");
    sheets.task("Tape the three distances listed for each wall on the real template, tip to tip. If one differs by more than stated, find out why first.");
    sheets.task("Measure the foam: every sheet that is not as thick as listed changes all layers above it.");
    sheets.task("Cut one layer, hold it in place, then cut the rest.");
    sheets.gap(4.0);
}

fn cautions(sheets: &mut Sheets) {
    sheets.heading("Cautions", 13.0);
    for caution in CAUTIONS {
        sheets.point(caution);
    }
    sheets.gap(4.0);
}

/// What is to be looked at beyond one wall: pieces, sheets, joints.
fn shared(sheets: &mut Sheets, plan: &Plan) {
    let look: Vec<&str> =
        plan.shared.iter().filter(|p| p.severity > Severity::Note).map(|p| p.sentence.as_str()).collect();
    if look.is_empty() {
        return;
    }
    sheets.heading("Look at this before cutting", 13.0);
    for sentence in look {
        sheets.point(sentence);
    }
    sheets.gap(4.0);
}

/// Size of a sheet to read, mm: A4 or Letter, whichever belongs to the paper of the patterns.
pub(crate) fn sheet_size(job: &Job, paper: Paper) -> (f64, f64) {
    let letter = match paper {
        Paper::Letter | Paper::Tabloid => true,
        Paper::A4 | Paper::A3 => false,
        Paper::Roll { .. } => job.units == Units::Inches,
    };
    if letter { (215.9, 279.4) } else { (210.0, 297.0) }
}

fn wall(sheets: &mut Sheets, job: &Job, w: &Walled<'_>) {
    let name = wording::wall_name(job, w.wall);
    let stands = match w.wall.stands {
        Stands::Upright => "an upright wall, staff points up",
        Stands::Floor => "a floor, staff points forward",
        Stands::Lid => "a lid or top, staff points forward",
    };
    let cut = match w.wall.cut {
        CutStyle::Bevelled => "edges bevelled",
        CutStyle::SquareFits => "edges square, so that the piece always goes in; wedges are filled",
        CutStyle::SquareFills => "edges square, too large on purpose; trimmed in place",
    };
    let pairs = pairs::three(&w.plan.ticks);
    let all = w.set.layers.iter().flat_map(|l| l.outer.rings.iter().chain(&l.inner.rings).chain(&l.fills));
    let ticks = w.plan.ticks.iter().map(|t| Rect::from_points(t.wall, t.wall));
    let outline = w.plan.outline.as_deref();
    let spots = ticks.reduce(|a, b| a.union(b));
    let frame = picture::frame(
        all.map(coldwright_geometry::Ring::bounds).chain(spots).chain(outline.map(Outline::bounds)),
    );
    let count = w.set.layers.len() + usize::from(outline.is_some());
    let (row, n) = frame.map_or((1, 10.0), |f| in_rows(sheets.width(), count, f));
    sheets.heading(&name, 16.0);
    sheets.paragraph(&format!(
        "{}; {cut}. Pictures 1 : {n}; solid the box face, dashed the hull face.",
        capital(stands)
    ));
    sheets.gap(2.0);
    if let Some(frame) = frame {
        let template = outline.map(|o| picture::template(o, &w.plan.ticks, &pairs, n, frame));
        let layers = w.set.layers.iter().map(|foam| {
            let caption = format!("layer {}, {}", foam.number, job.show_mm(foam.to - foam.from));
            picture::layer(foam, w.wall, n, frame, &caption)
        });
        let all: Vec<Drawing> = template.into_iter().chain(layers).collect();
        for few in all.chunks(row.max(1)) {
            sheets.pictures(few.to_vec());
        }
    }
    layer_table(sheets, job, w, &name);
    taped(sheets, job, w, &pairs);
    known(sheets, job, w);
    let look: Vec<&str> =
        w.plan.problems.iter().filter(|p| p.severity > Severity::Note).map(|p| p.sentence.as_str()).collect();
    if !look.is_empty() {
        sheets.heading("Look at this before cutting", 11.0);
        for sentence in look {
            sheets.point(sentence);
        }
    }
    sheets.gap(5.0);
}

/// How many of so many pictures of one size stand in a row, and their scale 1 : n: all in one row where that is not too small,
/// else two rows alike.
fn in_rows(width: f64, count: usize, size: Rect) -> (usize, f64) {
    let at = |row: usize| {
        let each = (width / row.max(1) as f64 - picture::BESIDE_MM).clamp(5.0, PICTURE_MM.0);
        (row, picture::scale((size.width(), size.height()), (each, PICTURE_MM.1)))
    };
    Some(at(count)).filter(|(_, n)| *n <= SMALLEST_SCALE).unwrap_or_else(|| at(count.div_ceil(2)))
}

fn layer_table(sheets: &mut Sheets, job: &Job, w: &Walled<'_>, name: &str) {
    let left = |at| Column { at, anchor: Anchor::Start };
    let right = |at| Column { at, anchor: Anchor::End };
    let square = [left(0.0), left(0.22), left(0.34), right(0.66), right(0.78), right(0.90), right(1.0)];
    let bevelled = [left(0.0), left(0.24), left(0.38), right(0.72), right(0.86), right(1.0)];
    let rest = match w.wall.cut {
        CutStyle::Bevelled => None,
        CutStyle::SquareFits => Some("to fill"),
        CutStyle::SquareFills => Some("to trim"),
    };
    let mut rows = Vec::new();
    for foam in &w.set.layers {
        for (i, piece) in w.of_layer(foam.number).enumerate() {
            let (mark, size) = (wording::piece_mark(name, piece), tables::size(w.wall, piece));
            let whole = |words: String| if i == 0 { words } else { String::new() };
            let mut row = vec![
                mark,
                job.show_mm(foam.to - foam.from),
                format!("{} × {}", job.show_mm(size.width()), job.show_mm(size.height())),
                area(job, piece.layer.area_inner),
                volume(job, piece.layer.volume),
                wording::degrees(piece.layer.steepest_bevel),
            ];
            if rest.is_some() {
                let left = if w.wall.cut == CutStyle::SquareFits { foam.wedge } else { foam.excess };
                row.push(whole(volume(job, left)));
            }
            rows.push(row);
        }
    }
    let head: Vec<&str> = ["piece", "thickness", "width × height", "box face", "volume", "bevel up to"]
        .into_iter()
        .chain(rest)
        .collect();
    sheets.table(if rest.is_some() { &square } else { &bevelled }, &head, &rows);
}

fn taped(sheets: &mut Sheets, job: &Job, w: &Walled<'_>, pairs: &[pairs::Pair<'_>]) {
    if pairs.is_empty() {
        return;
    }
    sheets.heading("Tape these on the template", 11.0);
    for pair in pairs {
        // Tape and tip each add about half a millimetre; common practice, no source.
        let within = w.plan.farthest_error.map(|e| e.hypot(1.0));
        let within = within.map_or_else(String::new, |mm| format!(" ± {}", wording::uncertainty(job, mm)));
        sheets.task(&format!(
            "tick {} to tick {}: {}{within}",
            pair.from.number,
            pair.to.number,
            job.show_mm(pair.distance)
        ));
    }
}

fn known(sheets: &mut Sheets, job: &Job, w: &Walled<'_>) {
    let t = &w.wall.template;
    let clicked = t.ticks.iter().filter(|tick| matches!(tick.place, Place::Pixel { .. })).count();
    let typed = t.ticks.len() - clicked;
    sheets.heading("Measured", 11.0);
    if let Some(solve) = &w.plan.solve {
        sheets.point(&format!(
            "{} clicked in {}; {} found, {:.2} px off on average.",
            count(clicked, "tick", "ticks"),
            count(solve.photos(), "photo", "photos"),
            count(solve.cards().len(), "card", "cards"),
            solve.residual_px()
        ));
    }
    if typed > 0 {
        sheets.point(&format!("{} typed in.", count(typed, "tick", "ticks")));
    }
    if let Some(error) = w.plan.farthest_error {
        sheets.point(&format!(
            "The two farthest ticks are apart to within ± {} (19 times in 20).",
            wording::uncertainty(job, error)
        ));
    }
    if let Some((width, height)) = t.sightings.as_ref().and_then(|s| s.printed) {
        sheets.point(&format!(
            "The printed cards measure {} by {} over the checkers.",
            job.show(width),
            job.show(height)
        ));
    }
    let corners = w.plan.outline.iter().flat_map(|o| o.corners());
    let measured = corners.clone().filter(|c| c.measured).count();
    sheets.point(&format!("{} of {} corners have a tick of their own.", measured, corners.count()));

    sheets.heading("Assumed, look whether it holds", 11.0);
    let side = match t.seen_from {
        SeenFrom::BoxSide => Face::Box.side(),
        SeenFrom::HullSide => Face::Hull.side(),
    };
    let (depth, face) = match t.taken_at {
        TakenAt::FromOuter(length) => (length, "hull face"),
        TakenAt::FromInner(length) => (length, "box face"),
    };
    let lay = if depth == Length::default() { "at".to_owned() } else { format!("{} from", job.show(depth)) };
    sheets.point(&format!("The template was seen from its {side} and lay {lay} the wall's {face}."));
    if clicked > 0 {
        sheets.point(&format!(
            "Sticks are {} thick and lie flat; a tick's height is its number of laps.",
            job.show(t.stick)
        ));
        if t.sightings.as_ref().is_some_and(|s| s.printed.is_none()) {
            sheets.point("The cards were printed at true size: nobody has measured them yet.");
        }
    }
    let carried: Vec<String> = w
        .plan
        .outline
        .iter()
        .flat_map(|o| o.sides())
        .filter_map(|side| {
            let (length, sd) = [&side.start_carry, &side.end_carry]
                .map(|c| (c.length, c.sd))
                .into_iter()
                .max_by(|a, b| a.0.total_cmp(&b.0))?;
            (length > 0.0).then(|| {
                format!(
                    "{} by {} (± {})",
                    side.edge.name,
                    job.show_mm(length),
                    wording::uncertainty(job, 1.96 * sd)
                )
            })
        })
        .collect();
    if !carried.is_empty() {
        sheets.point(&format!("Edges carried past their last tick: {}.", carried.join(", ")));
    }
    let mut gaps: Vec<(Length, Vec<&str>)> = Vec::new();
    for edge in t.edges.iter().filter(|e| e.gap.mm() > 0.0) {
        match gaps.iter_mut().find(|(gap, _)| *gap == edge.gap) {
            Some((_, names)) => names.push(&edge.name),
            None => gaps.push((edge.gap, vec![&edge.name])),
        }
    }
    for (gap, names) in gaps {
        let all = t.edges.len() > 1 && names.len() == t.edges.len();
        let at = if all {
            "at every edge".to_owned()
        } else {
            format!("at edges “{}”", names.join("”, “"))
        };
        let at = if names.len() == 1 { at.replacen("edges", "edge", 1) } else { at };
        sheets.point(&format!("Room for bonding foam: {} {at}.", job.show(gap)));
    }
    sheets.point("Bevels and thicknesses are as typed.");
    sheets.gap(2.0);
}

fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

fn capital(words: &str) -> String {
    let mut chars = words.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

/// An area as the job's units have it: cm², or square feet of exactly 92 903.04 mm².
fn area(job: &Job, mm2: f64) -> String {
    match job.units {
        Units::Millimetres => format!("{:.0} cm²", mm2 / 100.0),
        Units::Inches => format!("{:.2} ft²", mm2 / 92_903.04),
    }
}

/// A volume: litres, or cubic feet.
fn volume(job: &Job, mm3: f64) -> String {
    match job.units {
        Units::Millimetres => format!("{:.2} l", mm3 / 1e6),
        Units::Inches => format!("{:.3} ft³", mm3 / (304.8_f64.powi(3))),
    }
}
