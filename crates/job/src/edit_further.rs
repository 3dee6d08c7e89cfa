//! Edits of a wall's further templates.

use crate::document::{Job, Wall, WallId};
use crate::edit::{Edit, change};
use crate::edit_wall::WallEdit;
use crate::error::JobError;
use crate::further::{Further, MOST_FURTHER};

/// Gives a wall these further templates.
pub(crate) fn set(wall: &mut Wall, further: &[Further]) -> Result<(), JobError> {
    if further.len() > MOST_FURTHER {
        return Err(JobError::Further { wall: wall.name.clone(), why: "is one too many" });
    }
    further.iter().try_for_each(|f| f.check(&wall.name))?;
    wall.further = further.to_vec();
    Ok(())
}

/// Puts the further template in the first one's place for the time of one edit.
pub(crate) fn in_template(job: &mut Job, id: WallId, number: usize, edit: &Edit) -> Result<(), JobError> {
    let fits = match edit {
        Edit::Wall(wall, edit) => *wall == id && !matches!(edit, WallEdit::Further(_) | WallEdit::Holes(_)),
        Edit::AddPhoto { wall, .. } => *wall == id,
        _ => false,
    };
    let swap = |job: &mut Job| {
        let wall = job.wall_mut(id)?;
        match number.checked_sub(1) {
            None => Ok(()),
            Some(i) => match wall.further.get_mut(i).filter(|_| fits) {
                Some(further) => {
                    std::mem::swap(&mut wall.template, &mut further.template);
                    Ok(())
                }
                None => Err(JobError::Further { wall: wall.name.clone(), why: "is not there to be changed" }),
            },
        }
    };
    swap(job)?;
    change(job, edit)?;
    swap(job)
}
