//! Plans of the sheets to scale: where each piece lies and what is left whole.

use coldwright_export::{Anchor, Drawing, Layer, Pen, Text, font};
use coldwright_geometry::{Ring, bounds, roomy, signed_area};
use coldwright_job::{BreakDown, CUTTING_RULE, Job, Plan, sentence_case};
use kurbo::{Affine, Point, Rect, Shape};

use super::sheet::{Sheets, shortened};
use super::{area, count, picture};
use crate::faces::path;
use crate::laid::{self, Lying, SheetsUsed};
use crate::make::Walled;
use crate::room::{Quad, Room, thinned};

/// Tallest plan, mm: two to a page with their words.
const TALLEST_MM: f64 = 92.0;
const PT: f64 = 9.0;
/// A straight cut all across.
const CUT_ACROSS: Pen = Pen { width_mm: 0.35, dash_mm: Some((4.0, 1.0)), grey: 0.0 };
const DASHED: Pen = Pen { width_mm: 0.18, dash_mm: Some((1.6, 0.9)), grey: 0.0 };

/// A plan for each sheet in use; one sentence where there is none.
pub(super) fn plans(
    sheets: &mut Sheets,
    job: &Job,
    plan: &Plan,
    walls: &[Walled<'_>],
    used: Option<&SheetsUsed<'_>>,
) {
    sheets.heading("Sheets", 13.0);
    let Some(used) = used else {
        sheets.paragraph(match &plan.laid {
            Some(laid) if !laid.is_sound() => {
                "The pieces have changed since they were laid out on sheets, so no plan is shown: lay them out again."
            }
            _ => "The pieces are not laid out on sheets yet, so no plan is shown.",
        });
        sheets.gap(3.0);
        return;
    };
    sheets.paragraph(
        "Seen with the box side up; solid the line to cut along, dashed inside a piece its other face, dashed outside the pieces \
         the largest rectangle left whole.",
    );
    for answer in used.answers(job) {
        sheets.point(&sentence_case(&answer.words(job)));
    }
    sheets.point(&format!(
        "In the order at the saw what is likeliest to be spoiled comes first. {CUTTING_RULE}"
    ));
    for number in 1..=used.count() {
        one(sheets, job, walls, used, number);
    }
    sheets.gap(3.0);
}

fn one(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>], used: &SheetsUsed<'_>, number: usize) {
    let Some((stock, nth)) = used.stock(job, number) else { return };
    let outline = used.outline(number);
    let round = bounds(outline);
    // The plan lies on its long side.
    let turned = round.height() > round.width();
    let size = if turned { (round.height(), round.width()) } else { (round.width(), round.height()) };
    let n = picture::scale(size, (sheets.width(), TALLEST_MM));
    let turn = if turned { Affine::new([0.0, -1.0, 1.0, 0.0, 0.0, 0.0]) } else { Affine::IDENTITY };
    let corner = (turn.transform_rect_bbox(round)).origin();
    let to_plan = Affine::translate(-corner.to_vec2()) * turn;
    let place = Affine::scale(1.0 / n) * to_plan;
    let lying = used.lying(job, walls, number);
    let (drawing, listed) = drawn(job, used, number, &lying, place, (size.0 / n, size.1 / n));
    sheets.need(drawing.bounds.height() + 30.0);
    sheets.heading(&format!("Sheet {number}: {}", laid::named(job, stock, nth)), 11.0);
    let cut: f64 = lying.iter().map(|one| signed_area(&one.piece.outline).abs()).sum();
    let whole = signed_area(outline).abs();
    let share = if whole > 0.0 { cut / whole * 100.0 } else { 0.0 };
    let off = used.offcut(number).map_or_else(
        || "nothing wider than a hand is left whole".to_owned(),
        |rect| {
            let said = format!("{} × {}", job.show_mm(rect.width()), job.show_mm(rect.height()));
            if sawn_across(used.break_down(number), rect) {
                format!("free of pieces {said}, though the straight cuts part it")
            } else {
                format!("left whole {said}")
            }
        },
    );
    sheets.paragraph(&format!(
        "{}; plan 1 : {n}. {} on it take {} of {}, {share:.0} %; {off}.",
        laid::size(job, stock, outline),
        count(lying.len(), "piece", "pieces"),
        area(job, cut),
        area(job, whole),
    ));
    if let Some(said) = used.break_down(number).and_then(|b| broken_down(job, b, to_plan)) {
        sheets.paragraph(&said);
    }
    let mut order: Vec<(usize, &str)> = lying.iter().map(|one| (one.piece.cut, one.mark.as_str())).collect();
    order.sort_unstable();
    let order: Vec<String> = order.into_iter().map(|(_, mark)| unbroken(mark)).collect();
    sheets.paragraph(&format!("Saw in this order: {}.", order.join(", ")));
    sheets.gap(2.0);
    sheets.pictures(vec![drawing]);
    if !listed.is_empty() {
        sheets.paragraph(&format!("Numbered for want of room: {}.", listed.join(", ")));
        sheets.gap(2.0);
    }
}

