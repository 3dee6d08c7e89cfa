//! What to buy: sheets, tape, film, glue, foam to fill with.

use std::f64::consts::PI;

use coldwright_geometry::{LayerSet, Length};

use crate::document::{Job, Units};
use crate::enough::{Enough, enough};
use crate::filling::{LIFT_MM, filling};
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

impl Purchase {
    /// The amount in the unit a person of that job buys by, rounded up: the number and its unit; pieces have none.
    ///
    /// 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959).
    pub fn said(&self, units: Units) -> (String, &'static str) {
        const FOOT: f64 = 0.3048;
        let up = |v: f64, step: f64, decimals: usize| {
            let rounded = (v / step - 1e-9).ceil().max(0.0) * step;
            format!("{rounded:.decimals$}")
        };
        let v = self.amount;
        let cubic = |per: f64| v / 1000.0 / per.powi(3);
        match (units, self.unit) {
            (_, Quantity::Pieces) => (format!("{v:.0}"), ""),
            (Units::Millimetres, Quantity::Metres) => (up(v, 1.0, 0), "m"),
            (Units::Millimetres, Quantity::SquareMetres) => (up(v, 0.1, 1), "m²"),
            (Units::Millimetres, Quantity::Litres) if v < 1.0 => (up(v, 0.01, 2), "litres"),
            (Units::Millimetres, Quantity::Litres) => (up(v, 0.1, 1), "litres"),
            (Units::Inches, Quantity::Metres) => (up(v / FOOT, 1.0, 0), "ft"),
            (Units::Inches, Quantity::SquareMetres) => (up(v / FOOT.powi(2), 1.0, 0), "sq ft"),
            (Units::Inches, Quantity::Litres) if v < 2.8 => (up(cubic(FOOT / 12.0), 1.0, 0), "cu in"),
            (Units::Inches, Quantity::Litres) => (up(cubic(FOOT), 0.1, 1), "cu ft"),
        }
    }

    /// Number and unit in one.
    pub fn amount_words(&self, units: Units) -> String {
        let (number, unit) = self.said(units);
        if unit.is_empty() { number } else { format!("{number} {unit}") }
    }
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
    // A seam that could not be cut parts nothing and takes no tape.
    let parted =
        |wall, layer| plan.pieces.iter().any(|p| (p.id.wall, p.id.layer) == (wall, layer) && p.parts > 1);
    let cut = plan.seams.iter().filter(|s| parted(s.wall, s.layer));
    let seams: f64 = cut.flat_map(|s| &s.seams).map(|s| s.from.distance(s.to)).sum();
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

    let filler = filling(job, plan);
    let (litres, can) = (filler.volume.total() / 1e6, f64::from(job.cutting.can_litres.max(1)));
    // To a tenth of a litre, or whole cubic inches.
    let said = |mm3: f64| match job.units {
        Units::Millimetres => format!("{:.1} litres", mm3 / 1e6),
        Units::Inches => format!("{:.0} cu in", mm3 / 25.4_f64.powi(3)),
    };
    let hollow = filler.volume.hollow;
    let behind = if hollow > 0.0 { format!(", the hollow behind {}", said(hollow)) } else { String::new() };
    add(
        "Filling foam, set volume",
        round(litres, 0.1),
        Quantity::Litres,
        format!(
            "gaps {}, wedges {}{behind}; {} of {can:.0} litres stated yield, in lifts of at most {}",
            said(filler.volume.gaps),
            said(filler.volume.wedges),
            cans(filler.cans),
            job.show_mm(LIFT_MM)
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
            format!("{} of corner, each filled to a radius of {}", job.show_mm(corners), job.show(fillet)),
        );
    }
    out
}

fn cans(n: u32) -> String {
    if n <= 1 { "one can".to_owned() } else { format!("{n} cans") }
}

/// Sheets to buy: as laid out, and for spoiled pieces.
fn sheets(job: &Job, plan: &Plan) -> Vec<Purchase> {
    let Some(laid) = plan.laid.as_deref().filter(|l| l.is_sound()) else { return Vec::new() };
    let answers = enough(job, laid);
    let mut out = Vec::new();
    for sheet in job.stock.iter().filter(|s| s.owned.is_none()) {
        let of = |list: fn(&Enough) -> &[(String, u32)]| -> u32 {
            answers.iter().flat_map(list).filter(|(name, _)| *name == sheet.name).map(|(_, n)| *n).sum()
        };
        let (used, spare) = (of(|e| &e.buy), of(|e| &e.spare));
        if used + spare == 0 {
            continue;
        }
        let per_cent = job.cutting.spare;
        out.push(Purchase {
            what: format!("{}, {} {}", sheet.name, sheet.material, job.show(sheet.thickness)),
            amount: f64::from(used + spare),
            unit: Quantity::Pieces,
            because: match (used, spare) {
                (0, _) => format!("for {per_cent} % of spoiled pieces: the sheets owned do for the others"),
                (used, 0) => {
                    format!("{used} as laid out; the off-cuts cover {per_cent} % for spoiled pieces")
                }
                (used, n) => format!("{used} as laid out, {n} more for {per_cent} % of spoiled pieces"),
            },
        });
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_said_in_the_units_of_the_job() {
        let of = |amount, unit| Purchase { what: String::new(), amount, unit, because: String::new() };
        for (units, amount_of, said) in [
            (Units::Millimetres, of(2.0, Quantity::Pieces), "2"),
            (Units::Millimetres, of(14.0, Quantity::Metres), "14 m"),
            (Units::Millimetres, of(0.17, Quantity::Litres), "0.17 litres"),
            // 14 m are 45.93 ft; 1 m² is 10.76 sq ft; 28.317 litres are a cubic foot; 0.17 litres are 10.4 cu in.
            (Units::Inches, of(14.0, Quantity::Metres), "46 ft"),
            (Units::Inches, of(1.0, Quantity::SquareMetres), "11 sq ft"),
            (Units::Inches, of(28.4, Quantity::Litres), "1.1 cu ft"),
            (Units::Inches, of(0.17, Quantity::Litres), "11 cu in"),
        ] {
            assert_eq!(amount_of.amount_words(units), said);
        }
    }
}
