//! What the photo proposes for a click: the corner it was meant for, shown before it is taken.

use std::sync::Arc;

use coldwright_canvas::{Picture, Snap, SnapKind, snap, snap_on_plane};
use coldwright_job::PhotoId;
use egui::{Pos2, Ui};
use kurbo::Point;

use crate::board::Board;
use crate::shown::Shown;
use crate::view::View;

/// How far from the pointer a corner is looked for, screen points, and its limits in photo pixels.
const REACH: f64 = 12.0;
const RADIUS: (f64, f64) = (6.0, 24.0);
/// Contrast below which nothing is seen at all, share of white in linear light.
const SEEN: f64 = 0.02;

/// The proposal worked out last, and for which place.
#[derive(Debug, Default)]
pub(crate) struct Proposal {
    of: Option<(PhotoId, Point, f64, f64)>,
    snap: Option<Snap>,
}

/// The proposal for the place under the pointer; `None` while snapping is off or the picture is not there.
pub(crate) fn proposal(
    shown: &Shown<'_>,
    view: &mut View,
    board: &Board,
    picture: Option<&Arc<Picture>>,
    pointer: Pos2,
) -> Option<Snap> {
    if !view.snap || view.following.on {
        return None;
    }
    let (picture, photo) = (picture?, view.photo?);
    let px = board.at(pointer);
    let radius = (REACH / board.eye.scale).clamp(RADIUS.0, RADIUS.1);
    let stick = shown.wall(view)?.template.stick;
    let height = view.height.mm(stick);
    let of = Some((photo, px, radius, height));
    if view.proposal.of != of {
        let index = crate::column::photo_index(shown, view);
        let plane = shown.wall_plan(view).and_then(|w| w.solve.as_deref());
        let found = match (plane, index) {
            (Some(plane), Some(index)) => snap_on_plane(picture, plane, index, px, radius, height).ok(),
            _ => Some(snap(picture, px, radius)),
        };
        view.proposal = Proposal { of, snap: found };
    }
    view.proposal.snap
}

/// Whether a proposal is sure enough to be taken by a plain click: a corner is, a place along one edge is not.
pub(crate) fn sure(snap: &Snap) -> bool {
    snap.kind == SnapKind::Corner
}

/// Whether the person leaves the proposal: with Alt the click stays where it is.
pub(crate) fn left(ui: &Ui) -> bool {
    ui.input(|i| i.modifiers.alt)
}

/// What becomes of a click here, in words.
pub(crate) fn word(snap: &Snap, left: bool) -> &'static str {
    match snap.kind {
        SnapKind::Corner if !left => "snapped",
        SnapKind::Corner => "left alone",
        SnapKind::Edge => "one edge only, left alone",
        SnapKind::Nothing if snap.contrast < SEEN => "low contrast, left alone",
        SnapKind::Nothing => "no sure corner, left alone",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_corner_is_taken_and_alt_leaves_it() {
        let snap = |kind, contrast| Snap { px: Point::ZERO, sd_px: 0.1, kind, contrast };
        assert!(sure(&snap(SnapKind::Corner, 0.4)) && !sure(&snap(SnapKind::Edge, 0.4)));
        assert_eq!(word(&snap(SnapKind::Corner, 0.4), false), "snapped");
        assert_eq!(word(&snap(SnapKind::Corner, 0.4), true), "left alone");
        assert_eq!(word(&snap(SnapKind::Nothing, 0.01), false), "low contrast, left alone");
    }
}
