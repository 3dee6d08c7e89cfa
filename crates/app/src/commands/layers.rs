//! `coldwright layers`: every layer's depths, outlines, areas, bevels, wedge, gaps, and what the stated saw cannot do.

use coldwright_geometry::{BevelMark, Layer, Length, Proud, Ring, SawLimit, least_radius};
use coldwright_job::{
    Along, HollowLayer, HollowPlan, Job, Problem, Severity, TakenAt, Template, TemplatePlan, Wall, WallPlan,
    checks, lid_opening, plan, saw_limits,
};
use serde_json::{Value, json};

use super::common::OfJob;
use crate::error::AppError;
use crate::say;

pub(super) fn run(words: &OfJob) -> Result<(), AppError> {
    let job = super::open(&words.job)?;
    let plan = plan(&job);
    let problems = checks(&job, &plan);
    let stops: Vec<&str> =
        problems.iter().filter(|p| p.severity == Severity::Stop).map(|p| p.sentence.as_str()).collect();
    if plan.walls.iter().all(|w| w.layers.is_none()) {
        return Err(AppError::Spoiled(format!("no layers. {}", stops.join(" "))));
    }
    if words.json {
        let walls: Vec<Value> =
            job.walls.iter().zip(&plan.walls).map(|(wall, p)| as_json(&job, wall, p)).collect();
        let said: Vec<&str> = problems.iter().map(|p: &Problem| p.sentence.as_str()).collect();
        say::json(&json!({"job": job.name, "walls": walls, "problems": said}));
    } else {
        for (wall, p) in job.walls.iter().zip(&plan.walls) {
            in_words(&job, wall, p);
        }
    }
    if stops.is_empty() { Ok(()) } else { Err(AppError::Spoiled(stops.join(" "))) }
}

fn as_json(job: &Job, wall: &Wall, plan: &WallPlan) -> Value {
    let layers: Vec<&Layer> = plan.layers.iter().flat_map(|set| &set.layers).collect();
    let before = std::iter::once(0.0).chain(layers.iter().map(|l| l.to));
    let outlines = plan.outline.iter();
    let saw = job.cutting.saw();
    json!({
        "name": wall.name,
        "farthest_error_mm": plan.farthest_error,
        "cut_outs": outlines.flat_map(|o| o.cutouts().iter().zip(o.leans())).map(|(c, lean)| json!({
            "name": c.name,
            "ring_mm": c.ring.iter().map(|p| [p.x, p.y]).collect::<Vec<_>>(),
            "bevel_deg": c.bevel.to_degrees(),
            "lean": [lean.x, lean.y],
        })).collect::<Vec<_>>(),
        "templates": plan.templates.iter().zip(wall.templates()).map(|(p, t)| template_json(p, t)).collect::<Vec<_>>(),
        "edges_matched": plan.loft.iter().flat_map(|l| &l.matches).map(|row| {
            row.iter().zip(wall.templates()).map(|(id, t)| id.and_then(|id| t.edge(id)).map(|e| e.name.as_str())).collect::<Vec<_>>()
        }).collect::<Vec<_>>(),
        "expected_error_between_templates_mm": plan.loft.as_deref().map(|l| l.expected_error),
        "stepped_lid": wall.lid.as_ref().map(|l| json!({
            "ledges_mm": l.ledges.iter().map(|w| w.mm()).collect::<Vec<_>>(),
            "draft_deg": l.draft_deg,
            "clearance_mm": l.clearance.mm(),
            "opening_mm": plan.outline.as_deref().map(|o| lid_opening(wall, o).iter().map(|s| [s.0, s.1]).collect::<Vec<_>>()),
        })),
        "hollow": plan.hollow.as_deref().map(hollow_json),
        "liner": plan.liner.as_deref().map(|l| json!({
            "fillet_length_mm": l.fillet_length,
            "fillet_filler_mm3": l.filler,
            "flat_between_fillets": rings(&l.clear),
        })),
        "trimmed_while_fitting": wall.fitted.iter().map(|f| json!({
            "layer": f.layer,
            "edge": edge(wall, f.edge.0),
            "stations": f.trims.iter().map(|t| json!({"at": t.at, "trim_mm": t.trim.mm()})).collect::<Vec<_>>(),
        })).collect::<Vec<_>>(),
        "saw": {
            "tilt_deg": job.cutting.tilt.0,
            "tilt_back_deg": job.cutting.tilt.1,
            "throat_mm": job.cutting.throat.map(Length::mm),
            "blade_mm": saw.blade,
            "least_radius_mm": Some(least_radius(saw.blade)).filter(|r| r.is_finite()),
        },
        "layers": layers.iter().zip(before).map(|(l, z)| layer_json(wall, l, z, &saw_limits(job, plan, l))).collect::<Vec<_>>(),
    })
}

