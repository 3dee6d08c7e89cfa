//! Edits of what lies beyond one wall: joints, opening, stock, seams, order, layout.

use std::collections::HashSet;

use coldwright_geometry::Length;

use crate::corners::{EdgeOf, Joint, JointId, JointKind};
use crate::document::{Job, Wall};
use crate::edit::{Edit, said};
use crate::error::JobError;
use crate::workshop::{Cutting, LayerSeams, Opening, OpeningShape, Seam, SeamStyle, SheetShape, StockSheet};

/// Applies the edits of this file; the others are no business of it.
pub(crate) fn apply(job: &mut Job, edit: &Edit, fresh: u32) -> Result<(), JobError> {
    match edit {
        Edit::Join { a, b, kind } => join(job, *a, *b, *kind, fresh)?,
        Edit::Unjoin(id) => {
            job.joint(*id).ok_or(JobError::NoJoint(*id))?;
            job.joints.retain(|j| j.id != *id);
        }
        Edit::JointKind(id, kind) => {
            job.joints.iter_mut().find(|j| j.id == *id).ok_or(JobError::NoJoint(*id))?.kind = *kind;
        }
        Edit::JointAngle(id, degrees) => {
            degrees.map_or(Ok(()), check_angle)?;
            job.joints.iter_mut().find(|j| j.id == *id).ok_or(JobError::NoJoint(*id))?.degrees = *degrees;
        }
        Edit::SetOpening(opening) => {
            opening.as_ref().map_or(Ok(()), |o| check_opening(job, o))?;
            job.opening = *opening;
        }
        Edit::SetCutting(cutting) => {
            check_cutting(cutting)?;
            job.cutting = *cutting;
        }
        Edit::SetStock(stock) => {
            let mut stock = stock.clone();
            for sheet in &mut stock {
                sheet.name = said(&sheet.name, "the sheet")?;
            }
            check_stock(&stock)?;
            job.stock = stock;
        }
        Edit::SetSeams { wall, layer, seams } => {
            job.wall(*wall).ok_or(JobError::NoWall(*wall))?;
            job.seams.retain(|s| (s.wall, s.layer) != (*wall, *layer));
            if let Some(seams) = seams {
                let kept = LayerSeams { wall: *wall, layer: *layer, seams: seams.clone() };
                check_seams(&kept)?;
                job.seams.push(kept);
                job.seams.sort_by_key(|s| (s.wall, s.layer));
            }
        }
        Edit::SetOrder(order) => job.order.clone_from(order),
        Edit::KeepLayout(layout) => job.layout.clone_from(layout),
        _ => {}
    }
    Ok(())
}

fn join(job: &mut Job, a: EdgeOf, b: EdgeOf, kind: JointKind, fresh: u32) -> Result<(), JobError> {
    for at in [a, b] {
        let wall = job.wall(at.wall).ok_or(JobError::NoWall(at.wall))?;
        let edge = wall.template.edge(at.edge).ok_or(JobError::NoEdge(at.edge))?;
        if job.joint_at(at).is_some() {
            return Err(JobError::JoinedAlready { wall: wall.name.clone(), edge: edge.name.clone() });
        }
    }
    if a.wall == b.wall {
        let wall = job.wall(a.wall).map(|w| w.name.clone()).unwrap_or_default();
        return Err(JobError::JoinedToItself(wall));
    }
    job.joints.push(Joint { id: JointId(fresh), a, b, kind, degrees: None });
    Ok(())
}

pub(crate) fn check_angle(degrees: f64) -> Result<(), JobError> {
    if (15.0..=345.0).contains(&degrees) { Ok(()) } else { Err(JobError::JointAngle { degrees }) }
}

pub(crate) fn check_opening(job: &Job, opening: &Opening) -> Result<(), JobError> {
    if let Some(place) = opening.place {
        job.wall(place.wall).ok_or(JobError::NoWall(place.wall))?;
    }
    let sides = match opening.shape {
        OpeningShape::Rectangle { width, height, corner } => {
            let most = width.min(height).mm() / 2.0;
            if !(0.0..=most + 1e-9).contains(&corner.mm()) {
                return Err(JobError::OpeningCorner { mm: corner.mm(), most });
            }
            vec![width, height]
        }
        OpeningShape::Round { diameter } => vec![diameter],
    };
    for side in sides.into_iter().chain(opening.behind) {
        if !(side.mm() > 0.0 && side.mm() <= 10_000.0) {
            return Err(JobError::OpeningSize { mm: side.mm() });
        }
    }
    Ok(())
}

