//! Finds the cards in a picture.
use crate::card::{CardKind, CardsFound};
use crate::picture::Picture;
/// Finds the cards.
pub fn find_cards(_picture: &Picture, _kind: CardKind) -> CardsFound {
    CardsFound::default()
}
