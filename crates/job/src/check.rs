//! Whether a document read from outside holds together: every number it names is there, every value can be.

use std::collections::HashSet;

use crate::document::{Job, PhotoId};

use crate::edit_shop::{check_angle, check_cutting, check_opening, check_seams, check_stock};
use crate::edit_taped::{check_again, check_distance, check_rectangle, check_sketch, check_taped};
use crate::edit_wall::{check_bevel, check_layers, check_place};
use crate::error::JobError;
use crate::further::MOST_FURTHER;
use crate::hole::Hole;
use crate::lining::Lining;
use crate::template::{Place, Template};

/// Checks a document that came from outside.
///
/// # Errors
/// [`JobError::Damaged`], naming what does not hold.
pub(crate) fn sound(job: &Job) -> Result<(), JobError> {
    let mut ids = HashSet::new();
    let mut names = HashSet::new();
    let photos: HashSet<PhotoId> = job.photos.iter().map(|p| p.id).collect();
    let once = |ids: &mut HashSet<u32>, id: u32| {
        if ids.insert(id) { Ok(()) } else { Err(damaged(format!("number {id} is used twice"))) }
    };
    for photo in &job.photos {
        once(&mut ids, photo.id.0)?;
    }
    for wall in &job.walls {
        once(&mut ids, wall.id.0)?;
        if !names.insert(wall.name.to_lowercase()) {
            return Err(JobError::WallNameTaken(wall.name.clone()));
        }
        check_layers(&wall.layers, &wall.name)?;
        for t in wall.templates() {
            for id in t.ticks.iter().map(|t| t.id.0).chain(t.edges.iter().map(|e| e.id.0)) {
                once(&mut ids, id)?;
            }
            template(t, &photos)?;
        }
        if wall.further.len() > MOST_FURTHER {
            return Err(damaged(format!("{} has {} templates", wall.name, wall.further.len() + 1)));
        }
        wall.further.iter().try_for_each(|f| f.check(&wall.name))?;
        wall.liner.as_ref().map_or(Ok(()), Lining::check)?;
        let edge = |id| wall.template.edge(id).is_some();
        if wall.liner.iter().flat_map(|l| &l.edges).any(|e| !edge(e.0)) {
            return Err(damaged(format!("the liner of {} names an edge that is not there", wall.name)));
        }
        wall.lid.as_ref().map_or(Ok(()), |l| l.check(&wall.name))?;
        wall.hollow.as_ref().map_or(Ok(()), |h| h.check(&wall.name))?;
        wall.fitted.iter().try_for_each(|f| f.check(wall))?;
    }
    shop(job, &mut ids)?;
    if job.next_id > u32::MAX / 2 {
        return Err(damaged(format!("next_id {} leaves no numbers", job.next_id)));
    }
    match ids.iter().max() {
        Some(highest) if *highest >= job.next_id => {
            Err(damaged(format!("next_id {} is already used", job.next_id)))
        }
        _ => Ok(()),
    }
}

fn shop(job: &Job, ids: &mut HashSet<u32>) -> Result<(), JobError> {
    let mut joined = HashSet::new();
    for joint in &job.joints {
        if !ids.insert(joint.id.0) {
            return Err(damaged(format!("number {} is used twice", joint.id.0)));
        }
        for at in [joint.a, joint.b] {
            if job.wall(at.wall).and_then(|w| w.template.edge(at.edge)).is_none() {
                return Err(damaged(format!("joint {} names an edge that is not there", joint.id.0)));
            }
            if !joined.insert(at) {
                return Err(damaged(format!("an edge of joint {} is joined twice", joint.id.0)));
            }
        }
        joint.degrees.map_or(Ok(()), check_angle)?;
        if joint.a.wall == joint.b.wall {
            return Err(damaged(format!("joint {} joins a wall to itself", joint.id.0)));
        }
    }
    job.opening.as_ref().map_or(Ok(()), |o| check_opening(job, o))?;
    for one in &job.compartments {
        one.opening.as_ref().map_or(Ok(()), |o| check_opening(job, o))?;
        if one.back == one.front || [one.back, one.front].iter().any(|w| job.wall(*w).is_none()) {
            return Err(damaged(format!("the compartment {} names a wall that is not there", one.name)));
        }
    }
    check_cutting(&job.cutting)?;
    check_stock(&job.stock)?;
    job.seams.iter().try_for_each(check_seams)?;
    let sound = |p: &crate::workshop::KeptPlace| {
        p.turn_deg.is_finite() && p.at.is_finite() && p.at.to_vec2().hypot() < 1e6
    };
    if job.layout.iter().flat_map(|l| &l.places).all(sound) {
        Ok(())
    } else {
        Err(damaged("a piece on a sheet lies nowhere".to_owned()))
    }
}

