//! The chain along the top: the steps of the job in the order the data flows, each with its state in a word.

use coldwright_job::{Severity, Standing, Step};
use egui::{Align2, Color32, Pos2, Rect, Role, Sense, Stroke, Ui, Vec2, WidgetInfo, pos2};

use crate::actions::{Command, TABLE};
use crate::icons::Icon;
use crate::shown::Shown;
use crate::theme::{CHAIN_HEIGHT, COLUMN_WIDTH, MARGIN, Palette, TOUCH, words};
use crate::view::{Selected, View};

/// Width from which a link has its icon, its words with room round them, and the line to the next, points.
const WIDE: f32 = 104.0;

/// One link of the chain.
pub(crate) struct Link {
    pub(crate) step: Step,
    pub(crate) word: &'static str,
    pub(crate) icon: Icon,
}

/// The chain: a new step finds its place by a line here.
pub(crate) const CHAIN: &[Link] = &[
    Link { step: Step::Photo, word: "Photo", icon: Icon::Photo },
    Link { step: Step::Outline, word: "Outline", icon: Icon::Outline },
    Link { step: Step::Layers, word: "Layers", icon: Icon::Layers },
    Link { step: Step::Box, word: "Box", icon: Icon::Box },
    Link { step: Step::Pieces, word: "Pieces", icon: Icon::Pieces },
    Link { step: Step::Sheets, word: "Sheets", icon: Icon::Sheets },
    Link { step: Step::Papers, word: "Papers", icon: Icon::Papers },
];

/// How a step stands, in a word.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum State {
    Nothing,
    Ready,
    Look,
    OutOfDate,
    AtWork,
    Stop,
}

impl State {
    pub(crate) fn word(self) -> &'static str {
        match self {
            State::Nothing => "nothing yet",
            State::Ready => "ready",
            State::Look => "look here",
            State::OutOfDate => "out of date",
            State::AtWork => "at work",
            State::Stop => "cannot go on",
        }
    }

    /// The same where there is little room.
    fn short(self) -> &'static str {
        match self {
            State::Nothing => "none",
            State::Ready => "ready",
            State::Look => "look",
            State::OutOfDate => "old",
            State::AtWork => "work",
            State::Stop => "stop",
        }
    }

    fn colour(self, p: &Palette) -> Color32 {
        match self {
            State::Nothing | State::OutOfDate => p.quiet,
            State::Ready => p.good,
            State::Look => p.look,
            State::AtWork => p.hand,
            State::Stop => p.stop,
        }
    }
}

/// How a step of the wall shown stands.
pub(crate) fn state(shown: &Shown<'_>, view: &View, step: Step) -> State {
    if shown.busy.iter().any(|b| b.step == step) {
        return State::AtWork;
    }
    let wall = shown.wall_plan(view).map_or(Standing::Nothing, |w| w.standing(step));
    let standing = match step {
        Step::Box | Step::Pieces | Step::Sheets => shared(shown, step),
        Step::Photo | Step::Outline | Step::Layers | Step::Papers => wall,
    };
    match standing {
        Standing::Nothing => State::Nothing,
        _ if !shown.plan_is_current => State::OutOfDate,
        Standing::Ready => State::Ready,
        Standing::Look => State::Look,
        Standing::Stop => State::Stop,
    }
}

/// How a step stands that belongs to all walls together.
fn shared(shown: &Shown<'_>, step: Step) -> Standing {
    let there = match step {
        Step::Box => !shown.job.joints.is_empty(),
        Step::Sheets => shown.plan.laid.is_some(),
        _ => !shown.plan.pieces.is_empty(),
    };
    let worst = shown.plan.problems().filter(|q| q.step == step).map(|q| q.severity).max();
    match (there, worst) {
        (_, Some(Severity::Stop)) => Standing::Stop,
        (_, Some(Severity::Look)) => Standing::Look,
        (true, _) => Standing::Ready,
        (false, _) => Standing::Nothing,
    }
}

