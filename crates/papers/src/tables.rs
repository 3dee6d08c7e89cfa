//! Tables of layers and of pieces.

use coldwright_export::Table;
use coldwright_geometry::{Layer, Rect, Ring, signed_area};
use coldwright_job::{CutStyle, Job, Passes, Plan, PlannedPiece, Wall, purchases};

use crate::faced;
use crate::faces::faces;
use crate::laid::SheetsUsed;
use crate::make::Walled;
use crate::names;
use crate::stations::{Station, stations};
use crate::wording::{self, Face};

/// One row a layer: depths, thickness, areas, volumes, bevels. Numbers with a decimal point, the unit in the head; the
/// thickness once more as the job shows lengths.
pub(crate) fn layers(job: &Job, walls: &[Walled<'_>]) -> Table {
    let mut table = Table::new([
        "mark",
        "wall",
        "layer (1 = at the hull)",
        "material",
        "thickness",
        "thickness (mm)",
        "from hull face (mm)",
        "to (mm)",
        "area hull face (cm²)",
        "area box face (cm²)",
        "volume (cm³)",
        "cut",
        "wedge left to fill when cut square and fitting (cm³)",
        "trimmed when cut square and filling (cm³)",
        "largest gap when cut square and fitting (mm)",
        "steepest bevel (°)",
        "tightest inside radius (mm)",
        "bevels",
    ]);
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        for foam in &w.set.layers {
            table.row([
                wording::mark(&name, foam.number, None),
                w.wall.name.clone(),
                foam.number.to_string(),
                material(w.wall, foam),
                job.show_mm(foam.to - foam.from),
                format!("{:.2}", foam.to - foam.from),
                format!("{:.2}", foam.from),
                format!("{:.2}", foam.to),
                format!("{:.1}", foam.area_outer / 100.0),
                format!("{:.1}", foam.area_inner / 100.0),
                format!("{:.1}", foam.volume / 1000.0),
                wording::cut_style(w.wall.cut).to_owned(),
                format!("{:.1}", foam.wedge / 1000.0),
                format!("{:.1}", foam.excess / 1000.0),
                format!("{:.1}", foam.largest_gap),
                format!("{:.1}", foam.steepest_bevel.to_degrees()),
                foam.tightest_inside_radius.map_or_else(String::new, |r| format!("{r:.0}")),
                bevels(w, foam),
            ]);
        }
    }
    table
}

