//! Whether a document read from outside holds together: every number it names is there, every value can be.

use std::collections::HashSet;

use crate::document::{Job, PhotoId, Place, Template};
use crate::edit::{check_bevel, check_place};
use crate::error::JobError;

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
        if wall.layers.is_empty() {
            return Err(JobError::NoLayers(wall.name.clone()));
        }
        for (index, layer) in wall.layers.iter().enumerate() {
            let mm = layer.thickness.mm();
            if mm <= 0.0 || mm > 1000.0 {
                return Err(JobError::Thickness { wall: wall.name.clone(), layer: index + 1, mm });
            }
        }
        for id in wall.template.ticks.iter().map(|t| t.id.0).chain(wall.template.edges.iter().map(|e| e.id.0))
        {
            once(&mut ids, id)?;
        }
        template(&wall.template, &photos)?;
    }
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

fn template(t: &Template, photos: &HashSet<PhotoId>) -> Result<(), JobError> {
    for tick in &t.ticks {
        check_place(&tick.place)?;
        match &tick.place {
            Place::Pixel { photo, .. } if !seen(t, *photo) => {
                return Err(damaged(format!(
                    "tick {} was clicked in photo {}, which this wall has not",
                    tick.id.0, photo.0
                )));
            }
            Place::Typed { sd, .. } if *sd < 0.0 => {
                return Err(damaged(format!("tick {} has an uncertainty below nothing", tick.id.0)));
            }
            _ => {}
        }
    }
    let mm = |length: coldwright_geometry::Length| length.mm();
    if !(0.0..=100.0).contains(&mm(t.stick)) {
        return Err(JobError::Stick { mm: mm(t.stick) });
    }
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

fn seen(t: &Template, photo: PhotoId) -> bool {
    t.sightings.iter().flat_map(|s| &s.photos).any(|s| s.photo == photo)
}

fn damaged(what: String) -> JobError {
    JobError::Damaged(what)
}