pub(crate) fn check_cutting(c: &Cutting) -> Result<(), JobError> {
    let within = |what: &'static str, length: Length, most: f64| {
        if (0.0..=most).contains(&length.mm()) {
            Ok(())
        } else {
            Err(JobError::Cutting { what, mm: length.mm(), most })
        }
    };
    within("the width of the cut", c.kerf, 50.0)?;
    within("the distance between pieces", c.apart, 200.0)?;
    within("the margin of the sheet", c.margin, 500.0)?;
    within("the width of the blade", c.blade, 100.0)?;
    within("the distance of seams", c.stagger, 1_000.0)?;
    within("the distance of seams from corners", c.clear, 1_000.0)?;
    within("the radius of the fillet", c.fillet, 200.0)?;
    if !(1..=10_000).contains(&c.can_litres) {
        return Err(JobError::Can(c.can_litres));
    }
    if let Some(throat) = c.throat.filter(|t| !(t.mm() >= 50.0 && t.mm() <= 10_000.0)) {
        return Err(JobError::Throat { mm: throat.mm() });
    }
    if c.tilt.0 > 75 || c.tilt.1 > 75 {
        return Err(JobError::Tilt { degrees: c.tilt.0.max(c.tilt.1) });
    }
    if c.spare > 100 {
        return Err(JobError::Spare(c.spare));
    }
    Ok(())
}

pub(crate) fn check_stock(stock: &[StockSheet]) -> Result<(), JobError> {
    let mut names = HashSet::new();
    for sheet in stock {
        if !names.insert(sheet.name.to_lowercase()) {
            return Err(JobError::SheetNameTaken(sheet.name.clone()));
        }
        let bad = |why: &'static str| Err(JobError::Sheet { name: sheet.name.clone(), why });
        if !(sheet.thickness.mm() > 0.0 && sheet.thickness.mm() <= 1000.0) {
            return bad("needs a thickness above 0, up to 1000 mm");
        }
        match &sheet.shape {
            SheetShape::Rectangle { width, length } => {
                let fine = |l: &Length| (10.0..=20_000.0).contains(&l.mm());
                if !fine(width) || !fine(length) {
                    return bad("needs a width and a length between 10 mm and 20 m");
                }
            }
            SheetShape::Outline(ring) => {
                let near = |p: &kurbo::Point| p.is_finite() && p.to_vec2().hypot() < 1e5;
                if ring.len() < 3 || !ring.iter().all(near) {
                    return bad("needs an outline of three corners or more");
                }
                let what = format!("the sheet \"{}\"", sheet.name);
                coldwright_nesting::check_outline(ring, &what)
                    .map_err(|why| JobError::SheetOutline(why.to_string()))?;
            }
        }
    }
    Ok(())
}

pub(crate) fn check_seams(kept: &LayerSeams) -> Result<(), JobError> {
    let sound = |s: &Seam| {
        let ends = s.from.is_finite() && s.to.is_finite() && s.from.distance(s.to) > 1.0;
        let lap = match s.style {
            SeamStyle::Butt => true,
            SeamStyle::HalfLap(width) => width.mm() > 0.0 && width.mm() <= 200.0,
        };
        ends && lap && s.from.distance(s.to) < 1e5
    };
    if kept.seams.len() <= 50 && kept.seams.iter().all(sound) {
        Ok(())
    } else {
        Err(JobError::Seam { layer: kept.layer })
    }
}

/// Lets go of what names a wall, an edge or a layer that is no longer there.
pub(crate) fn tidy(job: &mut Job) {
    let edges: HashSet<EdgeOf> = job
        .walls
        .iter()
        .flat_map(|w| w.template.edges.iter().map(|e| EdgeOf { wall: w.id, edge: e.id }))
        .collect();
    job.joints.retain(|j| edges.contains(&j.a) && edges.contains(&j.b));
    let walls: HashSet<_> = job.walls.iter().map(|w| w.id).collect();
    job.compartments.retain(|c| walls.contains(&c.back) && walls.contains(&c.front));
    let others = job.compartments.iter_mut().map(|c| &mut c.opening);
    for opening in others.chain([&mut job.opening]).flatten() {
        opening.place = opening.place.filter(|place| walls.contains(&place.wall));
    }
    let layers = |wall| job.walls.iter().find(|w| w.id == wall).map_or(0, Wall::layer_count);
    let there = |wall, layer: u32| (1..=layers(wall)).contains(&(layer as usize));
    job.seams.retain(|s| there(s.wall, s.layer));
    job.order.retain(|p| there(p.wall, p.layer));
    for wall in &mut job.walls {
        let (layers, template) = (wall.layers.len(), &wall.template);
        wall.fitted.retain(|f| f.layer as usize <= layers && template.edge(f.edge).is_some());
        for further in &mut wall.further {
            further.begins = further.begins.filter(|b| further.template.edge(*b).is_some());
        }
        if let Some(liner) = &mut wall.liner {
            liner.edges.retain(|e| template.edge(e.0).is_some());
        }
    }
}
