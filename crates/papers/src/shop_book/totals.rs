//! Sums over all walls: what there is, what to buy, and in which order it goes in.

use coldwright_export::Anchor;
use coldwright_geometry::Length;
use coldwright_job::{Job, Plan, purchases};

use super::sheet::{Column, Sheets, TICK_BOX};
use super::{area, capital, count, volume};
use crate::make::Walled;
use crate::wire::{self, Wired};
use crate::{tables, wording};

const LEFT: Anchor = Anchor::Start;
const RIGHT: Anchor = Anchor::End;
const MIDDLE: Anchor = Anchor::Middle;

/// One row a wall, and the sums.
pub(super) fn totals(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    let columns = [(0.0, LEFT), (0.46, RIGHT), (0.60, RIGHT), (0.78, RIGHT), (1.0, RIGHT)]
        .map(|(at, anchor)| Column { at, anchor });
    let mut rows = Vec::new();
    let (mut pieces, mut foam) = (0, 0.0);
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        let own = w.pieces.len();
        let own_foam: f64 = w.set.layers.iter().map(|l| l.volume).sum();
        let thick = w.set.layers.last().map_or(0.0, |l| l.to);
        let inside = w.set.layers.last().map_or(0.0, |l| l.area_inner);
        pieces += own;
        foam += own_foam;
        rows.push(vec![name, own.to_string(), job.show_mm(thick), area(job, inside), volume(job, own_foam)]);
    }
    rows.push(vec![
        "all walls".to_owned(),
        pieces.to_string(),
        String::new(),
        String::new(),
        volume(job, foam),
    ]);
    sheets.table(&columns, &["wall", "pieces", "thickness", "inside of the box", "foam"], &rows);
}

/// What room the joined walls leave, and what foam from the can has to fill.
pub(super) fn room(sheets: &mut Sheets, job: &Job, plan: &Plan) {
    let lengths = |a: f64, b: f64| format!("{} × {}", job.show_mm(a), job.show_mm(b));
    let both = |mm3: f64| format!("{:.1} litres ({:.2} cubic feet)", mm3 / 1e6, mm3 / 304.8_f64.powi(3));
    let rooms = plan.boxed.iter().flat_map(|b| b.rooms().iter().zip(&b.inside).zip(&b.stow));
    for ((one, bare), stow) in rooms {
        sheets.heading("Room inside", 11.0);
        sheets.paragraph(&format!(
            "{} up to the brim; {} without any foam.",
            both(one.room),
            both(one.cavity)
        ));
        if plan.boxed.as_ref().is_some_and(|b| !b.after_liner.is_empty()) {
            sheets.paragraph(&format!(
                "The liner is counted in; before it goes in there are {}.",
                both(bare.room)
            ));
        }
        let steps = one.below.len().saturating_sub(1);
        let rows: Vec<Vec<String>> = (1..=4)
            .rev()
            .filter_map(|quarter| one.below.get(steps * quarter / 4))
            .map(|(high, below)| {
                let litres = format!("{:.1}", below / 1e6);
                vec![job.show_mm(*high), litres, format!("{:.2}", below / 304.8_f64.powi(3))]
            })
            .collect();
        let columns = [(0.0, LEFT), (0.46, RIGHT), (0.66, RIGHT)].map(|(at, anchor)| Column { at, anchor });
        sheets.table(&columns, &["height over the lowest place", "litres", "cubic feet"], &rows);
        if let Some(sump) = stow.sump {
            sheets.point(&format!("Sump: {} deep, {:.1} litres.", job.show_mm(sump.deep), sump.volume / 1e6));
        }
        let clear: Vec<String> = stow
            .clear
            .iter()
            .map(|c| format!("{} for {} of height", lengths(c.along, c.across), job.show_mm(c.tall)))
            .collect();
        if !clear.is_empty() {
            sheets.point(&format!("Stands clear of all foam, upright: {}.", clear.join("; ")));
        }
        sheets.gap(2.0);
    }
    filling(sheets, job, plan);
}

/// Wedges, gaps and hollows, wall by wall and in all.
fn filling(sheets: &mut Sheets, job: &Job, plan: &Plan) {
    let all = coldwright_job::filling(job, plan);
    if all.volume.total() <= 0.0 {
        return;
    }
    sheets.heading("To fill with foam from the can", 11.0);
    let columns = [(0.0, LEFT), (0.46, RIGHT), (0.60, RIGHT), (0.78, RIGHT), (1.0, RIGHT)]
        .map(|(at, anchor)| Column { at, anchor });
    let row = |name: String, f: coldwright_geometry::WallFiller| {
        let mut out = vec![name];
        out.extend([f.gaps, f.wedges, f.hollow, f.total()].map(|v| format!("{:.2}", v / 1e6)));
        out
    };
    let mut rows: Vec<Vec<String>> = plan
        .walls
        .iter()
        .filter(|w| w.filler.total() > 0.0)
        .filter_map(|w| Some(row(wording::wall_name(job, job.wall(w.id)?), w.filler)))
        .collect();
    rows.push(row("all walls".to_owned(), all.volume));
    sheets.table(&columns, &["litres", "gaps", "wedges", "hollow", "in all"], &rows);
    sheets.paragraph(&format!(
        "{} of {} litres stated yield, in {}, none deeper than {}; the maker's sheet comes first.",
        count(all.cans as usize, "can", "cans"),
        job.cutting.can_litres.max(1),
        count(all.lifts as usize, "lift", "lifts"),
        job.show_mm(coldwright_job::LIFT_MM)
    ));
    sheets.gap(2.0);
}

