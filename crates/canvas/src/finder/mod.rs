//! Finds the cards in a picture: the tag names the card, its crossings or its sides are measured in the original brightness.

mod crossings;
mod saddle;
mod sides;
mod tags;

use rayon::prelude::*;

use kurbo::Point;

use crate::card::{CardKind, CardNote, CardSeen, CardsFound};
use crate::picture::{LumaPlane, Picture};
pub(crate) use sides::linear_light;
use tags::Tag;

/// Fewest crossings of our own card, and places of a plain tag, that make a card worth using.
const NEEDED_CROSSINGS: usize = 8;
const NEEDED_PLACES: usize = 16;

/// Version of the card finder, kept beside what it found: raised whenever the same photo would give other crossings or other uncertainties, so that
/// a stored measurement is never mistaken for what a newer finder would say.
pub const FINDER_VERSION: u32 = 2;

/// Finds all cards of a kind, in any place, turn and light.
///
/// Numbers found twice are left out with a note, as are cards of which too little can be measured. No card at all is an empty list, not an
/// error; [`crate::solve`] then says what to do.
pub fn find_cards(picture: &Picture, kind: CardKind) -> CardsFound {
    let luma = picture.luma();
    let mut found = CardsFound::default();
    let (tags, doubled) = tags::find(luma);
    found.notes.extend(doubled.into_iter().map(|number| CardNote::Doubled { number }));
    let seen: Vec<(Tag, Result<CardSeen, CardNote>)> = tags
        .into_par_iter()
        .map(|tag| {
            let card = match kind {
                CardKind::Printed => printed(picture, &tag),
                CardKind::Plain { black_edge_mm } => plain(picture, &tag, black_edge_mm),
            };
            (tag, card)
        })
        .collect();
    for (tag, card) in seen {
        match card {
            Ok(card) => {
                let of = if matches!(kind, CardKind::Printed) { 32 } else { 16 };
                if card.crossings.len() < of {
                    found.notes.push(CardNote::PartlyCovered {
                        number: tag.number,
                        used: card.crossings.len(),
                        of,
                    });
                }
                found.cards.push(card);
            }
            Err(note) => found.notes.push(note),
        }
    }
    found.cards.sort_by_key(|c| c.number);
    found
}

fn printed(picture: &Picture, tag: &Tag) -> Result<CardSeen, CardNote> {
    let number = tag.number;
    let half_size = match number {
        1..=99 => false,
        101..=199 => true,
        _ => return Err(CardNote::ForeignNumber { number }),
    };
    let crossings = crossings::measure(picture.luma(), tag, half_size);
    if crossings.len() < 4 {
        return Err(CardNote::NoCheckers { number });
    }
    if crossings.len() < NEEDED_CROSSINGS {
        return Err(CardNote::TooFewCrossings { number, found: crossings.len() });
    }
    Ok(CardSeen { number, half_size, crossings, corners_px: tag.corners })
}

fn plain(picture: &Picture, tag: &Tag, black_edge_mm: f64) -> Result<CardSeen, CardNote> {
    let number = tag.number;
    let crossings = sides::measure(picture, tag, black_edge_mm);
    if crossings.len() < NEEDED_PLACES {
        return Err(CardNote::TooFewCrossings { number, found: crossings.len() });
    }
    Ok(CardSeen { number, half_size: false, crossings, corners_px: tag.corners })
}

/// Measures one checker crossing near a guess, in a window of ±`radius_px` (about a third of a square, 3 or more); `None` where there is none.
pub fn measure_crossing(luma: &LumaPlane, guess: Point, radius_px: f64) -> Option<Point> {
    let fits = radius_px.is_finite() && radius_px >= 2.0 && guess.is_finite();
    if fits { saddle::saddle(luma, guess, radius_px) } else { None }
}
