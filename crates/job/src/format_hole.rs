//! The part of `job.json` that holds a hole.

use serde::{Deserialize, Serialize};

use crate::error::JobError;
use crate::format::{length, lengths, number, pair};
use crate::hole::{Hole, HoleShape};

#[derive(Serialize, Deserialize)]
pub(crate) struct HoleFile {
    name: String,
    at_mm: [f64; 2],
    #[serde(default, skip_serializing_if = "Option::is_none")]
    diameter_mm: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    rectangle: Option<RectangleFile>,
    lean_deg: [f64; 2],
    #[serde(default)]
    taper_deg: f64,
}

#[derive(Serialize, Deserialize)]
struct RectangleFile {
    size_mm: [f64; 2],
    #[serde(default, skip_serializing_if = "is_sharp")]
    corner_mm: f64,
    turn_deg: f64,
}

fn is_sharp(corner_mm: &f64) -> bool {
    *corner_mm == 0.0
}

pub(crate) fn hole_from_file(h: HoleFile) -> Result<Hole, JobError> {
    let shape = match (h.diameter_mm, h.rectangle) {
        (Some(mm), None) => HoleShape::Round { diameter: length(mm, "diameter_mm")? },
        (None, Some(r)) => {
            let (width, height) = lengths(r.size_mm, "size_mm")?;
            let corner = length(r.corner_mm, "corner_mm")?;
            HoleShape::Rectangle { width, height, corner, turn_deg: number(r.turn_deg, "turn_deg")? }
        }
        _ => return Err(JobError::Damaged(format!("hole {} is neither round nor a rectangle", h.name))),
    };
    Ok(Hole {
        name: h.name,
        at: lengths(h.at_mm, "at_mm")?,
        shape,
        lean_deg: (number(h.lean_deg[0], "lean_deg")?, number(h.lean_deg[1], "lean_deg")?),
        taper_deg: number(h.taper_deg, "taper_deg")?,
    })
}

pub(crate) fn hole_to_file(h: &Hole) -> HoleFile {
    let (diameter_mm, rectangle) = match h.shape {
        HoleShape::Round { diameter } => (Some(diameter.mm()), None),
        HoleShape::Rectangle { width, height, corner, turn_deg } => {
            let size_mm = pair((width, height));
            (None, Some(RectangleFile { size_mm, corner_mm: corner.mm(), turn_deg }))
        }
    };
    HoleFile {
        name: h.name.clone(),
        at_mm: pair(h.at),
        diameter_mm,
        rectangle,
        lean_deg: [h.lean_deg.0, h.lean_deg.1],
        taper_deg: h.taper_deg,
    }
}