fn template_json(plan: &TemplatePlan, template: &Template) -> Value {
    let (depth, face) = match template.taken_at {
        TakenAt::FromOuter(l) => (l, "hull face"),
        TakenAt::FromInner(l) => (l, "box face"),
    };
    json!({
        "depth_mm": depth.mm(),
        "from": face,
        "farthest_error_mm": plan.farthest_error,
        "outline_mm": plan.outline.as_deref().map(|o| o.polyline(0.005).iter().map(|p| [p.x, p.y]).collect::<Vec<_>>()),
    })
}

fn hollow_json(h: &HollowPlan) -> Value {
    let layers = h.layers.iter().map(|l| match l {
        HollowLayer::Strips { strips, cuts } => json!({
            "strips": strips.iter().zip(cuts.iter().zip(cuts.iter().skip(1))).map(|(s, (a, b))| json!({
                "number": s.number,
                "straightedge_mm": [s.from, s.to],
                "flat_mm": [a, b],
                "width_mm": s.width,
                "gap_mm": s.gap,
                "bevels_deg": [s.bevels.0.to_degrees(), s.bevels.1.to_degrees()],
            })).collect::<Vec<_>>(),
        }),
        HollowLayer::Kerfs { depth, width, spacing, at, .. } => json!({
            "kerfs": {"count": at.len(), "depth_mm": depth, "width_mm": width, "spacing_mm": spacing, "at_flat_mm": at},
        }),
    });
    json!({
        "straightedge": if h.along == Along::Across { "across" } else { "up" },
        "from_mm": h.from,
        "deepest_mm": h.deepest.0,
        "deepest_at_mm": h.deepest.1,
        "tightest_radius_mm": h.tightest,
        "void_mm3": h.void,
        "void_before_first_flat_layer_mm3": h.before_flat,
        "first_layers": layers.collect::<Vec<_>>(),
    })
}

/// Name of an edge.
fn edge(wall: &Wall, id: u32) -> Option<&str> {
    wall.template.edges.iter().find(|e| e.id.0 == id).map(|e| e.name.as_str())
}

/// The steepest mark.
fn steepest(l: &Layer) -> Option<&BevelMark> {
    l.bevels.iter().max_by(|a, b| a.angle.abs().total_cmp(&b.angle.abs()))
}

/// Marks that leave a feather: beyond 45°, which itself, mitred on purpose, is none.
fn feathers(l: &Layer) -> impl Iterator<Item = &BevelMark> {
    l.bevels.iter().filter(|m| m.angle.abs() > std::f64::consts::FRAC_PI_4 + 1e-9)
}

fn limit_json(wall: &Wall, limit: &SawLimit) -> Value {
    match limit {
        SawLimit::Tilt { edge: id, angle, turned_over } => json!({
            "limit": "tilt", "edge": edge(wall, *id), "angle_deg": angle.to_degrees(), "box_face_up_does": turned_over,
        }),
        SawLimit::Throat { least } => json!({"limit": "throat", "narrowest_upright_mm": least}),
        SawLimit::Radius { radius, least } => {
            json!({"limit": "radius", "radius_mm": radius, "least_mm": Some(*least).filter(|r| r.is_finite())})
        }
    }
}

