//! The liner panel of a wall: a last layer of another stock, glued on the inner face, its edges beaded with a fillet.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::fitted::{AsFitted, TrimStation, Trims};
use crate::layers::{depth, face, layer, starts};
use crate::loft::{Cut, Loft};
use crate::{Bevel, GeometryError, Layer, Ring, Side, WallShape};

/// What the panel meets at an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum LinerEdge {
    /// The neighbour's panel, which runs past: this one stops at its face.
    #[default]
    StopsShort,
    /// The neighbour's panel, which stops on this one: this one goes to the foam.
    RunsPast,
    /// No panel, and no fillet: a rim, or the edge of an opening.
    Free,
}

/// A box's liner: the same sheet, bond line and fillet on all its walls.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Liner {
    /// Thickness of the sheet, mm, more than 0, at most 100.
    pub sheet: f64,
    /// Thickness of the bond line between foam and sheet, mm, 0..=100.
    pub bond: f64,
    /// Radius of the fillet in the inside corners, mm, 0..=100; 0 for none.
    pub fillet: f64,
    /// Edges by id and what the panel meets there; edges not named stop short.
    pub edges: Vec<(u32, LinerEdge)>,
}

/// The liner panel of one wall.
#[derive(Debug, Clone, PartialEq)]
pub struct LinerPanel {
    /// The panel, numbered after the last layer of foam, from the bond line to its face in the box. It is thin and cut square:
    /// `fits` is the line to cut, at an edge that stops short (sheet + bond) ÷ cos(bevel) inside the foam's surface there.
    pub panel: Layer,
    /// The flat of its face left between the fillets, seen from inside the box.
    pub clear: Vec<Ring>,
    /// Length of its fillets, mm. A corner between two walls is counted with both.
    pub fillet_length: f64,
    /// Filler in these fillets, mm³: in a corner of angle θ and to radius r an area of r²·(cot(θ/2) − (π − θ)/2), at a square
    /// corner r²·(1 − π/4). What meets where three walls do is not taken off.
    pub filler: f64,
}

/// Inside angle between the wall's inner face and the neighbour's at a bevel, radians.
fn inside_angle(bevel: f64) -> f64 {
    FRAC_PI_2 + bevel
}

/// The liner panel of a wall whose layers are as in [`crate::layers_spaced`].
///
/// # Errors
/// As [`crate::layers_spaced`]; [`GeometryError::BadLiner`] for a number out of its range or an edge the outline has not;
/// [`GeometryError::EmptyAtDepth`], naming the layer after the last, where nothing is left of the panel or its flat.
pub fn liner_panel(
    wall: &WallShape,
    spaces: &[f64],
    fitted: &[AsFitted],
    liner: &Liner,
) -> Result<LinerPanel, GeometryError> {
    crate::layers::check(&wall.thicknesses)?;
    crate::fitted::check(wall, fitted)?;
    starts(&wall.thicknesses, spaces)?;
    check(wall, liner)?;
    let total = depth(&wall.thicknesses, spaces);
    let z0 = wall.template_depth.from_outer(total);
    let (from, number) = (total + liner.bond, wall.thicknesses.len() + 1);
    let to = from + liner.sheet;
    let loft = |back: &dyn Fn(LinerEdge, f64) -> f64| {
        Loft::trimmed(&wall.outline, z0, (from, to), |side| {
            let meets = liner.meets(side.edge.id);
            Trims::of(fitted, side.edge.id, number).and(along(&side.edge.bevel, |b| back(meets, b)))
        })
    };
    let taken = |bevel: f64| (liner.sheet + liner.bond) / bevel.cos();
    let shape = loft(&|meets, bevel| if meets == LinerEdge::StopsShort { taken(bevel) } else { 0.0 })?;
    let panel = layer(&shape, number, (from, &face(&shape, from, number)?), (to, &face(&shape, to, number)?));
    // The corner line between the two panels' faces.
    let corner = loft(&|meets, bevel| if meets == LinerEdge::Free { 0.0 } else { taken(bevel) })?;
    let at_corner = face(&corner, to, number)?;
    let (fillet_length, filler) = fillets(wall.outline.sides(), &corner, &at_corner, to, liner);
    let flat = loft(&|meets, bevel| match meets {
        LinerEdge::Free => 0.0,
        _ => taken(bevel) + liner.fillet / (0.5 * inside_angle(bevel)).tan(),
    })?;
    Ok(LinerPanel { panel, clear: face(&flat, to, number)?.rings, fillet_length, filler })
}