fn template(t: &Template, photos: &HashSet<PhotoId>) -> Result<(), JobError> {
    for tick in &t.ticks {
        check_place(&tick.place)?;
        match &tick.place {
            Place::Pixel { photo, .. } if !t.shows(*photo) => {
                return Err(damaged(format!(
                    "tick {} was clicked in photo {}, which this wall has not",
                    tick.id.0, photo.0
                )));
            }
            Place::Typed { sd, .. } if *sd < 0.0 => {
                return Err(damaged(format!("tick {} has an uncertainty below nothing", tick.id.0)));
            }
            Place::Taped { point } if t.taped.is_none() => {
                return Err(damaged(format!(
                    "tick {} is point {point} of a table that is not there",
                    tick.id.0
                )));
            }
            _ => {}
        }
    }
    t.taped.as_ref().map_or(Ok(()), check_taped)?;
    t.distances.iter().try_for_each(|d| check_distance(t, d))?;
    t.again.iter().try_for_each(|a| check_again(t, a))?;
    t.rectangle.as_ref().map_or(Ok(()), |r| check_rectangle(t, r))?;
    t.sketch.as_ref().map_or(Ok(()), |s| check_sketch(t, s))?;
    let mm = |length: coldwright_geometry::Length| length.mm();
    if !(0.0..=100.0).contains(&mm(t.stick)) {
        return Err(JobError::Stick { mm: mm(t.stick) });
    }
    t.holes.iter().try_for_each(Hole::check)?;
    for edge in &t.edges {
        if !(0.0..=200.0).contains(&mm(edge.gap)) {
            return Err(JobError::Gap { mm: mm(edge.gap) });
        }
        if !(0.0..=2.0).contains(&mm(edge.smoothing)) {
            return Err(JobError::Smoothing { mm: mm(edge.smoothing) });
        }
        check_bevel(&edge.bevel, &edge.name)?;
        if edge.ticks.is_empty() {
            return Err(damaged(format!("edge {} has no ticks", edge.name)));
        }
        if let Some(lost) = edge.ticks.iter().find(|k| t.tick(**k).is_none()) {
            return Err(damaged(format!("edge {} names tick {}, which is not there", edge.name, lost.0)));
        }
    }
    if t.base.is_some_and(|b| t.edge(b).is_none()) {
        return Err(damaged("the bottom edge is not there".to_owned()));
    }
    for sighting in t.sightings.iter().flat_map(|s| &s.photos) {
        if !photos.contains(&sighting.photo) {
            return Err(damaged(format!("photo {} is not there", sighting.photo.0)));
        }
        for crossing in sighting.cards.iter().flat_map(|c| &c.crossings) {
            let finite =
                crossing.px.is_finite() && crossing.card_mm.is_finite() && crossing.sd_px.is_finite();
            if !finite || crossing.sd_px <= 0.0 {
                return Err(damaged("a card's crossing is not a place".to_owned()));
            }
        }
    }
    Ok(())
}

fn damaged(what: String) -> JobError {
    JobError::Damaged(what)
}
