//! Sums over all walls: what there is, what to buy, and in which order it goes in.

use coldwright_export::Anchor;
use coldwright_geometry::{FixedFace, Length};
use coldwright_job::{CutStyle, Job};

use super::sheet::{Column, Sheets};
use super::{area, count, volume};
use crate::make::Walled;
use crate::wire::{self, Wired};
use crate::{tables, wording};

const LEFT: Anchor = Anchor::Start;
const RIGHT: Anchor = Anchor::End;

/// One row a wall, and the sums.
pub(super) fn totals(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    let columns = [(0.0, LEFT), (0.46, RIGHT), (0.60, RIGHT), (0.78, RIGHT), (1.0, RIGHT)]
        .map(|(at, anchor)| Column { at, anchor });
    let mut rows = Vec::new();
    let (mut pieces, mut foam) = (0, 0.0);
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        let own: usize = w.set.layers.iter().map(|l| tables::pieces(w.wall, l, &name).len()).sum();
        let own_foam: f64 = w.set.layers.iter().map(|l| l.volume).sum();
        let thick = w.set.layers.last().map_or(0.0, |l| l.to);
        let inside = w.set.layers.last().map_or(0.0, |l| l.area_inner);
        pieces += own;
        foam += own_foam;
        rows.push(vec![
            name,
            own.to_string(),
            wording::length(job, thick),
            area(job, inside),
            volume(job, own_foam),
        ]);
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

/// The foam, kind by kind, without anything for offcuts.
pub(super) fn buy(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    sheets.heading("What to buy", 13.0);
    // In the order the kinds first come up.
    let mut kinds: Vec<(Length, String, f64, f64, usize)> = Vec::new();
    let mut fill = 0.0;
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        for foam in &w.set.layers {
            let Some(stock) = w.wall.layers.get(foam.number - 1) else { continue };
            let sizes = tables::pieces(w.wall, foam, &name);
            let round: f64 = sizes.iter().map(|(_, size)| size.area()).sum();
            let net = foam.area_outer.max(foam.area_inner);
            let material = stock.material.trim();
            if w.wall.cut == CutStyle::SquareFits {
                fill += foam.wedge;
            }
            match kinds.iter_mut().find(|k| k.0 == stock.thickness && k.1 == material) {
                Some(kind) => {
                    kind.2 += net;
                    kind.3 += round;
                    kind.4 += sizes.len();
                }
                None => kinds.push((stock.thickness, material.to_owned(), net, round, sizes.len())),
            }
        }
    }
    let columns = [(0.0, LEFT), (0.22, LEFT), (0.56, RIGHT), (0.76, RIGHT), (1.0, RIGHT)]
        .map(|(at, anchor)| Column { at, anchor });
    let rows: Vec<Vec<String>> = kinds
        .into_iter()
        .map(|(thickness, material, net, round, pieces)| {
            let material = if material.is_empty() { "foam".to_owned() } else { material };
            vec![job.show(thickness), material, pieces.to_string(), area(job, net), area(job, round)]
        })
        .collect();
    sheets.table(&columns, &["thickness", "foam", "pieces", "larger faces", "rectangles round them"], &rows);
    sheets.paragraph(
        "The last column is what the pieces take up when each is cut from a rectangle of its own. Nothing is added for saw cuts, \
         broken corners and offcuts that are too small.",
    );
    if fill > 0.0 {
        sheets.paragraph(&format!(
            "Foam to fill the wedges behind square edges: {} once it has set.",
            volume(job, fill)
        ));
    }
    sheets.paragraph("Not counted here: glue, film, tape, liner, fillets, drain and lid.");
    sheets.gap(3.0);
}

/// Every piece with boxes to tick, from the face that is given.
pub(super) fn order(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    sheets.heading("Fitting order", 13.0);
    sheets.paragraph(
        "Within a wall in this order. Which wall goes first is for you to settle: a piece must still pass the opening, and corners \
         that overlap go in by turns.",
    );
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        let mut marks: Vec<String> = w
            .set
            .layers
            .iter()
            .flat_map(|foam| tables::pieces(w.wall, foam, &name).into_iter().map(|(mark, _)| mark))
            .collect();
        let from = match w.wall.fixed {
            FixedFace::Outer => "from the hull inwards",
            FixedFace::Inner => {
                marks.reverse();
                "from the box outwards"
            }
        };
        sheets.task(&format!("{name}, {from}: hull side dry, holes closed, level lines marked"));
        for mark in marks {
            sheets.task(&format!("{mark}: cut and labelled, dry-fitted, bonded without hollows"));
        }
        sheets.gap(1.5);
    }
}

/// What a hot wire may cut, wall by wall; nothing when no layer is bevelled polystyrene.
pub(super) fn wire(sheets: &mut Sheets, job: &Job, walls: &[Walled<'_>]) {
    let (mut pairs, mut without) = (0, Vec::new());
    for w in walls {
        let name = wording::wall_name(job, w.wall);
        for foam in &w.set.layers {
            match wire::wired(w, foam) {
                Wired::Pair(..) => pairs += 1,
                Wired::Parts => without.push(wording::mark(&name, foam.number, None)),
                Wired::No => {}
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
            "No pair fits {}: it falls into several parts, or a face has lost its edges. Saw or shave it.",
            without.join(", ")
        ));
    }
    sheets.gap(3.0);
}
