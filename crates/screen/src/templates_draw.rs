//! The other templates of a wall under the one in hand, with the corners that go together.

use coldwright_geometry::Outline;
use coldwright_job::WallPlan;
use egui::{Align2, Stroke};
use kurbo::{PathEl, Point};

use crate::board::Board;
use crate::column::pairs;
use crate::ruler::{dashed, tag};
use crate::theme::Palette;

/// What of the wall's frame the other templates take, to be seen with the one in hand.
pub(crate) fn bounds(plan: Option<&WallPlan>, with: kurbo::Rect) -> kurbo::Rect {
    let outlines = plan.into_iter().flat_map(|p| &p.templates).filter_map(|t| t.outline.as_deref());
    outlines.map(Outline::bounds).fold(with, |all, b| all.union(b))
}

/// Draws every template but the one of that number, and a line from corner to corner where edges go together.
pub(crate) fn draw(board: &Board, plan: &WallPlan, here: usize, p: &Palette) {
    for (number, template) in plan.templates.iter().enumerate().filter(|(n, _)| *n != here) {
        let Some(outline) = template.outline.as_deref() else { continue };
        let mut line = board.line(&outline.polyline(0.5));
        line.extend(line.first().copied());
        dashed(&board.painter, &line, Stroke::new(1.5, p.quiet), 2.0, 3.0);
        let highest = outline.corners().iter().max_by(|a, b| (a.at.y + a.at.x).total_cmp(&(b.at.y + b.at.x)));
        if let Some(at) = highest.map(|c| board.put(c.at)) {
            let words = format!("template {}", number + 1);
            // Inside the one in hand, or beyond its tick numbers, which stand close outside it.
            let within = plan.templates.get(here).and_then(|t| t.outline.as_deref());
            let within = highest.zip(within).is_some_and(|(c, o)| o.bounds().inset(-20.0).contains(c.at));
            let (off, anchor) = if within {
                (egui::vec2(-12.0, 10.0), Align2::RIGHT_TOP)
            } else {
                (egui::vec2(8.0, -8.0), Align2::LEFT_BOTTOM)
            };
            tag(&board.painter, at + off, anchor, &words, p.quiet, p.board);
        }
    }
    let Some(first) = plan.templates.first().and_then(|t| t.outline.as_deref()) else { return };
    for (number, template) in plan.templates.iter().enumerate().skip(1) {
        let Some(outline) = template.outline.as_deref() else { continue };
        for (a, b) in pairs(plan, number) {
            if let (Some(from), Some(to)) = (start(first, a.0), start(outline, b.0)) {
                let line = board.line(&[from, to]);
                board.painter.line(line, Stroke::new(1.0, p.hand.gamma_multiply(0.8)));
            }
        }
    }
}

/// The corner an edge starts at.
fn start(outline: &Outline, edge: u32) -> Option<Point> {
    let side = outline.sides().iter().find(|s| s.edge.id == edge)?;
    side.path.elements().first().and_then(PathEl::end_point)
}
