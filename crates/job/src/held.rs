//! Pieces put to a place on a sheet by hand. Nothing here turns a piece over.

use kurbo::{Affine, Point};

use crate::pieces::PlannedPiece;
use crate::workshop::{KeptLayout, KeptPlace, PieceId};

impl KeptLayout {
    /// The place of a piece.
    pub fn place(&self, piece: PieceId) -> Option<&KeptPlace> {
        self.places.iter().find(|p| p.piece == piece)
    }

    /// The layout with a piece held where it lies, or let go.
    #[must_use]
    pub fn held(&self, piece: PieceId, locked: bool) -> KeptLayout {
        self.with(piece, |place| place.locked = locked)
    }

    /// The layout with a piece moved to a sheet and held there. `by` takes points of the sheet it lies on to points of the other;
    /// anything but a shift and a turn (a mirror image, another scale) is left undone.
    #[must_use]
    pub fn moved(&self, piece: PieceId, stock: &str, nth: u32, by: Affine) -> KeptLayout {
        let [a, b, c, d, ..] = by.as_coeffs();
        let rigid = (a - d).abs() < 1e-9 && (b + c).abs() < 1e-9 && (a.hypot(b) - 1.0).abs() < 1e-9;
        if !rigid || !by.is_finite() {
            return self.clone();
        }
        let turn = b.atan2(a).to_degrees();
        // Whole degrees where it is one but for rounding: sheets lie along or across.
        let turn = if (turn - turn.round()).abs() < 1e-9 { turn.round() } else { turn };
        self.with(piece, |place| {
            place.stock = stock.to_owned();
            place.nth = nth;
            place.turn_deg = (place.turn_deg + turn).rem_euclid(360.0);
            place.at = fine(by * place.at);
            place.locked = true;
        })
    }

    /// The layout with a piece turned about its own middle to so many degrees from how it stands in its wall, counter-clockwise,
    /// and held.
    #[must_use]
    pub fn turned(&self, piece: &PlannedPiece, degrees: f64) -> KeptLayout {
        if !degrees.is_finite() {
            return self.clone();
        }
        let middle = coldwright_geometry::bounds(&piece.outline).center();
        self.with(piece.id, |place| {
            let turned = |deg: f64| Affine::rotate(deg.to_radians()) * middle;
            let stays = place.at + turned(place.turn_deg).to_vec2();
            place.turn_deg = degrees.rem_euclid(360.0);
            place.at = fine(stays - turned(place.turn_deg).to_vec2());
            place.locked = true;
        })
    }

    fn with(&self, piece: PieceId, change: impl FnOnce(&mut KeptPlace)) -> KeptLayout {
        let mut out = self.clone();
        if let Some(place) = out.places.iter_mut().find(|p| p.piece == piece) {
            change(place);
        }
        out
    }
}

/// To a thousandth of a millimetre, so that the file stays readable.
fn fine(q: Point) -> Point {
    Point::new((q.x * 1000.0).round() / 1000.0, (q.y * 1000.0).round() / 1000.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::WallId;

    fn kept() -> KeptLayout {
        let place = KeptPlace {
            piece: PieceId { wall: WallId(1), layer: 1, part: 0 },
            stock: "Board".to_owned(),
            nth: 0,
            turn_deg: 30.0,
            at: Point::new(100.0, 50.0),
            locked: false,
        };
        KeptLayout { places: vec![place], ..KeptLayout::default() }
    }

    #[test]
    fn a_piece_is_shifted_and_turned_but_never_turned_over() {
        let (kept, piece) = (kept(), kept().places[0].piece);
        let quarter = Affine::translate((10.0, 0.0)) * Affine::rotate(std::f64::consts::FRAC_PI_2);
        let moved = kept.moved(piece, "Other", 2, quarter);
        let place = moved.place(piece).unwrap();
        assert_eq!((place.stock.as_str(), place.nth, place.locked), ("Other", 2, true));
        assert!((place.turn_deg - 120.0).abs() < 1e-9);
        assert_eq!(place.at, Point::new(-40.0, 100.0));
        for bad in [Affine::FLIP_X, Affine::scale(2.0), Affine::translate((f64::NAN, 0.0))] {
            assert_eq!(kept.moved(piece, "Other", 2, bad), kept);
        }
    }
}