impl Liner {
    fn meets(&self, edge: u32) -> LinerEdge {
        self.edges.iter().find(|e| e.0 == edge).map_or_else(LinerEdge::default, |e| e.1)
    }
}

fn check(wall: &WallShape, liner: &Liner) -> Result<(), GeometryError> {
    let bad = |what: String| Err(GeometryError::BadLiner { what });
    for (what, mm) in [("sheet", liner.sheet), ("bond", liner.bond), ("fillet", liner.fillet)] {
        let none = what == "sheet" && mm <= 0.0;
        if none || !(0.0..=100.0).contains(&mm) {
            return bad(format!("has a {what} of {mm} mm"));
        }
    }
    for (i, (edge, _)) in liner.edges.iter().enumerate() {
        if !wall.outline.sides().iter().any(|s| s.edge.id == *edge) {
            return bad(format!("names edge {edge}, which the outline has not"));
        }
        if liner.edges.iter().take(i).any(|e| e.0 == *edge) {
            return bad(format!("names edge {edge} twice"));
        }
    }
    Ok(())
}

/// What a function of the bevel takes off along an edge. Between stations of a changing bevel it is taken at so many places
/// that the straight runs between are right to a few micrometres.
fn along(bevel: &Bevel, back: impl Fn(f64) -> f64) -> Vec<TrimStation> {
    /// Places between two stations: at 30° of change and 30 mm off the straight runs err by 0.01 mm.
    const BETWEEN: u32 = 16;
    if bevel.is_constant() {
        return vec![TrimStation { at: 0.0, trim: back(bevel.at(0.0)) }];
    }
    let stations = bevel.stations();
    let place = |at: f64| TrimStation { at, trim: back(bevel.at(at)) };
    let mut out: Vec<TrimStation> = stations
        .windows(2)
        .flat_map(|w| {
            (0..BETWEEN).map(move |k| w[0].at + (w[1].at - w[0].at) * f64::from(k) / f64::from(BETWEEN))
        })
        .map(place)
        .collect();
    out.extend(stations.last().map(|s| place(s.at)));
    out
}

/// Length of all fillets and the filler in them.
fn fillets(sides: &[Side], corner: &Loft, cut: &Cut, z: f64, liner: &Liner) -> (f64, f64) {
    /// Pieces of a side summed up; the bevel changes little along one.
    const PIECES: u32 = 64;
    let (mut length, mut filler) = (0.0, 0.0);
    if liner.fillet <= 0.0 {
        return (length, filler);
    }
    for (i, (side, mover)) in sides.iter().zip(&corner.sides).enumerate() {
        if cut.kept[i].is_none() || liner.meets(side.edge.id) == LinerEdge::Free {
            continue;
        }
        let (lo, hi) = cut.spans[i];
        let at = |k: f64| lo + (hi - lo) * k / f64::from(PIECES);
        for k in 0..PIECES {
            let k = f64::from(k);
            let (a, b) = (mover.moved(at(k), corner.dz(z)).0, mover.moved(at(k + 1.0), corner.dz(z)).0);
            let theta = inside_angle(mover.angle(at(k + 0.5)));
            let area = liner.fillet.powi(2) * (1.0 / (0.5 * theta).tan() - 0.5 * (PI - theta));
            length += a.distance(b);
            filler += a.distance(b) * area;
        }
    }
    (length, filler)
}
