//! The whole window of Coldwright, on `egui` alone: it reads document, results and view, and pushes wishes.
//!
//! ```
//! use coldwright_screen::{Action, Shown, View, install, show};
//! use coldwright_job::{Job, Plan};
//!
//! let ctx = egui::Context::default();
//! install(&ctx);
//! let (job, plan, pictures) = (Job::default(), Plan::default(), Default::default());
//! let (mut view, mut queue) = (View::default(), Vec::<Action>::new());
//! let mut frame = ctx.run_ui(egui::RawInput::default(), |ui| {
//!     let shown = Shown {
//!         job: &job, plan: &plan, pictures: &pictures, plan_is_current: true,
//!         can_undo: false, can_redo: false, unsaved: false, file_name: None,
//!         busy: &[], laying: None, messages: &[], recovered: None, made: None,
//!     };
//!     show(ui, &shown, &mut view, &mut queue);
//! });
//! frame.textures_delta.clear(); // a window would put these on the graphics card
//! assert!(queue.is_empty(), "a frame in which nothing is touched asks for nothing");
//! ```
//!
//! No files, no window: paths go out as wishes, numbers come in worked out. Only what is looked at and never kept is asked
//! of the crates below here: the pages of the pattern shown, and what the photo proposes for a click.

mod actions;
mod asked_clicks;
mod board;
mod box_board;
mod chain;
mod column;
mod drawing_board;
mod edge_follow;
mod edit_box;
mod fill;
mod icons;
mod in_hand;
mod keys;
mod labels;
mod lines_box;
mod look_list;
mod messages;
mod outline_board;
mod outline_cache;
mod outline_draw;
mod papers_board;
mod parts;
mod path_field;
mod photo_board;
mod pieces_board;
mod plan_view;
mod ruler;
mod section;
mod section_hollow;
mod sheets_board;
mod shown;
mod snapping;
mod spots;
mod stack;
mod stack_mesh;
mod start;
mod stick_ticks;
mod templates_draw;
mod theme;
mod tick_moves;
mod tiles;
mod turn;
mod view;

pub use actions::{Action, Command, Entry, TABLE};
pub use icons::Icon;
pub use shown::{Busy, Made, Message, Shown};
pub use theme::{Palette, install};
pub use view::View;

use coldwright_job::Step;
use egui::{CentralPanel, Frame, Panel, Ui};

/// Draws the whole window and pushes what the person asks for into `queue`, to be carried out after the frame.
///
/// A frame in which nothing is touched pushes nothing and asks for no repaint.
pub fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    if view.shown_dark != Some(view.dark) {
        view.shown_dark = Some(view.dark);
        let theme = if view.dark { egui::Theme::Dark } else { egui::Theme::Light };
        ui.ctx().set_theme(theme);
        let style = ui.ctx().style_of(theme);
        ui.set_style(style);
    }
    let further = view.wall.and_then(|id| shown.job.wall(id)).map_or(0, |w| w.further.len());
    if view.template() > further {
        view.take_template(further);
    }
    let in_hand = in_hand::InHand::of(shown, view);
    let with = in_hand.as_ref().map(|h| h.shown(shown));
    let shown = with.as_ref().unwrap_or(shown);
    let before = queue.len();
    view.settle(shown.job);
    let mut asked = keys::asked(ui, shown, view);
    keys::dropped(ui, view, queue);
    let p = Palette::of(view.dark);
    let bare = |fill| Frame::NONE.fill(fill);

    Panel::top("chain")
        .exact_size(theme::CHAIN_HEIGHT)
        .resizable(false)
        .show_separator_line(false)
        .frame(bare(p.column))
        .show(ui, |ui| chain::show(ui, shown, view, &mut asked));
    Panel::left("column")
        .exact_size(theme::COLUMN_WIDTH)
        .resizable(false)
        .show_separator_line(false)
        .frame(bare(p.column))
        .show(ui, |ui| column::show(ui, shown, view, queue));
    let over = CentralPanel::no_frame().frame(bare(p.board)).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        let over = ui.max_rect();
        board(ui, shown, view, queue, &mut asked);
        over
    });
    // Over the board's foot, not beside it: what comes and goes here must not move the picture under the pointer.
    messages::show(ui, over.inner, shown, queue);

    if let Some(step) = view.next_step.take()
        && step != view.step
    {
        view.step = step;
        if view.selected == view::Selected::Job {
            view.selected = view::Selected::Step;
        }
        ui.ctx().request_repaint();
    }
    keys::run(ui, shown, view, queue, asked);
    if let Some(in_hand) = &in_hand {
        in_hand.give_back(&mut queue[before..]);
    }
    if let Some(of) = path_field::asked_for(queue) {
        view.asked_path = of;
        if matches!(of, path_field::PathFor::Open | path_field::PathFor::Save) {
            view.asked_job = of;
        }
    }
}

fn board(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>, asked: &mut Vec<Command>) {
    if view.asked_drawing() {
        drawing_board::show(ui, shown, view);
        return;
    }
    if shown.wall(view).is_none() {
        start::empty(ui, shown, view, queue);
        return;
    }
    match view.step {
        Step::Photo => photo_board::show(ui, shown, view, queue),
        Step::Outline => outline_board::show(ui, shown, view, queue, asked),
        Step::Layers => stack::show(ui, shown, view),
        Step::Box => box_board::show(ui, shown, view),
        Step::Pieces => pieces_board::show(ui, shown, view, queue),
        Step::Sheets => sheets_board::show(ui, shown, view, queue),
        Step::Papers => papers_board::show(ui, shown, view),
    }
}