/// Whether a straight cut goes through a rectangle of the sheet.
fn sawn_across(how: Option<&BreakDown>, rect: Rect) -> bool {
    let Some(BreakDown::Cuts(cuts)) = how else { return false };
    let inner = rect.inset(-0.5);
    cuts.iter().any(|c| Rect::from_points(c.from, c.to).inflate(0.1, 0.1).overlaps(inner))
}

/// The straight cuts before any shape is cut, as they lie on the plan; nothing where the sheet goes to the saw as it is. `to_plan` is
/// from the sheet's frame to the plan at full size.
fn broken_down(job: &Job, how: &BreakDown, to_plan: Affine) -> Option<String> {
    let throat = job.cutting.throat.map(|t| job.show(t)).unwrap_or_default();
    match how {
        BreakDown::Whole => None,
        BreakDown::NoWay => Some(format!(
            "No straight cuts bring it to the {throat} between blade and column: saw the rough shapes out by hand first."
        )),
        BreakDown::OwnShape => {
            Some(format!("Its shape is its own: see that what comes to the saw is at most {throat} wide."))
        }
        BreakDown::Cuts(cuts) => {
            let lines = cuts.iter().enumerate().map(|(i, cut)| {
                let (from, part) = (to_plan * cut.from, to_plan.transform_rect_bbox(cut.part));
                let (mm, side) = if ((to_plan * cut.to).x - from.x).abs() < 1e-6 {
                    (from.x - part.x0, "left end")
                } else {
                    (from.y - part.y0, "lower side")
                };
                format!("cut {} lies {} from the {side}", i + 1, job.show_mm(mm))
            });
            let lines: Vec<String> = lines.collect();
            Some(format!(
                "First saw right across, each time the part in hand: {}. Then every part goes through the {throat} between blade \
                 and column.",
                lines.join(", ")
            ))
        }
    }
}

