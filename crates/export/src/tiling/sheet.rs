//! The sheet as the drawing sees it: in true millimetres, before the printer's error is allowed for.

use kurbo::{Point, Vec2};

use super::TileOptions;
use crate::paper::Paper;
use crate::pdf_file::LONGEST_SIDE_MM;

/// Height of the foot with title line, page name, 100 mm line and map, in mm.
pub(super) const FOOT_MM: f64 = 18.5;
/// Narrowest window in which the foot fits, in mm.
const NARROWEST_MM: f64 = 184.0;
/// Room for half a pen inside the margin, so that a line along the window's edge keeps it too, in mm.
const PEN_ROOM_MM: f64 = 0.3;

/// One page's sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sheet {
    /// Size of the paper in mm as the paper's ruler has it.
    pub paper: Vec2,
    /// What true millimetres are multiplied by to come out right on this printer.
    pub factor: Vec2,
    /// Distance of all ink from the edge, in paper mm.
    pub margin: f64,
}

impl Sheet {
    /// Size in true mm.
    pub fn size(&self) -> Vec2 {
        Vec2::new(self.paper.x / self.factor.x, self.paper.y / self.factor.y)
    }

    /// Margins in true mm.
    pub fn margins(&self) -> Vec2 {
        let margin = self.margin + PEN_ROOM_MM;
        Vec2::new(margin / self.factor.x, margin / self.factor.y)
    }

    /// The part of the page that shows the drawing, in true mm.
    pub fn window(&self) -> Vec2 {
        self.size() - 2.0 * self.margins() - Vec2::new(0.0, FOOT_MM)
    }

    /// Lower left corner of that part on the page, in true mm.
    pub fn window_origin(&self) -> Point {
        (self.margins() + Vec2::new(0.0, FOOT_MM)).to_point()
    }
}

/// The sheets to choose from for ink of this size: upright and lying; a roll in both directions, as long as needed.
pub(super) fn choices(options: &TileOptions, ink: Vec2) -> Vec<Sheet> {
    let factor = Vec2::new(options.print_correction.0, options.print_correction.1);
    let sheet = |width, height| Sheet { paper: Vec2::new(width, height), factor, margin: options.margin_mm };
    match (options.paper, options.paper.size_mm()) {
        (Paper::Roll { width_mm }, _) | (_, (width_mm, None)) => {
            let edge = 2.0 * (options.margin_mm + PEN_ROOM_MM);
            let up = edge + (ink.y * 1.0001 + FOOT_MM) * factor.y;
            let along = edge + (ink.x * 1.0001).max(NARROWEST_MM) * factor.x;
            vec![
                sheet(width_mm, length(up, edge + (options.overlap_mm + FOOT_MM) * factor.y)),
                sheet(length(along, edge + options.overlap_mm * factor.x), width_mm),
            ]
        }
        (_, (width, Some(height))) => vec![sheet(width, height), sheet(height, width)],
    }
}

/// The "read me first" page's sheet: upright, at least as tall as its contents.
pub(super) fn read_me(options: &TileOptions) -> Sheet {
    let (width, height) = options.paper.size_mm();
    Sheet {
        paper: Vec2::new(width, height.unwrap_or(280.0)),
        factor: Vec2::new(options.print_correction.0, options.print_correction.1),
        margin: options.margin_mm,
    }
}

/// The length of a roll page that shows `whole` in as few equal pages as the longest side allows; `repeated` is what
/// each further page needs again.
fn length(whole: f64, repeated: f64) -> f64 {
    let mut pages = 1.0;
    while (whole - repeated) / pages + repeated > LONGEST_SIDE_MM && pages < 1000.0 {
        pages += 1.0;
    }
    ((whole - repeated) / pages + repeated).min(LONGEST_SIDE_MM)
}