/// What to buy, each with a box to tick; then the foam, kind by kind.
pub(super) fn buy(sheets: &mut Sheets, job: &Job, plan: &Plan, walls: &[Walled<'_>]) {
    sheets.heading("What to buy", 13.0);
    for purchase in purchases(job, plan) {
        let what = wording::readable(&purchase.what, "sheet");
        sheets
            .task_with(&format!("{what}: {}", purchase.amount_words(job.units)), &capital(&purchase.because));
    }
    sheets.gap(1.0);
    sheets.paragraph("Not counted here: fastenings, drain, lid, blades and what is worn while working.");
    sheets.gap(2.0);
    foam(sheets, job, walls);
}

/// The foam, kind by kind, without anything for offcuts.
fn foam(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    sheets.heading("The foam itself", 11.0);
    // In the order the kinds first come up.
    let mut kinds: Vec<(Length, String, f64, f64, usize)> = Vec::new();
    for piece in walls.iter().flat_map(|w| w.pieces.iter().map(move |piece| (w, piece))) {
        let (w, piece) = piece;
        let thickness = match w.wall.layers.get((piece.id.layer as usize).wrapping_sub(1)) {
            Some(stock) => stock.thickness,
            None => Length::from_mm(piece.thickness).unwrap_or_default(),
        };
        let net = piece.layer.area_outer.max(piece.layer.area_inner);
        let round = tables::size(w.wall, piece).area();
        let material = w.wall.material(piece.id.layer as usize);
        match kinds.iter_mut().find(|k| k.0 == thickness && k.1 == material) {
            Some(kind) => {
                kind.2 += net;
                kind.3 += round;
                kind.4 += 1;
            }
            None => kinds.push((thickness, material.to_owned(), net, round, 1)),
        }
    }
    let columns = [(0.0, LEFT), (0.22, LEFT), (0.56, RIGHT), (0.76, RIGHT), (1.0, RIGHT)]
        .map(|(at, anchor)| Column { at, anchor });
    let rows: Vec<Vec<String>> = kinds
        .into_iter()
        .map(|(thickness, material, net, round, pieces)| {
            let material = wording::readable(&material, "foam");
            vec![job.show(thickness), material, pieces.to_string(), area(job, net), area(job, round)]
        })
        .collect();
    sheets.table(&columns, &["thickness", "foam", "pieces", "larger faces", "rectangles round them"], &rows);
    sheets.paragraph(
        "The last column is what the pieces take up when each is cut from a rectangle of its own. Nothing is added for saw cuts, \
         broken corners and offcuts that are too small.",
    );
    sheets.gap(3.0);
}

/// Every piece in its turn with boxes to tick.
pub(super) fn order(sheets: &mut Sheets, job: &Job, plan: &Plan, walls: &[Walled<'_>]) {
    sheets.heading("Fitting order", 13.0);
    sheets.task("Hull side dry, holes closed, level lines marked on every wall.");
    let pieces = plan.fitting_order();
    let through = pieces.iter().any(|piece| piece.passes.is_some());
    let mut columns = vec![(0.045, RIGHT), (0.065, LEFT), (0.36, RIGHT)];
    let mut head = vec!["", "piece", "thickness"];
    if through {
        columns.push((0.42, LEFT));
        head.push("through the opening");
    }
    columns.extend([(0.735, MIDDLE), (0.84, MIDDLE), (0.945, MIDDLE)]);
    head.extend(["cut", "tried dry", "bonded"]);
    let columns: Vec<Column> = columns.into_iter().map(|(at, anchor)| Column { at, anchor }).collect();
    let mut rows = Vec::new();
    for (turn, piece) in pieces.into_iter().enumerate() {
        let Some(w) = walls.iter().find(|w| w.wall.id == piece.id.wall) else { continue };
        let mut row = vec![
            (turn + 1).to_string(),
            wording::piece_mark(&wording::wall_name(job, w.wall), piece),
            job.show_mm(piece.thickness),
        ];
        if through {
            row.push(piece.passes.map_or_else(String::new, |passes| wording::passes(job, passes)));
        }
        row.extend(std::iter::repeat_n(TICK_BOX.to_owned(), 3));
        rows.push(row);
    }
    sheets.table(&columns, &head, &rows);
    sheets.paragraph(
        "Tick a piece as cut only when its label is on it, and as bonded only when it sounds full all over.",
    );
    sheets.gap(2.0);
}

/// What a hot wire may cut, wall by wall; nothing when no layer is bevelled polystyrene.
pub(super) fn wire(sheets: &mut Sheets, job: &Job, plan: &Plan, walls: &[Walled<'_>]) {
    let (mut pairs, mut without) = (0, Vec::new());
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        for whole in &w.set.layers {
            let seams = crate::seams::of_layer(job, plan, w.wall, whole);
            for piece in w.of_layer(whole.number) {
                match wire::wired(w, piece, seams.get(piece.id.part as usize).map_or(&[], Vec::as_slice)) {
                    Wired::Pair(..) => pairs += 1,
                    Wired::Parts => without.push(wording::piece_mark(&name, piece)),
                    Wired::No => {}
                }
            }
        }
    }
    if pairs == 0 && without.is_empty() {
        return;
    }
    sheets.heading("With a hot wire", 13.0);
    if pairs > 0 {
        sheets.paragraph(&format!(
            "There {} in wire-templates.pdf, one template for each side of the foam, glued to thin plywood or laminate and cut out. \
             Pin both through crosses A and B. Two people draw the wire along the edges and call the numbers: it passes each number \
             on both sides at the same time.",
            if pairs == 1 { "is one pair of templates".to_owned() } else { format!("are {} of templates", count(pairs, "pair", "pairs")) }
        ));
    }
    if !without.is_empty() {
        sheets.paragraph(&format!(
            "No pair fits {}: a piece whose seam overlaps, or with a face that has lost its edges. Saw or shave it.",
            without.join(", ")
        ));
    }
    sheets.gap(3.0);
}
