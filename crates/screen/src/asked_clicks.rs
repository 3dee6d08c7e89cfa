//! Clicks that were asked for on a photo: the corners of a rectangle, two points of a sketch, a tick's point in a second photo.

use coldwright_geometry::Length;
use coldwright_job::{Edit, KnownRectangle, SeenAgain, Sketch, Step, TickId, Wall, WallEdit};
use egui::{Align2, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Action;
use crate::board::Board;
use crate::ruler::{cross, tag};
use crate::theme::Palette;
use crate::view::{Selected, View};

/// What the next clicks on the photo are for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum AskedClicks {
    /// The point of a tick in the photo shown.
    Again(TickId),
    /// The corners of a rectangle: width, height, both diagonals, and the corners so far.
    Corners([Length; 4], Vec<Point>),
    /// Two points of a sketch so far apart.
    Sketch(Length, Option<Point>),
}

const CORNERS: [&str; 4] = ["top left", "top right", "bottom right", "bottom left"];

/// What is to be clicked next, in words.
fn words(asked: &AskedClicks) -> String {
    match asked {
        AskedClicks::Again(_) => "Click on the same point in this photo. Esc lets it be.".to_owned(),
        AskedClicks::Corners(_, got) => {
            let corner = CORNERS.get(got.len()).copied().unwrap_or_default();
            format!("Click on the rectangle's {corner} corner. Esc lets it be.")
        }
        AskedClicks::Sketch(_, None) => "Click on the first of the two points. Esc lets it be.".to_owned(),
        AskedClicks::Sketch(_, Some(_)) => "Click on the second point. Esc lets it be.".to_owned(),
    }
}

/// Says what is asked for, takes the click, and gives whether one was taken: nothing else may use it.
pub(crate) fn take(ui: &Ui, board: &Board, wall: &Wall, view: &mut View, queue: &mut Vec<Action>) -> bool {
    let (Some(asked), Some(photo)) = (view.asked_clicks.clone(), view.photo) else { return false };
    if ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        view.asked_clicks = None;
        return false;
    }
    let p = Palette::at(ui);
    let got: &[Point] = match &asked {
        AskedClicks::Corners(_, got) => got,
        AskedClicks::Sketch(_, Some(from)) => std::slice::from_ref(from),
        _ => &[],
    };
    for at in got {
        cross(&board.painter, board.put(*at), 7.0, Stroke::new(1.5, p.hand));
    }
    let top = board.rect.center_top() + Vec2::new(0.0, 16.0);
    tag(&board.painter, top, Align2::CENTER_TOP, &words(&asked), p.hand, p.board);
    let Some(at) = board.response.interact_pointer_pos().filter(|_| board.response.clicked()) else {
        return false;
    };
    let px = board.at(at);
    let mut put = |edit| queue.push(Action::Edit(Edit::Wall(wall.id, edit), None));
    view.asked_clicks = match asked {
        AskedClicks::Again(tick) => {
            let mut again = wall.template.again.clone();
            again.retain(|a| (a.tick, a.photo) != (tick, photo));
            again.push(SeenAgain { tick, photo, px });
            put(WallEdit::SeenAgain(again));
            (view.selected, view.next_step) = (Selected::Tick(tick), Some(Step::Outline));
            None
        }
        AskedClicks::Corners(sizes, mut got) => {
            got.push(px);
            match <[Point; 4]>::try_from(got.clone()) {
                Ok(corners) => {
                    let [width, height, a, b] = sizes;
                    let known = KnownRectangle { photo, corners, width, height, diagonals: (a, b) };
                    put(WallEdit::Rectangle(Some(known)));
                    None
                }
                Err(_) => Some(AskedClicks::Corners(sizes, got)),
            }
        }
        AskedClicks::Sketch(length, None) => Some(AskedClicks::Sketch(length, Some(px))),
        AskedClicks::Sketch(length, Some(from)) => {
            put(WallEdit::Sketch(Some(Sketch { photo, from, to: px, length })));
            None
        }
    };
    true
}

/// The rectangle or the sketch's two points on the photo they were clicked in.
pub(crate) fn draw(ui: &Ui, board: &Board, wall: &Wall, view: &View) {
    let p = Palette::at(ui);
    if let Some(known) = wall.template.rectangle.filter(|r| Some(r.photo) == view.photo) {
        let mut ring = board.line(&known.corners);
        ring.extend(ring.first().copied());
        board.painter.line(ring.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.7)));
        board.painter.line(ring, Stroke::new(1.5, p.good));
    }
    if let Some(sketch) = wall.template.sketch.filter(|s| Some(s.photo) == view.photo) {
        let ends = board.line(&[sketch.from, sketch.to]);
        board.painter.line(ends.clone(), Stroke::new(4.0, p.board.gamma_multiply(0.7)));
        crate::ruler::dashed(&board.painter, &ends, Stroke::new(1.5, p.look), 6.0, 4.0);
        if let Some(at) = ends.first() {
            tag(&board.painter, *at, Align2::LEFT_TOP, "sketch only", p.look, p.board);
        }
    }
}
