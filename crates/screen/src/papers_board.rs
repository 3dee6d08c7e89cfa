//! The pattern of a piece on the pages it will be printed on: the drawing and the pages are the papers' own.

use std::sync::Arc;

use coldwright_export::{
    CheckSquare, Drawing, Item, Paper, Pen, TileOptions, Tiling, correction_from_print, tile_with_plan,
};
use coldwright_geometry::Length;
use coldwright_job::{Cutting, Job, PieceId, PlannedPiece, Units, Wall};
use egui::{Align2, Stroke, Ui, Vec2};
use kurbo::Point;

use crate::actions::Command;
use crate::board::{Board, EyeKey};
use crate::parts::{command, hint_line};
use crate::shown::Shown;
use crate::start::middle;
use crate::theme::{Palette, words};
use crate::view::View;

/// Farthest a line on the screen lies from the drawing's curve, mm.
const TOLERANCE: f64 = 0.1;
/// Millimetres to a point of type.
const POINT_MM: f64 = 25.4 / 72.0;
/// Smallest type worth drawing, screen points; below it words are a grey line.
const LEAST_TYPE: f32 = 4.0;

/// What pages follow from.
#[derive(Debug, PartialEq)]
struct PagesOf {
    shown: Chosen,
    walls: Vec<Wall>,
    name: String,
    units: Units,
    paper: Paper,
    printed: Option<(Length, Length)>,
    cutting: Cutting,
}

/// The pattern a person looks at: a piece, and whether it is the second one, hull face up.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) struct Chosen {
    pub(crate) piece: PieceId,
    pub(crate) turned: bool,
}

/// The pattern looked at last, and its pages.
#[derive(Debug, Default)]
pub(crate) struct PagesCache {
    of: Option<(PagesOf, Arc<Vec<PlannedPiece>>)>,
    pages: Option<Result<Pages, String>>,
}

#[derive(Debug)]
struct Pages {
    lines: Vec<(Vec<Point>, Pen)>,
    drawing: Drawing,
    tiling: Tiling,
}

impl PagesCache {
    fn update(&mut self, shown: &Shown<'_>, chosen: Chosen) {
        let (job, pieces) = (shown.job, &shown.plan.pieces);
        let same = self.of.as_ref().is_some_and(|(of, planned)| {
            Arc::ptr_eq(planned, pieces)
                && (of.shown, of.units, of.paper, of.printed, of.cutting)
                    == (chosen, job.units, job.paper, job.printed_100_mm, job.cutting)
                && of.name == job.name
                && of.walls == job.walls
        });
        // While a newer plan is worked out, the last pages stand: pieces and job do not belong together yet.
        if same || (!shown.plan_is_current && self.of.is_some()) {
            return;
        }
        let of = PagesOf {
            shown: chosen,
            walls: job.walls.clone(),
            name: job.name.clone(),
            units: job.units,
            paper: job.paper,
            printed: job.printed_100_mm,
            cutting: job.cutting,
        };
        self.of = Some((of, pieces.clone()));
        let drawn = if chosen.turned {
            coldwright_papers::second_pattern(job, shown.plan, chosen.piece)
        } else {
            coldwright_papers::piece_pattern(job, shown.plan, chosen.piece).map(Some)
        };
        self.pages = drawn.map_err(|e| e.to_string()).transpose().map(|drawn| {
            let drawing = drawn?;
            let options = options(job, &drawing).map_err(|e| e.to_string())?;
            let tiling = tile_with_plan(&drawing, &options).map_err(|e| e.to_string())?;
            Ok(Pages { lines: lines(&drawing), drawing, tiling })
        });
    }
}

/// The parts of the layer shown, and the pattern chosen among theirs; `None` without pieces.
pub(crate) fn chosen(shown: &Shown<'_>, view: &View) -> Option<(Vec<PieceId>, Chosen)> {
    let wall = shown.wall(view)?;
    let here = |p: &&PlannedPiece| p.id.wall == wall.id && p.id.layer as usize == view.layer + 1;
    let parts: Vec<PieceId> = shown.plan.pieces.iter().filter(here).map(|p| p.id).collect();
    let piece = parts.iter().find(|id| id.part == view.paper_part).or(parts.first()).copied()?;
    let turned = view.paper_turned && coldwright_papers::has_second_pattern(shown.job, shown.plan, piece);
    Some((parts, Chosen { piece, turned }))
}

/// As the papers are made: the read-me page with its square before them, the printer's error taken out.
fn options(job: &Job, drawing: &Drawing) -> Result<TileOptions, coldwright_export::ExportError> {
    let print_correction = match job.printed_100_mm {
        Some((w, h)) => correction_from_print(w.mm(), h.mm())?,
        None => (1.0, 1.0),
    };
    Ok(TileOptions {
        paper: job.paper,
        print_correction,
        job_name: job.name.clone(),
        piece_name: drawing.title.clone(),
        check_square: CheckSquare::OwnPage,
        ..TileOptions::default()
    })
}

fn lines(drawing: &Drawing) -> Vec<(Vec<Point>, Pen)> {
    let mut out: Vec<(Vec<Point>, Pen)> = Vec::new();
    for item in &drawing.items {
        let Item::Line(line) = item else { continue };
        let mut first = Point::ZERO;
        kurbo::flatten(line.path.iter(), TOLERANCE, |el| match (el, out.last_mut()) {
            (kurbo::PathEl::MoveTo(p), _) => {
                first = p;
                out.push((vec![p], line.pen));
            }
            (kurbo::PathEl::LineTo(p), Some((points, _))) => points.push(p),
            (kurbo::PathEl::ClosePath, Some((points, _))) => points.push(first),
            _ => {}
        });
    }
    out
}