fn layer_json(wall: &Wall, l: &Layer, before: f64, limits: &[SawLimit]) -> Value {
    let name = |id: u32| edge(wall, id);
    json!({
        "number": l.number,
        "material": wall.material(l.number),
        "liner": l.number > wall.layers.len(),
        "from_mm": l.from,
        "space_before_mm": l.from - before,
        "to_mm": l.to,
        "outer": rings(&l.outer.rings),
        "inner": rings(&l.inner.rings),
        "cut_fits": rings(&l.fits),
        "cut_fills": rings(&l.fills),
        "area_outer_mm2": l.area_outer,
        "area_inner_mm2": l.area_inner,
        "volume_mm3": l.volume,
        "wedge_mm3": l.wedge,
        "excess_mm3": l.excess,
        "largest_gap_mm": l.largest_gap,
        "largest_gap_at_mm": [l.largest_gap_at.x, l.largest_gap_at.y],
        "steepest_bevel_deg": l.steepest_bevel.to_degrees(),
        "steepest_bevel_edge": steepest(l).and_then(|m| name(m.edge)),
        "feather_edges": feathers(l).map(|m| json!({
            "edge": name(m.edge), "at_mm": [m.at.x, m.at.y], "angle_deg": m.angle.to_degrees(),
        })).collect::<Vec<_>>(),
        "tightest_inside_radius_mm": l.tightest_inside_radius,
        "saw_cannot": limits.iter().map(|x| limit_json(wall, x)).collect::<Vec<_>>(),
        "bevels": l.bevels.iter().map(|b| json!({
            "edge": name(b.edge),
            "at_mm": [b.at.x, b.at.y],
            "outward": [b.outward.x, b.outward.y],
            "angle_deg": b.angle.to_degrees(),
            "proud": match b.proud { Proud::HullFace => "hull face", Proud::BoxFace => "box face", Proud::Square => "square" },
        })).collect::<Vec<_>>(),
    })
}

fn rings(rings: &[Ring]) -> Value {
    let line =
        |points: &[coldwright_geometry::Point]| points.iter().map(|p| json!([p.x, p.y])).collect::<Vec<_>>();
    rings
        .iter()
        .map(|r| json!({"outline_mm": line(&r.outer), "holes_mm": r.holes.iter().map(|h| line(h)).collect::<Vec<_>>()}))
        .collect()
}

fn in_words(job: &Job, wall: &Wall, plan: &WallPlan) {
    let Some(set) = &plan.layers else {
        say::line(&format!("{}: no layers yet", wall.name));
        return;
    };
    for l in &set.layers {
        let mm = |v: f64| Length::from_mm(v).map_or_else(|_| v.to_string(), |l| job.show(l));
        say::line(&format!(
            "{} {}: {} to {} behind the hull face; hull face {:.0} cm², box face {:.0} cm²; steepest bevel {:.1}°{}; cut square it leaves {:.0} cm³ to fill, the widest gap {}{}",
            wall.name,
            l.number,
            mm(l.from),
            mm(l.to),
            l.area_outer / 100.0,
            l.area_inner / 100.0,
            l.steepest_bevel.to_degrees(),
            steepest(l).and_then(|m| edge(wall, m.edge)).map_or_else(String::new, |e| format!(" ({e})")),
            l.wedge / 1000.0,
            mm(l.largest_gap),
            saw_limits(job, plan, l).iter().map(|x| limit_words(wall, x, mm)).collect::<String>(),
        ));
    }
}

fn limit_words(wall: &Wall, limit: &SawLimit, mm: impl Fn(f64) -> String) -> String {
    match limit {
        SawLimit::Tilt { edge: id, angle, turned_over } => {
            let way = if *turned_over { "cut it box face up" } else { "more than the saw tilts either way" };
            format!("; {} leans {:.1}°: {way}", edge(wall, *id).unwrap_or("an edge"), angle.to_degrees())
        }
        SawLimit::Throat { least } => format!("; {} wide, more than the saw's throat", mm(*least)),
        SawLimit::Radius { radius, least } if least.is_finite() => {
            format!("; bends in to {}, the blade turns {} at best", mm(*radius), mm(*least))
        }
        SawLimit::Radius { radius, .. } => {
            format!("; bends in to {}, tighter than so wide a blade turns", mm(*radius))
        }
    }
}
