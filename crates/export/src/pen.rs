//! How lines are drawn.

/// How a line is stroked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pen {
    /// Width in mm, more than 0.
    pub width_mm: f64,
    /// Length of dash and of gap in mm, both more than 0; `None` for a solid line.
    pub dash_mm: Option<(f64, f64)>,
    /// Shade, 0 black to 1 white.
    pub grey: f64,
}

impl Pen {
    /// The line to cut along: 0.35 mm, solid.
    pub const CUT: Pen = Pen::solid(0.35);
    /// The outline of the face that lies down: 0.25 mm, 6 mm dashes, 3 mm gaps.
    pub const OTHER_FACE: Pen = Pen { width_mm: 0.25, dash_mm: Some((6.0, 3.0)), grey: 0.0 };
    /// Marks, stations, rulers: 0.18 mm, solid.
    pub const MARK: Pen = Pen::solid(0.18);
    /// The ends of rulers and joining marks: 0.35 mm, solid.
    pub const MARK_END: Pen = Pen::solid(0.35);

    /// A solid black pen of this width in mm.
    pub const fn solid(width_mm: f64) -> Pen {
        Pen { width_mm, dash_mm: None, grey: 0.0 }
    }
}
