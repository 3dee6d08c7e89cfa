//! Two walls' edges that meet, stored once.
//!
//! School geometry. In a plane square to the joint let the wall's outer face run along −e and its depth z stand up from it,
//! both from the outer knuckle line where the two outer faces meet, and let α be the interior angle. The depth of a place
//! below the neighbour's outer face is then −e·sin α − z·cos α, so that the plane at depth T of the neighbour is met at
//! e = −(T + z·cos α)/sin α: for α = 90° + β the wall's own bevel β, moved in by T ÷ cos β. With T = z (as deep in the
//! neighbour as in the wall) it is the bisecting plane, e = −z/tan(α/2).

use super::BoxWall;
use crate::{Bevel, GeometryError};

/// An edge of one of the walls.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct EdgeAt {
    /// Place of the wall in the list of walls.
    pub wall: usize,
    /// Edge id in its outline.
    pub edge: u32,
}

/// Who gives way where two walls meet, seen from the joint's first wall.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum JointKind {
    /// The first runs past the second, which stops short of the first one's whole foam.
    RunsPast,
    /// The first stops short of the second one's whole foam.
    StopsShort,
    /// Layers alternate, so that no seam goes straight through.
    Woven {
        /// The first wall's layer 1 runs; otherwise the second one's.
        a_first: bool,
    },
    /// Both edges lie on the plane that halves the angle (a knuckle, a V).
    Mitred,
}

/// Two edges that meet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// One edge.
    pub a: EdgeAt,
    /// The other.
    pub b: EdgeAt,
    /// Who gives way.
    pub kind: JointKind,
    /// Interior angle between the outer faces as measured, radians; taken in place of the edges' bevels. Needed where a bevel
    /// cannot say it: under 15°, from 165° (a V floor), and where the corner points into the box (more than 180°, a notch).
    /// Without it the angle is 90° + bevel.
    pub angle: Option<f64>,
}

/// Which of a joint's two edges.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) enum Half {
    A,
    B,
}

impl Half {
    pub const BOTH: [Self; 2] = [Self::A, Self::B];

    pub fn other(self) -> Self {
        match self {
            Self::A => Self::B,
            Self::B => Self::A,
        }
    }
}

impl Joint {
    /// A joint whose angle follows from the bevels.
    #[must_use]
    pub fn new(a: EdgeAt, b: EdgeAt, kind: JointKind) -> Self {
        Self { a, b, kind, angle: None }
    }

    /// The same with a measured interior angle, radians.
    #[must_use]
    pub fn at_angle(self, angle: f64) -> Self {
        Self { angle: Some(angle), ..self }
    }

    pub(crate) fn half(&self, half: Half) -> EdgeAt {
        match half {
            Half::A => self.a,
            Half::B => self.b,
        }
    }

    /// Whether the corner points into the box.
    pub(crate) fn points_in(&self) -> bool {
        self.angle.is_some_and(|a| a > std::f64::consts::PI)
    }

    /// Whether this half's layer `number` runs past its counterpart; None when mitred.
    pub(crate) fn runs(&self, half: Half, number: usize) -> Option<bool> {
        let a = match self.kind {
            JointKind::RunsPast => true,
            JointKind::StopsShort => false,
            JointKind::Woven { a_first } => a_first == (number % 2 == 1),
            JointKind::Mitred => return None,
        };
        Some(a == (half == Half::A))
    }

    /// At how many of the other wall's layers, counted from its outer face, layer `number` (1 = outermost) of the first (`a`) or the
    /// second wall ends, where the other has `others`: its own end lies in the plane of the last of their inner faces. None when
    /// mitred.
    ///
    /// In a corner into the box these lie behind its end and are in place before it goes in; where the corner points into the
    /// box it reaches on over their ends.
    ///
    /// # Examples
    /// ```
    /// use coldwright_geometry::{EdgeAt, Joint, JointKind};
    /// let (a, b) = (EdgeAt { wall: 0, edge: 1 }, EdgeAt { wall: 1, edge: 3 });
    /// let woven = Joint::new(a, b, JointKind::Woven { a_first: true });
    /// assert_eq!((woven.ends_behind(true, 1, 4), woven.ends_behind(false, 1, 4)), (Some(0), Some(1)));
    /// let notch = woven.at_angle(270_f64.to_radians());
    /// assert_eq!((notch.ends_behind(true, 1, 4), notch.ends_behind(false, 1, 4)), (Some(1), Some(0)));
    /// ```
    #[must_use]
    pub fn ends_behind(&self, a: bool, number: usize, others: usize) -> Option<usize> {
        let runs = self.runs(if a { Half::A } else { Half::B }, number)?;
        // Where the corner points into the box to run past is to reach on, not to be left whole.
        let most = runs == self.points_in();
        let behind = match self.kind {
            JointKind::Woven { .. } => number.saturating_sub(usize::from(!most)),
            _ if most => others,
            _ => 0,
        };
        Some(behind.min(others))
    }

