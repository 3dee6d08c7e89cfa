//! Where words stand on a board, so that none lies over another.

use egui::{Align2, Pos2, Rect, Vec2};

/// The room that words and marks have taken so far.
#[derive(Debug)]
pub(crate) struct Labels {
    within: Rect,
    taken: Vec<Rect>,
}

impl Labels {
    /// Nothing taken yet of a board.
    pub(crate) fn new(within: Rect) -> Self {
        Self { within, taken: Vec::new() }
    }

    /// Keeps words off what is drawn there.
    pub(crate) fn keep(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Takes the first of several places where words of a size stand free and on the board; where none does, the one that hides least.
    /// `None` when no place is given.
    pub(crate) fn place(
        &mut self,
        size: Vec2,
        places: impl IntoIterator<Item = (Pos2, Align2)>,
    ) -> Option<Rect> {
        let mut best: Option<(f32, Rect)> = None;
        for (at, anchor) in places {
            let rect = anchor.anchor_size(at, size);
            let hidden: f32 = self.taken.iter().map(|t| area(t.intersect(rect))).sum();
            let hidden = hidden + area(rect) - area(rect.intersect(self.within));
            if best.is_none_or(|b| hidden < b.0 - 0.5) {
                best = Some((hidden, rect));
            }
            if hidden < 0.5 {
                break;
            }
        }
        let (_, rect) = best?;
        self.taken.push(rect);
        Some(rect)
    }
}

fn area(rect: Rect) -> f32 {
    rect.width().max(0.0) * rect.height().max(0.0)
}

/// The eight places round a mark, nearest corners first.
pub(crate) fn round(at: Pos2, reach: f32) -> impl Iterator<Item = (Pos2, Align2)> {
    let straight = reach + 2.0;
    [
        (Vec2::new(reach, -reach), Align2::LEFT_BOTTOM),
        (Vec2::new(reach, reach), Align2::LEFT_TOP),
        (Vec2::new(-reach, -reach), Align2::RIGHT_BOTTOM),
        (Vec2::new(-reach, reach), Align2::RIGHT_TOP),
        (Vec2::new(straight, 0.0), Align2::LEFT_CENTER),
        (Vec2::new(-straight, 0.0), Align2::RIGHT_CENTER),
        (Vec2::new(0.0, -straight), Align2::CENTER_BOTTOM),
        (Vec2::new(0.0, straight), Align2::CENTER_TOP),
    ]
    .into_iter()
    .map(move |(way, anchor)| (at + way, anchor))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_keep_off_each_other_and_on_the_board() {
        let mut labels = Labels::new(Rect::from_min_size(Pos2::ZERO, Vec2::splat(100.0)));
        let size = Vec2::new(20.0, 14.0);
        let mut all = Vec::new();
        for _ in 0..8 {
            all.extend(labels.place(size, round(Pos2::new(50.0, 50.0), 8.0)));
        }
        // The corners are free for four; straight beside them there is room for none more.
        for (i, a) in all.iter().take(4).enumerate() {
            assert!(all.iter().take(i).all(|b| area(a.intersect(*b)) == 0.0), "{a:?}");
        }
        assert_eq!(all.len(), 8, "words are never left out");
        let near_the_rim = labels.place(size, round(Pos2::new(97.0, 4.0), 8.0));
        assert!(near_the_rim.is_some_and(|r| r.max.x <= 100.0 && r.min.y >= 0.0), "{near_the_rim:?}");
        assert_eq!(labels.place(size, []), None);
    }
}
