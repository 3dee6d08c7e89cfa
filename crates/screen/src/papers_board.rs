//! The pattern of a layer on the pages it will be printed on.

use std::sync::Arc;

use coldwright_export::{
    Drawing, Layer as On, Paper, Pen, TileOptions, Tiling, correction_from_print, tile_with_plan,
};
use coldwright_geometry::LayerSet;
use coldwright_job::CutStyle;
use egui::{Align2, Stroke, Ui, Vec2};
use kurbo::{BezPath, Point};

use crate::actions::Command;
use crate::board::{Board, EyeKey};
use crate::parts::{command, hint};
use crate::plan_view::{bounds, draw_layer, marks};
use crate::shown::Shown;
use crate::start::middle;
use crate::theme::{Palette, words};
use crate::view::View;

/// Room round the pattern for words and arrows, mm.
const ROUND: f64 = 8.0;

/// What pages follow from.
#[derive(Debug)]
struct PagesOf {
    layers: Arc<LayerSet>,
    index: usize,
    paper: Paper,
    correction: (f64, f64),
    cut: CutStyle,
}

/// The pages of the layer shown last.
#[derive(Debug, Default)]
pub(crate) struct PagesCache {
    of: Option<PagesOf>,
    pages: Option<Result<Tiling, String>>,
}

impl PagesCache {
    fn update(&mut self, shown: &Shown<'_>, view: &View, layers: &Arc<LayerSet>, cut: CutStyle) {
        let (index, paper) = (view.layer, shown.job.paper);
        let correction = match shown.job.printed_100_mm {
            Some((w, h)) => correction_from_print(w.mm(), h.mm()).unwrap_or((1.0, 1.0)),
            None => (1.0, 1.0),
        };
        if self.of.as_ref().is_some_and(|of| {
            Arc::ptr_eq(&of.layers, layers)
                && (of.index, of.paper, of.cut) == (index, paper, cut)
                && of.correction.0.to_bits() == correction.0.to_bits()
                && of.correction.1.to_bits() == correction.1.to_bits()
        }) {
            return;
        }
        self.of = Some(PagesOf { layers: layers.clone(), index, paper, correction, cut });
        let Some(layer) = layers.layers.get(index) else {
            self.pages = None;
            return;
        };
        let mut drawing = Drawing::new("pattern", bounds(layer).inset(ROUND));
        for ring in layer.outer.rings.iter().chain(&layer.inner.rings) {
            for points in std::iter::once(&ring.outer).chain(&ring.holes) {
                drawing.line(closed(points), Pen::CUT, On::Cut);
            }
        }
        let options = TileOptions {
            paper,
            print_correction: correction,
            job_name: shown.job.name.clone(),
            piece_name: format!("{}", index + 1),
            ..TileOptions::default()
        };
        self.pages = Some(tile_with_plan(&drawing, &options).map_err(|e| e.to_string()));
    }
}

fn closed(points: &[Point]) -> BezPath {
    let mut path = BezPath::new();
    for (i, p) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(*p);
        } else {
            path.line_to(*p);
        }
    }
    path.close_path();
    path
}

/// How many pages the layer shown takes, brought up to date first; `None` without layers.
pub(crate) fn pages(shown: &Shown<'_>, view: &mut View) -> Option<Result<usize, String>> {
    let layers = shown.wall_plan(view)?.layers.clone()?;
    let cut = shown.wall(view)?.cut;
    let mut cache = std::mem::take(&mut view.pages);
    cache.update(shown, view, &layers, cut);
    let count = cache
        .pages
        .as_ref()
        .map(|r| r.as_ref().map(|t| t.pages.len() + usize::from(t.read_me.is_some())).map_err(Clone::clone));
    view.pages = cache;
    count
}

pub(crate) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View) {
    let _ = pages(shown, view);
    let (Some(wall), Some(layers)) = (shown.wall(view), shown.wall_plan(view).and_then(|w| w.layers.clone()))
    else {
        middle(
            ui,
            "No papers yet.",
            "They follow from the layers: close the outline and give the layers their thickness.",
            |_| {},
        );
        return;
    };
    let Some(layer) = layers.layers.get(view.layer) else { return };
    egui::Frame::NONE.inner_margin(egui::Margin::symmetric(16, 8)).show(ui, |ui| {
        ui.horizontal(|ui| {
            if command(ui, Command::Fit, shown, view, false).clicked() {
                for eye in view.eyes.values_mut() {
                    eye.fit = true;
                }
            }
            hint(ui, &format!("{} {} on {}", wall.name, layer.number, shown.job.paper.plain_name()));
        });
    });
    let tiles = view.pages.pages.as_ref().and_then(|r| r.as_ref().ok()).map(|t| {
        let list: Vec<(kurbo::Rect, String)> = t.pages.iter().map(|p| (p.window, p.name.clone())).collect();
        let joins: Vec<Point> = t.pages.iter().flat_map(|p| p.joins.iter().map(|j| j.in_drawing)).collect();
        (list, joins)
    });
    let (windows, joins) = tiles.unwrap_or_default();
    let all = windows.iter().map(|w| w.0).fold(bounds(layer), |a, b| a.union(b));
    let mut board = Board::open(ui, "Pattern on its pages", EyeKey::Papers(wall.id), all, true, view);
    board.pan(ui, view);
    let p = Palette::at(ui);
    for (window, name) in &windows {
        let rect = egui::Rect::from_two_pos(
            board.put(Point::new(window.x0, window.y0)),
            board.put(Point::new(window.x1, window.y1)),
        );
        board.painter.rect(
            rect,
            0.0,
            crate::theme::mix(p.board, p.column, 0.5),
            Stroke::new(1.0, p.hair),
            egui::StrokeKind::Middle,
        );
        let at = rect.left_top() + Vec2::new(6.0, 4.0);
        if rect.width() > 40.0 {
            board.painter.text(at, Align2::LEFT_TOP, name, words(), p.quiet);
        }
    }
    if board.eye.scale > 0.7 {
        for at in joins {
            crate::ruler::cross(&board.painter, board.put(at), 3.0, Stroke::new(1.0, p.quiet));
        }
    }
    draw_layer(&board, layer, wall.cut, &p);
    marks(&board, layer, &p);
    let middle = board.put(bounds(layer).center());
    board.painter.text(
        middle,
        Align2::CENTER_CENTER,
        format!("{} {}", wall.name, layer.number),
        egui::FontId::proportional(crate::theme::NAME),
        p.ink,
    );
}