/// The plan, and what its numbers stand for.
fn drawn(
    job: &Job,
    used: &SheetsUsed<'_>,
    number: usize,
    lying: &[Lying<'_>],
    place: Affine,
    size: (f64, f64),
) -> (Drawing, Vec<String>) {
    let mut drawing = Drawing::new("", Rect::new(0.0, 0.0, size.0, size.1));
    drawing.line(place * laid::closed(used.outline(number)), Pen::solid(0.25), Layer::Marks);
    let small = |rings: &[Ring]| -> Vec<Ring> {
        rings.iter().map(|ring| laid::placed(&thinned(ring), place)).collect()
    };
    if let Some(BreakDown::Cuts(cuts)) = used.break_down(number) {
        for (i, cut) in cuts.iter().enumerate() {
            let (a, b) = (place * cut.from, place * cut.to);
            drawing.straight((a.x, a.y), (b.x, b.y), CUT_ACROSS, Layer::Marks);
            let said = format!("cut {}", i + 1);
            let (at, half) = (a.lerp(b, 0.04), font::text_width_mm(&said, PT, true) / 2.0);
            words(&mut drawing, Point::new(at.x + half + 0.8, at.y + 0.8), &said, Anchor::Middle, true);
        }
    }
    let (mut listed, mut outside) = (Vec::new(), Vec::new());
    for one in lying {
        let (up, down) = one.rings();
        let (up, down) = (small(&up), small(&down));
        for ring in &down {
            drawing.line(path(ring), DASHED, Layer::OtherFace);
        }
        for ring in &up {
            drawing.line(path(ring), Pen::solid(0.3), Layer::Marks);
        }
        let faces: Vec<&[Ring]> =
            std::iter::once(up.as_slice()).chain((!down.is_empty()).then_some(down.as_slice())).collect();
        let Some(ring) = up.iter().max_by(|a, b| a.area().total_cmp(&b.area())) else { continue };
        if !write(&mut drawing, &Room::new(&faces), ring, &one.mark, true) {
            listed.push(unbroken(&format!("{} {}", listed.len() + 1, one.mark)));
            let key = listed.len().to_string();
            if !write(&mut drawing, &Room::new(&faces), ring, &key, true) {
                outside.push((key, roomy(ring, 1.0)));
            }
        }
    }
    call_out(&mut drawing, size, outside);
    if let Some(rect) = used.offcut(number) {
        let rect = place.transform_rect_bbox(rect);
        drawing.line(rect.inset(-0.4).to_path(0.01), DASHED, Layer::Marks);
        let real = used.offcut(number).unwrap_or_default();
        let said = format!("{} × {}", job.show_mm(real.width()), job.show_mm(real.height()));
        let ring = Ring { outer: corners(rect), holes: Vec::new() };
        let room = Room::new(&[std::slice::from_ref(&ring)]);
        if !write(&mut drawing, &room, &ring, &format!("left whole {said}"), false) {
            write(&mut drawing, &room, &ring, "left", false);
        }
    }
    (drawing, listed)
}

/// A name whose words stay on one line.
fn unbroken(name: &str) -> String {
    name.replace(' ', "\u{a0}")
}

/// Numbers that find no room in their pieces: beside the sheet, above or below whichever is nearer, a thin line to a dot in the piece.
fn call_out(drawing: &mut Drawing, size: (f64, f64), all: Vec<(String, Point)>) {
    /// From the sheet's edge to the numbers, mm.
    const OFF: f64 = 4.0;
    let high = font::em_mm(PT);
    let (mut above, mut below): (Vec<_>, Vec<_>) = all.into_iter().partition(|(_, at)| at.y > 0.5 * size.1);
    for (side, up) in [(&mut above, true), (&mut below, false)] {
        if side.is_empty() {
            continue;
        }
        side.sort_by(|a, b| a.1.x.total_cmp(&b.1.x).then(a.1.y.total_cmp(&b.1.y)));
        let step = (font::text_width_mm("00", PT, true) + 1.6).min(size.0 / side.len() as f64);
        // Each over its piece, moved aside to the right as far as it must be, then all back into the width of the sheet.
        let mut places: Vec<f64> = Vec::with_capacity(side.len());
        for (_, at) in side.iter() {
            places.push(places.last().map_or(at.x, |last: &f64| at.x.max(last + step)));
        }
        let mut most = size.0 - 0.5 * step;
        for x in places.iter_mut().rev() {
            *x = x.min(most);
            most = *x - step;
        }
        let (edge, base) =
            if up { (size.1 + OFF, size.1 + OFF + 0.6) } else { (-OFF, -OFF - 0.72 * high - 0.6) };
        for ((key, at), x) in side.iter().zip(places) {
            drawing.straight((at.x, at.y), (x, edge), Pen::solid(0.13), Layer::Marks);
            drawing.line(kurbo::Circle::new(*at, 0.35).to_path(0.02), Pen::solid(0.3), Layer::Marks);
            words(drawing, Point::new(x, base), key, Anchor::Middle, true);
        }
        let room = OFF + high + 1.0;
        let b = drawing.bounds;
        drawing.bounds = if up { Rect { y1: b.y1 + room, ..b } } else { Rect { y0: b.y0 - room, ..b } };
    }
}

fn corners(rect: Rect) -> Vec<Point> {
    vec![
        Point::new(rect.x0, rect.y0),
        Point::new(rect.x1, rect.y0),
        Point::new(rect.x1, rect.y1),
        Point::new(rect.x0, rect.y1),
    ]
}

/// Words where a ring has most room, lying or upright; whether there is any.
fn write(drawing: &mut Drawing, room: &Room, ring: &Ring, said: &str, bold: bool) -> bool {
    let size = (font::text_width_mm(said, PT, bold), font::em_mm(PT) * 1.1);
    let Some(quad) = room.roomiest(size, &[0.0, std::f64::consts::FRAC_PI_2], ring) else { return false };
    let Quad { middle, along, half } = quad;
    let at = middle - along * half.x - along.turn_90() * (font::em_mm(PT) * 0.33);
    drawing.text(Text {
        at,
        words: said.to_owned(),
        height_pt: PT,
        angle: along.atan2(),
        anchor: Anchor::Start,
        bold,
        layer: Layer::Words,
    });
    true
}

fn words(drawing: &mut Drawing, at: Point, said: &str, anchor: Anchor, bold: bool) {
    let words = shortened(said, PT, bold, 40.0);
    drawing.text(Text { at, words, height_pt: PT, angle: 0.0, anchor, bold, layer: Layer::Words });
}
