//! The sheets there are and those that can be bought.

use coldwright_geometry::Length;
use coldwright_job::{Edit, SheetShape, StockSheet};
use egui::{Id, Sense, Stroke, Ui, Vec2, WidgetInfo};
use kurbo::Point;

use crate::actions::Action;
use crate::edit_box::{Bound, Read};
use crate::parts::{button, choices, group_with, hint, row, value_width};
use crate::shown::Shown;
use crate::theme::{Palette, words};
use crate::view::View;

pub(super) fn show(ui: &mut Ui, shown: &Shown<'_>, view: &mut View, queue: &mut Vec<Action>) {
    let stock = &shown.job.stock;
    if group_with(ui, "Sheets you have or can buy", "Add sheet") {
        let mut next = stock.clone();
        next.push(fresh(stock));
        view.sheet = next.len() - 1;
        queue.push(Action::Edit(Edit::SetStock(next), None));
    }
    if stock.is_empty() {
        hint(ui, "None yet. Add the sheets and off-cuts you have, and the sheet you would buy.");
    }
    let used = shown.plan.laid.as_deref().filter(|l| l.is_sound()).map(coldwright_job::LaidOut::used);
    for (index, sheet) in stock.iter().enumerate() {
        let in_use = used.as_ref().and_then(|u| u.get(index)).copied();
        if line(ui, shown, index, sheet, in_use, view.sheet == index) {
            view.sheet = index;
        }
    }
    if let Some(sheet) = stock.get(view.sheet) {
        fields(ui, shown, view.sheet, sheet, view, queue);
    }
}

/// Another sheet like the last one, under a name of its own.
fn fresh(stock: &[StockSheet]) -> StockSheet {
    let mut sheet = stock.last().cloned().unwrap_or_default();
    if let SheetShape::Outline(_) = sheet.shape {
        sheet.shape = StockSheet::default().shape;
    }
    let taken = |name: &str| stock.iter().any(|s| s.name.to_lowercase() == name.to_lowercase());
    sheet.name = (1..=stock.len() + 1)
        .map(|n| if n == 1 { "Sheet".to_owned() } else { format!("Sheet {n}") })
        .find(|name| !taken(name))
        .unwrap_or(sheet.name);
    sheet
}

/// Two lines for one kind of sheet: its name, and what it is; gives whether it was chosen.
fn line(
    ui: &mut Ui,
    shown: &Shown<'_>,
    index: usize,
    sheet: &StockSheet,
    used: Option<u32>,
    here: bool,
) -> bool {
    let p = Palette::at(ui);
    let (rect, response) = ui
        .push_id(("sheet", index), |ui| {
            ui.allocate_exact_size(Vec2::new(ui.available_width(), 44.0), Sense::click())
        })
        .inner;
    let says = format!("{}: {}", sheet.name, what(shown, sheet));
    response.widget_info(|| WidgetInfo::selected(egui::Role::Button, true, here, &says));
    let touched = response.hovered() || response.has_focus();
    let painter = ui.painter_at(rect);
    let fill = if here { ui.visuals().selection.bg_fill } else { ui.visuals().widgets.inactive.weak_bg_fill };
    painter.rect_filled(rect, 2.0, fill);
    let frame = if here || touched { Stroke::new(1.5, p.hand) } else { Stroke::new(1.0, p.hair) };
    painter.rect_stroke(rect, 2.0, frame, egui::StrokeKind::Inside);
    let put = |text: &str, down: f32, width: f32, colour| {
        let mut job = egui::text::LayoutJob::simple_singleline(text.to_owned(), words(), colour);
        job.wrap = egui::text::TextWrapping::truncate_at_width(width);
        painter.galley(rect.min + Vec2::new(8.0, down), painter.layout_job(job), colour);
    };
    let count = match (sheet.owned, used) {
        (Some(owned), Some(used)) => format!("{used} of {owned} used"),
        (Some(owned), None) => format!("{owned} owned"),
        (None, Some(used)) if used > 0 => format!("{used} to buy"),
        (None, _) => "can be bought".to_owned(),
    };
    let count = painter.layout_no_wrap(count, words(), p.quiet);
    let left = rect.width() - count.size().x - 24.0;
    painter.galley(egui::pos2(rect.max.x - 8.0 - count.size().x, rect.min.y + 3.0), count, p.quiet);
    put(&sheet.name, 3.0, left, if here { p.hand } else { p.ink });
    put(&what(shown, sheet), 22.0, rect.width() - 16.0, p.quiet);
    response.clicked()
}