/// Draws the chain over the whole width; gives the commands asked for.
pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, asked: &mut Vec<Command>) {
    let p = Palette::at(ui);
    let whole = ui.max_rect();
    let name = Rect::from_min_size(whole.min, Vec2::new(COLUMN_WIDTH, CHAIN_HEIGHT));
    job_name(ui, name, shown, view);

    let buttons: Vec<Command> =
        TABLE.iter().filter(|e| e.icon.is_some() && e.command != Command::Fit).map(|e| e.command).collect();
    let order = [Command::Undo, Command::Redo, Command::Open, Command::Save, Command::Theme];
    let buttons: Vec<Command> = order.into_iter().filter(|c| buttons.contains(c)).collect();
    let with_words = whole.width() >= COLUMN_WIDTH + CHAIN.len() as f32 * 132.0 + 500.0;
    let widths: Vec<f32> = buttons.iter().map(|c| button_width(ui, *c, view, with_words)).collect();
    let tail = widths.iter().sum::<f32>() + 4.0 * widths.len() as f32 + MARGIN;

    let room = (whole.width() - COLUMN_WIDTH - tail).max(0.0);
    let each = (room / CHAIN.len() as f32).clamp(44.0, 148.0);
    let mut x = whole.min.x + COLUMN_WIDTH;
    let mut before: Option<(f32, bool)> = None;
    for link in CHAIN {
        let rect = Rect::from_min_size(pos2(x, whole.min.y), Vec2::new(each, CHAIN_HEIGHT));
        let (icon, end, through) = segment(ui, rect, link, shown, view);
        // The link itself: a line from word to icon, in ink where the data has come through.
        if let Some((from, there)) =
            before.map(|(b, t)| (b + 10.0, t)).filter(|b| each >= WIDE && icon - 10.0 - b.0 >= 16.0)
        {
            let stroke = Stroke::new(1.5, if there && through { p.ink } else { p.hair });
            ui.painter().hline(from..=icon - 10.0, whole.min.y + 19.0, stroke);
        }
        before = Some((end, through));
        x += each;
    }

    let mut x = whole.max.x - tail + 4.0;
    for (command, width) in buttons.into_iter().zip(widths) {
        let rect =
            Rect::from_min_size(pos2(x, whole.center().y - TOUCH / 2.0 - 2.0), Vec2::new(width, TOUCH + 4.0));
        if quick(ui, rect, command, with_words, shown, view) {
            asked.push(command);
        }
        x += width + 4.0;
    }
    ui.painter().hline(whole.x_range(), whole.max.y - 0.5, Stroke::new(1.0, p.hair));
    // The segment of the step shown opens into the board: no line under it.
    if let Some(at) = CHAIN.iter().position(|l| l.step == view.step) {
        let left = whole.min.x + COLUMN_WIDTH + at as f32 * each;
        ui.painter().hline(left..=left + each, whole.max.y - 0.5, Stroke::new(1.0, p.board));
    }
}

fn job_name(ui: &mut Ui, rect: Rect, shown: &Shown<'_>, view: &mut View) {
    let p = Palette::at(ui);
    let wall = shown.wall(view).map_or("no wall yet", |w| w.name.as_str());
    let response = ui.interact(rect, ui.scope_id().with("job"), Sense::click());
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Button, true, format!("Job {} and walls, showing {wall}", shown.job.name))
    });
    if response.clicked() {
        view.selected = if view.selected == Selected::Job { Selected::Step } else { Selected::Job };
    }
    let open = view.selected == Selected::Job;
    let touched = response.hovered() || response.has_focus();
    let painter = ui.painter_at(rect);
    let width = rect.width() - 2.0 * MARGIN;
    let file =
        if shown.unsaved { format!("{} · not saved", shown.job.name) } else { shown.job.name.clone() };
    let name = cut(&painter, &file, width, if touched { p.hand } else { p.ink });
    painter.galley(pos2(rect.min.x + MARGIN, rect.min.y + 8.0), name, p.ink);
    let line = if shown.job.walls.len() > 1 {
        format!("{wall}, {} walls", shown.job.walls.len())
    } else {
        wall.to_owned()
    };
    let wall = cut(&painter, &line, width - 24.0, if touched || open { p.hand } else { p.quiet });
    let below = pos2(rect.min.x + MARGIN, rect.min.y + 29.0);
    let end = below.x + wall.size().x;
    painter.galley(below, wall, p.quiet);
    let caret = Rect::from_min_size(pos2(end + 4.0, below.y + 2.0), Vec2::splat(16.0));
    Icon::More.paint(&painter, caret, if touched || open { p.hand } else { p.quiet });
    if response.has_focus() {
        ring(ui, rect.shrink(3.0), &p);
    }
    response.on_hover_text("The job, its file and its walls");
}