    /// The layer of the other wall, 1 = outermost, that layer `number` of the first (`a`) or the second wall ends against, where the
    /// other has `others`: on a mitre the layer of its own number, at most the last. None where it runs past all of them.
    ///
    /// # Examples
    /// ```
    /// use coldwright_geometry::{EdgeAt, Joint, JointKind};
    /// let (a, b) = (EdgeAt { wall: 0, edge: 1 }, EdgeAt { wall: 1, edge: 3 });
    /// let past = Joint::new(a, b, JointKind::RunsPast);
    /// assert_eq!((past.meets(true, 2, 4), past.meets(false, 2, 4)), (None, Some(4)));
    /// // Where the corner points into the box, what runs past lies over all ends, and what stops does so under the first.
    /// let notch = past.at_angle(270_f64.to_radians());
    /// assert_eq!((notch.meets(true, 2, 4), notch.meets(false, 2, 4)), (None, Some(1)));
    /// ```
    #[must_use]
    pub fn meets(&self, a: bool, number: usize, others: usize) -> Option<usize> {
        let layer = match self.ends_behind(a, number, others) {
            None => number.min(others),
            Some(behind) if self.points_in() => behind + 1,
            Some(behind) => behind,
        };
        Some(layer).filter(|layer| (1..=others).contains(layer))
    }

    /// Depth in the other wall (mm) at which layer `number` of this half ends, where the other's layers are `other` thick;
    /// None when mitred.
    pub(crate) fn ends_at(&self, half: Half, number: usize, other: &[f64]) -> Option<f64> {
        let behind = self.ends_behind(half == Half::A, number, other.len())?;
        Some(other.iter().take(behind).sum())
    }
}

/// For each wall and each of its sides in ring order the joint and half there.
pub(crate) type Joined = Vec<Vec<Option<(usize, Half)>>>;

/// Checks the joints and says where each is.
pub(crate) fn joined(walls: &[BoxWall], joints: &[Joint]) -> Result<Joined, GeometryError> {
    /// Closer to straight than this only a mitre can be, and no closer to 0 or 360° at all, radians.
    const LEAST: f64 = 15.0 * std::f64::consts::PI / 180.0;
    let mut out: Joined = walls.iter().map(|w| vec![None; w.shape.outline.sides().len()]).collect();
    for (number, joint) in joints.iter().enumerate() {
        let bad = |what: String| Err(GeometryError::BadJoint { joint: number + 1, what });
        if joint.a.wall == joint.b.wall {
            return bad("joins a wall to itself; join it to its neighbour".to_owned());
        }
        for half in Half::BOTH {
            let at = joint.half(half);
            let Some(wall) = walls.get(at.wall) else {
                return bad(format!("names wall {}, and there are {}", at.wall + 1, walls.len()));
            };
            let Some(side) = wall.side(at.edge) else {
                return bad(format!(
                    "names edge {} of wall \"{}\", which has no such edge",
                    at.edge, wall.name
                ));
            };
            let Some(place) = out.get_mut(at.wall).and_then(|w| w.get_mut(side)) else { continue };
            if let Some((before, _)) = place {
                let before = *before + 1;
                let edge = wall.edge_words(at.edge);
                return bad(format!(
                    "takes {edge}, which joint {before} has; split the edge where the neighbour changes"
                ));
            }
            *place = Some((number, half));
            if let Some(angle) = joint.angle {
                let straight = (angle - std::f64::consts::PI).abs() < LEAST;
                let fine = (LEAST..=std::f64::consts::TAU - LEAST).contains(&angle);
                let degrees = angle.to_degrees();
                if !fine {
                    return bad(format!(
                        "has an interior angle of {degrees:.1}°; it must be between 15° and 345°"
                    ));
                }
                let sharp = (0.5 * (angle - std::f64::consts::PI)).abs() > Bevel::STEEPEST;
                if sharp && joint.kind == JointKind::Mitred {
                    return bad(format!(
                        "at {degrees:.1}° is too sharp for a mitre; let one wall run past the other, or weave them"
                    ));
                }
                if straight && joint.kind != JointKind::Mitred {
                    return bad(format!("is nearly straight at {degrees:.1}°; make it mitred"));
                }
                let told_by_bevel = angle <= std::f64::consts::PI - LEAST + 1e-9;
                let z0 = wall.shape.template_z();
                if !told_by_bevel && z0.abs() > 0.5 {
                    let edge = wall.edge_words(at.edge);
                    return bad(format!(
                        "at {degrees:.1}° needs {edge} at the outer face, and its template is {z0:.1} mm deep; give the outline at the outer face"
                    ));
                }
            }
        }
    }
    Ok(out)
}