/// One row a piece: what to cut, from what, how large, on which sheet, and where its file is.
pub(crate) fn cut_list(
    job: &Job,
    walls: &[Walled<'_>],
    stems: &[String],
    used: Option<&SheetsUsed<'_>>,
) -> Table {
    let mut table = Table::new([
        "piece",
        "how many",
        "material",
        "thickness",
        "thickness (mm)",
        "width",
        "height",
        "width (mm)",
        "height (mm)",
        "area taken from the sheet (cm²)",
        "face up",
        "cut",
        "bevels",
        "turn at the saw",
        "sheet",
        "cut file",
    ]);
    for (w, stem) in walls.iter().zip(stems) {
        let name = wording::wall_name(job, w.wall);
        for piece in w.pieces {
            let size = size(w.wall, piece);
            let bevelled = w.wall.cut == CutStyle::Bevelled;
            let sheet = used.and_then(|used| used.number_of(piece.id));
            table.row([
                wording::piece_mark(&name, piece),
                "1".to_owned(),
                piece.material.trim().to_owned(),
                job.show_mm(piece.thickness),
                format!("{:.2}", piece.thickness),
                job.show_mm(size.width()),
                job.show_mm(size.height()),
                format!("{:.1}", size.width()),
                format!("{:.1}", size.height()),
                format!("{:.1}", signed_area(&piece.outline).abs() / 100.0),
                Face::Box.side().to_owned(),
                wording::cut_style(w.wall.cut).to_owned(),
                if bevelled { bevels(w, &piece.layer) } else { "square".to_owned() },
                (piece.cut + 1).to_string(),
                sheet.map_or_else(String::new, |n| n.to_string()),
                names::of_piece(stem, piece),
            ]);
        }
    }
    table
}

/// One row a piece, in the order they go in.
pub(crate) fn fitting_order(job: &Job, plan: &Plan, walls: &[Walled<'_>]) -> Table {
    let mut table = Table::new([
        "turn",
        "piece",
        "wall",
        "layer (1 = at the hull)",
        "part",
        "thickness",
        "through the opening",
        "to spare (mm)",
    ]);
    for (turn, piece) in plan.fitting_order().into_iter().enumerate() {
        let Some(w) = walls.iter().find(|w| w.wall.id == piece.id.wall) else { continue };
        let part = (piece.parts > 1).then(|| wording::part_letters(piece.id.part as usize));
        let spare = match piece.passes {
            Some(Passes::Through { spare }) => format!("{spare:.1}"),
            Some(Passes::MayThread { short } | Passes::Stuck { short }) => format!("{:.1}", -short),
            Some(Passes::NoRoom { .. }) | None => String::new(),
        };
        table.row([
            (turn + 1).to_string(),
            wording::piece_mark(&wording::wall_name(job, w.wall), piece),
            w.wall.name.clone(),
            piece.id.layer.to_string(),
            part.unwrap_or_default(),
            job.show_mm(piece.thickness),
            piece.passes.map_or_else(String::new, |passes| wording::passes(job, passes)),
            spare,
        ]);
    }
    table
}

/// One row a thing to buy.
pub(crate) fn buy(job: &Job, plan: &Plan) -> Table {
    let mut table = Table::new(["what", "amount", "unit", "reckoned from"]);
    for purchase in purchases(job, plan) {
        let (amount, unit) = purchase.said(job.units);
        let unit = if unit.is_empty() { "pieces" } else { unit };
        table.row([purchase.what, amount, unit.to_owned(), purchase.because]);
    }
    table
}

/// The smallest upright rectangle round both faces of a piece.
pub(crate) fn size(wall: &Wall, piece: &PlannedPiece) -> Rect {
    let lines = faces(&piece.layer, wall.cut);
    let rings = lines.up.iter().chain(lines.down.into_iter().flatten());
    rings.map(Ring::bounds).reduce(|a, b| a.union(b)).unwrap_or(Rect::ZERO)
}

pub(crate) fn material(wall: &Wall, foam: &Layer) -> String {
    wall.material(foam.number).to_owned()
}

/// A bevel so far off an even change is told by itself, radians (1°).
const UNEVEN: f64 = std::f64::consts::PI / 180.0;

/// "foot 8.0° closed; back 22.0° open to 4.0° closed", edge by edge, as far as the piece has them: the bevel at both ends of an
/// edge, and between them where it does not change evenly.
pub(crate) fn bevels(w: &Walled<'_>, foam: &Layer) -> String {
    let Some(outline) = w.plan.outline.as_deref() else { return String::new() };
    let faces = faced::sides(foam);
    let edges = outline.sides().iter().filter_map(|side| {
        let told = stations(side.edge.id, foam, &faces);
        let mut all = told.stations;
        let way = all.last()?.hull - all.first()?.hull;
        if told.varies {
            // Marks in the very corners, where both faces do not reach.
            all.extend(foam.bevels.iter().filter(|m| m.edge == side.edge.id).map(|m| Station::of(m, foam)));
            all.sort_by(|a, b| way.dot(a.hull.to_vec2()).total_cmp(&way.dot(b.hull.to_vec2())));
        }
        let (first, last) = (all.first()?, all.last()?);
        let mut bends = Vec::new();
        bent(&all, &mut bends);
        let angles = std::iter::once(first.angle).chain(bends).chain([last.angle]);
        let mut words: Vec<String> = angles.map(wording::lean).collect();
        words.dedup();
        Some(format!("{} {}", side.edge.name, words.join(" to ")))
    });
    edges.collect::<Vec<_>>().join("; ")
}

/// Angles between the first and the last station that are off the even change from one to the other, in order.
fn bent(stations: &[Station], found: &mut Vec<f64>) {
    let [first, .., last] = stations else { return };
    let long = last.hull - first.hull;
    let even = |s: &Station| {
        let share = (s.hull - first.hull).dot(long) / long.hypot2().max(1e-9);
        first.angle + (last.angle - first.angle) * share
    };
    let off = |i: &usize| (stations[*i].angle - even(&stations[*i])).abs();
    let worst = (1..stations.len() - 1).max_by(|i, j| off(i).total_cmp(&off(j)));
    let Some(worst) = worst.filter(|i| off(i) > UNEVEN) else { return };
    bent(&stations[..=worst], found);
    found.push(stations[worst].angle);
    bent(&stations[worst..], found);
}
