//! What foam from the can has to fill.

use super::joint::{Joint, joined};
use super::layers::gapless;
use super::wall::BoxWall;
use crate::{GeometryError, LayerSet};

/// Volumes to fill in one wall, mm³.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct WallFiller {
    /// Wedges beside layers cut square to fit; nothing where they are cut to the bevel.
    pub wedges: f64,
    /// Gaps left for bonding foam on edges.
    pub gaps: f64,
    /// The hollow behind the first layer.
    pub hollow: f64,
}

impl WallFiller {
    /// All three, mm³.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.wedges + self.gaps + self.hollow
    }
}

/// What has to be filled in the box.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Filler {
    /// Wall by wall, in the order of the walls; nothing for a wall without layers.
    pub walls: Vec<WallFiller>,
}

/// What has to be filled: `sets` holds the layers of each wall as [`super::joined_layers`] gives them (`None` leaves one out),
/// `hollows` the volume behind each wall's first layer, mm³; a missing one counts as none.
///
/// # Errors
/// [`GeometryError::BadJoint`] as for [`super::joined_layers`]; [`GeometryError::NotFinite`] for a hollow that cannot be.
pub fn filler<'a>(
    walls: &[BoxWall],
    joints: &[Joint],
    sets: impl IntoIterator<Item = Option<&'a LayerSet>>,
    hollows: &[f64],
) -> Result<Filler, GeometryError> {
    let joined = joined(walls, joints)?;
    let mut sets = sets.into_iter();
    let mut out = Filler::default();
    for (i, wall) in walls.iter().enumerate() {
        let hollow = hollows.get(i).copied().unwrap_or_default();
        if !(hollow.is_finite() && hollow >= 0.0) {
            return Err(GeometryError::NotFinite { what: format!("the hollow behind the {}", wall.name) });
        }
        let Some(set) = sets.next().flatten() else {
            out.walls.push(WallFiller::default());
            continue;
        };
        let foam: f64 = set.layers.iter().map(|l| l.volume).sum();
        let gaps = if wall.shape.outline.sides().iter().any(|s| s.edge.gap > 0.0) {
            (gapless(walls, joints, &joined, i)?.iter().sum::<f64>() - foam).max(0.0)
        } else {
            0.0
        };
        let wedges = set.layers.iter().map(|l| l.wedge).sum();
        out.walls.push(WallFiller { wedges, gaps, hollow });
    }
    Ok(out)
}

impl Filler {
    /// All of it, mm³.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.walls.iter().map(WallFiller::total).sum()
    }

    /// Whole cans that give `each` mm³ of set foam.
    ///
    /// # Errors
    /// [`GeometryError::NotFinite`] for a yield that is none (at least 1 mm³).
    pub fn cans(&self, each: f64) -> Result<u32, GeometryError> {
        if !(each.is_finite() && each >= 1.0) {
            return Err(GeometryError::NotFinite { what: "the yield of a can".to_owned() });
        }
        // A full can is not opened for a rounding error.
        Ok((self.total() / each - 1e-9).ceil().clamp(0.0, f64::from(u32::MAX)) as u32)
    }
}

/// In how many lifts a void `deep` mm deep is filled when one may be `greatest` mm deep.
///
/// # Errors
/// [`GeometryError::NotFinite`] for depths that cannot be.
pub fn lifts(deep: f64, greatest: f64) -> Result<u32, GeometryError> {
    if !(deep.is_finite() && deep >= 0.0 && greatest.is_finite() && greatest >= 1.0) {
        return Err(GeometryError::NotFinite { what: "the depth of a lift".to_owned() });
    }
    Ok((deep / greatest - 1e-9).ceil().clamp(0.0, f64::from(u32::MAX)) as u32)
}