/// One link. Gives where its icon begins and its word ends, and whether data has come through to it.
fn segment(ui: &mut Ui, rect: Rect, link: &Link, shown: &Shown<'_>, view: &mut View) -> (f32, f32, bool) {
    let p = Palette::at(ui);
    let state = state(shown, view, link.step);
    let here = view.step == link.step;
    let response = ui.interact(rect, ui.scope_id().with(link.word), Sense::click());
    response.widget_info(|| {
        WidgetInfo::selected(Role::Button, true, here, format!("{}: {}", link.word, state.word()))
    });
    if response.clicked() {
        view.next_step = Some(link.step);
    }
    let painter = ui.painter_at(rect);
    if here {
        painter.rect_filled(rect, 0.0, p.board);
    }
    let colour = if here || response.hovered() || response.has_focus() { p.hand } else { p.ink };
    let wide = rect.width() >= WIDE;
    let x = rect.min.x
        + if wide {
            16.0
        } else if rect.width() < 60.0 {
            4.0
        } else {
            8.0
        };
    let square = Rect::from_min_size(pos2(x, rect.min.y + 10.0), Vec2::splat(18.0));
    // With many steps on a small screen the word matters more than its icon.
    let iconless = rect.width() < 84.0;
    if !iconless {
        link.icon.paint(&painter, square, colour);
    }
    let text = if wide {
        x + 26.0
    } else if iconless {
        x
    } else {
        x + 22.0
    };
    let word = painter.text(pos2(text, rect.min.y + 10.0), Align2::LEFT_TOP, link.word, words(), colour);
    let below = pos2(if wide { text } else { x }, rect.min.y + 29.0);
    let full = painter.layout_no_wrap(state.word().to_owned(), words(), state.colour(&p));
    let fits = below.x + full.size().x <= rect.max.x - 2.0;
    let said = if fits { state.word() } else { state.short() };
    let drawn = painter.text(below, Align2::LEFT_TOP, said, words(), state.colour(&p));
    if state == State::Stop {
        painter.rect_stroke(
            drawn.expand2(Vec2::new(3.0, 0.0)),
            1.0,
            Stroke::new(1.0, p.stop),
            egui::StrokeKind::Outside,
        );
    }
    // The focus ring stands inside, so that it is not cut off by its neighbours.
    if response.has_focus() {
        ring(ui, rect.shrink(3.0), &p);
    }
    (square.min.x, word.max.x, !matches!(state, State::Nothing))
}

fn label(command: Command, view: &View) -> &'static str {
    match command {
        Command::Theme if view.dark => "Light",
        Command::Theme => "Dark",
        _ => command.entry().label,
    }
}

fn button_width(ui: &Ui, command: Command, view: &View, with_words: bool) -> f32 {
    if !with_words {
        return TOUCH + 8.0;
    }
    let galley = ui.painter().layout_no_wrap(label(command, view).to_owned(), words(), Color32::WHITE);
    galley.size().x + 18.0 + 22.0
}

fn quick(
    ui: &mut Ui,
    rect: Rect,
    command: Command,
    with_words: bool,
    shown: &Shown<'_>,
    view: &View,
) -> bool {
    let p = Palette::at(ui);
    let e = command.entry();
    let enabled = (e.enabled)(shown, view);
    let sense = if enabled { Sense::click() } else { Sense::hover() };
    let response = ui.interact(rect, ui.scope_id().with(e.label), sense);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, enabled, label(command, view)));
    let colour = match (enabled, response.hovered() || response.has_focus()) {
        (false, _) => crate::theme::mix(p.column, p.quiet, 0.55),
        (true, true) => p.hand,
        (true, false) => p.ink,
    };
    let icon = match (e.icon, command) {
        (_, Command::Theme) if !view.dark => Icon::Dark,
        (Some(icon), _) => icon,
        (None, _) => Icon::More,
    };
    let painter = ui.painter_at(rect);
    let square = if with_words {
        Rect::from_min_size(pos2(rect.min.x + 8.0, rect.center().y - 9.0), Vec2::splat(18.0))
    } else {
        Rect::from_center_size(rect.center(), Vec2::splat(18.0))
    };
    icon.paint(&painter, square, colour);
    if with_words {
        painter.text(
            Pos2::new(square.max.x + 6.0, rect.center().y),
            Align2::LEFT_CENTER,
            label(command, view),
            words(),
            colour,
        );
    }
    if response.has_focus() {
        ring(ui, rect, &p);
    }
    let clicked = response.clicked();
    response.on_hover_text(command.hint(ui.ctx()));
    clicked
}

fn ring(ui: &Ui, rect: Rect, p: &Palette) {
    ui.painter().rect_stroke(rect, 2.0, Stroke::new(1.5, p.hand), egui::StrokeKind::Inside);
}

/// One line of words, cut with an ellipsis where it is too long.
fn cut(painter: &egui::Painter, text: &str, width: f32, colour: Color32) -> std::sync::Arc<egui::Galley> {
    let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), words(), colour);
    job.wrap = egui::text::TextWrapping::truncate_at_width(width);
    painter.layout_job(job)
}
