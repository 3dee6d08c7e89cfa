//! `coldwright pieces`: every piece, whether it passes the opening, and the order they go in.

use coldwright_job::{Job, Passes, PlannedPiece, Seam, SeamStyle, plan};
use serde_json::{Value, json};

use super::common::OfJob;
use crate::error::AppError;
use crate::say;

pub(super) fn run(words: &OfJob) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let plan = plan(&job);
    let order = plan.fitting_order();
    if words.json {
        let seams = plan.seams.iter().map(|s| {
            let wall = job.wall(s.wall).map(|w| w.name.as_str());
            json!({"wall": wall, "layer": s.layer, "by_hand": s.by_hand, "seams": s.seams.iter().map(seam).collect::<Vec<_>>()})
        });
        say::json(&json!({
            "job": job.name,
            "pieces_in_fitting_order": order.iter().map(|p| piece(p)).collect::<Vec<_>>(),
            "seams": seams.collect::<Vec<_>>(),
        }));
        return Ok(());
    }
    for (place, p) in order.iter().enumerate() {
        let passes = p.passes.map(|p| format!(", {}", passes_words(&job, p))).unwrap_or_default();
        let size = size(p);
        let show = |mm: f64| job.show_mm(mm);
        say::line(&format!(
            "{:>3}  {}: {} × {}, {} {}{passes}",
            place + 1,
            p.mark,
            show(size.0),
            show(size.1),
            show(p.thickness),
            p.material
        ));
    }
    if order.is_empty() {
        say::line("This job has no layers to cut yet.");
    }
    Ok(())
}

/// Sides of the upright rectangle round what is cut, mm.
fn size(p: &PlannedPiece) -> (f64, f64) {
    let bounds = coldwright_geometry::bounds(&p.outline);
    (bounds.width(), bounds.height())
}

fn passes_words(job: &Job, passes: Passes) -> String {
    match passes {
        Passes::Through { .. } => passes
            .spare(job)
            .map_or_else(|| "just passes".to_owned(), |spare| format!("passes with {spare} to spare")),
        Passes::NoRoom { needs } => format!("passes, needs {} behind to turn", job.show_mm(needs)),
        Passes::MayThread { short } => format!("{} too wide, may thread through", job.show_mm(short)),
        Passes::Stuck { short } => format!("does not pass, {} too wide", job.show_mm(short)),
    }
}

fn piece(p: &PlannedPiece) -> Value {
    let (width, height) = size(p);
    let passes = p.passes.map(|passes| match passes {
        Passes::Through { spare } => json!({"passes": true, "clearance_mm": spare}),
        Passes::NoRoom { needs } => json!({"passes": false, "depth_needed_mm": needs}),
        Passes::MayThread { short } => json!({"passes": false, "clearance_mm": -short, "may_thread": true}),
        Passes::Stuck { short } => json!({"passes": false, "clearance_mm": -short, "may_thread": false}),
    });
    json!({
        "mark": p.mark,
        "layer": p.id.layer,
        "part": p.id.part,
        "parts": p.parts,
        "thickness_mm": p.thickness,
        "material": p.material,
        "width_mm": width,
        "height_mm": height,
        "area_outer_mm2": p.layer.area_outer,
        "area_inner_mm2": p.layer.area_inner,
        "volume_mm3": p.layer.volume,
        "outline_mm": p.outline.iter().map(|q| [q.x, q.y]).collect::<Vec<_>>(),
        "opening": passes,
    })
}

fn seam(s: &Seam) -> Value {
    let lap = match s.style {
        SeamStyle::Butt => None,
        SeamStyle::HalfLap(width) => Some(width.mm()),
    };
    json!({"from_mm": [s.from.x, s.from.y], "to_mm": [s.to.x, s.to.y], "half_lap_mm": lap})
}
