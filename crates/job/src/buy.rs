//! What to buy: sheets, tape, film, glue, foam to fill with.

use std::f64::consts::PI;

use coldwright_geometry::{LayerSet, Length, signed_area};

use crate::document::{CutStyle, Job};
use crate::plan::Plan;

/// One row of the shopping list.
#[derive(Clone, Debug, PartialEq)]
pub struct Purchase {
    /// What it is.
    pub what: String,
    /// How much, rounded up to what a shop sells or a person measures.
    pub amount: f64,
    /// What the amount counts.
    pub unit: Quantity,
    /// How it was reckoned, one sentence without full stop.
    pub because: String,
}

/// What an amount counts.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Whole sheets, cans.
    Pieces,
    /// Metres.
    Metres,
    /// Square metres.
    SquareMetres,
    /// Litres.
    Litres,
}

/// Film laps over itself at its seams by about this share; common practice, no source.
const FILM_LAP: f64 = 1.10;

/// The shopping list of a job: what its sheets, seams, faces and gaps ask for.
///
/// Sheets come from the kept layout, and only where it still holds. The fillet's filler is its length times r²(1 − π/4): what a
/// round of radius r leaves of a square corner.
pub fn purchases(job: &Job, plan: &Plan) -> Vec<Purchase> {
    let mut out = sheets(job, plan);
    let sets: Vec<(&crate::document::Wall, &LayerSet)> =
        plan.walls.iter().filter_map(|w| Some((job.wall(w.id)?, w.layers.as_deref()?))).collect();
    if sets.is_empty() {
        return out;
    }
    let mut add = |what: &str, amount: f64, unit, because: String| {
        if amount > 0.0 {
            out.push(Purchase { what: what.to_owned(), amount, unit, because });
        }
    };
    let round = |v: f64, step: f64| (v / step - 1e-9).ceil() * step;

    let around: f64 = sets
        .iter()
        .flat_map(|(_, set)| &set.layers)
        .flat_map(|l| &l.inner.rings)
        .map(|r| r.outer.iter().zip(r.outer.iter().cycle().skip(1)).map(|(a, b)| a.distance(*b)).sum::<f64>())
        .sum();
    let seams: f64 = plan.seams.iter().flat_map(|s| &s.seams).map(|s| s.from.distance(s.to)).sum();
    add(
        "Foil tape",
        round((around / 2.0 + seams) / 1000.0, 1.0),
        Quantity::Metres,
        "the edges of every layer, each shared by two, and the seams".to_owned(),
    );

    let outside: f64 =
        sets.iter().filter_map(|(_, set)| set.layers.first()).map(|l| l.area_outer).sum::<f64>() / 1e6;
    add(
        "Vapour film, warm side",
        round(outside * FILM_LAP, 0.1),
        Quantity::SquareMetres,
        "the outer faces, and a tenth for laps".to_owned(),
    );

    let bonded: f64 = sets.iter().flat_map(|(_, set)| &set.layers).map(|l| l.area_outer).sum::<f64>() / 1e6;
    add(
        "Adhesive that does not eat the foam",
        round(bonded, 0.1),
        Quantity::SquareMetres,
        "one face of every layer; the maker's sheet says how far a can goes".to_owned(),
    );

    let wedge: f64 = sets
        .iter()
        .filter(|(wall, _)| wall.cut == CutStyle::SquareFits)
        .flat_map(|(_, set)| &set.layers)
        .map(|l| l.wedge)
        .sum();
    let gaps: f64 = sets.iter().map(|(wall, set)| gap_volume(wall, set)).sum();
    let litres = (wedge + gaps) / 1e6;
    let can = f64::from(job.cutting.can_litres.max(1));
    add(
        "Filling foam, set volume",
        round(litres, 0.1),
        Quantity::Litres,
        format!(
            "gaps {:.1} and wedges {:.1} litres; {} of {can:.0} litres stated yield, in lifts of at most {:.0} mm",
            gaps / 1e6,
            wedge / 1e6,
            cans((litres / can).ceil()),
            LIFT_MM
        ),
    );

    let inside: f64 =
        sets.iter().filter_map(|(_, set)| set.layers.last()).map(|l| l.area_inner).sum::<f64>() / 1e6;
    add("Liner", round(inside, 0.1), Quantity::SquareMetres, "the inner faces, without allowance".to_owned());
    let fillet = job.cutting.fillet;
    if fillet > Length::default() {
        let corners: f64 = sets
            .iter()
            .filter_map(|(_, set)| set.layers.last())
            .flat_map(|l| &l.inner.rings)
            .map(coldwright_geometry::Ring::perimeter)
            .sum::<f64>()
            / 2.0;
        let section = fillet.mm().powi(2) * (1.0 - PI / 4.0);
        add(
            "Fillet filler",
            round(corners * section / 1e6, 0.01),
            Quantity::Litres,
            format!("{:.1} m of corner, each filled to a radius of {}", corners / 1000.0, job.show(fillet)),
        );
    }
    out
}

/// The greatest depth of two-part foam poured at once, mm; common practice, no source: the maker's sheet comes first.
const LIFT_MM: f64 = 100.0;

fn cans(n: f64) -> String {
    if n <= 1.0 { "one can".to_owned() } else { format!("{n:.0} cans") }
}

/// Bonding foam along the edges with a gap, mm³.
fn gap_volume(wall: &crate::document::Wall, set: &LayerSet) -> f64 {
    let edges = &wall.template.edges;
    let length_of = |layer: &coldwright_geometry::Layer, edge: u32| {
        let marks: Vec<_> = layer.bevels.iter().filter(|m| m.edge == edge).map(|m| m.at).collect();
        marks.windows(2).map(|w| w[0].distance(w[1])).sum::<f64>()
    };
    edges
        .iter()
        .map(|e| {
            let gap = e.gap.mm();
            set.layers.iter().map(|l| gap * length_of(l, e.id.0) * (l.to - l.from)).sum::<f64>()
        })
        .sum()
}

fn sheets(job: &Job, plan: &Plan) -> Vec<Purchase> {
    let Some(laid) = plan.laid.as_deref().filter(|l| l.is_sound()) else { return Vec::new() };
    let mut out = Vec::new();
    for ((sheet, stock), used) in job.stock.iter().zip(&laid.asked.request.stock).zip(laid.used()) {
        if sheet.owned.is_some() || used == 0 {
            continue;
        }
        let area = signed_area(&stock.outline).abs();
        let pieces: f64 = laid
            .asked
            .request
            .pieces
            .iter()
            .filter(|p| p.stuff == stock.stuff)
            .map(|p| signed_area(&p.outline).abs())
            .sum();
        let wanted = pieces * f64::from(job.cutting.spare) / 100.0;
        let left: f64 = laid
            .offcuts
            .iter()
            .filter(|o| {
                laid.layout
                    .sheets
                    .get(o.sheet)
                    .is_some_and(|s| laid.asked.request.stock[s.stock].stuff == stock.stuff)
            })
            .map(|o| o.rect.area())
            .sum();
        let spare = ((wanted - left).max(0.0) / area - 1e-9).ceil().max(0.0);
        out.push(Purchase {
            what: format!("{}, {} {}", sheet.name, sheet.material, job.show(sheet.thickness)),
            amount: f64::from(used) + spare,
            unit: Quantity::Pieces,
            because: match spare as u32 {
                0 => format!(
                    "{used} as laid out; their off-cuts cover {} % for spoiled pieces",
                    job.cutting.spare
                ),
                n => format!("{used} as laid out, {n} more for {} % of spoiled pieces", job.cutting.spare),
            },
        });
    }
    out
}
