//! Tables of layers and of pieces.

use coldwright_export::Table;
use coldwright_geometry::{Layer, Rect, Ring};
use coldwright_job::{CutStyle, Job, Wall};

use crate::faces::faces;
use crate::make::Walled;
use crate::stations::varies;
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
                wording::length(job, foam.to - foam.from),
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

/// One row a piece: what to cut, from what, how large, and where its file is.
pub(crate) fn cut_list(job: &Job, walls: &[Walled<'_>], stems: &[String]) -> Table {
    let mut table = Table::new([
        "piece",
        "how many",
        "material",
        "thickness",
        "width",
        "height",
        "width (mm)",
        "height (mm)",
        "face up",
        "cut",
        "bevels",
        "cut file",
    ]);
    for (w, stem) in walls.iter().zip(stems) {
        let name = wording::wall_name(job, w.wall);
        for foam in &w.set.layers {
            for (mark, size) in pieces(w.wall, foam, &name) {
                let bevels =
                    if w.wall.cut == CutStyle::Bevelled { bevels(w, foam) } else { "square".to_owned() };
                table.row([
                    mark,
                    "1".to_owned(),
                    material(w.wall, foam),
                    wording::length(job, foam.to - foam.from),
                    wording::length(job, size.width()),
                    wording::length(job, size.height()),
                    format!("{:.1}", size.width()),
                    format!("{:.1}", size.height()),
                    Face::Box.side().to_owned(),
                    wording::cut_style(w.wall.cut).to_owned(),
                    bevels,
                    format!("{stem}-{}", foam.number),
                ]);
            }
        }
    }
    table
}

/// Marks and smallest upright rectangles round both faces of the pieces of a layer.
pub(crate) fn pieces(wall: &Wall, foam: &Layer, name: &str) -> Vec<(String, Rect)> {
    let lines = faces(foam, wall.cut);
    let many = lines.up.len() > 1;
    lines
        .up
        .iter()
        .enumerate()
        .map(|(part, ring)| {
            let both = lines.down.into_iter().flatten().filter(|other| meet(ring, other));
            let round = both.map(Ring::bounds).fold(ring.bounds(), |a, b| a.union(b));
            (wording::mark(name, foam.number, many.then_some(part)), round)
        })
        .collect()
}

/// Whether two faces' rings belong to one piece: a point of one lies in the other.
fn meet(a: &Ring, b: &Ring) -> bool {
    a.outer.iter().any(|p| b.contains(*p))
        || b.outer.iter().any(|p| a.contains(*p))
        || a.bounds().contains(b.bounds().center())
}

pub(crate) fn material(wall: &Wall, foam: &Layer) -> String {
    wall.layers.get(foam.number - 1).map_or_else(String::new, |stock| stock.material.trim().to_owned())
}

/// "foot 8.0° closed; back 22.0° open to 9.0° open to 4.0° closed", edge by edge, as far as the layer has them.
pub(crate) fn bevels(w: &Walled<'_>, foam: &Layer) -> String {
    let Some(outline) = w.plan.outline.as_deref() else { return String::new() };
    let edges = outline.sides().iter().filter_map(|side| {
        // A changing bevel may have no mark of its own on a layer; a constant one without a mark has lost its edge.
        let there = varies(side) || foam.bevels.iter().any(|m| m.edge == side.edge.id);
        let mut words: Vec<String> =
            side.edge.bevel.stations().iter().map(|s| wording::lean(s.angle)).collect();
        words.dedup();
        there.then(|| format!("{} {}", side.edge.name, words.join(" to ")))
    });
    edges.collect::<Vec<_>>().join("; ")
}
