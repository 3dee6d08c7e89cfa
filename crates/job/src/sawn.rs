//! Straight cuts that bring a sheet to sizes the saw's throat takes, before any shape is cut.

use coldwright_nesting as nesting;
use nesting::Cut;

use crate::document::Job;
use crate::sheets::SheetRequest;
use crate::workshop::SheetShape;

/// How one sheet in use comes to the saw.
#[derive(Clone, Debug, PartialEq)]
pub enum BreakDown {
    /// As it is: no throat is stated, or the sheet goes through it.
    Whole,
    /// By these cuts, in the order to make them: each goes all across the part it divides.
    Cuts(Vec<Cut>),
    /// No straight cuts do it: pieces lie in each other's way.
    NoWay,
    /// Not worked out for a sheet of a shape of its own.
    OwnShape,
}

/// The cuts of every sheet of a layout, in its order.
pub(crate) fn break_downs(job: &Job, asked: &SheetRequest, layout: &nesting::Layout) -> Vec<BreakDown> {
    let one = |(index, used): (usize, &nesting::SheetUsed)| {
        let Some(throat) = job.cutting.throat else { return BreakDown::Whole };
        let Some(sheet) = job.stock.get(used.stock) else { return BreakDown::Whole };
        let SheetShape::Rectangle { width, length } = sheet.shape else { return BreakDown::OwnShape };
        if width.min(length) <= throat {
            return BreakDown::Whole;
        }
        let placed: Vec<Vec<kurbo::Point>> = layout
            .placements
            .iter()
            .filter(|p| p.sheet == index)
            .filter_map(|p| {
                let piece = asked.request.pieces.get(p.piece)?;
                Some(piece.outline.iter().map(|q| p.apply(*q)).collect())
            })
            .collect();
        // Pieces keep the width of the cut apart; one made of it all at once takes no more.
        let kerf = job.cutting.kerf.mm().min(asked.request.spacing());
        nesting::breakdown((width.mm(), length.mm()), &placed, kerf, throat.mm())
            .map_or(BreakDown::NoWay, BreakDown::Cuts)
    };
    layout.sheets.iter().enumerate().map(one).collect()
}