fn what(shown: &Shown<'_>, sheet: &StockSheet) -> String {
    let size = match &sheet.shape {
        SheetShape::Rectangle { width, length } => crate::parts::by(shown, width.mm(), length.mm()),
        SheetShape::Outline(ring) => format!("off-cut, {}", super::sheets::size(shown, ring)),
    };
    format!("{} {}, {size}", sheet.material, shown.job.show(sheet.thickness))
}

fn fields(
    ui: &mut Ui,
    shown: &Shown<'_>,
    index: usize,
    sheet: &StockSheet,
    view: &mut View,
    queue: &mut Vec<Action>,
) {
    let with = |change: &dyn Fn(&mut StockSheet)| -> Edit {
        let mut stock = shown.job.stock.clone();
        stock.iter_mut().skip(index).take(1).for_each(change);
        Edit::SetStock(stock)
    };
    let bound = |ui: &Ui, name: &'static str, hint: &'static str| Bound {
        job: shown.job,
        key: Id::unique(("stock", name, index)),
        name,
        hint,
        width: value_width(ui),
    };
    ui.add_space(4.0);
    row(ui, "Name", |ui| {
        let b = bound(ui, "Sheet name", "");
        b.words(ui, &mut view.drafts, &sheet.name, queue, |t| with(&|s| s.name.clone_from(&t)));
    });
    row(ui, "Material", |ui| {
        let b = bound(ui, "Sheet material", "as the layers say it");
        b.words(ui, &mut view.drafts, &sheet.material, queue, |t| {
            with(&|s| s.material = t.trim().to_owned())
        });
    });
    row(ui, "Thickness", |ui| {
        let b = bound(ui, "Sheet thickness", "");
        b.length(ui, &mut view.drafts, Some(sheet.thickness), queue, |l| {
            l.map(|l| with(&|s| s.thickness = l))
        });
    });
    row(ui, "Shape", |ui| {
        let own = matches!(sheet.shape, SheetShape::Outline(_));
        if let Some(own) = choices(ui, own, &[(false, "rectangle"), (true, "corners")]) {
            queue.push(Action::Edit(with(&|s| s.shape = reshaped(&s.shape, own)), None));
        }
    });
    match &sheet.shape {
        SheetShape::Rectangle { width, length } => {
            let (width, length) = (*width, *length);
            row(ui, "Width", |ui| {
                let b = bound(ui, "Sheet width", "");
                let of = |w: Length| with(&|s| s.shape = SheetShape::Rectangle { width: w, length });
                b.length(ui, &mut view.drafts, Some(width), queue, |l| l.map(of));
            });
            row(ui, "Length", |ui| {
                let b = bound(ui, "Sheet length", "");
                let of = |l: Length| with(&|s| s.shape = SheetShape::Rectangle { width, length: l });
                b.length(ui, &mut view.drafts, Some(length), queue, |l| l.map(of));
            });
        }
        SheetShape::Outline(ring) => super::corners::show(ui, shown, index, ring, view, queue),
    }
    row(ui, "Owned", |ui| {
        let b = bound(ui, "Sheets owned", "empty: can be bought");
        let current = sheet.owned.map(|n| n.to_string()).unwrap_or_default();
        b.run(ui, &mut view.drafts, current, queue, |text| {
            let owned = owned(text)?;
            Ok(Read { value: with(&|s| s.owned = owned), echo: None })
        });
    });
    if button(ui, "Remove this sheet", false).clicked() {
        let mut stock = shown.job.stock.clone();
        stock.remove(index);
        queue.push(Action::Edit(Edit::SetStock(stock), None));
    }
}

/// A sheet's shape told the other way: a rectangle by its four corners, an outline by the rectangle round it.
fn reshaped(shape: &SheetShape, own: bool) -> SheetShape {
    match shape {
        SheetShape::Rectangle { width, length } if own => {
            let (w, l) = (width.mm(), length.mm());
            SheetShape::Outline(
                [(0.0, 0.0), (w, 0.0), (w, l), (0.0, l)].map(|(x, y)| Point::new(x, y)).to_vec(),
            )
        }
        SheetShape::Outline(ring) if !own => {
            let round = coldwright_geometry::bounds(ring);
            let length = |mm: f64| Length::from_mm((mm * 1000.0).round() / 1000.0).unwrap_or_default();
            SheetShape::Rectangle { width: length(round.width()), length: length(round.height()) }
        }
        same => same.clone(),
    }
}

/// A count of sheets; nothing typed: as many as wanted can be bought.
fn owned(text: &str) -> Result<Option<u32>, String> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    match text.parse::<u32>() {
        Ok(n) if n <= 1000 => Ok(Some(n)),
        _ => {
            Err("give a whole number up to 1000, or leave it empty where the sheet can be bought".to_owned())
        }
    }
}
