//! The hollow behind a wall's outer face, and what its first layers are made into for it: strips, or foam bent on kerfs.

use coldwright_geometry as geo;
use coldwright_geometry::Length;

use crate::error::JobError;

/// How far the surface behind a wall stands off a straightedge laid on its outer face.
#[derive(Clone, Debug, PartialEq)]
pub struct HollowBehind {
    /// How the straightedge lies.
    pub along: Along,
    /// Where it begins: from the left end of the bottom (or after) edge, to the right or up (or forward).
    pub from: Length,
    /// The gap under it.
    pub shape: HollowShape,
    /// The same laid the other way, where that is hollow too: it counts for the void only.
    pub other: Option<HollowShape>,
    /// What the first layers are made into.
    pub first: FirstLayers,
}

/// How a straightedge lies on a wall.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Default)]
pub enum Along {
    /// Along the bottom (or after) edge.
    #[default]
    Across,
    /// Up (or forward).
    Up,
}

/// The gap under a straightedge.
#[derive(Clone, Debug, PartialEq)]
pub enum HollowShape {
    /// Round.
    Radius {
        /// Its radius.
        radius: Length,
        /// Length of the straightedge.
        length: Length,
    },
    /// Gaps at places from the straightedge's beginning; it touches at both its ends unless a gap there says otherwise.
    Gaps {
        /// Length of the straightedge.
        length: Length,
        /// Places and gaps, in rising order of places.
        gaps: Vec<(Length, Length)>,
    },
}

/// What the layers next to the hull are made into.
#[derive(Copy, Clone, Debug, PartialEq, Default)]
pub enum FirstLayers {
    /// Flat, the void behind them filled.
    #[default]
    Flat,
    /// Strips side by side, across the straightedge.
    Strips {
        /// How many layers.
        layers: u32,
        /// Largest gap left behind a strip.
        gap: Length,
        /// Widest strip.
        widest: Length,
        /// Joints that stand open by no more than this at the box face stay square.
        square_up_to: Length,
    },
    /// Bent on kerfs cut into the box side, across the straightedge.
    Kerfs {
        /// How many layers.
        layers: u32,
        /// Left uncut under each kerf.
        web: Length,
        /// Width of a kerf.
        kerf: Length,
        /// Kerfs lie no farther apart than this.
        spacing: Length,
    },
}

impl FirstLayers {
    /// How many layers are not flat.
    pub fn layers(&self) -> u32 {
        match self {
            FirstLayers::Flat => 0,
            FirstLayers::Strips { layers, .. } | FirstLayers::Kerfs { layers, .. } => *layers,
        }
    }
}

impl HollowShape {
    /// Length of the straightedge.
    pub fn length(&self) -> Length {
        match self {
            HollowShape::Radius { length, .. } | HollowShape::Gaps { length, .. } => *length,
        }
    }

    pub(crate) fn to_geometry(&self) -> Result<geo::Hollow, geo::GeometryError> {
        match self {
            HollowShape::Radius { radius, length } => geo::Hollow::round(radius.mm(), length.mm()),
            HollowShape::Gaps { length, gaps } => {
                let stations: Vec<(f64, f64)> = gaps.iter().map(|(at, gap)| (at.mm(), gap.mm())).collect();
                geo::Hollow::measured(&stations, length.mm())
            }
        }
    }
}

impl HollowBehind {
    /// A hollow under a straightedge so long, measured in its middle.
    pub fn measured(length: Length, gap: Length) -> HollowBehind {
        let middle = Length::from_mm(length.mm() / 2.0).unwrap_or_default();
        HollowBehind {
            along: Along::default(),
            from: Length::default(),
            shape: HollowShape::Gaps { length, gaps: vec![(middle, gap)] },
            other: None,
            first: FirstLayers::default(),
        }
    }

    pub(crate) fn check(&self, wall: &str) -> Result<(), JobError> {
        let bad = |why: String| Err(JobError::Hollow { wall: wall.to_owned(), why });
        for shape in std::iter::once(&self.shape).chain(&self.other) {
            if let Err(why) = shape.to_geometry() {
                return bad(why.to_string());
            }
        }
        if self.from.mm().abs() > 1e5 {
            return bad("begins too far off".to_owned());
        }
        let positive = |what: &str, l: Length| {
            let fine = l.mm() > 0.0 && l.mm() <= 10_000.0;
            if fine { Ok(()) } else { bad(format!("needs {what} above 0, up to 10 m")) }
        };
        match self.first {
            FirstLayers::Flat => {}
            FirstLayers::Strips { gap, widest, square_up_to, .. } => {
                positive("an allowed gap", gap)?;
                positive("a widest strip", widest)?;
                if !(0.0..=100.0).contains(&square_up_to.mm()) {
                    return bad("needs joints that stay square up to 0 to 100 mm".to_owned());
                }
            }
            FirstLayers::Kerfs { web, kerf, spacing, .. } => {
                positive("a width of the kerfs", kerf)?;
                positive("a distance of the kerfs", spacing)?;
                if !(0.0..=1000.0).contains(&web.mm()) {
                    return bad("needs foam of 0 to 1000 mm left under the kerfs".to_owned());
                }
            }
        }
        if self.first.layers() > 100 {
            return bad("counts too many layers".to_owned());
        }
        Ok(())
    }
}