/// How many pages the pattern shown takes, brought up to date first; `None` without pieces.
pub(crate) fn pages(shown: &Shown<'_>, view: &mut View) -> Option<Result<usize, String>> {
    let (_, chosen) = chosen(shown, view)?;
    view.pages.update(shown, chosen);
    let pages = view.pages.pages.as_ref()?;
    Some(pages.as_ref().map(|p| p.tiling.pages.len()).map_err(Clone::clone))
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let count = pages(shown, view);
    let (Some(wall), Some(_)) = (shown.wall(view), shown.wall_plan(view).and_then(|w| w.layers.as_ref()))
    else {
        middle(
            ui,
            "No papers yet.",
            "They follow from the layers: close the outline and give the layers their thickness.",
            |_| {},
        );
        return;
    };
    let p = Palette::at(ui);
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal(|ui| {
            if command(ui, Command::Fit, shown, view, false).clicked() {
                for eye in view.eyes.values_mut() {
                    eye.fit = true;
                }
            }
            let words = match &view.pages.pages {
                Some(Ok(p)) => format!("{} on {}", p.drawing.title, shown.job.paper.plain_name()),
                _ => String::new(),
            };
            hint_line(ui, &words);
        });
    });
    let cache = std::mem::take(&mut view.pages);
    let empty = kurbo::Rect::new(0.0, 0.0, 1000.0, 600.0);
    let all = match (&cache.pages, count) {
        (Some(Ok(p)), Some(Ok(_))) => {
            p.tiling.pages.iter().map(|page| page.window).fold(p.drawing.bounds, |a, b| a.union(b))
        }
        _ => empty,
    };
    let mut board = Board::open(ui, "Pattern on its pages", EyeKey::Papers(wall.id), all, true, view);
    board.pan(ui, view);
    if let Some(Ok(pages)) = &cache.pages {
        sheets(&board, &pages.tiling, &p);
        strokes(&board, &pages.lines, &p);
        said(&board, &pages.drawing, &p);
    }
    view.pages = cache;
}

/// The pages under the pattern, each with its name, and the joining marks.
fn sheets(board: &Board, tiling: &Tiling, p: &Palette) {
    for page in &tiling.pages {
        let window = page.window;
        let rect = egui::Rect::from_two_pos(
            board.put(Point::new(window.x0, window.y0)),
            board.put(Point::new(window.x1, window.y1)),
        );
        let fill = crate::theme::mix(p.board, p.column, 0.5);
        board.painter.rect(rect, 0.0, fill, Stroke::new(1.0, p.hair), egui::StrokeKind::Middle);
        if rect.width() > 40.0 {
            let at = rect.left_top() + Vec2::new(6.0, 4.0);
            board.painter.text(at, Align2::LEFT_TOP, &page.name, words(), p.quiet);
        }
    }
    if board.eye.scale > 0.7 {
        for join in tiling.pages.iter().flat_map(|page| &page.joins) {
            crate::ruler::cross(&board.painter, board.put(join.in_drawing), 3.0, Stroke::new(1.0, p.quiet));
        }
    }
}

fn strokes(board: &Board, lines: &[(Vec<Point>, Pen)], p: &Palette) {
    for (points, pen) in lines {
        let mut put = crate::plan_view::thinned(board, points);
        if points.len() > 2 && points.first() == points.last() {
            put.extend(put.first().copied());
        }
        // Twice as wide as on paper, and never so thin that it is lost.
        let width = (pen.width_mm * board.eye.scale) as f32;
        let cut = pen.width_mm >= Pen::CUT.width_mm;
        let stroke = Stroke::new(width.clamp(if cut { 1.5 } else { 1.0 }, 4.0), p.ink);
        match pen.dash_mm {
            Some((on, off)) => {
                let long = |mm: f64| ((mm * board.eye.scale) as f32).max(3.0);
                crate::ruler::dashed(&board.painter, &put, stroke, long(on), long(off));
            }
            None => {
                board.painter.line(put, stroke);
            }
        }
    }
}

/// The words of the pattern, where and as large as they will be printed.
fn said(board: &Board, drawing: &Drawing, p: &Palette) {
    for item in &drawing.items {
        let Item::Text(text) = item else { continue };
        let at = board.put(text.at);
        // Type sizes in quarter points, so that zooming does not fill the font's store.
        let size = ((text.height_pt * POINT_MM * board.eye.scale * 4.0).round() / 4.0).min(64.0) as f32;
        let family = if text.bold { crate::theme::bold() } else { egui::FontFamily::Proportional };
        let small = size < LEAST_TYPE;
        let font = egui::FontId::new(size.max(LEAST_TYPE), family);
        let galley = board.painter.layout_no_wrap(text.words.clone(), font, p.ink);
        let shrink = size / size.max(LEAST_TYPE);
        let held = match text.anchor {
            coldwright_export::Anchor::Start => 0.0,
            coldwright_export::Anchor::Middle => 0.5,
            coldwright_export::Anchor::End => 1.0,
        };
        let wide = galley.size().x * shrink;
        let turn = -text.angle as f32;
        let along = Vec2::angled(turn);
        if small {
            let from = at - along * (wide * held);
            board.painter.line_segment([from, from + along * wide], Stroke::new(1.0, p.hair));
            continue;
        }
        // The top of a row stands its ascent above the baseline: Noto Sans rises 1.069 of its size.
        let up = Vec2::new(along.y, -along.x);
        let corner = at - along * (wide * held) + up * (1.069 * size);
        board.painter.add(egui::epaint::TextShape::new(corner, galley, p.ink).with_angle(turn));
    }
}
